//! What the design weighs and bears: boxes, parts, spans, loads, tipping, as a table, CSV or JSON. All of
//! it is estimated; the figures it starts from are printed with it.

mod group;
mod json;
mod rows;
mod tables;

pub use json::as_json;
pub use rows::as_csv;
pub use tables::table;

use crate::checks::estimates::{Mass, short};
use crate::job::{Ends, Job, Way};

/// What every list of estimates says at its end.
const CAUTION: &str = "These are estimates and no proof: they hold to no more than the figures they start \
    from, which are printed beside them. A board's stiffness and strength are what its makers' standard asks \
    for at least or a round figure, not values for the design of structures. Where a load can fall on \
    somebody, local codes and licensed trades decide.";

/// Where the stiffness of a board comes from.
const STIFFNESS: &str =
    "Stiffness, shear modulus, strength and creep are those that the board's definition states.";

/// `12.3`, or `over 12.3` where parts of it are not known.
fn kg(mass: Mass) -> String {
    match mass.whole() {
        Some(kg) => short(kg),
        None if mass.kg > 0.0 => format!("over {}", short(mass.kg)),
        None => "unknown".to_string(),
    }
}

fn percent(part: f64) -> String {
    format!("{} %", short(part * 100.0))
}

fn way(way: Way) -> &'static str {
    match way {
        Way::Down => "down",
        Way::Shear => "shear",
        Way::PullOut => "pull-out",
    }
}

fn ends(ends: Ends) -> &'static str {
    match ends {
        Ends::Simple => "simple",
        Ends::Clamped => "clamped",
    }
}

/// Names of boards that state no density, and how many parts are of each.
fn without_density(job: &Job) -> Vec<(String, usize)> {
    let of = |name: &str| job.parts.iter().filter(|p| p.board == name).count();
    let unknown = job.boards.iter().filter(|b| b.density.is_none());
    unknown.map(|b| (b.name.clone(), of(&b.name))).filter(|(_, n)| *n > 0).collect()
}

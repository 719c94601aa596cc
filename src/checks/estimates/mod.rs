//! Estimates of a finished job: what it weighs, how far it sags, what bears what, what tips over, how
//! many lift it. They are worked out in floating point from the exact job and hold to no more than the
//! figures they start from; nothing that is cut or bored depends on them.

mod bearing;
mod faults;
mod flow;
mod lifting;
mod net;
mod reasons;
mod sag;
mod tipping;
mod weights;
mod world;

use crate::job::{Job, Origin};
use crate::values::Rational;
pub use bearing::Borne;
pub(super) use faults::check;
pub use lifting::{Lifted, ONE_PERSON, ONE_PERSON_SOURCE, StoodUp, people, recommended};
pub use net::Mass;
pub use reasons::why_estimate;
pub use sag::{Beam, STRENGTH_FACTOR, Sag, Section, bending, shearing};
pub use tipping::{CLIMBER, ENOUGH, Tipping, Turning};
pub use weights::{BoxWeight, GroupWeight, PartWeight, Rested};

/// N to the kilogram: standard gravity, m/s2 (3rd CGPM, 1901).
pub const GRAVITY: f64 = 9.80665;

/// Everything that is estimated of a job, in the order of the job's own lists.
#[derive(Clone, Debug, Default)]
pub struct Estimates {
    pub parts: Vec<PartWeight>,
    pub boxes: Vec<BoxWeight>,
    /// Rows of boxes along a wall.
    pub rows: Vec<GroupWeight>,
    /// All that stands in one frame: a wall, or a box of its own.
    pub roots: Vec<GroupWeight>,
    /// What rests on what, and how much of it each takes.
    pub rests: Vec<Rested>,
    pub sags: Vec<Sag>,
    pub bearings: Vec<Borne>,
    pub tipping: Vec<Tipping>,
    pub lifted: Vec<Lifted>,
    pub stood_up: Vec<StoodUp>,
    /// Statements of `rests` that lead back to where they started.
    pub(super) circles: Vec<Origin>,
}

/// What the weights leave out, in words.
pub const LEFT_OUT: &str = "Net of cuts, grooves, holes and bevels. Screws, hardware and glue are not counted, \
    and an edge band counts as its board. Where a hole meets a cut both are taken off.";

/// Works out the estimates of a job.
pub fn estimate(job: &Job) -> Estimates {
    let world = world::World::of(job);
    let mut flow = flow::Flow::of(&world);
    let bearings = bearing::all(&world, &mut flow);
    let rests = weights::rests(&world, &mut flow);
    let lifted = lifting::lifted(&world);
    Estimates {
        parts: weights::parts(&world),
        boxes: weights::boxes(&world, &lifted),
        rows: weights::rows(&world),
        roots: weights::roots(&world),
        rests,
        sags: sag::all(&world),
        bearings,
        tipping: tipping::all(&world),
        stood_up: lifting::stood_up(&world),
        lifted,
        circles: flow.circles(),
    }
}

/// The net weight of each part in kg, in the order of the job; `None` where its board states no density.
pub fn net_weights(job: &Job) -> Vec<Option<f64>> {
    let boards: std::collections::BTreeMap<&str, &crate::job::Board> =
        job.boards.iter().map(|b| (b.name.as_str(), b)).collect();
    job.parts.iter().map(|part| net::net(part, boards.get(part.board.as_str()).copied())).collect()
}

/// The paths of the outermost boxes that stand free: not fixed to a wall, not hung, and not in a row.
pub fn stand_free(job: &Job) -> std::collections::BTreeSet<&str> {
    let mut free = not_fixed(job);
    for entry in job.boxes.iter().filter(|b| b.row.is_some()) {
        free.remove(entry.path.as_str());
    }
    free
}

/// The paths of the outermost boxes that are not fixed to a wall and do not hang.
pub fn not_fixed(job: &Job) -> std::collections::BTreeSet<&str> {
    let world = world::World::of(job);
    tipping::unfixed(&world).into_iter().filter_map(|b| job.boxes.get(b)).map(|b| b.path.as_str()).collect()
}

/// A figure to three digits or so: `0.12`, `4.5`, `123`.
pub fn short(value: f64) -> String {
    let places = match value.abs() {
        v if v >= 99.95 => 0,
        v if v >= 9.995 => 1,
        _ => 2,
    };
    let text = format!("{value:.places$}");
    match text.contains('.') {
        true => text.trim_end_matches('0').trim_end_matches('.').to_string(),
        false => text,
    }
}

/// The nearest floating-point figure.
pub(super) fn real(value: Rational) -> f64 {
    value.numerator() as f64 / value.denominator() as f64
}

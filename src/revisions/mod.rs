//! Two revisions of a design compared: what a change means for wood that is already cut, and for what has to
//! be bought.

mod model;

pub use model::*;

use crate::job::Job;
use crate::values::{Mm, Rational};
use std::collections::{BTreeMap, BTreeSet};

/// Compares two jobs. Either may have been read from a `job.json`: figures are compared as they stand there,
/// rounded to 0.000001 mm, and nothing is read that is not written there.
pub fn compare(old: &Job, new: &Job, options: &Options) -> Comparison {
    let _ = old;
    Comparison {
        tolerance: options.tolerance.unwrap_or(new.house.print),
        knows_cut: options.cut.is_some(),
        counts: BTreeMap::new(),
        parts: Vec::new(),
        boxes: Vec::new(),
        items: Vec::new(),
        boards: Vec::new(),
        bands: Vec::new(),
        figures: Vec::new(),
        messages: Vec::new(),
        notes: Vec::new(),
        acts: Vec::new(),
    }
}

/// What a spoiled part can still become, and what can replace it. `cut` are the paths of the parts that are cut
/// already; none of them where nobody says. `None` where the job has no such part.
pub fn spoiled(job: &Job, path: &str, cut: &BTreeSet<String>) -> Option<Spoiled> {
    let part = job.parts.iter().find(|p| p.path == path)?;
    let _ = cut;
    Some(Spoiled {
        part: PartRef {
            path: part.path.clone(),
            mark: part.mark.clone(),
            piece: part.piece,
            board: part.board.clone(),
            size: [part.length, part.width, Mm(part.thickness.0.max(Rational::ZERO))],
        },
        becomes: Vec::new(),
        replaced_by: Vec::new(),
        blanks: Vec::new(),
    })
}

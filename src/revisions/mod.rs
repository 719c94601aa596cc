//! Two revisions of a design compared: what a change means for wood that is already cut, and for what has to
//! be bought.

mod acts;
mod assign;
mod boards;
mod changes;
mod describe;
mod lists;
mod model;
mod pairing;
mod piece;
mod rework;
mod spoil;
mod stock;
mod wood;
mod work;

pub use model::*;
pub use spoil::spoiled;
pub use work::*;

use crate::job::Job;
use boards::Boards;
use std::collections::BTreeMap;
use wood::Wood;

/// Compares two jobs. Either may have been read from a `job.json`: figures are compared as they stand there,
/// rounded to 0.000001 mm, and nothing is read that is not written there.
pub fn compare(old: &Job, new: &Job, options: &Options) -> Comparison {
    let tolerance = options.tolerance.unwrap_or(new.house.print);
    let ticks = piece::tick(tolerance.0).max(piece::ROUNDING);
    let boards = Boards::of(old, new);
    let mut wood = Wood::of(old, new, &boards, ticks);
    let box_pairs = pairing::boxes(old, new, &mut wood);
    let pairs = pairing::parts(old, new, &box_pairs, &mut wood);
    let cut: Vec<bool> = match &options.cut {
        None => vec![true; old.parts.len()],
        Some(paths) => old.parts.iter().map(|p| paths.contains(&p.path)).collect(),
    };
    let assigned = assign::assign(&pairs, &cut, &mut wood);
    let table = changes::Table {
        old,
        new,
        pairs: &pairs,
        old_box: box_pairs.old_paths(old, new),
        cut: &cut,
        assigned: &assigned,
        style: new.house.style(),
    };
    let parts = changes::changes(&table, &mut wood);
    let mut counts = BTreeMap::new();
    for part in &parts {
        *counts.entry(part.verdict).or_default() += 1;
    }
    let mut comparison = Comparison {
        tolerance,
        knows_cut: options.cut.is_some(),
        counts,
        boxes: lists::boxes(old, new, &box_pairs),
        items: lists::items(old, new),
        boards: stock::boards(old, new, &boards, &cut, &assigned),
        bands: stock::bands(old, new, &cut, &assigned, &parts),
        figures: lists::figures(old, new),
        messages: lists::messages(old, new),
        notes: Vec::new(),
        parts,
        acts: Vec::new(),
    };
    comparison.notes = lists::notes(old, new, !comparison.is_same(), &comparison.boxes);
    if !comparison.is_same() {
        comparison.acts = acts::acts(&comparison);
    }
    comparison
}

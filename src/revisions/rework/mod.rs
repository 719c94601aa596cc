//! How an old piece of wood becomes a new part: every way of turning it that keeps length, width, thickness,
//! grain and good face, laid where its ends, holes and cuts suggest.

mod cover;
mod fit;
mod holes;

pub(super) use fit::{Fault, Fit, HoleFault, Left, Task};

use super::piece::{MM, Piece, ROUNDING, Tick, Turn};
use std::collections::BTreeMap;

/// Places tried on one axis, besides the ends: where the most features come to lie on each other.
const MOST_PLACES: usize = 12;
/// Distinct coordinates of features compared on one axis.
const MOST_FEATURES: usize = 96;

/// The cheapest way, or why there is none.
pub(super) fn rework(old: &Piece, new: &Piece, tolerance: Tick) -> Result<Fit, Vec<Fault>> {
    let mut best: Option<(u32, usize, Fit)> = None;
    let mut worst: Option<(usize, Vec<Fault>)> = None;
    let fail = |faults: Vec<Fault>, order: usize, worst: &mut Option<(usize, Vec<Fault>)>| {
        let weight = weight(&faults) + order;
        if worst.as_ref().is_none_or(|w| weight < w.0) {
            *worst = Some((weight, faults));
        }
    };
    let turns = Turn::all(old.axes, new.axes, new.grain);
    for (n, turn) in turns.into_iter().enumerate() {
        let laid = old.turned(&turn);
        let [l, w, _] = new.axes;
        let short: Vec<Fault> =
            [l, w].into_iter().filter_map(|axis| lacks(&laid, new, axis, tolerance)).collect();
        if !short.is_empty() {
            fail(short, n, &mut worst);
            continue;
        }
        let (along, wide) = (places(&laid, new, l, tolerance), places(&laid, new, w, tolerance));
        for a in &along {
            for b in &wide {
                let mut at = [0; 3];
                at[l] = *a;
                at[w] = *b;
                match fit::fit(&laid, turn, at, new, tolerance) {
                    Ok(fit) => {
                        let key = (fit.effort, n);
                        if best.as_ref().is_none_or(|b| key < (b.0, b.1)) {
                            // Nothing but the saw and the band that follows it can be cheaper nowhere.
                            let plain = fit.tasks.iter().all(|t| matches!(t, Task::Trim { .. }));
                            best = Some((fit.effort, n, fit));
                            if plain && n == 0 {
                                return best.map(|b| b.2).ok_or_else(Vec::new);
                            }
                        }
                    }
                    Err(faults) => fail(faults, n, &mut worst),
                }
            }
        }
    }
    match best {
        Some((_, _, fit)) => Ok(fit),
        None => Err(worst.map(|w| w.1).unwrap_or_default()),
    }
}

/// Fewer faults explain better; wood that is missing is said before anything else.
fn weight(faults: &[Fault]) -> usize {
    100 * faults.len()
}

/// Wood that is missing on an axis however the piece is shifted.
fn lacks(old: &Piece, new: &Piece, axis: usize, tolerance: Tick) -> Option<Fault> {
    let [low, high] = faces(axis);
    let same = old.bands[low as usize] == new.bands[low as usize]
        && old.bands[high as usize] == new.bands[high as usize];
    let missing = if same {
        new.size[axis] - old.size[axis]
    } else {
        let wood = |p: &Piece| p.size[axis] - p.band(low) - p.band(high);
        wood(new) - wood(old)
    };
    (missing > tolerance).then_some(Fault::Grows { axis, by: missing })
}

fn faces(axis: usize) -> [crate::geometry::Face; 2] {
    use crate::geometry::{Axis, Face};
    [false, true].map(|high| Face::of(Axis::ALL[axis], high))
}

/// Where the low end of the old piece may lie on an axis: flush with either end, with the wood flush at either
/// end, and where features of both come to lie on each other.
fn places(old: &Piece, new: &Piece, axis: usize, tolerance: Tick) -> Vec<Tick> {
    let [low, high] = faces(axis);
    let spare = old.size[axis] - new.size[axis];
    let highest = new.band(low) - old.band(low);
    let lowest = -spare - new.band(high) + old.band(high);
    let mut places = vec![0];
    if spare.abs() > tolerance {
        places.push(-spare);
    }
    for place in [highest, lowest] {
        if places.iter().all(|p| (p - place).abs() > ROUNDING) {
            places.push(place);
        }
    }
    if highest - lowest > tolerance {
        let (from, to) = (features(old, axis), features(new, axis));
        let mut votes: BTreeMap<Tick, usize> = BTreeMap::new();
        for (p, heavy) in &from {
            for (q, also) in &to {
                let place = q - p;
                if lowest <= place && place <= highest {
                    // Ends of cuts can rarely be mended; holes can.
                    *votes.entry(place).or_default() += if *heavy && *also { 20 } else { 1 };
                }
            }
        }
        let mut votes: Vec<(usize, Tick)> = votes.into_iter().map(|(place, n)| (n, place)).collect();
        votes.sort_by_key(|(n, place)| (std::cmp::Reverse(*n), place.abs(), *place));
        for (_, place) in votes.into_iter().take(MOST_PLACES) {
            if places.iter().all(|p| (p - place).abs() > ROUNDING) {
                places.push(place);
            }
        }
    }
    places
}

/// Coordinates of features on an axis; whether it is the end of a cut or a wide hole.
fn features(piece: &Piece, axis: usize) -> Vec<(Tick, bool)> {
    let mut all: BTreeMap<Tick, bool> = BTreeMap::new();
    for hole in piece.holes.iter().filter(|h| h.bench && h.axis() != axis) {
        *all.entry(hole.at[axis]).or_default() |= hole.widest() > 12 * MM;
    }
    for cut in &piece.cuts {
        all.insert(cut.block.lo[axis], true);
        all.insert(cut.block.hi[axis], true);
    }
    for end in [0, piece.size[axis]] {
        // An end of the new part may fall on the end of a cut or beside a hole: flush places cover the rest.
        all.entry(end).or_insert(true);
    }
    let mut list: Vec<(Tick, bool)> = all.into_iter().collect();
    if list.len() > MOST_FEATURES {
        let tail = list.split_off(list.len() - MOST_FEATURES / 2);
        list.truncate(MOST_FEATURES / 2);
        list.extend(tail);
    }
    list
}

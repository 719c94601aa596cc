//! How an old piece of wood becomes a new part: every way of turning it that keeps length, width, thickness,
//! grain and good face, laid where its ends, holes and cuts suggest.

mod cover;
mod fit;
mod holes;

pub(super) use fit::{Fault, Fit, HoleFault, Left, Task};

use super::piece::{MM, Piece, ROUNDING, Tick, Turn};
use std::collections::BTreeMap;

/// Places tried on one axis, besides the ends: where the most features come to lie on each other.
const MOST_PLACES: usize = 24;
/// Places tried on one axis at first: the ends, and the likeliest two or more.
const FEW_PLACES: usize = 6;
/// Distinct coordinates of features compared on one axis.
const MOST_FEATURES: usize = 96;

/// The way to lay an old piece that takes the least effort, or why there is none. Where `most` is given, a way that
/// takes no more effort, found by a quicker search.
///
/// Each turn is tried place by place, first along one axis and then along the other. Where that finds nothing and
/// `most` is not given, every pair of places is tried before it is said that there is no way.
pub(super) fn rework(
    old: &Piece,
    new: &Piece,
    tolerance: Tick,
    most: Option<u32>,
) -> Result<Fit, Vec<Fault>> {
    let mut search = Search { new, tolerance, most: most.unwrap_or(u32::MAX), best: None, worst: None };
    let [l, w, _] = new.axes;
    let mut turns = Vec::new();
    for (n, turn) in Turn::all(old.axes, new.axes, new.grain).into_iter().enumerate() {
        let laid = old.turned(&turn);
        let short: Vec<Fault> = [l, w].into_iter().filter_map(|i| lacks(&laid, new, i, tolerance)).collect();
        if !short.is_empty() {
            search.fail(short, n);
            continue;
        }
        let least = least(&laid, new, tolerance);
        turns.push((n, turn, laid, least));
    }
    // Where a piece may lie on an axis depends on what lies along that axis only.
    let mut known: BTreeMap<(usize, usize, bool), Vec<Tick>> = BTreeMap::new();
    let mut where_to = |turn: &Turn, laid: &Piece| {
        [l, w].map(|i| {
            let list = known.entry((i, turn.from[i], turn.flip[i]));
            list.or_insert_with(|| places(laid, new, i, tolerance)).clone()
        })
    };
    for (n, turn, laid, least) in &turns {
        if search.best.as_ref().is_some_and(|b| b.0 <= *least) {
            continue;
        }
        let [along, wide] = &where_to(turn, laid);
        let (mut a, mut b) = (along[0], wide[0]);
        for round in 0..3 {
            // What has gone one way once need not go it again.
            if round == 2 && b == wide[0] {
                break;
            }
            let places = if round % 2 == 0 { along } else { wide };
            let places = &places[..places.len().min(FEW_PLACES)];
            let mut found: Option<(u64, Tick)> = None;
            for place in places {
                let (x, y) = if round % 2 == 0 { (*place, b) } else { (a, *place) };
                let score = search.lay(laid, *turn, (x, y), *n);
                if found.is_none_or(|f| score < f.0) {
                    found = Some((score, *place));
                }
                if search.best.as_ref().is_some_and(|b| b.0 <= *least) {
                    break;
                }
            }
            if let Some((_, place)) = found {
                *(if round % 2 == 0 { &mut a } else { &mut b }) = place;
            }
        }
    }
    if search.best.is_none() && most.is_none() {
        for (n, turn, laid, _) in &turns {
            let [along, wide] = &where_to(turn, laid);
            if along.len() > 1 && wide.len() > 1 {
                for x in along {
                    for y in wide {
                        search.lay(laid, *turn, (*x, *y), *n);
                    }
                }
            }
        }
    }
    match search.best {
        Some((_, _, fit)) => Ok(fit),
        None => Err(search.worst.map(|w| w.1).unwrap_or_default()),
    }
}

struct Search<'a> {
    new: &'a Piece,
    tolerance: Tick,
    most: u32,
    /// Effort, number of the turn.
    best: Option<(u32, usize, Fit)>,
    worst: Option<(usize, Vec<Fault>)>,
}

impl Search<'_> {
    fn fail(&mut self, faults: Vec<Fault>, turn: usize) {
        let weight = 4 * turn + weight(&faults);
        if self.worst.as_ref().is_none_or(|w| weight < w.0) {
            self.worst = Some((weight, faults));
        }
    }

    /// Tries one place; the lower the score, the better.
    fn lay(&mut self, laid: &Piece, turn: Turn, (x, y): (Tick, Tick), n: usize) -> u64 {
        let [l, w, _] = self.new.axes;
        let mut at = [0; 3];
        (at[l], at[w]) = (x, y);
        let most = self.best.as_ref().map_or(self.most, |b| b.0);
        match fit::fit(laid, turn, at, self.new, self.tolerance, most) {
            Ok(fit) => {
                let score = u64::from(fit.effort);
                let key = (fit.effort, n);
                if self.best.as_ref().is_none_or(|b| key < (b.0, b.1)) {
                    self.best = Some((fit.effort, n, fit));
                }
                score
            }
            // Too long, and yet a way.
            Err(faults) if faults.is_empty() => u64::from(u32::MAX),
            Err(faults) => {
                let score = u64::from(u32::MAX) + 1 + faults.len() as u64;
                self.fail(faults, n);
                score
            }
        }
    }
}

/// Less effort than this it cannot take: its edges, and the holes that there are too few of.
fn least(old: &Piece, new: &Piece, tolerance: Tick) -> u32 {
    let bench = |p: &Piece| p.holes.iter().filter(|h| h.bench).count();
    let holes = u32::try_from(bench(new).saturating_sub(bench(old))).unwrap_or(0).saturating_mul(fit::DRILL);
    // Anywhere between the ends both edges have to be cut.
    let edges = new.axes[..2].iter().map(|axis| {
        let at = |place: &Tick| {
            faces(*axis).into_iter().try_fold(0, |sum, face| {
                let banded = new.bands[face as usize].is_some();
                Some(sum + fit::edge_effort(fit::edge(old, new, face, *place, tolerance), banded)?)
            })
        };
        ends(old, new, *axis, tolerance).iter().filter_map(at).min().unwrap_or(0)
    });
    holes + edges.sum::<u32>()
}

/// Fewer faults explain better; wood that is missing is said before anything else.
fn weight(faults: &[Fault]) -> usize {
    faults.len()
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
    let mut places = ends(old, new, axis, tolerance);
    let (lowest, highest) = room(old, new, axis);
    if highest - lowest > tolerance {
        let (from, to) = (features(old, axis), features(new, axis));
        let mut votes: Vec<(Tick, usize)> = Vec::new();
        for (p, heavy) in &from {
            for (q, also) in &to {
                let place = q - p;
                if lowest <= place && place <= highest {
                    // Ends of cuts can rarely be mended; holes can.
                    votes.push((place, if *heavy && *also { 20 } else { 1 }));
                }
            }
        }
        // Where a hole only just stays whole at a new edge.
        for hole in old.holes.iter().filter(|h| h.bench && h.axis() != axis) {
            let r = hole.widest().div_euclid(2);
            for place in [-(hole.at[axis] - r), new.size[axis] - hole.at[axis] - r] {
                if lowest <= place && place <= highest {
                    votes.push((place, 1));
                }
            }
        }
        votes.sort_unstable();
        votes.dedup_by(|next, first| {
            let same = next.0 == first.0;
            if same {
                first.1 += next.1;
            }
            same
        });
        votes.sort_by_key(|(place, n)| (std::cmp::Reverse(*n), place.abs(), *place));
        for (place, _) in votes.into_iter().take(MOST_PLACES) {
            if places.iter().all(|p| (p - place).abs() > ROUNDING) {
                places.push(place);
            }
        }
    }
    places
}

/// The least and the most that the low end may lie at, so that there is wood from end to end.
fn room(old: &Piece, new: &Piece, axis: usize) -> (Tick, Tick) {
    let [low, high] = faces(axis);
    let spare = old.size[axis] - new.size[axis];
    (old.band(high) - new.band(high) - spare, new.band(low) - old.band(low))
}

/// Flush with either end, with the wood flush at either end, and in the middle, where there is wood enough.
fn ends(old: &Piece, new: &Piece, axis: usize, tolerance: Tick) -> Vec<Tick> {
    let spare = old.size[axis] - new.size[axis];
    let (lowest, highest) = room(old, new, axis);
    let mut places: Vec<Tick> = Vec::with_capacity(5);
    for place in [0, -spare, highest, lowest, lowest + (highest - lowest) / 2] {
        let apart = places.iter().all(|p| (p - place).abs() > tolerance);
        if apart && lowest - tolerance <= place && place <= highest + tolerance {
            places.push(place);
        }
    }
    if places.is_empty() {
        places.push(0);
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

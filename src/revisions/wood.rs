//! The pieces of wood of two jobs, each distinct one once.

use super::boards::Boards;
use super::piece::{Block, Context, Edge, Piece, Tick, Turn, tick};
use super::rework::{Fault, Fit, rework};
use crate::geometry::Face;
use crate::job::{Job, Part};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A distinct piece, as it lies in its box.
pub(super) type Class = usize;

/// A piece by its figures, however it is turned.
pub(super) type Key = Vec<Tick>;

type Outcome = Rc<Result<Fit, Vec<Fault>>>;

/// Pieces of both jobs.
pub(super) struct Wood {
    pub pieces: Vec<Piece>,
    keys: Vec<Option<Rc<Key>>>,
    /// The class of each part, by its number in its job.
    pub old: Vec<Class>,
    pub new: Vec<Class>,
    /// Where each part lies in its box.
    pub old_places: Vec<Block>,
    pub new_places: Vec<Block>,
    outcomes: BTreeMap<(Class, Class), Outcome>,
    tolerance: Tick,
}

struct Words(BTreeMap<(String, Tick, bool), u32>);

impl Words {
    fn of(jobs: [&Job; 2]) -> Words {
        let mut words = BTreeMap::new();
        for band in jobs.into_iter().flat_map(|j| &j.bands) {
            let next = words.len() as u32;
            words.entry((band.name.clone(), tick(band.thickness.0), band.deduct)).or_insert(next);
        }
        Words(words)
    }

    fn edges(&self, job: &Job) -> BTreeMap<String, Edge> {
        job.bands
            .iter()
            .map(|band| {
                let key = (band.name.clone(), tick(band.thickness.0), band.deduct);
                let word = self.0.get(&key).copied().unwrap_or(u32::MAX);
                (band.name.clone(), Edge { word, thickness: if band.deduct { key.1 } else { 0 } })
            })
            .collect()
    }
}

/// The low corner of each box's place.
fn corners(job: &Job) -> BTreeMap<&str, [Tick; 3]> {
    job.boxes.iter().map(|b| (b.path.as_str(), Block::of(&b.place).lo)).collect()
}

impl Wood {
    pub fn of(old: &Job, new: &Job, boards: &Boards, tolerance: Tick) -> Wood {
        let words = Words::of([old, new]);
        let mut classes: BTreeMap<Piece, Class> = BTreeMap::new();
        let mut read = |job: &Job, is_old: bool| {
            let (edges, corners) = (words.edges(job), corners(job));
            let band = |name: &str| edges.get(name).copied().unwrap_or(Edge { word: u32::MAX, thickness: 0 });
            let (mut list, mut places) = (Vec::new(), Vec::new());
            for part in &job.parts {
                let corner = corners.get(part.box_path.as_str()).copied().unwrap_or_default();
                let (board, thickness) = match is_old {
                    true => boards.of_old(&part.board),
                    false => (boards.of_new(&part.board), None),
                };
                let piece = Piece::of(part, &Context { corner, board, thickness, band: &band });
                let next = classes.len();
                list.push(*classes.entry(piece).or_insert(next));
                places.push(Block::of(&part.place).shifted(corner.map(|c| -c)));
            }
            (list, places)
        };
        let (old, old_places) = read(old, true);
        let (new, new_places) = read(new, false);
        let mut pieces: Vec<(Class, Piece)> =
            classes.into_iter().map(|(piece, class)| (class, piece)).collect();
        pieces.sort_by_key(|p| p.0);
        let pieces: Vec<Piece> = pieces.into_iter().map(|p| p.1).collect();
        let keys = vec![None; pieces.len()];
        Wood { pieces, keys, old, new, old_places, new_places, outcomes: BTreeMap::new(), tolerance }
    }

    /// How one piece becomes another, worked out once.
    pub fn outcome(&mut self, from: Class, to: Class) -> Outcome {
        if let Some(known) = self.outcomes.get(&(from, to)) {
            return known.clone();
        }
        let outcome = match (self.pieces.get(from), self.pieces.get(to)) {
            (Some(a), Some(b)) if a.board == b.board => Rc::new(rework(a, b, self.tolerance, None)),
            _ => Rc::new(Err(Vec::new())),
        };
        self.outcomes.insert((from, to), outcome.clone());
        outcome
    }

    /// How one piece becomes another in at most so many minutes; not kept.
    pub fn quick(&self, from: Class, to: Class, most: u32) -> Option<Fit> {
        match (self.pieces.get(from), self.pieces.get(to)) {
            (Some(a), Some(b)) if a.board == b.board => rework(a, b, self.tolerance, Some(most)).ok(),
            _ => None,
        }
    }

    /// Equal for pieces that are the same by turning.
    pub fn key(&mut self, class: Class) -> Rc<Key> {
        if let Some(Some(key)) = self.keys.get(class) {
            return key.clone();
        }
        let key = Rc::new(self.pieces.get(class).map(key).unwrap_or_default());
        if let Some(slot) = self.keys.get_mut(class) {
            *slot = Some(key.clone());
        }
        key
    }

    /// The area of its face, in ticks squared, before banding.
    pub fn cut_area(part: &Part) -> i128 {
        i128::from(tick(part.cut.length.0)) * i128::from(tick(part.cut.width.0))
    }
}

/// Rounded so coarsely that neither rounding nor where in its box a part lies tells: to 0.0001 mm, with the step
/// between figures that lengths in tenths and in 1/128 inch do not fall on.
fn coarse(t: Tick) -> Tick {
    (t + 37).div_euclid(100)
}

fn key(piece: &Piece) -> Key {
    let turns = Turn::all(piece.axes, [0, 1, 2], piece.grain);
    let written = turns.into_iter().map(|turn| {
        let p = piece.turned(&turn);
        let mut rows: Vec<Vec<Tick>> = Vec::with_capacity(p.cuts.len() + p.holes.len() + p.bevels.len());
        for h in p.holes.iter().filter(|h| h.bench) {
            let plain = h.is_plain();
            let face = if plain { 6 + h.axis() as Tick } else { h.face as Tick };
            let mut at = h.at;
            at[h.axis()] = 0;
            let mut row = vec![0, face, coarse(at[0]), coarse(at[1]), coarse(at[2]), coarse(h.dia)];
            row.push(if h.through { -1 } else { coarse(h.depth) });
            row.extend(h.steps.iter().flatten().map(|s| coarse(*s)));
            rows.push(row);
        }
        for c in &p.cuts {
            let mut row = vec![1];
            row.extend(c.block.lo.iter().chain(&c.block.hi).map(|t| coarse(*t)));
            row.extend(c.round.map_or([0, -1], |(dia, along)| [coarse(dia), along as Tick]));
            rows.push(row);
        }
        for b in &p.bevels {
            rows.push(vec![2, b.face as Tick, b.long_side as Tick, coarse(b.rise), coarse(b.run)]);
        }
        rows.sort_unstable();
        let good = p.good.map_or(-1, |f| f as Tick);
        let mut key = vec![Tick::from(p.board.0), Tick::from(p.grain), good];
        key.extend(p.size.map(coarse));
        key.extend(Face::ALL.map(|f| p.bands[f as usize].map_or(-1, |e| Tick::from(e.word))));
        for row in rows {
            key.push(row.len() as Tick);
            key.extend(row);
        }
        key
    });
    written.min().unwrap_or_default()
}

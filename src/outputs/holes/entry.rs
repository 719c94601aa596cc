//! Holes of a face in the order of their numbers, dense rows gathered.

use super::super::drawing::float;
use crate::geometry::{Axis, Face};
use crate::job::{Bored, Hole, Part, Step};
use crate::values::Rational;
use std::collections::BTreeMap;

/// Five or more at one pitch are a dense row.
const DENSE: usize = 5;

/// A hole, or a dense row of equal holes; `holes` run from the datum edge.
#[derive(Clone, Debug)]
pub struct Entry<'a> {
    pub holes: Vec<&'a Hole>,
    /// The number of its first hole.
    pub number: usize,
    /// For a row: which of the two distances runs (0 or 1), and the pitch.
    pub row: Option<(usize, Rational)>,
}

impl<'a> Entry<'a> {
    pub fn first(&self) -> Option<&'a Hole> {
        self.holes.first().copied()
    }

    pub fn last(&self) -> Option<&'a Hole> {
        self.holes.last().copied()
    }
}

/// Distances from the low ends of the two axes of a hole's face, as `at` names them.
pub fn from_low(part: &Part, hole: &Hole) -> [(Axis, Rational); 2] {
    let one = |edge: Face, mm: Rational| {
        let axis = edge.axis();
        let low = if edge.is_high() { part.size(axis).sub(mm).unwrap_or(mm) } else { mm };
        (axis, low)
    };
    let ([a, b], [u, v]) = (hole.at.from, hole.at.mm);
    [one(a, u.0), one(b, v.0)]
}

/// Distance from the low end of one axis, in mm as a float.
pub fn along(part: &Part, hole: &Hole, axis: Axis) -> f64 {
    from_low(part, hole).iter().find(|(a, _)| *a == axis).map_or(0.0, |(_, mm)| float(*mm))
}

/// What makes two holes equal work.
type Kind = (Rational, Rational, bool, Vec<(Rational, Rational, Rational)>, bool, Vec<String>);

pub fn kind(hole: &Hole) -> Kind {
    let step = |s: &Step| (s.dia.0, s.end_dia.0, s.depth.0);
    (
        hole.dia.0,
        hole.depth.0,
        hole.through,
        hole.profile.iter().map(step).collect(),
        hole.bored == Bored::InPlace,
        hole.purposes.clone(),
    )
}

/// Gathers dense rows and numbers everything from `next` on: from the near edge (the second
/// distance), then from the other.
pub fn entries<'a>(holes: &[&'a Hole], next: &mut usize) -> Vec<Entry<'a>> {
    let mut kinds: BTreeMap<Kind, Vec<&'a Hole>> = BTreeMap::new();
    for hole in holes {
        kinds.entry(kind(hole)).or_default().push(hole);
    }
    let mut entries = Vec::new();
    for (_, group) in kinds {
        let (rows, rest) = rows(group, 1);
        entries.extend(rows);
        let (rows, rest) = self::rows(rest, 0);
        entries.extend(rows);
        entries.extend(rest.into_iter().map(|h| Entry { holes: vec![h], number: 0, row: None }));
    }
    entries.sort_by_key(|e| e.first().map(|h| (distance(h, 1), distance(h, 0), h.id.clone())));
    for entry in &mut entries {
        entry.number = *next;
        *next += entry.holes.len();
    }
    entries
}

fn distance(hole: &Hole, which: usize) -> Rational {
    let [u, v] = hole.at.mm;
    if which == 0 { u.0 } else { v.0 }
}

/// Takes out the runs of five or more along one distance.
fn rows(group: Vec<&Hole>, running: usize) -> (Vec<Entry<'_>>, Vec<&Hole>) {
    let mut lines: BTreeMap<Rational, Vec<&Hole>> = BTreeMap::new();
    for hole in group {
        lines.entry(distance(hole, 1 - running)).or_default().push(hole);
    }
    let (mut rows, mut rest) = (Vec::new(), Vec::new());
    for (_, mut line) in lines {
        line.sort_by_key(|h| distance(h, running));
        let mut current: Vec<&Hole> = Vec::new();
        let mut pitch: Option<Rational> = None;
        for hole in line {
            let step = current.last().and_then(|l| distance(hole, running).sub(distance(l, running)).ok());
            let fits = match (step, pitch) {
                (None, _) | (Some(_), None) => true,
                (Some(step), Some(pitch)) => step == pitch,
            };
            if !fits {
                // The last hole may be the first of the next row.
                let start = current.last().copied();
                close(&mut current, pitch, running, &mut rows, &mut rest);
                pitch = None;
                if let Some(start) = start
                    && rest.last().is_some_and(|h| h.id == start.id)
                {
                    rest.pop();
                    current.push(start);
                    pitch = distance(hole, running).sub(distance(start, running)).ok();
                }
            } else if pitch.is_none() {
                pitch = step;
            }
            current.push(hole);
        }
        close(&mut current, pitch, running, &mut rows, &mut rest);
    }
    (rows, rest)
}

fn close<'a>(
    current: &mut Vec<&'a Hole>,
    pitch: Option<Rational>,
    running: usize,
    rows: &mut Vec<Entry<'a>>,
    rest: &mut Vec<&'a Hole>,
) {
    let holes = std::mem::take(current);
    match pitch {
        Some(pitch) if holes.len() >= DENSE => {
            rows.push(Entry { holes, number: 0, row: Some((running, pitch)) });
        }
        _ => rest.extend(holes),
    }
}

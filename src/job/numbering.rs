//! The order in which holes are numbered on maps and in tables: face by face as the maps show them,
//! dense rows gathered so that one row has one stretch of numbers.

use super::{Axis, Bored, Face, Hole, Part, Step};
use crate::values::Rational;
use std::collections::BTreeMap;

/// Five or more at one pitch are a dense row.
const DENSE: usize = 5;

/// A hole, or a dense row of equal holes; `holes` run from the datum edge.
#[derive(Clone, Debug)]
pub struct Numbered<'a> {
    pub holes: Vec<&'a Hole>,
    /// The number of its first hole.
    pub number: usize,
    /// For a row: which of the two distances runs (0 or 1), and the pitch.
    pub row: Option<(usize, Rational)>,
}

impl<'a> Numbered<'a> {
    pub fn first(&self) -> Option<&'a Hole> {
        self.holes.first().copied()
    }

    pub fn last(&self) -> Option<&'a Hole> {
        self.holes.last().copied()
    }
}

/// The faces of a part in the order of its maps: the wide face that looks into the box (for a part
/// inside it the left, top or front one), the edges folded out beside it, the other wide face.
pub fn face_order(part: &Part) -> Vec<Face> {
    let [low, high] = part.wide_faces();
    let first = part
        .inner
        .filter(|f| part.is_wide(*f))
        .or(part.outer.filter(|f| part.is_wide(*f)).map(Face::opposite));
    let first = first.unwrap_or(if part.axes[2] == Axis::Y { high } else { low });
    let mut faces = vec![first];
    faces.extend(Face::ALL.into_iter().filter(|f| !part.is_wide(*f)));
    faces.push(first.opposite());
    faces
}

/// The holes of a part with their numbers from 1: face by face, on each what is bored at the bench
/// first, from the bottom and then from the front (on level faces from the front and then from the
/// left); dense rows in one.
pub fn numbered(part: &Part) -> Vec<(Face, Vec<Numbered<'_>>)> {
    let mut next = 1;
    face_order(part)
        .into_iter()
        .map(|face| {
            let mut all = Vec::new();
            for bored in [Bored::Bench, Bored::InPlace] {
                let holes = part.holes.iter().filter(|h| h.face == face && h.bored == bored).collect();
                all.extend(on_face(holes, &mut next));
            }
            (face, all)
        })
        .collect()
}

/// The holes of a part in the order of their numbers; the first has number 1.
pub fn numbered_holes(part: &Part) -> Vec<&Hole> {
    numbered(part).into_iter().flat_map(|(_, all)| all).flat_map(|n| n.holes).collect()
}

/// What makes two holes equal work.
type Kind = (Rational, Rational, bool, Vec<(Rational, Rational, Rational)>, bool, Vec<String>);

fn kind(hole: &Hole) -> Kind {
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

fn on_face<'a>(holes: Vec<&'a Hole>, next: &mut usize) -> Vec<Numbered<'a>> {
    let mut kinds: BTreeMap<Kind, Vec<&'a Hole>> = BTreeMap::new();
    for hole in holes {
        kinds.entry(kind(hole)).or_default().push(hole);
    }
    let mut all = Vec::new();
    for (_, group) in kinds {
        let (upright, rest) = rows(group, 1);
        let (level, rest) = rows(rest, 0);
        all.extend(upright);
        all.extend(level);
        all.extend(rest.into_iter().map(|h| Numbered { holes: vec![h], number: 0, row: None }));
    }
    all.sort_by_key(|e| e.first().map(|h| (distance(h, 1), distance(h, 0), h.dia.0, h.id.clone())));
    for entry in &mut all {
        entry.number = *next;
        *next += entry.holes.len();
    }
    all
}

fn distance(hole: &Hole, which: usize) -> Rational {
    let [u, v] = hole.at.mm;
    if which == 0 { u.0 } else { v.0 }
}

/// Takes out the runs of five or more along one distance.
fn rows(group: Vec<&Hole>, running: usize) -> (Vec<Numbered<'_>>, Vec<&Hole>) {
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
    rows: &mut Vec<Numbered<'a>>,
    rest: &mut Vec<&'a Hole>,
) {
    let holes = std::mem::take(current);
    match pitch {
        Some(pitch) if holes.len() >= DENSE => {
            rows.push(Numbered { holes, number: 0, row: Some((running, pitch)) });
        }
        _ => rest.extend(holes),
    }
}

//! Holes of one face put into rows of a table: five or more alike at one pitch are one row.

use crate::job::{At, Hole, Mm};
use crate::values::{Rational, Style};

/// So many equal holes at one pitch are a row of holes (a shop reads first, pitch and last).
const LEAST: usize = 5;

/// One row of a table: a hole, or a row of holes at one pitch.
pub struct Row<'a> {
    /// The first hole.
    pub hole: &'a Hole,
    first: usize,
    last: usize,
    count: usize,
    /// Which of the two distances runs, its last value, and the pitch.
    run: Option<(usize, Rational, Rational)>,
}

impl Row<'_> {
    /// `7`, or `7…43` for a row of holes.
    pub fn numbers(&self) -> String {
        if self.count == 1 { self.first.to_string() } else { format!("{}…{}", self.first, self.last) }
    }

    /// One of the two distances: `37`, or `124 to 1276: 37 every 32` for the one that runs.
    pub fn place(&self, style: Style, which: usize) -> String {
        let from = self.hole.at.mm[which].0;
        match self.run {
            Some((axis, to, pitch)) if axis == which => format!(
                "{} to {}: {} every {}",
                style.figure(from),
                style.figure(to),
                self.count,
                style.figure(pitch)
            ),
            _ => style.figure(from),
        }
    }
}

/// The rows of some numbered holes of one face, in the order of their first numbers.
pub fn rows<'a>(holes: &[(usize, &'a Hole)]) -> Vec<Row<'a>> {
    let mut left: Vec<(usize, &Hole)> = holes.to_vec();
    let mut out = Vec::new();
    // Up the face first, then across it.
    for axis in [1, 0] {
        left.sort_by(|a, b| {
            let key = |h: &Hole| (h.at.mm[1 - axis], h.dia, h.through, h.depth, h.bored);
            let alike = |h: &'a Hole| (&h.purposes, h.profile.len());
            key(a.1)
                .cmp(&key(b.1))
                .then_with(|| alike(a.1).cmp(&alike(b.1)))
                .then_with(|| a.1.at.mm[axis].cmp(&b.1.at.mm[axis]))
        });
        left = pick_runs(&left, axis, &mut out);
    }
    let single = |(no, hole): (usize, &'a Hole)| Row { hole, first: no, last: no, count: 1, run: None };
    out.extend(left.into_iter().map(single));
    out.sort_by_key(|row| row.first);
    out
}

/// Takes the longest runs at one pitch out of sorted holes; gives what is left.
fn pick_runs<'a>(
    sorted: &[(usize, &'a Hole)],
    axis: usize,
    out: &mut Vec<Row<'a>>,
) -> Vec<(usize, &'a Hole)> {
    let mut left = Vec::new();
    let mut start = 0;
    while let Some((no, hole)) = sorted.get(start).copied() {
        let step = |at: usize| -> Option<Rational> {
            let (a, b) = (sorted.get(at)?.1, sorted.get(at + 1)?.1);
            alike(a, b, axis).then(|| b.at.mm[axis].0.sub(a.at.mm[axis].0).ok()).flatten()
        };
        let mut end = start;
        let pitch = step(start);
        while pitch.is_some() && step(end) == pitch {
            end += 1;
        }
        let count = end - start + 1;
        match (pitch, sorted.get(end)) {
            (Some(pitch), Some((last, end_hole))) if count >= LEAST && pitch.is_positive() => {
                let run = Some((axis, end_hole.at.mm[axis].0, pitch));
                out.push(Row { hole, first: no, last: *last, count, run });
                start = end + 1;
            }
            _ => {
                left.push((no, hole));
                start += 1;
            }
        }
    }
    left
}

/// True where two holes differ by nothing but one distance.
fn alike(a: &Hole, b: &Hole, axis: usize) -> bool {
    let fixed = |at: &At| -> (Mm, _) { (at.mm[1 - axis], at.from) };
    fixed(&a.at) == fixed(&b.at)
        && (a.dia, a.through, a.depth, a.bored) == (b.dia, b.through, b.depth, b.bored)
        && a.profile == b.profile
        && a.purposes == b.purposes
}

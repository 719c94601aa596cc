//! Net weight of a part: its finished cuboid less what is taken out of it.

use super::real;
use crate::geometry::{Axis, Cuboid, Interval};
use crate::job::{Board, Cut, Hole, Part};
use std::f64::consts::PI;
use std::ops::AddAssign;

/// A weight, and how many parts in it are not known because their board states no density.
#[derive(Clone, Copy, PartialEq, Debug, Default)]
pub struct Mass {
    /// kg of all that is known.
    pub kg: f64,
    pub unknown: usize,
}

impl Mass {
    pub(super) fn of(kg: Option<f64>) -> Mass {
        Mass { kg: kg.unwrap_or(0.0), unknown: usize::from(kg.is_none()) }
    }

    pub(super) fn known(kg: f64) -> Mass {
        Mass { kg, unknown: 0 }
    }

    pub(super) fn times(self, share: f64) -> Mass {
        Mass { kg: self.kg * share, ..self }
    }

    /// The weight where all of it is known.
    pub fn whole(self) -> Option<f64> {
        (self.unknown == 0).then_some(self.kg)
    }
}

impl AddAssign for Mass {
    fn add_assign(&mut self, other: Mass) {
        self.kg += other.kg;
        self.unknown += other.unknown;
    }
}

pub(super) fn length(r: Interval) -> f64 {
    (real(r.hi) - real(r.lo)).max(0.0)
}

pub(super) fn volume(c: &Cuboid) -> f64 {
    length(c.x) * length(c.y) * length(c.z)
}

/// kg of the finished cuboid, where the density is known.
pub(super) fn gross(part: &Part, board: Option<&Board>) -> Option<f64> {
    let density = real(board?.density?.0);
    Some(density * volume(&part.place) / 1e9)
}

/// kg of what is left after cuts, holes and bevels, where the density is known.
pub(super) fn net(part: &Part, board: Option<&Board>) -> Option<f64> {
    let density = real(board?.density?.0);
    let mut left = volume(&part.place);
    left -= part.cuts.iter().map(|c| cut(part, c)).sum::<f64>();
    left -= part.holes.iter().map(hole).sum::<f64>();
    for bevel in &part.bevels {
        // A triangle over the length of the edge, which lies on the axis that is left.
        let along = Axis::ALL.into_iter().find(|a| *a != bevel.face.axis() && *a != bevel.long_side.axis());
        let run = along.map_or(0.0, |a| length(part.place.on(a)));
        left -= real(bevel.rise.0) * real(bevel.run.0) / 2.0 * run;
    }
    Some(density * left.max(0.0) / 1e9)
}

fn cut(part: &Part, cut: &Cut) -> f64 {
    let mut sizes = [0.0; 3];
    for (size, axis) in sizes.iter_mut().zip(Axis::ALL) {
        let (c, p) = (cut.cuboid.on(axis), part.own.on(axis));
        *size = (real(c.hi.min(p.hi)) - real(c.lo.max(p.lo))).max(0.0);
    }
    let [x, y, z] = sizes;
    let mut all = x * y * z;
    if let Some(dia) = cut.dia {
        // Round ends: the four corners stay.
        let (dia, deep) = (real(dia.0), length(cut.cuboid.on(cut.face.axis())));
        all -= dia * dia * (1.0 - PI / 4.0) * deep;
    }
    all.max(0.0)
}

/// mm3 of a hole with the wider steps at its mouth.
fn hole(hole: &Hole) -> f64 {
    let depth = real(hole.depth.0);
    let (mut all, mut done) = (0.0, 0.0);
    for step in &hole.profile {
        let (a, b, end) = (real(step.dia.0), real(step.end_dia.0), real(step.depth.0).min(depth));
        // A frustum; a cylinder where both ends are equal.
        all += PI / 12.0 * (a * a + a * b + b * b) * (end - done).max(0.0);
        done = end.max(done);
    }
    let dia = real(hole.dia.0);
    all + PI / 4.0 * dia * dia * (depth - done).max(0.0)
}

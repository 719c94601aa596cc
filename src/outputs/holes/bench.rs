//! How a part lies on the bench with one wide face up: which way its edges point.

use super::super::drawing::float;
use crate::geometry::{Axis, Face};
use crate::job::Part;

/// A side of the paper.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Side {
    Left,
    Right,
    Near,
    Far,
}

impl Side {
    pub const ALL: [Side; 4] = [Side::Left, Side::Right, Side::Near, Side::Far];

    /// Where the edge lies, seen by the person at the bench.
    pub fn words(self) -> &'static str {
        match self {
            Side::Left => "to your LEFT",
            Side::Right => "to your RIGHT",
            Side::Near => "towards you",
            Side::Far => "away from you",
        }
    }

    pub fn is_upright(self) -> bool {
        matches!(self, Side::Left | Side::Right)
    }
}

/// A wide face up on the bench. The bottom edge lies towards you; for a level part, which has no
/// bottom edge, the front edge does.
///
/// With x right, y up and z away from the person looking at the front, somebody who looks at a left
/// face from outside has the front on the right, at a right face on the left; at a rear face, the
/// left side on the right; under a bottom face with the front towards them, the left on the right.
#[derive(Clone, Copy, Debug)]
pub struct Bench {
    pub face: Face,
    /// The axis that runs across the paper, and the one that runs away from you.
    pub across: Axis,
    pub away: Axis,
    /// True where the low end of `across` lies on the right.
    pub turned: bool,
    /// Extents in mm.
    pub width: f64,
    pub depth: f64,
}

impl Bench {
    pub fn new(part: &Part, face: Face) -> Bench {
        let (across, away) = match face.axis() {
            Axis::X => (Axis::Z, Axis::Y),
            Axis::Y => (Axis::X, Axis::Z),
            Axis::Z => (Axis::X, Axis::Y),
        };
        let turned = matches!(face, Face::Left | Face::Bottom | Face::Rear);
        let size = |axis| float(part.size(axis));
        Bench { face, across, away, turned, width: size(across), depth: size(away) }
    }

    /// The edge of the part that lies on a side of the paper.
    pub fn edge(&self, side: Side) -> Face {
        match side {
            Side::Left => Face::of(self.across, self.turned),
            Side::Right => Face::of(self.across, !self.turned),
            Side::Near => Face::of(self.away, false),
            Side::Far => Face::of(self.away, true),
        }
    }

    /// The side of the paper on which an edge lies.
    pub fn side(&self, edge: Face) -> Option<Side> {
        Side::ALL.into_iter().find(|s| self.edge(*s) == edge)
    }

    /// The edge that the heavy line marks: the front, or the bottom of a part that faces the front.
    pub fn key(&self) -> Face {
        if self.face.axis() == Axis::Z { Face::Bottom } else { Face::Front }
    }

    /// From the left and from the near side of the paper, in mm of the part, of a place given by its
    /// distances from the low ends of the two axes.
    pub fn place(&self, across: f64, away: f64) -> (f64, f64) {
        (if self.turned { self.width - across } else { across }, away)
    }
}

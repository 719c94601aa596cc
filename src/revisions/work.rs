//! What is done to an old piece of wood so that it becomes a new part, as plain data.
//!
//! Figures and faces are in the frame of the new part: see [`Comparison`](super::Comparison).

use crate::geometry::{Axis, Cuboid, Face, Interval, Run, Shape};
use crate::job::{At, Bored, Step};
use crate::values::{Figure, Mm};
use schemars::JsonSchema;
use serde::Serialize;

/// An old piece and what is done to it, in this order, so that it becomes a new part.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct Rework {
    /// The path of the old part whose piece it is.
    pub of: String,
    /// The mark written on it.
    pub mark: String,
    pub laid: Laid,
    /// In the order of [`WorkKind`].
    pub works: Vec<Work>,
    pub survives: Survives,
    /// Differences within the tolerance, left as they are.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub within: Vec<Within>,
    /// What falls off when it is trimmed, mm2 of board.
    pub waste: Figure,
    /// About how long it takes, in minutes: a judgement, used to choose among ways and for nothing else.
    pub effort: u32,
}

impl Rework {
    /// True where nothing is done to the piece.
    pub fn is_idle(&self) -> bool {
        self.works.is_empty()
    }

    /// True where making a new part would be quicker, about: more than half an hour of plugging and drilling.
    /// Our judgement, no source.
    pub fn is_long(&self) -> bool {
        self.effort > 30
    }
}

/// How an old piece is laid into the frame of a new part.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct Laid {
    /// For each of x, y and z: the axis of the old piece that lies there.
    pub axes: [Axis; 3],
    /// For each of x, y and z: whether the old axis runs the other way.
    pub turned: [bool; 3],
    /// Where the low corner of the old finished piece comes to lie, once it is turned.
    pub at: [Mm; 3],
    /// The size of the old finished piece on x, y and z, once it is turned.
    pub size: [Mm; 3],
}

impl Laid {
    /// The face of the new part where a face of the old piece comes to lie.
    pub fn face(&self, old: Face) -> Face {
        for (axis, (from, turned)) in Axis::ALL.into_iter().zip(self.axes.into_iter().zip(self.turned)) {
            if from == old.axis() {
                return Face::of(axis, old.is_high() != turned);
            }
        }
        old
    }

    /// The face of the old piece that lies at a face of the new part.
    pub fn old_face(&self, new: Face) -> Face {
        let i = new.axis() as usize;
        Face::of(self.axes[i], new.is_high() != self.turned[i])
    }

    /// True where the piece lies as it did.
    pub fn is_upright(&self) -> bool {
        self.axes == Axis::ALL && self.turned == [false; 3]
    }
}

/// One thing that is done to a piece. Figures are in the frame of the new part.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Work {
    /// Cut an edge off. What lies beyond `line` goes.
    Trim {
        /// The edge, as it lies in the new part.
        face: Face,
        /// The same edge as it lay in the old part.
        old_face: Face,
        /// Between the old finished edge and the saw's line.
        off: Mm,
        /// Where the saw's line is on the face's axis; a new band goes on outside it.
        line: Mm,
        /// By how much the finished part gets shorter at this edge (`off` less the new band); may be nought,
        /// where an edge is cut back only to make room for a band.
        shorter: Mm,
        /// The band that goes off with the edge.
        #[serde(skip_serializing_if = "Option::is_none")]
        band: Option<String>,
        /// What is there and goes with it: `band`, `groove`, `housing`, `rebate`, `notch`, `slot`, `bevel`, `holes`;
        /// `end of the groove` where the rest of it stays.
        there: Vec<String>,
    },
    /// Take a band off and leave the wood as it is.
    Strip {
        face: Face,
        old_face: Face,
        band: String,
        /// By how much the part gets shorter by it; nought for a band that is not counted in the size.
        thickness: Mm,
    },
    /// Glue a band on an edge.
    Band {
        face: Face,
        band: String,
        /// By how much it makes the part longer or wider; nought for one that is not counted in the size.
        thickness: Mm,
        /// Whether the edge had a band that was trimmed off before.
        again: bool,
    },
    /// Close an old hole with a glued-in plug and cut it flush.
    Plug {
        /// The id of the old hole.
        id: String,
        face: Face,
        at: At,
        dia: Mm,
        depth: Mm,
        through: bool,
        profile: Vec<Step>,
        /// What is filled, on the face's axis, from low to high: all that is left of the hole, or what is too deep.
        span: Interval,
        /// Why: `not wanted`, `moved`, `shallower`, `narrower`, `other face`.
        why: String,
        /// The id of the new hole that replaces it, where one does.
        #[serde(skip_serializing_if = "Option::is_none")]
        again: Option<String>,
    },
    /// Drill a hole.
    Drill {
        /// The id of the new hole.
        id: String,
        face: Face,
        at: At,
        dia: Mm,
        depth: Mm,
        through: bool,
        profile: Vec<Step>,
        bored: Bored,
        /// The id of the old hole that it opens up or deepens.
        #[serde(skip_serializing_if = "Option::is_none")]
        over: Option<String>,
    },
    /// Cut a groove, housing, rebate, notch or slot.
    Cut {
        shape: Shape,
        face: Face,
        /// All of it, in the frame of the new part.
        #[serde(rename = "box")]
        cuboid: Cuboid,
        runs: Axis,
        run: Run,
        #[serde(skip_serializing_if = "Option::is_none")]
        dia: Option<Mm>,
        #[serde(skip_serializing_if = "Option::is_none")]
        along: Option<Axis>,
        joint: String,
        /// Whether part of it is there already: it is widened, deepened or run on.
        more: bool,
    },
    /// Bevel an edge.
    Bevel { face: Face, rise: Mm, run: Mm, long_side: Face },
}

impl Work {
    /// The order of acting.
    pub fn kind(&self) -> WorkKind {
        match self {
            Work::Trim { .. } => WorkKind::Trim,
            Work::Strip { .. } => WorkKind::Strip,
            Work::Band { .. } => WorkKind::Band,
            Work::Plug { .. } => WorkKind::Plug,
            Work::Drill { .. } => WorkKind::Drill,
            Work::Cut { .. } => WorkKind::Cut,
            Work::Bevel { .. } => WorkKind::Bevel,
        }
    }
}

/// Kinds of work, in the order a maker does them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum WorkKind {
    Strip,
    Trim,
    /// Before bands: a plug in an edge lies under its band.
    Plug,
    Band,
    Drill,
    Cut,
    Bevel,
}

/// What of the old piece is kept as it is. Faces are those of the new part.
#[derive(Clone, PartialEq, Eq, Debug, Default, Serialize, JsonSchema)]
pub struct Survives {
    /// The edges whose band stays.
    pub bands: Vec<Face>,
    /// Cuts of the new part that are there already.
    pub cuts: usize,
    /// Holes of the new part, of those bored at the bench, that are there already.
    pub holes: usize,
    /// Old holes that go with what is trimmed off or lie in what is cut out.
    pub holes_gone: usize,
}

/// A difference that is left as it is.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct Within {
    /// `x`, `y` or `z` for a size, the id of a hole, or the name of a cut.
    pub what: String,
    /// The difference.
    pub by: Mm,
}

//! Axes and faces of a frame: x right, y up, z away from the person looking at the front.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A direction of the frame.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Axis {
    X,
    Y,
    Z,
}

impl Axis {
    /// The three axes in order.
    pub const ALL: [Axis; 3] = [Axis::X, Axis::Y, Axis::Z];

    /// The two other axes, in order.
    pub fn others(self) -> [Axis; 2] {
        match self {
            Axis::X => [Axis::Y, Axis::Z],
            Axis::Y => [Axis::X, Axis::Z],
            Axis::Z => [Axis::X, Axis::Y],
        }
    }
}

/// A face of a part as it lies in its own box. The order is the order of hole numbers.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Face {
    Left,
    Right,
    Bottom,
    Top,
    Front,
    Rear,
}

impl Face {
    /// The six faces, in the order of the axes, the low one first.
    pub const ALL: [Face; 6] = [Face::Left, Face::Right, Face::Bottom, Face::Top, Face::Front, Face::Rear];

    /// The axis it is square to.
    pub fn axis(self) -> Axis {
        match self {
            Face::Left | Face::Right => Axis::X,
            Face::Bottom | Face::Top => Axis::Y,
            Face::Front | Face::Rear => Axis::Z,
        }
    }

    /// True for the face at the high end of its axis.
    pub fn is_high(self) -> bool {
        matches!(self, Face::Right | Face::Top | Face::Rear)
    }

    /// The face of an axis at its low or high end.
    pub fn of(axis: Axis, high: bool) -> Face {
        match (axis, high) {
            (Axis::X, false) => Face::Left,
            (Axis::X, true) => Face::Right,
            (Axis::Y, false) => Face::Bottom,
            (Axis::Y, true) => Face::Top,
            (Axis::Z, false) => Face::Front,
            (Axis::Z, true) => Face::Rear,
        }
    }

    /// The face across from it.
    pub fn opposite(self) -> Face {
        Face::of(self.axis(), !self.is_high())
    }

    /// The two edges that places on this face are measured from: left and right faces from front and
    /// bottom, front and rear from left and bottom, top and bottom from left and front.
    pub fn datum_edges(self) -> [Face; 2] {
        match self.axis() {
            Axis::X => [Face::Front, Face::Bottom],
            Axis::Y => [Face::Left, Face::Front],
            Axis::Z => [Face::Left, Face::Bottom],
        }
    }

    /// As it is written in the language.
    pub fn word(self) -> &'static str {
        match self {
            Face::Left => "left",
            Face::Right => "right",
            Face::Bottom => "bottom",
            Face::Top => "top",
            Face::Front => "front",
            Face::Rear => "rear",
        }
    }
}

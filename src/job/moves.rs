//! What moves: doors, flaps and drawers.

use super::Origin;
use crate::geometry::{Axis, Face};
use crate::values::{Figure, Mm};
use schemars::JsonSchema;
use serde::Serialize;

/// A part or box that moves.
#[derive(Clone, Debug, Serialize, JsonSchema)]
#[serde(tag = "kind", rename_all = "lowercase")]
pub enum Move {
    /// Runs along an axis by a distance with its sign: out of a box, towards the room, is negative on z.
    Slides {
        thing: String,
        along: Axis,
        by: Mm,
        fitting: String,
        #[serde(skip)]
        guide: Guide,
    },
    /// Turns about an edge through an angle in degrees.
    Swings {
        thing: String,
        about: Face,
        through: Figure,
        fitting: String,
        #[serde(skip)]
        guide: Guide,
    },
}

/// Where a movement came from; for the checks.
#[derive(Clone, Debug, Default)]
pub struct Guide {
    /// The verb that says it.
    pub origin: Origin,
    /// The parts its fitting works on: indices into `parts`.
    pub parts: Vec<usize>,
}

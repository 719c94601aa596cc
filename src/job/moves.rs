//! What moves: doors, flaps and drawers.

use super::Origin;
use crate::geometry::{Axis, Face};
use crate::values::{Figure, Mm};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};

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

/// A movement as it is read: a figure is read as it is written, which a tagged choice does not do.
#[derive(Deserialize)]
struct Read {
    kind: String,
    thing: String,
    fitting: String,
    along: Option<Axis>,
    by: Option<Mm>,
    about: Option<Face>,
    through: Option<Figure>,
}

impl<'de> Deserialize<'de> for Move {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Move, D::Error> {
        let Read { kind, thing, fitting, along, by, about, through } = Read::deserialize(deserializer)?;
        let guide = Guide::default();
        match (kind.as_str(), along, by, about, through) {
            ("slides", Some(along), Some(by), _, _) => Ok(Move::Slides { thing, along, by, fitting, guide }),
            ("swings", _, _, Some(about), Some(through)) => {
                Ok(Move::Swings { thing, about, through, fitting, guide })
            }
            _ => {
                let thing: String = thing.chars().take(60).collect();
                Err(serde::de::Error::custom(format!("how `{thing}` moves is not told")))
            }
        }
    }
}

//! The job: plain data that every output reads, and `job.json`.

mod build;
pub mod described;
mod digests;
mod marks;
mod model;
mod moves;
mod numbering;
mod order;
mod origins;
mod questions;
mod read;
mod sameness;
mod schema;

pub use crate::evaluation::reasons::{At as WrittenAt, QUESTION, Reason, Stated, Telling};
pub use crate::geometry::{Axis, Cuboid, Face, Interval, Run, Shape};
pub use crate::values::{Figure, Mm};
pub use build::build;
pub use digests::digests;
pub use marks::{KeptMarks, assign};
pub use model::*;
pub use moves::{Guide, Move};
pub use numbering::{Numbered, face_order, numbered, numbered_holes};
pub use order::{hole_axes, name_and_index, path_names, path_order};
pub use origins::{Origins, Trail};
pub use questions::{Answer, Asker, Unknown};
pub use read::read;
pub use sameness::{Groups, group};
pub use schema::schema;

use crate::diagnostics::Label;
use crate::sources::Span;

/// Tells where something in the job came from, for labels of messages.
pub trait Trace {
    /// The innermost statement of the maker's own files that made it.
    fn span(&self, origin: Origin) -> Span;

    /// The places that contributed: the statement in the maker's own files first, then each literal
    /// with its role, then lines of the library.
    fn labels(&self, origin: Origin) -> Vec<Label>;

    /// Every number that the graph reaches behind it.
    fn behind(&self, _: Origin) -> Vec<Label> {
        Vec::new()
    }
}

//! What joints ask of parts while they are evaluated: intervals, boxes, faces, seams, cuts.

mod axes;
mod cuboid;

pub use axes::{Axis, Face};
pub use cuboid::{Cuboid, Interval};

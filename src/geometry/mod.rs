//! What joints ask of parts while they are evaluated: intervals, boxes, faces, seams, cuts.

mod axes;
mod cuboid;
mod cut;
mod seam;
mod split;
mod spread;
#[cfg(test)]
mod testing;

pub use axes::{Axis, Face};
pub use cuboid::{Cuboid, Interval};
pub use cut::{CutShape, Letting, Run, Shape, cut};
pub use seam::{Contact, Seam, contact};
pub use split::{Portion, SplitFault, common, split, without};
pub use spread::{MOST_POINTS, Spread, points, spread};

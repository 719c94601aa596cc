//! Places of holes on paper, as distances from the low ends of two axes.

use super::super::drawing::float;
use crate::geometry::{Axis, Face};
use crate::job::{Hole, Part};
use crate::values::Rational;

/// Distances from the low ends of the two axes of a hole's face, as `at` names them.
pub fn from_low(part: &Part, hole: &Hole) -> [(Axis, Rational); 2] {
    let one = |edge: Face, mm: Rational| {
        let axis = edge.axis();
        let low = if edge.is_high() { part.size(axis).sub(mm).unwrap_or(mm) } else { mm };
        (axis, low)
    };
    let ([a, b], [u, v]) = (hole.at.from, hole.at.mm);
    [one(a, u.0), one(b, v.0)]
}

/// Distance from the low end of one axis, in mm as a float.
pub fn along(part: &Part, hole: &Hole, axis: Axis) -> f64 {
    from_low(part, hole).iter().find(|(a, _)| *a == axis).map_or(0.0, |(_, mm)| float(*mm))
}

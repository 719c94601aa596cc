//! How a part lies against another: which of their edges are flush, and how far the others stand off.

use crate::geometry::{Axis, Contact, Face, contact};
use crate::job::Part;
use crate::values::Mm;

/// A part against a face of another.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Lying {
    /// The other, by its index in the job.
    pub against: usize,
    /// The face of the other that it lies against; none where it reaches into it.
    pub face: Option<Face>,
    pub rims: Vec<Rim>,
}

/// Where one edge of a part lies on the other part.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Rim {
    /// Flush with this edge of the other.
    Flush(Face),
    /// This far from that edge of the other, to the nearer side.
    Off(Face, Mm),
}

/// How `part` lies against `other`, which is number `against` of the job.
pub fn stance(part: &Part, other: &Part, against: usize) -> Lying {
    let face = match contact(&other.place, &part.place) {
        Ok(Contact::Seam(seam)) => Some(Face::of(seam.normal, seam.high_is_b)),
        _ => None,
    };
    let normal = face.map(Face::axis);
    let mut rims = Vec::new();
    for axis in Axis::ALL.into_iter().filter(|a| Some(*a) != normal) {
        let (own, met) = (part.place.on(axis), other.place.on(axis));
        let (low, high) = (Face::of(axis, false), Face::of(axis, true));
        match (own.lo == met.lo, own.hi == met.hi) {
            (true, true) => rims.extend([Rim::Flush(low), Rim::Flush(high)]),
            (true, false) => rims.push(Rim::Flush(low)),
            (false, true) => rims.push(Rim::Flush(high)),
            // A part that overhangs both ways says its stand from the low edge all the same.
            (false, false) => match own.lo.sub(met.lo) {
                Ok(off) if off.is_positive() => rims.push(Rim::Off(low, Mm(off))),
                _ => {}
            },
        }
    }
    Lying { against, face, rims }
}

//! Where two boxes touch.

use super::{Axis, Cuboid, Interval};
use crate::values::{Overflow, Rational};

/// The area over which a face of one box lies on a face of another.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Seam {
    /// The axis both faces are square to.
    pub normal: Axis,
    /// Where on that axis, in mm.
    pub at: Rational,
    /// True where `b` lies on the high side of the seam.
    pub high_is_b: bool,
    /// The extent on the first of the two other axes.
    pub u: (Axis, Interval),
    /// The extent on the second.
    pub v: (Axis, Interval),
}

impl Seam {
    /// The longer extent; the first axis where both are equal.
    pub fn length(&self) -> Result<(Axis, Interval), Overflow> {
        Ok(if self.v.1.size()? > self.u.1.size()? { self.v } else { self.u })
    }

    /// The shorter extent; the second axis where both are equal.
    pub fn breadth(&self) -> Result<(Axis, Interval), Overflow> {
        Ok(if self.v.1.size()? > self.u.1.size()? { self.u } else { self.v })
    }
}

/// How two boxes lie to each other.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Contact {
    /// Two faces touch over an area above nought.
    Seam(Seam),
    /// They touch along a line or at a point only.
    Edge,
    /// They do not touch: the largest gap, in mm, and its axis.
    Apart { axis: Axis, gap: Rational },
    /// They share a volume.
    Overlap(Cuboid),
}

/// How `a` and `b` lie to each other.
pub fn contact(a: &Cuboid, b: &Cuboid) -> Result<Contact, Overflow> {
    let mut touching = Vec::new();
    let mut apart: Option<(Axis, Rational)> = None;
    for axis in Axis::ALL {
        let (p, q) = (a.on(axis), b.on(axis));
        let (gap, high_is_b) = if q.lo >= p.hi { (q.lo.sub(p.hi)?, true) } else { (p.lo.sub(q.hi)?, false) };
        if gap.is_positive() {
            if apart.is_none_or(|(_, most)| gap > most) {
                apart = Some((axis, gap));
            }
        } else if gap.is_zero() {
            touching.push((axis, if high_is_b { p.hi } else { p.lo }, high_is_b));
        }
    }
    if let Some((axis, gap)) = apart {
        return Ok(Contact::Apart { axis, gap });
    }
    let [(normal, at, high_is_b)] = touching[..] else {
        return Ok(a.common(b).map_or(Contact::Edge, Contact::Overlap));
    };
    let [u, v] = normal.others();
    match (a.on(u).common(b.on(u)), a.on(v).common(b.on(v))) {
        (Some(on_u), Some(on_v)) => {
            Ok(Contact::Seam(Seam { normal, at, high_is_b, u: (u, on_u), v: (v, on_v) }))
        }
        _ => Ok(Contact::Edge),
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{cuboid, cuboids, mm};
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn a_rail_between_two_sides_meets_each_over_its_end() {
        let side = cuboid([0, 0, 0], [18, 720, 560]);
        let rail = cuboid([18, 702, 0], [582, 720, 100]);
        let Contact::Seam(seam) = contact(&rail, &side).unwrap() else { panic!() };
        assert_eq!((seam.normal, seam.at, seam.high_is_b), (Axis::X, mm(18), false));
        assert_eq!(seam.length().unwrap(), (Axis::Z, Interval::new(mm(0), mm(100))));
        assert_eq!(seam.breadth().unwrap(), (Axis::Y, Interval::new(mm(702), mm(720))));
    }

    #[test]
    fn the_largest_gap_is_named() {
        let a = cuboid([0, 0, 0], [10, 10, 10]);
        assert_eq!(
            contact(&a, &cuboid([12, 15, 0], [20, 20, 10])).unwrap(),
            Contact::Apart { axis: Axis::Y, gap: mm(5) }
        );
        assert_eq!(contact(&a, &cuboid([10, 10, 0], [20, 20, 10])).unwrap(), Contact::Edge);
    }

    proptest! {
        #[test]
        fn it_is_the_same_from_both_sides(a in cuboids(), b in cuboids()) {
            match (contact(&a, &b).unwrap(), contact(&b, &a).unwrap()) {
                (Contact::Seam(p), Contact::Seam(q)) => {
                    prop_assert_eq!(p.high_is_b, !q.high_is_b);
                    prop_assert_eq!(Seam { high_is_b: q.high_is_b, ..p }, q);
                }
                (p, q) => prop_assert_eq!(p, q),
            }
        }

        /// Moving one box a thousandth against the other tells overlap, touch and gap apart.
        #[test]
        fn a_seam_is_where_a_hair_more_would_overlap(a in cuboids(), b in cuboids()) {
            let hair = Rational::ratio(1, 1000);
            let grown = Axis::ALL.iter().fold(b, |g, x| {
                let i = b.on(*x);
                g.with(*x, Interval::new(i.lo.sub(hair).unwrap(), i.hi.add(hair).unwrap()))
            });
            let near = a.common(&grown).is_some();
            match contact(&a, &b).unwrap() {
                Contact::Overlap(c) => prop_assert_eq!(Some(c), a.common(&b)),
                Contact::Apart { .. } => prop_assert!(!near),
                Contact::Edge | Contact::Seam(_) => prop_assert!(near && a.common(&b).is_none()),
            }
        }
    }
}

//! What parts fill, less what is cut out of them, and what stands in the way when one is moved.

use crate::geometry::{Axis, Cuboid, Face, Interval};
use crate::job::Part;

/// A part with more pieces than this is taken as whole: it then counts as held where it may be free.
const MOST_PIECES: usize = 240;

/// The cuboids a part is made of, in the frame of its root. Round-ended slots and bevels stay.
pub fn solid(part: &Part) -> Vec<Cuboid> {
    let mut pieces = vec![part.place];
    for cut in part.cuts.iter().filter(|c| c.dia.is_none()) {
        let Some(hole) = in_root(part, &cut.cuboid) else { continue };
        let mut rest = Vec::with_capacity(pieces.len() + 2);
        for piece in &pieces {
            less(piece, &hole, &mut rest);
        }
        if rest.len() > MOST_PIECES {
            return vec![part.place];
        }
        pieces = rest;
    }
    pieces
}

/// A cuboid of the part's own box, in the frame of its root.
pub fn in_root(part: &Part, c: &Cuboid) -> Option<Cuboid> {
    let mut moved = *c;
    for axis in Axis::ALL {
        let by = part.place.on(axis).lo.sub(part.own.on(axis).lo).ok()?;
        moved = moved.with(axis, c.on(axis).shift(by).ok()?);
    }
    Some(moved)
}

/// What is left of `piece` outside `hole`.
fn less(piece: &Cuboid, hole: &Cuboid, out: &mut Vec<Cuboid>) {
    if piece.common(hole).is_none() {
        out.push(*piece);
        return;
    }
    let mut rest = *piece;
    for axis in Axis::ALL {
        let (own, cut) = (rest.on(axis), hole.on(axis));
        if own.lo < cut.lo {
            out.push(rest.with(axis, Interval::new(own.lo, cut.lo)));
        }
        if cut.hi < own.hi {
            out.push(rest.with(axis, Interval::new(cut.hi, own.hi)));
        }
        rest = rest.with(axis, Interval::new(own.lo.max(cut.lo), own.hi.min(cut.hi)));
    }
}

/// True where two bodies share a volume.
pub fn overlap(a: &[Cuboid], b: &[Cuboid]) -> bool {
    a.iter().any(|p| b.iter().any(|q| p.common(q).is_some()))
}

/// True where `fixed` is met by `moved` on its way out towards `towards`.
pub fn blocks(fixed: &[Cuboid], moved: &[Cuboid], towards: Face) -> bool {
    let axis = towards.axis();
    let ahead = |p: &Cuboid, q: &Cuboid| {
        let (p, q) = (p.on(axis), q.on(axis));
        if towards.is_high() { q.hi > p.lo } else { q.lo < p.hi }
    };
    let aside = |p: &Cuboid, q: &Cuboid| axis.others().iter().all(|a| p.on(*a).common(q.on(*a)).is_some());
    moved.iter().any(|p| fixed.iter().any(|q| ahead(p, q) && aside(p, q)))
}

/// The extent of some cuboids together.
pub fn extent<'a>(all: impl IntoIterator<Item = &'a Cuboid>) -> Option<Cuboid> {
    all.into_iter().fold(None, |whole: Option<Cuboid>, c| {
        let Some(whole) = whole else { return Some(*c) };
        let mut out = whole;
        for axis in Axis::ALL {
            let (a, b) = (whole.on(axis), c.on(axis));
            out = out.with(axis, Interval::new(a.lo.min(b.lo), a.hi.max(b.hi)));
        }
        Some(out)
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::values::Rational;
    use proptest::prelude::*;

    fn cuboid(lo: [i64; 3], size: [i64; 3]) -> Cuboid {
        let i = |n: usize| Interval::new(Rational::int(lo[n]), Rational::int(lo[n] + size[n]));
        Cuboid { x: i(0), y: i(1), z: i(2) }
    }

    fn volume(c: &Cuboid) -> i64 {
        Axis::ALL.iter().map(|a| c.on(*a).size().unwrap().to_i64().unwrap()).product()
    }

    fn any() -> impl Strategy<Value = Cuboid> {
        ([0i64..8, 0i64..8, 0i64..8], [1i64..6, 1i64..6, 1i64..6]).prop_map(|(lo, size)| cuboid(lo, size))
    }

    proptest! {
        #[test]
        fn what_is_cut_out_is_gone_and_the_rest_stays(piece in any(), hole in any()) {
            let mut rest = Vec::new();
            less(&piece, &hole, &mut rest);
            let gone = piece.common(&hole).map_or(0, |c| volume(&c));
            prop_assert_eq!(rest.iter().map(volume).sum::<i64>(), volume(&piece) - gone);
            for (i, r) in rest.iter().enumerate() {
                prop_assert!(r.common(&hole).is_none() && piece.holds(r));
                prop_assert!(rest[i + 1..].iter().all(|s| s.common(r).is_none()));
            }
        }

        #[test]
        fn what_blocks_is_met_when_the_other_is_moved(fixed in any(), moved in any()) {
            prop_assume!(fixed.common(&moved).is_none());
            for towards in Face::ALL {
                let step = if towards.is_high() { 1 } else { -1 };
                let met = (0..30).any(|n| {
                    let by = Rational::int(step * n);
                    let at = moved.with(towards.axis(), moved.on(towards.axis()).shift(by).unwrap());
                    at.common(&fixed).is_some()
                });
                prop_assert_eq!(blocks(&[fixed], &[moved], towards), met);
            }
        }
    }
}

//! What one part takes out of another that it is let into.

use super::{Axis, Cuboid, Face, Interval};
use crate::values::{Overflow, Rational};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a cut is called, by its shape.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Shape {
    /// Open-topped, along the grain.
    Groove,
    /// Open-topped, across the grain.
    Housing,
    /// Along an edge.
    Rebate,
    /// Through both faces at an edge.
    Notch,
    /// Through both faces within, or a round-ended slot.
    Slot,
}

impl Shape {
    /// What it is called: `groove`, `housing`.
    pub fn word(self) -> &'static str {
        match self {
            Shape::Groove => "groove",
            Shape::Housing => "housing",
            Shape::Rebate => "rebate",
            Shape::Notch => "notch",
            Shape::Slot => "slot",
        }
    }
}

/// How a cut runs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Run {
    /// Out to both ends.
    Through,
    /// Out to one end.
    Stopped,
    /// Stopped at both ends.
    Blind,
}

/// How a part is let in.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Letting {
    /// Room beyond the part that is let in, in mm; only ever inwards.
    pub deeper: Rational,
    /// Room across its thickness, in mm, shared between both sides.
    pub wider: Rational,
    /// The narrowest cut the tool makes (the kerf of the saw), in mm.
    pub least: Rational,
    /// Runs out to both ends.
    pub full: bool,
}

/// A cut by its shape.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct CutShape {
    pub cuboid: Cuboid,
    /// The face it is worked from; the low one where it goes through.
    pub face: Face,
    /// The axis it runs along.
    pub runs: Axis,
    pub run: Run,
    pub shape: Shape,
}

/// Which ends of `q` an interval within it reaches: low, high.
fn reach(q: Interval, o: Interval) -> (bool, bool) {
    (o.lo <= q.lo, o.hi >= q.hi)
}

fn one(reached: (bool, bool)) -> bool {
    reached.0 != reached.1
}

/// Takes P ∩ Q out of `q`. `q_thin` and `q_grain` are the axes of Q's thickness and grain, `p_thin`
/// that of P's thickness.
///
/// The cut is worked from the wide face it reaches, else from the edge. `deeper` goes the way P comes
/// in: into the depth; for a P that lies flat in a rebate, away from the edge; for a cut through both
/// faces, along it. `wider` goes across P's thickness. Nothing leaves Q.
///
/// `None` where they share nothing, or where P lies inside Q and reaches no face.
pub fn cut(
    q: &Cuboid,
    q_thin: Axis,
    q_grain: Axis,
    p: &Cuboid,
    p_thin: Axis,
    how: &Letting,
) -> Result<Option<CutShape>, Overflow> {
    let Some(shared) = q.common(p) else { return Ok(None) };
    let reached = |axis: Axis| reach(q.on(axis), shared.on(axis));
    let Some(depth) = depth_axis(q, q_thin, &shared)? else { return Ok(None) };
    let through = reached(depth) == (true, true);
    let high = reached(depth) == (false, true);

    let flat = p_thin == depth;
    let (across, runs) = across_and_along(q, &shared, depth, (!flat).then_some(p_thin))?;
    let mut cut = shared;
    if how.full {
        cut = cut.with(runs, q.on(runs));
    }
    let open = |axis: Axis| one(reach(q.on(axis), cut.on(axis)));
    let entry = match () {
        () if through && open(runs) => Some(runs),
        () if (through || flat) && open(across) => Some(across),
        () if through => None,
        () => Some(depth),
    };
    let slack = if flat && entry == Some(across) { depth } else { across };
    if let Some(axis) = entry {
        let i = cut.on(axis);
        let from_high = if axis == depth { high } else { reach(q.on(axis), i).1 };
        let i = if from_high {
            Interval::new(i.lo.sub(how.deeper)?, i.hi)
        } else {
            Interval::new(i.lo, i.hi.add(how.deeper)?)
        };
        cut = cut.with(axis, clip(q.on(axis), i));
    }
    cut = cut.with(slack, widen(q.on(slack), cut.on(slack), how.wider)?);
    let missing = how.least.sub(cut.on(across).size()?)?;
    if missing.is_positive() {
        let (low, high) = reach(q.on(across), cut.on(across));
        // At an edge only the inner side can give.
        let by = if low || high { missing.add(missing)? } else { missing };
        cut = cut.with(across, widen(q.on(across), cut.on(across), by)?);
    }

    let now = |axis: Axis| reach(q.on(axis), cut.on(axis));
    let touches = |axis: Axis| now(axis) != (false, false);
    let shape = match () {
        () if now(depth) == (true, true) && (touches(across) || touches(runs)) => Shape::Notch,
        () if now(depth) == (true, true) => Shape::Slot,
        () if touches(across) => Shape::Rebate,
        () if runs == q_grain => Shape::Groove,
        () => Shape::Housing,
    };
    let run = match now(runs) {
        (true, true) => Run::Through,
        (false, false) => Run::Blind,
        _ => Run::Stopped,
    };
    Ok(Some(CutShape { cuboid: cut, face: Face::of(depth, high), runs, run, shape }))
}

/// The axis the tool goes down: Q's thickness where a wide face is reached; else that of the edge, of
/// several the one that is left on one side only, then the one that is least deep.
fn depth_axis(q: &Cuboid, q_thin: Axis, shared: &Cuboid) -> Result<Option<Axis>, Overflow> {
    let reached = |axis: Axis| reach(q.on(axis), shared.on(axis));
    if reached(q_thin) != (false, false) {
        return Ok(Some(q_thin));
    }
    let mut best = None;
    for axis in q_thin.others() {
        if reached(axis) != (false, false) {
            let key = (!one(reached(axis)), shared.on(axis).size()?, axis);
            if best.is_none_or(|b| key < b) {
                best = Some(key);
            }
        }
    }
    Ok(best.map(|(_, _, axis)| axis))
}

/// The axis of a cut's width and the one it runs along. P's thickness is the width, unless the cut
/// leaves Q on both sides there; where P lies flat, the side on which it leaves Q.
fn across_and_along(
    q: &Cuboid,
    shared: &Cuboid,
    depth: Axis,
    thickness: Option<Axis>,
) -> Result<(Axis, Axis), Overflow> {
    let reached = |axis: Axis| reach(q.on(axis), shared.on(axis));
    let both = |axis: Axis| reached(axis) == (true, true);
    let [u, v] = depth.others();
    let shorter_u = shared.on(u).size()? < shared.on(v).size()?;
    let u_across = match thickness {
        _ if both(u) != both(v) && thickness.is_none_or(both) => both(v),
        Some(axis) => axis == u,
        None if one(reached(u)) != one(reached(v)) => one(reached(u)),
        None => shorter_u,
    };
    Ok(if u_across { (u, v) } else { (v, u) })
}

fn widen(within: Interval, i: Interval, by: Rational) -> Result<Interval, Overflow> {
    let half = by.half()?;
    Ok(clip(within, Interval::new(i.lo.sub(half)?, i.hi.add(half)?)))
}

fn clip(within: Interval, i: Interval) -> Interval {
    Interval::new(i.lo.max(within.lo), i.hi.min(within.hi))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{cuboid, cuboids, mm};
    use super::*;
    use proptest::prelude::*;

    fn fit(deeper: i64, wider: i64, full: bool) -> Letting {
        Letting { deeper: mm(deeper), wider: mm(wider), least: mm(3), full }
    }

    /// A side standing on the left: thin on x, grain up.
    fn side(p: Cuboid, p_thin: Axis, how: Letting) -> CutShape {
        cut(&cuboid([0, 0, 0], [18, 720, 560]), Axis::X, Axis::Y, &p, p_thin, &how).unwrap().unwrap()
    }

    #[test]
    fn a_back_in_a_side_is_a_groove() {
        let back = cuboid([11, 11, 539], [589, 720, 542]);
        let got = side(back, Axis::Z, fit(1, 0, false));
        assert_eq!(
            (got.shape, got.run, got.face, got.runs),
            (Shape::Groove, Run::Stopped, Face::Right, Axis::Y)
        );
        assert_eq!(got.cuboid, cuboid([10, 11, 539], [18, 720, 542]));
        let got = side(back, Axis::Z, fit(1, 2, true));
        assert_eq!(got.run, Run::Through);
        assert_eq!(got.cuboid, cuboid([10, 0, 538], [18, 720, 543]));
    }

    #[test]
    fn a_shelf_in_a_side_is_a_housing() {
        let got = side(cuboid([12, 300, 20], [588, 318, 560]), Axis::Y, fit(0, 0, false));
        assert_eq!((got.shape, got.run, got.runs), (Shape::Housing, Run::Stopped, Axis::Z));
        let got = side(cuboid([12, 300, 20], [588, 318, 540]), Axis::Y, fit(0, 0, false));
        assert_eq!(got.run, Run::Blind);
    }

    #[test]
    fn a_back_at_the_rear_edge_is_a_rebate_and_gets_room_inwards_only() {
        let got = side(cuboid([10, 0, 550], [590, 720, 560]), Axis::Z, fit(1, 2, false));
        assert_eq!(
            (got.shape, got.run, got.face, got.runs),
            (Shape::Rebate, Run::Through, Face::Right, Axis::Y)
        );
        assert_eq!(got.cuboid, cuboid([9, 0, 549], [18, 720, 560]));
    }

    #[test]
    fn a_back_flat_on_a_rail_gets_its_play_away_from_the_edge() {
        // A rail of 18 with its wide faces front and rear, over the upper edge of a back of 10.
        let rail = cuboid([18, 620, 542], [582, 720, 560]);
        let back = cuboid([18, 0, 550], [582, 640, 560]);
        let got = cut(&rail, Axis::Z, Axis::X, &back, Axis::Z, &fit(1, 2, false)).unwrap().unwrap();
        assert_eq!(
            (got.shape, got.run, got.face, got.runs),
            (Shape::Rebate, Run::Through, Face::Rear, Axis::X)
        );
        assert_eq!(got.cuboid, cuboid([18, 620, 549], [582, 641, 560]));
    }

    #[test]
    fn a_kerf_sets_the_least_width() {
        let how = Letting { least: mm(4), ..fit(1, 0, false) };
        let got = side(cuboid([11, 0, 540], [589, 720, 542]), Axis::Z, how);
        assert_eq!(got.cuboid.z, Interval::new(mm(539), mm(543)));
        let got = side(cuboid([11, 0, 558], [589, 720, 560]), Axis::Z, how);
        assert_eq!((got.cuboid.z, got.shape), (Interval::new(mm(556), mm(560)), Shape::Rebate));
    }

    #[test]
    fn through_both_faces_it_is_a_notch_at_an_edge_else_a_slot() {
        let got = side(cuboid([-50, 0, 0], [589, 100, 18]), Axis::Z, fit(1, 0, false));
        assert_eq!((got.shape, got.run, got.runs), (Shape::Notch, Run::Stopped, Axis::Y));
        assert_eq!(got.cuboid, cuboid([0, 0, 0], [18, 101, 18]));
        let got = side(cuboid([-50, 300, 200], [589, 400, 218]), Axis::Z, fit(1, 2, false));
        assert_eq!((got.shape, got.run), (Shape::Slot, Run::Blind));
        assert_eq!(got.cuboid, cuboid([0, 300, 199], [18, 400, 219]));
    }

    #[test]
    fn a_panel_in_the_edge_of_a_frame_is_a_groove_from_that_edge() {
        // A stile 20 thick on z, 60 wide on x, long on y; a panel of 6 in its right edge.
        let stile = cuboid([0, 0, 0], [60, 700, 20]);
        let panel = cuboid([52, 50, 7], [400, 650, 13]);
        let got = cut(&stile, Axis::Z, Axis::Y, &panel, Axis::Z, &fit(1, 0, true)).unwrap().unwrap();
        assert_eq!(
            (got.shape, got.run, got.face, got.runs),
            (Shape::Groove, Run::Through, Face::Right, Axis::Y)
        );
        assert_eq!(got.cuboid, cuboid([51, 0, 7], [60, 700, 13]));
        // Running out at both ends, the edge is still the one it is worked from.
        let long = cuboid([52, -10, 7], [400, 710, 13]);
        let same = cut(&stile, Axis::Z, Axis::Y, &long, Axis::Z, &fit(1, 0, false)).unwrap().unwrap();
        assert_eq!(same, got);
    }

    #[test]
    fn two_rails_halved_across_each_other() {
        let rail = cuboid([0, 0, 0], [500, 60, 20]);
        let post = cuboid([200, -300, 10], [260, 300, 30]);
        let got = cut(&rail, Axis::Z, Axis::X, &post, Axis::Z, &fit(0, 0, false)).unwrap().unwrap();
        assert_eq!(
            (got.shape, got.run, got.face, got.runs),
            (Shape::Housing, Run::Through, Face::Rear, Axis::Y)
        );
        assert_eq!(got.cuboid, cuboid([200, 0, 10], [260, 60, 20]));
    }

    #[test]
    fn a_part_wholly_inside_has_no_face_to_come_from() {
        let q = cuboid([0, 0, 0], [100, 100, 20]);
        let p = cuboid([10, 10, 5], [20, 20, 10]);
        assert_eq!(cut(&q, Axis::Z, Axis::X, &p, Axis::Z, &fit(0, 0, false)).unwrap(), None);
    }

    fn reflected(c: &Cuboid, axis: Axis) -> Cuboid {
        c.with(axis, c.on(axis).reflect(mm(20)).unwrap())
    }

    fn thin(c: &Cuboid) -> Axis {
        Axis::ALL.into_iter().min_by_key(|a| (c.on(*a).size().unwrap(), *a)).unwrap()
    }

    proptest! {
        #[test]
        fn it_lies_in_q_and_holds_what_is_shared(
            q in cuboids(), p in cuboids(), deeper in 0i64..3, wider in 0i64..3, full: bool, grain in 0usize..3,
        ) {
            let how = fit(deeper, wider, full);
            let got = cut(&q, thin(&q), Axis::ALL[grain], &p, thin(&p), &how).unwrap();
            if let Some(c) = got {
                prop_assert!(q.holds(&c.cuboid));
                prop_assert!(c.cuboid.holds(&q.common(&p).unwrap()));
                let (low, high) = reach(q.on(c.face.axis()), c.cuboid.on(c.face.axis()));
                prop_assert!((c.face.is_high() && high) || (!c.face.is_high() && low));
                prop_assert_eq!(full && c.run != Run::Through, false);
                prop_assert_ne!(c.runs, c.face.axis());
                prop_assert_eq!(matches!(c.shape, Shape::Notch | Shape::Slot), low && high);
            } else {
                let inside = q.common(&p).is_none_or(|s| {
                    Axis::ALL.iter().all(|a| reach(q.on(*a), s.on(*a)) == (false, false))
                });
                prop_assert!(inside);
            }
        }

        /// What is built mirrored is cut mirrored.
        #[test]
        fn a_reflection_cuts_the_reflection(
            q in cuboids(), p in cuboids(), deeper in 0i64..3, wider in 0i64..3, full: bool, m in 0usize..3,
        ) {
            let (how, m) = (fit(deeper, wider, full), Axis::ALL[m]);
            let here = cut(&q, thin(&q), Axis::Y, &p, thin(&p), &how).unwrap();
            let there = cut(&reflected(&q, m), thin(&q), Axis::Y, &reflected(&p, m), thin(&p), &how).unwrap();
            match (here, there) {
                (Some(a), Some(b)) => {
                    prop_assert_eq!(reflected(&a.cuboid, m), b.cuboid);
                    prop_assert_eq!((a.shape, a.run, a.runs), (b.shape, b.run, b.runs));
                }
                (a, b) => prop_assert!(a.is_none() && b.is_none()),
            }
        }
    }
}

//! Holes of hand-built parts, and the exact solids against many small cells.

use super::super::testing::{Bench, cuboid, mm, only};
use super::bore::{Bore, meet, meets_cut};
use crate::geometry::{Axis, Face, Shape};
use crate::job::{Mm, Step};
use crate::values::Rational;
use proptest::prelude::*;

/// One side, thin on x, upright.
fn side() -> Bench {
    let mut b = Bench::new("b");
    b.part("left", [0, 0, 0], [18, 720, 300]);
    b
}

#[test]
fn a_hole_may_touch_an_edge_and_not_break_it() {
    let mut b = side();
    b.hole("left", Face::Right, [37, 17], 34, Some(12));
    assert!(b.codes().is_empty());
    let mut b = side();
    b.hole("left", Face::Right, [37, 16], 34, Some(12));
    let fault = only(b.run(), "hole-outside");
    assert_eq!(
        fault.message,
        "A 34mm hole for shelf pins in the right face of `left` breaks out of the bottom edge: its centre is 16mm \
         from it and its rim needs 17mm."
    );
    assert_eq!(fault.help, ["Put its centre at least 17mm from the bottom edge."]);
}

#[test]
fn a_head_counts_with_its_hole() {
    let mut b = side();
    let hole = b.hole("left", Face::Right, [5, 300], 4, None);
    hole.profile = vec![Step { dia: Mm(mm(12)), end_dia: Mm(mm(4)), depth: Mm(mm(4)) }];
    assert!(only(b.run(), "hole-outside").message.contains("breaks out of the front edge"));
}

#[test]
fn a_hole_beside_the_part_misses_it() {
    let mut b = side();
    b.hole("left", Face::Right, [37, 725], 5, Some(12));
    assert_eq!(
        only(b.run(), "hole-outside").message,
        "A 5mm hole for shelf pins misses the right face of `left`: its centre lies 5mm beyond the top edge."
    );
}

#[test]
fn a_blind_hole_keeps_a_floor() {
    for (depth, codes) in [(17, vec![]), (18, vec!["hole-too-deep"]), (20, vec!["hole-too-deep"])] {
        let mut b = side();
        b.hole("left", Face::Right, [37, 300], 5, Some(depth));
        assert_eq!(b.codes(), codes);
    }
    let mut b = side();
    b.hole("left", Face::Right, [37, 300], 5, Some(20));
    assert!(only(b.run(), "hole-too-deep").help[0].starts_with("At most 17.9mm deep, 2.1mm less"));
}

#[test]
fn holes_side_by_side_touch_at_the_sum_of_their_radii() {
    for (at, codes) in [(106, vec![]), (105, vec!["hole-meets-hole"])] {
        let mut b = side();
        b.hole("left", Face::Right, [100, 300], 5, Some(10));
        b.hole("left", Face::Right, [at, 300], 7, Some(10));
        assert_eq!(b.codes(), codes);
    }
    let mut b = side();
    b.hole("left", Face::Right, [100, 300], 5, Some(10));
    b.hole("left", Face::Right, [103, 304], 7, Some(10));
    let fault = only(b.run(), "hole-meets-hole");
    assert_eq!(
        fault.message,
        "A 7mm hole for shelf pins meets a 5mm hole for shelf pins in `left`, in the right face."
    );
    assert_eq!(fault.help, ["Set them at least 6mm apart, from centre to centre."]);
}

#[test]
fn holes_from_both_faces_meet_when_deep_enough() {
    for (depth, codes) in [(9, vec![]), (10, vec!["hole-meets-hole"])] {
        let mut b = side();
        b.hole("left", Face::Right, [100, 300], 5, Some(9));
        b.hole("left", Face::Left, [100, 300], 8, Some(depth));
        assert_eq!(b.codes(), codes);
    }
}

#[test]
fn one_hole_for_two_purposes_is_one() {
    let mut b = side();
    b.hole("left", Face::Right, [100, 300], 5, Some(10));
    b.hole("left", Face::Right, [100, 300], 5, Some(10));
    assert!(b.codes().is_empty());
}

#[test]
fn a_hole_in_an_edge_meets_one_in_a_face() {
    // 40 deep from the front edge at half thickness; a hole of 5 from the right face, 12 deep.
    for (z, codes) in [(43, vec![]), (42, vec!["hole-meets-hole"])] {
        let mut b = side();
        b.hole("left", Face::Front, [9, 300], 8, Some(40));
        b.hole("left", Face::Right, [z, 300], 5, Some(12));
        assert_eq!(b.codes(), codes, "{z}");
    }
}

#[test]
fn a_hole_keeps_off_a_groove_on_its_own_face_and_the_other() {
    let groove = cuboid([10, 0, 270], [18, 720, 274]);
    for (face, depth, z, codes) in [
        (Face::Right, 12, 267, vec![]),
        (Face::Right, 12, 268, vec!["hole-in-groove"]),
        (Face::Left, 10, 272, vec![]),
        (Face::Left, 11, 272, vec!["hole-in-groove"]),
    ] {
        let mut b = side();
        b.cut("left", Shape::Groove, Face::Right, groove, Axis::Y);
        b.hole("left", face, [z, 300], 6, Some(depth));
        assert_eq!(b.codes(), codes, "{face:?} {depth} {z}");
    }
    let mut b = side();
    b.cut("left", Shape::Groove, Face::Right, groove, Axis::Y);
    b.hole("left", Face::Left, [272, 300], 6, Some(12));
    let fault = only(b.run(), "hole-in-groove");
    assert_eq!(
        fault.message,
        "A 6mm hole for shelf pins in the left face of `left` runs into the groove for `rear`."
    );
    assert_eq!(fault.help, ["Bore it 10mm deep at most, or move it at least 5mm towards the front."]);
}

#[test]
fn a_joint_may_bore_through_its_own_housing() {
    let mut b = side();
    b.cut("left", Shape::Housing, Face::Right, cuboid([12, 300, 0], [18, 318, 300]), Axis::Z).joint =
        "pins".to_string();
    b.hole("left", Face::Left, [50, 309], 4, None);
    assert!(b.codes().is_empty());
}

#[test]
fn a_row_that_breaks_out_is_one_message() {
    let mut b = side();
    let origin = b.hole("left", Face::Right, [2, 100], 5, Some(12)).origin;
    for n in 1..6 {
        b.hole("left", Face::Right, [2, 100 + 32 * n], 5, Some(12)).origin = origin;
    }
    let fault = only(b.run(), "hole-outside");
    assert_eq!(fault.notes, ["The same statement causes 5 more like it."]);
}

/// Whether a cell of a fine grid lies in a plain bore, by its middle in units of a quarter.
fn holds(bore: &Bore, at: [i64; 3]) -> bool {
    let [u, v] = bore.axis.others();
    let q = |axis: Axis| Rational::ratio(i128::from(at[axis as usize]), 4);
    let along = bore.bounds.on(bore.axis);
    if !(along.lo < q(bore.axis) && q(bore.axis) < along.hi) {
        return false;
    }
    let d = |axis: Axis| {
        let d = q(axis).sub(bore.at(axis)).unwrap();
        d.mul(d).unwrap()
    };
    d(u).add(d(v)).unwrap() < bore.radius.mul(bore.radius).unwrap()
}

fn some_hole() -> impl Strategy<Value = (Face, [i64; 2], i64, i64)> {
    (0usize..6, [3i64..9, 3i64..9], 1i64..6, 1i64..12)
        .prop_map(|(f, at, dia, depth)| (Face::ALL[f], at, dia, depth))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// What a fine grid finds in two holes, the exact answer finds; and where the exact answer is yes,
    /// holes a little wider share a cell.
    #[test]
    fn holes_meet_as_a_fine_grid_says(p in some_hole(), q in some_hole()) {
        let mut b = Bench::new("b");
        b.part("block", [0, 0, 0], [12, 12, 12]);
        for wider in [0, 1] {
            for (face, at, dia, depth) in [p, q] {
                b.hole("block", face, at, dia + wider, Some((depth + wider).min(12)));
            }
        }
        let part = b.get("block").clone();
        let bores: Vec<Bore> = part.holes.iter().map(|h| Bore::of(&part, h).unwrap().unwrap()).collect();
        let share = |a: &Bore, b: &Bore| {
            (0..49).any(|x| (0..49).any(|y| (0..49).any(|z| holds(a, [x, y, z]) && holds(b, [x, y, z]))))
        };
        let exact = meet(&part, &bores[0], &bores[1]).unwrap();
        prop_assert_eq!(exact, meet(&part, &bores[1], &bores[0]).unwrap());
        if exact {
            prop_assert!(share(&bores[2], &bores[3]));
        } else {
            prop_assert!(!share(&bores[0], &bores[1]));
        }
    }

    #[test]
    fn holes_meet_cuts_as_a_fine_grid_says(p in some_hole(), c in super::super::testing::cuboids()) {
        let mut b = Bench::new("b");
        b.part("block", [0, 0, 0], [12, 12, 12]);
        for wider in [0, 1] {
            let (face, at, dia, depth) = p;
            b.hole("block", face, at, dia + wider, Some((depth + wider).min(12)));
        }
        b.cut("block", Shape::Slot, Face::Right, c, Axis::Y);
        let part = b.get("block").clone();
        let bores: Vec<Bore> = part.holes.iter().map(|h| Bore::of(&part, h).unwrap().unwrap()).collect();
        let in_cut = |at: [i64; 3]| Axis::ALL.iter().all(|a| {
            let q = Rational::ratio(i128::from(at[*a as usize]), 4);
            c.on(*a).lo < q && q < c.on(*a).hi
        });
        let share = |a: &Bore| (0..49).any(|x| (0..49).any(|y| (0..49).any(|z| in_cut([x, y, z]) && holds(a, [x, y, z]))));
        // Only what the part holds counts.
        if c.on(Axis::X).lo < mm(12) && c.on(Axis::Y).lo < mm(12) && c.on(Axis::Z).lo < mm(12) {
            if meets_cut(&part, &bores[0], &part.cuts[0]).unwrap() {
                prop_assert!(share(&bores[1]));
            } else {
                prop_assert!(!share(&bores[0]));
            }
        }
    }
}

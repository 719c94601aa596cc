//! Doors and drawers in boxes built by hand.

use super::super::testing::{Bench, cuboid, interval, mm, only};
use super::turn::{Flat, Turn, meet};
use crate::geometry::{Axis, Face};
use crate::job::*;
use crate::values::{Figure, Rational};
use proptest::prelude::*;

/// Two sides and a top, 600 wide, 700 high, 300 deep.
fn case() -> Bench {
    let mut b = Bench::new("b");
    b.job.boxes[0].place = cuboid([0, 0, 0], [600, 700, 300]);
    b.part("left", [0, 0, 0], [18, 700, 300]).part("right", [582, 0, 0], [600, 700, 300]).part(
        "top",
        [18, 682, 0],
        [582, 700, 300],
    );
    b.link("top", "left").link("top", "right");
    b
}

fn guide(b: &Bench, parts: &[&str]) -> Guide {
    Guide { origin: b.job.parts[0].origin, parts: parts.iter().map(|p| b.index(p)).collect() }
}

fn swings(b: &mut Bench, thing: &str, about: Face, through: i64, by: &str) {
    let guide = guide(b, &[thing, by]);
    b.link(thing, by);
    let part = b.index(thing);
    b.job.parts[part].proud = true;
    b.job.moves.push(Move::Swings {
        thing: format!("b.{thing}"),
        about,
        through: Figure(mm(through)),
        fitting: "b.hinges".to_string(),
        guide,
    });
}

fn slides(b: &mut Bench, thing: &str, by: i64, held: &[&str]) {
    let mut parts = vec![thing];
    parts.extend(held);
    let guide = guide(b, &parts);
    for h in held {
        b.link(thing, h);
    }
    b.job.moves.push(Move::Slides {
        thing: format!("b.{thing}"),
        along: Axis::Z,
        by: Mm(mm(-by)),
        fitting: "b.slides".to_string(),
        guide,
    });
}

/// A case with one door over all of it, 3 mm narrower than the case.
fn door(about: Face, through: i64) -> Bench {
    let mut b = case();
    b.part("door", [2, 2, -18], [599, 699, 0]);
    swings(&mut b, "door", about, through, if about == Face::Left { "left" } else { "right" });
    b
}

/// Something that stands there: linked, so that it is not taken for a thing laid into the door's box.
fn post(b: &mut Bench, name: &str, low: [i64; 3], high: [i64; 3]) {
    b.part(name, low, high).link(name, "left");
    b.get(name).proud = true;
}

#[test]
fn a_door_in_free_air_opens() {
    for through in [90, 110, 180] {
        assert!(door(Face::Left, through).codes().is_empty());
        assert!(door(Face::Right, through).codes().is_empty());
    }
}

#[test]
fn a_post_in_front_is_struck_at_an_angle_that_can_be_worked_out() {
    // Its nearest corner, 3 mm of air counted, is 301 beside the hinge corner and 397 in front of it.
    let mut b = door(Face::Left, 110);
    post(&mut b, "post", [0, 0, -600], [300, 700, -418]);
    let fault = only(b.run(), "door-hits");
    assert_eq!((397f64 / 301.0).atan().to_degrees().floor(), 52.0);
    assert_eq!(
        fault.message,
        "`door`, hinged at its left edge, strikes `post` at 52 degrees; it is meant to open to 110."
    );
}

#[test]
fn a_wall_beside_the_hinge_stops_it_past_a_right_angle() {
    let mut b = door(Face::Left, 120);
    post(&mut b, "cheek", [-118, 0, -500], [-100, 700, 300]);
    let fault = only(b.run(), "door-hits");
    // The cheek's corner, air counted, is 99 beside the hinge corner and 485 in front of it.
    assert_eq!((90.0 + (99f64 / 485.0).atan().to_degrees()).floor(), 101.0);
    assert!(fault.message.contains("strikes `cheek` at 101 degrees"), "{}", fault.message);
    assert_eq!(
        fault.help,
        ["Either let it open to 101 degrees at most, or hinge it at its right edge, where it opens freely."]
    );
    // What is offered works.
    for (about, through) in [(Face::Left, 101), (Face::Right, 120)] {
        let mut b = door(about, through);
        post(&mut b, "cheek", [-118, 0, -500], [-100, 700, 300]);
        assert!(b.codes().is_empty(), "{about:?} {through}");
    }
}

#[test]
fn neighbours_at_a_reveal_are_not_struck() {
    let mut b = door(Face::Left, 110);
    b.part("other", [602, 2, -18], [1199, 699, 0]);
    swings(&mut b, "other", Face::Right, 110, "right");
    assert!(b.codes().is_empty());
}

#[test]
fn what_is_fixed_to_the_door_moves_with_it() {
    // A cheek beside the hinge edge that the door passes and its pull does not.
    let with_pull = |pull: bool| {
        let mut b = door(Face::Left, 90);
        if pull {
            b.part("pull", [540, 300, -60], [580, 400, -18]).link("pull", "door");
            b.get("pull").proud = true;
        }
        post(&mut b, "cheek", [-40, 0, -700], [-25, 700, -400]);
        b
    };
    assert!(with_pull(false).codes().is_empty());
    let fault = only(with_pull(true).run(), "door-hits");
    assert!(fault.message.contains("strikes `cheek` at 88 degrees"), "{}", fault.message);
}

#[test]
fn a_flap_strikes_what_is_above_it() {
    let mut b = case();
    b.part("flap", [2, 2, -18], [598, 398, 0]);
    swings(&mut b, "flap", Face::Top, 90, "left");
    b.part("shelf", [0, 450, -300], [600, 468, 0]).link("shelf", "left");
    b.get("shelf").proud = true;
    assert!(b.codes().is_empty());
    b.job.moves[0] = match b.job.moves[0].clone() {
        Move::Swings { thing, about, fitting, guide, .. } => {
            Move::Swings { thing, about, through: Figure(mm(110)), fitting, guide }
        }
        other => other,
    };
    let fault = only(b.run(), "door-hits");
    assert!(
        fault.message.contains("`flap`, hinged at its top edge, strikes `shelf` at 9"),
        "{}",
        fault.message
    );
}

#[test]
fn two_doors_side_by_side_warn_where_they_cannot_both_stand_open() {
    let side_by_side = |through| {
        let mut b = case();
        b.part("one", [2, 2, -18], [298, 698, 0]);
        b.part("other", [301, 2, -18], [598, 698, 0]);
        swings(&mut b, "one", Face::Right, through, "left");
        swings(&mut b, "other", Face::Left, through, "right");
        b
    };
    assert!(side_by_side(90).codes().is_empty());
    let fault = only(side_by_side(110).run(), "doors-meet");
    assert!(!fault.is_error());
    assert_eq!(fault.message, "`one`, open to 110 degrees, and `other`, open to 110, run into each other.");
}

#[test]
fn the_ceiling_and_obstacles_of_the_wall_are_struck() {
    let at_wall = |height: i64, pier: i64| {
        let mut b = case();
        b.part("flap", [2, 302, -18], [598, 698, 0]);
        swings(&mut b, "flap", Face::Top, 180, "left");
        for part in &mut b.job.parts {
            part.root = "north".to_string();
            for place in [&mut part.place, &mut part.own] {
                *place = place.with(Axis::Z, place.z.shift(mm(-300)).unwrap());
            }
        }
        b.job.boxes[0].root = "north".to_string();
        b.job.boxes[0].place = cuboid([0, 0, -300], [600, 700, 0]);
        b.job.walls.push(Wall {
            path: "north".to_string(),
            type_name: "a_wall".to_string(),
            description: None,
            place: cuboid([-1000, -50, 0], [3000, height, 200]),
            obstacles: vec![Obstacle {
                path: "north.pier".to_string(),
                type_name: "solid".to_string(),
                place: cuboid([600, 0, -pier], [900, height, 0]),
                origin: Origin::default(),
            }],
            lengths: Default::default(),
            words: Default::default(),
            origin: Origin::default(),
        });
        b
    };
    assert!(at_wall(2400, 100).codes().is_empty());
    let fault = only(at_wall(900, 100).run(), "door-hits");
    assert!(fault.message.contains("strikes the ceiling at "), "{}", fault.message);
    // A door hinged right beside a pier that stands far out.
    let mut b = at_wall(2400, 700);
    if let Move::Swings { about, through, .. } = &mut b.job.moves[0] {
        (*about, *through) = (Face::Right, Figure(mm(100)));
    }
    let fault = only(b.run(), "door-hits");
    assert!(fault.message.contains("strikes `pier` at 90 degrees"), "{}", fault.message);
}

#[test]
fn a_drawer_comes_out_and_takes_its_front_along() {
    let mut b = case();
    b.part("tray", [31, 100, 0], [569, 118, 290]);
    slides(&mut b, "tray", 280, &["left", "right"]);
    b.part("front", [2, 60, -18], [598, 200, 0]).link("front", "tray");
    b.get("front").proud = true;
    assert!(b.codes().is_empty());
    post(&mut b, "post", [590, 0, -200], [700, 300, -138]);
    let fault = only(b.run(), "drawer-hits");
    assert_eq!(fault.message, "`tray` strikes `post` when it is 120mm out; it is meant to come out 280mm.");
    assert_eq!(fault.help, ["Move `post` out of its way, or keep the two 8mm further apart in x."]);
    // It may touch what it passes.
    let mut b = case();
    b.part("tray", [18, 100, 0], [582, 118, 290]);
    slides(&mut b, "tray", 280, &["left", "right"]);
    post(&mut b, "post", [582, 0, -200], [700, 300, -138]);
    assert!(b.codes().is_empty());
}

/// A drawer behind a door that opens so far.
fn inner_drawer(through: i64, side: i64) -> Bench {
    let mut b = door(Face::Left, through);
    b.part("tray", [side, 100, 2], [570, 118, 290]);
    slides(&mut b, "tray", 280, &["left", "right"]);
    b
}

#[test]
fn a_drawer_behind_a_door_needs_it_open_far_enough() {
    assert!(inner_drawer(110, 20).codes().is_empty());
    assert!(inner_drawer(90, 20).codes().is_empty());
    let fault = only(inner_drawer(80, 20).run(), "drawer-hits");
    assert_eq!(fault.message, "`tray` cannot come out past `door`, which opens to 80 degrees only.");
    assert_eq!(fault.help.len(), 1);
    assert!(fault.help[0].starts_with("A hinge that opens to 90 degrees clears it; or make the drawer "));
    assert!(inner_drawer(88, 60).codes().is_empty());
}

#[test]
fn a_loose_thing_in_a_drawer_moves_with_it() {
    let mut b = case();
    b.part("tray", [31, 100, 0], [569, 250, 18]);
    slides(&mut b, "tray", 280, &["left", "right"]);
    b.part("divider", [100, 100, 5], [200, 200, 10]);
    b.get("divider").loose = true;
    // They overlap, which is another matter; the drawer does not strike it.
    assert!(!b.codes().contains(&"drawer-hits".to_string()));
}

#[test]
fn a_front_that_is_said_to_slide_as_well_is_told_of_once() {
    let mut b = case();
    b.part("tray", [31, 100, 0], [569, 118, 290]);
    slides(&mut b, "tray", 280, &["left", "right"]);
    b.part("front", [2, 60, -18], [598, 200, 0]).link("front", "tray");
    b.get("front").proud = true;
    slides(&mut b, "front", 280, &[]);
    post(&mut b, "post", [0, 0, -200], [700, 300, -138]);
    only(b.run(), "drawer-hits");
}

#[test]
fn a_drawer_whose_front_hides_another_is_pulled_out_first() {
    let stacked = |low: i64, high: i64| {
        let mut b = case();
        b.part("low", [31, 100, 0], [569, 118, 290]);
        slides(&mut b, "low", low, &["left", "right"]);
        b.part("front", [2, 60, -18], [598, 400, 0]).link("front", "low");
        b.get("front").proud = true;
        b.part("high", [31, 300, 2], [569, 318, 290]);
        slides(&mut b, "high", high, &["left", "right"]);
        b
    };
    assert!(stacked(280, 280).codes().is_empty());
    assert_eq!(stacked(200, 280).codes(), ["drawer-hits"]);
}

#[test]
fn without_a_fitting_the_largest_group_stays() {
    let mut b = case();
    b.part("tray", [31, 100, 0], [569, 118, 290]);
    slides(&mut b, "tray", 280, &["left", "right"]);
    if let Move::Slides { guide, .. } = &mut b.job.moves[0] {
        guide.parts.clear();
    }
    b.part("front", [2, 60, -18], [598, 200, 0]).link("front", "tray");
    b.get("front").proud = true;
    assert!(b.codes().is_empty());
}

/// What is found by turning in small steps.
fn by_steps(door: &Flat, still: &Flat, whole: f64) -> Option<f64> {
    let corners = still.turned(0.0);
    let steps = 20_000;
    (0..=steps).map(|n| whole * f64::from(n) / f64::from(steps)).find(|a| meet(&door.turned(*a), &corners))
}

proptest! {
    #[test]
    fn the_angle_is_that_found_by_small_steps(
        wide in 50i32..600, thick in 5i32..40, u in -400i32..600, v in -600i32..200,
        w in 1i32..300, d in 1i32..300, degrees in 10i32..180,
    ) {
        let f = f64::from;
        let door = Flat { u: [0.0, f(wide)], v: [0.0, f(thick)] };
        let still = Flat { u: [f(u), f(u + w)], v: [f(v), f(v + d)] };
        let whole = f(degrees).to_radians();
        prop_assume!(door.gap(&still) >= 0.0);
        match (door.strikes(&still, whole), by_steps(&door, &still, whole)) {
            (Some(a), Some(b)) => prop_assert!((a - b).abs() < 2e-3, "{a} {b}"),
            (None, None) => {}
            // A graze at the very end, or so thin that the steps miss it.
            (Some(a), None) => prop_assert!(!meet(&door.turned(a + 3e-3), &still.turned(0.0)) || whole - a < 3e-3),
            (None, Some(b)) => prop_assert!(false, "missed at {b}"),
        }
    }

    #[test]
    fn the_reach_holds_every_position(
        x in -300i64..300, w in 100i64..600, about in prop::sample::select(vec![Face::Left, Face::Right]),
        degrees in 0i64..180,
    ) {
        let b = Bench::new("b");
        let style = b.job.house.style();
        let unsure = Default::default();
        let checks = super::Checks {
            job: &b.job, trace: &b, style, boxes: Default::default(), unsure: &unsure, clashes: Vec::new(),
        };
        let mut hull = cuboid([x, 0, -18], [x + w, 700, 0]);
        hull.y = interval(0, 700);
        let turn = Turn::new(None, &hull, about, Rational::int(180), &checks).unwrap().unwrap();
        let reach = turn.reach(&hull).unwrap();
        let corners = turn.corners(&turn.flat(&hull).unwrap(), (degrees as f64).to_radians());
        for [along, out] in corners {
            let holds = |range: crate::geometry::Interval, at: f64| {
                super::turn::float(range.lo) - 1e-9 <= at && at <= super::turn::float(range.hi) + 1e-9
            };
            prop_assert!(holds(reach.x, along) && holds(reach.z, out), "{along} {out} {reach:?}");
        }
    }
}

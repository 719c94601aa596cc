//! Parts that no example has, of a glaze store in the pottery studio: every kind of cut, many
//! diameters, tables that run over, a batten, a small block, a part bored from all sides.

use crate::job_fixture::{cuboid, hole, interval, mm, part, through};
use aumbry::geometry::{Axis, Cuboid, Face};
use aumbry::job::*;
use std::collections::BTreeMap;

fn cut(shape: Shape, face: Face, cuboid: Cuboid, runs: Axis, run: Run) -> Cut {
    Cut {
        shape,
        face,
        cuboid,
        runs,
        run,
        dia: None,
        along: None,
        by: None,
        joint: "store.cut".into(),
        origin: Origin::default(),
    }
}

/// A side without any symmetry: each kind of cut, holes from both faces, from an edge and in place.
fn side() -> Part {
    let mut p = part("store.left", "white18", cuboid(["0", "18"], ["0", "900"], ["0", "500"]), Axis::Y);
    p.inner = Some(Face::Right);
    p.outer = Some(Face::Left);
    p.good_face = Some(Face::Left);
    p.bands = [(Face::Front, "abs08".to_string()), (Face::Top, "abs08".to_string())].into();
    p.cuts = vec![
        cut(
            Shape::Groove,
            Face::Right,
            cuboid(["10", "18"], ["0", "900"], ["480", "484"]),
            Axis::Y,
            Run::Through,
        ),
        cut(
            Shape::Housing,
            Face::Right,
            cuboid(["12", "18"], ["400", "418.2"], ["0", "460"]),
            Axis::Z,
            Run::Stopped,
        ),
        cut(
            Shape::Groove,
            Face::Left,
            cuboid(["0", "6"], ["200", "700"], ["250", "256"]),
            Axis::Y,
            Run::Blind,
        ),
        cut(
            Shape::Rebate,
            Face::Right,
            cuboid(["8", "18"], ["0", "900"], ["490", "500"]),
            Axis::Y,
            Run::Through,
        ),
        cut(Shape::Notch, Face::Right, cuboid(["0", "18"], ["0", "80"], ["0", "60"]), Axis::Y, Run::Stopped),
        Cut {
            dia: Some(mm("8")),
            along: Some(Axis::Z),
            ..cut(
                Shape::Slot,
                Face::Left,
                cuboid(["0", "18"], ["800", "808"], ["300", "340"]),
                Axis::Z,
                Run::Blind,
            )
        },
        cut(
            Shape::Groove,
            Face::Top,
            cuboid(["7", "11"], ["888", "900"], ["0", "500"]),
            Axis::Z,
            Run::Through,
        ),
    ];
    for n in 0..13 {
        let y = format!("{}", 150 + 32 * n);
        for z in ["37", "433.5"] {
            let h = hole(&p, Face::Right, [z, &y], "5", "12", "shelf pins");
            p.holes.push(h);
        }
    }
    for (z, y) in [("111", "120"), ("222.5", "650"), ("350", "655")] {
        let h = hole(&p, Face::Right, [z, y], "8", "13", "dowels");
        p.holes.push(h);
    }
    for (z, y) in [("90", "9"), ("300", "9"), ("90", "891"), ("410", "891")] {
        let mut h = through(hole(&p, Face::Left, [z, y], "4.5", "18", "screws"), "18");
        h.profile.push(Step { dia: mm("9"), end_dia: mm("4.5"), depth: mm("2.5") });
        p.holes.push(h);
    }
    let h = Hole { bored: Bored::InPlace, ..hole(&p, Face::Right, ["200", "760"], "3", "10", "batten") };
    p.holes.push(h);
    for x in ["60", "250", "440"] {
        let h = hole(&p, Face::Top, ["9", x], "6", "25", "dowels");
        p.holes.push(h);
    }
    let h = hole(&p, Face::Rear, ["6", "333"], "10", "15", "a bolt");
    p.holes.push(h);
    p
}

/// A level part full of holes, none in a row: its table runs over.
fn board_full() -> Part {
    let mut p = part("store.bottom", "white18", cuboid(["18", "782"], ["0", "18"], ["0", "500"]), Axis::X);
    p.inner = Some(Face::Top);
    p.outer = Some(Face::Bottom);
    for i in 0..90u32 {
        let (x, z) = (20 + (i * 83) % 720, 20 + (i * i * 7 + i * 31) % 460);
        let (x, z) = (x.to_string(), z.to_string());
        let near = p.holes.iter().any(|h: &Hole| h.at.mm == [mm(&x), mm(&z)]);
        if !near {
            let dia = ["3", "5", "8"][(i % 3) as usize];
            let h = hole(&p, Face::Top, [&x, &z], dia, "12", "a test of glazes that is long in words");
            p.holes.push(h);
        }
    }
    for (n, z) in ["70", "250", "430"].into_iter().enumerate() {
        for (face, at) in [(Face::Left, [z, "9"]), (Face::Right, [z, "7.5"])] {
            let bored = if n == 1 { Bored::Bench } else { Bored::InPlace };
            let h = Hole { bored, ..hole(&p, face, at, "5", "34", "corner screws") };
            p.holes.push(h);
        }
    }
    let h = hole(&p, Face::Front, ["382", "9"], "8", "20", "a lock");
    p.holes.push(h);
    p
}

/// A batten too slender to be drawn at one scale.
fn batten() -> Part {
    let mut p = part("store.batten", "pine", cuboid(["0", "2400"], ["850", "878"], ["484", "500"]), Axis::X);
    for x in ["40", "640", "1240", "1840", "2360"] {
        let mut h = through(hole(&p, Face::Front, [x, "14"], "4", "16", "wall screws"), "16");
        h.profile.push(Step { dia: mm("8"), end_dia: mm("8"), depth: mm("5") });
        p.holes.push(h);
    }
    p.bevels.push(Bevel {
        face: Face::Top,
        rise: mm("16"),
        run: mm("16"),
        long_side: Face::Front,
        origin: Origin::default(),
    });
    p
}

/// A block of many diameters, smaller than a hand.
fn block() -> Part {
    let mut p = part("store.jig", "beech", cuboid(["100", "220"], ["100", "160"], ["100", "112"]), Axis::X);
    for n in 1..=11 {
        let (x, dia) = ((n * 10).to_string(), format!("{}", 1 + n % 9));
        let y = if n % 2 == 0 { "20" } else { "41.5" };
        let h = hole(&p, Face::Rear, [&x, y], &dia, "6", "bits");
        p.holes.push(h);
    }
    p
}

/// A part under the top, bored from below, and one face in front.
fn top_and_front() -> Vec<Part> {
    let mut top = part("store.top", "white18", cuboid(["18", "782"], ["882", "900"], ["0", "500"]), Axis::X);
    top.inner = Some(Face::Bottom);
    top.outer = Some(Face::Top);
    for (x, z) in [("100", "30"), ("200", "44"), ("700", "470")] {
        let h = hole(&top, Face::Bottom, [x, z], "5", "12", "a lamp");
        top.holes.push(h);
    }
    let mut front = part(
        "store.a_very_long_name_for_a_front_that_covers_the_whole_store",
        "white18",
        cuboid(["0", "800"], ["0", "900"], ["-18", "0"]),
        Axis::Y,
    );
    front.inner = Some(Face::Rear);
    front.outer = Some(Face::Front);
    for (x, y) in [("21.5", "100"), ("21.5", "800"), ("31", "76"), ("31", "124")] {
        let h = hole(&front, Face::Rear, [x, y], "35", "13", "hinges");
        front.holes.push(h);
    }
    for (x, y) in [("760", "450"), ("741", "514")] {
        let h = through(hole(&front, Face::Front, [x, y], "5", "18", "the pull"), "18");
        front.holes.push(h);
    }
    vec![top, front]
}

/// A divider in the middle: neither face is inner.
fn divider() -> Part {
    let mut p =
        part("store.divider", "white18", cuboid(["391", "409"], ["18", "882"], ["0", "480"]), Axis::Y);
    for (face, z) in [(Face::Left, "37"), (Face::Right, "52")] {
        for n in 0..6 {
            let y = (100 + 25 * n).to_string();
            let h = hole(&p, face, [z, &y], "5", "8", "shelf pins");
            p.holes.push(h);
        }
    }
    p
}

/// The store as a job, in millimetres or in inches.
pub fn job(inches: bool) -> Job {
    let mut parts = vec![side(), board_full(), batten(), block(), divider()];
    parts.extend(top_and_front());
    let mut job = crate::job_fixture::job(parts);
    if inches {
        job.house.units = "in".into();
        job.house.print = Mm(aumbry::values::Rational::ratio(127, 5 * 64));
    }
    let place = Cuboid { x: interval("0", "800"), y: interval("0", "900"), z: interval("0", "500") };
    job.boxes.push(BoxEntry {
        path: "store".into(),
        type_name: "store".into(),
        description: Some("A store for glazes, with everything a sheet can show.".into()),
        within: None,
        root: "store".into(),
        row: None,
        place,
        mirrored: false,
        spaces: BTreeMap::new(),
        was: None,
        origin: Origin::default(),
    });
    job
}

/// A board of more diameters than there are simple symbols.
pub fn bits() -> Job {
    let mut p = part("bits.board", "beech", cuboid(["0", "700"], ["0", "18"], ["0", "200"]), Axis::X);
    p.inner = Some(Face::Top);
    for n in 0..26u32 {
        let (x, dia) = ((20 + 26 * n).to_string(), format!("{}", f64::from(n + 2) / 2.0));
        let h = hole(&p, Face::Top, [&x, "90"], &dia, "9", "a bit");
        p.holes.push(h);
    }
    crate::job_fixture::job(vec![p])
}

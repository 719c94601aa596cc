//! A wall of the pottery studio by hand: two piers, a row on a plinth with a gap, a row hung in front of
//! the piers on rails, a bench over one run.

use crate::job_fixture::{cuboid, hole, interval, job, mm, part, through};
use aumbry::geometry::{Axis, Cuboid, Face};
use aumbry::job::*;
use aumbry::values::Rational;
use std::collections::BTreeMap;

fn text(value: f64) -> String {
    format!("{value}")
}

pub fn block(x: (f64, f64), y: (f64, f64), z: (f64, f64)) -> Cuboid {
    let [x, y, z] = [x, y, z].map(|(lo, hi)| [text(lo), text(hi)]);
    let ends = |e: &[String; 2]| interval(&e[0], &e[1]);
    Cuboid { x: ends(&x), y: ends(&y), z: ends(&z) }
}

/// A part at the wall: `place` in the wall's frame.
pub fn at(path: &str, corner: &Cuboid, place: Cuboid, along: Axis) -> Part {
    let mut own = place;
    for axis in Axis::ALL {
        let low = corner.on(axis).lo;
        let shift = Rational::ZERO.sub(low).expect("a length");
        own = own.with(axis, place.on(axis).shift(shift).expect("a length"));
    }
    let mut p = part(path, "board", own, along);
    p.place = place;
    p.root = "north".into();
    p
}

pub fn entry(path: &str, row: Option<&str>, place: Cuboid) -> BoxEntry {
    BoxEntry {
        path: path.into(),
        type_name: "case".into(),
        description: Some("A case of the pottery studio.".into()),
        within: None,
        root: "north".into(),
        row: row.map(str::to_string),
        place,
        mirrored: false,
        spaces: BTreeMap::new(),
        was: None,
        origin: Origin::default(),
    }
}

/// Sides, bottom, top and back, and fronts one over the other.
pub fn case(path: &str, place: &Cuboid, fronts: usize) -> Vec<Part> {
    let [x, y, z] = [place.x, place.y, place.z].map(|i| {
        let f = |r: Rational| r.numerator() as f64 / r.denominator() as f64;
        (f(i.lo), f(i.hi))
    });
    let name = |n: &str| format!("{path}.{n}");
    let mut parts = vec![
        at(&name("left"), place, block((x.0, x.0 + 16.0), y, z), Axis::Y),
        at(&name("right"), place, block((x.1 - 16.0, x.1), y, z), Axis::Y),
        at(&name("bottom"), place, block((x.0 + 16.0, x.1 - 16.0), (y.0, y.0 + 16.0), z), Axis::X),
        at(&name("top"), place, block((x.0 + 16.0, x.1 - 16.0), (y.1 - 16.0, y.1), z), Axis::X),
        at(
            &name("rear"),
            place,
            block((x.0 + 9.0, x.1 - 9.0), (y.0 + 9.0, y.1), (z.1 - 20.0, z.1 - 17.0)),
            Axis::Y,
        ),
    ];
    let tall = (y.1 - y.0) / fronts.max(1) as f64;
    for n in 0..fronts {
        let low = y.0 + tall * n as f64;
        let place_of = block((x.0 + 1.5, x.1 - 1.5), (low + 1.5, low + tall - 1.5), (z.0 - 18.0, z.0 - 2.0));
        let mut front = at(&name(&format!("front[{}]", n + 1)), place, place_of, Axis::X);
        front.proud = true;
        parts.push(front);
    }
    parts
}

/// The wall with everything at it.
pub fn wall() -> Job {
    let length = 2905.0;
    let floor = [("clay", 30.0, 787.5, 3), ("glaze", 1547.5, 2305.0, 4), ("tools", 2305.0, 2905.0, 0)];
    let mut boxes = Vec::new();
    let mut parts = Vec::new();
    let mut members = Vec::new();
    let member = |path: &str, gap: bool, place: Cuboid| RowMember { path: path.into(), gap, place };
    for (name, lo, hi, fronts) in floor {
        let place = block((lo, hi), (110.0, 830.0), (-670.0, -110.0));
        let path = format!("floor.{name}");
        parts.extend(case(&path, &place, fronts));
        members.push(member(&path, false, place));
        boxes.push(entry(&path, Some("floor"), place));
    }
    members.insert(1, member("floor.roller", true, block((787.5, 1547.5), (110.0, 830.0), (-670.0, -110.0))));
    let mut hung = Vec::new();
    for n in 0..4 {
        let width = length / 4.0;
        let (lo, hi) = (width * f64::from(n), width * f64::from(n + 1));
        let place = block((lo, hi), (1430.0, 2130.0), (-460.0, -140.0));
        let path = format!("hung.upper[{}]", n + 1);
        parts.extend(case(&path, &place, 0));
        hung.push(member(&path, false, place));
        boxes.push(entry(&path, Some("hung"), place));
    }
    // Doors on the tools: two leaves.
    let tools = block((2305.0, 2905.0), (110.0, 830.0), (-670.0, -110.0));
    for (n, (lo, hi)) in [(2306.5, 2603.5), (2606.5, 2903.5)].into_iter().enumerate() {
        let leaf = block((lo, hi), (111.5, 828.5), (-690.0, -674.0));
        let mut p = at(&format!("floor.tools.leaf[{}]", n + 1), &tools, leaf, Axis::Y);
        p.proud = true;
        parts.push(p);
    }
    let mut single = |path: &str, place: Cuboid, along: Axis| {
        let own = path.rsplit_once('.').expect("a path").0;
        parts.push(at(path, &place, place, along));
        boxes.push(entry(own, None, place));
    };
    single("bench[1].top", block((30.0, 787.5), (830.0, 857.0), (-695.0, -110.0)), Axis::X);
    single("bench[2].top", block((1547.5, 2905.0), (830.0, 857.0), (-695.0, -110.0)), Axis::X);
    single("bed.bed", block((789.5, 1545.5), (734.0, 761.0), (-670.0, -110.0)), Axis::X);
    single("plinth[1].front", block((30.0, 787.5), (30.0, 110.0), (-610.0, -594.0)), Axis::X);
    single("plinth[2].front", block((1547.5, 2905.0), (30.0, 110.0), (-610.0, -594.0)), Axis::X);
    single("filler.strip", block((-8.0, 30.0), (110.0, 830.0), (-667.0, -651.0)), Axis::Y);
    for (name, low) in [("rails", 1920.0), ("feet", 1450.0)] {
        single(&format!("{name}.rail"), block((0.0, 2550.0), (low, low + 90.0), (-140.0, -105.0)), Axis::X);
    }
    for rail in parts.iter_mut().filter(|p| p.path.ends_with(".rail")) {
        for x in ["57.5", "172.5", "2377.5", "2492.5"] {
            let mut h = through(hole(rail, Face::Front, [x, "45"], "6.5", "35", "to the wall"), "35");
            h.joints = vec![format!("{}.to_wall", rail.box_path)];
            rail.holes.push(h);
        }
    }
    // The bed hangs in the room of the gap.
    let bed = boxes.iter_mut().find(|b| b.path == "bed").expect("the bed");
    bed.place = block((787.5, 1547.5), (110.0, 830.0), (-670.0, -110.0));
    let mut job = job(parts);
    job.boxes = boxes;
    job.boxes.sort_by(|a, b| path_order(&a.path, &b.path));
    job.moves = vec![
        Move::Swings {
            thing: "floor.tools.leaf[1]".into(),
            about: Face::Left,
            through: Figure(Rational::int(95)),
            fitting: "floor.tools.hinges".into(),
            guide: Guide::default(),
        },
        Move::Swings {
            thing: "floor.tools.leaf[2]".into(),
            about: Face::Right,
            through: Figure(Rational::int(95)),
            fitting: "floor.tools.hinges".into(),
            guide: Guide::default(),
        },
    ];
    let pier = |name: &str, lo: f64| Obstacle {
        path: format!("north.{name}"),
        type_name: "solid".into(),
        place: block((lo, lo + 230.0), (0.0, 2640.0), (-105.0, 0.0)),
        origin: Origin::default(),
    };
    job.walls = vec![Wall {
        path: "north".into(),
        type_name: "site_wall".into(),
        description: Some("A wall as measured.".into()),
        place: block((0.0, length), (0.0, 2640.0), (0.0, 100.0)),
        obstacles: vec![pier("pier_left", 0.0), pier("pier_right", 2320.0)],
        lengths: [
            ("length".to_string(), vec![mm("2912"), mm("2908"), mm("2905")]),
            ("height".to_string(), vec![mm("2640")]),
        ]
        .into(),
        words: [("made_of".to_string(), "brick".to_string())].into(),
        origin: Origin::default(),
    }];
    let row = |path: &str, place: Cuboid, standoff: &str, members: Vec<RowMember>| Row {
        path: path.into(),
        wall: "north".into(),
        place,
        standoff: mm(standoff),
        members,
        ends: [None, None],
    };
    job.rows = vec![
        row("floor", block((0.0, length), (110.0, 830.0), (-670.0, -110.0)), "110", members),
        row("hung", block((0.0, length), (1430.0, 2130.0), (-460.0, -140.0)), "140", hung),
    ];
    job
}

/// A bare wall with nothing at it but a window.
pub fn bare() -> Job {
    let mut job = wall();
    job.parts.clear();
    job.boxes.clear();
    job.rows.clear();
    job.moves.clear();
    if let Some(wall) = job.walls.first_mut() {
        wall.obstacles.truncate(1);
        for obstacle in &mut wall.obstacles {
            obstacle.path = "north.window".into();
            obstacle.place = cuboid(["900", "2000"], ["900", "2000"], ["-600", "0"]);
        }
    }
    job
}

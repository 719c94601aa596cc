//! Jobs built by hand, so that outputs are tested without the compiler.
#![allow(dead_code)]

use aumbry::geometry::{Axis, Cuboid, Face, Interval};
use aumbry::job::*;
use aumbry::values::{Mm, Rational};
use std::collections::BTreeMap;

/// A length from a decimal, `mm("16.2")`.
pub fn mm(text: &str) -> Mm {
    Mm(Rational::parse_decimal(text).expect("a decimal"))
}

pub fn interval(lo: &str, hi: &str) -> Interval {
    Interval::new(mm(lo).0, mm(hi).0)
}

pub fn cuboid(x: [&str; 2], y: [&str; 2], z: [&str; 2]) -> Cuboid {
    Cuboid { x: interval(x[0], x[1]), y: interval(y[0], y[1]), z: interval(z[0], z[1]) }
}

/// A plain part: thickness on its thinnest axis, grain along `along`.
pub fn part(path: &str, board: &str, own: Cuboid, along: Axis) -> Part {
    let size = |axis: Axis| own.on(axis).size().expect("a size");
    let thin = Axis::ALL.into_iter().min_by_key(|a| size(*a)).expect("three axes");
    let across = Axis::ALL.into_iter().find(|a| *a != along && *a != thin).expect("three axes");
    let (length, width, thickness) = (Mm(size(along)), Mm(size(across)), Mm(size(thin)));
    let box_path = path.rsplit_once('.').map_or("", |(b, _)| b).to_string();
    Part {
        path: path.to_string(),
        mark: String::new(),
        piece: 0,
        root: box_path.split('.').next().unwrap_or("").to_string(),
        box_path,
        board: board.to_string(),
        length,
        width,
        thickness,
        cut: CutSize { length, width },
        place: own,
        axes: [along, across, thin],
        mirrored: false,
        grain: Grain::Length,
        good_face: None,
        bands: BTreeMap::new(),
        cuts: Vec::new(),
        holes: Vec::new(),
        bevels: Vec::new(),
        own,
        inner: None,
        outer: None,
        loose: false,
        proud: false,
        origin: Origin::default(),
        range_origins: [Origin::default(); 3],
        was: None,
    }
}

/// A hole measured from the datum edges of its face.
pub fn hole(part: &Part, face: Face, at: [&str; 2], dia: &str, depth: &str, purpose: &str) -> Hole {
    let id = format!("{}/{purpose}#{}", part.path, part.holes.len() + 1);
    Hole {
        id,
        face,
        at: At { from: face.datum_edges(), mm: at.map(mm) },
        dia: mm(dia),
        depth: mm(depth),
        through: false,
        profile: Vec::new(),
        bored: Bored::Bench,
        purposes: vec![purpose.to_string()],
        joints: vec!["screwed(left)".to_string()],
        origin: Origin::default(),
    }
}

pub fn through(mut hole: Hole, thickness: &str) -> Hole {
    hole.through = true;
    hole.depth = mm(thickness);
    hole
}

pub fn house() -> House {
    House { units: "mm".into(), step: mm("1"), print: mm("0.1"), lengths: BTreeMap::new() }
}

/// A job of these parts, marked.
pub fn job(mut parts: Vec<Part>) -> Job {
    parts.sort_by(|a, b| path_order(&a.path, &b.path));
    let (same, pairs) = assign(&mut parts, None);
    let mut boards: Vec<Board> = Vec::new();
    for p in &parts {
        if !boards.iter().any(|b| b.name == p.board) {
            boards.push(Board {
                name: p.board.clone(),
                thickness: p.thickness,
                sheet: Some([mm("2800"), mm("2070")]),
                trim: None,
                stiffness: None,
                shear: None,
                strength: None,
                density: None,
                grain: p.grain != Grain::None,
                good_faces: 2,
                price: None,
                description: None,
            });
        }
    }
    boards.sort_by_key(|b| std::cmp::Reverse(b.thickness));
    Job {
        format: "aumbry-job/1".into(),
        sources: vec![SourceDigest { name: "glaze.aum".into(), digest: "0".repeat(64) }],
        house: house(),
        boards,
        bands: vec![Band { name: "abs08".into(), thickness: mm("0.8"), deduct: true }],
        boxes: Vec::new(),
        parts,
        same,
        pairs,
        items: Vec::new(),
        fixes: Vec::new(),
        mounts: Vec::new(),
        matched: Vec::new(),
        moves: Vec::new(),
        loads: Vec::new(),
        spans: Vec::new(),
        bearings: Vec::new(),
        rests: Vec::new(),
        rows: Vec::new(),
        walls: Vec::new(),
        messages: Vec::new(),
        links: Vec::new(),
        explained: Vec::new(),
        anchored: Vec::new(),
    }
}

/// A glaze shelf of the pottery studio: two sides (a pair), bottom and top, two shelves, a thin back.
pub fn glaze_shelf() -> Job {
    let side = |path: &str, x: [&str; 2], inner: Face| {
        let mut p = part(path, "white16", cuboid(x, ["0", "1400"], ["0", "300"]), Axis::Y);
        p.bands.insert(Face::Front, "abs08".into());
        p.cut.width = mm("299.2");
        p.inner = Some(inner);
        p.outer = Some(inner.opposite());
        for (z, y) in [("37", "500"), ("37", "532"), ("37", "564"), ("263", "500")] {
            let h = hole(&p, inner, [z, y], "5", "11", "shelf pin");
            p.holes.push(h);
        }
        for z in ["50", "250"] {
            let mut h = through(hole(&p, inner.opposite(), [z, "8"], "5", "16", "screw"), "16");
            h.profile.push(Step { dia: mm("10"), end_dia: mm("5"), depth: mm("2.5") });
            p.holes.push(h);
        }
        let into = if inner == Face::Right { ["9", "16"] } else { ["784", "791"] };
        p.cuts.push(Cut {
            shape: Shape::Groove,
            face: inner,
            cuboid: cuboid(into, ["0", "1400"], ["279", "282.2"]),
            runs: Axis::Y,
            run: Run::Through,
            dia: None,
            along: None,
            by: Some("glaze.rear".into()),
            joint: "let_in(rear)".into(),
            origin: Origin::default(),
        });
        p
    };
    let level = |path: &str, y: [&str; 2]| {
        let mut p = part(path, "white16", cuboid(["16", "784"], y, ["0", "300"]), Axis::X);
        p.bands.insert(Face::Front, "abs08".into());
        p.cut.width = mm("299.2");
        let h = Hole { bored: Bored::InPlace, ..hole(&p, Face::Left, ["8", "50"], "3", "34", "pilot") };
        p.holes.push(h);
        p
    };
    let mut rear = part("glaze.rear", "white3", cuboid(["9", "791"], ["9", "1391"], ["279", "282"]), Axis::Y);
    rear.grain = Grain::None;
    let shelf = |n: u32, y: [&str; 2]| {
        let mut p =
            part(&format!("glaze.shelf[{n}]"), "white16", cuboid(["17", "783"], y, ["2", "277"]), Axis::X);
        for face in [Face::Front, Face::Rear, Face::Left, Face::Right] {
            p.bands.insert(face, "abs08".into());
        }
        p.cut = CutSize { length: mm("764.4"), width: mm("273.4") };
        p
    };
    let mut job = job(vec![
        side("glaze.left", ["0", "16"], Face::Right),
        side("glaze.right", ["784", "800"], Face::Left),
        level("glaze.bottom", ["0", "16"]),
        level("glaze.top", ["1384", "1400"]),
        shelf(1, ["450", "466"]),
        shelf(2, ["900", "916"]),
        rear,
    ]);
    job.messages.push(Message {
        code: "sag".into(),
        message: "`glaze.shelf[1]` sags 3.1mm".into(),
        at: "glaze.aum:4:3".into(),
        boxes: vec!["glaze".into()],
        accepted: Some("only test tiles stand on it".into()),
    });
    job
}

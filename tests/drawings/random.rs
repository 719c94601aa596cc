//! Parts of any size, bored anywhere: their sheets are sound and give every hole back.

use crate::job_fixture::{cuboid, hole, part, through};
use crate::rebuilt::reads_back;
use aumbry::geometry::{Axis, Face};
use aumbry::job::{Bored, BoxEntry, Job, Origin, Part};
use aumbry::outputs::{apart, elevations, holes, walls};
use proptest::prelude::*;

/// Where a hole goes: which face, how far along both ways (of 1000), dia, kind.
type Spot = (usize, u32, u32, usize, u8);

fn board(size: [u32; 3], inner: u8, spots: &[Spot], names: &str) -> Part {
    let [x, y, z] = size.map(|s| s.to_string());
    let along = if size[0] > 60 { Axis::X } else { Axis::Y };
    let mut p = part(&format!("kiln.{names}"), "board", cuboid(["0", &x], ["0", &y], ["0", &z]), along);
    let [low, high] = p.wide_faces();
    match inner {
        0 => (p.inner, p.outer) = (Some(low), Some(high)),
        1 => (p.inner, p.outer) = (Some(high), Some(low)),
        _ => {}
    }
    for (face, u, v, dia, kind) in spots {
        let face = Face::ALL[*face];
        let extent = |axis: Axis| size[Axis::ALL.iter().position(|a| *a == axis).unwrap()];
        let [a, b] = face.datum_edges().map(|e| extent(e.axis()));
        let (u, v) = (a * u / 1000, b * v / 1000);
        let dia = ["2.5", "4.5", "5", "8", "15", "35"][*dia];
        // A hole that breaks out of an edge does not compile.
        let room = u.min(v).min(a - u).min(b - v);
        if f64::from(room) * 2.0 < dia.parse::<f64>().unwrap() {
            continue;
        }
        let at = [u, v].map(|t| t.to_string());
        if p.holes.iter().any(|h| h.face == face && h.at.mm == at.clone().map(|t| crate::job_fixture::mm(&t)))
        {
            continue;
        }
        let mut h = hole(&p, face, [&at[0], &at[1]], dia, "9", "what it is for");
        match kind {
            0 => h.bored = Bored::InPlace,
            1 => h = through(h, &extent(face.axis()).to_string()),
            _ => {}
        }
        p.holes.push(h);
    }
    p
}

fn sizes() -> impl Strategy<Value = [u32; 3]> {
    (60u32..2600, 40u32..900, prop::sample::select(vec![12u32, 16, 18, 27, 40]), 0usize..3).prop_map(
        |(length, width, thick, turn)| match turn {
            0 => [length, thick.min(width), width.max(thick + 1)],
            1 => [thick, length, width.max(thick + 1)],
            _ => [length, width.max(thick + 1), thick],
        },
    )
}

fn spots() -> impl Strategy<Value = Vec<Spot>> {
    prop::collection::vec((0usize..6, 5u32..995, 5u32..995, 0usize..6, 0u8..5), 1..30)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_part_has_a_sound_map(
        size in sizes(),
        inner in 0u8..3,
        spots in spots(),
        names in "[a-z]{1,30}",
        inches in any::<bool>(),
    ) {
        let mut job: Job = crate::job_fixture::job(vec![board(size, inner, &spots, &names)]);
        if inches {
            job.house.units = "in".into();
            job.house.print = aumbry::job::Mm(aumbry::values::Rational::ratio(127, 5 * 64));
        }
        prop_assume!(!job.parts[0].holes.is_empty());
        let faults: Vec<String> = holes::sheets(&job).iter().flat_map(|s| s.faults()).collect();
        prop_assert!(faults.is_empty(), "{faults:?}");
        reads_back("a random part", &job);
    }
}

/// Boards anywhere in a box, as they come: how they meet is no matter of the drawing.
fn boards() -> impl Strategy<Value = Vec<([u32; 3], [u32; 3])>> {
    prop::collection::vec((sizes(), [0u32..900, 0u32..900, 0u32..500]), 1..14)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 32, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_box_has_a_sound_elevation(boards in boards(), within in 0usize..4) {
        let parts: Vec<Part> = boards
            .iter()
            .enumerate()
            .map(|(n, (size, at))| {
                let ends = [0, 1, 2].map(|i| [at[i].to_string(), (at[i] + size[i].min(1200)).to_string()]);
                let [x, y, z] = [0, 1, 2].map(|i| [ends[i][0].as_str(), ends[i][1].as_str()]);
                let inner = if n < within { ".tray" } else { "" };
                part(&format!("kiln{inner}.board[{}]", n + 1), "board", cuboid(x, y, z), Axis::X)
            })
            .collect();
        let mut job = crate::job_fixture::job(parts);
        let entry = |path: &str, within: Option<&str>| BoxEntry {
            path: path.into(),
            type_name: "shelves".into(),
            description: Some("Shelves by the kiln. They carry ware that waits for".into()),
            within: within.map(str::to_string),
            root: "kiln".into(),
            row: None,
            place: cuboid(["0", "1200"], ["0", "900"], ["0", "600"]),
            mirrored: false,
            spaces: std::collections::BTreeMap::new(),
        was: None,
            origin: Origin::default(),
        };
        job.boxes = vec![entry("kiln", None), entry("kiln.tray", Some("kiln"))];
        let sheets = elevations::sheets(&job);
        prop_assert!(!sheets.is_empty());
        let faults: Vec<String> = sheets.iter().flat_map(|s| s.faults()).collect();
        prop_assert!(faults.is_empty(), "{faults:?}");
        let sheets = apart::sheets(&job);
        prop_assert!(sheets.is_empty() == (job.parts.len() < 2));
        let faults: Vec<String> = sheets.iter().flat_map(|s| s.faults()).collect();
        prop_assert!(faults.is_empty(), "{faults:?}");
    }
}

/// A row: how high it hangs, how tall and deep its boxes are, their widths (nought leaves a gap) and fronts.
type Standing = (u32, u32, u32, Vec<(u32, usize)>);

fn rows() -> impl Strategy<Value = Vec<Standing>> {
    let boxes = prop::collection::vec((prop_oneof![1 => Just(0u32), 4 => 250u32..1200], 0usize..5), 1..6);
    prop::collection::vec((0u32..1800, 200u32..900, 150u32..700, boxes), 0..4)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn any_wall_has_sound_sheets(
        rows in rows(),
        extra in 0u32..600,
        height in 2000u32..3200,
        obstacles in prop::collection::vec((0u32..3000, 100u32..900, 0u32..1500, 20u32..300), 0..4),
        battens in prop::collection::vec((300u32..1900, prop::collection::vec(1u32..99, 1..6)), 0..3),
        inches in any::<bool>(),
    ) {
        use crate::site::{at, block, case, entry};
        let f = f64::from;
        let width = |(w, _): &(u32, usize)| if *w == 0 { 330 } else { *w };
        let longest = rows.iter().map(|r| r.3.iter().map(width).sum::<u32>()).max().unwrap_or(800);
        let length = longest + extra;
        let mut job = crate::site::bare();
        let (mut parts, mut boxes, mut all_rows) = (Vec::new(), Vec::new(), Vec::new());
        for (n, (low, tall, deep, members)) in rows.iter().enumerate() {
            let path = format!("row_{n}");
            let (y, z) = ((f(*low), f(*low + *tall)), (-f(*deep) - 20.0, -20.0));
            let mut x = 0;
            let mut list = Vec::new();
            for (m, member) in members.iter().enumerate() {
                let place = block((f(x), f(x + width(member))), y, z);
                x += width(member);
                let own = format!("{path}.glaze_{m}");
                if member.0 > 0 {
                    parts.extend(case(&own, &place, member.1));
                    boxes.push(entry(&own, Some(&path), place));
                }
                list.push(aumbry::job::RowMember { path: own, gap: member.0 == 0, place });
            }
            all_rows.push(aumbry::job::Row {
                path,
                wall: "north".into(),
                place: block((0.0, f(length)), y, z),
                standoff: crate::job_fixture::mm("20"),
                members: list,
                ends: [None, None],
            });
        }
        for (n, (low, holes)) in battens.iter().enumerate() {
            let path = format!("batten[{}]", n + 1);
            let place = block((0.0, f(length)), (f(*low), f(*low) + 90.0), (-20.0, 0.0));
            let mut rail = at(&format!("{path}.rail"), &place, place, Axis::X);
            for x in holes {
                let x = (length * x / 100).to_string();
                let h = through(hole(&rail, Face::Front, [&x, "45"], "6.5", "20", "the wall"), "20");
                rail.holes.push(h);
            }
            parts.push(rail);
            boxes.push(entry(&path, None, place));
        }
        let wall = job.walls[0].clone();
        let things = obstacles.iter().enumerate().map(|(n, (x, wide, y, out))| aumbry::job::Obstacle {
            path: format!("north.thing_{n}"),
            place: block((f(*x), f(x + wide)), (f(*y), f(*y) + 500.0), (-f(*out), 0.0)),
            ..wall.obstacles[0].clone()
        });
        job.walls[0].obstacles =
            things.filter(|o| o.place.x.hi <= aumbry::values::Rational::int(i64::from(length))).collect();
        job.walls[0].place = block((0.0, f(length)), (0.0, f(height)), (0.0, 100.0));
        let mut made = crate::job_fixture::job(parts);
        (made.walls, made.rows, made.boxes) = (job.walls, all_rows, boxes);
        if inches {
            made.house.units = "in".into();
            made.house.print = aumbry::job::Mm(aumbry::values::Rational::ratio(127, 5 * 64));
        }
        let sheets = walls::sheets(&made);
        prop_assert!(sheets.len() >= 2, "{} sheets", sheets.len());
        let faults: Vec<String> = sheets.iter().flat_map(|s| s.faults()).collect();
        prop_assert!(faults.is_empty(), "{faults:?}");
        let faults: Vec<String> = elevations::sheets(&made).iter().flat_map(|s| s.faults()).collect();
        prop_assert!(faults.is_empty(), "{faults:?}");
    }
}

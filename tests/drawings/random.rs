//! Parts of any size, bored anywhere: their sheets are sound and give every hole back.

use crate::job_fixture::{cuboid, hole, part, through};
use crate::rebuilt::reads_back;
use aumbry::geometry::{Axis, Face};
use aumbry::job::{Bored, BoxEntry, Job, Origin, Part};
use aumbry::outputs::{apart, elevations, holes};
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

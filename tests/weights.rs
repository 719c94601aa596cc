//! `weights`: the lists as they are printed, what they say of each other, and designs they must bear.

use aumbry::checks::estimates::{Estimates, estimate};
use aumbry::commands::compile;
use aumbry::job::Job;
use aumbry::outputs::weights;
use aumbry::sources::{DiskFiles, MemoryFiles};
use std::path::Path;

fn example(name: &str) -> (Job, Estimates) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let job = compile(&DiskFiles::new(&folder), name, None).job.expect("a job");
    let found = estimate(&job);
    (job, found)
}

fn design(text: &str) -> (Job, Estimates) {
    let files = MemoryFiles::new().with("d.aum", &format!("aumbry 1\n{text}\n"));
    let compiled = compile(&files, "d.aum", None);
    let said: Vec<&str> = compiled.diagnostics.iter().map(|d| d.message.as_str()).collect();
    let job = compiled.job.unwrap_or_else(|| panic!("{said:?}"));
    let found = estimate(&job);
    (job, found)
}

fn near(found: f64, due: f64) {
    assert!((found - due).abs() <= 1e-9 * due.abs().max(1.0), "{found} for {due}");
}

/// Something of everything that is estimated.
fn all_kinds() -> String {
    format!(
        "{BLOCK}
use std.boxes (open_box)
use std.walls (site_wall, along)
box pots = open_box(width: 600mm, height: 800mm, depth: 300mm, shelves: 1, shelf_load: 4kg)
def box chest() {{
  envelope (400mm, 500mm, 500mm)
  part base of block along x {{ x: 0mm .. 400mm  y: 0mm .. 100mm  z: 0mm .. 500mm }}
  part lid of ghost along x {{ x: 0mm .. 400mm  y: 100mm .. 200mm  z: 0mm .. 500mm }}
  fix(lid, base)
  rests(lid, on: base)
  loose part tray of block along x {{ x: 0mm .. 400mm  y: 300mm .. 400mm  z: 0mm .. 500mm }}
  slides(tray, along: z, by: 400mm)
  carries(tray, load: 3kg)
  bears(foot, what: base, count: 4, rating: 1kN, factor: 2, times: 1.5, way: shear, purpose: \"feet\")
  accept(tips, because: \"it is screwed to the wall\")
}}
box clay = chest()
wall north = site_wall(length: [2000mm], height: 2400mm)
row tall = along(north, at: 100mm) {{ box brooms = open_box(width: 500mm, height: 2000mm, depth: 400mm) }}"
    )
}

#[test]
fn the_lists_of_something_of_everything() {
    let (job, found) = design(&all_kinds());
    insta::assert_snapshot!("weights_table", weights::table(&job, &found, 100));
    insta::assert_snapshot!("weights_csv", weights::as_csv(&found).replace("\r\n", "\n"));
}

#[test]
fn no_line_is_wider_than_asked() {
    for name in ["drawer_bank.aum", "hung_box.aum", "bookcase_inch.aum", "studio.aum"] {
        let (job, found) = example(name);
        // What bears in a whole wall has more columns than 80 characters hold.
        for width in if name == "studio.aum" { [100, 110, 120] } else { [80, 100, 120] } {
            for line in weights::table(&job, &found, width).lines() {
                assert!(line.chars().count() <= width, "{name} at {width}: {line}");
            }
        }
    }
}

#[test]
fn json_and_csv_are_what_they_say() {
    for name in ["drawer_bank.aum", "hung_box.aum", "floor_box.aum", "studio.aum"] {
        let (_, found) = example(name);
        let text = weights::as_json(&found);
        let json: serde_json::Value = serde_json::from_str(&text).expect("JSON");
        assert_eq!(json["format"], "aumbry-weights/1");
        assert_eq!(json["boxes"].as_array().unwrap().len(), found.boxes.len());
        assert_eq!(json["spans"].as_array().unwrap().len(), found.sags.len());
        assert_eq!(json["bearings"].as_array().unwrap().len(), found.bearings.len());
        let csv = weights::as_csv(&found);
        let rows: Vec<&str> = csv.lines().collect();
        assert_eq!(rows[0], "kind,of,with,figure,value,unit,limit,note");
        let spans = rows.iter().filter(|r| r.starts_with("span,") && r.contains(",sag in years,"));
        assert_eq!(spans.count(), found.sags.len());
    }
}

const BLOCK: &str = "def board block(thickness: length = 100mm) { density: 1000kg/m3 }
def board ghost(thickness: length = 100mm) { good_faces: 2 }
def item foot(dia: length = 30mm) { name: \"foot {dia}\" }";

/// A box of one block of 40 kg and one whose board states no density, with a box of 5 kg in it.
fn nested() -> String {
    format!(
        "{BLOCK}
def box inner() {{
  envelope (500mm, 100mm, 100mm)
  part bar of block along x {{ x: 0mm .. 500mm  y: 0mm .. 100mm  z: 0mm .. 100mm }}
  carries(bar, load: 3kg)
}}
def box outer() {{
  envelope (1000mm, 400mm, 400mm)
  part slab of block along x {{ x: 0mm .. 1000mm  y: 0mm .. 100mm  z: 0mm .. 400mm }}
  part lid of ghost along x {{ x: 0mm .. 1000mm  y: 300mm .. 400mm  z: 0mm .. 400mm }}
  box one = inner() at (0mm, 100mm, 0mm)
  fix(one.bar, slab)
  loose part rod of block along x {{ x: 0mm .. 200mm  y: 100mm .. 200mm  z: 200mm .. 300mm }}
  fix(lid, slab)
  carries(self, load: 7kg)
}}
box a = outer()"
    )
}

#[test]
fn nested_boxes_contents_and_what_is_unknown() {
    let (job, found) = design(&nested());
    let outer = found.boxes.iter().find(|b| b.path == "a").unwrap();
    near(outer.net.kg, 40.0 + 5.0 + 2.0);
    assert_eq!((outer.net.unknown, outer.parts, outer.net.whole()), (1, 4, None));
    near(outer.contents, 10.0);
    near(outer.total(), 57.0);
    let inner = found.boxes.iter().find(|b| b.path == "a.one").unwrap();
    assert_eq!((inner.net.whole(), inner.people, inner.within.as_deref()), (Some(5.0), None, Some("a")));
    // The board without a density is named, and never counted as nought without a word.
    let text = weights::table(&job, &found, 100);
    assert!(text.contains("ghost states no density: what its 1 part weighs is unknown"), "{text}");
    assert!(text.contains("over 47"), "{text}");
    let lid = found.parts.iter().find(|p| p.path == "a.lid").unwrap();
    assert_eq!((lid.gross, lid.net), (None, None));
}

#[test]
fn cuts_bevels_and_slots_are_taken_off() {
    let (_, found) = design(&format!(
        "{BLOCK}
def box slab() {{
  envelope (1000mm, 100mm, 500mm)
  part base of block along x {{ x: 0mm .. 1000mm  y: 0mm .. 100mm  z: 0mm .. 500mm }}
  // a triangle of 100 x 100 / 2 over 500: 2.5 kg
  bevel(base.left, angle: 45deg, long_side: top)
  // 20 mm across, 30 deep: pi / 4 * 400 * 30 mm3
  drill(base.top, x: 500mm, z: 250mm, dia: 20mm, depth: 30mm)
  // a recess of 40, 10 deep, over a hole of 20, 50 deep
  drill(base.top, x: 700mm, z: 250mm, dia: 20mm, depth: 50mm, profile: [[40mm, 10mm]])
}}
box a = slab()"
    ));
    let hole = |d: f64, h: f64| std::f64::consts::PI / 4.0 * d * d * h / 1e6;
    let due = 50.0 - 2.5 - hole(20.0, 30.0) - hole(40.0, 10.0) - hole(20.0, 40.0);
    near(found.parts[0].net.unwrap(), due);
}

#[test]
fn what_rests_goes_down_by_width_and_through() {
    // A slab of 50 kg with 20 kg on it rests on two posts, 300 and 100 wide; both rest on a base.
    let (_, found) = design(&format!(
        "{BLOCK}
def box table() {{
  envelope (1000mm, 700mm, 500mm)
  part base of block along x {{ x: 0mm .. 1000mm  y: 0mm .. 100mm  z: 0mm .. 500mm }}
  part wide of block along y {{ x: 0mm .. 300mm  y: 100mm .. 600mm  z: 200mm .. 300mm }}
  part narrow of block along y {{ x: 900mm .. 1000mm  y: 100mm .. 600mm  z: 0mm .. 200mm }}
  part slab of block along x {{ x: 0mm .. 1000mm  y: 600mm .. 700mm  z: 0mm .. 500mm }}
  fix(slab, wide)  fix(slab, narrow)  fix(wide, base)  fix(narrow, base)
  rests(slab, on: [wide, narrow])
  rests(wide, on: base)
  rests(narrow, on: base)
  carries(slab, load: 20kg)
  bears(foot, what: base, count: 4, rating: 500N)
}}
box a = table()"
    ));
    let on = |thing: &str| found.rests.iter().find(|r| r.thing == thing).unwrap();
    near(on("a.slab").mass.kg, 70.0);
    let shares: Vec<f64> = on("a.slab").on.iter().map(|(_, kg)| *kg).collect();
    near(shares.iter().sum(), 70.0);
    near(shares[0].min(shares[1]), 17.5);
    near(on("a.wide").mass.kg, 15.0 + 52.5);
    near(on("a.narrow").mass.kg, 10.0 + 17.5);
    // All of it arrives at the base, once.
    near(found.bearings[0].mass.kg, 50.0 + 15.0 + 10.0 + 50.0 + 20.0);
}

#[test]
fn a_box_on_a_part_of_its_own_counts_once() {
    let (_, found) = design(&format!(
        "{BLOCK}
def box stool() {{
  envelope (500mm, 300mm, 500mm)
  part seat of block along x {{ x: 0mm .. 500mm  y: 200mm .. 300mm  z: 0mm .. 500mm }}
  part leg of block along x {{ x: 0mm .. 200mm  y: 100mm .. 200mm  z: 0mm .. 100mm }}
  fix(seat, leg)
  carries(seat, load: 4kg)
  rests(self, on: leg)
  bears(foot, what: leg, count: 1, rating: 1kN)
}}
box a = stool()"
    ));
    near(found.bearings[0].mass.kg, 25.0 + 2.0 + 4.0);
}

#[test]
fn a_long_chain_and_a_wide_one_end() {
    // Each bar rests on the two before it; counted by every way down there would be 2^40 of them.
    let mut text = format!(
        "{BLOCK}
def box pile() {{
  envelope (1000mm, 10m, 500mm)
"
    );
    for n in 0..60 {
        let y = n * 110;
        text.push_str(&format!(
            "  loose part a{n} of block along x {{ x: 0mm .. 500mm  y: {y}mm .. {}mm  z: 0mm .. 100mm }}\n  \
             loose part b{n} of block along x {{ x: 500mm .. 1000mm  y: {y}mm .. {}mm  z: 0mm .. 100mm }}\n",
            y + 100,
            y + 100
        ));
        if n > 0 {
            let under = n - 1;
            text.push_str(&format!(
                "  rests(a{n}, on: [a{under}, b{under}])\n  rests(b{n}, on: [a{under}, b{under}])\n"
            ));
        }
    }
    text.push_str("  bears(foot, what: [a0, b0], count: 4, rating: 100kN)\n}\nbox p = pile()");
    let (_, found) = design(&text);
    near(found.bearings[0].mass.kg, 120.0 * 5.0);
}

#[test]
fn a_row_is_borne_by_its_boxes() {
    let (_, found) = design(
        "use std.walls (site_wall, along)
use std.boxes (floor_box)
def item foot(dia: length = 30mm) { name: \"foot {dia}\" }
wall north = site_wall(length: [2000mm], height: 2400mm)
row low = along(north, at: 100mm) {
  box clay = floor_box(width: share)
  box glaze = floor_box(width: share)
}
def box feet(all: row) {
  envelope { x: all.clay.x.start .. all.glaze.x.end  y: all.clay.y.start - 100mm .. all.clay.y.start  z: all.clay.z }
  part rail of house.board along x { x: 0mm .. 1000mm  y: 50mm .. 68mm  z: 0mm .. 100mm }
  bears(foot, what: all, count: 8, rating: 1kN)
}
box under = feet(low)",
    );
    let row = &found.rows[0];
    assert_eq!((row.path.as_str(), row.boxes), ("low", 2));
    near(found.bearings[0].mass.kg, row.net.kg);
    assert!(row.net.kg > 20.0);
}

#[test]
fn nothing_at_all() {
    let (job, found) = design("");
    assert!(found.boxes.is_empty() && found.tipping.is_empty());
    assert!(weights::table(&job, &found, 80).starts_with("Weights in kg."));
    assert!(weights::as_json(&found).contains("\"boxes\":[]"));
}

//! Gross weights in the language, against figures worked out beforehand.

use super::{design, holds_of, part};
use aumbry::job::Job;

/// A loose plank and its mass: expectations on `b.only.mass`.
fn weighs(uses: &str, board: &str, size: [&str; 3], expectations: &[&str]) {
    let [length, width, thickness] = size;
    let text = format!(
        "{uses}\ndef box plank() {{\n  envelope ({length}, {thickness}, {width})\n  \
         loose part only of {board} along x {{ x: 0mm .. {length}  y: after 0mm  z: 0mm .. {width} }}\n}}"
    );
    let every: Vec<String> = expectations.iter().map(|e| e.replace("MASS", "p.only.mass")).collect();
    holds_of(&text, "box p = plank()", &every);
}

#[test]
fn the_side_of_a_floor_box() {
    // WGT-1: 720 x 560 x 18 at 650 kg/m3 is 4.71744 kg. Arithmetic, EN 323 inverted (SECONDARY); the density is
    // common practice, no source.
    weighs(
        "use std.boards (white18)",
        "white18",
        ["720mm", "560mm", "18mm"],
        &["white18.density == 650kg/m3", "MASS == 4.71744kg"],
    );
}

#[test]
fn a_door_of_mdf() {
    // WGT-2: 716 x 396 x 18 at 750 kg/m3 is 3.827736 kg. Arithmetic, EN 323 inverted (SECONDARY).
    weighs(
        "use std.boards (mdf18)",
        "mdf18",
        ["716mm", "396mm", "18mm"],
        &["mdf18.density == 750kg/m3", "MASS == 3.827736kg"],
    );
}

#[test]
fn a_back_of_hardboard() {
    // WGT-3: 714 x 564 x 3 at 950 kg/m3 is 1.147684 kg, rounded. Arithmetic, EN 323 inverted (SECONDARY).
    weighs(
        "use std.boards (hardboard3)",
        "hardboard3",
        ["714mm", "564mm", "3mm"],
        &["hardboard3.density == 950kg/m3", "MASS > 1.1476835kg", "MASS < 1.1476845kg"],
    );
}

#[test]
fn a_whole_sheet() {
    // WGT-4: 2800 x 2070 x 18 at 650 kg/m3 is 67.8132 kg. Arithmetic, EN 323 inverted (SECONDARY). It leaves no
    // room for trim, so the sheet is made larger here.
    weighs(
        "use std.boards (white18)\ndef board large(thickness: length = 18mm) { sheet: [3000mm, 2200mm]  \
         density: white18.density  grain: no  good_faces: 2 }",
        "large",
        ["2800mm", "2070mm", "18mm"],
        &["white18.sheet[1] == 2800mm", "white18.sheet[2] == 2070mm", "MASS == 67.8132kg"],
    );
}

#[test]
fn four_by_eight_feet_in_pounds() {
    // WGT-5: 4 x 8 ft x 3/4 in at 44.5 lb/ft3 is 89 lb. Arithmetic, EN 323 inverted (SECONDARY).
    weighs(
        "def board heavy(thickness: length = 3/4in) { sheet: [120in, 60in]  density: 44.5lb/ft3  grain: no  \
         good_faces: 2 }",
        "heavy",
        ["96in", "48in", "3/4in"],
        &["MASS == 89lb"],
    );
}

#[test]
fn a_shelf_of_glass() {
    // WGT-6: 600 x 300 x 6 at 2500 kg/m3 is 2.7 kg. Arithmetic, EN 323 inverted (SECONDARY).
    weighs(
        "def board glass(thickness: length = 6mm) { sheet: [2000mm, 1000mm]  density: 2500kg/m3  grain: no  \
         good_faces: 2 }",
        "glass",
        ["600mm", "300mm", "6mm"],
        &["MASS == 2.7kg"],
    );
}

#[test]
fn density_from_a_test_piece() {
    // EN323-density: mass in g x 1e6 / (L x W x T in mm); 50 x 50 x 18 at 33.75 g is 750 kg/m3. EN 323 as given by
    // a trade-association web site on MDF (mdf-info.eu), Technical / Assessing properties (SECONDARY).
    weighs(
        "use std.boards (mdf18)",
        "mdf18",
        ["50mm", "50mm", "18mm"],
        &["MASS == 33.75g", "33.75g / (50mm * 50mm * 18mm) == 750kg/m3"],
    );
}

#[test]
fn what_a_box_weighs_adds_up() {
    // The same formula over job.json's own figures; densities there in kg/m3, sizes in mm.
    let job: Job = design("use std.boxes (floor_box)\nbox b = floor_box(width: 600mm)");
    let kg = |name: &str| {
        let p = part(&job, name);
        let board = job.boards.iter().find(|b| b.name == p.board).unwrap();
        let volume = p.length.0.mul(p.width.0).unwrap().mul(p.thickness.0).unwrap();
        let grams = volume.mul(board.density.unwrap().0).unwrap();
        grams.numerator() as f64 / grams.denominator() as f64 / 1e9
    };
    assert!((kg("left") - 4.71744).abs() < 1e-9);
    holds_of(
        "use std.boxes (floor_box)",
        "box b = floor_box(width: 600mm)",
        &[
            format!("b.rear.mass > {:.6}kg", kg("rear") - 2e-6),
            format!("b.rear.mass < {:.6}kg", kg("rear") + 2e-6),
        ],
    );
}

//! Boards, bands and saws.

use super::{design, holds, mm, part, tenths};
use aumbry::values::Rational;

#[test]
fn stiffness_of_particleboard_15_to_18_mm() {
    // PB-P2-2003-15-18: P2, 15-18 mm, MOE at least 1600 N/mm2. EN 312:2003, table for P2, as quoted by a
    // third party (SECONDARY).
    holds(
        "use std.boards (white16, white18)",
        &["white16.stiffness == 1600N/mm2", "white18.stiffness == 1600N/mm2"],
    );
}

#[test]
fn stiffness_of_particleboard_above_18_mm() {
    // PB-P2-2003-25: P2, the row for 25 mm, MOE at least 1500 N/mm2. EN 312:2003, table for P2, as quoted by
    // a third party (SECONDARY). The table names no 19 mm; the thicker row is the lower one.
    holds("use std.boards (white19)", &["white19.stiffness == 1500N/mm2"]);
}

#[test]
fn stiffness_of_particleboard_sold_by_the_inch() {
    // PB-M2: grade M-2, MOE 2250 N/mm2. ANSI A208.1-1999, Table A, from memory (MEMORY).
    holds(
        "use std.boards (white5_8, white3_4)",
        &["white5_8.stiffness == 2250N/mm2", "white3_4.stiffness == 2250N/mm2"],
    );
}

#[test]
fn density_of_particleboard() {
    // CONNECTOR-pb-density: boards of 633, 637 and 714 kg/m3 on average. Sydor, Potok, Pedzik, Hitka,
    // Rogozinski, Eur. J. Wood Wood Prod. 2023, doi 10.1007/s00107-023-01972-1, abstract (READ).
    for board in ["white16", "white18", "white19"] {
        holds(
            &format!("use std.boards ({board})"),
            &[format!("{board}.density >= 633kg/m3"), format!("{board}.density <= 714kg/m3")],
        );
    }
    // PB-M-grade: medium density is 40 to 50 lb/ft3. Comment quoting ANSI A208.1 on a trade forum (SECONDARY).
    for board in ["white5_8", "white3_4"] {
        holds(
            &format!("use std.boards ({board})"),
            &[format!("{board}.density >= 40lb/ft3"), format!("{board}.density <= 50lb/ft3")],
        );
    }
}

#[test]
fn density_of_mdf() {
    // MDF-trade-values: 600-800 kg/m3 (40-50 lb/ft3). Trade-magazine wood column, 2010-05-12 (READ).
    // EN316-def: MDF has at least 450 kg/m3. EN 316:2009, from memory (MEMORY).
    for board in ["mdf12", "mdf18"] {
        holds(
            &format!("use std.boards ({board})"),
            &[
                format!("{board}.density >= 600kg/m3"),
                format!("{board}.density <= 800kg/m3"),
                format!("{board}.density >= 450kg/m3"),
            ],
        );
    }
    holds("use std.boards (mdf3_4)", &["mdf3_4.density >= 40lb/ft3", "mdf3_4.density <= 50lb/ft3"]);
}

#[test]
fn stiffness_of_mdf() {
    // EN622-5-MDF: >9-12 mm 2500, >12-19 mm 2200 N/mm2. EN 622-5:2009, Table 3, from memory (MEMORY).
    holds("use std.boards (mdf12, mdf18)", &["mdf12.stiffness == 2500N/mm2", "mdf18.stiffness == 2200N/mm2"]);
    // MDF-trade-values: typical minimum 0.35e6 psi. Trade-magazine wood column, 2010-05-12 (READ).
    holds("use std.boards (mdf3_4)", &["mdf3_4.stiffness == 350000psi"]);
}

#[test]
fn plywood() {
    // PLY-typ: 7000 N/mm2 along the face grain, about 500-680 kg/m3. Round working number, common practice,
    // no source (MEMORY).
    for board in ["ply9", "ply12", "ply18", "ply4", "ply1_2", "ply23_32", "ply1_4"] {
        holds(
            &format!("use std.boards ({board})"),
            &[
                format!("{board}.stiffness == 7000N/mm2"),
                format!("{board}.density >= 500kg/m3"),
                format!("{board}.density <= 680kg/m3"),
            ],
        );
    }
}

#[test]
fn hardboard() {
    // HB-typ: backs of 3-4 mm, about 900-1000 kg/m3 or more. Common practice, no source (MEMORY).
    for board in ["white3", "hardboard3", "hardboard1_8"] {
        holds(&format!("use std.boards ({board})"), &[format!("{board}.density >= 900kg/m3")]);
    }
    holds("use std.boards (white3)", &["white3.thickness >= 3mm", "white3.thickness <= 4mm"]);
}

#[test]
fn pine_weighs_what_softwoods_weigh() {
    // SG-southern-pine 0.59, SG-spruce 0.41 (oven dry). Building design and construction handbook, Table 6.2,
    // p. 170 (READ). Water weighs 1000 kg/m3.
    for board in ["pine18", "pine35", "pine3_4"] {
        holds(
            &format!("use std.boards ({board})"),
            &[format!("{board}.density >= 410kg/m3"), format!("{board}.density <= 590kg/m3")],
        );
    }
}

#[test]
fn sheets_of_four_by_eight_feet() {
    // SHEET-US: 2440 x 1220 mm. Dettmer and Smith, BioResources 10(3):6032-6043 (2015), abstract (READ).
    for board in ["mdf12", "mdf18", "white3", "hardboard3"] {
        holds(
            &format!("use std.boards ({board})"),
            &[format!("{board}.sheet[1] == 2440mm"), format!("{board}.sheet[2] == 1220mm")],
        );
    }
    // UNIT-foot: 304.8 mm exactly. PyPI Pint 0.25.3, default_en.txt (READ).
    holds(
        "use std.boards (ply23_32, white3_4)",
        &[
            "ply23_32.sheet[1] == 8 * 304.8mm",
            "ply23_32.sheet[2] == 4 * 304.8mm",
            "white3_4.sheet[1] == 8 * 304.8mm",
        ],
    );
}

#[test]
fn trim_covers_the_tolerance_of_a_sheet() {
    // EN312-tab1-tol: length and width +-5 mm. EN 312, Table 1 (tests EN 324-1, EN 324-2), as quoted by two
    // independent sellers (SECONDARY). EW-MDF-tol: MDF +5 -1.5. Engineered wood products trade association
    // (Australasia), 'Facts about Particleboard and MDF', p. 17 (READ).
    for units in ["mm", "in"] {
        let job = design(&format!(
            "use std.boxes (open_box)\nhouse {{ units: {units} }}\n\
             box b = open_box(width: 600mm, height: 400mm, depth: 300mm)"
        ));
        assert!(job.house.lengths["trim"].0 >= mm(5), "{units}");
    }
}

#[test]
fn kerfs() {
    // KERF: table saw 3.2 mm (1/8 in), thin kerf 2.2-2.4 mm. Common practice, no source (MEMORY).
    let job = design("use std.boxes (open_box)\nbox b = open_box(width: 600mm, height: 400mm, depth: 300mm)");
    assert_eq!(job.house.lengths["kerf"].0, tenths(32));
    let thin = job.house.lengths["track_kerf"].0;
    assert!(thin >= tenths(22) && thin <= tenths(24));
}

#[test]
fn bands_are_of_thicknesses_in_trade() {
    // EDGE-thick: 0.4, 0.5, 0.8, 1, 2, 3 mm. Common practice, no source (MEMORY).
    for (band, thickness) in [("edging_thin", "0.4mm"), ("edging", "1mm"), ("edging_thick", "2mm")] {
        holds(&format!("use std.bands ({band})"), &[format!("{band}.thickness == {thickness}")]);
    }
}

#[test]
fn a_cut_size_is_less_by_its_bands() {
    // WE-16 (arithmetic): 600 with 2 mm at both ends is cut 596; with 0.8 mm at one end 599.2.
    let text = |edges: &str, band: &str| {
        format!(
            "use std.boards (white18)\nuse std.bands (edging_thick, edging)\ndef box plank() {{\n  \
             envelope (600mm, 18mm, 300mm)\n  loose part only of white18 along x \
             {{ x: 0mm .. 600mm  y: after 0mm  z: 0mm .. 300mm }}\n  \
             edge({edges}, of: only, band: {band})\n}}\nbox b = plank()"
        )
    };
    let both = design(&text("left, right", "edging_thick"));
    assert_eq!(part(&both, "only").cut.length.0, mm(596));
    let one = design(&text("left", "edging(thickness: 0.8mm)"));
    assert_eq!(part(&one, "only").cut.length.0, Rational::ratio(5992, 10));
    assert_eq!(part(&one, "only").length.0, mm(600));
}

#[test]
fn grooves_are_a_quarter_to_a_half_of_the_thickness() {
    // DADO: 1/4 to 1/2 of the panel's thickness. Common practice, no source (MEMORY).
    for board in ["white16", "white16(thickness: 16.2mm)", "white18", "white19", "white18(thickness: 15mm)"] {
        let name = board.split('(').next().unwrap();
        let job = design(&format!(
            "use std.boards ({name})\nuse std.boxes (floor_box)\nbox b = floor_box(width: 600mm, board: {board})"
        ));
        let side = part(&job, "left");
        let groove = side.cuts.first().unwrap().cuboid.on(side.axes[2]).size().unwrap();
        let quarters = groove.mul(mm(4)).unwrap();
        assert!(quarters >= side.thickness.0, "{board}: {groove:?}");
        assert!(groove.mul(mm(2)).unwrap() <= side.thickness.0, "{board}: {groove:?}");
    }
}

//! Rows of pin holes.

use super::{design, holds, mm, part};
use aumbry::job::{Bored, Job, Part};
use aumbry::values::Rational;
use std::collections::BTreeSet;

fn open_box(height: i64, depth: i64) -> Job {
    design(&format!(
        "use std.boxes (open_box)\n\
         box b = open_box(width: 600mm, height: {height}mm, depth: {depth}mm, shelves: 2)"
    ))
}

/// Distances of the pin holes from the front edge and from the bottom edge, in order.
fn pins(side: &Part) -> (Vec<Rational>, Vec<Rational>) {
    let holes: Vec<_> = side.holes.iter().filter(|h| h.bored == Bored::Bench && !h.through).collect();
    assert!(!holes.is_empty());
    let at = |k: usize| holes.iter().map(|h| h.at.mm[k].0).collect::<BTreeSet<_>>().into_iter().collect();
    (at(0), at(1))
}

#[test]
fn rows_stand_on_the_32_mm_grid_from_the_37_mm_line() {
    // S32-slide: fixing holes at increments of 32 mm from the 37 mm front row; S32-plate: mounting plates on
    // the 37 mm line, two holes 32 mm apart; S32-rows: at least two rows, a multiple of 32 mm apart. A
    // cabinetmaker's article on the 32 mm system (READ); common practice, no source.
    let grid: Vec<Rational> = (0..17).map(|k| mm(37 + 32 * k)).collect();
    // WE-11 (arithmetic): 37, 69, 101 … 549.
    assert_eq!(grid.last(), Some(&mm(549)));
    for depth in [200, 300, 320, 560] {
        let job = open_box(900, depth);
        for side in ["left", "right"] {
            let (columns, _) = pins(part(&job, side));
            assert!(columns.len() >= 2, "{depth}");
            assert_eq!(columns[0], mm(37), "{depth}");
            assert!(columns.iter().all(|c| grid.contains(c)), "{depth}: {columns:?}");
        }
    }
}

#[test]
fn holes_of_a_row_are_32_mm_apart() {
    // S32-rows, S32-slide: as above.
    for height in [700, 900, 1400, 2100] {
        let job = open_box(height, 300);
        let (_, heights) = pins(part(&job, "left"));
        assert!(heights.len() >= 3);
        for pair in heights.windows(2) {
            assert_eq!(pair[1].sub(pair[0]).unwrap(), mm(32), "{height}");
        }
        // As far from the top as from the bottom, so that a side has no upper end.
        let (first, last) = (heights[0], *heights.last().unwrap());
        assert_eq!(first.add(last).unwrap(), mm(height));
    }
}

#[test]
fn a_floor_box_leaves_the_37_mm_line_to_its_doors() {
    // S32-plate: as above. The pins stand on the next line of the grid.
    let job = design("use std.boxes (floor_box)\nbox b = floor_box(width: 600mm, shelves: 1)");
    let (columns, _) = pins(part(&job, "left"));
    assert_eq!(columns[0], mm(37 + 32));
    assert!(!columns.contains(&mm(37)));
}

#[test]
fn pins_and_their_holes() {
    // Pins of 5 mm in holes of 5 mm: common practice, no source.
    holds("use std.fixings (shelf_pin)", &["shelf_pin.dia == 5mm"]);
    for board in ["white16", "white18", "white19"] {
        let job = design(&format!(
            "use std.boards ({board})\nuse std.boxes (open_box)\n\
             box b = open_box(width: 600mm, height: 900mm, depth: 300mm, board: {board}, shelves: 1)"
        ));
        let side = part(&job, "left");
        for hole in side.holes.iter().filter(|h| h.bored == Bored::Bench && !h.through) {
            assert_eq!(hole.dia.0, mm(5));
            // DOWEL-8x30: a hole in a face is less deep than the board less 3 mm. Common practice, no source
            // (MEMORY).
            assert!(hole.depth.0 < side.thickness.0.sub(mm(3)).unwrap(), "{board}");
        }
    }
}

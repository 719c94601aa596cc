//! Dowels, shelves on pins beside each other, and backs.

use super::{design, mm, part};
use aumbry::job::{Axis, Face, Hole, Job, Part};
use aumbry::values::Rational;

fn case(board: &str) -> Job {
    design(&format!(
        "use std.boards ({board})\nuse std.dowels (dowelled)\n\
         def box case() {{\n  envelope (600mm, 400mm, 300mm)\n\
         part left of {board} along y {{ x: after 0mm  y: 0mm .. 400mm  z: 0mm .. 300mm }}\n\
         part shelf of {board} along x {{ x: left .. 600mm  y: after 100mm  z: 0mm .. 300mm }}\n\
         joint dowelled(shelf, to: left)\n}}\nbox b = case()"
    ))
}

/// Where a hole starts, in the frame of the root.
fn mouth(part: &Part, hole: &Hole) -> [Rational; 3] {
    let face = hole.face;
    let range = part.place.on(face.axis());
    Axis::ALL.map(|axis| {
        if axis == face.axis() {
            return if face.is_high() { range.hi } else { range.lo };
        }
        let from = hole.at.from.iter().position(|f: &Face| f.axis() == axis).unwrap();
        part.place.on(axis).lo.add(hole.at.mm[from].0).unwrap()
    })
}

#[test]
fn holes_of_both_parts_meet_exactly() {
    for board in ["white16", "white18", "white19"] {
        let job = case(board);
        let (left, shelf) = (part(&job, "left"), part(&job, "shelf"));
        let places = |p: &Part| -> Vec<[Rational; 3]> {
            let mut places: Vec<_> = p.holes.iter().map(|h| mouth(p, h)).collect();
            places.sort();
            places
        };
        assert_eq!(places(left), places(shelf), "{board}");
        assert_eq!(left.holes.len(), 3);
    }
}

#[test]
fn a_dowel_of_8_by_30() {
    // DOWEL-8x30: hole 8 mm, about 12 mm deep in the face and 20 mm in the edge, 2 mm of glue space in all;
    // face depth < thickness - 3. Common practice, from memory (MEMORY).
    let job = case("white18");
    for (name, deep) in [("left", 12), ("shelf", 20)] {
        for hole in &part(&job, name).holes {
            assert_eq!((hole.dia.0, hole.depth.0, hole.through), (mm(8), mm(deep), false), "{name}");
        }
    }
    let sixteen = case("white16");
    let left = part(&sixteen, "left");
    assert!(left.holes.iter().all(|h| h.depth.0 < left.thickness.0.sub(mm(3)).unwrap()));
}

#[test]
fn pins_on_both_sides_of_an_upright_pass_each_other() {
    let job = design(
        "use std.cases (divided_box)\n\
         box b = divided_box(width: 900mm, height: 700mm, depth: 300mm, shelves: [1, 1])",
    );
    let upright = part(&job, "upright[1]");
    let of = |face: Face| -> Vec<&Hole> { upright.holes.iter().filter(|h| h.face == face).collect() };
    let (left, right) = (of(Face::Left), of(Face::Right));
    assert!(!left.is_empty() && left.len() == right.len());
    for l in &left {
        for r in &right {
            // 12 mm from each side of 18 mm: they would meet, were they in one line.
            assert!(l.depth.0.add(r.depth.0).unwrap() > upright.thickness.0);
            let apart = l.at.mm[0].0.sub(r.at.mm[0].0).unwrap().abs().unwrap();
            assert!(apart >= mm(16), "{apart:?}");
        }
    }
}

#[test]
fn a_planted_back_stays_within_the_depth() {
    let job = design(
        "use std.boxes (open_box)\n\
         box b = open_box(width: 600mm, height: 700mm, depth: 300mm, back_fit: planted)",
    );
    let rear = part(&job, "rear");
    assert_eq!(rear.place.z.hi, mm(300));
    assert_eq!(part(&job, "left").place.z.hi, rear.place.z.lo);
    assert!(rear.holes.iter().all(|h| h.through && h.face == Face::Rear));
}

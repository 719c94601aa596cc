//! Fronts that are added to a file later: no path, size, hole or mark that is there already changes, but for the holes that
//! hold the fronts.

use aumbry::commands::compile;
use aumbry::job::{Job, KeptMarks, Part};
use aumbry::outputs;
use aumbry::sources::MemoryFiles;

const HEAD: &str = "aumbry 1\nuse std.boards (white18, ply12)\nuse std.boxes (floor_box, open_box)\nuse std.drawers (drawer_bank)\n\
                    use std.fronts (doors)\nhouse { board: white18, drawer: ply12 }\n";

/// Boxes that take these fronts.
fn text(first: &str, second: &str, third: &str) -> String {
    format!(
        "{HEAD}box clay = floor_box(width: 600mm) {{ {first} }}\n\
         box tools = floor_box(width: 800mm, shelves: 2) {{ {second} }}\n\
         box cups = open_box(width: 450mm, height: 700mm, depth: 300mm, shelves: 1) {{ {third} }}\n"
    )
}

fn with_fronts() -> String {
    text(
        "box drawers = drawer_bank(inside, heights: [share, share, 2 share], load: 10kg)\n\
         accept(tips, because: \"it is screwed to the wall\")",
        "box doors = doors(inside, leaves: 2)",
        "box door = doors(inside, leaves: 2)",
    )
}

fn job(text: &str, marks: Option<&KeptMarks>) -> Job {
    let compiled = compile(&MemoryFiles::new().with("a.aum", text), "a.aum", marks);
    let said: Vec<&str> = compiled.diagnostics.iter().map(|d| d.message.as_str()).collect();
    compiled.job.unwrap_or_else(|| panic!("{said:?}"))
}

/// Everything of a part that does not come from a fitting.
fn shape(part: &Part) -> String {
    let holes: Vec<String> = (part.holes.iter())
        .filter(|h| {
            !h.joints.iter().all(|j| j.contains(".drawers.") || j.contains(".door.") || j.contains(".doors."))
        })
        .map(|h| {
            let figures = (h.dia, h.depth, h.through, h.bored);
            format!("{:?} {:?} {:?} {figures:?}", h.id, h.face, h.at.mm.map(|m| m.0))
        })
        .collect();
    format!(
        "{} {:?} {:?} {:?} {:?} {:?} {holes:?}",
        part.path,
        part.place,
        (part.length.0, part.width.0, part.thickness.0),
        (part.cut.length.0, part.cut.width.0),
        part.bands,
        part.cuts.iter().map(|c| (c.shape, c.cuboid)).collect::<Vec<_>>()
    )
}

#[test]
fn fronts_added_later_change_no_path_or_size() {
    let (old, new) = (job(&text("", "", ""), None), job(&with_fronts(), None));
    assert!(new.parts.len() > old.parts.len() + 10);
    for part in &old.parts {
        let now = new.parts.iter().find(|p| p.path == part.path).expect("the path is there");
        assert_eq!(shape(part), shape(now));
    }
    for b in &old.boxes {
        let now = new.boxes.iter().find(|n| n.path == b.path).expect("the box is there");
        assert_eq!((b.place, &b.spaces), (now.place, &now.spaces));
    }
}

#[test]
fn fronts_added_later_change_no_mark_that_is_written() {
    let old = job(&text("", "", ""), None);
    let kept = KeptMarks::read(&outputs::json::job(&old)).expect("a job");
    let new = job(&with_fronts(), Some(&kept));
    for part in &old.parts {
        let now = new.parts.iter().find(|p| p.path == part.path).expect("the path is there");
        assert_eq!((&part.mark, part.piece), (&now.mark, now.piece), "{}", part.path);
    }
}

#[test]
fn two_uses_over_one_space_are_told_as_such() {
    for fronts in [
        "box one = doors(inside) box two = doors(inside)",
        "box one = doors(inside) box two = drawer_bank(inside, heights: [share], load: 5kg)",
    ] {
        let compiled = compile(&MemoryFiles::new().with("a.aum", &text("", "", fronts)), "a.aum", None);
        let codes: Vec<&str> = compiled.diagnostics.iter().map(|d| &*d.code).collect();
        assert!(codes.contains(&"space-used-twice"), "{codes:?}");
    }
}

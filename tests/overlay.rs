//! Both revisions on one sheet: what is shown of each, and that every sheet can be read.

use aumbry::commands::compile;
use aumbry::job::Job;
use aumbry::outputs::drawing::Sheet;
use aumbry::outputs::revisions::overlay;
use aumbry::revisions::{Options, compare};
use aumbry::sources::MemoryFiles;

const STUDIO: &str = include_str!("../examples/studio.aum");
const CASE: &str = "aumbry 1
use std.boards (white18, white3)
use std.boxes  (open_box)
house { board: white18, back: white3 }
box bookcase = open_box(width: 800mm, height: 1400mm, depth: 300mm, shelves: 4)
";

fn job(text: &str) -> Job {
    let files = MemoryFiles::new().with("a.aum", text);
    let compiled = compile(&files, "a.aum", None);
    compiled.job.unwrap_or_else(|| {
        let said: Vec<_> = compiled.diagnostics.iter().map(|d| d.message.clone()).collect();
        panic!("{said:?}\n{text}")
    })
}

fn changed(text: &str, changes: &[(&str, &str)]) -> String {
    changes.iter().fold(text.to_string(), |text, (from, to)| {
        assert!(text.contains(from), "no `{from}`");
        text.replace(from, to)
    })
}

fn sheets(old: &str, new: &str) -> Vec<Sheet> {
    let (old, new) = (job(old), job(new));
    let comparison = compare(&old, &new, &Options::default());
    overlay::sheets(&old, &new, &comparison, ["HEAD~1:studio.aum", "studio.aum"])
}

fn texts(sheet: &Sheet) -> Vec<&str> {
    sheet.canvas.texts().map(|t| t.content.as_str()).collect()
}

/// Pairs of revisions by what was done between them.
fn pairs() -> Vec<(&'static str, String, String)> {
    let studio = |name, changes: &[(&str, &str)]| (name, STUDIO.to_string(), changed(STUDIO, changes));
    let case = |name, changes: &[(&str, &str)]| (name, CASE.to_string(), changed(CASE, changes));
    vec![
        case("case-wider", &[("800mm", "860mm")]),
        case("case-narrower", &[("800mm", "790mm")]),
        case("case-lower", &[("1400mm", "1310mm")]),
        case("case-shallower", &[("300mm", "280mm")]),
        case("case-shelf-added", &[("shelves: 4", "shelves: 5")]),
        case("case-shelf-removed", &[("shelves: 4", "shelves: 3")]),
        case("case-renamed", &[("box bookcase", "box books")]),
        case("case-thicker", &[("house { board: white18", "house { board: white18(thickness: 19mm)")]),
        (
            "case-new",
            CASE.to_string(),
            CASE.to_string() + "box low = open_box(width: 500mm, height: 400mm, depth: 300mm)\n",
        ),
        (
            "case-gone",
            CASE.to_string() + "box low = open_box(width: 500mm, height: 400mm, depth: 300mm)\n",
            CASE.to_string(),
        ),
        studio("studio-measured", &[("16.2mm", "16mm")]),
        studio("studio-wider", &[("width: 600mm", "width: 640mm")]),
        studio("studio-shelf", &[("shelves: 2", "shelves: 3")]),
        studio("studio-drawers", &[("heights: [share, share, 2 share]", "heights: [share, share]")]),
        studio("studio-deeper", &[("depth: 320mm", "depth: 300mm")]),
        studio("studio-tall", &[("height: 700mm", "height: 745mm")]),
        studio("studio-renamed", &[("box tools", "box glazes"), ("floor.tools", "floor.glazes")]),
    ]
}

#[test]
fn every_sheet_can_be_read() {
    let mut faults = Vec::new();
    for (name, old, new) in pairs() {
        let sheets = sheets(&old, &new);
        assert!(!sheets.is_empty(), "{name}: something differs");
        for sheet in &sheets {
            faults.extend(sheet.faults().into_iter().map(|f| format!("{name}, {}: {f}", sheet.name)));
        }
        let mut names: Vec<String> = sheets.iter().map(|s| s.name.to_lowercase()).collect();
        names.sort();
        let count = names.len();
        names.dedup();
        assert_eq!(names.len(), count, "{name}: {names:?}");
        if let Some(folder) = std::env::var_os("SHEETS") {
            std::fs::create_dir_all(&folder).unwrap();
            for sheet in &sheets {
                let path = std::path::Path::new(&folder).join(format!("{name}--{}.svg", sheet.name));
                std::fs::write(path, &sheet.svg).unwrap();
            }
        }
    }
    assert!(faults.is_empty(), "{} faults\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn equal_revisions_have_no_sheet() {
    assert!(sheets(STUDIO, STUDIO).is_empty());
    assert!(sheets(CASE, &format!("// a word\n{CASE}")).len() <= 1);
}

#[test]
fn the_same_revisions_give_the_same_bytes() {
    let svg =
        || -> String { sheets(CASE, &CASE.replace("800mm", "860mm")).into_iter().map(|s| s.svg).collect() };
    assert_eq!(svg(), svg());
}

#[test]
fn a_box_made_wider_shows_both_widths() {
    let sheets = sheets(CASE, &CASE.replace("800mm", "860mm"));
    let text = texts(&sheets[0]);
    for wanted in ["860", "(was 800)", "old size", "new size", "as it was", "BS1"] {
        assert!(text.contains(&wanted), "{wanted}: {text:?}");
    }
}

#[test]
fn a_wall_whose_row_changes_is_marked_out_twice() {
    let new = changed(STUDIO, &[("width: 600mm", "width: 640mm")]);
    let sheets = sheets(STUDIO, &new);
    let wall = sheets.iter().find(|s| s.name == "north").expect("a sheet of the wall");
    let text = texts(wall);
    for wanted in [
        "floor row, from the LEFT",
        "floor row as it was, from the LEFT",
        "tools",
        "moved 40 to the left, 40 wider",
    ] {
        assert!(text.contains(&wanted), "{wanted}: {text:?}");
    }
    // The upper boxes stay: nothing about them.
    assert!(!text.contains(&"hung row as it was, from the LEFT"), "{text:?}");
}

#[test]
fn a_box_that_only_moves_has_no_sheet_of_its_own() {
    let new = changed(STUDIO, &[("y.end + 573mm", "y.end + 590mm")]);
    let sheets = sheets(STUDIO, &new);
    assert!(sheets.iter().any(|s| s.name == "north"), "the wall tells it");
    assert!(
        !sheets.iter().any(|s| s.name.starts_with("hung.")),
        "{:?}",
        sheets.iter().map(|s| &s.name).collect::<Vec<_>>()
    );
}

//! Hole maps and elevations: every sheet passes the collision test, lies the right way round, and its
//! own text gives back every hole.

#[path = "../common/job_fixture.rs"]
mod job_fixture;
mod kit;
mod odd;
mod random;
mod rebuilt;
mod site;

use aumbry::commands::compile;
use aumbry::job::Job;
use aumbry::outputs::drawing::Sheet;
use aumbry::outputs::{apart, elevations, holes, walls};
use aumbry::sources::DiskFiles;
use std::path::Path;
use std::sync::OnceLock;

fn compiled(folder: &str, name: &str) -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let compiled = compile(&DiskFiles::new(&folder), name, None);
    let said: Vec<_> = compiled.diagnostics.iter().map(|d| &d.message).collect();
    compiled.job.unwrap_or_else(|| panic!("{name}: {said:?}"))
}

/// The jobs that every sheet test runs on, by name: all examples, and what no example has.
fn jobs() -> &'static [(String, Job)] {
    static JOBS: OnceLock<Vec<(String, Job)>> = OnceLock::new();
    JOBS.get_or_init(|| {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
        let files =
            std::fs::read_dir(folder).expect("the examples").map(|e| e.expect("an entry").file_name());
        let mut names: Vec<String> = files.map(|n| n.to_string_lossy().into_owned()).collect();
        names.retain(|n| n.ends_with(".aum"));
        names.sort();
        let mut jobs: Vec<(String, Job)> =
            names.into_iter().map(|n| (n.clone(), compiled("examples", &n))).collect();
        // Files of types alone build nothing.
        jobs.retain(|(_, job)| !job.parts.is_empty());
        jobs.push(("drawers of one's own".into(), compiled("tests/drawings", "studio.aum")));
        jobs.push(("glaze shelf".into(), job_fixture::glaze_shelf()));
        jobs.push(("odd parts".into(), odd::job(false)));
        jobs.push(("odd parts in inches".into(), odd::job(true)));
        jobs.push(("bits".into(), odd::bits()));
        jobs.push(("wall".into(), site::wall()));
        jobs
    })
}

/// Those that have boxes.
fn with_boxes() -> impl Iterator<Item = &'static (String, Job)> {
    jobs().iter().filter(|(_, job)| !job.boxes.is_empty())
}

fn sound(job: &str, sheets: &[Sheet]) {
    let faults: Vec<String> = sheets
        .iter()
        .flat_map(|s| s.faults().into_iter().map(move |f| format!("{job}, {}: {f}", s.name)))
        .collect();
    assert!(faults.is_empty(), "{} faults\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn nothing_overlaps_on_hole_maps() {
    for (name, job) in jobs() {
        let sheets = holes::sheets(job);
        assert!(!sheets.is_empty(), "{name} has holes");
        sound(name, &sheets);
    }
}

#[test]
fn nothing_overlaps_on_elevations() {
    for (name, job) in with_boxes() {
        let sheets = elevations::sheets(job);
        assert!(!sheets.is_empty(), "{name} has boxes");
        sound(name, &sheets);
    }
}

#[test]
fn nothing_overlaps_on_exploded_views() {
    for (name, job) in with_boxes() {
        let sheets = apart::sheets(job);
        assert!(!sheets.is_empty(), "{name} has boxes");
        sound(name, &sheets);
    }
}

#[test]
fn nothing_overlaps_on_sheets_of_walls() {
    for (name, job) in [("wall", site::wall()), ("bare wall", site::bare())] {
        let sheets = walls::sheets(&job);
        assert!(sheets.len() >= 2, "{name}: elevation and plan");
        sound(name, &sheets);
    }
}

#[test]
fn a_wall_is_marked_out_from_its_left_end_and_its_floor() {
    let job = site::wall();
    let sheets = walls::sheets(&job);
    let elevation = sheets.iter().find(|s| s.name == "north").expect("an elevation");
    let text: Vec<&str> = elevation.canvas.texts().map(|t| t.content.as_str()).collect();
    for wanted in ["57.5", "2492.5", "1495", "1965", "787.5", "2305", "2640 ceiling", "857 bench top, level"]
    {
        assert!(text.contains(&wanted), "{wanted}: {text:?}");
    }
    let diamonds =
        elevation.canvas.symbols().filter(|s| s.shape == aumbry::outputs::drawing::symbol::Shape::Diamond);
    // Eight holes, and one in the legend.
    assert_eq!(diamonds.count(), 9);
    let words = text.join(" ");
    assert!(words.contains("measured 2912, 2908 and 2905"), "{words}");
    assert!(words.contains("Find cables and pipes before"), "{words}");
}

#[test]
fn boxes_at_a_wall_have_sheets_like_any_other() {
    let job = site::wall();
    for (kind, sheets) in [
        ("elevations", elevations::sheets(&job)),
        ("apart", apart::sheets(&job)),
        ("holes", holes::sheets(&job)),
    ] {
        assert!(!sheets.is_empty(), "{kind}");
        sound(kind, &sheets);
    }
    let elevations = elevations::sheets(&job);
    let clay = elevations.iter().find(|s| s.name == "floor.clay").expect("a sheet of the clay box");
    let text: Vec<&str> = clay.canvas.texts().map(|t| t.content.as_str()).collect();
    // 787.5 - 30; nothing of its neighbours is on it.
    assert!(text.contains(&"757.5"), "{text:?}");
    let bed = elevations.iter().find(|s| s.name == "bed").expect("a sheet of the bed");
    assert!(bed.canvas.texts().any(|t| t.content == "756 wide, 27 high, 560 deep."), "as large as its part");
    let mut marks = clay.canvas.texts().filter(|t| t.class == "mark");
    assert!(marks.all(|t| t.content.starts_with('C')), "{text:?}");
}

#[test]
fn names_of_sheets_are_unique() {
    for (name, job) in jobs() {
        for sheets in [holes::sheets(job), elevations::sheets(job), apart::sheets(job)] {
            let mut names: Vec<String> = sheets.iter().map(|s| s.name.to_lowercase()).collect();
            names.sort();
            let count = names.len();
            names.dedup();
            assert_eq!(names.len(), count, "{name}");
        }
    }
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    let job = odd::job(false);
    let bytes = |job: &Job| -> String {
        let sheets = [holes::sheets(job), elevations::sheets(job), apart::sheets(job)];
        sheets.into_iter().flatten().map(|s| s.svg).collect()
    };
    assert_eq!(bytes(&job), bytes(&job.clone()));
}

#[test]
fn every_part_is_marked_on_its_elevation() {
    for (name, job) in with_boxes() {
        let sheets = elevations::sheets(job);
        let marked: Vec<&str> = sheets
            .iter()
            .flat_map(|s| s.canvas.texts().filter(|t| t.class == "mark"))
            .map(|t| t.content.as_str())
            .collect();
        for part in &job.parts {
            assert!(marked.contains(&part.mark.as_str()), "{name}: {} is not marked", part.path);
        }
    }
}

#[test]
fn every_part_is_marked_where_its_box_is_taken_apart() {
    for (name, job) in with_boxes() {
        let sheets = apart::sheets(job);
        let marked: Vec<&str> = sheets
            .iter()
            .flat_map(|s| s.canvas.texts().filter(|t| t.class == "mark"))
            .map(|t| t.content.as_str())
            .collect();
        for part in &job.parts {
            // A single board is not taken apart.
            let alone = job.parts.iter().filter(|p| p.box_path == part.box_path).count() == 1;
            if alone {
                continue;
            }
            assert!(marked.contains(&part.mark.as_str()), "{name}: {} is not marked", part.path);
        }
    }
}

#[test]
fn a_tall_box_says_that_it_can_tip_over() {
    let says = |job: &Job| elevations::sheets(job).iter().any(|s| s.svg.contains("CAN TIP OVER"));
    assert!(says(&compiled("examples", "bookcase.aum")), "1400 high and 300 deep");
    assert!(!says(&compiled("examples", "floor_box.aum")), "720 high and 560 deep");
    assert!(says(&compiled("tests/drawings", "studio.aum")), "a bank of drawers");
}

#[test]
fn the_pair_says_never_to_bore_the_other_from_this_page() {
    let job = compiled("examples", "floor_box.aum");
    let sheets = holes::sheets(&job);
    assert!(!job.pairs.is_empty());
    for (a, b) in &job.pairs {
        for (mark, other) in [(a, b), (b, a)] {
            let pages: Vec<&Sheet> =
                sheets.iter().filter(|s| s.name.starts_with(&format!("{mark}-"))).collect();
            assert!(!pages.is_empty(), "{mark} has a map");
            for page in pages {
                let text: String = page.canvas.texts().map(|t| format!("{} ", t.content)).collect();
                assert!(
                    text.contains(&format!("Never bore {other} from this page.")),
                    "{}: {text}",
                    page.name
                );
            }
        }
    }
}

/// The file as it is written, less the font.
#[test]
fn a_hole_map_and_an_elevation_as_they_are_written() {
    let job = odd::job(false);
    let without_font = |sheet: &Sheet| {
        let mut kept = String::new();
        for (n, piece) in sheet.svg.split("base64,").enumerate() {
            let rest = if n == 0 { piece } else { piece.split_once(')').expect("the end of the font").1 };
            kept.push_str(if n == 0 { "" } else { "base64,FONT)" });
            kept.push_str(rest);
        }
        kept
    };
    for sheet in holes::sheets(&job).iter().filter(|s| s.name == "SL-outer") {
        insta::assert_snapshot!("hole_map", without_font(sheet));
    }
    for sheet in elevations::sheets(&job).iter().filter(|s| s.name == "store") {
        insta::assert_snapshot!("elevation", without_font(sheet));
    }
}

/// Writes every sheet to a folder, to look at: `SHEETS=folder cargo test --test drawings -- --ignored`.
#[test]
#[ignore = "writes files to look at"]
fn write_sheets() {
    let Ok(folder) = std::env::var("SHEETS") else { return };
    let bare = [("bare wall".to_string(), site::bare())];
    for (name, job) in jobs().iter().chain(&bare) {
        let folder = Path::new(&folder).join(name.replace([' ', '.'], "-"));
        std::fs::create_dir_all(&folder).unwrap();
        let kinds = [
            ("holes", holes::sheets(job)),
            ("elevations", elevations::sheets(job)),
            ("apart", apart::sheets(job)),
            ("walls", walls::sheets(job)),
        ];
        for (kind, sheets) in kinds {
            std::fs::create_dir_all(folder.join(kind)).unwrap();
            for sheet in sheets {
                std::fs::write(folder.join(kind).join(format!("{}.svg", sheet.name)), sheet.svg).unwrap();
            }
        }
    }
}

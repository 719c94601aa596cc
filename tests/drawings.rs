//! Hole maps and elevations: every sheet passes the collision test, and its table gives back the holes.

use aumbry::commands::compile;
use aumbry::job::Job;
use aumbry::outputs::drawing::Sheet;
use aumbry::outputs::{elevations, holes};
use aumbry::sources::DiskFiles;
use std::path::Path;

const EXAMPLES: [&str; 6] =
    ["bookcase.aum", "bookcase_inch.aum", "drawer.aum", "floor_box.aum", "hung_box.aum", "own_type.aum"];

fn example(name: &str) -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let compiled = compile(&DiskFiles::new(&folder), name, None);
    compiled.job.unwrap_or_else(|| panic!("{name}: {:?}", compiled.diagnostics))
}

fn sound(sheets: &[Sheet]) {
    let faults: Vec<String> =
        sheets.iter().flat_map(|s| s.faults().into_iter().map(move |f| format!("{}: {f}", s.name))).collect();
    assert!(faults.is_empty(), "{} faults\n{}", faults.len(), faults.join("\n"));
}

#[test]
fn nothing_overlaps_on_the_hole_maps_of_the_examples() {
    for name in EXAMPLES {
        let sheets = holes::sheets(&example(name));
        assert!(!sheets.is_empty(), "{name} has holes");
        sound(&sheets);
    }
}

#[test]
fn nothing_overlaps_on_the_elevations_of_the_examples() {
    for name in EXAMPLES {
        sound(&elevations::sheets(&example(name)));
    }
}

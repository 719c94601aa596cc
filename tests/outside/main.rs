//! Against the outside: crates that know nothing of this project read what it writes, and reckon what
//! it reckons.

mod lists;
mod schema;
mod sheets;
mod units;

use aumbry::commands::compile;
use aumbry::job::Job;
use aumbry::sources::DiskFiles;
use std::path::Path;

/// The jobs of every example and of the designs that the Python checks use, by file name.
fn jobs() -> Vec<(String, Job)> {
    let mut found = Vec::new();
    for folder in ["examples", "tests/external/designs"] {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
        let mut names: Vec<String> = std::fs::read_dir(&path)
            .unwrap()
            .map(|f| f.unwrap().file_name().into_string().unwrap())
            .filter(|n| n.ends_with(".aum"))
            .collect();
        names.sort();
        for name in names {
            let compiled = compile(&DiskFiles::new(&path), &name, None);
            let open = compiled.diagnostics.iter().filter(|d| d.accepted.is_none());
            let said: Vec<&str> = open.map(|d| d.message.as_str()).collect();
            assert!(said.is_empty(), "{name}: {said:?}");
            found.push((name, compiled.job.unwrap()));
        }
    }
    assert!(found.len() >= 11);
    found
}

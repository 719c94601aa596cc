//! The library and the fitting written in the language: their own tests, and the examples.

use aumbry::commands::{compile, run_tests};
use aumbry::sources::{DiskFiles, MemoryFiles};
use std::path::Path;

/// The `.aum` files of a folder of the project, in order.
fn files_of(folder: &str) -> Vec<String> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(folder);
    let mut names: Vec<String> = std::fs::read_dir(path)
        .unwrap()
        .map(|f| f.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.ends_with(".aum"))
        .collect();
    names.sort();
    names
}

fn disk(folder: &str) -> DiskFiles {
    DiskFiles::new(&Path::new(env!("CARGO_MANIFEST_DIR")).join(folder))
}

/// Runs the tests of every file of a folder and gives their number.
fn tests_pass(folder: &str) -> usize {
    let mut count = 0;
    for name in files_of(folder) {
        // `std.house` is always read as well, so it cannot be the root file.
        if name == "house.aum" {
            continue;
        }
        let report = run_tests(&disk(folder), &name);
        let said: Vec<&str> = report.diagnostics.iter().map(|d| d.message.as_str()).collect();
        assert!(said.is_empty(), "{folder}/{name}: {said:?}");
        for test in &report.tests {
            let said: Vec<&str> = test.diagnostics.iter().map(|d| d.message.as_str()).collect();
            assert!(test.passed, "{folder}/{name}: {}: {said:?}", test.name);
        }
        count += report.tests.len();
    }
    count
}

#[test]
fn the_tests_of_the_library_pass() {
    assert!(tests_pass("stdlib") >= 900);
}

#[test]
fn the_tests_in_the_language_pass() {
    assert!(tests_pass("tests/language") >= 310);
}

#[test]
fn every_box_type_is_swept_over_its_sizes() {
    let report = run_tests(&disk("stdlib"), "boxes.aum");
    for (name, least) in
        [("an open box (", 64), ("a floor box (", 64), ("a hung box (", 64), ("a drawer (", 64)]
    {
        let found = report.tests.iter().filter(|t| t.name.starts_with(name)).count();
        assert!(found >= least, "`{name}`: {found}");
    }
}

#[test]
fn every_example_compiles_without_an_open_message() {
    let names = files_of("examples");
    assert!(names.len() >= 10);
    for name in names {
        let found = compile(&disk("examples"), &name, None);
        let open = found.diagnostics.iter().filter(|d| d.accepted.is_none());
        let said: Vec<&str> = open.map(|d| d.message.as_str()).collect();
        assert!(said.is_empty(), "{name}: {said:?}");
        assert!(found.job.is_some());
    }
}

#[test]
fn every_definition_of_the_library_says_what_it_is() {
    for name in files_of("stdlib") {
        let text = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("stdlib").join(&name))
            .unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert!(lines.iter().any(|l| l.starts_with("//! ")), "{name} says nothing of itself");
        for (i, line) in lines.iter().enumerate() {
            if line.starts_with("def ") || line.starts_with("house field ") {
                let above = lines[..i].iter().rev().find(|l| !l.starts_with("// "));
                assert!(above.is_some_and(|l| l.starts_with("/// ")), "{name}: no words above `{line}`");
            }
        }
    }
}

/// A test that must fail: expectations are really looked at.
#[test]
fn a_wrong_expectation_fails() {
    let text = "aumbry 1\nuse std.boxes (open_box)\ntest \"wrong\" {\n  box b = open_box(width: 600mm, height: 400mm, depth: 300mm)\n  expect b.bottom.length == 565mm\n}\n";
    let files = MemoryFiles::new().with("wrong.aum", text);
    let report = run_tests(&files, "wrong.aum");
    assert!(report.tests.len() == 1 && !report.tests[0].passed);
}

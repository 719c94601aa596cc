//! Order does not matter: the same statements in any order, on any lines, on any thread, give the same
//! bytes; and what is wrong in one statement hides nothing that is wrong in another.

#[path = "common/tree_text.rs"]
mod tree_text;

use aumbry::commands::{Compiled, compile};
use aumbry::outputs;
use aumbry::sources::{DiskFiles, MemoryFiles};
use std::fs;
use std::path::{Path, PathBuf};
use tree_text::{joined, plain, shuffled, token_ranges};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Every example that stands by itself, with the name of its file.
fn examples() -> Vec<(String, String)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join("examples"))
        .expect("examples")
        .map(|e| e.expect("an entry").path())
        .collect();
    paths.sort();
    let designs = paths.into_iter().filter(|p| p.extension().is_some_and(|e| e == "aum"));
    let all: Vec<(String, String)> = designs
        .map(|p| {
            let name = p.file_name().expect("a name").to_string_lossy().into_owned();
            (name, fs::read_to_string(p).expect("UTF-8"))
        })
        .collect();
    assert!(all.len() >= 6);
    all
}

/// The examples in memory, one of them with another text.
fn files(changed: &str, text: &str) -> MemoryFiles {
    examples().into_iter().fold(MemoryFiles::new(), |files, (name, own)| {
        files.with(&name, if name == changed { text } else { &own })
    })
}

fn codes(compiled: &Compiled) -> Vec<String> {
    compiled.diagnostics.iter().map(|d| format!("{}: {}", d.code, d.message)).collect()
}

/// `job.json` without what names places in the text: digests, and where messages stand.
fn job(compiled: &Compiled) -> String {
    let job = compiled.job.as_ref().unwrap_or_else(|| panic!("{:?}", codes(compiled)));
    let mut value: serde_json::Value = serde_json::from_str(&outputs::json::job(job)).expect("JSON");
    value["sources"] = "redacted".into();
    for message in value["messages"].as_array_mut().expect("messages") {
        message["at"] = "redacted".into();
    }
    let mut messages: Vec<_> = value["messages"].as_array().expect("messages").clone();
    messages.sort_by_key(|m| m.to_string());
    value["messages"] = messages.into();
    serde_json::to_string_pretty(&value).expect("JSON")
}

fn same(expected: &str, found: &str, what: &str, text: &str) {
    if expected != found {
        let at = expected.lines().zip(found.lines()).position(|(a, b)| a != b).unwrap_or(0);
        let around = |t: &str| t.lines().skip(at.saturating_sub(6)).take(12).collect::<Vec<_>>().join("\n");
        panic!("{what}: line {at}\n{}\n---- is now\n{}\n---- from\n{text}", around(expected), around(found));
    }
}

#[test]
fn statements_in_any_order_give_the_same_job() {
    for (name, text) in examples() {
        let expected = job(&compile(&files(&name, &text), &name, None));
        for seed in 1..=12 {
            let other = shuffled(&text, seed);
            let found = job(&compile(&files(&name, &other), &name, None));
            same(&expected, &found, &format!("{name}, seed {seed}"), &other);
        }
    }
}

#[test]
fn lines_mean_nothing() {
    for (name, text) in examples() {
        let expected = job(&compile(&files(&name, &text), &name, None));
        let one = joined(&text);
        assert_eq!(one.lines().count(), 1, "{one}");
        same(&expected, &job(&compile(&files(&name, &one), &name, None)), &name, &one);
        // Every token on a line of its own.
        // Names of libraries (`std.boxes`) and codes (`too-deep`) are one token each: nothing that stands
        // against a stop or a hyphen is parted from it.
        let mut many = String::new();
        let mut last = 0;
        for r in token_ranges(&text) {
            let bound = |at: usize| matches!(text.as_bytes().get(at), Some(b'.' | b'-'));
            let glued = r.start == last && last > 0 && (bound(r.start) || bound(r.start - 1));
            if !glued {
                many.push('\n');
            }
            many.push_str(&text[r.clone()]);
            last = r.end;
        }
        let many = many.trim_start();
        same(&expected, &job(&compile(&files(&name, many), &name, None)), &name, many);
    }
}

/// The library's own files as files of a design, so that their statements can be shuffled as well.
fn own_library(change: impl Fn(&str) -> String) -> MemoryFiles {
    let mut files = MemoryFiles::new();
    for entry in fs::read_dir(root().join("stdlib")).expect("stdlib") {
        let path = entry.expect("an entry").path();
        let name = path.file_name().expect("a name").to_string_lossy().into_owned();
        // The house fields are declared once, in the library itself.
        if name != "house.aum" {
            let text = fs::read_to_string(&path).expect("UTF-8");
            files = files.with(&name, &change(&plain(&local(&text))));
        }
    }
    files
}

/// `use std.boards (…)` as `use "boards.aum" (…)`.
fn local(text: &str) -> String {
    let mut out = String::new();
    for line in text.lines() {
        match line.strip_prefix("use std.").and_then(|rest| rest.split_once(' ')) {
            Some((module, rest)) if module != "house" => {
                out.push_str(&format!("use \"{module}.aum\" {rest}"))
            }
            _ => out.push_str(line),
        }
        out.push('\n');
    }
    out
}

#[test]
fn statements_of_box_types_may_stand_in_any_order() {
    for (name, text) in examples() {
        // One that brings in a second file would need that one changed too.
        if name.starts_with("own_type") {
            continue;
        }
        let text = local(&text);
        let expected = job(&compile(&own_library(str::to_string).with(&name, &text), &name, None));
        for seed in 1..=4 {
            let library = own_library(|text| shuffled(text, seed));
            let found = job(&compile(&library.with(&name, &text), &name, None));
            same(&expected, &found, &format!("{name}, seed {seed}"), "the library shuffled");
        }
    }
}

#[test]
fn every_thread_gives_the_same_bytes() {
    let run = || -> Vec<String> {
        let folder = DiskFiles::new(&root().join("examples"));
        examples()
            .iter()
            .map(|(name, _)| {
                let compiled = compile(&folder, name, None);
                let job = compiled.job.unwrap_or_else(|| panic!("{name}"));
                outputs::json::job(&job)
                    + &outputs::parts::table(&job, 100)
                    + &outputs::hole_list::as_csv(&job)
            })
            .collect()
    };
    let expected = run();
    std::thread::scope(|scope| {
        let all: Vec<_> = (0..3).map(|_| scope.spawn(run)).collect();
        for one in all {
            assert!(one.join().expect("no panic") == expected, "a thread differs");
        }
    });
}

/// Two faults that have nothing to do with each other, before and after a text.
const FIRST: &str = "let fault_first = 1mm + 2kg\n";
const LAST: &str = "\nlet fault_last = no_such_figure * 2\n";

fn has_both(compiled: &Compiled) -> bool {
    let told = |code: &str, name: &str| {
        compiled.diagnostics.iter().any(|d| d.code == code && compiled.sources.text(d.span()).contains(name))
    };
    told("unlike", "1mm + 2kg") && told("unknown-name", "no_such_figure")
}

#[test]
fn a_lost_token_silences_nothing_else() {
    let mut silent = Vec::new();
    for (name, text) in examples() {
        let head = text.find('\n').expect("a first line") + 1;
        let planted = |body: &str| {
            let line = body.find('\n').map_or(body.len(), |n| n + 1);
            format!("{}{FIRST}{}{LAST}", &body[..line], &body[line..])
        };
        assert!(
            has_both(&compile(&files(&name, &planted(&text)), &name, None)),
            "{name}: both faults are found"
        );
        for range in token_ranges(&text) {
            let mut less = text.clone();
            less.replace_range(range.clone(), "");
            // The first line stays a line even where its last token goes.
            assert!(range.end <= head || less.starts_with("aumbry 1\n"));
            let compiled = compile(&files(&name, &planted(&less)), &name, None);
            if !has_both(&compiled) {
                let line = text[..range.start].lines().count().max(1);
                silent.push(format!("{name}:{line} without `{}`: {:?}", &text[range], codes(&compiled)));
            }
        }
    }
    assert!(silent.is_empty(), "{} times:\n{}", silent.len(), silent.join("\n"));
}

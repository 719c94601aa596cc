//! Two revisions compared: the verdict on each part, and what is done to the wood.

use aumbry::commands::compile;
use aumbry::job::Job;
use aumbry::revisions::{Comparison, Options, PartChange, Verdict, Work, compare};
use aumbry::sources::MemoryFiles;

fn job(text: &str) -> Job {
    let files = MemoryFiles::new().with("a.aum", text);
    let compiled = compile(&files, "a.aum", None);
    compiled.job.unwrap_or_else(|| {
        let said: Vec<_> = compiled.diagnostics.iter().map(|d| d.message.clone()).collect();
        panic!("{said:?}\n{text}")
    })
}

const CASE: &str = "aumbry 1
use std.boards (white18, white3)
use std.boxes  (open_box)
house { board: white18, back: white3 }
box bookcase = open_box(width: 800mm, height: 1400mm, depth: 300mm, shelves: 4)
";

fn diff(old: &str, new: &str) -> Comparison {
    compare(&job(old), &job(new), &Options::default())
}

fn part<'a>(c: &'a Comparison, path: &str) -> &'a PartChange {
    let named = |p: &&PartChange| p.new.as_ref().or(p.old.as_ref()).is_some_and(|r| r.path == path);
    c.parts.iter().find(named).unwrap_or_else(|| panic!("no {path}"))
}

#[test]
fn a_design_is_the_same_as_itself() {
    let c = diff(CASE, CASE);
    assert!(c.is_same() && c.acts.is_empty(), "{c:?}");
}

#[test]
fn a_box_less_deep_is_trimmed_in_front_where_its_groove_allows() {
    let c = diff(CASE, &CASE.replace("depth: 300mm", "depth: 280mm"));
    let side = part(&c, "bookcase.left");
    assert_eq!(side.verdict, Verdict::Rework);
    let works = &side.rework.as_ref().unwrap().works;
    assert!(
        matches!(&works[0], Work::Trim { face, band: Some(_), .. } if face.word() == "front"),
        "{works:?}"
    );
    assert_eq!(part(&c, "bookcase.rear").verdict, Verdict::Moved);
}

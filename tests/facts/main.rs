//! Published facts of the trade, copied from where they stand, against the library and what it makes.
//!
//! Beside each figure: its source, where it stands there, and how sure it is: READ in the source,
//! SECONDARY in a document that repeats it, MEMORY where nobody could look it up. Rules of the trade that
//! no source gives are marked `common practice, no source`.

mod beams;
mod boards;
mod dowels;
mod fronts;
mod limits;
mod loads;
mod pins;
mod print;
mod screws;
mod shelves;
mod weights;

use aumbry::checks::estimates::{Sag, estimate};
use aumbry::commands::{compile, run_tests};
use aumbry::job::{Axis, Bored, Hole, Job, Part};
use aumbry::sources::MemoryFiles;
use aumbry::values::Rational;

/// What is said of each expectation that is not met, in a test block of these statements under these lines.
fn unmet(file: &str, block: &str, expectations: &[String]) -> Vec<String> {
    let lines: Vec<String> = expectations.iter().map(|e| format!("  expect {e}\n")).collect();
    let text = format!("aumbry 1\n{file}\ntest \"facts\" {{\n  {block}\n{}}}\n", lines.concat());
    let report = run_tests(&MemoryFiles::new().with("facts.aum", &text), "facts.aum");
    let outside: Vec<String> = report.diagnostics.iter().map(|d| d.message.clone()).collect();
    assert!(outside.is_empty(), "{outside:?} in\n{text}");
    assert_eq!(report.tests.len(), 1);
    report.tests[0].diagnostics.iter().map(|d| d.message.clone()).collect()
}

/// Every expectation holds in the language under these `use` lines.
fn holds<S: AsRef<str>>(uses: &str, expectations: &[S]) {
    holds_of(uses, "", expectations);
}

/// Every expectation holds of a box made in the test, and none would if it said `not`.
fn holds_of<S: AsRef<str>>(file: &str, block: &str, expectations: &[S]) {
    let all: Vec<String> = expectations.iter().map(|e| e.as_ref().to_string()).collect();
    assert_eq!(unmet(file, block, &all), Vec::<String>::new(), "{all:?}");
    let turned: Vec<String> = all.iter().map(|e| format!("not ({e})")).collect();
    assert_eq!(unmet(file, block, &turned).len(), turned.len(), "{turned:?}");
}

/// The job of a design without a message.
fn design(text: &str) -> Job {
    let text = format!("aumbry 1\n{text}\n");
    let compiled = compile(&MemoryFiles::new().with("design.aum", &text), "design.aum", None);
    let open = compiled.diagnostics.iter().filter(|d| d.accepted.is_none());
    let said: Vec<&str> = open.map(|d| d.message.as_str()).collect();
    assert!(said.is_empty(), "{said:?} in\n{text}");
    compiled.job.unwrap()
}

/// The codes of the messages of a design, in order.
fn said(text: &str) -> Vec<String> {
    let text = format!("aumbry 1\n{text}\n");
    let compiled = compile(&MemoryFiles::new().with("design.aum", &text), "design.aum", None);
    compiled.diagnostics.iter().map(|d| d.code.to_string()).collect()
}

/// What a shelf of `plank`, defined in the text, comes to over a clear way.
fn spanning(text: &str, long: &str, deep: &str, load: &str, more: &str) -> Sag {
    let more = if more.is_empty() { String::new() } else { format!(", {more}") };
    let text = format!(
        "aumbry 1\n{text}\ndef box rack() {{\n  envelope ({long}, 18mm, {deep})\n  \
         loose part shelf of plank along x {{ x: 0mm .. {long}  y: after 0mm  z: 0mm .. {deep} }}\n  \
         spans(shelf, over: shelf.x, load: {load}{more})\n}}\nbox rack1 = rack()\n"
    );
    let compiled = compile(&MemoryFiles::new().with("rack.aum", &text), "rack.aum", None);
    let said: Vec<&str> = compiled.diagnostics.iter().map(|d| d.message.as_str()).collect();
    let job = compiled.job.unwrap_or_else(|| panic!("{said:?} in\n{text}"));
    estimate(&job).sags.remove(0)
}

/// Equal to a millionth.
fn near(found: f64, due: f64) {
    assert!((found - due).abs() <= 1e-6 * due.abs().max(1e-9), "{found} for {due}");
}

fn part<'a>(job: &'a Job, name: &str) -> &'a Part {
    job.parts.iter().find(|p| p.name() == name).unwrap_or_else(|| panic!("{name}"))
}

fn mm(n: i64) -> Rational {
    Rational::int(n)
}

fn tenths(n: i128) -> Rational {
    Rational::ratio(n, 10)
}

/// The holes of a part on a face of this axis, bored so.
fn bored(part: &Part, axis: Axis, how: Bored) -> Vec<&Hole> {
    part.holes.iter().filter(|h| h.face.axis() == axis && h.bored == how).collect()
}

//! From the text of a file to its job: the one entry point that commands, tests and tools share.

use crate::checks;
use crate::diagnostics::{Diagnostic, gather};
use crate::evaluation::{self, Evaluation, Program, Trees};
use crate::job::{self, Job, KeptMarks, Message, Origin, Origins, Trace, Trail};
use crate::sources::{Files, ReadFault, Sources, Span};
use std::collections::BTreeSet;

/// What came of a file.
pub struct Compiled {
    /// Every file read, for the labels of the messages.
    pub sources: Sources,
    /// `None` where there are errors.
    pub job: Option<Job>,
    /// Gathered and in order.
    pub diagnostics: Vec<Diagnostic>,
}

/// One `test` block and how it went.
pub struct TestOutcome {
    pub name: String,
    pub passed: bool,
    /// Why it failed.
    pub diagnostics: Vec<Diagnostic>,
}

/// The test blocks of a file.
pub struct TestReport {
    pub sources: Sources,
    pub tests: Vec<TestOutcome>,
    /// Messages of the file itself, outside its tests.
    pub diagnostics: Vec<Diagnostic>,
}

/// Works out the design in `root`, a path relative to the folder of `files`.
pub fn compile(files: &dyn Files, root: &str, marks: Option<&KeptMarks>) -> Compiled {
    let (program, job, diagnostics) = worked_out(files, root, marks);
    let job = match diagnostics.iter().any(Diagnostic::is_error) {
        true => None,
        false => Some(complete(job, &diagnostics, &program)),
    };
    Compiled { sources: program.sources, job, diagnostics }
}

/// The same for those who want the messages only; there is no job.
pub fn check(files: &dyn Files, root: &str) -> Compiled {
    let (program, _, diagnostics) = worked_out(files, root, None);
    Compiled { sources: program.sources, job: None, diagnostics }
}

/// The job as far as it goes, and the messages with the figures that would mend them.
fn worked_out(files: &dyn Files, root: &str, marks: Option<&KeptMarks>) -> (Program, Job, Vec<Diagnostic>) {
    let mut trees = Trees::default();
    let (program, job, mut diagnostics, steps) = once(files, root, marks, &mut trees, false);
    // Where a text cannot be read no figure in it can be tried.
    if program.complete && diagnostics.iter().any(Diagnostic::is_error) && job.parts.len() <= MOST_TRIED {
        let facts = checks::Facts::of(&program);
        let design = checks::Design { sources: &program.sources, facts: &facts, step: job.house.step.0 };
        let mut again = Again { files, root, trees, left: MOST_TRIED_STEPS.saturating_sub(steps) };
        checks::mend(&mut diagnostics, &design, &mut |span, text| again.with(&program.sources, span, text));
    }
    (program, job, diagnostics)
}

/// Every figure that would mend a design.
pub struct Mended {
    pub sources: Sources,
    pub diagnostics: Vec<Diagnostic>,
    pub found: checks::Found,
}

/// Works out every single number whose change would make the design in `root` compile. Where a text cannot
/// be read no figure in it can be tried.
pub fn mended(files: &dyn Files, root: &str) -> Mended {
    mended_within(files, root, MOST_FIX_STEPS)
}

/// The same with another bound on how many figures, ranges, things and holes may be worked out together.
pub fn mended_within(files: &dyn Files, root: &str, most: usize) -> Mended {
    let mut trees = Trees::default();
    let (program, job, diagnostics, _) = once(files, root, None, &mut trees, false);
    let mut found = checks::Found::default();
    if program.complete && diagnostics.iter().any(Diagnostic::is_error) {
        let facts = checks::Facts::of(&program);
        let design = checks::Design { sources: &program.sources, facts: &facts, step: job.house.step.0 };
        let mut again = Again { files, root, trees, left: most };
        found =
            checks::offers(&diagnostics, &design, &mut |span, text| again.with(&program.sources, span, text));
    }
    Mended { sources: program.sources, diagnostics, found }
}

/// The most parts of a design in which a plain check tries other figures.
const MOST_TRIED: usize = 400;

/// How many figures, ranges, things and holes may be worked out together while a plain check tries other
/// figures. A figure a thousand times too large makes thousands of holes.
const MOST_TRIED_STEPS: usize = 160_000;

/// The same while `fix` tries them.
pub const MOST_FIX_STEPS: usize = 3_000_000;

/// How many errors keep all the numbers behind them.
const MOST_FOLLOWED: usize = 20;

/// Compiles a design again and again, each time with other text in one place.
struct Again<'a> {
    files: &'a dyn Files,
    root: &'a str,
    trees: Trees,
    /// How much may still be worked out.
    left: usize,
}

impl Again<'_> {
    fn with(&mut self, sources: &Sources, span: Span, text: &str) -> Option<Vec<Diagnostic>> {
        if self.left == 0 {
            return None;
        }
        let changed = Changed { files: self.files, name: &sources.file(span.file).name, span, text };
        let (_, job, found, steps) = once(&changed, self.root, None, &mut self.trees, true);
        let holes = job.parts.iter().map(|p| p.holes.len()).sum::<usize>();
        self.left = self.left.saturating_sub(steps + holes);
        Some(found)
    }
}

/// Evaluations of more slots than this are not given back piece by piece.
const LEFT_TO_THE_PROCESS: usize = 200_000;

fn once(
    files: &dyn Files,
    root: &str,
    marks: Option<&KeptMarks>,
    trees: &mut Trees,
    brief: bool,
) -> (Program, Job, Vec<Diagnostic>, usize) {
    let (program, mut diagnostics) = evaluation::load_again(files, root, trees);
    let (job, steps) = {
        let mut e = Evaluation::new(&program);
        e.brief = brief;
        e.run_root();
        diagnostics.append(&mut e.diagnostics);
        let (job, _) = finish(&mut e, &mut diagnostics, marks);
        let steps = e.slots.len();
        if steps > LEFT_TO_THE_PROCESS {
            // Giving back a million small pieces one by one takes a tenth of the whole run.
            std::mem::forget(e);
        }
        (job, steps)
    };
    (program, job, gather(diagnostics), steps)
}

/// Files in which one stretch of one file reads otherwise.
struct Changed<'a> {
    files: &'a dyn Files,
    name: &'a str,
    span: Span,
    text: &'a str,
}

impl Files for Changed<'_> {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        let mut text = self.files.read(path)?;
        let range = self.span.start as usize..self.span.end as usize;
        if path == self.name && text.get(range.clone()).is_some() {
            text.replace_range(range, self.text);
        }
        Ok(text)
    }
}

/// Builds the job of an evaluation that has run, and checks it as far as it is complete.
pub(super) fn finish(
    e: &mut Evaluation<'_>,
    diagnostics: &mut Vec<Diagnostic>,
    marks: Option<&KeptMarks>,
) -> (Job, Origins) {
    let (job, origins) = job::build(e, marks);
    let mut unsure: BTreeSet<String> =
        e.failed_boxes.iter().map(|b| e.boxes[b.0 as usize].path.clone()).collect();
    for d in diagnostics.iter().filter(|d| d.is_error()) {
        unsure.extend(d.boxes.iter().cloned());
    }
    // A box that is not complete leaves the boxes around it and in it incomplete as well.
    let roots: BTreeSet<String> =
        unsure.iter().filter_map(|u| job::path_names(u).first().map(|r| (*r).to_string())).collect();
    unsure.extend(roots);
    let trail = Trail { evaluation: e, origins: &origins };
    let refused: BTreeSet<&str> =
        e.refused_boxes.iter().map(|b| e.boxes[b.0 as usize].path.as_str()).collect();
    let mut found = checks::run_except(&job, &trail, &unsure);
    for d in found.iter_mut().filter(|d| d.is_error() && !e.brief).take(MOST_FOLLOWED) {
        for origin in d.origins.clone() {
            d.behind.extend(trail.behind(Origin(origin)));
        }
    }
    diagnostics.extend(found.into_iter().filter(|d| !d.boxes.iter().any(|b| is_in(b, &refused))));
    checks::answer(diagnostics, e);
    (job, origins)
}

/// True where a box is one of some others, or stands in one.
fn is_in(path: &str, others: &BTreeSet<&str>) -> bool {
    others.iter().any(|o| path == *o || path.strip_prefix(o).is_some_and(|rest| rest.starts_with('.')))
}

/// Adds what only a job that is written needs.
fn complete(mut job: Job, diagnostics: &[Diagnostic], program: &Program) -> Job {
    job.sources = job::digests(&program.sources);
    job.messages = diagnostics
        .iter()
        .map(|d| Message {
            code: d.code.to_string(),
            message: d.message.clone(),
            at: program.sources.place(d.span()),
            boxes: d.boxes.clone(),
            accepted: d.accepted.clone(),
        })
        .collect();
    job
}

/// Runs the `test` blocks of `root`.
pub fn run_tests(files: &dyn Files, root: &str) -> TestReport {
    let (program, mut diagnostics) = evaluation::load(files, root);
    let mut tests = Vec::new();
    {
        let (cases, found) = evaluation::test_cases(&program);
        diagnostics.extend(found);
        for case in cases {
            let mut e = Evaluation::new(&program);
            let scope = e.run_test(&case);
            let mut found = std::mem::take(&mut e.diagnostics);
            finish(&mut e, &mut found, None);
            let found = gather(found);
            let unmet = match scope {
                Some(scope) => e.unmet(&case, scope, &found),
                None => found,
            };
            let unmet = gather(unmet);
            tests.push(TestOutcome { name: case.name, passed: unmet.is_empty(), diagnostics: unmet });
        }
    }
    TestReport { sources: program.sources, tests, diagnostics: gather(diagnostics) }
}

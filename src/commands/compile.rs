//! From the text of a file to its job: the one entry point that commands, tests and tools share.

use crate::diagnostics::Diagnostic;
use crate::job::{Job, KeptMarks};
use crate::sources::{Files, Sources};

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
    let _ = marks;
    let (sources, diagnostic) = not_yet(files, root);
    Compiled { sources, job: None, diagnostics: vec![diagnostic] }
}

/// Runs the `test` blocks of `root`.
pub fn run_tests(files: &dyn Files, root: &str) -> TestReport {
    let (sources, diagnostic) = not_yet(files, root);
    TestReport { sources, tests: Vec::new(), diagnostics: vec![diagnostic] }
}

fn not_yet(files: &dyn Files, root: &str) -> (Sources, Diagnostic) {
    let mut sources = Sources::new();
    let file = sources.add(root, &files.read(root).unwrap_or_default(), false);
    let span = crate::sources::Span::new(file, 0, 0);
    (sources, Diagnostic::error("internal", "designs are not worked out yet", span, "here"))
}

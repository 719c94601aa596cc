//! Carrying out a command.

use super::Failure;
use super::cli::{Cli, Command, HoleForm, ListForm, Messages, SheetForm, StepForm};
use super::compile::{Compiled, check, compile, run_tests};
use super::report::{self, Look, MessagesJson, Tally};
use super::writing::{self, OutFile};
use super::{diff, doc, explain};
use crate::checks::estimates::estimate;
use crate::diagnostics::{Diagnostic, Severity};
use crate::job::{Job, KeptMarks};
use crate::outputs;
use crate::outputs::drawing::Sheet;
use crate::sources::{DiskFiles, Files, Sources};
use clap::{CommandFactory, Parser};
use std::borrow::Cow;
use std::collections::BTreeSet;
use std::io::{self, IsTerminal, Write};
use std::path::Path;
use std::process::ExitCode;
use std::sync::{Arc, Mutex};

pub(super) const FINE: u8 = 0;
pub(super) const DESIGN_HAS_ERRORS: u8 = 1;
/// Address space for the stack of the working thread, in bytes; only what is used is ever taken.
pub(super) const STACKS: [usize; 2] = [512 << 20, 64 << 20];

/// Width of what is printed to a file or a pipe.
pub(super) const PAGE: usize = 100;

/// Parses the command line, does what it says, and gives the exit status.
pub fn main() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            let _ = error.print();
            return ExitCode::from(u8::try_from(error.exit_code()).unwrap_or(2));
        }
    };
    let messages = cli.global.messages;
    let fault: Arc<Mutex<String>> = Arc::default();
    let kept = Arc::clone(&fault);
    // A fault of the compiler itself is told in a plain line, never as a trace.
    std::panic::set_hook(Box::new(move |info| {
        if let (Ok(mut kept), Some(at)) = (kept.lock(), info.location()) {
            *kept = format!("{}:{}", at.file(), at.line());
        }
    }));
    let done = std::thread::scope(|scope| {
        // Less will do for most designs where the machine grants no more.
        for stack in STACKS {
            let work = || Session::new(&cli).and_then(|session| session.run(&cli));
            if let Ok(thread) = std::thread::Builder::new().stack_size(stack).spawn_scoped(scope, work) {
                return thread.join();
            }
        }
        Ok(Err(Failure::new("internal", "this machine grants no memory to work in")))
    });
    match done {
        Ok(Ok(code)) => ExitCode::from(code),
        Ok(Err(failure)) => {
            tell(messages, &failure);
            ExitCode::from(failure.status)
        }
        Err(_) => {
            let at = fault.lock().map(|at| at.clone()).unwrap_or_default();
            let text = format!("the compiler met a fault of its own ({at}); nothing was written");
            tell(
                messages,
                &Failure::new("internal", text)
                    .help("the design may well be sound: please send its text to the makers of aumbry"),
            );
            ExitCode::from(DESIGN_HAS_ERRORS)
        }
    }
}

/// How standard error looks.
fn look() -> Look {
    let error = io::stderr();
    if !error.is_terminal() {
        return Look::plain();
    }
    let colour = anstream::AutoStream::choice(&error) != anstream::ColorChoice::Never;
    Look::terminal(columns(terminal_size::terminal_size_of(&error)), colour)
}

fn columns(size: Option<(terminal_size::Width, terminal_size::Height)>) -> usize {
    // Narrower than this nothing reads well, wider than this lines are hard to follow.
    size.map_or(PAGE, |(width, _)| usize::from(width.0).clamp(60, 160))
}

/// Writes to standard error; where that is closed there is nobody to tell.
pub(super) fn to_stderr(text: &str) {
    let _ = io::stderr().lock().write_all(text.as_bytes());
}

/// Prints why a command failed.
fn tell(messages: Messages, failure: &Failure) {
    let mut pages = Pages::new(messages);
    pages.add(&Sources::new(), &[failed(failure)]);
    pages.finish(false);
}

/// A failure as a message.
pub(super) fn failed(failure: &Failure) -> Diagnostic {
    Diagnostic {
        code: Cow::Borrowed(failure.code),
        severity: Severity::Error,
        message: failure.message.clone(),
        labels: Vec::new(),
        notes: Vec::new(),
        help: failure.help.clone(),
        edits: Vec::new(),
        boxes: Vec::new(),
        accepted: None,
        misses: Vec::new(),
        behind: Vec::new(),
        origins: Vec::new(),
    }
}

/// Messages on their way out: printed at once for people, together at the end for programs.
pub(super) struct Pages {
    form: Messages,
    pub(super) tally: Tally,
    json: Vec<report::MessageJson>,
}

impl Pages {
    pub(super) fn new(form: Messages) -> Pages {
        Pages { form, tally: Tally::default(), json: Vec::new() }
    }

    pub(super) fn add(&mut self, sources: &Sources, diagnostics: &[Diagnostic]) {
        let tally = Tally::of(diagnostics);
        self.tally.errors += tally.errors;
        self.tally.warnings += tally.warnings;
        self.tally.accepted += tally.accepted;
        match self.form {
            Messages::Human => to_stderr(&report::human(sources, diagnostics, look())),
            Messages::Json => self.json.extend(diagnostics.iter().map(|d| report::json(sources, d))),
        }
    }

    /// The count of all; `always` says it even where there was nothing.
    pub(super) fn finish(self, always: bool) {
        match self.form {
            Messages::Human => {
                if always || self.tally != Tally::default() {
                    to_stderr(&format!("{}\n", self.tally.words()));
                }
            }
            Messages::Json => to_stderr(&outputs::json::text(&MessagesJson {
                format: "aumbry-messages/1",
                errors: self.tally.errors,
                warnings: self.tally.warnings,
                accepted: self.tally.accepted,
                messages: self.json,
            })),
        }
    }
}

pub(super) struct Session {
    pub(super) messages: Messages,
    pub(super) marks: Option<KeptMarks>,
}

impl Session {
    fn new(cli: &Cli) -> Result<Session, Failure> {
        let marks = match &cli.global.marks {
            None => None,
            Some(path) => {
                let fail = |why: &str| {
                    Failure::new("marks-not-read", format!("`{}` could not be read: {why}", path.display()))
                        .help("--marks takes the job.json of an earlier build")
                };
                let text = std::fs::read_to_string(path).map_err(|e| fail(&plain_kind(&e)))?;
                Some(KeptMarks::read(&text).map_err(|why| fail(&why))?)
            }
        };
        Ok(Session { messages: cli.global.messages, marks })
    }

    fn run(&self, cli: &Cli) -> Result<u8, Failure> {
        match &cli.command {
            Command::Check { files } => {
                let mut pages = Pages::new(self.messages);
                for file in files {
                    let (folder, name) = open(file)?;
                    let compiled = check(&folder, &name);
                    pages.add(&compiled.sources, &compiled.diagnostics);
                }
                let code = if pages.tally.errors > 0 { DESIGN_HAS_ERRORS } else { FINE };
                pages.finish(true);
                Ok(code)
            }
            Command::Build { file, out } => self.with_job(file, |job| build(job, out)),
            Command::Job { schema: true, .. } | Command::Job { file: None, .. } => {
                to_stdout(&crate::job::schema())
            }
            Command::Job { file: Some(file), .. } => {
                self.with_job(file, |job| to_stdout(&outputs::json::job(job)))
            }
            Command::Parts { file, form } => self.with_job(file, |job| {
                to_stdout(&match form {
                    ListForm::Table => outputs::parts::table(job, stdout_width()),
                    ListForm::Csv => outputs::parts::as_csv(job),
                    ListForm::Json => outputs::parts::as_json(job),
                })
            }),
            Command::Holes { file, form, out } => {
                let needs_no_folder = *form != HoleForm::Svg && out.is_some();
                if needs_no_folder {
                    return Err(Failure::usage(
                        "--out goes with --as svg; other forms go to standard output",
                    ));
                }
                self.with_job(file, |job| match (form, out) {
                    (HoleForm::Table, _) => to_stdout(&outputs::hole_list::table(job, stdout_width())),
                    (HoleForm::Csv, _) => to_stdout(&outputs::hole_list::as_csv(job)),
                    (HoleForm::Json, _) => to_stdout(&outputs::hole_list::as_json(job)),
                    (HoleForm::Svg, Some(out)) => write_sheets(job, outputs::holes::each, out),
                    (HoleForm::Svg, None) => Err(Failure::usage("--as svg needs --out FOLDER")),
                })
            }
            Command::Weights { file, form } => self.with_job(file, |job| {
                let found = estimate(job);
                to_stdout(&match form {
                    ListForm::Table => outputs::weights::table(job, &found, stdout_width()),
                    ListForm::Csv => outputs::weights::as_csv(&found),
                    ListForm::Json => outputs::weights::as_json(&found),
                })
            }),
            Command::Elevations { file, form: SheetForm::Svg, out } => {
                self.with_job(file, |job| write_sheets(job, views, out))
            }
            Command::Apart { file, form: SheetForm::Svg, out } => {
                self.with_job(file, |job| write_sheets(job, outputs::apart::each, out))
            }
            Command::Assembly { file, form } => self.with_job(file, |job| {
                to_stdout(&match form {
                    StepForm::Table => outputs::assembly::table(job, stdout_width()),
                    StepForm::Csv => outputs::assembly::as_csv(job),
                    StepForm::Json => outputs::assembly::as_json(job),
                    StepForm::Html => outputs::assembly::page(job),
                })
            }),
            Command::Why { file, what, form, library } => super::why::run(self, file, what, *form, *library),
            Command::Test { files } => self.test(files),
            Command::Fix { file, apply, form } => super::fix::run(self.messages, file, *form, *apply),
            Command::Diff { sides, form, out, cut, spoiled, within, git } => {
                let (out, cut) = (out.as_deref(), cut.as_deref());
                let (spoiled, within) = (spoiled.as_deref(), within.as_deref());
                diff::run(
                    self,
                    &diff::Asked { words: sides, form: *form, out, cut, spoiled, git: *git, within },
                )
            }
            Command::Fmt { files, check } => super::fmt::run(files, *check, self.messages),
            Command::Explain { code, within, form } => {
                explain::run(self, code.as_deref(), within.as_deref(), *form)
            }
            Command::New { folder } => super::new::run(folder),
            Command::Completions { shell } => completions(*shell),
            Command::Doc { what, out } => doc::run(self, what, out),
        }
    }

    fn test(&self, files: &[std::path::PathBuf]) -> Result<u8, Failure> {
        let mut pages = Pages::new(self.messages);
        let (mut passed, mut failed) = (0, 0);
        for file in files {
            let (folder, name) = open(file)?;
            let report = run_tests(&folder, &name);
            pages.add(&report.sources, &report.diagnostics);
            for test in &report.tests {
                let word = if test.passed { "passed" } else { "FAILED" };
                to_stdout(&format!("{word}  {}\n", crate::diagnostics::visible(&test.name)))?;
                pages.add(&report.sources, &test.diagnostics);
                if test.passed { passed += 1 } else { failed += 1 }
            }
        }
        match passed + failed {
            0 => to_stdout("no tests\n")?,
            _ => to_stdout(&format!("{passed} passed, {failed} failed\n"))?,
        };
        let sound = failed == 0 && pages.tally.errors == 0;
        pages.finish(false);
        Ok(if sound { FINE } else { DESIGN_HAS_ERRORS })
    }

    /// Works a file out, prints its messages, and hands the job on where there are no errors.
    fn with_job(&self, file: &Path, go: impl FnOnce(&Job) -> Result<u8, Failure>) -> Result<u8, Failure> {
        let compiled = self.compile(file)?;
        let mut pages = Pages::new(self.messages);
        pages.add(&compiled.sources, &compiled.diagnostics);
        let sound = pages.tally.errors == 0;
        pages.finish(false);
        match compiled.job {
            Some(job) if sound => {
                if job.parts.is_empty() && self.messages == Messages::Human {
                    to_stderr(&format!("{} builds no box, so there is nothing to make\n", file.display()));
                }
                let done = go(&job);
                // The process ends next; a large job is not given back piece by piece.
                std::mem::forget(job);
                done
            }
            _ => Ok(DESIGN_HAS_ERRORS),
        }
    }

    pub(super) fn compile(&self, file: &Path) -> Result<Compiled, Failure> {
        let (folder, name) = open(file)?;
        Ok(compile(&folder, &name, self.marks.as_ref()))
    }
}

/// What a shell needs to complete the words of the command line.
fn completions(shell: clap_complete::Shell) -> Result<u8, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "aumbry", &mut text);
    to_stdout(&String::from_utf8_lossy(&text))
}

/// The folder of a file and its name in it; fails where the file cannot be read.
pub(super) fn open(file: &Path) -> Result<(DiskFiles, String), Failure> {
    let fail = |why: &str| Failure::new("not-read", format!("`{}` could not be read: {why}", file.display()));
    let name = file.file_name().ok_or_else(|| fail("it is a folder, not a file"))?;
    let name = name.to_str().ok_or_else(|| fail("its name is not UTF-8 text"))?;
    let folder = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let files = DiskFiles::new(folder);
    files.read(name).map_err(|e| fail(&e.to_string()))?;
    Ok((files, name.to_string()))
}

pub(super) fn plain_kind(error: &io::Error) -> String {
    match error.kind() {
        io::ErrorKind::NotFound => "there is no such file".to_string(),
        io::ErrorKind::InvalidData => "it is not UTF-8 text".to_string(),
        io::ErrorKind::IsADirectory => "it is a folder, not a file".to_string(),
        kind => kind.to_string(),
    }
}

pub(super) fn stdout_width() -> usize {
    if io::stdout().is_terminal() { columns(terminal_size::terminal_size_of(io::stdout())) } else { PAGE }
}

/// Writes to standard output; a reader that has gone away (`| head`) is no fault.
pub(super) fn to_stdout(text: &str) -> Result<u8, Failure> {
    let mut out = io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Ok(()) => Ok(FINE),
        Err(e) if e.kind() == io::ErrorKind::BrokenPipe => Ok(FINE),
        Err(e) => {
            Err(Failure::new("not-written", format!("could not write to standard output: {}", e.kind())))
        }
    }
}

/// Every output of a job that is not a drawing, by its path in the folder.
fn lists(job: &Job) -> Vec<OutFile> {
    let file = |path: &str, text: String| OutFile { path: path.to_string(), text };
    let found = estimate(job);
    vec![
        file("job.json", outputs::json::job(job)),
        file("parts.txt", outputs::parts::table(job, PAGE)),
        file("parts.csv", outputs::parts::as_csv(job)),
        file("parts.json", outputs::parts::as_json(job)),
        file("holes.txt", outputs::hole_list::table(job, PAGE)),
        file("holes.csv", outputs::hole_list::as_csv(job)),
        file("holes.json", outputs::hole_list::as_json(job)),
        file("weights.txt", outputs::weights::table(job, &found, PAGE)),
        file("weights.csv", outputs::weights::as_csv(&found)),
        file("weights.json", outputs::weights::as_json(&found)),
        file("assembly.txt", outputs::assembly::table(job, PAGE)),
        file("assembly.csv", outputs::assembly::as_csv(job)),
        file("assembly.json", outputs::assembly::as_json(job)),
        file("assembly.html", outputs::assembly::page(job)),
        file("messages.txt", outputs::messages::text(job, PAGE)),
    ]
}

/// Hands on the sheets of one kind as they are made.
type Sheets = fn(&Job, &mut dyn FnMut(Sheet));

/// The folders of a build that hold drawings.
const DRAWINGS: [(&str, Sheets); 4] = [
    ("holes/", outputs::holes::each),
    ("elevations/", outputs::elevations::each),
    ("apart/", outputs::apart::each),
    ("walls/", outputs::walls::each),
];

/// The elevations of boxes, then those of walls.
fn views(job: &Job, take: &mut dyn FnMut(Sheet)) {
    outputs::elevations::each(job, take);
    outputs::walls::each(job, take);
}

/// A file's name for a sheet that no other has yet.
pub(super) fn free_name(sheet: &str, taken: &mut BTreeSet<String>) -> String {
    let stem = writing::file_name(sheet);
    let mut name = stem.clone();
    let mut count = 1;
    // Some disks take `a.svg` and `A.svg` for one file.
    while !taken.insert(name.to_lowercase()) {
        count += 1;
        name = format!("{stem}-{count}");
    }
    name
}

/// Hands on the files of some sheets, one at a time: a large job has more of them than memory should
/// hold. A second sheet of one name, letters alike or not, gets a number. Gives how many there were.
fn sheet_files(job: &Job, lead: &str, sheets: Sheets, take: &mut writing::Take) -> Result<usize, Failure> {
    let mut taken = BTreeSet::new();
    let mut done = Ok(());
    sheets(job, &mut |sheet| {
        if done.is_err() {
            return;
        }
        let name = free_name(&sheet.name, &mut taken);
        done = take(OutFile { path: format!("{lead}{name}.svg"), text: sheet.svg });
    });
    done.map(|()| taken.len())
}

/// Writes a file for each sheet into a folder of their own.
fn write_sheets(job: &Job, sheets: Sheets, out: &Path) -> Result<u8, Failure> {
    let mut count = 0;
    let ours = |path: &str| !path.contains('/') && path.ends_with(".svg");
    writing::folder(out, ours, |take| {
        count = sheet_files(job, "", sheets, take)?;
        Ok(())
    })?;
    to_stderr(&format!("wrote {} to {}\n", outputs::words::count(count, "sheet", "sheets"), out.display()));
    Ok(FINE)
}

fn build(job: &Job, out: &Path) -> Result<u8, Failure> {
    let lists = lists(job);
    let names: BTreeSet<String> = lists.iter().map(|f| f.path.clone()).collect();
    let ours = |path: &str| {
        let sheet = DRAWINGS.iter().any(|(f, _)| path.starts_with(f)) && path.ends_with(".svg");
        sheet || names.contains(path)
    };
    let mut count = lists.len();
    writing::folder(out, ours, |take| {
        lists.into_iter().try_for_each(&mut *take)?;
        for (lead, sheets) in DRAWINGS {
            count += sheet_files(job, lead, sheets, take)?;
        }
        Ok(())
    })?;
    to_stderr(&format!("wrote {count} files to {}\n", out.display()));
    Ok(FINE)
}

//! `fmt`: files in the one style.

use super::Failure;
use super::cli::Messages;
use super::run::{DESIGN_HAS_ERRORS, FINE, Pages, failed, open, to_stderr, to_stdout};
use super::writing;
use crate::diagnostics::Diagnostic;
use crate::sources::{Files, LARGEST_FILE, ReadFault, Sources};
use crate::syntax::{Formatted, format, parse};
use std::collections::BTreeSet;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Formats files, folders of them, or standard input. With `check` nothing is written: the files that
/// would change are listed. A file that cannot be read or written does not keep the others from it.
pub(super) fn run(files: &[PathBuf], check: bool, form: Messages) -> Result<u8, Failure> {
    let mut pages = Pages::new(form);
    if files.iter().any(|f| f.as_os_str() == "-") {
        if files.len() > 1 {
            return Err(Failure::usage(
                "`-` is standard input and stands alone; a file of that name is `./-`",
            ));
        }
        let text = standard_input()?;
        let done = format(&text);
        let faulty = told(&mut pages, "-", &text, &done);
        let changed = done.text != text;
        if !check {
            to_stdout(&done.text)?;
        } else if changed {
            to_stdout("-\n")?;
        }
        pages.finish(false);
        return Ok(if faulty || (check && changed) { DESIGN_HAS_ERRORS } else { FINE });
    }
    let mut status = FINE;
    let (mut changed, mut seen, mut failures) = (0, 0, Vec::new());
    for found in all(files) {
        let done = found.and_then(|path| {
            seen += 1;
            one(&path, check, &mut pages)
        });
        match done {
            Ok((differs, faulty)) => {
                changed += usize::from(differs);
                if faulty || (check && differs) {
                    status = DESIGN_HAS_ERRORS;
                }
            }
            Err(failure) => {
                status = failure.status;
                failures.push(failed(&failure));
            }
        }
    }
    if !failures.is_empty() {
        status = 3;
    }
    pages.add(&Sources::new(), &failures);
    if form == Messages::Human && !check && changed > 0 {
        to_stderr(&format!("{changed} of {} changed\n", crate::outputs::words::count(seen, "file", "files")));
    }
    pages.finish(false);
    Ok(status)
}

/// One file: whether its text is not in the style, and whether it has faults of syntax.
fn one(path: &Path, check: bool, pages: &mut Pages) -> Result<(bool, bool), Failure> {
    let (folder, name) = open(path)?;
    let fail =
        |why: ReadFault| Failure::new("not-read", format!("`{}` could not be read: {why}", path.display()));
    let text = folder.read(&name).map_err(fail)?;
    let done = format(&text);
    let faulty = told(pages, &path.display().to_string(), &text, &done);
    let differs = done.text != text;
    match (differs, check) {
        (true, true) => to_stdout(&format!("{}\n", path.display()))?,
        (true, false) => writing::replace(path, &text, &done.text).map(|()| FINE)?,
        _ => FINE,
    };
    Ok((differs, faulty))
}

/// Prints the faults of syntax of a text; what holds them was left as it was.
fn told(pages: &mut Pages, name: &str, text: &str, done: &Formatted) -> bool {
    if done.faulty {
        let mut sources = Sources::new();
        let id = sources.add(name, text, false);
        let (_, messages): (_, Vec<Diagnostic>) = parse(&sources, id);
        pages.add(&sources, &messages);
    }
    done.faulty
}

fn standard_input() -> Result<String, Failure> {
    let fail = |why: String| Failure::new("not-read", format!("standard input could not be read: {why}"));
    let mut bytes = Vec::new();
    let most = LARGEST_FILE * 1024 * 1024;
    std::io::stdin().lock().take(most + 1).read_to_end(&mut bytes).map_err(|e| fail(e.kind().to_string()))?;
    if bytes.len() as u64 > most {
        return Err(fail(ReadFault::TooLarge(LARGEST_FILE).to_string()));
    }
    String::from_utf8(bytes).map_err(|e| fail(ReadFault::NotText(e.utf8_error().valid_up_to()).to_string()))
}

/// The files named and those in the folders named, each once.
fn all(named: &[PathBuf]) -> Vec<Result<PathBuf, Failure>> {
    let mut seen = BTreeSet::new();
    let mut out = Vec::new();
    for path in named {
        if !path.is_dir() {
            if seen.insert(path.clone()) {
                out.push(Ok(path.clone()));
            }
            continue;
        }
        let mut found = Vec::new();
        if let Err(failure) = below(path, &mut found) {
            out.push(Err(failure));
        } else if found.is_empty() {
            out.push(Err(Failure::new(
                "not-read",
                format!("there is no `*.aum` file below `{}`", path.display()),
            )));
        }
        out.extend(found.into_iter().filter(|f| seen.insert(f.clone())).map(Ok));
    }
    out
}

/// The `*.aum` files below a folder in the order of their names; hidden folders and links to folders are
/// passed over.
fn below(folder: &Path, found: &mut Vec<PathBuf>) -> Result<(), Failure> {
    let fail = |e: std::io::Error| {
        Failure::new("not-read", format!("`{}` could not be read: {}", folder.display(), e.kind()))
    };
    let mut entries: Vec<fs::DirEntry> =
        fs::read_dir(folder).map_err(fail)?.collect::<Result<_, _>>().map_err(fail)?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = entry.path();
        if entry.file_type().map_err(fail)?.is_dir() {
            if !entry.file_name().as_encoded_bytes().starts_with(b".") {
                below(&path, found)?;
            }
        } else if path.extension().is_some_and(|e| e == "aum") && path.is_file() {
            found.push(path);
        }
    }
    Ok(())
}

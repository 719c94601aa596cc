//! `aumbry explain`: what a code means.

use super::Failure;
use super::cli::ExplainForm;
use super::run::{Pages, Session, open, stdout_width, to_stdout};
use crate::diagnostics::{nearest, pages};
use crate::evaluation::{self, library};
use crate::job::described::{Described, Rule, describe};
use crate::outputs::explain::{self, Meaning};
use crate::sources::Sources;
use crate::syntax;
use std::path::Path;

/// What every module of the library defines.
pub(super) fn library_described() -> Vec<Described> {
    let mut sources = Sources::new();
    let modules = library::modules().map(|name| {
        let file = sources.add(name, library::text(name).unwrap_or(""), true);
        let (tree, _) = syntax::parse(&sources, file);
        describe(&sources, &tree, name, name)
    });
    modules.collect()
}

/// Prints the page of a code, or the list of all.
pub(super) fn run(
    session: &Session,
    code: Option<&str>,
    within: Option<&Path>,
    form: ExplainForm,
) -> Result<u8, Failure> {
    let mut files = match within {
        Some(file) => own_files(session, file)?,
        None => Vec::new(),
    };
    // A file that cannot be read as a whole still has its other rules; its messages are for `check`.
    files.extend(library_described());
    let Some(code) = code else {
        let pages = pages::pages();
        return to_stdout(&match form {
            ExplainForm::Text => explain::list(&pages, &files, stdout_width()),
            ExplainForm::Json => explain::list_json(&pages, &files),
        });
    };
    let meaning = find(code, &files)?;
    to_stdout(&match form {
        ExplainForm::Text => explain::meaning(&meaning, stdout_width()),
        ExplainForm::Json => explain::meaning_json(&meaning),
    })
}

/// The rules of a file and of the files of one's own that it brings in.
fn own_files(session: &Session, file: &Path) -> Result<Vec<Described>, Failure> {
    let (folder, name) = open(file)?;
    let (program, diagnostics) = evaluation::load(&folder, &name);
    let mut told = Pages::new(session.messages);
    told.add(&program.sources, &diagnostics);
    told.finish(false);
    let own = program.modules.iter().filter(|m| !m.library);
    Ok(own.map(|m| describe(&program.sources, &m.tree, &m.path, &m.prefix)).collect())
}

fn find<'a>(code: &str, files: &'a [Described]) -> Result<Meaning<'a>, Failure> {
    let rules = explain::rules(files);
    let of = |test: &dyn Fn(&Rule) -> bool| -> Vec<&'a Rule> {
        rules.iter().copied().filter(|r| test(r)).collect()
    };
    let exact = of(&|r| r.code == code);
    if !exact.is_empty() {
        return Ok(Meaning::Rules(exact));
    }
    if let Some(page) = pages::page(code) {
        return Ok(Meaning::Page(page));
    }
    // Without what stands before it, as in the file of the rule itself.
    let short = of(&|r| r.word() == code);
    if !short.is_empty() {
        return Ok(Meaning::Rules(short));
    }
    let own: Vec<&'static str> = pages::pages().iter().map(|p| p.code).collect();
    let known = rules.iter().flat_map(|r| [r.code.as_str(), r.word()]).chain(own);
    let mut failure = Failure::usage(format!("there is no code `{code}`"));
    let word = code.rsplit('.').next().unwrap_or(code);
    let mut near: Vec<&str> = Vec::new();
    let mut left: Vec<&str> = known.collect();
    while near.len() < MOST_NEAR {
        let found = nearest(code, left.iter().copied()).or_else(|| nearest(word, left.iter().copied()));
        let Some(found) = found else { break };
        left.retain(|n| *n != found);
        near.push(found);
    }
    if !near.is_empty() {
        let quoted: Vec<String> = near.iter().map(|n| format!("`{n}`")).collect();
        failure = failure.help(format!("did you mean {}?", quoted.join(" or ")));
    }
    let more = "`aumbry explain` alone lists all codes; `--in FILE` adds the rules of a file of yours";
    Err(failure.help(more))
}

/// How many near codes are named.
const MOST_NEAR: usize = 3;

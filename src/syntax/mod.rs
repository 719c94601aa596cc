//! From text to a tree and messages; reading never fails as a whole.

mod build;
mod conflicts;
mod definitions;
mod expressions;
mod format;
mod grammar;
mod literals;
mod marks;
mod messages;
mod names;
mod placing;
mod recover;
mod scan;
mod starts;
pub mod tree;

pub use format::{Formatted, format};
pub use names::Name;
pub use scan::NESTING;

use crate::diagnostics::Diagnostic;
use crate::sources::{FileId, Sources};
use build::Builder;
use grammar::Rule;
use recover::Recovery;

/// Reads one file. What could not be read is `Broken` in the tree and has a message of its own.
///
/// Nesting up to the limit takes some MiB of stack; on a thread with less, what nests too deep for
/// it is a message as well.
pub fn parse(sources: &Sources, file: FileId) -> (tree::File, Vec<Diagnostic>) {
    read(&mut scan::scan(file, &sources.file(file).text))
}

/// Reads some stretches of a file, each made of whole items; spans are those of the whole file. Meant
/// for the library, of which a design names little. A stretch that cannot be read has the whole file read.
pub fn parse_some(
    sources: &Sources,
    file: FileId,
    stretches: &[std::ops::Range<usize>],
) -> (tree::File, Vec<Diagnostic>) {
    let text = &sources.file(file).text;
    let head = text.find('\n').map_or(text.len(), |end| end + 1);
    let mut some = vec![b' '; text.len()];
    for stretch in std::iter::once(&(0..head)).chain(stretches) {
        let start = stretch.start.saturating_sub(1);
        // With the end of the line before: a stretch starts a line of its own.
        let (Some(to), Some(from)) =
            (some.get_mut(start..stretch.end), text.as_bytes().get(start..stretch.end))
        else {
            return parse(sources, file);
        };
        to.copy_from_slice(from);
    }
    let Ok(some) = String::from_utf8(some) else { return parse(sources, file) };
    let mut scan = scan::scan(file, &some);
    if !scan.faults.is_empty() {
        return parse(sources, file);
    }
    let mut messages = Vec::new();
    let (version, _) = version(&scan, &mut messages);
    let mut builder = Builder::new(&scan);
    let mut items = Vec::new();
    for stretch in stretches {
        builder.base = stretch.start;
        match grammar::read(Rule::file, scan.text.get(stretch.clone()).unwrap_or("")) {
            Ok(pairs) => items.extend(pairs.flat_map(|p| builder.statements(p.into_inner()))),
            Err(_) => return parse(sources, file),
        }
    }
    messages.append(&mut builder.messages);
    let trivia = std::mem::take(&mut scan.trivia);
    (tree::File { id: file, version, doc: Vec::new(), items, trivia, broken: Vec::new() }, messages)
}

fn read(scan: &mut scan::Scan) -> (tree::File, Vec<Diagnostic>) {
    let mut messages = std::mem::take(&mut scan.faults);
    let (version, first) = version(scan, &mut messages);
    let start = scan.token_span(first).start as usize;
    let mut builder = Builder::new(scan);
    builder.base = start;
    let mut matched = true;
    let mut items = match grammar::read(Rule::file, scan.text.get(start..).unwrap_or("")) {
        Ok(pairs) => pairs.flat_map(|p| builder.statements(p.into_inner())).collect(),
        Err(_) => {
            let mut recovery = Recovery::new(&mut builder);
            let items = recovery.file(first);
            matched = !recovery.unmatched;
            items
        }
    };
    messages.append(&mut builder.messages);
    let mut misplaced = Vec::new();
    placing::check(&mut items, &mut misplaced);
    // Where braces do not match, where a statement stands is only a guess.
    if matched {
        messages.append(&mut misplaced);
    }
    messages.sort_by_key(|m| m.span());
    let more = messages.len().saturating_sub(recover::MOST_MESSAGES);
    messages.truncate(recover::MOST_MESSAGES);
    if let (1.., Some(last)) = (more, messages.last_mut()) {
        last.notes.push(format!("{more} more faults in this file are not shown."));
    }
    let mut names = Vec::new();
    broken_names(scan, &items, &mut names);
    let doc = scan.file_doc();
    let trivia = std::mem::take(&mut scan.trivia);
    (tree::File { id: scan.file, version, doc, items, trivia, broken: names }, messages)
}

fn broken_names(scan: &scan::Scan, items: &[tree::Stmt], names: &mut Vec<tree::Ident>) {
    use tree::{DefBody, StmtKind};
    for s in items {
        let blocks = match &s.kind {
            StmtKind::Broken => {
                names.extend(recover::names_of(scan, s.span.start as usize, s.span.end as usize));
                continue;
            }
            StmtKind::Def(d) => match &d.body {
                DefBody::Block(b) | DefBody::Derived(_, b) => [Some(b), None],
                DefBody::Value(..) => continue,
            },
            StmtKind::Place(p) => [Some(&p.extras), None],
            StmtKind::For(f) => [Some(&f.body), None],
            StmtKind::If(i) => [Some(&i.then), i.otherwise.as_ref()],
            StmtKind::Test(t) => [Some(&t.body), None],
            _ => continue,
        };
        for b in blocks.into_iter().flatten() {
            broken_names(scan, &b.stmts, names);
        }
    }
}

/// Line one, `aumbry 1`, and the token with which the statements start.
fn version(
    scan: &scan::Scan,
    messages: &mut Vec<Diagnostic>,
) -> (Option<(u32, crate::sources::Span)>, usize) {
    let start = scan.tokens.first().map_or(0, |t| t.start);
    if scan.word(0) != "aumbry" {
        let at = scan.span(start, start);
        let (code, say) = if scan.tokens.is_empty() {
            ("empty-file", "There is nothing in this file.")
        } else {
            ("missing-version", "The first line says which version of the language the file is written in.")
        };
        messages.push(
            Diagnostic::error(code, say, at, "the first line").help("Write `aumbry 1` as the first line."),
        );
        // A line that was meant to say it is passed over.
        let number = |t: usize| scan.tokens.get(t).is_some_and(|t| t.kind == scan::TokenKind::Number);
        let ends = |t: usize| scan.tokens.get(t).is_none_or(|t| t.first);
        let meant = if number(0) && ends(1) {
            1
        } else if number(1) && ends(2) {
            2
        } else {
            0
        };
        return (None, meant);
    }
    let word = scan.token_span(0);
    match scan.word(1).parse::<u32>() {
        Ok(number) => {
            let span = scan.token_span(1);
            if number != 1 {
                messages.push(
                    Diagnostic::error(
                        "wrong-version",
                        format!("This compiler reads version 1 of the language, not {number}."),
                        span,
                        "unknown version",
                    )
                    .help("Write `aumbry 1`, or use a newer compiler."),
                );
            }
            (Some((number, word.to(span))), 2)
        }
        Err(_) => {
            messages.push(
                Diagnostic::error(
                    "wrong-version",
                    "The version is missing.",
                    word.after(),
                    "`1` belongs here",
                )
                .help("Write `aumbry 1` as the first line."),
            );
            (None, 1)
        }
    }
}

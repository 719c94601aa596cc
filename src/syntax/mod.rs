//! From text to a tree and messages; reading never fails as a whole.

mod build;
mod expressions;
mod grammar;
mod marks;
mod names;
mod scan;
pub mod tree;

pub use names::Name;
pub use scan::NESTING;

use crate::diagnostics::Diagnostic;
use crate::sources::{FileId, Sources};
use build::Builder;
use grammar::Rule;

/// Reads one file. What could not be read is `Broken` in the tree and has a message of its own.
pub fn parse(sources: &Sources, file: FileId) -> (tree::File, Vec<Diagnostic>) {
    let mut scan = scan::scan(file, &sources.file(file).text);
    let mut messages = std::mem::take(&mut scan.faults);
    let (version, start) = version(&scan, &mut messages);
    let mut builder = Builder::new(&scan);
    builder.base = start;
    let items = match grammar::read(Rule::file, scan.text.get(start..).unwrap_or("")) {
        Ok(pairs) => pairs.flat_map(|p| builder.statements(p.into_inner())).collect(),
        Err(fault) => {
            let at = match fault.location {
                pest::error::InputLocation::Pos(p) | pest::error::InputLocation::Span((p, _)) => start + p,
            };
            messages.push(Diagnostic::error(
                "syntax",
                format!("This cannot be read: {}", fault.variant.message()),
                scan.span(at, at),
                "here",
            ));
            Vec::new()
        }
    };
    messages.append(&mut builder.messages);
    let doc = scan.file_doc();
    (tree::File { id: file, version, doc, items, trivia: scan.trivia }, messages)
}

/// Line one, `aumbry 1`, and where the statements start.
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
        return (None, start);
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
            (Some((number, word.to(span))), span.end as usize)
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
            (None, word.end as usize)
        }
    }
}

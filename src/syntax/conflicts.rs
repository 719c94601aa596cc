//! Lines that a merge left between two versions of a text: `<<<<<<<`, `|||||||`, `=======`, `>>>>>>>`.

use super::scan::Scanner;
use crate::diagnostics::Diagnostic;
use std::ops::Range;

/// A code of its own, since what is wrong is no statement.
pub(super) const CODE: &str = "conflict-marker";

/// What stands at a line that a merge left.
pub(super) struct Conflict {
    /// The end of that line.
    pub end: usize,
    /// The lines from the end of the upper version to the end of all.
    pub other: Option<Range<usize>>,
    pub message: Diagnostic,
}

/// The end of a line that starts at a byte, and the sign it is made of, if a merge left it.
fn marker(s: &Scanner, at: usize) -> Option<(usize, u8)> {
    let sign = s.byte(at);
    let all = matches!(sign, b'<' | b'=' | b'>' | b'|') && (at..at + 7).all(|i| s.byte(i) == sign);
    let end = s.run_of(at, |b| b != b'\n');
    let end = if s.slice(at, end).ends_with('\r') { end - 1 } else { end };
    let apart = at + 7 == end || (at + 7 < end && s.byte(at + 7) == b' ');
    (all && apart).then_some((end, sign))
}

/// What a merge left at the start of a line.
pub(super) fn find(s: &Scanner, at: usize) -> Option<Conflict> {
    let (end, sign) = marker(s, at)?;
    let help = "Keep the lines that are right, and delete the other ones and those that start with `<<<<<<<`, \
                `=======` and `>>>>>>>`.";
    let whole = if sign == b'<' { other(s, end) } else { None };
    let message = match &whole {
        Some(other) => Diagnostic::error(
            CODE,
            "A merge left two versions of these lines.",
            s.span(at, end),
            "the one version starts here",
        )
        .label(s.span(other.start, s.run_of(other.start, |b| b != b'\n')), "here it ends")
        .label(s.span(last_line(s, other), other.end), "the other one ends here"),
        None => Diagnostic::error(CODE, "A merge left this line.", s.span(at, end), "no part of the text"),
    };
    Some(Conflict { end, other: whole, message: message.help(help) })
}

/// From the line that ends the upper version to the line that ends the lower one.
fn other(s: &Scanner, from: usize) -> Option<Range<usize>> {
    let mut start = None;
    let mut at = from;
    while at < s.text.len() {
        at = s.run_of(at, |b| b != b'\n') + 1;
        match (marker(s, at), start) {
            (Some((_, b'|' | b'=')), None) => start = Some(at),
            (Some((end, b'>')), Some(start)) => return Some(start..end),
            (Some((_, b'<' | b'>')), _) => return None,
            _ => {}
        }
    }
    None
}

fn last_line(s: &Scanner, lines: &Range<usize>) -> usize {
    s.slice(lines.start, lines.end).rfind('\n').map_or(lines.start, |n| lines.start + n + 1)
}

//! One style for every file: from text to text, by the tree, the tokens and what stands between them.
//!
//! Tokens and comments keep their order and their bytes; only blanks and ends of lines change, and a comma goes
//! that stands before a closing bracket or ends a field's line. A line is broken where the maker broke it, if that is a place where lines may break, and where it would be too long.
//! A stretch that cannot be read is left as it is.

mod columns;
mod hints;
mod layout;
mod outline;
mod write;

use super::{read, scan};
use crate::sources::FileId;

/// Lines are at most so long, where their texts and comments allow it.
pub const WIDTH: usize = 120;

/// A text in the one style.
#[derive(Debug)]
pub struct Formatted {
    pub text: String,
    /// The text has faults of syntax; what holds them was left as it is.
    pub faulty: bool,
}

/// How much of what surrounds a fault is left as it is.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Keep {
    /// The innermost statement.
    Statement,
    /// The whole outermost statement.
    Item,
}

/// Puts a text into the one style: ends of lines as `\n`, no byte order mark, one end of line at its end.
///
/// Formatting the result again changes nothing.
pub fn format(text: &str) -> Formatted {
    let text = &plain(text);
    let first = once(text, Keep::Statement);
    if !first.faulty {
        return first;
    }
    // Where statements end that cannot be read is guessed by where lines start, which is what is being
    // changed: the result is taken only if it is read as the text was.
    if settled(text, &first.text, Keep::Statement) {
        return first;
    }
    let whole = once(text, Keep::Item);
    if settled(text, &whole.text, Keep::Item) {
        let again = once(&whole.text, Keep::Statement);
        let text = match settled(&whole.text, &again.text, Keep::Statement) {
            true => again.text,
            false => whole.text,
        };
        return Formatted { text, faulty: true };
    }
    Formatted { text: text.clone(), faulty: true }
}

/// Without a byte order mark, every line ended by `\n` alone.
fn plain(text: &str) -> String {
    text.strip_prefix('\u{feff}').unwrap_or(text).replace("\r\n", "\n")
}

fn once(text: &str, keep: Keep) -> Formatted {
    let mut scanned = scan::scan(FileId(0), text);
    let (file, messages) = read(&mut scanned);
    let hints = hints::Hints::new(&scanned, &file, &messages);
    let outline = outline::outline(text, &scanned, &file, &hints, keep);
    let (lines, dropped) = write::lines(text, &scanned, &file, &hints, &outline);
    let out = columns::text(lines);
    let seen = |c: &u8| !matches!(c, b' ' | b'\t' | b'\r' | b'\n' | b',');
    let commas = |text: &str| text.bytes().filter(|b| *b == b',').count();
    let same =
        commas(text) == commas(&out) + dropped && text.bytes().filter(seen).eq(out.bytes().filter(seen));
    // Nothing is ever lost, whatever else may be wrong.
    let out = if same { out } else { text.to_string() };
    Formatted { text: out, faulty: !messages.is_empty() }
}

/// True where a result says the same as the text, and stays as it is.
fn settled(text: &str, out: &str, keep: Keep) -> bool {
    let said = |text: &str| {
        let mut scanned = scan::scan(FileId(0), text);
        let (file, messages) = read(&mut scanned);
        let hints = hints::Hints::new(&scanned, &file, &messages);
        // Commas may go that mean nothing; all else is counted without them.
        let mut tokens: Vec<String> = Vec::new();
        let mut places = Vec::new();
        for t in 0..scanned.tokens.len() {
            places.push(tokens.len());
            if scanned.word(t) != "," {
                tokens.push(scanned.word(t).to_string());
            }
        }
        let place = |t: usize| places.get(t).copied().unwrap_or(tokens.len());
        let faults: Vec<_> = hints
            .faults
            .iter()
            .map(|f| (place(scanned.token_at(f.start)), place(scanned.token_at(f.end))))
            .collect();
        let statements: Vec<_> = hints.extents.iter().map(|e| (place(e.start), place(e.end))).collect();
        let messages: Vec<_> = messages.iter().map(|m| (m.code.clone(), m.message.clone())).collect();
        (tokens, statements, faults, messages)
    };
    said(text) == said(out) && once(out, keep).text == out
}

/// How wide a text stands in a line.
fn width(text: &str) -> usize {
    if text.is_ascii() { text.len() } else { unicode_width::UnicodeWidthStr::width(text) }
}

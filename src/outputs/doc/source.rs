//! Text of the language on a page: comments and texts told apart, lines with anchors.

use crate::diagnostics::visible;
use maud::{Markup, html};

/// What a stretch of a line is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Tone {
    Plain,
    Comment,
    Text,
    Word,
}

/// Words that open statements or hold expressions together.
const WORDS: &[&str] = &[
    "use", "def", "box", "joint", "fitting", "board", "band", "item", "fn", "wall", "row", "obstacle", "let",
    "part", "pair", "space", "envelope", "for", "in", "where", "if", "then", "else", "require", "warn",
    "accept", "test", "expect", "error", "warning", "house", "field", "of", "along", "after", "before", "at",
    "mirrored", "loose", "proud", "and", "or", "not", "none", "yes", "no", "share", "number", "gap", "to",
];

/// A line cut into stretches.
fn tones(line: &str) -> Vec<(Tone, &str)> {
    let mut found = Vec::new();
    let mut rest = line;
    while let Some(first) = rest.chars().next() {
        let (tone, end) = if rest.starts_with("//") {
            (Tone::Comment, rest.len())
        } else if first == '"' {
            let close = rest.get(1..).and_then(|r| r.find('"')).map_or(rest.len(), |at| at + 2);
            (Tone::Text, close)
        } else if first.is_alphabetic() || first == '_' {
            let end = rest.find(|c: char| !(c.is_alphanumeric() || c == '_')).unwrap_or(rest.len());
            let word = rest.get(..end).unwrap_or("");
            // `board:` is a label, `along(` a name and `house.board` a member.
            let after = rest.get(end..).unwrap_or("");
            let label =
                after.starts_with([':', '(', ')', ',']) || after.starts_with('.') && !after.starts_with("..");
            let member =
                found.last().is_some_and(|(_, p): &(Tone, &str)| p.ends_with('.') && !p.ends_with(".."));
            let is_word = WORDS.contains(&word) && !label && !member;
            (if is_word { Tone::Word } else { Tone::Plain }, end)
        } else {
            let next = rest.char_indices().skip(1).find(|(at, c)| {
                c.is_alphabetic()
                    || *c == '_'
                    || *c == '"'
                    || rest.get(*at..).is_some_and(|r| r.starts_with("//"))
            });
            let end = next.map_or(rest.len(), |(at, _)| at);
            // A unit against its figure is no word.
            let digit = rest.get(..end).is_some_and(|p| p.ends_with(|c: char| c.is_ascii_digit()));
            let unit = rest.get(end..).and_then(|r| r.find(|c: char| !c.is_alphanumeric()));
            let tail = if digit { unit.unwrap_or(rest.len() - end) } else { 0 };
            (Tone::Plain, end + tail)
        };
        let end = end.max(first.len_utf8()).min(rest.len());
        found.push((tone, rest.get(..end).unwrap_or("")));
        rest = rest.get(end..).unwrap_or("");
    }
    found
}

fn toned(line: &str) -> Markup {
    html! {
        @for (tone, piece) in tones(line) {
            @match tone {
                Tone::Plain => (piece),
                Tone::Comment => span.c { (piece) },
                Tone::Text => span.t { (piece) },
                Tone::Word => span.w { (piece) },
            }
        }
    }
}

/// Lines as they stand in their file, from line `from` on, each with its number.
pub fn lines(text: &str, from: usize) -> Markup {
    let text = visible(text);
    html! {
        pre.source {
            @for (n, line) in text.lines().enumerate() {
                @let number = from + n;
                span.line id=(format!("L{number}")) { a href=(format!("#L{number}")) { (number) } (toned(line)) "\n" }
            }
        }
    }
}

/// An example.
pub fn example(text: &str) -> Markup {
    let text = visible(text);
    html! { pre { @for line in text.lines() { (toned(line)) "\n" } } }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn told(line: &str) -> Vec<(Tone, &str)> {
        let found = tones(line);
        assert_eq!(found.iter().map(|(_, p)| *p).collect::<String>(), line);
        found.into_iter().filter(|(tone, _)| *tone != Tone::Plain).collect()
    }

    #[test]
    fn a_line_is_cut_into_what_it_says() {
        assert_eq!(
            told("  part a of board along x { x: after left }  // ends"),
            [
                (Tone::Word, "part"),
                (Tone::Word, "of"),
                (Tone::Word, "board"),
                (Tone::Word, "along"),
                (Tone::Word, "after"),
                (Tone::Comment, "// ends")
            ]
        );
        assert_eq!(told("buy(house.board, note: \"a {b} // c\")"), [(Tone::Text, "\"a {b} // c\"")]);
        assert_eq!(told("3in + 3 7/16in + 2 share"), [(Tone::Word, "share")]);
    }

    #[test]
    fn any_line_keeps_all_its_characters() {
        for line in ["", "\"", "//", "é\"ü", "3", "3é", "a.", "..b", "\u{2028}x", "1mm\"x", "→ →"] {
            told(line);
        }
    }
}

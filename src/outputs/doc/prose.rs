//! Words of the text as markup: paragraphs, code in them, and links to what they name.

use super::Desk;
use crate::diagnostics::visible;
use crate::job::described::{Definition, Described, Reference};
use crate::outputs::explain::paragraphs;
use maud::{Markup, html};

/// Whose words they are: names are looked up from there.
#[derive(Clone, Copy)]
pub struct Voice<'a> {
    pub file: &'a Described,
    pub definition: Option<&'a Definition>,
}

impl Voice<'_> {
    /// The definition that a word means here.
    fn means(&self, word: &str) -> Option<Reference> {
        let own = self.file.definitions.iter().find(|d| d.name == word);
        if let Some(d) = own {
            return Some(Reference { module: self.file.name.clone(), name: d.name.clone() });
        }
        let used = self.definition.into_iter().flat_map(|d| &d.uses).find(|r| r.name == word);
        used.cloned()
    }
}

/// Doc lines as paragraphs; the first leads.
pub fn doc(desk: &Desk, voice: Voice, lines: &[String]) -> Markup {
    let all = paragraphs(lines);
    html! {
        @for (n, words) in all.iter().enumerate() {
            p class=[(n == 0).then_some("lead")] { (inline(desk, voice, words)) }
        }
    }
}

/// The first sentence of doc lines.
pub fn sentence(lines: &[String]) -> String {
    let first = paragraphs(lines).into_iter().next().unwrap_or_default();
    let mut from = 0;
    // A stop ends a sentence only before a capital.
    while let Some(at) = first.get(from..).and_then(|rest| rest.find(". ")) {
        let end = from + at + 1;
        let next = first.get(end..).and_then(|r| r.trim_start().chars().next());
        if next.is_none_or(|c| !c.is_lowercase()) {
            return first.get(..end).unwrap_or(&first).to_string();
        }
        from = end;
    }
    first
}

/// Words on one line, with code between backticks and links on names of files.
pub fn inline(desk: &Desk, voice: Voice, words: &str) -> Markup {
    let words = visible(words);
    let mut pieces: Vec<(bool, &str)> = Vec::new();
    for (n, piece) in words.split('`').enumerate() {
        pieces.push((n % 2 == 1, piece));
    }
    // An odd mark opens nothing.
    if pieces.len() % 2 == 0 {
        return html! { (words) };
    }
    html! {
        @for (is_code, piece) in pieces {
            @if is_code { (code(desk, voice, piece)) } @else { (strong(desk, piece)) }
        }
    }
}

/// A piece of code in a sentence; a link where it names a definition, alone or with arguments.
pub fn code(desk: &Desk, voice: Voice, text: &str) -> Markup {
    let word = text.trim();
    let link = voice.means(word).and_then(|r| desk.links.definition(&r).map(str::to_string));
    html! {
        @match link {
            Some(link) => a href=(link) { code { (text) } },
            None => code { (text) },
        }
    }
}

/// Words without code; what stands between two pairs of stars is strong.
fn strong(desk: &Desk, text: &str) -> Markup {
    let pieces: Vec<&str> = text.split("**").collect();
    let paired = pieces.len() % 2 == 1;
    html! {
        @if paired {
            @for (n, piece) in pieces.iter().enumerate() {
                @if n % 2 == 1 { strong { (plain(desk, piece)) } } @else { (plain(desk, piece)) }
            }
        } @else {
            (plain(desk, text))
        }
    }
}

/// Words without code; `std.boxes` leads to the page of that file.
fn plain(desk: &Desk, text: &str) -> Markup {
    let mut pieces: Vec<(Option<&str>, &str)> = Vec::new();
    let mut rest = text;
    while let Some(at) = rest.find("std.") {
        let tail = rest.get(at..).unwrap_or("");
        let end =
            tail.find(|c: char| !(c.is_ascii_alphanumeric() || c == '_' || c == '.')).unwrap_or(tail.len());
        let word = tail.get(..end).unwrap_or("").trim_end_matches('.');
        pieces.push((None, rest.get(..at).unwrap_or("")));
        pieces.push((desk.links.module(word), word));
        rest = tail.get(word.len().max(1)..).unwrap_or("");
    }
    pieces.push((None, rest));
    html! {
        @for (link, piece) in pieces {
            @match link { Some(link) => a href=(link) { (piece) }, None => (piece) }
        }
    }
}

/// A message with its expressions set apart.
pub fn message(text: &str) -> Markup {
    let text = visible(text);
    let mut pieces: Vec<(bool, &str)> = Vec::new();
    let mut rest: &str = &text;
    while let Some((before, after)) = rest.split_once('{') {
        pieces.push((false, before));
        let mut depth = 1;
        let end = after.char_indices().find(|(_, c)| {
            depth += match c {
                '{' => 1,
                '}' => -1,
                _ => 0,
            };
            depth == 0
        });
        let end = end.map_or(after.len(), |(at, _)| at);
        pieces.push((true, after.get(..end).unwrap_or("")));
        rest = after.get(end + 1..).unwrap_or("");
    }
    pieces.push((false, rest));
    // What stands between backticks is code; one that opens nothing is itself.
    let marks: usize =
        pieces.iter().filter(|(is_value, _)| !is_value).map(|(_, p)| p.matches('`').count()).sum();
    let mut coded = false;
    let mut laid: Vec<(bool, bool, &str)> = Vec::new();
    for (is_value, piece) in pieces {
        if is_value || marks % 2 == 1 {
            laid.push((is_value, false, piece));
            continue;
        }
        for (n, part) in piece.split('`').enumerate() {
            coded ^= n > 0;
            if !part.is_empty() {
                laid.push((false, coded, part));
            }
        }
    }
    html! {
        @for (is_value, is_code, piece) in laid {
            @if is_value { var { "{" (piece) "}" } } @else if is_code { code { (piece) } } @else { (piece) }
        }
    }
}

/// A definition by its name, as a link where it has a place in the book; else with its file.
pub fn reference(desk: &Desk, of: &Reference) -> Markup {
    html! {
        @match desk.links.definition(of) {
            Some(link) => a href=(link) { code { (of.name) } },
            None => { code { (of.name) } " (" (of.module) ")" },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn expressions_and_code_of_a_message_stand_apart() {
        let laid = |text: &str| message(text).into_string();
        assert_eq!(laid("not {a + f({b})}!"), "not <var>{a + f({b})}</var>!");
        assert_eq!(laid("say `x: {y}` & go"), "say <code>x: </code><var>{y}</var> &amp; go");
        assert_eq!(laid("a ` alone {x"), "a ` alone <var>{x}</var>");
        assert_eq!(laid("a\u{202E}b"), "a&lt;U+202E&gt;b");
    }

    #[test]
    fn a_sentence_ends_before_a_capital() {
        let of = |text: &str| sentence(&[text.to_string()]);
        assert_eq!(of("A pin, 5 mm. It bears."), "A pin, 5 mm.");
        assert_eq!(of("one, e.g. this, and more"), "one, e.g. this, and more");
        assert_eq!(of(""), "");
    }
}

//! One pass over the bytes: tokens for recovery, comments and blank lines for the formatter, and
//! the faults of single tokens. Such a fault is overwritten in a copy of the text by something of
//! the same length that can be read, so that it costs nobody else their meaning or their span.

use super::conflicts;
use super::marks;
use super::tree::{Trivia, TriviaKind};
use crate::diagnostics::Diagnostic;
use crate::sources::{FileId, Span};
use std::collections::BTreeSet;

/// How deep brackets, expressions and `else if` may nest.
pub const NESTING: usize = 256;

/// What a token is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TokenKind {
    Word,
    Number,
    Text,
    Sign,
}

/// One token and where it stands.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Token {
    pub kind: TokenKind,
    pub start: usize,
    pub end: usize,
    /// Bytes from the start of its line.
    pub column: usize,
    /// The first token of its line.
    pub first: bool,
}

/// What one pass finds.
pub struct Scan {
    pub file: FileId,
    /// The text with faulty tokens overwritten; as long as the original.
    pub text: String,
    pub tokens: Vec<Token>,
    pub trivia: Vec<Trivia>,
    pub faults: Vec<Diagnostic>,
    /// Where overwritten tokens start; a number or text there has had its message.
    pub faulty: BTreeSet<usize>,
    /// Brackets nest deeper than is read.
    pub too_deep: bool,
}

impl Scan {
    /// The text of a token, as it will be read.
    pub fn word(&self, token: usize) -> &str {
        self.tokens.get(token).and_then(|t| self.text.get(t.start..t.end)).unwrap_or("")
    }

    /// A span of this file.
    pub fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.file, start, end)
    }

    /// The span of a token; the end of the text where there is none.
    pub fn token_span(&self, token: usize) -> Span {
        match self.tokens.get(token) {
            Some(t) => self.span(t.start, t.end),
            None => self.span(self.text.len(), self.text.len()),
        }
    }

    /// Index of the first token that starts at or after a byte.
    pub fn token_at(&self, byte: usize) -> usize {
        self.tokens.partition_point(|t| t.start < byte)
    }

    /// The end of the last token that starts before a byte; pest's rules may run on over blanks.
    pub fn trimmed(&self, byte: usize) -> usize {
        let next = self.token_at(byte);
        next.checked_sub(1).and_then(|i| self.tokens.get(i)).map_or(byte, |t| t.end.min(byte))
    }

    /// The `///` lines right above a byte, without the marks.
    pub fn doc_above(&self, byte: usize) -> Vec<String> {
        let mut lines = Vec::new();
        let mut from = byte;
        let next = self.trivia.partition_point(|t| (t.span.start as usize) < byte);
        for t in self.trivia.get(..next).unwrap_or(&[]).iter().rev() {
            let (start, end) = (t.span.start as usize, t.span.end as usize);
            if self.text.get(end..from).is_none_or(|gap| !gap.trim().is_empty()) {
                break;
            }
            if t.kind == TriviaKind::Doc {
                lines.push(comment_body(self.text.get(start..end).unwrap_or(""), "///"));
            }
            from = start;
        }
        lines.reverse();
        lines
    }

    /// The `//!` lines, without the marks.
    pub fn file_doc(&self) -> Vec<String> {
        let docs = self.trivia.iter().filter(|t| t.kind == TriviaKind::FileDoc);
        docs.filter_map(|t| self.text.get(t.span.start as usize..t.span.end as usize))
            .map(|text| comment_body(text, "//!"))
            .collect()
    }
}

fn comment_body(text: &str, mark: &str) -> String {
    let body = text.strip_prefix(mark).unwrap_or(text);
    body.strip_prefix(' ').unwrap_or(body).trim_end().to_string()
}

/// Scans a text.
pub fn scan(file: FileId, text: &str) -> Scan {
    let mut scanner = Scanner {
        file,
        text,
        bytes: text.as_bytes(),
        patched: None,
        at: 0,
        line: 0,
        first: true,
        depth: 0,
        too_deep: false,
        deep: None,
        other: None,
        out: Vec::with_capacity(text.len() / 5),
        trivia: Vec::new(),
        faults: Vec::new(),
        faulty: BTreeSet::new(),
    };
    scanner.run();
    let patched = scanner.patched.and_then(|bytes| String::from_utf8(bytes).ok());
    Scan {
        file,
        text: patched.unwrap_or_else(|| text.to_string()),
        tokens: scanner.out,
        trivia: scanner.trivia,
        faults: scanner.faults,
        faulty: scanner.faulty,
        too_deep: scanner.too_deep,
    }
}

pub(super) struct Scanner<'a> {
    file: FileId,
    pub(super) text: &'a str,
    pub(super) bytes: &'a [u8],
    patched: Option<Vec<u8>>,
    at: usize,
    line: usize,
    first: bool,
    depth: usize,
    too_deep: bool,
    /// Where nesting went too deep, while it is.
    deep: Option<usize>,
    /// The lines of a merge that are passed over: all but the upper version.
    other: Option<std::ops::Range<usize>>,
    out: Vec<Token>,
    trivia: Vec<Trivia>,
    faults: Vec<Diagnostic>,
    faulty: BTreeSet<usize>,
}

impl Scanner<'_> {
    pub(super) fn byte(&self, at: usize) -> u8 {
        self.bytes.get(at).copied().unwrap_or(b'\n')
    }

    pub(super) fn run_of(&self, mut at: usize, test: impl Fn(u8) -> bool) -> usize {
        while self.bytes.get(at).is_some_and(|b| test(*b)) {
            at += 1;
        }
        at
    }

    pub(super) fn span(&self, start: usize, end: usize) -> Span {
        Span::new(self.file, start, end)
    }

    pub(super) fn slice(&self, start: usize, end: usize) -> &str {
        self.text.get(start..end).unwrap_or("")
    }

    pub(super) fn place(&self) -> usize {
        self.at
    }

    fn run(&mut self) {
        if self.text.starts_with('\u{feff}') {
            self.overwrite(0, 3, b"   ");
            (self.at, self.line) = (3, 3);
        }
        self.blanks(true);
        while self.at < self.bytes.len() {
            let start = self.at;
            if self.first && start == self.line && self.byte(start).is_ascii_lowercase() {
                self.leave_deep();
            }
            match self.byte(start) {
                b'<' | b'=' | b'>' | b'|' if start == self.line && self.conflict(start) => {}
                b'/' if self.byte(start + 1) == b'/' => self.comment(),
                b'a'..=b'z' | b'A'..=b'Z' | b'_' => self.word(),
                b'0'..=b'9' => self.number(),
                b'"' => self.quoted(),
                b'!'..=b'~' => self.sign(),
                _ => self.strange(),
            }
            self.blanks(false);
        }
        self.leave_deep();
    }

    /// A line that a merge left: passed over. Of two versions between such lines the upper one is read.
    fn conflict(&mut self, start: usize) -> bool {
        if let Some(other) = self.other.take_if(|o| o.start == start) {
            self.pass_over(other);
            return true;
        }
        let Some(found) = conflicts::find(self, start) else { return false };
        self.fault(found.message, start);
        self.other = found.other;
        self.pass_over(start..found.end);
        true
    }

    fn pass_over(&mut self, lines: std::ops::Range<usize>) {
        let blank = |b: &u8| if *b == b'\n' { b'\n' } else { b' ' };
        let filler: Vec<u8> = self.bytes.get(lines.clone()).unwrap_or(&[]).iter().map(blank).collect();
        self.overwrite(lines.start, lines.end, &filler);
        self.at = lines.end;
    }

    /// Brackets that nest too deep and are never closed end where a line starts with a word.
    fn leave_deep(&mut self) {
        if let Some(from) = self.deep.take() {
            self.overwrite(from, self.at, &vec![b' '; self.at - from]);
            self.depth = 0;
        }
    }

    /// Skips white space and keeps empty lines.
    fn blanks(&mut self, opening: bool) {
        let start = self.at;
        let mut lines = usize::from(opening);
        let mut from = start;
        loop {
            match self.bytes.get(self.at) {
                Some(b' ' | b'\t' | b'\r') => self.at += 1,
                Some(b'\n') => {
                    self.at += 1;
                    lines += 1;
                    self.line = self.at;
                    self.first = true;
                    if lines == 1 {
                        from = self.at;
                    }
                }
                _ => break,
            }
        }
        if lines >= 2 && self.line > from {
            self.trivia.push(Trivia { kind: TriviaKind::Blank, span: self.span(from, self.line) });
        }
    }

    fn comment(&mut self) {
        let start = self.at;
        let end = self.run_of(start, |b| b != b'\n');
        let end = if end > start && self.byte(end - 1) == b'\r' { end - 1 } else { end };
        self.hidden_within(start, end);
        let body = self.slice(start, end);
        let kind = match body {
            _ if body.starts_with("//!") => TriviaKind::FileDoc,
            // After code on the same line `///` is an ordinary comment; so is a rule of slashes.
            _ if body.starts_with("///") && !body.starts_with("////") && self.first => TriviaKind::Doc,
            _ => TriviaKind::Comment,
        };
        self.trivia.push(Trivia { kind, span: self.span(start, end) });
        self.at = end;
    }

    fn word(&mut self) {
        let mut end = self.at;
        loop {
            end = self.run_of(end, |b| b.is_ascii_alphanumeric() || b == b'_');
            match self.text.get(end..).and_then(|rest| rest.chars().next()) {
                Some(c) if !c.is_ascii() && c.is_alphanumeric() => end += c.len_utf8(),
                _ => break,
            }
        }
        if !self.slice(self.at, end).is_ascii() {
            self.foreign_word(self.at, end);
        }
        self.push(TokenKind::Word, end);
    }

    /// A word with letters other than a to z: said once, and read as a name all the same.
    fn foreign_word(&mut self, start: usize, end: usize) {
        let word = self.slice(start, end).to_string();
        let plain: Vec<u8> = word.bytes().map(|b| if b.is_ascii_alphanumeric() { b } else { b'_' }).collect();
        self.overwrite(start, end, &plain);
        self.fault(
            Diagnostic::error(
                "bad-character",
                format!("The name `{word}` has a letter that names cannot have."),
                self.span(start, end),
                "here",
            )
            .help("Names are made of a to z, A to Z, digits and `_`; texts in quotes may hold any letter."),
            start,
        );
    }

    fn number(&mut self) {
        if let Some(mark) = marks::look(self) {
            let end = mark.end;
            let mut filler = vec![b' '; end - self.at];
            let digits = self.run_of(self.at, |b| b.is_ascii_digit()).min(end) - self.at;
            for b in filler.iter_mut().take(digits) {
                *b = b'0';
            }
            self.overwrite(self.at, end, &filler);
            self.fault(mark.message, self.at);
            let start = self.at;
            self.push(TokenKind::Number, start + digits);
            self.at = end;
            return;
        }
        let end = marks::number_end(self, self.at);
        self.push(TokenKind::Number, end);
    }

    fn quoted(&mut self) {
        let start = self.at;
        let mut at = start + 1;
        loop {
            match self.byte(at) {
                b'"' => break,
                b'\n' => return self.unclosed_text(at.min(self.bytes.len())),
                b'\\' if self.byte(at + 1) != b'\n' => at += 2,
                _ => at += 1,
            }
        }
        self.hidden_within(start, at + 1);
        self.push(TokenKind::Text, at + 1);
    }

    /// Closes a text by guess: before the brackets that end its line.
    fn unclosed_text(&mut self, line_end: usize) {
        let start = self.at;
        self.hidden_within(start, line_end);
        let body = self.slice(start, line_end).trim_end_matches([' ', '\t', '\r', ')', ']', '}', ',']);
        let mut end = start + body.len().max(1);
        // A brace that closes one inside the text belongs to it.
        let mut open = body.matches('{').count().saturating_sub(body.matches('}').count());
        while open > 0 {
            match self.slice(end, line_end).find('}') {
                Some(n) => end += n + 1,
                None => break,
            }
            open -= 1;
        }
        let whole = self.slice(start, line_end).trim_end().len();
        self.fault(
            Diagnostic::error(
                "unclosed-text",
                "This text is not closed on its line.",
                self.span(start, start + whole.max(1)),
                "the text starts here",
            )
            .help("End it with a `\"`. A quote mark inside a text is written `\\\"`."),
            start,
        );
        let mut filler = vec![b' '; end - start];
        if let [first, .., last] = filler.as_mut_slice() {
            *first = b'"';
            *last = b'"';
            self.overwrite(start, end, &filler);
            self.push(TokenKind::Text, end);
        } else {
            self.overwrite(start, end, b"0");
            self.push(TokenKind::Number, end);
        }
    }

    fn sign(&mut self) {
        let start = self.at;
        let two = matches!(
            (self.byte(start), self.byte(start + 1)),
            (b'.', b'.') | (b'=' | b'!' | b'<' | b'>', b'=') | (b'&', b'&') | (b'|', b'|')
        );
        match self.byte(start) {
            b'(' | b'[' | b'{' => {
                self.depth += 1;
                if self.depth == NESTING + 1 && self.deep.is_none() {
                    self.end_of_limit();
                    return;
                }
            }
            b')' | b']' | b'}' => {
                self.depth = self.depth.saturating_sub(1);
                if self.depth == NESTING {
                    if let Some(from) = self.deep.take() {
                        return self.end_of_deep(from, start);
                    }
                }
            }
            _ => {}
        }
        self.push(TokenKind::Sign, start + if two { 2 } else { 1 });
    }

    fn end_of_limit(&mut self) {
        let start = self.at;
        self.too_deep = true;
        self.fault(
            Diagnostic::error(
                "nesting-too-deep",
                format!("Brackets nest more than {NESTING} deep here."),
                self.span(start, start + 1),
                "one bracket too many",
            )
            .help("Give an inner part a name of its own with `let`."),
            start,
        );
        let brace = self.byte(start) == b'{';
        if !brace {
            self.overwrite(start, start + 1, b"0");
        }
        self.push(if brace { TokenKind::Sign } else { TokenKind::Number }, start + 1);
        self.deep = Some(self.at);
    }

    /// Blanks what was nested too deep, up to the bracket that ends it.
    fn end_of_deep(&mut self, from: usize, close: usize) {
        let brace = self.byte(from - 1) == b'{';
        let end = if brace { close } else { close + 1 };
        self.overwrite(from, end, &vec![b' '; end - from]);
        self.at = close + 1;
        if brace {
            self.overwrite(close, close + 1, b"}");
            self.at = close;
            self.push(TokenKind::Sign, close + 1);
        }
    }

    /// Characters that have no place outside texts and comments.
    fn strange(&mut self) {
        let start = self.at;
        let rest = self.text.get(start..).unwrap_or("");
        if rest.chars().next().is_some_and(char::is_alphabetic) {
            return self.word();
        }
        let odd = |c: char| !c.is_alphabetic() && !(' '..='~').contains(&c) && !"\t\r\n".contains(c);
        let end = start + rest.find(|c| !odd(c)).unwrap_or(rest.len()).max(1);
        let found = self.slice(start, end).to_string();
        self.overwrite(start, end, &vec![b' '; end - start]);
        let message = marks::odd_characters(self.span(start, end), &found);
        self.fault(message, start);
        self.at = end;
    }

    /// Reports characters that do not show, inside a text or a comment.
    fn hidden_within(&mut self, start: usize, end: usize) {
        let bytes = self.bytes.get(start..end).unwrap_or(&[]);
        if bytes.iter().all(|b| (b' '..0x7f).contains(b) || *b == b'\t') {
            return;
        }
        let found: Vec<(usize, char)> = self
            .slice(start, end)
            .char_indices()
            .filter(|(_, c)| marks::hidden(*c) || (c.is_control() && !"\t\r".contains(*c)))
            .collect();
        for (i, c) in &found {
            let (from, to) = (start + i, start + i + c.len_utf8());
            self.overwrite(from, to, &vec![b' '; to - from]);
        }
        if let Some((i, c)) = found.first() {
            let span = self.span(start + i, start + i + c.len_utf8());
            self.faults.push(marks::odd_characters(span, &c.to_string()));
        }
    }

    fn push(&mut self, kind: TokenKind, end: usize) {
        if self.deep.is_none() {
            let column = self.at - self.line;
            self.out.push(Token { kind, start: self.at, end, column, first: self.first });
        }
        self.first = false;
        self.at = end;
    }

    fn fault(&mut self, message: Diagnostic, start: usize) {
        if self.deep.is_none() {
            if self.faults.len() < super::recover::MOST_MESSAGES {
                self.faults.push(message);
            }
            self.faulty.insert(start);
        }
    }

    fn overwrite(&mut self, start: usize, end: usize, with: &[u8]) {
        let patched = self.patched.get_or_insert_with(|| self.bytes.to_vec());
        if let Some(place) = patched.get_mut(start..end) {
            if place.len() == with.len() {
                place.copy_from_slice(with);
            }
        }
    }
}

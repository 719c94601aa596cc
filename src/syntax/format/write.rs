//! From the outline to lines: statements, the comments and empty lines between them, what is left as it is.

use super::hints::{BROKEN, COMMENTED, Hints, START};
use super::layout::Head;
use super::outline::{Body, Item, Statement};
use super::{WIDTH, width};
use crate::syntax::scan::{Scan, Token};
use crate::syntax::tree::{File, Trivia, TriviaKind};
use std::ops::Range;

/// A place in a line where a column may start.
pub(super) struct Point<'a> {
    /// The byte in the text of the line.
    pub at: usize,
    pub column: u8,
    /// The kind of statement, and the label where it starts with one: lines share a column under the same.
    pub key: (&'a str, &'a str),
    /// How far from the start of its statement it stood, if on the same line.
    pub was: Option<usize>,
    /// More blanks stood before it than need be.
    pub wide: bool,
}

/// A line on its way out.
#[derive(Default)]
pub(super) struct Line<'a> {
    pub text: String,
    /// The comment at its end.
    pub comment: &'a str,
    /// Statements of one section may share columns.
    pub section: Option<u32>,
    /// It starts a statement.
    pub first: bool,
    /// Comments of one run stand in a column.
    pub run: u32,
    pub points: Vec<Point<'a>>,
    /// It is code: a comment may follow it.
    pub code: bool,
    /// The column in the first line of its statement that it is set in by, else 0.
    pub anchor: usize,
}

/// All lines of a text, and how many commas were left out.
pub(super) fn lines<'a>(
    text: &'a str,
    scan: &'a Scan,
    file: &'a File,
    hints: &'a Hints<'a>,
    outline: &[Item],
) -> (Vec<Line<'a>>, usize) {
    let mut writer = Writer {
        source: text,
        scan,
        hints,
        trivia: &file.trivia,
        next: 0,
        lines: Vec::new(),
        line: Line::default(),
        width: 0,
        indent: 0,
        first: 0,
        kind: "",
        same_line: false,
        row: false,
        run: 0,
        section: 0,
        sections: 0,
        done: 0,
        dropped: 0,
    };
    writer.level(outline, 0, text.len());
    (writer.lines, writer.dropped)
}

pub(super) struct Writer<'a> {
    pub source: &'a str,
    pub scan: &'a Scan,
    pub hints: &'a Hints<'a>,
    trivia: &'a [Trivia],
    /// The next comment.
    next: usize,
    lines: Vec<Line<'a>>,
    /// The line being written.
    pub line: Line<'a>,
    pub width: usize,
    /// Blanks before the line being written.
    pub indent: usize,
    /// The first token of the statement being written.
    pub first: usize,
    /// The kind of that statement.
    pub kind: &'a str,
    /// What is being written stood on the line of that token.
    pub same_line: bool,
    /// The first line of the statement is being written.
    pub row: bool,
    run: u32,
    section: u32,
    sections: u32,
    /// What stands before this byte has been written.
    done: usize,
    /// How many commas were left out that nothing follows.
    pub dropped: usize,
}

impl<'a> Writer<'a> {
    fn fresh(&mut self) -> u32 {
        self.sections += 1;
        self.sections
    }

    pub fn token(&self, token: usize) -> Option<&Token> {
        self.scan.tokens.get(token)
    }

    /// The bytes of a token as they stand in the text.
    pub fn word(&self, token: usize) -> &'a str {
        let source = self.source;
        self.token(token).and_then(|t| source.get(t.start..t.end)).unwrap_or("")
    }

    /// True for a comma that nothing follows.
    pub fn idle(&self, token: usize) -> bool {
        self.scan.word(token) == "," && matches!(self.scan.word(token + 1), ")" | "]" | "}")
    }

    fn between(&self, range: Range<usize>) -> usize {
        self.source.as_bytes().get(range).map_or(0, |gap| gap.iter().filter(|b| **b == b'\n').count())
    }

    /// Starts a line.
    pub fn open(&mut self, indent: usize) {
        self.line.text.extend(std::iter::repeat_n(' ', indent));
        self.line.code = true;
        self.line.run = self.run;
        self.line.section = Some(self.section);
        self.line.first = self.row;
        self.width = indent;
        self.indent = indent;
    }

    /// Ends the line being written.
    pub fn close(&mut self) {
        let line = std::mem::take(&mut self.line);
        self.lines.push(line);
        self.row = false;
    }

    /// What stands in a file or in braces, up to the byte where it ends.
    fn level(&mut self, items: &[Item], indent: usize, end: usize) {
        self.section = self.fresh();
        let mut first = true;
        for item in items {
            let start = match item {
                Item::Statement(s) => self.token(s.tokens.start).map_or(end, |t| t.start),
                Item::Kept(bytes) => bytes.start,
            };
            self.comments(start, indent, &mut first);
            self.empty_line(start, first);
            first = false;
            match item {
                Item::Statement(s) => self.statement(s, indent),
                Item::Kept(bytes) => self.kept(bytes, indent),
            }
        }
        self.comments(end, indent, &mut first);
    }

    fn empty_line(&mut self, start: usize, first: bool) {
        if !first && self.between(self.done..start) >= 2 {
            self.section = self.fresh();
            let run = self.section;
            self.lines.push(Line { run, ..Line::default() });
        }
    }

    /// The next comment before a byte, and whether it stands on the line of what comes before it.
    fn comment(&mut self, before: usize) -> Option<(Range<usize>, bool)> {
        loop {
            let t = self.trivia.get(self.next)?;
            let (start, end) = (t.span.start as usize, t.span.end as usize);
            if start >= before {
                return None;
            }
            self.next += 1;
            if t.kind != TriviaKind::Blank && start >= self.done {
                return Some((start..end, self.between(self.done..start) == 0));
            }
        }
    }

    fn comment_text(&self, comment: Range<usize>) -> &'a str {
        let source = self.source;
        source.get(comment).unwrap_or("").trim_end()
    }

    /// Writes the comments before a byte that stand between statements.
    fn comments(&mut self, before: usize, indent: usize, first: &mut bool) {
        while let Some((comment, beside)) = self.comment(before) {
            let text = self.comment_text(comment.clone());
            match self.lines.last_mut() {
                Some(line) if beside && line.code && line.comment.is_empty() => line.comment = text,
                _ => {
                    self.empty_line(comment.start, *first);
                    *first = false;
                    self.own_comment(text, indent);
                    self.section = self.fresh();
                }
            }
            self.done = comment.end;
        }
    }

    fn own_comment(&mut self, text: &str, indent: usize) {
        let run = self.fresh();
        let text = format!("{:indent$}{text}", "");
        self.lines.push(Line { text, run, ..Line::default() });
    }

    /// Breaks the line before a token, with the comments that stand there.
    pub fn turn(&mut self, token: usize, indent: usize, anchor: usize) {
        let start = self.token(token).map_or(self.source.len(), |t| t.start);
        self.done = self.token(token.wrapping_sub(1)).map_or(0, |t| t.end);
        let run = self.run;
        let mut comments = Vec::new();
        while let Some((comment, beside)) = self.comment(start) {
            let text = self.comment_text(comment.clone());
            if beside && comments.is_empty() && self.line.comment.is_empty() {
                self.line.comment = text;
            } else {
                comments.push(text);
            }
            self.done = comment.end;
        }
        self.close();
        for text in comments {
            self.own_comment(text, indent);
            if let Some(line) = self.lines.last_mut() {
                (line.section, line.anchor) = (Some(self.section), anchor);
            }
        }
        self.run = run;
        self.open(indent);
        self.line.anchor = anchor;
    }

    fn statement(&mut self, s: &Statement, indent: usize) {
        let section = self.section;
        let before = self.lines.len();
        self.run = self.fresh();
        self.row = true;
        self.first = s.tokens.start;
        self.kind = self.kind_of(s.tokens.start);
        self.same_line = true;
        self.open(indent);
        let mut head = Head::new(indent);
        let mut at = s.tokens.start;
        for (n, body) in s.bodies.iter().enumerate() {
            self.flow(&mut head, at..body.open + 1);
            at = body.close + 1;
            if n == 0 && self.in_line(s, body.open) {
                self.flat(&mut head, body.open + 1..s.tokens.end);
                at = s.tokens.end;
                break;
            }
            if body.items.is_empty() && !self.hints.has(body.close, COMMENTED) {
                self.flat(&mut head, body.close..at);
                continue;
            }
            self.body(body, indent);
            self.open(indent);
            self.flat(&mut head, body.close..at);
        }
        // On a line of its own a field needs no comma.
        let comma = usize::from(self.scan.word(s.tokens.end.saturating_sub(1)) == ",");
        self.dropped += comma;
        let end = s.tokens.end - comma;
        self.flow(&mut head, at..end);
        self.close();
        self.done = self.token(end.saturating_sub(1)).map_or(self.done, |t| t.end);
        match self.lines.get_mut(before..) {
            Some([only]) => only.run = section,
            // What follows braces on lines of their own shares no columns with what comes before them.
            _ if self.section != section => self.section = self.fresh(),
            _ => {}
        }
    }

    /// Statements of one kind may share columns.
    fn kind_of(&self, token: usize) -> &'a str {
        match self.word(token) {
            _ if self.scan.word(token + 1) == ":" => "",
            "part" | "pair" | "proud" | "loose" => "part",
            "mirrored" => self.word(token + 1),
            word => word,
        }
    }

    fn body(&mut self, body: &Body, indent: usize) {
        // Braces over several lines are no column.
        self.line.points.retain(|p| p.column != super::hints::column::BRACE);
        self.close();
        self.done = self.token(body.open).map_or(self.done, |t| t.end);
        let end = self.token(body.close).map_or(self.source.len(), |t| t.start);
        self.level(&body.items, indent + 2, end);
        self.run = self.fresh();
        self.same_line = false;
    }

    /// True where the braces of a statement stood on one line and still fit.
    fn in_line(&self, s: &Statement, open: usize) -> bool {
        let whole = |b: &Body| {
            let broken = (b.open + 1..=b.close).any(|t| self.hints.has(t, BROKEN | COMMENTED));
            !broken && b.items.iter().all(statements_only)
        };
        let after = open + 1..s.tokens.end;
        let commented = after.clone().any(|t| self.hints.has(t, COMMENTED));
        if commented || !s.bodies.iter().all(whole) {
            return false;
        }
        let mut total = self.width;
        for t in after {
            total += if self.idle(t) { 0 } else { self.gap(t) + width(self.word(t)) };
            if total > WIDTH {
                return false;
            }
        }
        true
    }

    /// Blanks between a token and the one before it.
    pub fn gap(&self, token: usize) -> usize {
        let (before, here) = (self.scan.word(token.wrapping_sub(1)), self.scan.word(token));
        let flag = |token, flag| self.hints.has(token, flag);
        match (before, here) {
            ("{", "}") => 0,
            ("{", _) | (_, "{" | "}") => 1,
            _ if flag(token, START) => {
                if before == "," {
                    1
                } else {
                    2
                }
            }
            ("(" | "[" | ".", _) | (_, ")" | "]" | "," | ":" | ".") => 0,
            _ if flag(token, super::hints::TIGHT) => 0,
            ("-", _) if flag(token.wrapping_sub(1), super::hints::MINUS) => 0,
            (_, "[") if !flag(token, super::hints::LIST) => match before {
                "," | "=" | ":" | "-" | "+" | "*" | "/" => 1,
                _ => 0,
            },
            _ => 1,
        }
    }

    /// A stretch that is left as it is, with its lines' own blanks and the comment behind it.
    fn kept(&mut self, bytes: &Range<usize>, indent: usize) {
        let source = self.source;
        let line = source.get(..bytes.start).and_then(|s| s.rfind('\n')).map_or(0, |n| n + 1);
        let alone = line >= self.done && source.get(line..bytes.start).is_some_and(|s| s.trim().is_empty());
        let start = if alone { line } else { bytes.start.max(self.done) };
        let rest = source.get(bytes.end..).and_then(|s| s.lines().next()).unwrap_or("");
        let end = match rest.trim_start().starts_with("//") {
            true => bytes.end + rest.trim_end().len(),
            false => bytes.end,
        };
        let text = source.get(start..end).unwrap_or("").trim_end();
        self.done = self.done.max(end);
        self.section = self.fresh();
        if text.is_empty() {
            return;
        }
        let lead = if alone { 0 } else { indent };
        let run = self.fresh();
        self.lines.push(Line { text: format!("{:lead$}{text}", ""), run, ..Line::default() });
    }
}

fn statements_only(item: &Item) -> bool {
    match item {
        Item::Statement(s) => s.bodies.iter().all(|b| b.items.iter().all(statements_only)),
        Item::Kept(_) => false,
    }
}

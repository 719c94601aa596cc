//! Where the lines of one statement are broken, and how far what follows is set in.

use super::columns::labelled;
use super::hints::{BASE, BROKEN, COMMAS, COMMENTED, JOINED, MESSAGE, MINUS, RESULT, TIGHT, VALUE, column};
use super::write::{Point, Writer};
use super::{WIDTH, width};
use std::ops::Range;

/// What goes on after a bracket this far to the right is set in from its line instead.
const DEEP: usize = 80;

/// An open bracket.
#[derive(Clone, Copy)]
struct Open {
    /// Where lines within it start.
    column: usize,
    /// The column in the first line that this follows from.
    anchor: usize,
    commas: bool,
}

/// The statement being laid out.
pub(super) struct Head {
    indent: usize,
    /// Where its value starts, if on a line of its own.
    value: Option<usize>,
    open: Vec<Open>,
    /// How many braces are open on the line.
    braces: usize,
}

impl Head {
    pub fn new(indent: usize) -> Head {
        Head { indent, value: None, open: Vec::new(), braces: 0 }
    }
}

impl<'a> Writer<'a> {
    /// Writes tokens on the current line and, where they must, on more.
    pub fn flow(&mut self, head: &mut Head, tokens: Range<usize>) {
        let mut at = tokens.start;
        while at < tokens.end {
            let next = self.line_end(head, at..tokens.end);
            self.flat(head, at..next);
            at = next;
            if at < tokens.end {
                let column = self.set_in(head, &head.open, at);
                if head.open.is_empty() && self.hints.has(at, RESULT | VALUE) {
                    head.value = Some(column);
                }
                let anchor = head.open.last().map_or(0, |o| o.anchor);
                self.turn(at, column, anchor);
            }
        }
    }

    /// Writes tokens on the current line.
    pub fn flat(&mut self, head: &mut Head, tokens: Range<usize>) {
        for t in tokens {
            self.put(head, t);
        }
    }

    fn put(&mut self, head: &mut Head, token: usize) {
        if self.idle(token) {
            self.dropped += 1;
            return;
        }
        let gap = if self.line.text.len() == self.indent { 0 } else { self.gap(token) };
        self.line.text.extend(std::iter::repeat_n(' ', gap));
        if token != self.first && self.hints.has(token, BROKEN) {
            self.same_line = false;
        }
        let word = self.word(token);
        let column = self.hints.columns.get(token).copied().unwrap_or(0);
        if gap > 0 && self.row && self.has_column(column, head.braces) {
            let point = self.point(token, column, gap);
            self.line.points.push(point);
        }
        self.line.text.push_str(word);
        self.width += gap + width(word);
        self.bracket(&mut head.open, token, self.width);
        match word {
            "{" => head.braces += 1,
            "}" => head.braces = head.braces.saturating_sub(1),
            _ => {}
        }
    }

    /// Columns are those of the statement itself, its first brace, and the fields in that.
    fn has_column(&self, column: u8, braces: usize) -> bool {
        match column {
            0 => false,
            column::BRACE => braces == 0 && self.line.points.iter().all(|p| p.column != column::BRACE),
            column::FIELD.. => braces == 1 && matches!(self.kind, "part" | "space" | "envelope"),
            _ => braces == 0,
        }
    }

    fn point(&self, token: usize, column: u8, gap: usize) -> Point<'a> {
        let start = |t| self.token(t).map_or(0, |t| t.start);
        let before = self.token(token.wrapping_sub(1)).map_or(0, |t| t.end);
        let was = self.source.get(start(self.first)..start(token)).map(width);
        Point {
            at: self.line.text.len(),
            column,
            key: (self.kind, if labelled(column) { self.word(token) } else { "" }),
            was: was.filter(|_| self.same_line),
            wide: self.same_line && start(token) > before + gap,
        }
    }

    /// Keeps the open brackets; `at` is where the line stands after the token.
    fn bracket(&self, open: &mut Vec<Open>, token: usize, at: usize) {
        match self.scan.word(token) {
            "(" | "[" => {
                let column = if at > DEEP { at.min(self.indent + 4) } else { at };
                let anchor = match (self.line.first, column == at) {
                    (true, true) => at,
                    (true, false) => 0,
                    (false, _) => self.line.anchor,
                };
                open.push(Open { column, anchor, commas: self.hints.has(token, COMMAS) });
            }
            ")" | "]" => {
                open.pop();
            }
            _ => {}
        }
    }

    /// The token before which the line that starts with the first of these ends.
    fn line_end(&self, head: &Head, tokens: Range<usize>) -> usize {
        let mut open = head.open.clone();
        let mut at = self.width;
        let mut best: Option<(usize, usize)> = None;
        for t in tokens.clone() {
            if self.idle(t) && !self.hints.has(t, COMMENTED) {
                continue;
            }
            let starts = self.line.text.len() == self.indent && t == tokens.start;
            let gap = if starts { 0 } else { self.gap(t) };
            if t > tokens.start || !starts {
                let cost = self.cost(&open, t);
                if self.forced(t, cost.is_some()) && (t > tokens.start || self.hints.has(t, COMMENTED)) {
                    return t;
                }
                let useful = t > tokens.start && self.set_in(head, &open, t) < at + gap;
                if let Some(cost) = cost.filter(|_| useful) {
                    if at > WIDTH {
                        return t;
                    }
                    if best.is_none_or(|(least, _)| cost <= least) {
                        best = Some((cost, t));
                    }
                }
            }
            at += gap + width(self.word(t));
            self.bracket(&mut open, t, at);
            if let (true, Some((_, t))) = (at > WIDTH, best) {
                return t;
            }
        }
        tokens.end
    }

    /// True where a comment or the maker ends the line before a token.
    fn forced(&self, token: usize, may: bool) -> bool {
        let has = |token, flag| self.hints.has(token, flag);
        let bare = |token| has(token, BROKEN) && !has(token, COMMENTED);
        if has(token, COMMENTED) {
            return true;
        }
        let before = token.wrapping_sub(1);
        may && (has(token, BROKEN)
            || (self.scan.word(before) == "," && bare(before))
            || (self.joins(token) && bare(token + 1)))
    }

    /// True for a token that stands between two values.
    fn joins(&self, token: usize) -> bool {
        !self.hints.has(token, MESSAGE | VALUE | RESULT)
            && matches!(
                self.scan.word(token),
                "+" | "-"
                    | "*"
                    | "/"
                    | "=="
                    | "!="
                    | "<"
                    | "<="
                    | ">"
                    | ">="
                    | ".."
                    | "or"
                    | "and"
                    | "then"
                    | "else"
            )
    }

    /// How little a line likes to be broken before a token, if it may be.
    fn cost(&self, open: &[Open], token: usize) -> Option<usize> {
        let has = |flag| self.hints.has(token, flag);
        if has(JOINED | TIGHT) {
            return None;
        }
        let deep = open.len() * 20;
        let (before, here) = (self.scan.word(token.wrapping_sub(1)), self.scan.word(token));
        if has(MESSAGE) {
            return Some(deep);
        }
        match (has(RESULT), has(BASE), has(VALUE)) {
            (true, ..) => return Some(1),
            (_, true, _) => return Some(2),
            (.., true) => return Some(35),
            _ => {}
        }
        if before == "," && !open.is_empty() && !matches!(here, ")" | "]") {
            return Some(deep + 1);
        }
        // A label, or a name after a point.
        if before == "." || self.scan.word(token + 1) == ":" {
            return None;
        }
        Some(
            deep + match here {
                "for" if !open.is_empty() => 3,
                "where" => 4,
                "then" | "else" => 5,
                "or" => 6,
                "and" => 7,
                "==" | "!=" | "<" | "<=" | ">" | ">=" | ".." => 8,
                "+" => 9,
                "-" if !has(MINUS) && before != "(" => 9,
                "*" | "/" => 10,
                _ => return None,
            },
        )
    }

    /// How far a line is set in that starts with a token.
    fn set_in(&self, head: &Head, open: &[Open], token: usize) -> usize {
        let here = self.scan.word(token);
        let clause = matches!(here, "then" | "else" | "for" | "where");
        let before = self.scan.word(token.wrapping_sub(1));
        match open.last() {
            Some(o) if matches!(here, ")" | "]") => o.column.saturating_sub(1),
            Some(o) if matches!(before, "," | "(" | "[") || here == "," => o.column,
            Some(o) if clause && !o.commas => o.column,
            Some(o) => o.column + 2,
            None if before == "}" => head.indent,
            None if self.hints.has(token, RESULT | MESSAGE) => head.indent + 2,
            None => match head.value {
                Some(value) if clause => value,
                Some(value) => value + 2,
                None => head.indent + 4,
            },
        }
    }
}

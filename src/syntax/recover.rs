//! Reading a file that does not read as a whole: one statement at a time. Each statement that cannot
//! be read gives one message and a `Broken` in the tree; the others keep their meaning.
//!
//! The start of a line is used here to guess where a broken statement ends; meaning never uses it.

use super::build::Builder;
use super::grammar::{self, Rule};
use super::messages;
use super::scan::{Scan, TokenKind};
use super::starts::{Start, Starts};
use super::tree::{Block, Stmt, StmtKind};
use crate::diagnostics::Diagnostic;

/// So many faults of syntax are told in one file.
pub(super) const MOST_MESSAGES: usize = 100;

/// What the statements being read stand in.
#[derive(Clone, Copy)]
struct Within {
    /// In braces, which a `}` closes.
    braces: bool,
    /// Only `label: value` may stand here.
    fields: bool,
    /// Where the line starts that the statement around begins on.
    column: usize,
}

/// Reads a broken file.
pub(super) struct Recovery<'b, 's> {
    scan: &'s Scan,
    starts: Starts<'s>,
    builder: &'b mut Builder<'s>,
    /// Closing braces that stand too many since an opening one is missing, which has been said.
    owed: usize,
    /// Braces do not match, so that where a statement stands says little.
    pub unmatched: bool,
    told: usize,
}

impl<'b, 's> Recovery<'b, 's> {
    /// Recovers with the builder of a file.
    pub fn new(builder: &'b mut Builder<'s>) -> Recovery<'b, 's> {
        let scan = builder.scan;
        Recovery { scan, starts: Starts::new(scan), builder, owed: 0, unmatched: false, told: 0 }
    }

    /// All statements from a token on.
    pub fn file(&mut self, first: usize) -> Vec<Stmt> {
        let outside = Within { braces: false, fields: false, column: 0 };
        self.run(first, outside).0
    }

    fn tell(&mut self, message: Diagnostic) {
        if self.told < MOST_MESSAGES {
            self.builder.messages.push(message);
        }
        self.told += 1;
    }

    /// Statements up to the brace that closes them: with the token after them, and the end of that
    /// brace where there is one.
    fn run(&mut self, mut at: usize, within: Within) -> (Vec<Stmt>, usize, Option<usize>) {
        let mut out = Vec::new();
        self.builder.depth += 1;
        let count = self.scan.tokens.len();
        let mut closed = None;
        while at < count && self.told < MOST_MESSAGES {
            if self.scan.word(at) == "}" {
                if within.braces {
                    closed = self.scan.tokens.get(at).map(|t| t.end);
                    at += 1;
                    break;
                }
                self.stray(at);
                at += 1;
                continue;
            }
            if within.braces && (self.starts.hard(at) || (within.fields && self.leaves(at, within.column))) {
                break;
            }
            let (statement, next) = self.statement(at, within);
            out.push(statement);
            at = next.max(at + 1);
        }
        self.builder.depth -= 1;
        (out, at, closed)
    }

    /// True where a statement stands that cannot belong to these fields, on a line of its own that
    /// starts no deeper than the statement the fields belong to.
    fn leaves(&self, at: usize, column: usize) -> bool {
        let on_its_own = self.scan.tokens.get(at).is_some_and(|t| t.first && t.column <= column);
        on_its_own && matches!(self.starts.at(at), Some(Start::Statement | Start::Verb))
    }

    fn stray(&mut self, at: usize) {
        self.unmatched = true;
        if self.owed > 0 {
            self.owed -= 1;
            return;
        }
        let span = self.scan.token_span(at);
        self.tell(
            Diagnostic::error("stray-brace", "This `}` closes nothing.", span, "no brace is open here")
                .help("Delete it, or look above for a `{` that is missing."),
        );
    }

    /// One statement, and the token after it.
    fn statement(&mut self, at: usize, within: Within) -> (Stmt, usize) {
        let start = self.scan.token_span(at).start as usize;
        let limit = self
            .starts
            .next_hard(at)
            .map_or(self.scan.text.len(), |t| self.scan.token_span(t).start as usize);
        let rule = if within.fields { Rule::field } else { Rule::statement };
        let text = self.scan.text.get(start..limit).unwrap_or("");
        if self.builder.depth <= super::NESTING {
            if let Ok(pairs) = grammar::read(rule, text) {
                let end = pairs.clone().last().map_or(0, |p| p.as_span().end());
                let next = self.scan.token_at(start + end);
                let fits = self.scan.word(next) == "}"
                    || self.starts.at(next).is_some()
                    || next >= self.scan.token_at(limit);
                if fits && next > at {
                    let base = std::mem::replace(&mut self.builder.base, start);
                    let built = pairs.into_iter().next().map(|p| self.builder.any(p));
                    self.builder.base = base;
                    if let Some(statement) = built {
                        return (statement, next);
                    }
                }
            }
        }
        self.broken(at, within)
    }

    /// A statement that does not read as it stands: its head, and what stands in its braces.
    fn broken(&mut self, at: usize, within: Within) -> (Stmt, usize) {
        let column = self.starts.line_column(at);
        let fields = self.starts.has_fields(at);
        let balanced = self.starts.balanced(at);
        let mut bodies: Vec<(usize, usize, Block)> = Vec::new();
        let mut from = at + 1;
        let mut open = false;
        if self.scan.word(at) == "{" {
            from = at;
        }
        let end = loop {
            let stop = self.starts.stop(at, from, column, balanced, within.fields);
            if self.scan.word(stop) != "{" {
                break stop;
            }
            let inside = Within { braces: true, fields, column };
            let (stmts, next, closed) = self.run(stop + 1, inside);
            let opened = self.scan.token_span(stop);
            let last = closed.unwrap_or_else(|| self.scan.token_span(next.max(1) - 1).end as usize);
            let span = self.scan.span(opened.start as usize, last.max(opened.end as usize));
            bodies.push((stop, next, Block { stmts, span: Some(span) }));
            if closed.is_none() {
                self.unclosed(stop, next);
                open = true;
                break next;
            }
            let new_line =
                self.scan.tokens.get(next).is_none_or(|t| t.first) && self.scan.word(next) != "else";
            if new_line || self.scan.word(next) == "}" || self.starts.at(next).is_some() {
                break next;
            }
            from = next;
        };
        let span = self.scan.token_span(at).to(self.scan.token_span(end.max(at + 1) - 1));
        let read = self.skeleton(at, end, within.fields, &bodies, open);
        match read {
            Ok(text) => {
                for (stop, _, body) in bodies {
                    let key = self.scan.token_span(stop).start as usize;
                    self.builder.bodies.insert(key, body);
                }
                let rule = if within.fields { Rule::lone_field } else { Rule::lone_statement };
                let base = std::mem::replace(&mut self.builder.base, span.start as usize);
                let built = grammar::read(rule, &text).ok().and_then(|pairs| {
                    let inner = pairs.flat_map(|p| p.into_inner());
                    let found = inner.into_iter().find(|p| p.as_rule() != Rule::EOI);
                    found.map(|p| self.builder.any(p))
                });
                self.builder.base = base;
                self.builder.bodies.clear();
                (built.unwrap_or_else(|| broken(span)), end)
            }
            Err(message) => {
                let end = match &message {
                    Some(m) if bodies.is_empty() && m.wants_brace => self.braceless(at, end, column, fields),
                    _ => end,
                };
                if let Some(m) = message {
                    self.tell(m.message);
                }
                (broken(span), end)
            }
        }
    }

    /// What stands indented below a head whose `{` is missing is read as its body.
    fn braceless(&mut self, at: usize, end: usize, column: usize, fields: bool) -> usize {
        self.unmatched = true;
        let deeper = self.scan.tokens.get(end).is_some_and(|t| t.first && t.column > column);
        if self.builder.depth > super::NESTING
            || !deeper
            || self.scan.word(end) == "}"
            || self.scan.tokens.get(at).is_none()
        {
            self.owed += 1;
            return end;
        }
        let inside = Within { braces: true, fields, column };
        let (_, next, _) = self.run(end, inside);
        next
    }

    /// The text of a statement with its braces emptied, if that can be read; else what is wrong with
    /// it, or nothing where that has been said already.
    fn skeleton(
        &mut self,
        at: usize,
        end: usize,
        fields: bool,
        bodies: &[(usize, usize, Block)],
        open: bool,
    ) -> Result<String, Option<messages::Told>> {
        let start = self.scan.token_span(at).start as usize;
        let stop = self.scan.token_span(end.max(at + 1) - 1).end as usize;
        let mut text = String::with_capacity(stop - start + 1);
        let mut from = start;
        let mut inside = Vec::new();
        for (i, (brace, next, _)) in bodies.iter().enumerate() {
            let left = self.scan.token_span(*brace).end as usize;
            let still_open = open && i + 1 == bodies.len();
            let right = if still_open { stop } else { self.scan.token_span(next.max(&1) - 1).start as usize };
            let right = right.max(left);
            text.push_str(self.scan.text.get(from..left).unwrap_or(""));
            text.extend(std::iter::repeat_n(' ', right - left));
            inside.push((left, right));
            from = right;
        }
        text.push_str(self.scan.text.get(from..stop).unwrap_or(""));
        if open {
            text.push('}');
        }
        if self.builder.depth > super::NESTING {
            let span = self.scan.token_span(at);
            self.builder.too_deep(span);
            return Err(None);
        }
        let rule = if fields { Rule::lone_field } else { Rule::lone_statement };
        let fault = match grammar::read(rule, &text) {
            Ok(_) => return Ok(text),
            Err(fault) => fault,
        };
        let said = self
            .scan
            .faulty
            .range(start..stop)
            .any(|f| !inside.iter().any(|(left, right)| (*left..*right).contains(f)));
        if said {
            return Err(None);
        }
        if fields && grammar::read(Rule::lone_statement, &text).is_ok() {
            let span = self.scan.token_span(at);
            let message = super::placing::not_a_field(self.scan.word(at), span);
            return Err(Some(messages::Told { message, wants_brace: false }));
        }
        Err(Some(messages::explain(self.scan, at, end, &fault, start, fields)))
    }

    /// A brace that is never closed, told where it was opened.
    fn unclosed(&mut self, brace: usize, next: usize) {
        self.unmatched = true;
        // A `}` that stands further left than the line of its own `{` closes an outer one: then that
        // `{` is the one that was left open.
        let mut open = vec![brace];
        let mut guilty = brace;
        for t in brace + 1..next {
            match self.scan.word(t) {
                "{" => open.push(t),
                "}" => {
                    let of = open.pop().unwrap_or(brace);
                    let outdented = self
                        .scan
                        .tokens
                        .get(t)
                        .is_some_and(|t| t.first && t.column < self.starts.line_column(of));
                    if outdented && guilty == brace {
                        guilty = of;
                    }
                }
                _ => {}
            }
        }
        let span = self.scan.token_span(guilty);
        let message = Diagnostic::error("unclosed-brace", "This brace is never closed.", span, "opened here");
        let message = match self.scan.tokens.get(next) {
            Some(_) => message.label(self.scan.token_span(next), "still open where this starts"),
            None => message,
        };
        self.tell(message.help("Write the `}` where it ends."));
    }
}

fn broken(span: crate::sources::Span) -> Stmt {
    Stmt { kind: StmtKind::Broken, span, doc: Vec::new() }
}

/// The names that a statement which could not be read would have given a meaning.
pub(super) fn names_of(scan: &Scan, start: usize, end: usize) -> Vec<super::tree::Ident> {
    let mut at = scan.token_at(start);
    let ident = |t: usize| {
        let token = scan.tokens.get(t).filter(|t| t.kind == TokenKind::Word && t.end <= end)?;
        let name = super::Name::new(scan.text.get(token.start..token.end)?);
        Some(super::tree::Ident { name, span: scan.span(token.start, token.end) })
    };
    while matches!(scan.word(at), "proud" | "loose" | "mirrored" | "def") {
        at += 1;
    }
    match scan.word(at) {
        "pair" => {
            let second = if scan.word(at + 2) == "," { at + 3 } else { at + 2 };
            ident(at + 1).into_iter().chain(ident(second)).collect()
        }
        "house" if scan.word(at + 1) == "field" => ident(at + 2).into_iter().collect(),
        "use" => {
            let mut names = Vec::new();
            let mut t = at + 1;
            while scan.tokens.get(t).is_some_and(|x| x.end <= end) {
                if scan.word(t - 1) == "(" || scan.word(t - 1) == "," || scan.word(t - 1) == "as" {
                    names.extend(ident(t));
                }
                t += 1;
            }
            names
        }
        "let" | "part" | "space" | "gap" => ident(at + 1).into_iter().collect(),
        word if super::starts::KINDS.contains(&word) => ident(at + 1).into_iter().collect(),
        _ => Vec::new(),
    }
}

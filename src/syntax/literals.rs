//! From tokens to their values: numbers with their units, texts with their expressions.

use super::build::Builder;
use super::expressions::broken;
use super::grammar::{self, Rule};
use super::marks;
use super::tree::*;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use crate::values::{Overflow, Quantity};
use pest::iterators::Pair;

impl Builder<'_> {
    /// A number with its unit.
    pub fn number(&mut self, pair: &Pair<Rule>) -> Expr {
        let span = self.token(pair);
        if self.scan.faulty.contains(&self.start(pair)) {
            return broken(span);
        }
        let unit = pair.clone().into_inner().next();
        let unit_at =
            unit.as_ref().map_or(pair.as_str().len(), |u| u.as_span().start() - pair.as_span().start());
        let figure = pair.as_str().get(..unit_at).unwrap_or("");
        let unit = unit.map_or("", |u| u.as_str());
        let quantity = match marks::value(figure) {
            Some(value) => Quantity::written(value, unit),
            None => Some(Err(Overflow)),
        };
        let message = match quantity {
            Some(Ok(quantity)) => return Expr { kind: ExprKind::Number(quantity), span },
            Some(Err(Overflow)) if over_nought(figure) => {
                Diagnostic::error("division-by-zero", "This fraction divides by nought.", span, "here")
                    .help("Give the fraction a denominator: `1/2in`.")
            }
            Some(Err(Overflow)) => Diagnostic::error(
                "number-too-large",
                "This number has more digits than the compiler keeps.",
                span,
                "too many digits",
            )
            .help("Write at most 30 digits."),
            None => unknown_unit(figure, unit, span),
        };
        self.messages.push(message);
        broken(span)
    }

    /// The pieces of a text; its expressions are read on their own.
    pub fn text(&mut self, pair: &Pair<Rule>) -> Text {
        let span = self.token(pair);
        if self.scan.faulty.contains(&self.start(pair)) {
            return Text { pieces: Vec::new(), span };
        }
        let raw = pair.as_str();
        let body = raw.get(1..raw.len().saturating_sub(1)).unwrap_or("");
        let inside = self.start(pair) + 1;
        let mut pieces = Vec::new();
        let mut plain = String::new();
        let mut rest = body.char_indices().peekable();
        while let Some((i, c)) = rest.next() {
            match c {
                '\\' => plain.push(self.escape(rest.next(), inside + i)),
                '{' | '}' if rest.next_if(|(_, n)| *n == c).is_some() => plain.push(c),
                '{' => {
                    let end = body.get(i..).and_then(|b| b.find('}')).map(|n| i + n);
                    let Some(end) = end else {
                        self.brace(inside + i, '{');
                        continue;
                    };
                    if !plain.is_empty() {
                        pieces.push(Piece::Plain(std::mem::take(&mut plain)));
                    }
                    pieces.push(Piece::Value(self.piece(inside + i + 1, inside + end)));
                    while rest.next_if(|(n, _)| *n <= end).is_some() {}
                }
                '}' => self.brace(inside + i, '}'),
                c => plain.push(c),
            }
        }
        if !plain.is_empty() {
            pieces.push(Piece::Plain(plain));
        }
        Text { pieces, span }
    }

    fn escape(&mut self, next: Option<(usize, char)>, at: usize) -> char {
        match next {
            Some((_, c @ ('"' | '\\'))) => c,
            other => {
                let c = other.map_or(' ', |(_, c)| c);
                let span = self.scan.span(at, at + 1 + other.map_or(0, |(_, c)| c.len_utf8()));
                self.messages.push(
                    Diagnostic::error("syntax", format!("`\\{c}` means nothing in a text."), span, "here")
                        .help("Write `\\\"` for a quote mark and `\\\\` for a backslash."),
                );
                c
            }
        }
    }

    fn brace(&mut self, at: usize, brace: char) {
        let span = self.scan.span(at, at + 1);
        let say = format!("This `{brace}` in a text has no partner.");
        self.messages.push(
            Diagnostic::error("syntax", say, span, "alone")
                .help(format!("A brace that is only text is written twice: `{brace}{brace}`.")),
        );
    }

    /// The expression between the braces of a text.
    fn piece(&mut self, start: usize, end: usize) -> Expr {
        let span = self.scan.span(start, end);
        let text = self.scan.text.get(start..end).unwrap_or("");
        let base = std::mem::replace(&mut self.base, start);
        let out = match grammar::read(Rule::lone_expression, text) {
            Ok(pairs) => {
                let found = pairs.flat_map(Pair::into_inner).find(|p| p.as_rule() == Rule::expression);
                found.map_or(broken(span), |p| self.expression(p))
            }
            Err(_) => {
                self.messages.push(
                    Diagnostic::error(
                        "syntax",
                        "Between the braces of a text stands one value.",
                        self.scan.span(start - 1, end + 1),
                        "this cannot be read",
                    )
                    .help("Write a name or a sum: `{width - 2 * t}`. A brace that is only text is doubled."),
                );
                broken(span)
            }
        };
        self.base = base;
        out
    }

    /// A text whose braces are only text: a path, a test's name.
    pub fn plain_text(&mut self, pair: &Pair<Rule>) -> String {
        let raw = pair.as_str();
        let body = raw.get(1..raw.len().saturating_sub(1)).unwrap_or("");
        let mut out = String::new();
        let mut rest = body.char_indices();
        let inside = self.start(pair) + 1;
        while let Some((i, c)) = rest.next() {
            out.push(if c == '\\' { self.escape(rest.next(), inside + i) } else { c });
        }
        out
    }
}

fn over_nought(figure: &str) -> bool {
    figure.split_once('/').is_some_and(|(_, d)| !d.is_empty() && d.bytes().all(|b| b == b'0'))
}

fn unknown_unit(figure: &str, unit: &str, span: Span) -> Diagnostic {
    let whole = format!("{figure}{unit}");
    let at = Span { start: span.end - unit.len() as u32, ..span };
    let d =
        Diagnostic::error("unknown-unit", format!("`{unit}` in `{whole}` is no unit."), at, "unknown unit");
    let feet = matches!(unit, "ft" | "foot" | "feet");
    let inches = marks::value(figure).and_then(|f| f.mul(crate::values::Rational::int(12)).ok());
    match (feet, inches, marks::nearest_unit(unit)) {
        (true, Some(inches), _) => {
            let right = format!("{}in", marks::written_inches(inches));
            d.help(format!("Write feet as inches: `{right}`.")).edit(span, right)
        }
        (_, _, Some(near)) => {
            let right = format!("{figure}{near}");
            d.help(format!("Did you mean `{right}`?")).edit(span, right)
        }
        _ => d.help("Units of length are `mm`, `cm`, `m` and `in`; money has three capitals: `38.50EUR`."),
    }
}

//! From pest's flat lists of operands and operators to expressions.

use super::NESTING;
use super::build::Builder;
use super::grammar::{self, Rule};
use super::marks;
use super::tree::*;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use crate::values::{Overflow, Quantity};
use pest::iterators::{Pair, Pairs};
use std::iter::Peekable;

/// How tightly an operator binds; the loosest first. Of the `single` ones only one may stand
/// without brackets.
#[derive(Clone, Copy, PartialEq, PartialOrd)]
enum Level {
    Or,
    And,
    Not,
    Compare,
    Range,
    Place,
    To,
    Sum,
    Product,
    Minus,
}

impl Level {
    fn of(sign: &str) -> Level {
        match sign {
            "or" => Level::Or,
            "and" => Level::And,
            ".." => Level::Range,
            "after" | "before" => Level::Place,
            "to" => Level::To,
            "+" | "-" => Level::Sum,
            "*" | "/" => Level::Product,
            _ => Level::Compare,
        }
    }

    fn single(self) -> bool {
        matches!(self, Level::Compare | Level::Range | Level::Place | Level::To)
    }
}

type Flat<'i> = Peekable<Pairs<'i, Rule>>;

fn broken(span: Span) -> Expr {
    Expr { kind: ExprKind::Broken, span }
}

impl Builder<'_> {
    /// The expression inside a rule that wraps one.
    pub fn inner_expression(&mut self, pair: Pair<Rule>) -> Option<Expr> {
        let inner = pair.into_inner().find(|p| p.as_rule() == Rule::expression)?;
        Some(self.expression(inner))
    }

    /// `value` or `value else CODE "text"`.
    pub fn expression(&mut self, pair: Pair<Rule>) -> Expr {
        let span = self.token(&pair);
        let mut out = None;
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::value => out = Some(self.value(p)),
                Rule::or_fail => {
                    let (mut code, mut text) = (None, None);
                    for p in p.into_inner() {
                        match p.as_rule() {
                            Rule::code => code = Some(self.ident(&p)),
                            Rule::text => text = Some(self.text(&p)),
                            _ => {}
                        }
                    }
                    if let (Some(value), Some(code), Some(text)) = (out.take(), code, text) {
                        let span = value.span.to(text.span);
                        out = Some(Expr { kind: ExprKind::OrFail(Box::new(value), code, text), span });
                    }
                }
                _ => {}
            }
        }
        out.unwrap_or(broken(span))
    }

    /// `if c then a else b`, or operands and operators.
    pub fn value(&mut self, pair: Pair<Rule>) -> Expr {
        let span = self.token(&pair);
        // A long chain becomes a deep tree: each operator may be one level.
        let chain = pair.clone().into_inner().count();
        let before = self.depth;
        self.depth += 1 + chain / 2;
        let out = if self.depth > NESTING + 1 {
            self.too_deep(self.span(&pair));
            broken(span)
        } else {
            let mut flat = pair.into_inner().peekable();
            match flat.peek().map(|p| p.as_rule()) {
                Some(Rule::if_value) => flat.next().and_then(|p| self.if_value(p)).unwrap_or(broken(span)),
                _ => self.climb(&mut flat, Level::Or).unwrap_or(broken(span)),
            }
        };
        self.depth = before;
        out
    }

    fn if_value(&mut self, pair: Pair<Rule>) -> Option<Expr> {
        let start = self.token(&pair);
        let parts = pair.into_inner().filter(|p| p.as_rule() == Rule::value);
        let mut parts = parts.map(|p| Box::new(self.value(p)));
        let (c, a, b) = (parts.next()?, parts.next()?, parts.next()?);
        let span = start.to(b.span);
        let span = Span { end: b.span.end, ..span };
        Some(Expr { kind: ExprKind::If(c, a, b), span })
    }

    /// An operand and the operators after it that bind at least as tightly as `least`.
    fn climb(&mut self, flat: &mut Flat, least: Level) -> Option<Expr> {
        let mut left = self.operand(flat)?;
        let mut last: Option<Level> = None;
        while let Some(next) = flat.peek() {
            if next.as_rule() != Rule::infix || Level::of(next.as_str()) < least {
                break;
            }
            let sign = flat.next()?;
            let level = Level::of(sign.as_str());
            let right = match level {
                Level::Or => self.climb(flat, Level::And)?,
                Level::And => self.climb(flat, Level::Not)?,
                Level::Compare => self.climb(flat, Level::Range)?,
                Level::Range => self.climb(flat, Level::Place)?,
                Level::Place => self.climb(flat, Level::To)?,
                Level::To => self.climb(flat, Level::Sum)?,
                Level::Sum => self.climb(flat, Level::Product)?,
                _ => self.climb(flat, Level::Minus)?,
            };
            let span = left.span.to(right.span);
            let twice = level.single() && last == Some(level);
            last = Some(level);
            left = if twice {
                self.twice(&sign, level);
                broken(span)
            } else {
                Expr { kind: joined(sign.as_str(), Box::new(left), Box::new(right)), span }
            };
        }
        Some(left)
    }

    fn twice(&mut self, sign: &Pair<Rule>, level: Level) {
        let (say, help) = match level {
            Level::Compare => {
                ("One comparison at a time.", "Join two of them with `and`: `a < b and b < c`.")
            }
            Level::Range => ("A range has two ends.", "Write `low .. high`."),
            Level::Place => ("One `after` or `before` at a time.", "Put the inner one in brackets."),
            _ => ("One `to` at a time.", "Write `1 to n`."),
        };
        let span = self.token(sign);
        let label = format!("a second `{}`", sign.as_str());
        self.messages.push(Diagnostic::error("syntax", say, span, label).help(help));
    }

    fn operand(&mut self, flat: &mut Flat) -> Option<Expr> {
        let first = flat.next()?;
        let start = self.token(&first);
        if first.as_rule() == Rule::prefix {
            return self.prefixed(flat, first.as_str(), start);
        }
        let mut out = self.primary(first, flat);
        while let Some(next) = flat.next_if(|p| matches!(p.as_rule(), Rule::member | Rule::index)) {
            let span = out.span.to(self.span(&next));
            out = match next.as_rule() {
                Rule::member => match next.into_inner().find(|p| p.as_rule() == Rule::label) {
                    Some(label) => {
                        let label = self.ident(&label);
                        let span = out.span.to(label.span);
                        Expr { kind: ExprKind::Member(Box::new(out), label), span }
                    }
                    None => broken(span),
                },
                _ => match self.inner_expression(next) {
                    Some(i) => Expr { kind: ExprKind::Index(Box::new(out), Box::new(i)), span },
                    None => broken(span),
                },
            };
        }
        Some(out)
    }

    fn prefixed(&mut self, flat: &mut Flat, sign: &str, start: Span) -> Option<Expr> {
        let level = match sign {
            "-" => Level::Minus,
            "not" => Level::Not,
            _ => Level::To,
        };
        let inner = Box::new(self.climb(flat, level)?);
        let span = start.to(inner.span);
        let kind = match sign {
            "-" => ExprKind::Negative(inner),
            "not" => ExprKind::Not(inner),
            "after" => ExprKind::After(None, inner),
            _ => ExprKind::Before(None, inner),
        };
        Some(Expr { kind, span })
    }

    fn primary(&mut self, pair: Pair<Rule>, flat: &mut Flat) -> Expr {
        let span = self.token(&pair);
        let kind = match pair.as_rule() {
            Rule::number => {
                let number = self.number(&pair);
                let Some(share) = flat.next_if(|p| p.as_rule() == Rule::share) else { return number };
                let span = span.to(self.token(&share));
                return Expr { kind: ExprKind::Share(Some(Box::new(number))), span };
            }
            Rule::share => ExprKind::Share(None),
            Rule::text => ExprKind::Text(self.text(&pair)),
            Rule::constant => match pair.as_str() {
                "yes" => ExprKind::True,
                "no" => ExprKind::False,
                _ => ExprKind::None,
            },
            Rule::named => return self.named(pair),
            Rule::group => {
                let inner = self.inner_expression(pair);
                return inner.map_or(broken(span), |e| Expr { kind: e.kind, span });
            }
            Rule::list => return self.list(pair),
            _ => ExprKind::Broken,
        };
        Expr { kind, span }
    }

    /// A name, or a call where brackets follow it.
    fn named(&mut self, pair: Pair<Rule>) -> Expr {
        let whole = self.span(&pair);
        let mut name = None;
        for p in pair.into_inner() {
            match (p.as_rule(), name) {
                (Rule::name, _) => name = Some(self.ident(&p)),
                (Rule::args, Some(name)) => {
                    let span = whole.to(self.token(&p));
                    let call = Call { name, args: self.args(p), span };
                    return Expr { kind: ExprKind::Call(call), span };
                }
                _ => {}
            }
        }
        match name {
            Some(Ident { name, span }) => Expr { kind: ExprKind::Name(name), span },
            None => broken(whole),
        }
    }

    fn list(&mut self, pair: Pair<Rule>) -> Expr {
        let span = self.token(&pair);
        let mut values = Vec::new();
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::expression => values.push(self.expression(p)),
                Rule::collect => {
                    let each = p.into_inner().find(|p| p.as_rule() == Rule::each);
                    let each = each.and_then(|p| self.each(p));
                    return match (values.pop(), each) {
                        (Some(value), Some(each)) => {
                            Expr { kind: ExprKind::Collect(Box::new(value), Box::new(each)), span }
                        }
                        _ => broken(span),
                    };
                }
                _ => {}
            }
        }
        Expr { kind: ExprKind::List(values), span }
    }

    /// `NAME number NUMBER in LIST where CONDITION`.
    pub fn each(&mut self, pair: Pair<Rule>) -> Option<Each> {
        let (mut name, mut number, mut list, mut condition) = (None, None, None, None);
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::name => name = Some(self.ident(&p)),
                Rule::number_name => {
                    let p = p.into_inner().find(|p| p.as_rule() == Rule::name);
                    number = p.map(|p| self.ident(&p));
                }
                Rule::expression => list = Some(self.expression(p)),
                Rule::where_ => {
                    let p = p.into_inner().find(|p| p.as_rule() == Rule::value);
                    condition = p.map(|p| self.value(p));
                }
                _ => {}
            }
        }
        Some(Each { name: name?, number, list: list?, condition })
    }

    /// A name and its arguments.
    pub fn call(&mut self, pair: Pair<Rule>) -> Option<Call> {
        let span = self.span(&pair);
        let mut name = None;
        let mut args = Vec::new();
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::name => name = Some(self.ident(&p)),
                Rule::args => args = self.args(p),
                _ => {}
            }
        }
        Some(Call { name: name?, args, span })
    }

    /// The arguments between the brackets of a call.
    pub fn args(&mut self, pair: Pair<Rule>) -> Vec<Arg> {
        let args = pair.into_inner().filter(|p| p.as_rule() == Rule::arg);
        args.filter_map(|p| {
            let (mut label, mut value) = (None, None);
            for p in p.into_inner() {
                match p.as_rule() {
                    Rule::label => label = Some(self.ident(&p)),
                    Rule::expression => value = Some(self.expression(p)),
                    _ => {}
                }
            }
            Some(Arg { label, value: value? })
        })
        .collect()
    }

    fn number(&mut self, pair: &Pair<Rule>) -> Expr {
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

fn joined(sign: &str, left: Box<Expr>, right: Box<Expr>) -> ExprKind {
    let operator = match sign {
        ".." => return ExprKind::Range(left, right),
        "after" => return ExprKind::After(Some(left), right),
        "before" => return ExprKind::Before(Some(left), right),
        "to" => return ExprKind::To(left, right),
        "or" => Operator::Or,
        "and" => Operator::And,
        "==" => Operator::Equal,
        "!=" => Operator::Unequal,
        "<" => Operator::Less,
        "<=" => Operator::LessEqual,
        ">" => Operator::Greater,
        ">=" => Operator::GreaterEqual,
        "+" => Operator::Add,
        "-" => Operator::Subtract,
        "*" => Operator::Multiply,
        _ => Operator::Divide,
    };
    ExprKind::Binary(operator, left, right)
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

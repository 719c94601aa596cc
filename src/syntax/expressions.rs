//! From pest's flat lists of operands and operators to expressions.

use super::NESTING;
use super::build::Builder;
use super::grammar::Rule;
use super::tree::*;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
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

pub(super) fn broken(span: Span) -> Expr {
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

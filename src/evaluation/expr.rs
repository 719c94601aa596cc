//! Expressions.

use super::machine::{Evaluation, MOST_ROUNDS, Res};
use super::scope::{Reach, ScopeId, Work};
use super::value::{Range, Value};
use crate::diagnostics::Diagnostic;
use crate::syntax::Name;
use crate::syntax::tree::{Each, Expr, ExprKind, Ident, Operator, Piece, Text};
use crate::values::{Dimension, Quantity, Rational};
use std::rc::Rc;

impl<'p> Evaluation<'p> {
    /// The value of an expression in a scope.
    pub fn eval(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Value<'p>> {
        match &e.kind {
            ExprKind::Number(q) => Ok(Value::Quantity(*q)),
            ExprKind::Text(text) => Ok(Value::Text(self.text(text, scope)?.into())),
            ExprKind::Name(name) => self.name(Ident { name: *name, span: e.span }, scope),
            ExprKind::None => Ok(Value::None),
            ExprKind::True => Ok(Value::Flag(true)),
            ExprKind::False => Ok(Value::Flag(false)),
            ExprKind::Share(weight) => self.share(weight.as_deref(), scope),
            ExprKind::Member(object, name) => self.member_expr(object, *name, scope),
            ExprKind::Index(object, index) => self.index(object, index, scope),
            ExprKind::Call(call) => self.call(call, scope),
            ExprKind::Negative(inner) => {
                let value = self.eval(inner, scope)?;
                match value {
                    Value::Quantity(q) => {
                        let value = self.exact(scope, e.span, q.value.neg())?;
                        Ok(Value::Quantity(Quantity { value, ..q }))
                    }
                    other => Err(self.wrong_kind(scope, inner, &other, "a number or a length")),
                }
            }
            ExprKind::Not(inner) => Ok(Value::Flag(!self.flag(inner, scope)?)),
            ExprKind::Binary(op, a, b) => self.binary(*op, a, b, scope, e.span),
            ExprKind::Range(..) | ExprKind::After(..) | ExprKind::Before(..) => {
                self.range_expr(e, scope, None, None).map(Value::Range)
            }
            ExprKind::To(a, b) => self.count_up(a, b, scope),
            ExprKind::If(c, a, b) => {
                let branch = if self.flag(c, scope)? { a } else { b };
                self.eval(branch, scope)
            }
            ExprKind::List(list) => {
                let mut values = Vec::with_capacity(list.len());
                for e in list {
                    values.push(self.eval(e, scope)?);
                }
                Ok(Value::List(values.into()))
            }
            ExprKind::Collect(body, each) => {
                let rounds = self.rounds(each, scope)?;
                let mut values = Vec::with_capacity(rounds.len());
                for round in rounds {
                    values.push(self.eval(body, round)?);
                }
                Ok(Value::List(values.into()))
            }
            ExprKind::OrFail(inner, code, text) => {
                let value = self.eval(inner, scope)?;
                let empty = match &value {
                    Value::None => true,
                    Value::List(list) => list.is_empty(),
                    _ => false,
                };
                if !empty {
                    return Ok(value);
                }
                let message = self.text(text, scope)?;
                let code = self.rule_code(*code);
                let mut d = Diagnostic::new(
                    code.into(),
                    crate::diagnostics::Severity::Error,
                    message,
                    inner.span,
                    "nothing is left to choose",
                );
                d.labels.extend(self.literal_labels(inner, scope));
                d.misses.extend(self.too_short_for(inner, scope));
                Err(self.say(scope, d))
            }
            ExprKind::Broken => Err(super::machine::Failed),
        }
    }

    /// A text with its expressions filled in.
    pub(super) fn text(&mut self, text: &'p Text, scope: ScopeId) -> Res<String> {
        let mut out = String::new();
        for piece in &text.pieces {
            match piece {
                Piece::Plain(plain) => out.push_str(plain),
                Piece::Value(e) => {
                    let value = self.eval(e, scope)?;
                    out.push_str(&self.words(&value));
                }
            }
        }
        Ok(out)
    }

    /// A value as it is shown in a text.
    pub fn words(&self, value: &Value<'p>) -> String {
        match value {
            Value::Quantity(q) => self.style.quantity(*q),
            Value::Place(p) => self.show(p.at),
            Value::Range(r) => format!("{} .. {}", self.show(r.lo), self.show(r.hi)),
            Value::Flag(yes) => if *yes { "yes" } else { "no" }.to_string(),
            Value::Text(t) => t.to_string(),
            Value::Word(name, _) => name.to_string(),
            Value::None => "none".to_string(),
            Value::Share(w) => format!("{} share", crate::values::decimal(*w, 3)),
            Value::List(list) => list.iter().map(|v| self.words(v)).collect::<Vec<_>>().join(", "),
            Value::Part(p) => self.parts[p.0 as usize].name.to_string(),
            Value::Face(p, f) => format!("{}.{}", self.parts[p.0 as usize].name, f.word()),
            Value::Box(b) => self.boxes[b.0 as usize].name.clone(),
            Value::Space(s) => self.spaces[s.0 as usize].name.to_string(),
            Value::Seam(s) => format!(
                "the seam of {} and {}",
                self.parts[s.a.0 as usize].name, self.parts[s.b.0 as usize].name
            ),
            Value::Point(p) => p.at.iter().map(|c| self.show(*c)).collect::<Vec<_>>().join(", "),
            Value::Thing(t) => t.def.name.name.to_string(),
        }
    }

    fn share(&mut self, weight: Option<&'p Expr>, scope: ScopeId) -> Res<Value<'p>> {
        let Some(weight) = weight else { return Ok(Value::Share(Rational::ONE)) };
        match self.eval(weight, scope)? {
            Value::Quantity(q) if q.dimension == Dimension::NUMBER && q.value.is_positive() => {
                Ok(Value::Share(q.value))
            }
            other => Err(self.wrong_kind(scope, weight, &other, "a number above nought")),
        }
    }

    fn count_up(&mut self, a: &'p Expr, b: &'p Expr, scope: ScopeId) -> Res<Value<'p>> {
        let from = self.whole(a, scope)?;
        let to = self.whole(b, scope)?;
        if to.saturating_sub(from) >= super::machine::MOST_COUNTED {
            self.made_from(&[b], scope);
            return Err(self.too_many(scope, b.span, to));
        }
        Ok(Value::List((from..=to).map(Value::number).collect::<Vec<_>>().into()))
    }

    /// The scopes of the rounds of a `for`.
    pub(super) fn rounds(&mut self, each: &'p Each, scope: ScopeId) -> Res<Vec<ScopeId>> {
        let list = match self.eval(&each.list, scope)? {
            Value::List(list) => list,
            other => return Err(self.wrong_kind(scope, &each.list, &other, "a list")),
        };
        self.rounds += list.len();
        if self.rounds > MOST_ROUNDS {
            let d = Diagnostic::error(
                "too-many",
                format!("The loops of this design make more than {MOST_ROUNDS} rounds."),
                each.list.span,
                format!("{} more here", list.len()),
            )
            .help("Check the list: a count may be far too large.");
            return Err(self.say(scope, d));
        }
        let mut rounds = Vec::with_capacity(list.len());
        for (i, value) in list.iter().enumerate() {
            let round = self.inner_scope(scope);
            let slot = self.given(value.clone());
            self.slots[slot.0 as usize].work = Work::Element(&each.list, scope, u32::try_from(i).ok());
            self.enter(round, each.name, slot, Reach::Private);
            if let Some(number) = each.number {
                let slot = self.given(Value::number(i as i64 + 1));
                self.enter(round, number, slot, Reach::Private);
            }
            if let Some(condition) = &each.condition {
                if !self.flag(condition, round)? {
                    continue;
                }
            }
            let label = match value {
                Value::Box(b) => self.boxes[b.0 as usize].name.clone(),
                _ => (rounds.len() + 1).to_string(),
            };
            self.scopes[round.0 as usize].indices.push(label);
            rounds.push(round);
        }
        Ok(rounds)
    }

    /// An expression that must be yes or no.
    pub(super) fn flag(&mut self, e: &'p Expr, scope: ScopeId) -> Res<bool> {
        match self.eval(e, scope)? {
            Value::Flag(yes) => Ok(yes),
            other => Err(self.wrong_kind(scope, e, &other, "yes or no")),
        }
    }

    /// An expression that must be a whole number.
    pub(super) fn whole(&mut self, e: &'p Expr, scope: ScopeId) -> Res<i64> {
        match self.eval(e, scope)? {
            Value::Quantity(q) if q.dimension == Dimension::NUMBER => match q.value.to_i64() {
                Some(n) => Ok(n),
                None => Err(self.wrong_kind(scope, e, &Value::Quantity(q), "a whole number")),
            },
            other => Err(self.wrong_kind(scope, e, &other, "a whole number")),
        }
    }

    /// An expression that must be a length, in mm.
    pub(super) fn length(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Rational> {
        match self.eval(e, scope)? {
            Value::Quantity(q) if q.dimension == Dimension::LENGTH => Ok(q.value),
            other => Err(self.wrong_kind(scope, e, &other, "a length")),
        }
    }

    /// An expression that must be a list.
    pub(super) fn list(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Rc<[Value<'p>]>> {
        match self.eval(e, scope)? {
            Value::List(list) => Ok(list),
            other => Err(self.wrong_kind(scope, e, &other, "a list")),
        }
    }

    /// An expression that must be text.
    pub(super) fn text_value(&mut self, e: &'p Expr, scope: ScopeId) -> Res<String> {
        match self.eval(e, scope)? {
            Value::Text(text) => Ok(text.to_string()),
            other => Err(self.wrong_kind(scope, e, &other, "text in quotes")),
        }
    }

    /// A word out of a list of the kernel's own, or a value that holds one.
    pub(super) fn word(&mut self, e: &'p Expr, scope: ScopeId, words: &[&'static str]) -> Res<&'static str> {
        if let ExprKind::Name(name) = &e.kind {
            if let Some(word) = words.iter().find(|w| **w == name.as_str()) {
                return Ok(word);
            }
        }
        if let ExprKind::If(c, a, b) = &e.kind {
            let branch = if self.flag(c, scope)? { a } else { b };
            return self.word(branch, scope, words);
        }
        let found = match &e.kind {
            ExprKind::Name(name) => {
                let ident = Ident { name: *name, span: e.span };
                match self.lookup(scope, ident)? {
                    Some(slot) => Some(self.force(slot)?),
                    None => None,
                }
            }
            _ => Some(self.eval(e, scope)?),
        };
        if let Some(Value::Word(name, _)) = &found {
            if let Some(word) = words.iter().find(|w| **w == name.as_str()) {
                return Ok(word);
            }
        }
        let d = Diagnostic::error(
            "unknown-word",
            match &found {
                Some(value) => format!("Here one of a few words is due, not {}.", value.kind()),
                None => format!("`{}` is not one of the words that fit here.", self.source(e)),
            },
            e.span,
            "not one of them",
        )
        .help(format!("Write one of: {}.", words.join(", ")));
        Err(self.say(scope, d))
    }

    /// The text of an expression as written.
    pub(super) fn source(&self, e: &Expr) -> String {
        self.program.sources.text(e.span).to_string()
    }

    /// Says that a value is of another kind than is due; a bare number for a length has its own words.
    pub(super) fn wrong_kind(
        &mut self,
        scope: ScopeId,
        e: &'p Expr,
        value: &Value<'p>,
        due: &str,
    ) -> super::machine::Failed {
        let d = self.wrong_kind_message(e, value, due);
        let mut d = d;
        d.labels.extend(self.kind_labels(e, scope));
        self.say(scope, d)
    }

    pub(super) fn wrong_kind_message(&self, e: &Expr, value: &Value<'p>, due: &str) -> Diagnostic {
        if let (Value::Quantity(q), "a length") = (value, due) {
            if q.dimension == Dimension::NUMBER {
                let figure = crate::values::decimal(q.value, 3);
                let (one, two) = if self.style.inches { ("in", "mm") } else { ("mm", "in") };
                return Diagnostic::error(
                    "length-needs-unit",
                    format!("A length needs a unit; `{figure}` has none."),
                    e.span,
                    "a plain number",
                )
                .help(format!("Write `{figure}{one}` or `{figure}{two}`."));
            }
        }
        let mut d = Diagnostic::error(
            "wrong-kind",
            format!("Here {due} is due, and this is {}.", value.kind()),
            e.span,
            value.kind(),
        );
        if let (Value::Place(_), "a length") = (value, due) {
            d = d.help(
                "A place says where, a length how long. Take the difference of two places, or `.size` of a range.",
            );
        }
        d
    }

    /// Where the value of a name was set, for a message about its kind.
    fn kind_labels(&mut self, e: &'p Expr, scope: ScopeId) -> Vec<crate::diagnostics::Label> {
        let ExprKind::Name(name) = &e.kind else { return Vec::new() };
        let Ok(Some(slot)) = self.lookup(scope, Ident { name: *name, span: e.span }) else {
            return Vec::new();
        };
        let (span, _) = self.slot_site(slot);
        if span.start == span.end || span == e.span {
            return Vec::new();
        }
        vec![crate::diagnostics::Label::new(span, format!("`{name}` is set here"))]
    }

    pub(super) fn too_many(
        &mut self,
        scope: ScopeId,
        span: crate::sources::Span,
        n: i64,
    ) -> super::machine::Failed {
        let most = super::machine::MOST_COUNTED;
        let d = Diagnostic::error(
            "too-many",
            format!("{n} at once is more than this compiler makes."),
            span,
            format!("{n}"),
        )
        .help(format!("At most {most} of one thing."));
        self.say(scope, d)
    }

    /// A rule's code with the prefix of its module.
    pub(super) fn rule_code(&self, code: Ident) -> String {
        let module = self.program.module_of(code.span.file);
        match module.map(|m| self.program.module(m).prefix.as_str()) {
            Some("") | None => code.name.to_string(),
            Some(prefix) => format!("{prefix}.{}", code.name),
        }
    }

    /// The element of a list, counted from 1.
    fn index(&mut self, object: &'p Expr, index: &'p Expr, scope: ScopeId) -> Res<Value<'p>> {
        let list = self.list(object, scope)?;
        let n = self.whole(index, scope)?;
        let found = usize::try_from(n).ok().and_then(|n| n.checked_sub(1)).and_then(|i| list.get(i));
        match found {
            Some(value) => Ok(value.clone()),
            None => {
                let text = self.source(object);
                let message = if list.is_empty() {
                    format!("`{text}` is empty; it has no number {n}.")
                } else {
                    format!("`{text}` has {} of them; there is no number {n}.", list.len())
                };
                let mut d = Diagnostic::error("no-such-number", message, index.span, format!("number {n}"));
                if !list.is_empty() {
                    d = d.help(format!("Count from 1 to {}.", list.len()));
                }
                d.labels.extend(self.count_labels(object, scope));
                let len = i64::try_from(list.len()).unwrap_or(i64::MAX);
                let over = Rational::int(n).sub(Rational::int(len));
                d.misses.extend(over.map(|by| by.max(Rational::ZERO)));
                let behind = self.literals(index, scope);
                d.behind.extend(self.labels_of(&behind));
                let behind = self.literals(object, scope);
                d.behind.extend(self.labels_of(&behind));
                self.made_from(&[index], scope);
                self.pending.push(super::faults::Cause::Count(object, scope));
                Err(self.say(scope, d))
            }
        }
    }

    fn count_labels(&mut self, object: &'p Expr, scope: ScopeId) -> Vec<crate::diagnostics::Label> {
        let mut labels = Vec::new();
        if let ExprKind::Name(name) = &object.kind {
            if let Ok(Some(slot)) = self.lookup(scope, Ident { name: *name, span: object.span }) {
                if let Work::PartList(stmt, inside) = self.slots[slot.0 as usize].work {
                    if let Some(count) = &stmt.count {
                        labels.extend(self.literal_labels(count, inside));
                    }
                }
            }
        }
        labels
    }

    pub(super) fn binary(
        &mut self,
        op: Operator,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
        span: crate::sources::Span,
    ) -> Res<Value<'p>> {
        match op {
            Operator::And => Ok(Value::Flag(self.flag(a, scope)? && self.flag(b, scope)?)),
            Operator::Or => Ok(Value::Flag(self.flag(a, scope)? || self.flag(b, scope)?)),
            Operator::Equal | Operator::Unequal => {
                let (left, right) = self.two_sides(a, b, scope)?;
                let same = self.equal(&left, &right, a, b, scope)?;
                Ok(Value::Flag(same == (op == Operator::Equal)))
            }
            _ => {
                let left = self.eval(a, scope)?;
                let right = self.eval(b, scope)?;
                self.arithmetic(op, left, right, a, b, scope, span)
            }
        }
    }

    /// Both sides of a comparison; a bare word opposite a choice is that word.
    fn two_sides(&mut self, a: &'p Expr, b: &'p Expr, scope: ScopeId) -> Res<(Value<'p>, Value<'p>)> {
        let pick =
            |name: Name, words: &Rc<[Name]>| words.contains(&name).then(|| Value::Word(name, words.clone()));
        let known = |this: &mut Self, e: &'p Expr| -> Res<Option<Value<'p>>> {
            match &e.kind {
                ExprKind::Name(name) => match this.lookup(scope, Ident { name: *name, span: e.span })? {
                    Some(slot) => this.force(slot).map(Some),
                    None => Ok(None),
                },
                _ => this.eval(e, scope).map(Some),
            }
        };
        if let ExprKind::Name(name) = &b.kind {
            if let Some(Value::Word(w, words)) = known(self, a)? {
                if let Some(right) = pick(*name, &words) {
                    return Ok((Value::Word(w, words), right));
                }
            }
        }
        if let ExprKind::Name(name) = &a.kind {
            if let Some(Value::Word(w, words)) = known(self, b)? {
                if let Some(left) = pick(*name, &words) {
                    return Ok((left, Value::Word(w, words)));
                }
            }
        }
        Ok((self.eval(a, scope)?, self.eval(b, scope)?))
    }

    /// A range as a value, wherever its ends count from.
    pub(super) fn range_value(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Range> {
        match self.eval(e, scope)? {
            Value::Range(range) => Ok(range),
            other => Err(self.wrong_kind(scope, e, &other, "a range (`a .. b`)")),
        }
    }
}

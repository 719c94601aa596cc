//! Arithmetic and comparison, with their messages.

use super::machine::{Evaluation, Res};
use super::scope::ScopeId;
use super::value::{Place, Value};
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use crate::syntax::tree::{Expr, Operator};
use crate::values::{Dimension, Quantity};
use std::cmp::Ordering;
use std::rc::Rc;

impl<'p> Evaluation<'p> {
    #[allow(clippy::too_many_arguments)]
    pub(super) fn arithmetic(
        &mut self,
        op: Operator,
        left: Value<'p>,
        right: Value<'p>,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
        span: Span,
    ) -> Res<Value<'p>> {
        use Operator::*;
        match (op, &left, &right) {
            (Add | Subtract, Value::Quantity(x), Value::Quantity(y)) => {
                if x.dimension != y.dimension {
                    return Err(self.unlike(op, &left, &right, a, b, scope, span));
                }
                let sum = if op == Add { x.value.add(y.value) } else { x.value.sub(y.value) };
                let value = self.exact(scope, span, sum)?;
                Ok(Value::Quantity(Quantity { value, dimension: x.dimension }))
            }
            (Multiply, Value::Quantity(x), Value::Quantity(y)) => {
                let Some(dimension) = x.dimension.times(y.dimension) else {
                    return Err(self.unlike(op, &left, &right, a, b, scope, span));
                };
                let value = self.exact(scope, span, x.value.mul(y.value))?;
                Ok(Value::Quantity(Quantity { value, dimension }))
            }
            (Divide, Value::Quantity(x), Value::Quantity(y)) => {
                let Some(dimension) = x.dimension.over(y.dimension) else {
                    return Err(self.unlike(op, &left, &right, a, b, scope, span));
                };
                match x.value.div(y.value) {
                    Some(result) => {
                        let value = self.exact(scope, span, result)?;
                        Ok(Value::Quantity(Quantity { value, dimension }))
                    }
                    None => {
                        let mut d = Diagnostic::error(
                            "division-by-zero",
                            "This divides by nought.",
                            b.span,
                            "comes to nought",
                        )
                        .help("Give a divisor other than nought.");
                        d.labels.extend(self.literal_labels(b, scope));
                        Err(self.say(scope, d))
                    }
                }
            }
            (Add | Subtract, Value::Place(p), Value::Quantity(q)) if q.dimension == Dimension::LENGTH => {
                let sum = if op == Add { p.at.add(q.value) } else { p.at.sub(q.value) };
                let at = self.exact(scope, span, sum)?;
                Ok(Value::Place(Place { at, ..*p }))
            }
            (Add, Value::Quantity(q), Value::Place(p)) if q.dimension == Dimension::LENGTH => {
                let at = self.exact(scope, span, p.at.add(q.value))?;
                Ok(Value::Place(Place { at, ..*p }))
            }
            (Subtract, Value::Place(p), Value::Place(q)) => {
                let other = self.beside(*p, *q, a, b, scope, span)?;
                let value = self.exact(scope, span, p.at.sub(other))?;
                Ok(Value::mm(value))
            }
            (Less | LessEqual | Greater | GreaterEqual, _, _) => {
                let order = self.order(&left, &right, a, b, scope, span)?;
                Ok(Value::Flag(match op {
                    Less => order == Ordering::Less,
                    LessEqual => order != Ordering::Greater,
                    Greater => order == Ordering::Greater,
                    _ => order != Ordering::Less,
                }))
            }
            _ => Err(self.unlike(op, &left, &right, a, b, scope, span)),
        }
    }

    /// The coordinate of a place in the frame of another on the same axis.
    fn beside(
        &mut self,
        p: Place,
        q: Place,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
        span: Span,
    ) -> Res<crate::values::Rational> {
        if p.axis != q.axis {
            let d = Diagnostic::error(
                "unlike",
                format!(
                    "A place on {} and a place on {} cannot be compared.",
                    super::machine::axis_word(p.axis),
                    super::machine::axis_word(q.axis)
                ),
                span,
                "two axes",
            )
            .label(a.span, format!("on {}", super::machine::axis_word(p.axis)))
            .label(b.span, format!("on {}", super::machine::axis_word(q.axis)));
            return Err(self.say(scope, d));
        }
        self.translate(q, p.frame, scope, span)
    }

    /// Order of two numbers of one kind, or two places of one axis.
    pub(super) fn order(
        &mut self,
        left: &Value<'p>,
        right: &Value<'p>,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
        span: Span,
    ) -> Res<Ordering> {
        match (left, right) {
            (Value::Quantity(x), Value::Quantity(y)) if x.dimension == y.dimension => {
                Ok(x.value.cmp(&y.value))
            }
            (Value::Place(p), Value::Place(q)) => {
                let other = self.beside(*p, *q, a, b, scope, span)?;
                Ok(p.at.cmp(&other))
            }
            _ => Err(self.unlike(Operator::Less, left, right, a, b, scope, span)),
        }
    }

    /// Whether two values are equal; unlike kinds are an error, but anything may be compared with none.
    pub(super) fn equal(
        &mut self,
        left: &Value<'p>,
        right: &Value<'p>,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
    ) -> Res<bool> {
        let span = a.span.to(b.span);
        Ok(match (left, right) {
            (Value::None, Value::None) => true,
            (Value::None, _) | (_, Value::None) => false,
            (Value::Quantity(_), Value::Quantity(_)) | (Value::Place(_), Value::Place(_)) => {
                self.order(left, right, a, b, scope, span)? == Ordering::Equal
            }
            (Value::Flag(x), Value::Flag(y)) => x == y,
            (Value::Text(x), Value::Text(y)) => x == y,
            (Value::Word(x, of), Value::Word(y, or)) if of == or || of.contains(y) => x == y,
            (Value::Part(x), Value::Part(y)) => x == y,
            (Value::Face(p, f), Value::Face(q, g)) => p == q && f == g,
            (Value::Box(x), Value::Box(y)) => x == y,
            (Value::Space(x), Value::Space(y)) => x == y,
            (Value::Share(x), Value::Share(y)) => x == y,
            (Value::Thing(x), Value::Thing(y)) => self.same_thing(x.clone(), y.clone())?,
            (Value::Range(x), Value::Range(y)) => x == y,
            _ => return Err(self.unlike(Operator::Equal, left, right, a, b, scope, span)),
        })
    }

    /// Two boards, bands or items are the same where definition and all arguments are.
    pub(super) fn same_thing(
        &mut self,
        x: Rc<super::value::Thing<'p>>,
        y: Rc<super::value::Thing<'p>>,
    ) -> Res<bool> {
        if Rc::ptr_eq(&x, &y) {
            return Ok(true);
        }
        if !std::ptr::eq(x.def, y.def) {
            return Ok(false);
        }
        Ok(self.thing_key(&x)? == self.thing_key(&y)?)
    }

    #[allow(clippy::too_many_arguments)]
    fn unlike(
        &mut self,
        op: Operator,
        left: &Value<'p>,
        right: &Value<'p>,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
        span: Span,
    ) -> super::machine::Failed {
        if let (Value::Share(_), _) | (_, Value::Share(_)) = (left, right) {
            let d = Diagnostic::error(
                "share-in-arithmetic",
                "A share is an unknown portion; nothing can be added to it or taken from it.",
                span,
                "not a figure yet",
            )
            .help("Leave it alone in a list of portions, and write the rest as a portion of its own: `[share, 10mm]`.");
            return self.say(scope, d);
        }
        let sign = op.sign();
        let text = match op {
            Operator::Add | Operator::Subtract | Operator::Multiply | Operator::Divide => {
                format!("`{sign}` does not go between {} and {}.", left.kind(), right.kind())
            }
            _ => {
                format!("{} and {} cannot be compared.", super::machine::capital(&left.kind()), right.kind())
            }
        };
        let mut d = Diagnostic::error("unlike", text, span, "unlike kinds")
            .label(a.span, left.kind())
            .label(b.span, right.kind());
        let number = |v: &Value<'p>| matches!(v, Value::Quantity(q) if q.dimension == Dimension::NUMBER);
        let long = |v: &Value<'p>| {
            matches!(v, Value::Quantity(q) if q.dimension == Dimension::LENGTH)
                || matches!(v, Value::Place(_))
        };
        if number(left) && long(right) {
            d = d.help(format!("Give the number a unit: `{}mm`.", self.source(a)));
        } else if long(left) && number(right) {
            d = d.help(format!("Give the number a unit: `{}mm`.", self.source(b)));
        } else if matches!((left, right), (Value::Place(_), Value::Place(_))) {
            d = d.help("Two places give a length when one is taken from the other: `a - b`.");
        } else if matches!((left, right), (Value::Place(_), _) | (_, Value::Place(_))) && op == Operator::Add
        {
            d = d.help("To a place only a length can be added.");
        }
        self.say(scope, d)
    }
}

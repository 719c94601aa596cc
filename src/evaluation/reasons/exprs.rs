//! What an expression reads.

use super::{Formula, Graph, Key, Open, Pick, StepId, Sum, Term, both, figure, picked};
use crate::evaluation::scope::{FrameId, FrameKind, ScopeId};
use crate::evaluation::trace::Literal;
use crate::evaluation::value::{Place, Value};
use crate::geometry::Axis;
use crate::syntax::Name;
use crate::syntax::tree::{Each, Expr, ExprKind, Operator};
use crate::values::{Dimension, Rational};

impl<'p> Graph<'_, 'p> {
    /// What an expression reads, of it what `path` picks; its sum, where it is one.
    pub(super) fn expr(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        if self.full() {
            return None;
        }
        self.depth += 1;
        let sum = self.expr_inside(e, scope, path, open);
        self.depth -= 1;
        sum
    }

    fn expr_inside(&mut self, e: &'p Expr, scope: ScopeId, path: &[Pick], open: &mut Open) -> Option<Sum> {
        match &e.kind {
            ExprKind::Number(q) => {
                if !open.literals.iter().any(|l| l.span == e.span) {
                    open.literals.push(Literal { span: e.span, value: *q, name: open.name });
                }
                Some(Sum::of(Term::Literal(e.span, *q)))
            }
            ExprKind::Text(text) => {
                for piece in &text.pieces {
                    if let crate::syntax::tree::Piece::Value(e) = piece {
                        self.expr(e, scope, &[], open);
                    }
                }
                None
            }
            ExprKind::Name(name) => self.name(*name, e.span, scope, path, open),
            ExprKind::Share(weight) => match weight {
                Some(w) => self.expr(w, scope, &[], open),
                None => Some(Sum::constant(Rational::ONE)),
            },
            ExprKind::Member(object, name) => self.member(object, *name, scope, path, open),
            ExprKind::Index(object, index) => {
                let n = self.value(index, scope).and_then(|v| match v {
                    Value::Quantity(q) => usize::try_from(q.value.to_i64()?).ok()?.checked_sub(1),
                    _ => None,
                });
                let Some(n) = n else { return self.expr(object, scope, &[], open) };
                let mut inner = vec![Pick::Item(n)];
                inner.extend(path);
                self.expr(object, scope, &inner, open)
            }
            ExprKind::Call(call) => self.call(call, e, scope, path, open),
            ExprKind::Negative(a) => self.part_of_formula(a, scope, open)?.times(Rational::int(-1)),
            ExprKind::Not(a) => {
                self.expr(a, scope, &[], open);
                None
            }
            ExprKind::Binary(op, a, b) => self.binary(*op, a, b, scope, open),
            ExprKind::Range(..) | ExprKind::After(..) | ExprKind::Before(..) => {
                let to = match self.value(e, scope) {
                    Some(Value::Range(r)) => r.anchor.map(|(_, frame)| frame),
                    _ => None,
                };
                let axis = None;
                self.range(e, scope, path.first().copied(), axis, None, to, open)
            }
            ExprKind::To(a, b) => match path.first() {
                Some(Pick::Item(i)) => {
                    let first = self.expr(a, scope, &[], open)?;
                    first.plus(Sum::constant(Rational::int(i64::try_from(*i).ok()?)), Rational::ONE)
                }
                Some(Pick::Count) => {
                    let (first, last) =
                        (self.part_of_formula(a, scope, open), self.part_of_formula(b, scope, open));
                    both(last, first, -1)?.plus(Sum::constant(Rational::ONE), Rational::ONE)
                }
                _ => {
                    self.expr(a, scope, &[], open);
                    self.expr(b, scope, &[], open);
                    None
                }
            },
            ExprKind::If(c, a, b) => {
                self.beside(c, scope, open);
                match self.look(|it| it.flag(c, scope)) {
                    Some(true) => self.expr(a, scope, path, open),
                    Some(false) => self.expr(b, scope, path, open),
                    None => {
                        self.expr(a, scope, path, open);
                        self.expr(b, scope, path, open);
                        None
                    }
                }
            }
            ExprKind::List(list) => match path.split_first() {
                Some((Pick::Item(i), rest)) => self.expr(list.get(*i)?, scope, rest, open),
                Some((Pick::Count, _)) => Some(Sum::constant(Rational::int(list.len() as i64))),
                _ => {
                    for e in list {
                        self.expr(e, scope, path, open);
                    }
                    None
                }
            },
            ExprKind::Collect(body, each) => self.collect(body, each, scope, path, open),
            ExprKind::OrFail(inner, _, _) => self.expr(inner, scope, path, open),
            ExprKind::None | ExprKind::True | ExprKind::False | ExprKind::Broken => None,
        }
    }

    /// A condition: read, but only chosen by.
    pub(super) fn beside(&mut self, e: &'p Expr, scope: ScopeId, open: &mut Open) {
        let before = std::mem::replace(&mut open.beside, true);
        self.expr(e, scope, &[], open);
        open.beside = before;
    }

    fn name(
        &mut self,
        name: Name,
        span: crate::sources::Span,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let ident = crate::syntax::tree::Ident { name, span };
        let slot = self.look(|it| it.lookup(scope, ident)).flatten()?;
        self.read(slot, path, Some(name.to_string()), open)
    }

    /// The sides of an operator: what is no plain sum itself becomes a step of its own.
    pub(super) fn part_of_formula(&mut self, e: &'p Expr, scope: ScopeId, open: &mut Open) -> Option<Sum> {
        match &e.kind {
            ExprKind::Call(_) | ExprKind::If(..) | ExprKind::OrFail(..) => {
                let id = self.alone(e, scope, &[]);
                open.read(id);
                Some(Sum::of(Term::Step(id)))
            }
            _ => self.expr(e, scope, &[], open),
        }
    }

    /// An expression as a step of its own.
    pub(super) fn alone(&mut self, e: &'p Expr, scope: ScopeId, path: &[Pick]) -> StepId {
        let key = Key::Expr(e.span, scope, path.to_vec());
        if let Some(id) = self.known.get(&key) {
            return *id;
        }
        let value = self.value(e, scope).and_then(|v| picked(&v, path));
        let name = one_line(&self.e.source(e));
        let id = self.enter(Some(key), name, Formula::Text(e.span), Some(e.span));
        let mut inside = Open::default();
        let sum = self.expr(e, scope, path, &mut inside);
        self.close(id, value, sum, inside)
    }

    /// A place as it stands in the frame `to`: where that is another figure, a step of its own, so that what
    /// is told of one formula is all counted from one corner.
    pub(super) fn place_in(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        place: Place,
        to: FrameId,
        open: &mut Open,
    ) -> Option<Sum> {
        self.standing(e, scope, place, to, open, |it, open| {
            let own = it.part_of_formula(e, scope, open);
            let name = it.name_of_place(e, own.as_ref());
            (name, it.moved(own, place.axis, place.frame, to, open))
        })
    }

    /// What a place is called: as its step is, unless that is a size (a box ends where it is as wide).
    pub(super) fn name_of_place(&self, e: &'p Expr, sum: Option<&Sum>) -> String {
        let name = sum.and_then(Sum::same_as).map(|id| self.steps[id].name.as_str());
        let size = |n: &&str| [".width", ".height", ".depth"].iter().any(|w| n.ends_with(w));
        match name.filter(|n| !size(n)) {
            Some(name) => name.to_string(),
            None => one_line(&self.e.source(e)),
        }
    }

    /// What `go` reads of `e` and calls by a name, a place that is moved to the frame `to`.
    pub(super) fn standing(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        place: Place,
        to: FrameId,
        open: &mut Open,
        go: impl FnOnce(&mut Self, &mut Open) -> (String, Option<Sum>),
    ) -> Option<Sum> {
        if place.frame == to {
            return go(self, open).1;
        }
        let key = Key::Moved(e.span, scope, to);
        if let Some(id) = self.known.get(&key) {
            let id = *id;
            return self.one(id, open);
        }
        let mut inside = Open::default();
        let (name, moved) = go(self, &mut inside);
        let at = moved.as_ref().and_then(|s| s.total(|id| self.exact(id)));
        // Where it stands at the same figure in both frames nothing is to be told.
        let Some(at) = at.filter(|at| *at != place.at) else {
            open.take(&inside);
            return moved;
        };
        let from = self.frame_name(to, place.axis);
        let name = format!("{name} from {from}");
        // The name says it all where what lies between falls out.
        let words = Formula::Words(String::new());
        let id = self.enter(Some(key), name, words, Some(e.span));
        let value = Value::Place(Place { frame: to, at, ..place });
        let id = self.close(id, Some(value), moved, inside);
        self.one(id, open)
    }

    /// What a frame counts from.
    fn frame_name(&self, frame: FrameId, axis: Axis) -> String {
        let side = |mirrored: bool| match (axis, mirrored) {
            (Axis::X, true) => "right",
            (Axis::X, false) => "left",
            (Axis::Y, _) => "bottom",
            (Axis::Z, _) => "front",
        };
        match self.e.frames[frame.0 as usize].kind {
            FrameKind::Corner(b) => format!("the {} of {}", side(false), self.e.boxes[b.0 as usize].path),
            FrameKind::Mirror(b) => format!("the {} of {}", side(true), self.e.boxes[b.0 as usize].path),
            FrameKind::Site => "the site".to_string(),
        }
    }

    fn binary(
        &mut self,
        op: Operator,
        a: &'p Expr,
        b: &'p Expr,
        scope: ScopeId,
        open: &mut Open,
    ) -> Option<Sum> {
        match op {
            Operator::Add | Operator::Subtract => {
                let left = self.part_of_formula(a, scope, open);
                let right = match (op, self.value(a, scope), self.value(b, scope)) {
                    (Operator::Subtract, Some(Value::Place(p)), Some(Value::Place(q)))
                        if q.frame != p.frame =>
                    {
                        self.place_in(b, scope, q, p.frame, open)
                    }
                    _ => self.part_of_formula(b, scope, open),
                };
                both(left, right, if op == Operator::Add { 1 } else { -1 })
            }
            Operator::Multiply | Operator::Divide => {
                let (left, right) =
                    (self.part_of_formula(a, scope, open), self.part_of_formula(b, scope, open));
                let number = |v: Option<Value<'p>>| match v.as_ref().and_then(figure) {
                    Some(q) if q.dimension == Dimension::NUMBER => Some(q.value),
                    _ => None,
                };
                let (x, y) = (number(self.value(a, scope)), number(self.value(b, scope)));
                if op == Operator::Divide {
                    return left?.times(Rational::ONE.div(y?)?.ok()?);
                }
                match (x, y) {
                    (None, Some(y)) => left?.times(y),
                    (Some(x), None) => right?.times(x),
                    // A plain number times another: the one that is a name is told.
                    (Some(x), Some(y)) => match &a.kind {
                        ExprKind::Number(_) => right?.times(x),
                        _ => left?.times(y),
                    },
                    (None, None) => None,
                }
            }
            _ => {
                for e in [a, b] {
                    self.expr(e, scope, &[], open);
                }
                // Of a comparison of a part with another only the parts themselves matter.
                None
            }
        }
    }

    /// The scopes of the rounds of a list that is worked out, made once.
    pub(super) fn rounds_of(&mut self, each: &'p Each, scope: ScopeId) -> Option<Vec<ScopeId>> {
        let key = (each.list.span, scope);
        if let Some(rounds) = self.rounds.get(&key) {
            return Some(rounds.clone());
        }
        let rounds = self.look(|it| it.rounds(each, scope))?;
        self.rounds.insert(key, rounds.clone());
        Some(rounds)
    }

    fn collect(
        &mut self,
        body: &'p Expr,
        each: &'p Each,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let rounds = self.rounds_of(each, scope);
        match (path.split_first(), rounds) {
            (Some((Pick::Item(i), rest)), Some(rounds)) => {
                let round = rounds.get(*i).copied()?;
                if let Some(condition) = &each.condition {
                    self.beside(condition, round, open);
                }
                self.expr(body, round, rest, open)
            }
            (Some((Pick::Count, _)), _) if each.condition.is_none() => {
                self.expr(&each.list, scope, &[Pick::Count], open)
            }
            (_, Some(rounds)) => {
                if let Some(condition) = &each.condition {
                    for round in rounds.iter().take(64) {
                        self.beside(condition, *round, open);
                    }
                }
                for round in rounds {
                    self.expr(body, round, &[], open);
                }
                None
            }
            (_, None) => {
                self.expr(&each.list, scope, &[], open);
                None
            }
        }
    }
}

/// A stretch of text on one line.
pub fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

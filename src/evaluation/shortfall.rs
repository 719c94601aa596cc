//! By how much a condition misses, exactly: what figures that mend are worked out from.

use super::machine::Evaluation;
use super::scope::ScopeId;
use super::value::Value;
use crate::syntax::tree::{Call, DefBody, Each, Expr, ExprKind, Operator};
use crate::values::Rational;

/// Conditions deeper than this are not taken apart.
const DEEPEST: usize = 16;

impl<'p> Evaluation<'p> {
    /// One figure for each comparison of a condition that does not hold: nought where the comparison is met,
    /// for `==` signed. Nothing is said where a side cannot be worked out.
    pub(super) fn shortfalls(&mut self, e: &'p Expr, scope: ScopeId) -> Vec<Rational> {
        let before = self.diagnostics.len();
        let mut found = Vec::new();
        self.comparisons(e, scope, DEEPEST, &mut found);
        self.diagnostics.truncate(before);
        found
    }

    fn comparisons(&mut self, e: &'p Expr, scope: ScopeId, left: usize, found: &mut Vec<Rational>) {
        let Some(left) = left.checked_sub(1) else { return };
        match &e.kind {
            ExprKind::Binary(Operator::And | Operator::Or, a, b) => {
                self.comparisons(a, scope, left, found);
                self.comparisons(b, scope, left, found);
            }
            // None of a list may be so: each that is says by how much.
            ExprKind::Binary(Operator::Equal, a, b) if self.collected(a, b).is_some() => {
                let Some((each, condition)) = self.collected(a, b) else { return };
                let rounds = self.rounds(each, scope).unwrap_or_default();
                let met = rounds.into_iter().filter_map(|round| self.met_by(condition, round));
                found.extend(met.max_by_key(|by| by.abs().ok()));
            }
            ExprKind::Call(call) => {
                if let Some((body, inside)) = self.inside_of(call, scope) {
                    self.comparisons(body, inside, left, found);
                }
            }
            ExprKind::Binary(op, a, b) => {
                let Some(over) = self.over(a, b, scope) else { return };
                let over = match op {
                    Operator::Equal => over,
                    Operator::Less | Operator::LessEqual => over.max(Rational::ZERO),
                    Operator::Greater | Operator::GreaterEqual => {
                        over.neg().unwrap_or(Rational::ZERO).max(Rational::ZERO)
                    }
                    _ => return,
                };
                found.push(over);
            }
            // An `if` compares where it leads.
            ExprKind::If(c, a, b) => match self.flag(c, scope) {
                Ok(true) => self.comparisons(a, scope, left, found),
                Ok(false) => self.comparisons(b, scope, left, found),
                Err(_) => {}
            },
            _ => {}
        }
    }

    /// `[… for … where C].count` and nought.
    fn collected(&self, a: &'p Expr, b: &'p Expr) -> Option<(&'p Each, &'p Expr)> {
        let nought = matches!(b.kind, ExprKind::Number(q) if q.value.is_zero());
        match &a.kind {
            ExprKind::Member(list, member) if nought && member.name.as_str() == "count" => match &list.kind {
                ExprKind::Collect(_, each) => Some((each, each.condition.as_ref()?)),
                _ => None,
            },
            _ => None,
        }
    }

    /// By how much a comparison holds that should not.
    fn met_by(&mut self, e: &'p Expr, scope: ScopeId) -> Option<Rational> {
        let ExprKind::Binary(op, a, b) = &e.kind else { return None };
        if matches!(op, Operator::Or | Operator::And) {
            let both = [self.met_by(a, scope), self.met_by(b, scope)];
            return both.into_iter().flatten().max_by_key(|by| by.abs().ok());
        }
        let over = self.over(a, b, scope)?;
        match op {
            Operator::Unequal | Operator::Greater | Operator::GreaterEqual => Some(over),
            Operator::Less | Operator::LessEqual => over.neg().ok(),
            _ => None,
        }
    }

    /// The one expression of a function and the scope of its parameters.
    fn inside_of(&mut self, call: &'p Call, scope: ScopeId) -> Option<(&'p Expr, ScopeId)> {
        let module = self.scopes.get(scope.0 as usize)?.module;
        let (home, def) = self.program.find_def(module, call.name.name)?;
        let DefBody::Value(_, body) = &def.body else { return None };
        let args = self.sort_args(def, call, scope).ok()?;
        let inside = self.definition_scope(home, call.span, scope);
        self.enter_params(def, &args, inside);
        Some((body, inside))
    }

    /// How far the first of two figures or places passes the second.
    fn over(&mut self, a: &'p Expr, b: &'p Expr, scope: ScopeId) -> Option<Rational> {
        match (self.eval(a, scope).ok()?, self.eval(b, scope).ok()?) {
            (Value::Quantity(x), Value::Quantity(y)) if x.dimension == y.dimension => {
                x.value.sub(y.value).ok()
            }
            (Value::Place(p), Value::Place(q)) if p.axis == q.axis => {
                let other = self.translate(q, p.frame, scope, b.span).ok()?;
                p.at.sub(other).ok()
            }
            _ => None,
        }
    }

    /// How much too small the limit of `longest` is for the shortest of its list.
    pub(super) fn too_short_for(&mut self, e: &'p Expr, scope: ScopeId) -> Option<Rational> {
        let ExprKind::Call(call) = &e.kind else { return None };
        if call.name.name.as_str() != "longest" {
            return None;
        }
        let before = self.diagnostics.len();
        let by = self.shortest_over(call, scope);
        self.diagnostics.truncate(before);
        by
    }

    fn shortest_over(&mut self, call: &'p Call, scope: ScopeId) -> Option<Rational> {
        let args = self.kernel_args(call, &["list", "up_to"], 1, scope).ok()?;
        let (list, up_to) = (args.first().copied()??, args.get(1).copied()??);
        let limit = self.length(up_to, scope).ok()?;
        let list = self.list(list, scope).ok()?;
        let figure = |v: &Value<'p>| match v {
            Value::Quantity(q) => Some(q.value),
            _ => None,
        };
        let least = list.iter().filter_map(figure).min()?;
        least.sub(limit).ok()
    }
}

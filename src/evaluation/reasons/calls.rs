//! What calls read: functions of the text are read through, those of the kernel by what they do.

use super::{Formula, Graph, Open, Pick, StepId, Sum, Term, both, picked};
use crate::evaluation::functions::FUNCTIONS;
use crate::evaluation::scope::ScopeId;
use crate::evaluation::value::Value;
use crate::syntax::Name;
use crate::syntax::tree::{Call, DefBody, Expr, Kind};
use crate::values::Rational;

impl<'p> Graph<'_, 'p> {
    pub(super) fn call(
        &mut self,
        call: &'p Call,
        e: &'p Expr,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        if FUNCTIONS.contains(&call.name.name.as_str()) {
            return self.kernel(call, e, scope, path, open);
        }
        let module = self.e.scopes[scope.0 as usize].module;
        match self.e.program.find_def(module, call.name.name) {
            Some((_, def)) if def.kind == Kind::Fn => {
                let id = self.through(call, e, scope, path)?;
                self.one(id, open)
            }
            // A board or item with arguments: its figures are read by their names.
            _ => {
                if self.value(e, scope).is_none() {
                    for arg in &call.args {
                        self.expr(&arg.value, scope, &[], open);
                    }
                }
                None
            }
        }
    }

    /// The value of a function of the text, by its body.
    fn through(&mut self, call: &'p Call, e: &'p Expr, scope: ScopeId, path: &[Pick]) -> Option<StepId> {
        let key = super::Key::Expr(call.name.span, scope, path.to_vec());
        if let Some(id) = self.known.get(&key) {
            return Some(*id);
        }
        let module = self.e.scopes[scope.0 as usize].module;
        let program = self.e.program;
        let (home, def) = program.find_def(module, call.name.name)?;
        let DefBody::Value(_, body) = &def.body else { return None };
        let inside = self.look(|it| {
            let args = it.sort_args(def, call, scope)?;
            it.check_missing(def, &args, call.span, scope)?;
            let inside = it.definition_scope(home, call.span, scope);
            it.enter_params(def, &args, inside);
            Ok(inside)
        })?;
        let value = self.value(e, scope).and_then(|v| picked(&v, path));
        let name = super::exprs::one_line(&self.e.source(e));
        let id = self.enter(Some(key), name, Formula::Text(body.span), Some(body.span));
        let mut within = Open::default();
        let sum = self.expr(body, inside, path, &mut within);
        Some(self.close(id, value, sum, within))
    }

    /// The arguments of a kernel function by their names.
    pub(super) fn arguments<const N: usize>(
        &mut self,
        call: &'p Call,
        names: [&str; N],
        scope: ScopeId,
    ) -> [Option<&'p Expr>; N] {
        let found = self.look(|it| it.kernel_args(call, &names, N, scope)).unwrap_or_default();
        std::array::from_fn(|i| found.get(i).copied().flatten())
    }

    fn all_arguments(&mut self, call: &'p Call, scope: ScopeId, open: &mut Open) {
        for arg in &call.args {
            self.expr(&arg.value, scope, &[], open);
        }
    }

    fn kernel(
        &mut self,
        call: &'p Call,
        e: &'p Expr,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        match call.name.name.as_str() {
            "contact" => self.contact(call, scope, path, open),
            "meets" => {
                let [a, b] = self.arguments(call, ["a", "b"], scope);
                for e in [a?, b?] {
                    if let Some(Value::Part(p) | Value::Face(p, _)) = self.value(e, scope) {
                        for slot in self.e.parts[p.0 as usize].axes {
                            self.read(slot, &[Pick::Low], None, open);
                            self.read(slot, &[Pick::High], None, open);
                        }
                    }
                }
                None
            }
            "spread" => self.spread(call, e, scope, path, open),
            "split" => self.split(call, scope, path, open),
            "grow" | "inset" => {
                let [range, by] = self.arguments(call, ["range", "by"], scope);
                let out = if call.name.name.as_str() == "grow" { 1 } else { -1 };
                let pick = path.first().copied();
                let range = self.expr(range?, scope, path, open);
                if pick == Some(Pick::Mid) {
                    return range;
                }
                let by = self.part_of_formula(by?, scope, open);
                match pick {
                    Some(Pick::Low) => both(range, by, -out),
                    Some(Pick::High) => both(range, by, out),
                    Some(Pick::Size) => both(range, by, 2 * out),
                    _ => None,
                }
            }
            "sum" => {
                let [list] = self.arguments(call, ["list"], scope);
                let list = list?;
                let n = match self.value(list, scope) {
                    Some(Value::List(l)) => l.len(),
                    _ => 0,
                };
                let mut sum = Some(Sum::default());
                for i in 0..n {
                    let one = self.expr(list, scope, &[Pick::Item(i)], open);
                    sum = both(sum, one, 1);
                }
                sum
            }
            "floor" | "ceil" => {
                let [figure, to] = self.arguments(call, ["figure", "to"], scope);
                self.part_of_formula(figure?, scope, open);
                let length = matches!(self.value(figure?, scope), Some(Value::Quantity(q))
                    if q.dimension == crate::values::Dimension::LENGTH);
                match to {
                    Some(to) => {
                        self.part_of_formula(to, scope, open);
                    }
                    None if length => {
                        let step = self.e.house_slot(Name::new("step"));
                        step.map(|s| self.read(s, &[], None, open));
                    }
                    None => {}
                }
                None
            }
            "min" | "max" => self.extreme(call, scope, open),
            "common" => self.common(call, scope, path, open),
            _ => {
                self.all_arguments(call, scope, open);
                None
            }
        }
    }

    /// Of two ranges the higher low end or the lower high end, in the frame of the first; beside it the other.
    fn common(&mut self, call: &'p Call, scope: ScopeId, path: &[Pick], open: &mut Open) -> Option<Sum> {
        let [a, b] = self.arguments(call, ["a", "b"], scope);
        let (a, b) = (a?, b?);
        let to = match self.value(a, scope) {
            Some(Value::Range(r)) => r.anchor.map(|(_, frame)| frame),
            _ => None,
        };
        let mut end = |it: &mut Self, high: bool| -> Option<Sum> {
            let pick = if high { Pick::High } else { Pick::Low };
            let mut found: Vec<(Option<Sum>, Open)> = Vec::new();
            for e in [a, b] {
                let mut own = Open::default();
                let sum = it.range(e, scope, Some(pick), None, None, to, &mut own);
                found.push((sum, own));
            }
            let at: Vec<Option<Rational>> =
                found.iter().map(|(s, _)| s.as_ref()?.total(|id| it.exact(id))).collect();
            let second = match at.as_slice() {
                [Some(a), Some(b)] => Some(if high { b < a } else { b > a }),
                _ => None,
            };
            let mut sum = None;
            for (i, (own_sum, own)) in found.into_iter().enumerate() {
                let chosen = second.is_none_or(|second| second == (i == 1));
                if chosen {
                    open.take(&own);
                    sum = own_sum.filter(|_| second.is_some());
                } else {
                    for read in own.reads {
                        let before = std::mem::replace(&mut open.beside, true);
                        open.read(read.step);
                        open.beside = before;
                    }
                }
            }
            sum
        };
        match path.first() {
            Some(Pick::Low) => end(self, false),
            Some(Pick::High) => end(self, true),
            pick => {
                let (low, high) = (end(self, false), end(self, true));
                match pick {
                    Some(Pick::Size) => both(high, low, -1),
                    Some(Pick::Mid) => both(high, low, 1)?.times(Rational::ratio(1, 2)),
                    _ => None,
                }
            }
        }
    }

    /// The one that is chosen, and beside it the others.
    fn extreme(&mut self, call: &'p Call, scope: ScopeId, open: &mut Open) -> Option<Sum> {
        let largest = call.name.name.as_str() == "max";
        let mut choices: Vec<(Rational, &'p Expr, Vec<Pick>)> = Vec::new();
        for arg in &call.args {
            match self.value(&arg.value, scope) {
                Some(Value::List(list)) if call.args.len() == 1 => {
                    for (i, value) in list.iter().enumerate() {
                        let figure = super::figure(value)?.value;
                        choices.push((figure, &arg.value, vec![Pick::Item(i)]));
                    }
                }
                Some(value) => choices.push((super::figure(&value)?.value, &arg.value, Vec::new())),
                None => {
                    self.all_arguments(call, scope, open);
                    return None;
                }
            }
        }
        let best = choices.iter().map(|c| c.0).reduce(|a, b| if largest { a.max(b) } else { a.min(b) })?;
        let mut sum = None;
        let mut chosen = false;
        for (figure, e, path) in choices {
            if figure == best && !chosen {
                chosen = true;
                sum = match path.is_empty() {
                    true => self.part_of_formula(e, scope, open),
                    false => self.expr(e, scope, &path, open),
                };
            } else {
                let before = std::mem::replace(&mut open.beside, true);
                self.expr(e, scope, &path, open);
                open.beside = before;
            }
        }
        sum
    }

    /// A figure of a sum: a step that is read.
    pub(super) fn term(&mut self, id: StepId, open: &mut Open) -> Sum {
        open.read(id);
        Sum::of(Term::Step(id))
    }
}

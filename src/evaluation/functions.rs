//! Calls: functions of the language's text, boards and items with arguments, and the kernel's own.

use super::args::Source;
use super::machine::{Evaluation, Failed, Res};
use super::scope::ScopeId;
use super::value::{Range, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::geometry::Contact;
use crate::syntax::tree::{Call, DefBody, Expr, ExprKind, Ident, Kind};
use crate::values::{Dimension, Quantity, Rational};
use std::cmp::Ordering;

/// The kernel's functions.
pub const FUNCTIONS: &[&str] = &[
    "contact", "meets", "spread", "split", "common", "without", "grow", "inset", "longest", "min", "max",
    "floor", "ceil", "sum",
];

/// How deep functions may call each other.
const MOST_CALLS: usize = 64;

impl<'p> Evaluation<'p> {
    pub(super) fn call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let name = call.name.name.as_str();
        if FUNCTIONS.contains(&name) {
            return self.kernel_call(call, scope);
        }
        let module = self.scopes[scope.0 as usize].module;
        let program = self.program;
        if let Some(slot) = self.lookup(scope, call.name)? {
            if let Value::Thing(thing) = self.force(slot)? {
                return self.call_again(&thing, call, scope);
            }
        }
        match program.find_def(module, call.name.name) {
            Some((home, def)) => match def.kind {
                Kind::Board | Kind::Band | Kind::Item => {
                    let args = self.sort_args(def, call, scope)?;
                    self.check_missing(def, &args, call.span, scope)?;
                    Ok(self.make_thing(home, def, &args, call.span, scope))
                }
                Kind::Fn => {
                    let args = self.sort_args(def, call, scope)?;
                    self.check_missing(def, &args, call.span, scope)?;
                    let DefBody::Value(ty, body) = &def.body else { return Err(Failed) };
                    if self.depth >= MOST_CALLS {
                        let d = Diagnostic::error(
                            "contains-itself",
                            format!("The function `{name}` needs itself."),
                            call.span,
                            "called again here",
                        )
                        .label(def.name.span, "this function")
                        .help("A function may not reach itself; use a list and `for` instead.");
                        return Err(self.say(scope, d));
                    }
                    let inside = self.definition_scope(home, call.span, scope);
                    self.enter_params(def, &args, inside);
                    self.depth += 1;
                    let value = match ty {
                        Some(ty) => self.eval_as(body, inside, ty, None),
                        None => self.eval(body, inside),
                    };
                    self.depth -= 1;
                    value
                }
                kind => Err(self.not_a_value(scope, call.name, kind)),
            },
            None => Err(self.unknown_function(call.name, scope)),
        }
    }

    fn unknown_function(&mut self, name: Ident, scope: ScopeId) -> Failed {
        let module = self.program.module(self.scopes[scope.0 as usize].module);
        if module.imports.contains_key(&name.name) || module.lost.contains(&name.name) {
            return Failed;
        }
        let mut names: Vec<&str> = module.defs.keys().map(|n| n.as_str()).collect();
        names.extend(FUNCTIONS);
        names.sort_unstable();
        let mut d = Diagnostic::error(
            "unknown-name",
            format!("Nothing called `{}` can be called here.", name.name),
            name.span,
            "not known here",
        );
        if let Some(library) = self.library_with(name.name) {
            d = d.help(format!("Bring it in at the top of the file: `use {library} ({})`.", name.name));
        } else if let Some(near) = nearest(name.name.as_str(), names.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(name.span, near);
        }
        self.say(scope, d)
    }

    /// A board or item called again with some arguments changed.
    fn call_again(
        &mut self,
        thing: &super::value::Thing<'p>,
        call: &'p Call,
        scope: ScopeId,
    ) -> Res<Value<'p>> {
        let given = self.sort_args(thing.def, call, scope)?;
        let mut args = Vec::with_capacity(given.len());
        for (param, arg) in thing.def.params.iter().zip(given) {
            let kept = match super::names::find(&self.scopes[thing.scope.0 as usize], param.name.name) {
                Some(entry) => match self.slots[entry.slot.0 as usize].work {
                    super::scope::Work::Param(_, Some((e, s)), _) => Some(Source::Expr(e, s)),
                    _ => None,
                },
                None => None,
            };
            args.push(arg.or(kept));
        }
        Ok(self.make_thing(thing.module, thing.def, &args, call.span, scope))
    }

    fn kernel_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        match call.name.name.as_str() {
            "contact" => self.contact_call(call, scope),
            "meets" => {
                let args = self.kernel_args(call, &["a", "b"], 2, scope)?;
                let (a, b) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
                let (a, b) = (self.some_part(a, scope)?, self.some_part(b, scope)?);
                let (_, contact) = self.contact_of(a, b, scope, call.span)?;
                Ok(Value::Flag(matches!(contact, Contact::Seam(_))))
            }
            "spread" => self.spread_call(call, scope),
            "split" => self.split_call(call, scope),
            "common" => self.common_call(call, scope),
            "without" => self.without_call(call, scope),
            "grow" | "inset" => {
                let args = self.kernel_args(call, &["range", "by"], 2, scope)?;
                let e = self.due(&args, 0, call, "range", scope)?;
                let by = self.due(&args, 1, call, "by", scope)?;
                let range = self.range_value(e, scope)?;
                let mut by_mm = self.length(by, scope)?;
                if call.name.name.as_str() == "inset" {
                    by_mm = self.exact(scope, call.span, by_mm.neg())?;
                }
                let lo = self.exact(scope, call.span, range.lo.sub(by_mm))?;
                let hi = self.exact(scope, call.span, range.hi.add(by_mm))?;
                if lo >= hi {
                    let mut d = Diagnostic::error(
                        "empty-range",
                        format!(
                            "Taken in by {} at each end, nothing is left of a range {} long.",
                            self.show(by_mm.neg().unwrap_or(by_mm)),
                            self.show(range.hi.sub(range.lo).unwrap_or(range.hi))
                        ),
                        call.span,
                        "nothing is left",
                    );
                    d.misses.extend(lo.sub(hi));
                    d.labels.extend(self.literal_labels(e, scope));
                    d.labels.extend(self.literal_labels(by, scope));
                    return Err(self.say(scope, d));
                }
                Ok(Value::Range(Range { anchor: range.anchor, lo, hi }))
            }
            "longest" => {
                let args = self.kernel_args(call, &["list", "up_to"], 1, scope)?;
                let e = self.due(&args, 0, call, "list", scope)?;
                let up_to = self.due(&args, 1, call, "up_to", scope)?;
                let limit = self.length(up_to, scope)?;
                let mut best: Option<Rational> = None;
                for value in self.list(e, scope)?.iter() {
                    match value {
                        Value::Quantity(q) if q.dimension == Dimension::LENGTH => {
                            if q.value <= limit && best.is_none_or(|b| q.value > b) {
                                best = Some(q.value);
                            }
                        }
                        other => {
                            let other = other.clone();
                            return Err(self.wrong_kind(scope, e, &other, "a list of lengths"));
                        }
                    }
                }
                Ok(best.map_or(Value::None, Value::mm))
            }
            "min" | "max" => self.extreme(call, scope),
            "sum" => {
                let args = self.kernel_args(call, &["list"], 1, scope)?;
                let e = self.due(&args, 0, call, "list", scope)?;
                let mut total: Option<Quantity> = None;
                for value in self.list(e, scope)?.iter() {
                    match (value, &total) {
                        (Value::Quantity(q), None) => total = Some(*q),
                        (Value::Quantity(q), Some(t)) if t.dimension == q.dimension => {
                            let value = self.exact(scope, call.span, t.value.add(q.value))?;
                            total = Some(Quantity { value, ..*q });
                        }
                        (other, _) => {
                            let other = other.clone();
                            return Err(self.wrong_kind(scope, e, &other, "a list of figures of one kind"));
                        }
                    }
                }
                Ok(total.map_or(Value::number(0), Value::Quantity))
            }
            _ => {
                let args = self.kernel_args(call, &["figure", "to"], 1, scope)?;
                let e = self.due(&args, 0, call, "figure", scope)?;
                let up = call.name.name.as_str() == "ceil";
                let round = |r: Rational| if up { r.ceil() } else { r.floor() };
                match self.eval(e, scope)? {
                    Value::Quantity(q) if q.dimension == Dimension::NUMBER && args[1].is_none() => {
                        Ok(Value::Quantity(Quantity::number(round(q.value))))
                    }
                    Value::Quantity(q) if q.dimension == Dimension::LENGTH => {
                        let step = match args[1] {
                            Some(to) => {
                                let step = self.length(to, scope)?;
                                if !step.is_positive() {
                                    return Err(self.not_positive(to, step, scope));
                                }
                                step
                            }
                            None => {
                                self.house_length("step").filter(|s| s.is_positive()).unwrap_or(Rational::ONE)
                            }
                        };
                        let times = q.value.div(step).unwrap_or(Ok(q.value));
                        let times = self.exact(scope, call.span, times)?;
                        let value = self.exact(scope, call.span, round(times).mul(step))?;
                        Ok(Value::mm(value))
                    }
                    other => Err(self.wrong_kind(scope, e, &other, "a number or a length")),
                }
            }
        }
    }

    /// An argument that must be there.
    pub(super) fn due(
        &mut self,
        args: &[Option<&'p Expr>],
        index: usize,
        call: &'p Call,
        name: &str,
        scope: ScopeId,
    ) -> Res<&'p Expr> {
        if let Some(Some(e)) = args.get(index) {
            return Ok(e);
        }
        let d = Diagnostic::error(
            "missing-argument",
            format!("`{}` needs `{name}`.", call.name.name),
            call.span,
            format!("give `{name}`"),
        )
        .help(format!("Write `{}(…, {name}: …)`.", call.name.name));
        Err(self.say(scope, d))
    }

    pub(super) fn not_positive(&mut self, e: &'p Expr, value: Rational, scope: ScopeId) -> Failed {
        let shown = self.show(value);
        let mut d = Diagnostic::error(
            "not-above-nought",
            format!("This must be above nought, and comes to {shown}."),
            e.span,
            format!("comes to {shown}"),
        )
        .help("Give it a figure above nought.");
        d.misses.extend(value.neg());
        d.labels.extend(self.literal_labels(e, scope));
        self.say(scope, d)
    }

    /// An expression that must be a part, or a face of one.
    pub(super) fn some_part(&mut self, e: &'p Expr, scope: ScopeId) -> Res<super::scope::PartId> {
        match self.eval(e, scope)? {
            Value::Part(part) | Value::Face(part, _) => Ok(part),
            other => Err(self.wrong_kind(scope, e, &other, "a part")),
        }
    }

    fn extreme(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let largest = call.name.name.as_str() == "max";
        let mut values: Vec<(Value<'p>, &'p Expr)> = Vec::new();
        for arg in &call.args {
            if let Some(label) = arg.label {
                return Err(self.error_at(
                    scope,
                    "unknown-argument",
                    format!("`{}` takes figures, without labels.", call.name.name),
                    label.span,
                    "no label here",
                ));
            }
            match self.eval(&arg.value, scope)? {
                Value::List(list) if call.args.len() == 1 => {
                    values.extend(list.iter().map(|v| (v.clone(), &arg.value)));
                }
                value => values.push((value, &arg.value)),
            }
        }
        let mut rest = values.into_iter();
        let Some((mut best, mut at)) = rest.next() else {
            return Err(self.error_at(
                scope,
                "empty-list",
                format!("`{}` has nothing to choose from.", call.name.name),
                call.span,
                "an empty list",
            ));
        };
        if !matches!(best, Value::Quantity(_) | Value::Place(_)) {
            return Err(self.wrong_kind(scope, at, &best, "a figure or a place"));
        }
        for (value, e) in rest {
            let order = self.order(&value, &best, e, at, scope, call.span)?;
            if order == (if largest { Ordering::Greater } else { Ordering::Less }) {
                (best, at) = (value, e);
            }
        }
        Ok(best)
    }

    /// True for a bare name with this text.
    pub(super) fn is_word(e: &Expr, word: &str) -> bool {
        matches!(&e.kind, ExprKind::Name(name) if name.as_str() == word)
    }
}

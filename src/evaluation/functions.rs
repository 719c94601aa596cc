//! Calls: functions of the language's text, boards and items with arguments, and the kernel's own.

use super::args::Source;
use super::machine::{Evaluation, Failed, Res};
use super::scope::ScopeId;
use super::value::{Place, Point, Range, SeamValue, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::geometry::{self, Contact, Interval, Portion, SplitFault, Spread};
use crate::sources::Span;
use crate::syntax::tree::{Call, DefBody, Expr, ExprKind, Ident, Kind};
use crate::values::{Dimension, Quantity, Rational};
use std::cmp::Ordering;
use std::rc::Rc;

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

    fn contact_of(
        &mut self,
        a: super::scope::PartId,
        b: super::scope::PartId,
        scope: ScopeId,
        span: Span,
    ) -> Res<(super::scope::FrameId, Contact)> {
        let (fa, fb) = (self.parts[a.0 as usize].frame, self.parts[b.0 as usize].frame);
        let frame = self.common_frame(fa, fb, scope, span)?;
        let ca = self.part_in(a, frame, scope, span)?;
        let cb = self.part_in(b, frame, scope, span)?;
        let contact = self.exact(scope, span, geometry::contact(&ca, &cb))?;
        Ok((frame, contact))
    }

    fn contact_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let args = self.kernel_args(call, &["a", "b", "least"], 2, scope)?;
        let (ea, eb) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
        let (a, b) = (self.some_part(ea, scope)?, self.some_part(eb, scope)?);
        let least = match args[2] {
            Some(e) => self.length(e, scope)?,
            None => Rational::ZERO,
        };
        let (frame, contact) = self.contact_of(a, b, scope, call.span)?;
        let (na, nb) = (self.parts[a.0 as usize].name, self.parts[b.0 as usize].name);
        let d = match contact {
            Contact::Seam(seam) => {
                let (_, breadth) = self.exact(scope, call.span, seam.breadth())?;
                let (_, length) = self.exact(scope, call.span, seam.length())?;
                let size = self.exact(scope, call.span, breadth.size())?;
                let long = self.exact(scope, call.span, length.size())?;
                if size >= least {
                    return Ok(Value::Seam(Rc::new(SeamValue { frame, seam, a, b })));
                }
                let (has, need) = (self.show(size), self.show(least));
                Diagnostic::error(
                    "seam-too-small",
                    format!(
                        "`{na}` and `{nb}` meet over {} × {has} only; this joint needs {need}.",
                        self.show(long)
                    ),
                    call.span,
                    format!("{has} wide"),
                )
                .help(format!("Let them meet over at least {need}."))
            }
            Contact::Edge => Diagnostic::error(
                "parts-do-not-meet",
                format!("`{na}` and `{nb}` touch along an edge only; there is no face to join."),
                call.span,
                "no common face",
            )
            .help("Move one of them so that a face of it lies against a face of the other."),
            Contact::Apart { axis, gap } => {
                let (word, gap_mm, gap) = (super::machine::axis_word(axis), gap, self.show(gap));
                Diagnostic::error(
                    "parts-do-not-meet",
                    format!("`{na}` and `{nb}` do not meet: they are {gap} apart in {word}."),
                    call.span,
                    format!("{gap} apart"),
                )
                .help(format!("Move or lengthen one of them by {gap} in {word}."))
                .miss(gap_mm)
            }
            Contact::Overlap(shared) => {
                let least = geometry::Axis::ALL
                    .into_iter()
                    .filter_map(|a| shared.on(a).size().ok().map(|s| (s, a)))
                    .min();
                let (by, by_mm, word) = match least {
                    Some((s, a)) => (self.show(s), s, super::machine::axis_word(a)),
                    None => (String::new(), Rational::ZERO, "x"),
                };
                Diagnostic::error(
                    "parts-overlap",
                    format!("`{na}` and `{nb}` overlap by {by} in {word}; they should only touch here."),
                    call.span,
                    format!("{by} into each other"),
                )
                .help(format!("Shorten one of them by {by}, or use a joint that cuts one into the other."))
                .miss(by_mm)
            }
        };
        // The joint's use is where to mend; the parts are what to move.
        let mut d = d;
        for p in [a, b] {
            let part = &self.parts[p.0 as usize];
            if !self.in_library(part.span) {
                d = d.label(part.span, format!("`{}`", part.name));
            }
        }
        for p in [a, b] {
            d.labels.extend(self.part_literals(p));
        }
        Err(self.say(scope, d))
    }

    fn spread_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let args = self.kernel_args(call, &["over", "inset", "pitch", "count", "clear_of"], 1, scope)?;
        let e = self.due(&args, 0, call, "over", scope)?;
        let over = self.eval(e, scope)?;
        let inset = match args[1] {
            Some(e) => self.length(e, scope)?,
            None => Rational::ZERO,
        };
        let how = match (args[2], args[3]) {
            (Some(e), None) => {
                let pitch = self.length(e, scope)?;
                if !pitch.is_positive() {
                    return Err(self.not_positive(e, pitch, scope));
                }
                Spread::Pitch(pitch)
            }
            (None, Some(e)) => {
                let n = self.whole(e, scope)?;
                match u32::try_from(n) {
                    Ok(n) if n <= geometry::MOST_POINTS => Spread::Count(n),
                    Ok(_) => return Err(self.too_many(scope, e.span, n)),
                    Err(_) => return Err(self.not_positive(e, Rational::int(n), scope)),
                }
            }
            _ => {
                let d = Diagnostic::error(
                    "missing-argument",
                    "`spread` takes either `pitch` or `count`.",
                    call.span,
                    "how many points?",
                )
                .help("Write `pitch: 250mm` (at most that far apart) or `count: 3`.");
                return Err(self.say(scope, d));
            }
        };
        let (axis, frame, along, seam) = match &over {
            Value::Seam(s) => {
                let (axis, along) = self.exact(scope, call.span, s.seam.length())?;
                (axis, s.frame, along, Some(s.clone()))
            }
            Value::Range(Range { anchor: Some((axis, frame)), lo, hi }) => {
                (*axis, *frame, Interval::new(*lo, *hi), None)
            }
            other => {
                let other = other.clone();
                return Err(self.wrong_kind(scope, e, &other, "a seam, or a range with a place"));
            }
        };
        let mut clear = Vec::new();
        if let Some(e) = args[4] {
            for value in self.list(e, scope)?.iter() {
                match value {
                    Value::Range(r) => {
                        let (a, f) = match r.anchor {
                            Some(anchor) => anchor,
                            None => {
                                self.need_corner(scope, e.span)?;
                                (axis, self.scopes[scope.0 as usize].frame)
                            }
                        };
                        // A range on another axis says nothing of this line.
                        if a == axis {
                            let r = self.range_in(*r, a, f, frame, scope, e.span)?;
                            clear.push(Interval::new(r.lo, r.hi));
                        }
                    }
                    other => {
                        let other = other.clone();
                        return Err(self.wrong_kind(scope, e, &other, "a list of ranges"));
                    }
                }
            }
        }
        let n = self.exact(scope, call.span, geometry::points(along, inset, how))?;
        if n.is_none() {
            return Err(self.too_many(scope, call.span, geometry::MOST_POINTS as i64 + 1));
        }
        let points = self.exact(scope, call.span, geometry::spread(along, inset, how, &clear))?;
        let mut list = Vec::with_capacity(points.len());
        match seam {
            None => list.extend(points.into_iter().map(|at| Value::Place(Place { axis, frame, at }))),
            Some(s) => {
                let (across, breadth) = self.exact(scope, call.span, s.seam.breadth())?;
                let mid = self.exact(scope, call.span, breadth.mid())?;
                for p in points {
                    let mut at = [Rational::ZERO; 3];
                    at[s.seam.normal as usize] = s.seam.at;
                    at[across as usize] = mid;
                    at[axis as usize] = p;
                    list.push(Value::Point(Rc::new(Point { frame, at, seam: Some(s.clone()) })));
                }
            }
        }
        Ok(Value::List(list.into()))
    }

    fn split_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let args = self.kernel_args(call, &["range", "portions", "gap", "from"], 2, scope)?;
        let e = self.due(&args, 0, call, "range", scope)?;
        let range = self.range_value(e, scope)?;
        let list_expr = self.due(&args, 1, call, "portions", scope)?;
        let mut portions = Vec::new();
        for value in self.list(list_expr, scope)?.iter() {
            portions.push(match value {
                Value::Share(weight) => Portion::Share(*weight),
                Value::Quantity(q) if q.dimension == Dimension::LENGTH && q.value.is_positive() => {
                    Portion::Fixed(q.value)
                }
                other => {
                    let other = other.clone();
                    return Err(self.wrong_kind(scope, list_expr, &other, "a list of lengths and shares"));
                }
            });
        }
        let gap = match args[2] {
            Some(e) => self.length(e, scope)?,
            None => Rational::ZERO,
        };
        let from_high = match args[3] {
            Some(e) => self.word(e, scope, &["low", "high"])? == "high",
            None => false,
        };
        let extent = Interval::new(range.lo, range.hi);
        let result = self.exact(scope, call.span, geometry::split(extent, &portions, gap, from_high))?;
        let fault = match result {
            Ok(ranges) => {
                let list: Vec<Value> = ranges
                    .into_iter()
                    .map(|r| Value::Range(Range { anchor: range.anchor, lo: r.lo, hi: r.hi }))
                    .collect();
                return Ok(Value::List(list.into()));
            }
            Err(fault) => fault,
        };
        let mut d = match fault {
            SplitFault::Overfull { fixed_total, extent, .. } => {
                let over = fixed_total.sub(extent).unwrap_or(fixed_total);
                let (fixed, extent, over) = (self.show(fixed_total), self.show(extent), over);
                let text = if over.is_negative() || over.is_zero() {
                    format!("The portions and gaps take {fixed} of {extent}: nothing is left to share.")
                } else {
                    format!(
                        "The portions and gaps take {fixed}, and there is {extent}: {} too much.",
                        self.show(over)
                    )
                };
                Diagnostic::error("portions-overfill", text, list_expr.span, format!("take {fixed}"))
                    .help("Make a fixed portion smaller, or the room larger.")
            }
            SplitFault::LeftOver { left } => {
                let (left_mm, left) = (left, self.show(left));
                Diagnostic::error(
                    "portions-do-not-fill",
                    format!("The portions leave {left} unused."),
                    list_expr.span,
                    format!("{left} too little"),
                )
                .help(format!("Make one of them {left} longer, or write `share` for one."))
                .miss(left_mm)
            }
        };
        d.labels.extend(self.literal_labels(list_expr, scope));
        d.labels.extend(self.literal_labels(e, scope));
        Err(self.say(scope, d))
    }

    fn common_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let args = self.kernel_args(call, &["a", "b"], 2, scope)?;
        let (ea, eb) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
        let (a, b) = (self.range_value(ea, scope)?, self.range_value(eb, scope)?);
        let b = self.like(b, a, scope, eb.span)?;
        match geometry::common(&[Interval::new(a.lo, a.hi), Interval::new(b.lo, b.hi)]) {
            Some(r) => Ok(Value::Range(Range { anchor: a.anchor, lo: r.lo, hi: r.hi })),
            None => {
                let mut d = Diagnostic::error(
                    "empty-range",
                    "These two ranges have nothing in common.",
                    call.span,
                    "nothing in common",
                )
                .help("Let one reach into the other.");
                d.labels.extend(self.literal_labels(ea, scope));
                d.labels.extend(self.literal_labels(eb, scope));
                Err(self.say(scope, d))
            }
        }
    }

    /// A range in the frame of another on the same axis.
    fn like(&mut self, range: Range, other: Range, scope: ScopeId, span: Span) -> Res<Range> {
        match (range.anchor, other.anchor) {
            (Some((a, from)), Some((b, to))) if a == b => self.range_in(range, a, from, to, scope, span),
            (None, None) => Ok(range),
            _ => Err(self.error_at(
                scope,
                "wrong-axis",
                "The two ranges lie on different axes.",
                span,
                "on another axis",
            )),
        }
    }

    fn without_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
        let args = self.kernel_args(call, &["range", "taken"], 2, scope)?;
        let e = self.due(&args, 0, call, "range", scope)?;
        let taken_expr = self.due(&args, 1, call, "taken", scope)?;
        let range = self.range_value(e, scope)?;
        let mut taken = Vec::new();
        for value in self.list(taken_expr, scope)?.iter() {
            match value {
                Value::Range(r) => {
                    let r = self.like(*r, range, scope, taken_expr.span)?;
                    taken.push(Interval::new(r.lo, r.hi));
                }
                other => {
                    let other = other.clone();
                    return Err(self.wrong_kind(scope, taken_expr, &other, "a list of ranges"));
                }
            }
        }
        let left = geometry::without(Interval::new(range.lo, range.hi), &taken);
        let list: Vec<Value> = left
            .into_iter()
            .map(|r| Value::Range(Range { anchor: range.anchor, lo: r.lo, hi: r.hi }))
            .collect();
        Ok(Value::List(list.into()))
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

//! The kernel's functions of place: contacts, spreads, splits and ranges.

use super::machine::{Evaluation, Res};
use super::scope::ScopeId;
use super::value::{Place, Point, Range, SeamValue, Value};
use crate::diagnostics::Diagnostic;
use crate::geometry::{self, Contact, Interval, Portion, SplitFault, Spread};
use crate::sources::Span;
use crate::syntax::tree::Call;
use crate::values::{Dimension, Rational};
use std::rc::Rc;

impl<'p> Evaluation<'p> {
    pub(super) fn contact_of(
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

    pub(super) fn contact_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
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
                .miss(least.sub(size).unwrap_or(least))
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
                let (by, word) = match least {
                    Some((s, a)) => (self.show(s), super::machine::axis_word(a)),
                    None => (String::new(), "x"),
                };
                let mut d = Diagnostic::error(
                    "parts-overlap",
                    format!("`{na}` and `{nb}` overlap by {by} in {word}; they should only touch here."),
                    call.span,
                    format!("{by} into each other"),
                )
                .help(format!("Shorten one of them by {by}, or use a joint that cuts one into the other."));
                d.misses.extend(geometry::Axis::ALL.into_iter().flat_map(|a| shared.on(a).size()));
                d
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

    pub(super) fn spread_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
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
                    Ok(_) => {
                        self.made_from(&[e], scope);
                        return Err(self.too_many(scope, e.span, n));
                    }
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

    pub(super) fn split_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
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
                    .miss(over)
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

    pub(super) fn common_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
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
                d.misses.extend(a.lo.max(b.lo).sub(a.hi.min(b.hi)));
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

    pub(super) fn without_call(&mut self, call: &'p Call, scope: ScopeId) -> Res<Value<'p>> {
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
}

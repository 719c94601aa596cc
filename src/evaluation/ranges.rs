//! Ranges: `a .. b`, `after`, `before`, ends that are parts, and what bounds a space.

use super::machine::{Evaluation, Res, axis_word};
use super::scope::{PartId, ScopeId, SpaceId};
use super::value::{Range, Value};
use crate::diagnostics::Diagnostic;
use crate::geometry::{Axis, Face};
use crate::sources::Span;
use crate::syntax::tree::{Expr, ExprKind, Field};
use crate::values::{Dimension, Rational};

/// Which end of a range is being read.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum End {
    Low,
    High,
}

/// One end, before it is known where bare lengths count from.
#[derive(Clone, Copy, Debug)]
enum Mark {
    /// A bare length.
    Bare(Rational),
    Place(super::value::Place),
}

/// The end of a range that looks into the one being made.
fn looking_in(range: Range, end: End) -> Mark {
    let at = if end == End::Low { range.hi } else { range.lo };
    match range.anchor {
        Some((axis, frame)) => Mark::Place(super::value::Place { axis, frame, at }),
        None => Mark::Bare(at),
    }
}

impl<'p> Evaluation<'p> {
    /// A range in a scope's frame. `axis` is known in a part's or space's braces; `part` is the part
    /// whose board says how thick `after THING` is.
    pub(super) fn range_expr(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        axis: Option<Axis>,
        part: Option<PartId>,
    ) -> Res<Range> {
        let (lo, hi) = match &e.kind {
            ExprKind::If(c, a, b) => {
                let branch = if self.flag(c, scope)? { a } else { b };
                return self.range_expr(branch, scope, axis, part);
            }
            ExprKind::Range(a, b) => {
                let axis = match axis {
                    Some(axis) => Some(axis),
                    None => self.axis_of_ends(a, b, scope)?,
                };
                (self.end(a, End::Low, scope, axis)?, self.end(b, End::High, scope, axis)?)
            }
            ExprKind::After(length, thing) => {
                let lo = self.end(thing, End::Low, scope, axis)?;
                let size = self.span_length(length.as_deref(), e, scope, part)?;
                let hi = self.moved(lo, size, true, scope, e.span)?;
                (lo, hi)
            }
            ExprKind::Before(length, thing) => {
                let hi = self.end(thing, End::High, scope, axis)?;
                let size = self.span_length(length.as_deref(), e, scope, part)?;
                let lo = self.moved(hi, size, false, scope, e.span)?;
                (lo, hi)
            }
            _ => {
                let range = self.range_value(e, scope)?;
                return match (axis, range.anchor) {
                    (Some(axis), Some((other, frame))) if other == axis => {
                        // At the site there are no coordinates: the range stays where it was read.
                        let to = match self.scopes[scope.0 as usize].frame {
                            super::scope::SITE => frame,
                            to => to,
                        };
                        self.range_in(range, axis, frame, to, scope, e.span)
                    }
                    (Some(axis), Some((other, _))) => Err(self.wrong_axis(scope, e.span, other, axis)),
                    (Some(axis), None) => {
                        self.need_corner(scope, e.span)?;
                        let frame = self.scopes[scope.0 as usize].frame;
                        Ok(Range { anchor: Some((axis, frame)), ..range })
                    }
                    (None, _) => Ok(range),
                };
            }
        };
        let range = self.joined(lo, hi, scope, axis, e.span)?;
        if range.lo >= range.hi {
            return Err(self.empty_range(range, e, scope));
        }
        Ok(range)
    }

    fn axis_of_ends(&mut self, a: &'p Expr, b: &'p Expr, scope: ScopeId) -> Res<Option<Axis>> {
        for e in [a, b] {
            match self.eval(e, scope)? {
                Value::Place(p) => return Ok(Some(p.axis)),
                Value::Face(_, f) => return Ok(Some(f.axis())),
                Value::Range(Range { anchor: Some((axis, _)), .. }) => return Ok(Some(axis)),
                _ => {}
            }
        }
        Ok(None)
    }

    fn span_length(
        &mut self,
        length: Option<&'p Expr>,
        e: &'p Expr,
        scope: ScopeId,
        part: Option<PartId>,
    ) -> Res<Rational> {
        match (length, part) {
            (Some(length), _) => {
                let size = self.length(length, scope)?;
                if !size.is_positive() {
                    let mut d = Diagnostic::error(
                        "empty-range",
                        format!("A range cannot be {} long.", self.show(size)),
                        length.span,
                        format!("comes to {}", self.show(size)),
                    );
                    d.misses.extend(size.neg());
                    d.labels.extend(self.literal_labels(length, scope));
                    return Err(self.say(scope, d));
                }
                Ok(size)
            }
            (None, Some(part)) => self.thickness(part),
            (None, None) => {
                let d = Diagnostic::error(
                    "no-thickness",
                    "Without a length, `after` and `before` are as thick as the part's board; here is no part.",
                    e.span,
                    "how long?",
                )
                .help("Write a length before it: `100mm after …`.");
                Err(self.say(scope, d))
            }
        }
    }

    fn moved(&mut self, mark: Mark, by: Rational, up: bool, scope: ScopeId, span: Span) -> Res<Mark> {
        let step = |at: Rational| if up { at.add(by) } else { at.sub(by) };
        Ok(match mark {
            Mark::Bare(at) => Mark::Bare(self.exact(scope, span, step(at))?),
            Mark::Place(p) => {
                let at = self.exact(scope, span, step(p.at))?;
                Mark::Place(super::value::Place { at, ..p })
            }
        })
    }

    fn end(&mut self, e: &'p Expr, end: End, scope: ScopeId, axis: Option<Axis>) -> Res<Mark> {
        let value = self.eval(e, scope)?;
        match (value, axis) {
            (Value::Quantity(q), _) if q.dimension == Dimension::LENGTH => Ok(Mark::Bare(q.value)),
            (Value::Place(p), Some(axis)) if p.axis != axis => {
                Err(self.wrong_axis(scope, e.span, p.axis, axis))
            }
            (Value::Place(p), _) => Ok(Mark::Place(p)),
            (Value::Part(part), Some(axis)) => {
                let slot = self.parts[part.0 as usize].axes[axis as usize];
                let range = self.force_range(slot)?;
                let range = self.read_range(range, scope, e.span)?;
                Ok(looking_in(range, end))
            }
            (Value::Face(part, face), _) => {
                let place = self.face_place(part, face, scope, e.span)?;
                if axis.is_some_and(|a| a != place.axis) {
                    return Err(self.wrong_axis(scope, e.span, place.axis, axis.unwrap_or(place.axis)));
                }
                Ok(Mark::Place(place))
            }
            (Value::Range(range), _) => {
                if let (Some(axis), Some((other, _))) = (axis, range.anchor) {
                    if other != axis {
                        return Err(self.wrong_axis(scope, e.span, other, axis));
                    }
                }
                Ok(looking_in(range, end))
            }
            (Value::Part(_), None) => {
                let d = Diagnostic::error(
                    "no-axis",
                    "Which side of the part is meant? Here no axis is known.",
                    e.span,
                    "a part",
                )
                .help("Write a place: `left.x.end`.");
                Err(self.say(scope, d))
            }
            (other, _) => Err(self.wrong_kind(scope, e, &other, "a place, a length or a part")),
        }
    }

    fn joined(&mut self, lo: Mark, hi: Mark, scope: ScopeId, axis: Option<Axis>, span: Span) -> Res<Range> {
        let axis = axis.or(match (lo, hi) {
            (Mark::Place(p), _) | (_, Mark::Place(p)) => Some(p.axis),
            _ => None,
        });
        let Some(axis) = axis else {
            let (Mark::Bare(lo), Mark::Bare(hi)) = (lo, hi) else { return Err(super::machine::Failed) };
            return Ok(Range { anchor: None, lo, hi });
        };
        let to = self.scopes[scope.0 as usize].frame;
        // At the site there are no coordinates: the range stays in the frame of its first place.
        let to = match (to, lo, hi) {
            (super::scope::SITE, Mark::Place(p), _) | (super::scope::SITE, _, Mark::Place(p)) => p.frame,
            _ => to,
        };
        let mut ends = [Rational::ZERO; 2];
        for (slot, mark) in ends.iter_mut().zip([lo, hi]) {
            *slot = match mark {
                Mark::Bare(at) => {
                    self.need_corner(scope, span)?;
                    at
                }
                Mark::Place(p) => self.translate(p, to, scope, span)?,
            };
        }
        Ok(Range { anchor: Some((axis, to)), lo: ends[0], hi: ends[1] })
    }

    /// A bare length is a coordinate only in the text of a box.
    pub(super) fn need_corner(&mut self, scope: ScopeId, span: Span) -> Res<()> {
        if self.scopes[scope.0 as usize].corner {
            return Ok(());
        }
        let d = Diagnostic::error(
            "no-corner",
            "A bare length is no coordinate here: there is no box whose corner it counts from.",
            span,
            "counts from where?",
        )
        .help(self.corner_help(scope));
        Err(self.say(scope, d))
    }

    fn wrong_axis(&mut self, scope: ScopeId, span: Span, is: Axis, due: Axis) -> super::machine::Failed {
        let d = Diagnostic::error(
            "wrong-axis",
            format!("This lies on {}, and {} is due.", axis_word(is), axis_word(due)),
            span,
            format!("on {}", axis_word(is)),
        )
        .help(format!("Use a place or a range on {}.", axis_word(due)));
        self.say(scope, d)
    }

    fn empty_range(&mut self, range: Range, e: &'p Expr, scope: ScopeId) -> super::machine::Failed {
        let (lo, hi) = (self.show(range.lo), self.show(range.hi));
        let text = if range.lo == range.hi {
            format!("This range is empty: both ends are at {lo}.")
        } else {
            let gap = range.lo.sub(range.hi).map_or_else(|_| "?".to_string(), |g| self.show(g));
            format!("This range runs backwards by {gap}: from {lo} to {hi}.")
        };
        let mut d = Diagnostic::error("empty-range", text, e.span, format!("from {lo} to {hi}"));
        d.misses.extend(range.lo.sub(range.hi));
        d.labels.extend(self.literal_labels(e, scope));
        if let ExprKind::Range(a, b) = &e.kind {
            if range.lo > range.hi {
                let (a, b) = (self.source(a), self.source(b));
                d = d.help(format!(
                    "If the ends are the wrong way round write `{b} .. {a}`; else make room for it."
                ));
            } else {
                d = d.help("Give it some length.");
            }
        }
        self.say(scope, d)
    }

    /// Where a face lies on its axis, as the reader sees it.
    pub(super) fn face_place(
        &mut self,
        part: PartId,
        face: Face,
        scope: ScopeId,
        span: Span,
    ) -> Res<super::value::Place> {
        let axis = face.axis();
        let slot = self.parts[part.0 as usize].axes[axis as usize];
        let range = self.force_range(slot)?;
        let Some((_, frame)) = range.anchor else { return Err(super::machine::Failed) };
        let at = if face.is_high() { range.hi } else { range.lo };
        let place = super::value::Place { axis, frame, at };
        let to = self.facing(frame, self.scopes[scope.0 as usize].frame);
        let at = self.translate(place, to, scope, span)?;
        Ok(super::value::Place { axis, frame: to, at })
    }

    /// The range of a part on an axis.
    pub(super) fn part_axis(&mut self, id: PartId, axis: Axis) -> Res<Value<'p>> {
        let part = &self.parts[id.0 as usize];
        let (scope, stmt, mirror_of, frame, owner) =
            (part.scope, part.stmt, part.mirror_of, part.frame, part.owner);
        if let Some(first) = mirror_of {
            let slot = self.parts[first.0 as usize].axes[axis as usize];
            let range = self.force_range(slot)?;
            if axis != Axis::X {
                return Ok(Value::Range(range));
            }
            let width = self.box_size(owner, Axis::X)?;
            let span = stmt.name.span;
            let lo = self.exact(scope, span, width.sub(range.hi))?;
            let hi = self.exact(scope, span, width.sub(range.lo))?;
            return Ok(Value::Range(Range { anchor: Some((axis, frame)), lo, hi }));
        }
        let field = self.axis_field(&stmt.ranges, axis, stmt.ranges_span, scope, stmt.name.name.as_str())?;
        self.range_expr(&field.value, scope, Some(axis), Some(id)).map(Value::Range)
    }

    /// The field that gives an axis, or the message that it is missing.
    pub(super) fn axis_field(
        &mut self,
        ranges: &'p [Field],
        axis: Axis,
        span: Span,
        scope: ScopeId,
        name: &str,
    ) -> Res<&'p Field> {
        if let Some(field) = ranges.iter().find(|f| f.label.name.as_str() == axis_word(axis)) {
            return Ok(field);
        }
        let word = axis_word(axis);
        let d = Diagnostic::error(
            "missing-axis",
            format!("`{name}` has no `{word}:`."),
            span,
            "not all of x, y and z",
        )
        .help(format!("Add `{word}: … .. …` in its braces."));
        Err(self.say(scope, d))
    }

    pub(super) fn space_axis(&mut self, id: SpaceId, axis: Axis) -> Res<Value<'p>> {
        let space = &self.spaces[id.0 as usize];
        let super::scope::Room::Written(stmt) = space.room else { return self.row_room(id, axis) };
        let scope = space.scope;
        let field = self.axis_field(&stmt.ranges, axis, stmt.ranges_span, scope, stmt.name.name.as_str())?;
        self.range_expr(&field.value, scope, Some(axis), None).map(Value::Range)
    }

    /// The face that bounds a space at one side, by what its range was written with; the range itself
    /// is not worked out.
    pub(super) fn space_bound(
        &mut self,
        id: SpaceId,
        side: Face,
        reader: ScopeId,
        span: Span,
    ) -> Res<Value<'p>> {
        let space = &self.spaces[id.0 as usize];
        let (scope, room, frame, name) = (space.scope, space.room, space.frame, space.name);
        let side = self.face_for(side, frame, self.scopes[reader.0 as usize].frame);
        let super::scope::Room::Written(stmt) = room else {
            return self.row_bound(id, side, reader, span);
        };
        let field = self.axis_field(&stmt.ranges, side.axis(), stmt.ranges_span, scope, name.as_str())?;
        if let Some(value) = self.bound_of(&field.value, side, scope)? {
            return Ok(value);
        }
        let word = side.word();
        let d = Diagnostic::error(
            "no-bound",
            format!("Nothing bounds `{name}` at its {word}."),
            span,
            format!("no part at the {word}"),
        )
        .label(field.value.span, "this end is a figure, not a part")
        .help("Write the part itself as the end of the range, as in `x: left .. right`.");
        Err(self.say(reader, d))
    }

    fn bound_of(&mut self, e: &'p Expr, side: Face, scope: ScopeId) -> Res<Option<Value<'p>>> {
        let mut end = match &e.kind {
            ExprKind::If(c, a, b) => {
                let branch = if self.flag(c, scope)? { a } else { b };
                return self.bound_of(branch, side, scope);
            }
            ExprKind::Range(a, b) => {
                if side.is_high() {
                    b
                } else {
                    a
                }
            }
            ExprKind::After(_, thing) if !side.is_high() => thing,
            ExprKind::Before(_, thing) if side.is_high() => thing,
            ExprKind::Member(object, _) => {
                return match self.eval(object, scope)? {
                    Value::Space(other) => self.space_bound(other, side, scope, e.span).map(Some),
                    _ => Ok(None),
                };
            }
            _ => return Ok(None),
        };
        // One end may be chosen.
        while let ExprKind::If(c, a, b) = &end.kind {
            end = if self.flag(c, scope)? { a } else { b };
        }
        // A bare name of a part or face; anything else is a figure and bounds nothing.
        let value = match &end.kind {
            ExprKind::Name(_) | ExprKind::Member(..) | ExprKind::Index(..) => self.eval(end, scope)?,
            _ => return Ok(None),
        };
        Ok(match value {
            Value::Part(part) => {
                let frame = self.parts[part.0 as usize].frame;
                let looks = self.face_for(side.opposite(), frame, self.scopes[scope.0 as usize].frame);
                Some(Value::Face(part, looks))
            }
            Value::Face(part, face) => Some(Value::Face(part, face)),
            _ => None,
        })
    }
}

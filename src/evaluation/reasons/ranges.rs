//! What the ends of ranges read, and places moved between frames.

use super::{Graph, Open, Pick, Sum, Term, both};
use crate::evaluation::ranges::End;
use crate::evaluation::scope::{BoxId, FrameId, FrameKind, PartId, SITE, ScopeId, SlotId};
use crate::evaluation::value::{Place, Value};
use crate::geometry::Axis;
use crate::syntax::tree::{Expr, ExprKind};
use crate::values::Rational;

impl<'p> Graph<'_, 'p> {
    /// What of a range is read, in the frame `to` (that of the scope where it is not known).
    #[allow(clippy::too_many_arguments)]
    pub(super) fn range(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        pick: Option<Pick>,
        axis: Option<Axis>,
        part: Option<PartId>,
        to: Option<FrameId>,
        open: &mut Open,
    ) -> Option<Sum> {
        let axis = axis.or_else(|| match self.value(e, scope) {
            Some(Value::Range(r)) => r.anchor.map(|(axis, _)| axis),
            _ => None,
        });
        let frame = to.unwrap_or(self.e.scopes[scope.0 as usize].frame);
        match (&e.kind, pick) {
            (ExprKind::If(c, a, b), _) => {
                self.beside(c, scope, open);
                let branch = if self.look(|it| it.flag(c, scope))? { a } else { b };
                self.range(branch, scope, pick, axis, part, to, open)
            }
            (ExprKind::Range(a, _), Some(Pick::Low)) => self.end(a, End::Low, scope, axis, frame, open),
            (ExprKind::Range(_, b), Some(Pick::High)) => self.end(b, End::High, scope, axis, frame, open),
            (ExprKind::Range(a, b), _) => {
                let low = self.end(a, End::Low, scope, axis, frame, open);
                let high = self.end(b, End::High, scope, axis, frame, open);
                self.of_both(low, high, pick)
            }
            (ExprKind::After(length, thing), _) => {
                if pick == Some(Pick::Size) {
                    return self.thick(length.as_deref(), scope, part, open);
                }
                let low = self.end(thing, End::Low, scope, axis, frame, open);
                if pick == Some(Pick::Low) {
                    return low;
                }
                let high = both(low.clone(), self.thick(length.as_deref(), scope, part, open), 1);
                if pick == Some(Pick::High) { high } else { self.of_both(low, high, pick) }
            }
            (ExprKind::Before(length, thing), _) => {
                if pick == Some(Pick::Size) {
                    return self.thick(length.as_deref(), scope, part, open);
                }
                let high = self.end(thing, End::High, scope, axis, frame, open);
                if pick == Some(Pick::High) {
                    return high;
                }
                let low = both(high.clone(), self.thick(length.as_deref(), scope, part, open), -1);
                if pick == Some(Pick::Low) { low } else { self.of_both(low, high, pick) }
            }
            _ => {
                let anchor = match self.value(e, scope) {
                    Some(Value::Range(r)) => r.anchor,
                    _ => None,
                };
                let Some((axis, from)) = anchor else {
                    let path: Vec<Pick> = pick.into_iter().collect();
                    return self.expr(e, scope, &path, open);
                };
                // At the site the range stays where it was read.
                let to = if frame == SITE { from } else { frame };
                self.range_of(e, scope, axis, from, to, pick, open)
            }
        }
    }

    /// An expression that is a range of the frame `from`, read in `to`.
    #[allow(clippy::too_many_arguments)]
    fn range_of(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        axis: Axis,
        from: FrameId,
        to: FrameId,
        pick: Option<Pick>,
        open: &mut Open,
    ) -> Option<Sum> {
        let turned = axis == Axis::X && self.e.reflected(from) != self.e.reflected(to);
        let end = |pick: Pick| match (pick, turned) {
            (Pick::Low, true) => Pick::High,
            (Pick::High, true) => Pick::Low,
            (pick, _) => pick,
        };
        match pick {
            Some(pick @ (Pick::Low | Pick::High | Pick::Mid)) => {
                let sum = self.expr(e, scope, &[end(pick)], open);
                self.moved(sum, axis, from, to, open)
            }
            Some(pick) => self.expr(e, scope, &[pick], open),
            None => {
                for pick in [Pick::Low, Pick::High] {
                    let sum = self.expr(e, scope, &[pick], open);
                    self.moved(sum, axis, from, to, open);
                }
                None
            }
        }
    }

    fn of_both(&self, low: Option<Sum>, high: Option<Sum>, pick: Option<Pick>) -> Option<Sum> {
        match pick {
            Some(Pick::Size) => both(high, low, -1),
            Some(Pick::Mid) => both(high, low, 1)?.times(Rational::ratio(1, 2)),
            _ => None,
        }
    }

    /// The length before `after` or `before`, else the thickness of the part's board.
    fn thick(
        &mut self,
        length: Option<&'p Expr>,
        scope: ScopeId,
        part: Option<PartId>,
        open: &mut Open,
    ) -> Option<Sum> {
        match (length, part) {
            (Some(e), _) => self.part_of_formula(e, scope, open),
            (None, Some(part)) => self.board_thickness(part, open),
            (None, None) => None,
        }
    }

    fn end(
        &mut self,
        e: &'p Expr,
        end: End,
        scope: ScopeId,
        axis: Option<Axis>,
        to: FrameId,
        open: &mut Open,
    ) -> Option<Sum> {
        let looking_in = if end == End::Low { Pick::High } else { Pick::Low };
        match (self.value(e, scope), axis) {
            (Some(Value::Place(p)), _) => {
                let to = if to == SITE { p.frame } else { to };
                self.place_in(e, scope, p, to, open)
            }
            (Some(Value::Part(part)), Some(axis)) => {
                let record = &self.e.parts[part.0 as usize];
                let (slot, frame) = (record.axes[axis as usize], record.frame);
                let to = if to == SITE { frame } else { to };
                let turned = axis == Axis::X && self.e.reflected(frame) != self.e.reflected(to);
                let pick = match (looking_in, turned) {
                    (Pick::Low, false) | (Pick::High, true) => Pick::Low,
                    _ => Pick::High,
                };
                self.end_standing(e, scope, (slot, axis, frame), pick, to, open)
            }
            (Some(Value::Face(part, face)), _) => {
                let record = &self.e.parts[part.0 as usize];
                let (axis, frame) = (face.axis(), record.frame);
                let pick = if face.is_high() { Pick::High } else { Pick::Low };
                let slot = record.axes[axis as usize];
                let to = if to == SITE { frame } else { to };
                self.end_standing(e, scope, (slot, axis, frame), pick, to, open)
            }
            (Some(Value::Range(r)), _) => {
                let sum = self.expr(e, scope, &[looking_in], open);
                match r.anchor {
                    Some((axis, from)) => {
                        let to = if to == SITE { from } else { to };
                        self.moved(sum, axis, from, to, open)
                    }
                    None => sum,
                }
            }
            _ => self.part_of_formula(e, scope, open),
        }
    }

    /// An end of a slot that holds a range of its frame, in the frame `to`.
    fn end_standing(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        (slot, axis, from): (SlotId, Axis, FrameId),
        pick: Pick,
        to: FrameId,
        open: &mut Open,
    ) -> Option<Sum> {
        let value = self.slot_value(slot).and_then(|v| super::picked(&v, &[pick]));
        let at = value.as_ref().and_then(super::figure).map(|q| q.value)?;
        self.standing(e, scope, Place { axis, frame: from, at }, to, open, |it, open| {
            let sum = it.read(slot, &[pick], None, open);
            let name = it.name_of_place(e, sum.as_ref());
            (name, it.moved(sum, axis, from, to, open))
        })
    }

    /// What of a slot that holds a range of `from` is read in `to`.
    pub(super) fn span_of(
        &mut self,
        slot: SlotId,
        axis: Axis,
        from: FrameId,
        to: FrameId,
        pick: Option<Pick>,
        open: &mut Open,
    ) -> Option<Sum> {
        let turned = axis == Axis::X && self.e.reflected(from) != self.e.reflected(to);
        let ends = if turned { [Pick::High, Pick::Low] } else { [Pick::Low, Pick::High] };
        let mut end = |it: &mut Self, pick: Pick| {
            let sum = it.read(slot, &[pick], None, open);
            it.moved(sum, axis, from, to, open)
        };
        match pick {
            Some(Pick::Low) => end(self, ends[0]),
            Some(Pick::High) => end(self, ends[1]),
            Some(Pick::Mid) => {
                let (low, high) = (end(self, ends[0]), end(self, ends[1]));
                both(low, high, 1)?.times(Rational::ratio(1, 2))
            }
            Some(pick) => self.read(slot, &[pick], None, open),
            None => {
                end(self, ends[0]);
                end(self, ends[1]);
                None
            }
        }
    }

    /// A coordinate of `from` in `to`: what lies between them is read.
    pub(super) fn moved(
        &mut self,
        sum: Option<Sum>,
        axis: Axis,
        from: FrameId,
        to: FrameId,
        open: &mut Open,
    ) -> Option<Sum> {
        let (mut sum, mut from, mut target) = (sum, from, to);
        let mut down = Vec::new();
        for _ in 0..256 {
            if from == target {
                break;
            }
            let (f, t) = (self.e.frames[from.0 as usize], self.e.frames[target.0 as usize]);
            if f.depth >= t.depth {
                sum = self.over(f.kind, axis, true, sum, open);
                from = f.parent?;
            } else {
                down.push(t.kind);
                target = t.parent?;
            }
        }
        while let Some(kind) = down.pop() {
            sum = self.over(kind, axis, false, sum, open);
        }
        sum
    }

    fn over(
        &mut self,
        kind: FrameKind,
        axis: Axis,
        up: bool,
        sum: Option<Sum>,
        open: &mut Open,
    ) -> Option<Sum> {
        match kind {
            FrameKind::Mirror(b) if axis == Axis::X => {
                let width = self.box_size(b, Axis::X, open);
                both(width, sum, -1)
            }
            FrameKind::Corner(b) => {
                let offset = self.offset(b, axis, open);
                both(sum, offset, if up { 1 } else { -1 })
            }
            _ => sum,
        }
    }

    /// Where the low corner of a box stands in what it stands in.
    pub(super) fn offset(&mut self, b: BoxId, axis: Axis, open: &mut Open) -> Option<Sum> {
        let slot = self.e.boxes[b.0 as usize].offset[axis as usize];
        self.read(slot, &[Pick::Low], None, open)
    }

    /// A sum of one step that is read.
    pub fn one(&mut self, id: super::StepId, open: &mut Open) -> Option<Sum> {
        open.read(id);
        Some(Sum::of(Term::Step(id)))
    }
}

//! What `thing.name` reads.

use super::{Graph, Open, Pick, StepId, Sum, Term, both, figure};
use crate::evaluation::machine::{axis_of, axis_word};
use crate::evaluation::scope::{BoxId, PartId, ScopeId, SlotId, SpaceId};
use crate::evaluation::value::{Range, Value};
use crate::geometry::{Axis, Face};
use crate::syntax::Name;
use crate::syntax::tree::{Expr, ExprKind, Ident, Kind};
use crate::values::Rational;

/// The axis of a size: `width` of a box or space.
fn size_axis(word: &str) -> Option<Axis> {
    match word {
        "width" => Some(Axis::X),
        "height" => Some(Axis::Y),
        "depth" => Some(Axis::Z),
        _ => None,
    }
}

impl<'p> Graph<'_, 'p> {
    pub(super) fn member(
        &mut self,
        object: &'p Expr,
        name: Ident,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let word = name.name.as_str();
        if let ExprKind::Name(n) = &object.kind {
            let bound = self.e.peek(scope, *n).is_some();
            if n.as_str() == "house" && !bound {
                let slot = self.e.house_slot(name.name)?;
                return self.read(slot, path, None, open);
            }
            if n.as_str() == "base" && !bound {
                let (b, layers) = self.base_of(scope)?;
                let (slot, _) = self.e.member_slot(b, layers, name.name, false)?;
                return self.read(slot, path, Some(format!("base.{word}")), open);
            }
        }
        let to = self.e.scopes[scope.0 as usize].frame;
        match self.value(object, scope) {
            Some(Value::Part(part)) => self.part_member(part, word, to, path, open),
            Some(Value::Face(part, face)) => match word {
                "at" => self.face_at(part, face, to, open),
                _ => self.part_member(part, word, to, path, open),
            },
            Some(Value::Range(range)) => self.range_member(range, object, word, scope, open),
            Some(Value::Space(space)) => self.space_member(space, word, to, path, open),
            Some(Value::Point(_)) => {
                let inner = [&[Pick::On(axis_of(word)?)], path].concat();
                self.expr(object, scope, &inner, open)
            }
            Some(Value::Seam(seam)) => {
                let (axis, pick) = match axis_of(word) {
                    Some(axis) => (axis, path.to_vec()),
                    None => (seam.seam.length().ok()?.0, vec![Pick::Size]),
                };
                self.expr(object, scope, &[&[Pick::On(axis)], pick.as_slice()].concat(), open)
            }
            Some(Value::List(list)) => {
                let pick = match word {
                    "count" => Pick::Count,
                    "first" => Pick::Item(0),
                    _ => Pick::Item(list.len().checked_sub(1)?),
                };
                self.expr(object, scope, &[&[pick], path].concat(), open)
            }
            Some(Value::Box(b)) => self.box_member(b, name, to, path, open),
            Some(Value::Thing(thing)) => {
                let entries = &self.e.scopes[thing.scope.0 as usize];
                let slot = crate::evaluation::names::find(entries, name.name)?.slot;
                self.read(slot, path, Some(format!("{}.{word}", thing.def.name.name)), open)
            }
            // Not known: whatever it is, it comes from there.
            _ => self.expr(object, scope, &[], open),
        }
    }

    fn base_of(&self, scope: ScopeId) -> Option<(BoxId, usize)> {
        let mut at = Some(scope);
        while let Some(id) = at {
            let record = &self.e.scopes[id.0 as usize];
            if record.extras_of.is_some() {
                return record.extras_of;
            }
            at = record.parent;
        }
        None
    }

    fn part_member(
        &mut self,
        part: PartId,
        word: &str,
        to: crate::evaluation::scope::FrameId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let record = &self.e.parts[part.0 as usize];
        let (axes, frame) = (record.axes, record.frame);
        if let Some(axis) = axis_of(word) {
            let to = self.e.facing(frame, to);
            return self.span_of(axes[axis as usize], axis, frame, to, path.first().copied(), open);
        }
        match word {
            "thickness" => self.board_thickness(part, open),
            "length" | "width" => {
                let axes = self.look(|it| it.part_axes(part));
                let axis = axes.map(|a| a[usize::from(word == "width")]);
                match axis {
                    Some(axis) => {
                        let slot = self.e.parts[part.0 as usize].axes[axis as usize];
                        self.read(slot, &[Pick::Size], None, open)
                    }
                    None => {
                        for slot in self.e.parts[part.0 as usize].axes {
                            self.read(slot, &[Pick::Size], None, open);
                        }
                        None
                    }
                }
            }
            "mass" => {
                let id = self.part_mass(part);
                open.read(id);
                Some(Sum::of(Term::Step(id)))
            }
            _ => None,
        }
    }

    /// Where a face of a part lies, in the frame `to` or the nearest in which x runs as there.
    pub(super) fn face_at(
        &mut self,
        part: PartId,
        face: Face,
        to: crate::evaluation::scope::FrameId,
        open: &mut Open,
    ) -> Option<Sum> {
        let record = &self.e.parts[part.0 as usize];
        let (axis, frame) = (face.axis(), record.frame);
        let pick = if face.is_high() { Pick::High } else { Pick::Low };
        let sum = self.read(record.axes[axis as usize], &[pick], None, open);
        let to = self.e.facing(frame, to);
        self.moved(sum, axis, frame, to, open)
    }

    fn range_member(
        &mut self,
        range: Range,
        object: &'p Expr,
        word: &str,
        scope: ScopeId,
        open: &mut Open,
    ) -> Option<Sum> {
        let _ = range;
        let pick = match word {
            "start" => Pick::Low,
            "end" => Pick::High,
            "size" => Pick::Size,
            _ => Pick::Mid,
        };
        self.expr(object, scope, &[pick], open)
    }

    fn space_member(
        &mut self,
        space: SpaceId,
        word: &str,
        to: crate::evaluation::scope::FrameId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let record = &self.e.spaces[space.0 as usize];
        let (axes, frame) = (record.axes, record.frame);
        if let Some(axis) = size_axis(word) {
            return self.read(axes[axis as usize], &[Pick::Size], None, open);
        }
        let axis = axis_of(word)?;
        let to = self.e.facing(frame, to);
        self.span_of(axes[axis as usize], axis, frame, to, path.first().copied(), open)
    }

    fn box_member(
        &mut self,
        b: BoxId,
        name: Ident,
        to: crate::evaluation::scope::FrameId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let word = name.name.as_str();
        let kind = self.e.kind_of(b);
        let layers = self.e.boxes[b.0 as usize].layers.len();
        let lies = axis_of(word).is_some() && kind == Kind::Obstacle;
        if let Some((slot, _)) = self.e.member_slot(b, layers, name.name, false).filter(|_| !lies) {
            let full = format!("{}.{word}", self.e.boxes[b.0 as usize].path);
            return self.read(slot, path, Some(full), open);
        }
        let record = &self.e.boxes[b.0 as usize];
        let (extent, outer) = (record.extent, record.outer);
        if let Some(axis) = size_axis(word) {
            return self.box_size(b, axis, open);
        }
        if let Some(axis) = axis_of(word) {
            let to = self.e.facing(outer, to);
            return self.span_of(extent[axis as usize], axis, outer, to, path.first().copied(), open);
        }
        match (kind, word) {
            (Kind::Wall, "right") => self.box_size(b, Axis::X, open),
            (Kind::Wall, "ceiling") => self.box_size(b, Axis::Y, open),
            (Kind::Wall, "left" | "floor" | "face") => Some(Sum::constant(Rational::ZERO)),
            (Kind::Box, "mass") => {
                let id = self.box_mass(b)?;
                open.read(id);
                Some(Sum::of(Term::Step(id)))
            }
            (_, "index") => {
                let slot = self.e.boxes[b.0 as usize].index?;
                self.read(slot, path, None, open)
            }
            _ => None,
        }
    }

    /// The size of a box on an axis.
    pub(super) fn box_size(&mut self, b: BoxId, axis: Axis, open: &mut Open) -> Option<Sum> {
        let slot = self.e.boxes[b.0 as usize].extent[axis as usize];
        self.read(slot, &[Pick::High], None, open)
    }

    /// The thickness of a part's board.
    pub(super) fn board_thickness(&mut self, part: PartId, open: &mut Open) -> Option<Sum> {
        let (slot, name) = self.field_of_board(part, "thickness")?;
        self.read(slot, &[], Some(name), open)
    }

    /// A parameter or field of a part's board, and what to call it.
    pub(super) fn field_of_board(&mut self, part: PartId, word: &str) -> Option<(SlotId, String)> {
        let board = self.e.parts[part.0 as usize].board;
        let Some(Value::Thing(thing)) = self.slot_value(board) else { return None };
        let entries = &self.e.scopes[thing.scope.0 as usize];
        let slot = crate::evaluation::names::find(entries, Name::new(word))?.slot;
        Some((slot, format!("{}.{word}", thing.def.name.name)))
    }

    /// Gross mass of a part.
    pub fn part_mass(&mut self, part: PartId) -> StepId {
        let key = super::Key::Mass(part);
        if let Some(id) = self.known.get(&key) {
            return *id;
        }
        let record = &self.e.parts[part.0 as usize];
        let (path, scope, span, axes) = (record.path.clone(), record.scope, record.span, record.axes);
        let words = super::Formula::Words("size × density of its board".to_string());
        let id = self.enter(Some(key), format!("{path}.mass"), words, Some(span));
        self.brief.insert(id);
        let mut open = Open::default();
        for slot in axes {
            self.read(slot, &[Pick::Size], None, &mut open);
        }
        if let Some((slot, name)) = self.field_of_board(part, "density") {
            self.read(slot, &[], Some(name), &mut open);
        }
        let value = self.look(|it| it.part_mass(part, scope, span));
        self.close(id, value, None, open)
    }

    fn box_mass(&mut self, b: BoxId) -> Option<StepId> {
        let key = super::Key::BoxMass(b);
        if let Some(id) = self.known.get(&key) {
            return Some(*id);
        }
        let record = &self.e.boxes[b.0 as usize];
        let (path, user, span) = (record.path.clone(), record.user, record.place.call.span);
        let words = super::Formula::Words("all its parts and the boxes in it".to_string());
        let id = self.enter(Some(key), format!("{path}.mass"), words, Some(span));
        self.brief.insert(id);
        self.kept.insert(id);
        let mut open = Open::default();
        let mut sum = Some(Sum::default());
        for thing in self.look(|it| it.things_in(b)).unwrap_or_default() {
            let one = match thing {
                Value::Part(p) => Some(self.part_mass(p)),
                Value::Box(inner) => self.box_mass(inner),
                _ => None,
            };
            if let Some(one) = one {
                open.read(one);
                sum = both(sum, Some(Sum::of(Term::Step(one))), 1);
            }
        }
        let value = self.look(|it| it.box_mass(b, user, span));
        let value = value.filter(|v| figure(v).is_some());
        Some(self.close(id, value, sum, open))
    }

    /// What a slot that holds a range is called: `floor.clay.left.x`.
    pub(super) fn axis_name(&self, path: &str, axis: Axis, pick: Option<Pick>) -> String {
        let end = match pick {
            Some(Pick::Low) => ".start",
            Some(Pick::High) => ".end",
            Some(Pick::Size) => ".size",
            Some(Pick::Mid) => ".mid",
            _ => "",
        };
        format!("{path}.{}{end}", axis_word(axis))
    }
}

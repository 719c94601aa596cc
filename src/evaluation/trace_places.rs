//! The literals behind where things stand: rows, offsets of boxes, places moved between frames.

use super::machine::Evaluation;
use super::scope::{BoxId, FrameId, FrameKind, Member, ScopeId, State};
use super::trace::{Literal, Walk};
use super::value::Value;
use crate::geometry::Axis;
use crate::syntax::Name;

impl<'p> Evaluation<'p> {
    /// The literals behind all that takes room in a row: what is left of its wall is shared.
    pub fn row_trail(&self, row: BoxId) -> Vec<Literal> {
        let mut walk = Walk::default();
        self.walk_row(row, &mut walk);
        walk.found
    }

    pub(super) fn walk_row(&self, row: BoxId, walk: &mut Walk<'p>) {
        for member in self.row_content(row) {
            match member {
                Member::Box(b) => self.walk_slot(self.boxes[b.0 as usize].extent[0], None, walk),
                Member::Gap(space) => {
                    let space = &self.spaces[space.0 as usize];
                    if let super::scope::Room::Gap(e) = space.room {
                        self.walk_expr(e, space.scope, Some(space.name), walk);
                    }
                }
            }
        }
        let layers = self.boxes[row.0 as usize].layers.len();
        for word in ["ends", "between", "wall"] {
            let Some((slot, _)) = self.member_slot(row, layers, Name::new(word), true) else { continue };
            match &self.slots[slot.0 as usize].state {
                State::Done(Value::Box(wall)) => {
                    self.walk_slot(self.boxes[wall.0 as usize].extent[0], None, walk);
                }
                _ => self.walk_slot(slot, None, walk),
            }
        }
    }

    /// The literals behind where a box stands at its wall and how large it is; for an obstacle, its ranges.
    pub fn stand_trail(&self, b: BoxId) -> Vec<Literal> {
        let mut walk = Walk::default();
        if let Some(row) = self.row_of(b) {
            let layers = self.boxes[row.0 as usize].layers.len();
            for word in ["standoff", "at", "ends"] {
                if let Some((slot, _)) = self.member_slot(row, layers, Name::new(word), true) {
                    self.walk_slot(slot, None, &mut walk);
                }
            }
        }
        for slot in self.boxes[b.0 as usize].extent {
            self.walk_slot(slot, None, &mut walk);
        }
        walk.found
    }

    /// What a row takes up on an axis.
    pub(super) fn walk_across_row(&self, row: BoxId, axis: Axis, walk: &mut Walk<'p>) {
        let word = match axis {
            Axis::X => return self.walk_row(row, walk),
            Axis::Y => "at",
            Axis::Z => "standoff",
        };
        let layers = self.boxes[row.0 as usize].layers.len();
        if let Some((slot, _)) = self.member_slot(row, layers, Name::new(word), true) {
            self.walk_slot(slot, None, walk);
        }
        for member in self.row_content(row) {
            if let Member::Box(b) = member {
                self.walk_slot(self.boxes[b.0 as usize].extent[axis as usize], None, walk);
            }
        }
    }

    /// Where a box stands in what it stands in.
    pub(super) fn walk_offset(&self, b: BoxId, axis: Axis, walk: &mut Walk<'p>) {
        use crate::syntax::tree::Envelope;
        let record = &self.boxes[b.0 as usize];
        if let Some(row) = self.row_of(b) {
            self.walk_across_row(row, axis, walk);
            return;
        }
        let Some((envelope, scope, _)) = record.envelope else { return };
        match (envelope, &record.place.at) {
            (Envelope::Sizes(..), Some((at, _))) => {
                if let Some(e) = at.get(axis as usize) {
                    self.walk_expr(e, record.user, None, walk);
                }
            }
            (Envelope::Space(e), _) => self.walk_member_of(e, scope, axis, walk),
            (Envelope::Ranges(fields, _), _) => {
                let word = super::machine::axis_word(axis);
                if let Some(f) = fields.iter().find(|f| f.label.name.as_str() == word) {
                    self.walk_expr(&f.value, scope, None, walk);
                }
            }
            _ => {}
        }
    }

    /// What a place of a frame is moved by where it is read in a scope: the corners of boxes, widths of
    /// reflections.
    pub(super) fn walk_between(&self, from: FrameId, scope: ScopeId, axis: Axis, walk: &mut Walk<'p>) {
        // A text at the site may move it by all that lies around it.
        let (mut from, mut to) = (from, self.scopes[scope.0 as usize].frame);
        while from != to {
            let (a, b) = (self.frames[from.0 as usize], self.frames[to.0 as usize]);
            let deeper = a.depth >= b.depth;
            match if deeper { a.kind } else { b.kind } {
                FrameKind::Corner(b) => {
                    self.walk_slot(self.boxes[b.0 as usize].offset[axis as usize], None, walk);
                }
                FrameKind::Mirror(b) if axis == Axis::X => {
                    self.walk_slot(self.boxes[b.0 as usize].extent[0], None, walk);
                }
                _ => {}
            }
            let Some(parent) = (if deeper { a.parent } else { b.parent }) else { return };
            if deeper { from = parent } else { to = parent }
        }
    }
}

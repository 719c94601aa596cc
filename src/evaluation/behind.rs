//! Every number that leads to a thing that went wrong, for figures that mend: more than a message labels.

use super::machine::Evaluation;
use super::scope::{BoxId, Member, PartId, ScopeId, SlotId, State, Work};
use super::trace::Literal;
use super::value::Value;
use crate::diagnostics::Label;
use crate::syntax::tree::{Call, Expr, ExprKind};
use std::collections::BTreeSet;

/// What has been gone through.
#[derive(Default)]
struct Reach {
    found: Vec<Literal>,
    slots: BTreeSet<SlotId>,
    boxes: BTreeSet<BoxId>,
    parts: BTreeSet<PartId>,
}

impl<'p> Evaluation<'p> {
    /// The numbers behind a message of a scope: what the uses that led to it were given, outwards.
    pub(super) fn behind_scope(&self, scope: ScopeId) -> Vec<Label> {
        let mut reach = Reach::default();
        self.reach_scope(scope, &mut reach);
        self.labels_of(&reach.found)
    }

    /// The numbers behind all arguments of a verb, the parts it works on too.
    pub fn behind_call(&self, call: &'p Call, scope: ScopeId) -> Vec<Label> {
        let mut reach = Reach::default();
        self.reach_call(call, scope, &mut reach);
        self.reach_scope(scope, &mut reach);
        self.labels_of(&reach.found)
    }

    /// The numbers behind a part, and where its box stands.
    pub fn behind_part(&self, part: PartId) -> Vec<Label> {
        let mut reach = Reach::default();
        self.reach_part(part, &mut reach);
        self.labels_of(&reach.found)
    }

    /// The numbers behind a box: its arguments, and where it stands.
    pub fn behind_box(&self, b: BoxId) -> Vec<Label> {
        let mut reach = Reach::default();
        self.reach_box(b, &mut reach);
        self.labels_of(&reach.found)
    }

    fn reach_part(&self, part: PartId, reach: &mut Reach) {
        if !reach.parts.insert(part) {
            return;
        }
        reach.found.extend(self.part_trail(part));
        let record = &self.parts[part.0 as usize];
        self.reach_scope(record.scope, reach);
    }

    /// The arguments of a box, where it stands, and the same of what it stands in.
    fn reach_box(&self, b: BoxId, reach: &mut Reach) {
        if !reach.boxes.insert(b) {
            return;
        }
        let record = &self.boxes[b.0 as usize];
        self.reach_call(&record.place.call, record.user, reach);
        for layer in &record.layers {
            for entry in &self.scopes[layer.0 as usize].entries {
                if matches!(self.slots[entry.slot.0 as usize].work, Work::Param(..)) {
                    self.reach_value(entry.slot, reach);
                }
            }
        }
        for member in self.row_content(b) {
            if let Member::Box(member) = member {
                self.reach_box(member, reach);
            }
        }
        let place = record.place;
        for e in place.at.iter().flat_map(|(at, _)| at).chain(&place.count) {
            self.reach_expr(e, record.user, reach);
        }
        if let Some(row) = self.row_of(b) {
            reach.found.extend(self.row_trail(row));
            reach.found.extend(self.stand_trail(b));
            self.reach_box(row, reach);
        }
        self.reach_scope(record.user, reach);
    }

    fn reach_call(&self, call: &'p Call, scope: ScopeId, reach: &mut Reach) {
        for arg in &call.args {
            self.reach_expr(&arg.value, scope, reach);
        }
    }

    fn reach_expr(&self, e: &'p Expr, scope: ScopeId, reach: &mut Reach) {
        reach.found.extend(self.literals(e, scope));
        // A list of parts, as joints take it.
        if let ExprKind::List(list) = &e.kind {
            for e in list {
                self.reach_expr(e, scope, reach);
            }
        }
        if let ExprKind::Name(name) = &e.kind
            && let Some(slot) = self.peek(scope, *name)
        {
            self.reach_value(slot, reach);
        }
    }

    /// What a scope's text was given, and the text around it.
    fn reach_scope(&self, scope: ScopeId, reach: &mut Reach) {
        let mut at = Some(scope);
        while let Some(here) = at {
            let Some(record) = self.scopes.get(here.0 as usize) else { return };
            if let Some(owner) = record.owner {
                self.reach_box(owner, reach);
            }
            // The text of a joint or fitting: its parameters.
            if record.site.is_some() {
                for entry in &record.entries {
                    if matches!(self.slots[entry.slot.0 as usize].work, Work::Param(..) | Work::Given) {
                        self.reach_value(entry.slot, reach);
                    }
                }
            }
            at = record.site.map(|(_, user)| user).or(record.parent);
        }
    }

    fn reach_value(&self, slot: SlotId, reach: &mut Reach) {
        if !reach.slots.insert(slot) {
            return;
        }
        reach.found.extend(self.slot_trail(slot));
        if let State::Done(value) = &self.slots[slot.0 as usize].state {
            self.reach_things(value, reach);
        }
    }

    fn reach_things(&self, value: &Value<'p>, reach: &mut Reach) {
        match value {
            Value::Part(part) | Value::Face(part, _) => self.reach_part(*part, reach),
            Value::Box(b) => self.reach_box(*b, reach),
            Value::Space(space) => {
                for slot in self.spaces[space.0 as usize].axes {
                    reach.found.extend(self.slot_trail(slot));
                }
            }
            Value::List(list) => {
                for value in list.iter() {
                    self.reach_things(value, reach);
                }
            }
            _ => {}
        }
    }
}

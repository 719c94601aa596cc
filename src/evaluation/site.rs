//! Walls, obstacles, and boxes that are written at the site and stand in something.

use super::machine::{Evaluation, Res};
use super::scope::*;
use super::value::{Place, Value};
use crate::diagnostics::Diagnostic;
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::tree::{Envelope, Kind, StmtKind};
use crate::values::{Dimension, Quantity, Rational};

impl<'p> Evaluation<'p> {
    /// A box that is written at the site stands in a wall or another box where its envelope, or the
    /// place it is put at, is written with places of that; a row stands at its wall.
    pub(super) fn may_stand(&mut self, b: BoxId, user_frame: FrameId) {
        let record = &self.boxes[b.0 as usize];
        let open = match record.envelope {
            _ if record.place.kind == Kind::Row => true,
            Some((Envelope::Sizes(..), ..)) => record.place.at.is_some(),
            Some(_) => true,
            None => false,
        };
        if user_frame != SITE || !open {
            return;
        }
        let (outer, inner) = (record.outer, record.inner);
        let slot = self.slot(Work::Stands(b));
        self.boxes[b.0 as usize].stands = Some(slot);
        for frame in if outer == inner { vec![outer] } else { vec![outer, inner] } {
            let frame = &mut self.frames[frame.0 as usize];
            frame.root = Root::Ask(b);
            // One step for what it stands in, which is not known yet.
            frame.depth += 1;
        }
    }

    /// What a box written at the site stands in; none where it stands by itself.
    pub(super) fn stands_in(&mut self, b: BoxId) -> Res<Value<'p>> {
        let record = &self.boxes[b.0 as usize];
        let (place, user, outer) = (record.place, record.user, record.outer);
        let frame = if place.kind == Kind::Row {
            match self.own_value_of(b, "wall")? {
                Some(Value::Box(wall)) if self.kind_of(wall) == Kind::Wall => {
                    Some(self.boxes[wall.0 as usize].outer)
                }
                _ => return Err(self.no_wall(b)),
            }
        } else {
            let (envelope, scope, _) = self.envelope(b)?;
            match (envelope, &place.at) {
                (Envelope::Sizes(..), Some((at, _))) => match at.first() {
                    Some(x) => match self.eval(x, user)? {
                        Value::Place(p) => Some(p.frame),
                        _ => None,
                    },
                    None => None,
                },
                (Envelope::Sizes(..), None) => None,
                (Envelope::Space(e), _) => match self.eval(e, scope)? {
                    Value::Space(space) => {
                        let record = &self.spaces[space.0 as usize];
                        let of_row = record.owner.is_some_and(|o| self.kind_of(o) == Kind::Row);
                        of_row.then_some(record.frame)
                    }
                    _ => None,
                },
                (Envelope::Ranges(fields, span), _) => {
                    let range = self.envelope_range(b, fields, *span, Axis::X, scope)?;
                    range.anchor.map(|(_, frame)| frame)
                }
            }
        };
        let root = match frame {
            Some(frame) => self.root_of(frame)?,
            None => None,
        };
        let Some(root) = root.filter(|r| *r != b) else { return Ok(Value::None) };
        let frame = self.boxes[root.0 as usize].outer;
        self.frames[outer.0 as usize].parent = Some(frame);
        Ok(Value::Box(root))
    }

    fn no_wall(&mut self, row: BoxId) -> super::machine::Failed {
        let record = &self.boxes[row.0 as usize];
        let (user, span, name) = (record.user, record.place.call.span, record.def.name.name);
        let d = Diagnostic::error(
            "row-without-wall",
            format!("The row type `{name}` does not say which wall it stands along."),
            span,
            "along which wall?",
        )
        .help("Give the row type a parameter `wall: wall`.");
        self.say(user, d)
    }

    /// The wall that a box or obstacle stands at.
    pub(super) fn wall_of(&mut self, b: BoxId) -> Res<Option<BoxId>> {
        let outer = self.boxes[b.0 as usize].outer;
        Ok(self.root_of(outer)?.filter(|r| self.kind_of(*r) == Kind::Wall))
    }

    pub(super) fn kind_of(&self, b: BoxId) -> Kind {
        self.boxes[b.0 as usize].def.kind
    }

    /// A parameter or field of a wall, row or obstacle by its name, as its own text sees it.
    pub fn own_value_of(&mut self, b: BoxId, word: &str) -> Res<Option<Value<'p>>> {
        let layers = self.boxes[b.0 as usize].layers.len();
        match self.member_slot(b, layers, crate::syntax::Name::new(word), true) {
            Some((slot, _)) => self.force(slot).map(Some),
            None => Ok(None),
        }
    }

    /// The places and lists of a wall.
    pub(super) fn wall_member(&mut self, wall: BoxId, word: &str) -> Res<Option<Value<'p>>> {
        let (axis, high) = match word {
            "left" => (Axis::X, false),
            "right" => (Axis::X, true),
            "floor" => (Axis::Y, false),
            "ceiling" => (Axis::Y, true),
            "face" => (Axis::Z, false),
            "obstacles" => {
                let found = self.things_in(wall)?;
                let list = found.into_iter().filter(
                    |v| matches!(v, Value::Box(b) if self.boxes[b.0 as usize].def.kind == Kind::Obstacle),
                );
                return Ok(Some(Value::List(list.collect::<Vec<_>>().into())));
            }
            _ => return Ok(None),
        };
        let frame = self.boxes[wall.0 as usize].outer;
        let at = if high { self.box_size(wall, axis)? } else { Rational::ZERO };
        Ok(Some(Value::Place(Place { axis, frame, at })))
    }

    /// Every part, box and obstacle that the text of a box names, in the order of the text.
    pub(super) fn things_in(&mut self, b: BoxId) -> Res<Vec<Value<'p>>> {
        let slots: Vec<SlotId> = self.boxes[b.0 as usize]
            .layers
            .iter()
            .flat_map(|l| &self.scopes[l.0 as usize].entries)
            .filter(|e| e.reach == Reach::Public)
            .map(|e| e.slot)
            .filter(|s| {
                let slot = &self.slots[s.0 as usize];
                let skipped = matches!(slot.work, Work::Param(..) | Work::Expr(..));
                let left_out = match slot.work {
                    Work::IfMember(i, name) => Some((i, name)),
                    _ => None,
                };
                !skipped && left_out.is_none_or(|(i, name)| self.may_be_taken(i, name))
            })
            .collect();
        let mut found = Vec::new();
        for slot in slots {
            if let Work::IfMember(i, name) = self.slots[slot.0 as usize].work {
                let condition = self.ifs[i.0 as usize].condition;
                self.force(condition)?;
                let taken = self.ifs[i.0 as usize].taken;
                if taken.is_none_or(|t| super::names::find(&self.scopes[t.0 as usize], name).is_none()) {
                    continue;
                }
            }
            let value = self.force(slot)?;
            flatten(&value, &mut found);
        }
        found.retain(|v| match v {
            Value::Part(p) => self.parts[p.0 as usize].owner == b,
            Value::Box(inner) => self.boxes[inner.0 as usize].within == Some(b),
            _ => false,
        });
        Ok(found)
    }

    /// False where the branch taken is known and does not hold the name.
    fn may_be_taken(&self, id: IfId, name: crate::syntax::Name) -> bool {
        let record = &self.ifs[id.0 as usize];
        match (&self.slots[record.condition.0 as usize].state, record.taken) {
            (State::Done(_), Some(t)) => super::names::find(&self.scopes[t.0 as usize], name).is_some(),
            (State::Done(_), None) => false,
            _ => true,
        }
    }

    /// Gross mass of all parts of a box and of the boxes in it, in kg.
    pub(super) fn box_mass(&mut self, b: BoxId, scope: ScopeId, span: Span) -> Res<Value<'p>> {
        let mut value = Rational::ZERO;
        for thing in self.things_in(b)? {
            let mass = match thing {
                Value::Part(p) => self.part_mass(p, scope, span)?,
                Value::Box(inner) => self.box_mass(inner, scope, span)?,
                _ => continue,
            };
            if let Value::Quantity(q) = mass {
                value = self.exact(scope, span, value.add(q.value))?;
            }
        }
        Ok(Value::Quantity(Quantity { value, dimension: Dimension::MASS }))
    }

    /// What to write where a bare length is no coordinate.
    pub(super) fn corner_help(&self, scope: ScopeId) -> String {
        let walls = self.program.modules.first().and_then(|m| {
            m.tree.items.iter().find_map(|i| match &i.kind {
                StmtKind::Place(p) if p.kind == Kind::Wall => p.name,
                _ => None,
            })
        });
        match (self.scopes[scope.0 as usize].frame == SITE, walls) {
            (true, Some(wall)) => {
                let w = wall.name;
                format!(
                    "Count from the wall: `{w}.left + …` in x, `{w}.floor + …` in y, `{w}.face - …` in z."
                )
            }
            _ => "Start from a face, a part or a place: `part.x.start + 50mm`.".to_string(),
        }
    }
}

fn flatten<'p>(value: &Value<'p>, found: &mut Vec<Value<'p>>) {
    match value {
        Value::List(list) => list.iter().for_each(|v| flatten(v, found)),
        Value::Part(_) | Value::Box(_) => found.push(value.clone()),
        _ => {}
    }
}

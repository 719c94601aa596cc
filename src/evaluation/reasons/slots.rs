//! What a slot reads, by what it is worked out from.

use super::{Formula, Graph, Key, Open, Pick, StepId, Sum, both, picked};
use crate::evaluation::machine::{axis_of, axis_word};
use crate::evaluation::scope::*;
use crate::evaluation::types::is_named;
use crate::evaluation::value::Value;
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::tree::{Envelope, Expr, Field};
use crate::values::Rational;

impl<'p> Graph<'_, 'p> {
    /// Reads a slot, of it what `path` picks. What only hands a value on is read through.
    pub(super) fn read(
        &mut self,
        slot: SlotId,
        path: &[Pick],
        name: Option<String>,
        open: &mut Open,
    ) -> Option<Sum> {
        if self.full() {
            return None;
        }
        match self.e.slots[slot.0 as usize].work {
            Work::Element(e, scope, item) => {
                let item: Vec<Pick> = item.map(|i| Pick::Item(i as usize)).into_iter().collect();
                return self.expr(e, scope, &[item.as_slice(), path].concat(), open);
            }
            Work::Given => {
                let value = self.slot_value(slot).and_then(|v| picked(&v, path));
                return value.as_ref().and_then(super::figure).map(|q| Sum::constant(q.value));
            }
            Work::IfMember(id, member) => {
                let record = &self.e.ifs[id.0 as usize];
                let (stmt, scope, condition) = (record.stmt, record.scope, record.condition);
                self.beside(&stmt.condition, scope, open);
                self.slot_value(condition);
                let inside = self.e.ifs[id.0 as usize].taken?;
                let inner = crate::evaluation::names::find(&self.e.scopes[inside.0 as usize], member)?.slot;
                return self.read(inner, path, name, open);
            }
            Work::ForMember(id, member) => {
                let rounds = self.e.fors[id.0 as usize].rounds.clone();
                let found = |it: &Self, round: ScopeId| {
                    crate::evaluation::names::find(&it.e.scopes[round.0 as usize], member).map(|e| e.slot)
                };
                return match path.split_first() {
                    Some((Pick::Item(i), rest)) => {
                        let inner = rounds.iter().filter_map(|r| found(self, *r)).nth(*i)?;
                        self.read(inner, rest, name, open)
                    }
                    Some((Pick::Count, _)) => {
                        let record = &self.e.fors[id.0 as usize];
                        let (stmt, scope) = (record.stmt, record.scope);
                        self.expr(&stmt.each.list, scope, &[Pick::Count], open)
                    }
                    _ => {
                        for round in rounds {
                            if let Some(inner) = found(self, round) {
                                self.read(inner, path, None, open);
                            }
                        }
                        None
                    }
                };
            }
            _ => {}
        }
        // Parts, boxes and spaces are things, not figures.
        if path.is_empty()
            && let Some(
                Value::Part(_)
                | Value::Box(_)
                | Value::Space(_)
                | Value::Face(..)
                | Value::Thing(_)
                | Value::None
                | Value::Text(_),
            ) = self.slot_value(slot)
        {
            return None;
        }
        let id = self.step(slot, path, name)?;
        self.one(id, open)
    }

    /// The step of a slot.
    pub(super) fn step(&mut self, slot: SlotId, path: &[Pick], name: Option<String>) -> Option<StepId> {
        let key = Key::Slot(slot, path.to_vec());
        if let Some(id) = self.known.get(&key) {
            return Some(*id);
        }
        let pick = path.first().copied();
        let value = self.slot_value(slot).and_then(|v| picked(&v, path));
        let name_of = |it: &Self| name.clone().unwrap_or_else(|| it.e.slot_name(slot));
        match self.e.slots[slot.0 as usize].work {
            Work::Expr(e, scope) => {
                let name = name_of(self);
                Some(self.written(key, name, e, scope, path, value))
            }
            Work::Param(p, arg, own) => {
                let given = name.clone().unwrap_or_else(|| p.name.name.to_string());
                // A parameter of a box is told by the path of its box.
                let owner = self.e.owner(own).filter(|b| self.e.boxes[b.0 as usize].layers.contains(&own));
                let name = match owner {
                    Some(b) if !given.contains('.') => format!("{}.{given}", self.e.boxes[b.0 as usize].path),
                    _ => given,
                };
                if is_named(&p.ty, "length")
                    && let Some(Some(_)) = self.look(|it| it.share_of_row(p, own))
                {
                    return self.shared(own);
                }
                let (e, scope) = match (arg, &p.default) {
                    (Some(given), _) => given,
                    (None, Some(default)) => (default, own),
                    (None, None) => return None,
                };
                Some(self.written(key, name, e, scope, path, value))
            }
            Work::House(field) => {
                let (e, scope) = self.e.house_source(field)?;
                Some(self.written(key, format!("house.{field}"), e, scope, path, value))
            }
            Work::PartList(stmt, scope) => {
                let count = stmt.count.as_ref().filter(|_| pick == Some(Pick::Count))?;
                Some(self.written(key, format!("count of {}", stmt.name.name), count, scope, &[], value))
            }
            Work::BoxList(stmt, scope) => {
                let count = stmt.count.as_ref().filter(|_| pick == Some(Pick::Count))?;
                let name = stmt.name.map_or(stmt.call.name.name, |n| n.name);
                Some(self.written(key, format!("count of {name}"), count, scope, &[], value))
            }
            Work::PartAxis(part, axis) => {
                let record = &self.e.parts[part.0 as usize];
                let name = self.axis_name(&record.path, axis, pick);
                let field = field_of(&record.stmt.ranges, axis);
                let span = field.map_or(record.span, |f| f.value.span);
                let formula = match record.mirror_of {
                    Some(first) => {
                        let first = &self.e.parts[first.0 as usize];
                        let words = format!("as {}", first.name);
                        let turned = format!("the reflection of {} about the middle", first.name);
                        Formula::Words(if axis == Axis::X { turned } else { words })
                    }
                    None => Formula::Text(span),
                };
                Some(self.worked(key, name, formula, span, value, |it, open| {
                    it.part_range(part, axis, pick, open)
                }))
            }
            Work::PartBoard(part) => {
                let (slot, name) = self.field_of_board(part, "thickness")?;
                self.step(slot, &[], Some(name))
            }
            Work::SpaceAxis(space, axis) => {
                let record = &self.e.spaces[space.0 as usize];
                let owner = record.owner.map(|b| format!("{}.", self.e.boxes[b.0 as usize].path));
                let full = format!("{}{}", owner.unwrap_or_default(), record.name);
                let name = self.axis_name(&full, axis, pick);
                let (scope, room) = (record.scope, record.room);
                match room {
                    Room::Written(stmt) => {
                        let field = field_of(&stmt.ranges, axis)?;
                        let (e, span) = (&field.value, field.value.span);
                        Some(self.worked(key, name, Formula::Text(span), span, value, |it, open| {
                            it.range(e, scope, pick, Some(axis), None, None, open)
                        }))
                    }
                    _ => {
                        let span = record.span;
                        let words = Formula::Words("the room in the row".to_string());
                        Some(self.worked(key, name, words, span, value, |it, open| {
                            it.ends_of(pick, open, |it, high, open| it.row_space(space, axis, high, open))
                        }))
                    }
                }
            }
            Work::Extent(b, axis) => self.extent_step(key, b, axis, pick, value),
            Work::Offset(b, axis) => {
                let record = &self.e.boxes[b.0 as usize];
                let name = format!("place of {} in {}", record.path, axis_word(axis));
                let (words, span) = self.offset_words(b, axis);
                Some(self.worked(key, name, words, span, value, |it, open| it.offset_of(b, axis, open)))
            }
            Work::RowMembers(row) | Work::RowUnit(row) | Work::RowEdges(row) => Some(self.row_unit(row)),
            Work::ForList(id) => {
                let record = &self.e.fors[id.0 as usize];
                let (stmt, scope) = (record.stmt, record.scope);
                let name = format!("the list of {}", stmt.each.name.name);
                Some(self.written(key, name, &stmt.each.list, scope, path, value))
            }
            Work::IfCondition(id) => {
                let record = &self.e.ifs[id.0 as usize];
                let (stmt, scope) = (record.stmt, record.scope);
                Some(self.written(key, "condition".to_string(), &stmt.condition, scope, path, value))
            }
            _ => None,
        }
    }

    /// The width of the box whose parameter is a share of its row.
    fn shared(&mut self, own: ScopeId) -> Option<StepId> {
        let b = self.e.owner(own)?;
        let row = self.e.row_of(b)?;
        self.look(|it| it.row_list(row));
        let i = self.e.member_index(row, Member::Box(b))?;
        self.row_width(row, i, &mut Open::default())?.same_as()
    }

    /// A step with the formula that is written for it.
    pub(super) fn written(
        &mut self,
        key: Key,
        name: String,
        e: &'p Expr,
        scope: ScopeId,
        path: &[Pick],
        value: Option<Value<'p>>,
    ) -> StepId {
        // Literals are told by the last word of the name: `floor.clay.rail` gives `rail`.
        let word = name.rsplit('.').next().unwrap_or(&name);
        let plain = word.bytes().all(|b| b.is_ascii_alphanumeric() || b == b'_');
        let given = plain.then(|| crate::syntax::Name::new(word));
        let name = format!("{name}{}", super::suffix(path));
        // What is said where nothing is left to choose is no formula.
        let formula = match &e.kind {
            crate::syntax::tree::ExprKind::OrFail(inner, ..) => inner.span,
            _ => e.span,
        };
        let id = self.enter(Some(key), name, Formula::Text(formula), Some(e.span));
        let mut open = Open { name: given, ..Open::default() };
        let sum = self.expr(e, scope, path, &mut open);
        self.close(id, value, sum, open)
    }

    fn worked(
        &mut self,
        key: Key,
        name: String,
        formula: Formula,
        span: Span,
        value: Option<Value<'p>>,
        go: impl FnOnce(&mut Self, &mut Open) -> Option<Sum>,
    ) -> StepId {
        let id = self.enter(Some(key), name, formula, Some(span));
        let mut open = Open::default();
        let sum = go(self, &mut open);
        self.close(id, value, sum, open)
    }

    /// What is picked of two ends that are read apart.
    fn ends_of(
        &mut self,
        pick: Option<Pick>,
        open: &mut Open,
        mut end: impl FnMut(&mut Self, bool, &mut Open) -> Option<Sum>,
    ) -> Option<Sum> {
        match pick {
            Some(Pick::Low) => end(self, false, open),
            Some(Pick::High) => end(self, true, open),
            _ => {
                let (low, high) = (end(self, false, open), end(self, true, open));
                match pick {
                    Some(Pick::Size) => both(high, low, -1),
                    Some(Pick::Mid) => both(high, low, 1)?.times(Rational::ratio(1, 2)),
                    _ => None,
                }
            }
        }
    }

    fn part_range(&mut self, part: PartId, axis: Axis, pick: Option<Pick>, open: &mut Open) -> Option<Sum> {
        let record = &self.e.parts[part.0 as usize];
        let (scope, stmt, owner, frame) = (record.scope, record.stmt, record.owner, record.frame);
        if let Some(first) = record.mirror_of {
            let slot = self.e.parts[first.0 as usize].axes[axis as usize];
            if axis != Axis::X || pick == Some(Pick::Size) {
                let path: Vec<Pick> = pick.into_iter().collect();
                return self.read(slot, &path, None, open);
            }
            return self.ends_of(pick, open, |it, high, open| {
                let width = it.box_size(owner, Axis::X, open);
                let other = it.read(slot, &[if high { Pick::Low } else { Pick::High }], None, open);
                both(width, other, -1)
            });
        }
        let field = field_of(&stmt.ranges, axis)?;
        self.range(&field.value, scope, pick, Some(axis), Some(part), Some(frame), open)
    }

    fn extent_step(
        &mut self,
        key: Key,
        b: BoxId,
        axis: Axis,
        pick: Option<Pick>,
        value: Option<Value<'p>>,
    ) -> Option<StepId> {
        let path = self.e.boxes[b.0 as usize].path.clone();
        let size = ["width", "height", "depth"][axis as usize];
        if self.e.rows.contains_key(&b) {
            let name = self.axis_name(&path, axis, pick);
            let span = self.e.boxes[b.0 as usize].place.call.span;
            let words = Formula::Words("from its first box to its last".to_string());
            return Some(self.worked(key, name, words, span, value, |it, open| {
                it.ends_of(pick, open, |it, high, open| it.row_extent(b, axis, high, open))
            }));
        }
        let (envelope, scope, span) = self.look(|it| it.envelope(b))?;
        let name = format!("{path}.{size}");
        if pick == Some(Pick::Low) {
            let words = Formula::Words("a box counts from its corner".to_string());
            let name = self.axis_name(&path, axis, pick);
            return Some(self.worked(key, name, words, span, value, |_, _| Some(Sum::default())));
        }
        let whole = move |it: &mut Self, open: &mut Open| -> Option<Sum> {
            match envelope {
                Envelope::Sizes(x, y, z) => it.part_of_formula([x, y, z][axis as usize], scope, open),
                Envelope::Space(e) => match it.value(e, scope) {
                    Some(Value::Space(space)) => {
                        let slot = it.e.spaces[space.0 as usize].axes[axis as usize];
                        it.read(slot, &[Pick::Size], None, open)
                    }
                    _ => None,
                },
                Envelope::Ranges(fields, _) => {
                    let field = field_of(fields, axis)?;
                    let reader = it.reader_of(b, scope);
                    it.range(&field.value, reader, Some(Pick::Size), Some(axis), None, None, open)
                }
            }
        };
        let at = match envelope {
            Envelope::Sizes(x, y, z) => [x, y, z][axis as usize].span,
            Envelope::Space(e) => e.span,
            Envelope::Ranges(fields, _) => field_of(fields, axis).map_or(span, |f| f.value.span),
        };
        Some(self.worked(key, name, Formula::Text(at), at, value, |it, open| match pick {
            Some(Pick::Mid) => whole(it, open)?.times(Rational::ratio(1, 2)),
            _ => whole(it, open),
        }))
    }

    /// A scope like that of an envelope, in the frame of the box's user.
    fn reader_of(&mut self, b: BoxId, scope: ScopeId) -> ScopeId {
        let user = self.e.boxes[b.0 as usize].user;
        let (frame, corner) = {
            let s = &self.e.scopes[user.0 as usize];
            (s.frame, s.corner)
        };
        let reader = self.e.inner_scope(scope);
        self.e.scopes[reader.0 as usize].frame = frame;
        self.e.scopes[reader.0 as usize].corner = corner;
        reader
    }

    /// What is said of where a box stands, and where.
    fn offset_words(&mut self, b: BoxId, axis: Axis) -> (Formula, Span) {
        let record = &self.e.boxes[b.0 as usize];
        let (place, span) = (record.place, record.place.call.span);
        if let Some(row) = self.e.row_of(b) {
            let words = match axis {
                Axis::X => "as the row places it",
                Axis::Y => "the height of the row",
                Axis::Z => "-(standoff of the row + its own depth)",
            };
            let at = self.e.boxes[row.0 as usize].place.call.span;
            return (Formula::Words(words.to_string()), at);
        }
        if self.e.rows.contains_key(&b) {
            return (Formula::Words("a row counts as its wall does".to_string()), span);
        }
        match (self.look(|it| it.envelope(b)), &place.at) {
            (Some((Envelope::Sizes(..), ..)), Some((at, _))) => match at.get(axis as usize) {
                Some(e) => (Formula::Text(e.span), e.span),
                None => (Formula::Words("its corner".to_string()), span),
            },
            (Some((Envelope::Space(e), ..)), _) => {
                (Formula::Words(format!("the low corner of {}", self.e.source(e))), e.span)
            }
            (Some((Envelope::Ranges(fields, at), ..)), _) => {
                let at = field_of(fields, axis).map_or(*at, |f| f.value.span);
                (Formula::Text(at), at)
            }
            _ => (Formula::Words("it stands by itself".to_string()), span),
        }
    }

    fn offset_of(&mut self, b: BoxId, axis: Axis, open: &mut Open) -> Option<Sum> {
        let record = &self.e.boxes[b.0 as usize];
        let (place, user, stands) = (record.place, record.user, record.stands);
        if self.e.rows.contains_key(&b) {
            return Some(Sum::default());
        }
        if let Some(row) = self.e.row_of(b) {
            return self.member_stands(row, b, axis, open);
        }
        let frame = match stands.and_then(|s| self.slot_value(s)) {
            Some(Value::Box(root)) => self.e.boxes[root.0 as usize].outer,
            _ => self.e.scopes[user.0 as usize].frame,
        };
        let (envelope, scope, _) = self.look(|it| it.envelope(b))?;
        match envelope {
            Envelope::Sizes(..) => {
                let Some((at, _)) = &place.at else { return Some(Sum::default()) };
                let e = at.get(axis as usize)?;
                let sum = self.part_of_formula(e, user, open);
                match self.value(e, user) {
                    Some(Value::Place(p)) => self.moved(sum, p.axis, p.frame, frame, open),
                    _ => sum,
                }
            }
            Envelope::Space(e) => match self.value(e, scope) {
                Some(Value::Space(space)) => {
                    let record = &self.e.spaces[space.0 as usize];
                    let (slot, from) = (record.axes[axis as usize], record.frame);
                    self.span_of(slot, axis, from, frame, Some(Pick::Low), open)
                }
                _ => None,
            },
            Envelope::Ranges(fields, _) => {
                if frame == SITE {
                    return Some(Sum::default());
                }
                let field = field_of(fields, axis)?;
                let reader = self.reader_of(b, scope);
                self.range(&field.value, reader, Some(Pick::Low), Some(axis), None, Some(frame), open)
            }
        }
    }
}

/// The field that gives an axis.
fn field_of(fields: &[Field], axis: Axis) -> Option<&Field> {
    fields.iter().find(|f| axis_of(f.label.name.as_str()) == Some(axis))
}

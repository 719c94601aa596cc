//! What the figures of a row read: its shares, where its boxes begin, its ends.

use super::{Formula, Graph, Key, Open, Pick, StepId, Sum, both};
use crate::evaluation::scope::{BoxId, Member, Room, SpaceId};
use crate::evaluation::value::{Range, Value};
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::values::Rational;

impl<'p> Graph<'_, 'p> {
    fn row_name(&self, row: BoxId) -> String {
        self.e.boxes[row.0 as usize].path.clone()
    }

    fn row_span(&self, row: BoxId) -> Span {
        self.e.boxes[row.0 as usize].place.call.span
    }

    fn members_of(&mut self, row: BoxId) -> Vec<Member> {
        self.look(|it| it.row_list(row)).unwrap_or_default()
    }

    fn own(&mut self, row: BoxId, word: &str, path: &[Pick], open: &mut Open) -> Option<Sum> {
        let layers = self.e.boxes[row.0 as usize].layers.len();
        let (slot, _) = self.e.member_slot(row, layers, Name::new(word), true)?;
        let name = format!("{}.{word}", self.row_name(row));
        self.read(slot, path, Some(name), open)
    }

    /// One of the two ends of what a row has: its `between`, else its wall.
    fn room_end(&mut self, row: BoxId, high: bool, open: &mut Open) -> Option<Sum> {
        if let Some(Some(Value::Range(Range { anchor: Some((axis, from)), .. }))) =
            self.look(|it| it.own_value_of(row, "between"))
        {
            let sum = self.own(row, "between", &[if high { Pick::High } else { Pick::Low }], open);
            let to = self.e.boxes[row.0 as usize].outer;
            return self.moved(sum, axis, from, to, open);
        }
        match (high, self.look(|it| it.own_value_of(row, "wall"))) {
            (false, _) => Some(Sum::default()),
            (true, Some(Some(Value::Box(wall)))) => self.box_size(wall, Axis::X, open),
            _ => None,
        }
    }

    /// Where a member of a row begins, in the frame of the wall; its number may be one past the last.
    pub(super) fn row_begins(&mut self, row: BoxId, i: usize, open: &mut Open) -> Option<Sum> {
        let key = Key::Edge(row, i);
        if let Some(id) = self.known.get(&key) {
            let id = *id;
            return self.one(id, open);
        }
        let list = self.members_of(row);
        let name = match list.get(i) {
            Some(m) => format!("{}.x.start", self.member_path(row, *m)),
            None => format!("{}.x.end", self.row_name(row)),
        };
        let before: Vec<String> =
            list.iter().take(i).map(|m| format!("{}.width", self.member_path(row, *m))).collect();
        let words = match before.is_empty() {
            true => "left end of the row".to_string(),
            false => format!("left end + {}", before.join(" + ")),
        };
        let span = self.row_span(row);
        let id = self.enter(Some(key), name, Formula::Words(words), Some(span));
        let mut inside = Open::default();
        let start = self.room_end(row, false, &mut inside);
        let end = self.row_end(row, false);
        let end = Some(self.term(end, &mut inside));
        let mut sum = both(start, end, 1);
        for j in 0..i.min(list.len()) {
            let width = self.row_width(row, j, &mut inside);
            sum = both(sum, width, 1);
        }
        let value = self.look(|it| it.row_edge(row, i)).map(Value::mm);
        self.close(id, value, sum, inside);
        self.one(id, open)
    }

    fn member_path(&self, row: BoxId, member: Member) -> String {
        match member {
            Member::Box(b) => self.e.boxes[b.0 as usize].path.clone(),
            Member::Gap(s) => format!("{}.{}", self.row_name(row), self.e.spaces[s.0 as usize].name),
        }
    }

    /// The width of a member of a row: a share, or its own.
    pub(super) fn row_width(&mut self, row: BoxId, i: usize, open: &mut Open) -> Option<Sum> {
        let member = *self.members_of(row).get(i)?;
        let shared = self.look(|it| it.portion_of(member));
        let Some((Some(weight), _)) = shared else {
            return match member {
                Member::Box(b) => self.box_size(b, Axis::X, open),
                Member::Gap(s) => {
                    let record = &self.e.spaces[s.0 as usize];
                    let Room::Gap(e) = record.room else { return None };
                    let (scope, name) = (record.scope, record.name);
                    let key = Key::Width(row, i);
                    if let Some(id) = self.known.get(&key) {
                        let id = *id;
                        return self.one(id, open);
                    }
                    let path = format!("{}.width", self.member_path(row, member));
                    let id = self.enter(Some(key), path, Formula::Text(e.span), Some(e.span));
                    let mut inside = Open { name: Some(name), ..Open::default() };
                    let sum = self.expr(e, scope, &[], &mut inside);
                    let value = self.value(e, scope);
                    self.close(id, value, sum, inside);
                    self.one(id, open)
                }
            };
        };
        let key = Key::Width(row, i);
        if let Some(id) = self.known.get(&key) {
            let id = *id;
            return self.one(id, open);
        }
        let step = self.look(|it| Ok(it.house_length("step"))).flatten().unwrap_or(Rational::ONE);
        let times = match weight == Rational::ONE {
            true => String::new(),
            false => format!("{} × ", crate::values::decimal(weight, 3)),
        };
        let words =
            format!("{times}one share of row {}, down to whole {}", self.row_name(row), self.e.show(step));
        let path = format!("{}.width", self.member_path(row, member));
        let (e, scope) = self.share_written(member)?;
        let id = self.enter(Some(key), path, Formula::Words(words), Some(e.span));
        let mut inside = Open::default();
        self.expr(e, scope, &[], &mut inside);
        let unit = self.row_unit(row);
        inside.read(unit);
        inside.beside = true;
        if let Some(slot) = self.e.house_slot(Name::new("step")) {
            self.read(slot, &[], None, &mut inside);
        }
        inside.beside = false;
        let value =
            self.look(|it| it.member_range(row, member)).and_then(|(lo, hi)| hi.sub(lo).ok()).map(Value::mm);
        self.close(id, value, None, inside);
        self.one(id, open)
    }

    /// Where the share of a member is written.
    fn share_written(
        &mut self,
        member: Member,
    ) -> Option<(&'p crate::syntax::tree::Expr, crate::evaluation::scope::ScopeId)> {
        match member {
            Member::Gap(s) => {
                let record = &self.e.spaces[s.0 as usize];
                let Room::Gap(e) = record.room else { return None };
                Some((e, record.scope))
            }
            Member::Box(b) => self.look(|it| it.share_of(b)).flatten().map(|found| found.2),
        }
    }

    /// One share of a row.
    pub(super) fn row_unit(&mut self, row: BoxId) -> StepId {
        self.row_room(row, true)
    }

    /// True where a box, a gap or both of a row are a share of it.
    pub fn row_has_shares(&mut self, row: BoxId) -> bool {
        let list = self.members_of(row);
        list.into_iter().any(|m| matches!(self.look(|it| it.portion_of(m)), Some((Some(_), _))))
    }

    /// What the boxes, gaps and ends of a row leave; less than nought where they are too long.
    pub fn left_of_row(&mut self, row: BoxId) -> StepId {
        self.row_room(row, false)
    }

    /// What is left of a row, or one share of it.
    fn row_room(&mut self, row: BoxId, one: bool) -> StepId {
        let key = if one { Key::Unit(row) } else { Key::Left(row) };
        if let Some(id) = self.known.get(&key) {
            return *id;
        }
        let name = self.row_name(row);
        let (words, name) = match one {
            true => ("(wall - ends - gaps - fixed widths) / shares", format!("one share of row {name}")),
            false => ("wall - ends - gaps - fixed widths", format!("what is left of row {name}")),
        };
        let words = Formula::Words(words.to_string());
        let span = self.row_span(row);
        let id = self.enter(Some(key), name, words, Some(span));
        self.kept.insert(id);
        let mut inside = Open::default();
        let high = self.room_end(row, true, &mut inside);
        let low = self.room_end(row, false, &mut inside);
        let mut sum = both(high, low, -1);
        let ends = self.look(|it| it.stated_ends(row)).unwrap_or([None; 2]);
        for (i, end) in ends.into_iter().enumerate() {
            if end.is_some() {
                let end = self.row_end(row, i == 1);
                sum = both(sum, Some(self.term(end, &mut inside)), -1);
            }
        }
        let mut weights = Rational::ZERO;
        for (i, member) in self.members_of(row).into_iter().enumerate() {
            match self.look(|it| it.portion_of(member)) {
                Some((Some(weight), _)) => {
                    weights = weights.add(weight).unwrap_or(weights);
                    if let Some((e, scope)) = self.share_written(member) {
                        self.expr(e, scope, &[], &mut inside);
                    }
                }
                _ => {
                    let width = self.row_width(row, i, &mut inside);
                    sum = both(sum, width, -1);
                }
            }
        }
        let shares = if weights.is_zero() || !one { Rational::ONE } else { weights };
        let sum = sum.and_then(|s| s.times(Rational::ONE.div(shares)?.ok()?));
        let value = self.look(|it| it.laid_out(row)).filter(|_| one).map(|l| Value::mm(l[0]));
        // Where the row is too long it is worked out all the same.
        let value = value.or_else(|| sum.as_ref()?.total(|id| self.exact(id)).map(Value::mm));
        self.close(id, value, sum, inside)
    }

    /// The room at one end of a row: as stated, else what is left.
    pub(super) fn row_end(&mut self, row: BoxId, right: bool) -> StepId {
        let key = Key::End(row, right);
        if let Some(id) = self.known.get(&key) {
            return *id;
        }
        let ends = self.look(|it| it.stated_ends(row)).unwrap_or([None; 2]);
        let value = self.look(|it| it.laid_out(row)).map(|l| l[3 + usize::from(right)]);
        let name = format!("{} end of row {}", if right { "right" } else { "left" }, self.row_name(row));
        let span = self.row_span(row);
        let stated = ends[usize::from(right)];
        let known = value.or(stated);
        let words = match (stated, value) {
            (Some(stated), Some(value)) if stated == value => "as stated",
            // The row could not be laid out.
            (Some(_), None) => "as stated",
            (Some(_), _) => "as stated, and what is left",
            (None, Some(value)) if value.is_zero() => "none",
            _ => "what is left",
        };
        let id = self.enter(Some(key), name, Formula::Words(words.to_string()), Some(span));
        self.kept.insert(id);
        let mut inside = Open::default();
        let own = match stated {
            Some(_) => self.own(row, "ends", &[Pick::Item(usize::from(right))], &mut inside),
            None => Some(Sum::default()),
        };
        let sum = if words.contains("left") {
            let high = self.room_end(row, true, &mut inside);
            let low = self.room_end(row, false, &mut inside);
            let mut rest = both(high, low, -1);
            if ends[usize::from(!right)].is_some() {
                let other = self.row_end(row, !right);
                rest = both(rest, Some(self.term(other, &mut inside)), -1);
            }
            for i in 0..self.members_of(row).len() {
                let width = self.row_width(row, i, &mut inside);
                rest = both(rest, width, -1);
            }
            rest
        } else {
            own
        };
        self.close(id, known.map(Value::mm), sum, inside)
    }

    /// The height at which the boxes of a row stand.
    pub(super) fn row_at(&mut self, row: BoxId, open: &mut Open) -> Option<Sum> {
        let at = self.look(|it| it.own_value_of(row, "at")).flatten();
        let sum = self.own(row, "at", &[], open);
        match at {
            Some(Value::Place(p)) => {
                let to = self.e.boxes[row.0 as usize].outer;
                self.moved(sum, p.axis, p.frame, to, open)
            }
            Some(Value::Quantity(_)) => sum,
            _ => Some(Sum::default()),
        }
    }

    pub(super) fn row_standoff(&mut self, row: BoxId, open: &mut Open) -> Option<Sum> {
        match self.look(|it| it.own_value_of(row, "standoff")).flatten() {
            Some(Value::Quantity(_)) => self.own(row, "standoff", &[], open),
            _ => Some(Sum::default()),
        }
    }

    /// The extent of a row, or of a space of it, on an axis.
    pub(super) fn row_extent(&mut self, row: BoxId, axis: Axis, high: bool, open: &mut Open) -> Option<Sum> {
        let list = self.members_of(row);
        match axis {
            Axis::X => self.row_begins(row, if high { list.len() } else { 0 }, open),
            _ => self.over_boxes(row, &list, axis, high, open),
        }
    }

    /// Height or depth taken up by some boxes of a row.
    fn over_boxes(
        &mut self,
        row: BoxId,
        list: &[Member],
        axis: Axis,
        high: bool,
        open: &mut Open,
    ) -> Option<Sum> {
        if axis == Axis::Y && !high {
            return self.row_at(row, open);
        }
        let off = match axis {
            Axis::Y => self.row_at(row, open),
            _ => self.row_standoff(row, open)?.times(Rational::int(-1)),
        };
        if axis == Axis::Z && high {
            return off;
        }
        let sizes: Vec<(Rational, BoxId)> = list
            .iter()
            .filter_map(|m| match m {
                Member::Box(b) => self.look(|it| it.box_size(*b, axis)).map(|s| (s, *b)),
                Member::Gap(_) => None,
            })
            .collect();
        let most = sizes.iter().map(|s| s.0).reduce(Rational::max)?;
        let mut largest = None;
        for (size, b) in sizes {
            if size == most && largest.is_none() {
                largest = self.box_size(b, axis, open);
            } else {
                let before = std::mem::replace(&mut open.beside, true);
                self.box_size(b, axis, open);
                open.beside = before;
            }
        }
        both(off, largest, if axis == Axis::Y { 1 } else { -1 })
    }

    /// One end of a space of a row.
    pub(super) fn row_space(
        &mut self,
        space: SpaceId,
        axis: Axis,
        high: bool,
        open: &mut Open,
    ) -> Option<Sum> {
        let record = &self.e.spaces[space.0 as usize];
        let (room, row) = (record.room, record.owner?);
        let list = self.members_of(row);
        match (axis, room) {
            (Axis::X, Room::RowEnd { right: true }) if high => self.room_end(row, true, open),
            (Axis::X, Room::RowEnd { right: true }) => self.row_begins(row, list.len(), open),
            (Axis::X, Room::RowEnd { right: false }) if high => self.row_begins(row, 0, open),
            (Axis::X, Room::RowEnd { right: false }) => self.room_end(row, false, open),
            (Axis::X, _) => {
                let i = self.e.member_index(row, Member::Gap(space))?;
                self.row_begins(row, i + usize::from(high), open)
            }
            _ => {
                let sides = self.look(|it| it.at_both_sides(space))?.1;
                let near: Vec<Member> = sides.into_iter().flatten().map(Member::Box).collect();
                let boxes = if near.is_empty() { list } else { near };
                self.over_boxes(row, &boxes, axis, high, open)
            }
        }
    }

    /// Where the low corner of a box of a row stands.
    pub(super) fn member_stands(&mut self, row: BoxId, b: BoxId, axis: Axis, open: &mut Open) -> Option<Sum> {
        self.members_of(row);
        match axis {
            Axis::X => {
                let i = self.e.member_index(row, Member::Box(b))?;
                self.row_begins(row, i, open)
            }
            Axis::Y => self.row_at(row, open),
            Axis::Z => {
                let off = self.row_standoff(row, open);
                let deep = self.box_size(b, Axis::Z, open);
                both(off, deep, 1)?.times(Rational::int(-1))
            }
        }
    }
}

//! Rows: boxes and gaps side by side along a wall, their shares, and the spaces between and beside them.

use super::machine::{Evaluation, Failed, Res};
use super::scope::*;
use super::value::{Range, Value};
use crate::diagnostics::{Diagnostic, Label};
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Block, Envelope, Expr, ExprKind, Ident, Kind, Param, StmtKind};
use crate::values::{Dimension, Rational};
use std::collections::HashMap;

/// How many names may hand a share on.
const MOST_HANDED: usize = 64;

/// The weight of a share, the parameters it went through, and where it is written.
pub(super) type Share<'p> = (Rational, Vec<*const Param>, (&'p Expr, ScopeId));

/// What the boxes and gaps of a row leave.
struct Left {
    /// From end to end, in the frame of the wall.
    lo: Rational,
    hi: Rational,
    /// Ends as stated.
    ends: [Option<Rational>; 2],
    /// What is left for shares and ends.
    free: Rational,
    weights: Rational,
}

impl<'p> Evaluation<'p> {
    /// Makes what a row keeps beside what every box does.
    pub(super) fn add_row(&mut self, row: BoxId, scope: ScopeId) {
        let members = self.slot(Work::RowMembers(row));
        let unit = self.slot(Work::RowUnit(row));
        let edges = self.slot(Work::RowEdges(row));
        let span = self.boxes[row.0 as usize].place.call.span;
        let ends = [("left_end", false), ("right_end", true)].map(|(word, right)| {
            let name = Ident { name: Name::new(word), span };
            self.row_space(row, name, Room::RowEnd { right }, scope)
        });
        let record = RowRecord { members, unit, edges, ends, list: Vec::new(), places: HashMap::new() };
        self.rows.insert(row, record);
    }

    /// A space of a row.
    pub(super) fn row_space(&mut self, row: BoxId, name: Ident, room: Room<'p>, scope: ScopeId) -> SpaceId {
        let id = SpaceId(self.spaces.len() as u32);
        let axes = Axis::ALL.map(|a| self.slot(Work::SpaceAxis(id, a)));
        let frame = self.boxes[row.0 as usize].outer;
        let (name, span) = (name.name, name.span);
        self.spaces.push(SpaceRecord { name, owner: Some(row), room, span, scope, frame, axes });
        id
    }

    /// The row that a box is a member of.
    pub fn row_of(&self, b: BoxId) -> Option<BoxId> {
        self.boxes[b.0 as usize].within.filter(|w| self.rows.contains_key(w))
    }

    /// The boxes and gaps of a row, from left to right.
    pub(super) fn row_list(&mut self, row: BoxId) -> Res<Vec<Member>> {
        let Some(slot) = self.rows.get(&row).map(|r| r.members) else { return Err(Failed) };
        self.force(slot)?;
        Ok(self.rows.get(&row).map(|r| r.list.clone()).unwrap_or_default())
    }

    /// Works out which boxes and gaps a row has; their order is that of the text.
    pub(super) fn row_members(&mut self, row: BoxId) -> Res<Value<'p>> {
        let mut list = Vec::new();
        for (block, scope) in self.boxes[row.0 as usize].blocks.clone() {
            self.members_in(block, scope, &mut list)?;
        }
        if !list.iter().any(|m| matches!(m, Member::Box(_))) {
            let record = &self.boxes[row.0 as usize];
            let (user, span, name) = (record.user, record.place.call.span, record.name.clone());
            let d =
                Diagnostic::error("empty-row", format!("The row `{name}` has no box."), span, "no box in it")
                    .help("Write its boxes in braces after it: `{ box NAME = TYPE(width: share) }`.");
            return Err(self.say(user, d));
        }
        if let Some(record) = self.rows.get_mut(&row) {
            record.places = list
                .iter()
                .enumerate()
                .filter_map(|(i, m)| match m {
                    Member::Box(b) => Some((*b, i)),
                    Member::Gap(_) => None,
                })
                .collect();
            record.list = list;
        }
        Ok(Value::None)
    }

    fn members_in(&mut self, block: &'p Block, scope: ScopeId, list: &mut Vec<Member>) -> Res<()> {
        for stmt in &block.stmts {
            match &stmt.kind {
                StmtKind::Place(place) if place.kind == Kind::Box => {
                    let Some(name) = place.name else { continue };
                    let found = super::names::find(&self.scopes[scope.0 as usize], name.name);
                    let Some(slot) = found.map(|e| e.slot) else { continue };
                    match self.force(slot)? {
                        Value::Box(b) => list.push(Member::Box(b)),
                        Value::List(boxes) => list.extend(boxes.iter().filter_map(|v| match v {
                            Value::Box(b) => Some(Member::Box(*b)),
                            _ => None,
                        })),
                        _ => {}
                    }
                }
                StmtKind::Gap(gap) => {
                    let found = super::names::find(&self.scopes[scope.0 as usize], gap.name.name);
                    let Some(slot) = found.map(|e| e.slot) else { continue };
                    if let Value::Space(s) = self.force(slot)? {
                        list.push(Member::Gap(s));
                    }
                }
                StmtKind::For(f) => {
                    let loops = &self.scopes[scope.0 as usize].loops;
                    let Some((_, id)) = loops.iter().find(|(p, _)| std::ptr::eq(*p, f)).copied() else {
                        continue;
                    };
                    let slot = self.fors[id.0 as usize].list;
                    self.force(slot)?;
                    for round in self.fors[id.0 as usize].rounds.clone() {
                        self.members_in(&f.body, round, list)?;
                    }
                }
                StmtKind::If(i) => {
                    let ifs = &self.scopes[scope.0 as usize].ifs;
                    let Some((_, id)) = ifs.iter().find(|(p, _)| std::ptr::eq(*p, i)).copied() else {
                        continue;
                    };
                    let slot = self.ifs[id.0 as usize].condition;
                    let yes = matches!(self.force(slot)?, Value::Flag(true));
                    let block = if yes { Some(&i.then) } else { i.otherwise.as_ref() };
                    if let (Some(block), Some(inside)) = (block, self.ifs[id.0 as usize].taken) {
                        self.members_in(block, inside, list)?;
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// The share that a box of a row is given for its width, and the parameters it went through.
    pub(super) fn share_of(&mut self, b: BoxId) -> Res<Option<Share<'p>>> {
        let (envelope, scope, _) = self.envelope(b)?;
        let Envelope::Sizes(x, ..) = envelope else { return Ok(None) };
        let (mut e, mut scope) = (x, scope);
        let mut params: Vec<*const Param> = Vec::new();
        for _ in 0..MOST_HANDED {
            match &e.kind {
                ExprKind::Share(_) => {
                    return match self.eval(e, scope)? {
                        Value::Share(weight) => Ok(Some((weight, params, (e, scope)))),
                        _ => Ok(None),
                    };
                }
                ExprKind::Name(name) => {
                    let Some(slot) = self.peek(scope, *name) else { return Ok(None) };
                    (e, scope) = match self.slots[slot.0 as usize].work {
                        Work::Param(p, Some((given, user)), _) => {
                            params.push(p);
                            (given, user)
                        }
                        Work::Param(p, None, own) => {
                            params.push(p);
                            let Some(default) = &p.default else { return Ok(None) };
                            (default, own)
                        }
                        Work::Expr(value, there) => (value, there),
                        _ => return Ok(None),
                    };
                }
                _ => return Ok(None),
            }
        }
        Ok(None)
    }

    /// The width that stands for a share which a box of a row was given.
    pub(super) fn share_of_row(&mut self, param: &'p Param, own: ScopeId) -> Res<Option<Rational>> {
        let Some(b) = self.owner(own) else { return Ok(None) };
        let Some(row) = self.row_of(b) else { return Ok(None) };
        match self.share_of(b)? {
            Some((_, params, _)) if params.iter().any(|p| std::ptr::eq(*p, param)) => {
                let (lo, hi) = self.member_range(row, Member::Box(b))?;
                let span = param.span;
                self.exact(own, span, hi.sub(lo)).map(Some)
            }
            _ => Ok(None),
        }
    }

    pub(super) fn stated_ends(&mut self, row: BoxId) -> Res<[Option<Rational>; 2]> {
        let mut ends = [None; 2];
        if let Some(Value::List(list)) = self.own_value_of(row, "ends")? {
            if list.len() != 2 {
                let record = &self.boxes[row.0 as usize];
                let (user, span) = (record.user, record.place.call.span);
                let d = Diagnostic::error(
                    "wrong-ends",
                    format!("A row has two ends, and {} are given.", list.len()),
                    span,
                    "not two ends",
                )
                .help("Write `ends: [30mm, none]`: the left end, then the right; `none` takes what is left.");
                return Err(self.say(user, d));
            }
            for (end, value) in ends.iter_mut().zip(list.iter()) {
                if let Value::Quantity(q) = value {
                    *end = Some(q.value);
                }
            }
        }
        Ok(ends)
    }

    fn room_of(&mut self, row: BoxId) -> Res<Left> {
        let record = &self.boxes[row.0 as usize];
        let (user, span, outer) = (record.user, record.place.call.span, record.outer);
        let (lo, hi) = match self.own_value_of(row, "between")? {
            Some(Value::Range(Range { anchor: Some((Axis::X, from)), lo, hi })) => {
                let range = Range { anchor: Some((Axis::X, from)), lo, hi };
                let range = self.range_in(range, Axis::X, from, outer, user, span)?;
                (range.lo, range.hi)
            }
            _ => match self.own_value_of(row, "wall")? {
                Some(Value::Box(wall)) => (Rational::ZERO, self.box_size(wall, Axis::X)?),
                _ => return Err(Failed),
            },
        };
        let ends = self.stated_ends(row)?;
        let mut free = self.exact(user, span, hi.sub(lo))?;
        for end in ends.into_iter().flatten() {
            free = self.exact(user, span, free.sub(end))?;
        }
        let mut weights = Rational::ZERO;
        for member in self.row_list(row)? {
            match self.portion_of(member)? {
                (Some(weight), _) => weights = self.exact(user, span, weights.add(weight))?,
                (None, size) => free = self.exact(user, span, free.sub(size))?,
            }
        }
        Ok(Left { lo, hi, ends, free, weights })
    }

    /// The share of a member, or its own size.
    pub(super) fn portion_of(&mut self, member: Member) -> Res<(Option<Rational>, Rational)> {
        match member {
            Member::Box(b) => match self.share_of(b)? {
                Some((weight, ..)) => Ok((Some(weight), Rational::ZERO)),
                None => Ok((None, self.box_size(b, Axis::X)?)),
            },
            Member::Gap(s) => {
                let record = &self.spaces[s.0 as usize];
                let Room::Gap(e) = record.room else { return Err(Failed) };
                let scope = record.scope;
                match self.eval(e, scope)? {
                    Value::Share(weight) => Ok((Some(weight), Rational::ZERO)),
                    Value::Quantity(q) if q.dimension == Dimension::LENGTH && q.value.is_positive() => {
                        Ok((None, q.value))
                    }
                    Value::Quantity(q) if q.dimension == Dimension::LENGTH => {
                        Err(self.not_positive(e, q.value, scope))
                    }
                    other => Err(self.wrong_kind(scope, e, &other, "a length or a share")),
                }
            }
        }
    }

    /// The unit of a row's shares, then the widths of its ends, each a length.
    pub(super) fn row_unit(&mut self, row: BoxId) -> Res<Value<'p>> {
        let room = self.room_of(row)?;
        let record = &self.boxes[row.0 as usize];
        let (user, span) = (record.user, record.place.call.span);
        let shares = room.weights.is_positive();
        if room.free.is_negative() || (shares && !room.free.is_positive()) {
            return Err(self.too_long(row, &room));
        }
        let mut unit = Rational::ZERO;
        let mut rest = room.free;
        if shares {
            unit = self.quotient(room.free, room.weights, user, span)?;
            for member in self.row_list(row)? {
                if let (Some(weight), _) = self.portion_of(member)? {
                    let size = self.whole_share(weight, unit, user, span)?;
                    if !size.is_positive() {
                        return Err(self.too_long(row, &room));
                    }
                    rest = self.exact(user, span, rest.sub(size))?;
                }
            }
        }
        let right = match self.own_value_of(row, "rest")? {
            Some(Value::Word(word, _)) => word.as_str() != "left",
            _ => true,
        };
        let right = match (shares, room.ends) {
            (false, [None, Some(_)]) => false,
            (false, [Some(_), None]) => true,
            (false, [Some(_), Some(_)]) if rest.is_positive() => return Err(self.leaves_room(row, rest)),
            _ => right,
        };
        let mut ends = room.ends.map(|e| e.unwrap_or(Rational::ZERO));
        ends[usize::from(right)] = self.exact(user, span, ends[usize::from(right)].add(rest))?;
        Ok(Value::List([unit, room.lo, room.hi, ends[0], ends[1]].map(Value::mm).into()))
    }

    /// A share taken down to a whole step.
    fn whole_share(&mut self, weight: Rational, unit: Rational, scope: ScopeId, span: Span) -> Res<Rational> {
        let step = self.house_length("step").filter(|s| s.is_positive()).unwrap_or(Rational::ONE);
        let exact = self.exact(scope, span, unit.mul(weight))?;
        let steps = self.quotient(exact, step, scope, span)?.floor();
        self.exact(scope, span, steps.mul(step))
    }

    fn quotient(&mut self, a: Rational, b: Rational, scope: ScopeId, span: Span) -> Res<Rational> {
        match a.div(b) {
            Some(result) => self.exact(scope, span, result),
            None => Err(Failed),
        }
    }

    pub(super) fn laid_out(&mut self, row: BoxId) -> Res<[Rational; 5]> {
        let Some(slot) = self.rows.get(&row).map(|r| r.unit) else { return Err(Failed) };
        let Value::List(list) = self.force(slot)? else { return Err(Failed) };
        let mut found = [Rational::ZERO; 5];
        for (to, value) in found.iter_mut().zip(list.iter()) {
            if let Value::Quantity(q) = value {
                *to = q.value;
            }
        }
        Ok(found)
    }

    /// Where each member begins, and where the last one ends.
    pub(super) fn row_edges(&mut self, row: BoxId) -> Res<Value<'p>> {
        let [unit, lo, _, left, _] = self.laid_out(row)?;
        let record = &self.boxes[row.0 as usize];
        let (user, span) = (record.user, record.place.call.span);
        let mut at = self.exact(user, span, lo.add(left))?;
        let mut edges = vec![Value::mm(at)];
        for member in self.row_list(row)? {
            let size = match self.portion_of(member)? {
                (Some(weight), _) => self.whole_share(weight, unit, user, span)?,
                (None, size) => size,
            };
            at = self.exact(user, span, at.add(size))?;
            edges.push(Value::mm(at));
        }
        Ok(Value::List(edges.into()))
    }

    pub(super) fn row_edge(&mut self, row: BoxId, index: usize) -> Res<Rational> {
        let Some(slot) = self.rows.get(&row).map(|r| r.edges) else { return Err(Failed) };
        match self.force(slot)? {
            Value::List(list) => match list.get(index) {
                Some(Value::Quantity(q)) => Ok(q.value),
                _ => Err(Failed),
            },
            _ => Err(Failed),
        }
    }

    pub(super) fn member_index(&self, row: BoxId, member: Member) -> Option<usize> {
        let record = self.rows.get(&row)?;
        match member {
            Member::Box(b) => record.places.get(&b).copied(),
            Member::Gap(_) => record.list.iter().position(|m| *m == member),
        }
    }

    /// From where to where a member stands, in the frame of the wall.
    pub fn member_range(&mut self, row: BoxId, member: Member) -> Res<(Rational, Rational)> {
        self.row_list(row)?;
        let Some(i) = self.member_index(row, member) else { return Err(Failed) };
        Ok((self.row_edge(row, i)?, self.row_edge(row, i + 1)?))
    }

    /// The height the boxes of a row stand at.
    pub(super) fn row_height(&mut self, row: BoxId) -> Res<Rational> {
        let record = &self.boxes[row.0 as usize];
        let (user, span, outer) = (record.user, record.place.call.span, record.outer);
        match self.own_value_of(row, "at")? {
            Some(Value::Place(p)) => self.translate(p, outer, user, span),
            Some(Value::Quantity(q)) => Ok(q.value),
            _ => Ok(Rational::ZERO),
        }
    }

    /// What the backs of the boxes of a row stand off the wall.
    pub fn row_standoff(&mut self, row: BoxId) -> Res<Rational> {
        match self.own_value_of(row, "standoff")? {
            Some(Value::Quantity(q)) => Ok(q.value),
            _ => Ok(Rational::ZERO),
        }
    }

    /// Where the low corner of a box of a row stands: backs line up.
    pub(super) fn member_place(&mut self, row: BoxId, b: BoxId, axis: Axis) -> Res<Rational> {
        let place = self.boxes[b.0 as usize].place;
        if let (Some((_, span)), Axis::X) = (&place.at, axis) {
            let user = self.boxes[b.0 as usize].user;
            let d = Diagnostic::error("place-in-row", "A row says where its boxes stand.", *span, "not here")
                .help("Leave the `at (…)` out.");
            return Err(self.say(user, d));
        }
        let (user, span) = (self.boxes[b.0 as usize].user, place.call.span);
        match axis {
            Axis::X => Ok(self.member_range(row, Member::Box(b))?.0),
            Axis::Y => self.row_height(row),
            Axis::Z => {
                let (off, deep) = (self.row_standoff(row)?, self.box_size(b, Axis::Z)?);
                let sum = self.exact(user, span, off.add(deep))?;
                self.exact(user, span, sum.neg())
            }
        }
    }

    /// Every figure that takes room in a row.
    fn row_labels(&mut self, row: BoxId) -> Vec<Label> {
        self.pending.push(super::faults::Cause::Row(row));
        self.labels_of(&self.row_trail(row))
    }

    fn too_long(&mut self, row: BoxId, room: &Left) -> Failed {
        let record = &self.boxes[row.0 as usize];
        let (user, span, name) = (record.user, record.place.call.span, record.name.clone());
        let has = room.hi.sub(room.lo).map_or_else(|_| "?".to_string(), |r| self.show(r));
        let over = room.free.neg().map_or_else(|_| "?".to_string(), |r| self.show(r));
        let text = if room.free.is_negative() {
            format!("The row `{name}` is {over} longer than the {has} it has.")
        } else {
            format!("The row `{name}` leaves nothing for its shares: all of {has} is taken.")
        };
        let mut d = Diagnostic::error("row-too-long", text, span, "too long");
        d.misses.extend(room.free.neg());
        d.labels.extend(self.row_labels(row));
        self.say(user, d.help("Make a box, a gap or an end smaller."))
    }

    fn leaves_room(&mut self, row: BoxId, rest: Rational) -> Failed {
        let record = &self.boxes[row.0 as usize];
        let (user, span, name) = (record.user, record.place.call.span, record.name.clone());
        let (rest_mm, rest) = (rest, self.show(rest));
        let mut d = Diagnostic::error(
            "row-leaves-room",
            format!("The row `{name}` leaves {rest} that no box, gap or end takes."),
            span,
            format!("{rest} left over"),
        )
        .miss(rest_mm);
        d.labels.extend(self.row_labels(row));
        self.say(
            user,
            d.help("Write `none` for the end that takes what is left, or `share` for the width of a box."),
        )
    }
}

//! Following a figure through the graph, down to the literals in the text.

use super::machine::Evaluation;
use super::scope::{PartId, ScopeId, SlotId, State, Work};
use super::value::Value;
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Call, Expr, ExprKind, Ident};
use crate::values::Quantity;
use std::collections::BTreeSet;

/// A literal that contributed to a figure.
#[derive(Clone, Debug)]
pub struct Literal {
    pub span: Span,
    pub value: Quantity,
    /// The name it was given to, where there is one.
    pub name: Option<Name>,
}

#[derive(Default)]
pub(super) struct Walk<'p> {
    pub(super) found: Vec<Literal>,
    seen: Seen,
    spans: BTreeSet<Span>,
    /// What the names of a round or of a function's text stand for.
    bound: Vec<(Name, Value<'p>)>,
    /// How many functions the walk is in.
    calls: usize,
}

/// Slots that have been gone through, a bit for each.
#[derive(Default)]
struct Seen {
    bits: Vec<u64>,
    count: usize,
}

impl Seen {
    /// True where it is new.
    fn insert(&mut self, id: SlotId) -> bool {
        let (at, bit) = (id.0 as usize / 64, 1u64 << (id.0 % 64));
        if self.bits.len() <= at {
            self.bits.resize(at + 1, 0);
        }
        let Some(word) = self.bits.get_mut(at) else { return false };
        let new = *word & bit == 0;
        *word |= bit;
        self.count += usize::from(new);
        new
    }
}

/// How many rounds of a list are walked, and how deep functions.
const MOST_WALKED: usize = 64;
const MOST_CALLS: usize = 8;

impl<'p> Evaluation<'p> {
    /// Every literal that an expression's value was worked out from.
    pub fn literals(&self, e: &'p Expr, scope: ScopeId) -> Vec<Literal> {
        let mut walk = Walk::default();
        self.walk_expr(e, scope, None, &mut walk);
        walk.found
    }

    /// The literals behind the figures of a machining verb. The parts it works on are left out: where all
    /// of their sides come from is seldom the matter.
    pub fn call_literals(&self, call: &'p Call, scope: ScopeId) -> Vec<Literal> {
        let mut walk = Walk::default();
        let figure = |word: &str| !matches!(word, "by" | "what" | "on");
        for arg in call.args.iter().filter(|a| a.label.is_some_and(|l| figure(l.name.as_str()))) {
            self.walk_expr(&arg.value, scope, None, &mut walk);
        }
        walk.found
    }

    /// The literals behind the arguments of a call with these labels.
    pub fn labelled_literals(&self, call: &'p Call, scope: ScopeId, labels: &[&str]) -> Vec<Literal> {
        let mut walk = Walk::default();
        for arg in call.args.iter().filter(|a| a.label.is_some_and(|l| labels.contains(&l.name.as_str()))) {
            self.walk_expr(&arg.value, scope, None, &mut walk);
        }
        walk.found
    }

    /// The literals behind the ranges of a part.
    pub fn part_trail(&self, part: PartId) -> Vec<Literal> {
        let mut walk = Walk::default();
        for slot in self.parts[part.0 as usize].axes {
            self.walk_slot(slot, None, &mut walk);
        }
        walk.found
    }

    /// The literals behind one slot.
    pub fn slot_trail(&self, slot: SlotId) -> Vec<Literal> {
        let mut walk = Walk::default();
        self.walk_slot(slot, None, &mut walk);
        walk.found
    }

    pub(super) fn walk_slot(&self, id: SlotId, name: Option<Name>, walk: &mut Walk<'p>) {
        if !walk.seen.insert(id) || walk.seen.count > 5_000 {
            return;
        }
        match self.slots[id.0 as usize].work {
            Work::Expr(e, s) | Work::Element(e, s, _) => self.walk_expr(e, s, name, walk),
            Work::Param(p, Some((e, s)), own) => {
                self.walk_expr(e, s, Some(p.name.name), walk);
                if let (ExprKind::Share(_), Some(row)) =
                    (&e.kind, self.owner(own).and_then(|b| self.row_of(b)))
                {
                    self.walk_row(row, walk);
                }
            }
            Work::Param(p, None, own) => {
                if let Some(default) = &p.default {
                    self.walk_expr(default, own, Some(p.name.name), walk);
                }
            }
            Work::House(name) => {
                if let Some(field) = self.house.and_then(|h| h.iter().find(|f| f.label.name == name)) {
                    let root =
                        self.house_scope.or(self.file_scopes.get(&super::program::ModuleId(0)).copied());
                    if let Some(root) = root {
                        self.walk_expr(&field.value, root, Some(name), walk);
                    }
                } else if let Some((module, index)) = self.program.house_fields.get(&name) {
                    let item = self.program.module(*module).tree.items.get(*index);
                    if let (Some(item), Some(scope)) = (item, self.file_scopes.get(module)) {
                        if let crate::syntax::tree::StmtKind::HouseField(field) = &item.kind {
                            if let Some(default) = &field.default {
                                self.walk_expr(default, *scope, Some(name), walk);
                            }
                        }
                    }
                }
            }
            Work::PartList(stmt, s) => {
                if let Some(count) = &stmt.count {
                    self.walk_expr(count, s, Some(stmt.name.name), walk);
                }
            }
            Work::PartAxis(part, axis) => {
                let record = &self.parts[part.0 as usize];
                if let Some(first) = record.mirror_of {
                    self.walk_slot(self.parts[first.0 as usize].axes[axis as usize], None, walk);
                    if axis == Axis::X {
                        self.walk_slot(self.boxes[record.owner.0 as usize].extent[0], None, walk);
                    }
                    return;
                }
                let word = super::machine::axis_word(axis);
                if let Some(f) = record.stmt.ranges.iter().find(|f| f.label.name.as_str() == word) {
                    self.walk_expr(&f.value, record.scope, None, walk);
                    if has_board_thickness(&f.value) {
                        self.walk_slot(record.board, None, walk);
                    }
                }
            }
            Work::PartBoard(_) => {
                if let State::Done(Value::Thing(thing)) = &self.slots[id.0 as usize].state {
                    let name = Name::new("thickness");
                    if let Some(entry) = super::names::find(&self.scopes[thing.scope.0 as usize], name) {
                        self.walk_slot(entry.slot, None, walk);
                    }
                }
            }
            Work::SpaceAxis(space, axis) => {
                let record = &self.spaces[space.0 as usize];
                let super::scope::Room::Written(stmt) = record.room else {
                    if let Some(row) = record.owner {
                        self.walk_across_row(row, axis, walk);
                    }
                    return;
                };
                let word = super::machine::axis_word(axis);
                if let Some(f) = stmt.ranges.iter().find(|f| f.label.name.as_str() == word) {
                    self.walk_expr(&f.value, record.scope, None, walk);
                }
            }
            Work::Extent(row, axis) if self.rows.contains_key(&row) => self.walk_across_row(row, axis, walk),
            Work::Extent(b, axis) => {
                use crate::syntax::tree::Envelope;
                if let Some((envelope, scope, _)) = self.boxes[b.0 as usize].envelope {
                    match envelope {
                        Envelope::Sizes(x, y, z) => {
                            self.walk_expr([x, y, z][axis as usize], scope, None, walk);
                        }
                        Envelope::Space(e) => self.walk_member_of(e, scope, axis, walk),
                        Envelope::Ranges(fields, _) => {
                            let word = super::machine::axis_word(axis);
                            if let Some(f) = fields.iter().find(|f| f.label.name.as_str() == word) {
                                self.walk_expr(&f.value, scope, None, walk);
                            }
                        }
                    }
                }
            }
            Work::IfMember(id, name) => {
                let record = &self.ifs[id.0 as usize];
                self.walk_expr(&record.stmt.condition, record.scope, None, walk);
                let inner = record.taken.and_then(|t| super::names::find(&self.scopes[t.0 as usize], name));
                if let Some(entry) = inner {
                    self.walk_slot(entry.slot, Some(name), walk);
                    self.walk_value_of(entry.slot, record.scope, walk);
                }
            }
            Work::IfCondition(id) => {
                let record = &self.ifs[id.0 as usize];
                self.walk_expr(&record.stmt.condition, record.scope, None, walk);
            }
            Work::ForList(id) => {
                let record = &self.fors[id.0 as usize];
                self.walk_expr(&record.stmt.each.list, record.scope, None, walk);
            }
            Work::ForMember(id, name) => {
                let record = &self.fors[id.0 as usize];
                self.walk_expr(&record.stmt.each.list, record.scope, None, walk);
                for round in record.rounds.iter().take(MOST_WALKED) {
                    if let Some(entry) = super::names::find(&self.scopes[round.0 as usize], name) {
                        self.walk_slot(entry.slot, Some(name), walk);
                    }
                }
            }
            Work::BoxList(stmt, s) => {
                if let Some(count) = &stmt.count {
                    self.walk_expr(count, s, stmt.name.map(|n| n.name), walk);
                }
            }
            Work::Offset(b, axis) => self.walk_offset(b, axis, walk),
            Work::RowMembers(row) | Work::RowUnit(row) | Work::RowEdges(row) => self.walk_row(row, walk),
            Work::Given | Work::Box(..) | Work::Stands(_) => {}
        }
    }

    pub(super) fn walk_member_of(&self, e: &'p Expr, scope: ScopeId, axis: Axis, walk: &mut Walk<'p>) {
        if let Some(Value::Space(space)) = self.known(e, scope, &walk.bound) {
            self.walk_slot(self.spaces[space.0 as usize].axes[axis as usize], None, walk);
        }
    }

    /// The value of a name or member that has been worked out already.
    fn known(&self, e: &'p Expr, scope: ScopeId, bound: &[(Name, Value<'p>)]) -> Option<Value<'p>> {
        match &e.kind {
            ExprKind::Name(name) => {
                if let Some((_, value)) = bound.iter().rev().find(|(n, _)| n == name) {
                    return Some(value.clone());
                }
                let Some(slot) = self.peek(scope, *name) else {
                    let own = if name.as_str() == "self" { self.owner(scope) } else { None };
                    return own.map(Value::Box);
                };
                match &self.slots[slot.0 as usize].state {
                    State::Done(value) => Some(value.clone()),
                    _ => None,
                }
            }
            ExprKind::Index(object, index) => match (self.known(object, scope, bound)?, &index.kind) {
                (Value::List(list), ExprKind::Number(q)) => {
                    let i = usize::try_from(q.value.to_i64()?).ok()?.checked_sub(1)?;
                    list.get(i).cloned()
                }
                (Value::List(list), _) => list.first().cloned(),
                _ => None,
            },
            ExprKind::Member(object, name) => {
                let done = |slot: SlotId| match &self.slots[slot.0 as usize].state {
                    State::Done(value) => Some(value.clone()),
                    _ => None,
                };
                if let ExprKind::Name(n) = &object.kind
                    && n.as_str() == "house"
                    && self.peek(scope, *n).is_none()
                {
                    return self.house_slots.get(&name.name).copied().and_then(done);
                }
                let object = self.known(object, scope, bound)?;
                match object {
                    Value::Box(b) => {
                        let layers = self.boxes[b.0 as usize].layers.len();
                        let (slot, _) = self.member_slot(b, layers, name.name, false)?;
                        match &self.slots[slot.0 as usize].state {
                            State::Done(value) => Some(value.clone()),
                            _ => None,
                        }
                    }
                    Value::Thing(thing) => {
                        let entry = super::names::find(&self.scopes[thing.scope.0 as usize], name.name)?;
                        done(entry.slot)
                    }
                    Value::Face(part, _) if name.name.as_str() == "part" => Some(Value::Part(part)),
                    Value::Part(part) => {
                        let face = super::members::face_of(name.name.as_str())?;
                        Some(Value::Face(part, face))
                    }
                    Value::List(list) => match name.name.as_str() {
                        "first" => list.first().cloned(),
                        "last" => list.last().cloned(),
                        _ => None,
                    },
                    _ => None,
                }
            }
            _ => None,
        }
    }

    /// The slot of a name, without a message where there is none.
    pub(super) fn peek(&self, scope: ScopeId, name: Name) -> Option<SlotId> {
        let mut at = scope;
        loop {
            let record = self.scopes.get(at.0 as usize)?;
            if let Some(entry) = super::names::find(record, name) {
                return Some(entry.slot);
            }
            if let Some((b, layers)) = record.extras_of {
                if let Some((slot, _)) = self.member_slot(b, layers, name, false) {
                    return Some(slot);
                }
            }
            match record.parent {
                Some(up) => at = up,
                None => {
                    let (other, there, _) = self.program.module(record.module).imports.get(&name)?;
                    let file = self.file_scopes.get(other)?;
                    return super::names::find(&self.scopes[file.0 as usize], *there).map(|e| e.slot);
                }
            }
        }
    }

    pub(super) fn walk_expr(&self, e: &'p Expr, scope: ScopeId, name: Option<Name>, walk: &mut Walk<'p>) {
        match &e.kind {
            ExprKind::Number(q) => {
                if walk.spans.insert(e.span) {
                    walk.found.push(Literal { span: e.span, value: *q, name });
                }
            }
            ExprKind::Name(n) if walk.bound.iter().any(|(b, _)| b == n) => {}
            ExprKind::Name(n) => {
                if let Some(slot) = self.peek(scope, *n) {
                    self.walk_slot(slot, Some(*n), walk);
                    self.walk_value_of(slot, scope, walk);
                }
            }
            ExprKind::Member(object, member) => self.walk_member(object, *member, scope, name, walk),
            ExprKind::Index(object, index) => {
                self.walk_expr(object, scope, name, walk);
                self.walk_expr(index, scope, None, walk);
            }
            ExprKind::Call(call) => {
                for arg in &call.args {
                    self.walk_expr(&arg.value, scope, arg.label.map(|l| l.name).or(name), walk);
                }
                self.walk_function(call, scope, walk);
            }
            ExprKind::Negative(a) | ExprKind::Not(a) => self.walk_expr(a, scope, name, walk),
            ExprKind::Share(Some(a)) => self.walk_expr(a, scope, name, walk),
            ExprKind::Binary(_, a, b) | ExprKind::Range(a, b) | ExprKind::To(a, b) => {
                self.walk_expr(a, scope, name, walk);
                self.walk_expr(b, scope, name, walk);
            }
            ExprKind::After(a, b) | ExprKind::Before(a, b) => {
                if let Some(a) = a {
                    self.walk_expr(a, scope, name, walk);
                }
                self.walk_expr(b, scope, name, walk);
            }
            ExprKind::If(c, a, b) => {
                self.walk_expr(c, scope, None, walk);
                self.walk_expr(a, scope, name, walk);
                self.walk_expr(b, scope, name, walk);
            }
            ExprKind::List(list) => {
                for e in list {
                    self.walk_expr(e, scope, name, walk);
                }
            }
            ExprKind::Collect(body, each) => {
                self.walk_expr(&each.list, scope, name, walk);
                let list = match self.known(&each.list, scope, &walk.bound) {
                    Some(Value::List(list)) => list,
                    _ => return self.walk_expr(body, scope, name, walk),
                };
                for value in list.iter().take(MOST_WALKED) {
                    walk.bound.push((each.name.name, value.clone()));
                    if let Some(condition) = &each.condition {
                        self.walk_expr(condition, scope, None, walk);
                    }
                    self.walk_expr(body, scope, name, walk);
                    walk.bound.pop();
                }
            }
            ExprKind::OrFail(a, _, _) => self.walk_expr(a, scope, name, walk),
            _ => {}
        }
    }

    /// The text of a function: its own literals, and what it reads of its arguments and of the house.
    fn walk_function(&self, call: &'p Call, scope: ScopeId, walk: &mut Walk<'p>) {
        let module = self.scopes[scope.0 as usize].module;
        let Some((home, def)) = self.program.find_def(module, call.name.name) else { return };
        let crate::syntax::tree::DefBody::Value(_, body) = &def.body else { return };
        let Some(file) = self.file_scopes.get(&home).copied() else { return };
        if walk.calls >= MOST_CALLS {
            return;
        }
        let mut bound = Vec::new();
        let mut unnamed = call.args.iter().filter(|a| a.label.is_none());
        for param in &def.params {
            let given = call.args.iter().find(|a| a.label.is_some_and(|l| l.name == param.name.name));
            match given.or_else(|| unnamed.next()) {
                Some(arg) => {
                    // A name that is not bound would be looked for in the file of the function.
                    let value = self.known(&arg.value, scope, &walk.bound).unwrap_or(Value::None);
                    bound.push((param.name.name, value));
                }
                None => {
                    if let Some(default) = &param.default {
                        self.walk_expr(default, file, Some(param.name.name), walk);
                    }
                }
            }
        }
        let outer = std::mem::replace(&mut walk.bound, bound);
        walk.calls += 1;
        self.walk_expr(body, file, None, walk);
        walk.calls -= 1;
        walk.bound = outer;
    }

    /// A name that stands for a part reads its ranges; one that stands for a board its thickness.
    fn walk_value_of(&self, slot: SlotId, scope: ScopeId, walk: &mut Walk<'p>) {
        let (axes, frame) = match &self.slots[slot.0 as usize].state {
            State::Done(Value::Part(part)) => {
                let record = &self.parts[part.0 as usize];
                (record.axes, record.frame)
            }
            State::Done(Value::Space(space)) => {
                let record = &self.spaces[space.0 as usize];
                (record.axes, record.frame)
            }
            _ => return,
        };
        for (slot, axis) in axes.into_iter().zip(Axis::ALL) {
            self.walk_slot(slot, None, walk);
            self.walk_between(frame, scope, axis, walk);
        }
    }

    fn walk_member(
        &self,
        object: &'p Expr,
        member: Ident,
        scope: ScopeId,
        name: Option<Name>,
        walk: &mut Walk<'p>,
    ) {
        let word = member.name.as_str();
        if let ExprKind::Name(n) = &object.kind {
            if n.as_str() == "house" && self.peek(scope, *n).is_none() {
                if let Some(slot) = self.house_slots.get(&member.name) {
                    self.walk_slot(*slot, None, walk);
                }
                return;
            }
        }
        let Some(value) = self.known(object, scope, &walk.bound) else {
            self.walk_expr(object, scope, name, walk);
            return;
        };
        let axis = super::machine::axis_of(word).or(match word {
            "width" => Some(Axis::X),
            "height" => Some(Axis::Y),
            "depth" => Some(Axis::Z),
            _ => None,
        });
        match (value, axis) {
            (Value::Part(part) | Value::Face(part, _), Some(axis)) => {
                let record = &self.parts[part.0 as usize];
                self.walk_slot(record.axes[axis as usize], None, walk);
                self.walk_between(record.frame, scope, axis, walk);
            }
            (Value::Part(part), None) if word == "thickness" || word == "board" => {
                self.walk_slot(self.parts[part.0 as usize].board, None, walk);
            }
            (Value::Face(part, face), None) if word == "at" => {
                let record = &self.parts[part.0 as usize];
                self.walk_slot(record.axes[face.axis() as usize], None, walk);
                self.walk_between(record.frame, scope, face.axis(), walk);
            }
            (Value::Space(space), Some(axis)) => {
                let record = &self.spaces[space.0 as usize];
                self.walk_slot(record.axes[axis as usize], None, walk);
                self.walk_between(record.frame, scope, axis, walk);
            }
            (Value::Box(b), _) => {
                let layers = self.boxes[b.0 as usize].layers.len();
                match (self.member_slot(b, layers, member.name, false), axis) {
                    (Some((slot, _)), _) => self.walk_slot(slot, Some(member.name), walk),
                    (None, Some(axis)) => {
                        let record = &self.boxes[b.0 as usize];
                        self.walk_slot(record.extent[axis as usize], None, walk);
                        self.walk_between(record.outer, scope, axis, walk);
                    }
                    _ => {}
                }
            }
            (Value::Thing(thing), _) => {
                if let Some(entry) = super::names::find(&self.scopes[thing.scope.0 as usize], member.name) {
                    self.walk_slot(entry.slot, Some(member.name), walk);
                }
            }
            _ => self.walk_expr(object, scope, name, walk),
        }
    }
}

/// True where a range is as thick as its part's board.
fn has_board_thickness(e: &Expr) -> bool {
    match &e.kind {
        ExprKind::After(None, _) | ExprKind::Before(None, _) => true,
        ExprKind::If(_, a, b) => has_board_thickness(a) || has_board_thickness(b),
        _ => false,
    }
}

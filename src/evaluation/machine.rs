//! The evaluator: an arena of slots worked out once each, along their dependencies.

use super::faults::{Cause, Causes};
use super::program::{ModuleId, Program};
use super::records::Records;
use super::scope::*;
use super::value::{Range, Value};
use crate::diagnostics::Diagnostic;
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::Field;
use crate::values::{Overflow, Rational, Style};
use std::collections::{BTreeMap, HashMap};

/// Something that could not be worked out; its message has been given.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Failed;

/// A result whose failure has already been said.
pub type Res<T> = Result<T, Failed>;

/// How deep one thing may depend on another.
pub const DEEPEST: usize = 3_000;
/// How many parts a design may have.
pub const MOST_PARTS: usize = 200_000;
/// How many of a thing one counted statement may make.
pub const MOST_COUNTED: i64 = 10_000;
/// How many rounds all loops together may make.
pub const MOST_ROUNDS: usize = 4_000_000;

/// The state of one evaluation. After it has run it is the derivation of every figure.
pub struct Evaluation<'p> {
    pub program: &'p Program,
    pub slots: Vec<Slot<'p>>,
    pub scopes: Vec<Scope>,
    pub frames: Vec<Frame>,
    pub boxes: Vec<BoxRecord<'p>>,
    pub parts: Vec<PartRecord<'p>>,
    pub spaces: Vec<SpaceRecord<'p>>,
    pub rows: BTreeMap<BoxId, RowRecord>,
    pub fors: Vec<ForRecord<'p>>,
    pub ifs: Vec<IfRecord<'p>>,
    pub records: Records<'p>,
    pub diagnostics: Vec<Diagnostic>,
    /// Only the faults themselves are asked for, not every number behind them: following these takes ten times as
    /// long as all else.
    pub brief: bool,
    /// The `house` block that holds for this evaluation.
    pub house: Option<&'p [Field]>,
    /// Where the figures of the `house` block are resolved.
    pub house_scope: Option<ScopeId>,
    pub style: Style,
    pub(super) file_scopes: HashMap<ModuleId, ScopeId>,
    pub(super) house_slots: HashMap<Name, SlotId>,
    pub(super) things: HashMap<(ModuleId, Name), Value<'p>>,
    pub(super) stack: Vec<SlotId>,
    pub(super) rounds: usize,
    pub(super) depth: usize,
    /// Parts that could not be worked out, by box: checks of the whole box are skipped there.
    pub failed_boxes: Vec<BoxId>,
    /// Boxes in which something required does not hold: nothing more is said of them.
    pub refused_boxes: Vec<BoxId>,
    /// While figures are only looked at: slots before this one are not worked out.
    pub(super) looking: Option<usize>,
    /// What the next message is made from, and what each message was made from.
    pub(super) pending: Vec<Cause<'p>>,
    pub causes: Vec<Causes<'p>>,
}

impl<'p> Evaluation<'p> {
    /// An evaluation of a program with nothing worked out yet.
    pub fn new(program: &'p Program) -> Evaluation<'p> {
        Evaluation {
            program,
            slots: Vec::new(),
            scopes: Vec::new(),
            frames: vec![Frame {
                parent: None,
                kind: FrameKind::Site,
                reflected: false,
                depth: 0,
                root: Root::Site,
            }],
            boxes: Vec::new(),
            parts: Vec::new(),
            spaces: Vec::new(),
            rows: BTreeMap::new(),
            fors: Vec::new(),
            ifs: Vec::new(),
            records: Records::default(),
            diagnostics: Vec::new(),
            brief: false,
            house: None,
            house_scope: None,
            style: Style::metric(),
            file_scopes: HashMap::new(),
            house_slots: HashMap::new(),
            things: HashMap::new(),
            stack: Vec::new(),
            rounds: 0,
            depth: 0,
            failed_boxes: Vec::new(),
            refused_boxes: Vec::new(),
            looking: None,
            pending: Vec::new(),
            causes: Vec::new(),
        }
    }

    pub(super) fn slot(&mut self, work: Work<'p>) -> SlotId {
        self.slots.push(Slot { work, state: State::Waiting });
        SlotId(self.slots.len() as u32 - 1)
    }

    pub(super) fn given(&mut self, value: Value<'p>) -> SlotId {
        self.slots.push(Slot { work: Work::Given, state: State::Done(value) });
        SlotId(self.slots.len() as u32 - 1)
    }

    /// The value of a slot, worked out now if it was not yet.
    pub fn force(&mut self, id: SlotId) -> Res<Value<'p>> {
        match &self.slots[id.0 as usize].state {
            State::Done(value) => return Ok(value.clone()),
            State::Failed => return Err(Failed),
            State::Busy if self.looking.is_some() => return Err(Failed),
            State::Busy => {
                self.report_loop(id);
                return Err(Failed);
            }
            State::Waiting if self.looking.is_some_and(|first| (id.0 as usize) < first) => {
                return Err(Failed);
            }
            State::Waiting => {}
        }
        if self.stack.len() >= DEEPEST {
            let (span, scope) = self.slot_site(id);
            return Err(self.error_at(
                scope,
                "depends-too-deep",
                format!("One thing depends on another more than {DEEPEST} deep."),
                span,
                "reached here",
            ));
        }
        self.slots[id.0 as usize].state = State::Busy;
        self.stack.push(id);
        let result = self.work_out(self.slots[id.0 as usize].work);
        self.stack.pop();
        self.slots[id.0 as usize].state = match &result {
            Ok(value) => State::Done(value.clone()),
            Err(Failed) => State::Failed,
        };
        result
    }

    fn work_out(&mut self, work: Work<'p>) -> Res<Value<'p>> {
        match work {
            Work::Given => Err(Failed),
            Work::Element(expr, scope, _) | Work::Expr(expr, scope) => self.eval(expr, scope),
            Work::Param(param, arg, own) => self.param(param, arg, own),
            Work::House(name) => self.house_field(name),
            Work::PartList(stmt, scope) => self.counted_parts(stmt, scope),
            Work::Box(place, scope) => self.make_box(place, scope, None).map(Value::Box),
            Work::BoxList(place, scope) => self.counted_boxes(place, scope),
            Work::ForList(id) => self.for_rounds(id),
            Work::ForMember(id, name) => self.for_member(id, name),
            Work::IfCondition(id) => self.if_condition(id),
            Work::IfMember(id, name) => self.if_member(id, name),
            Work::PartAxis(part, axis) => self.part_axis(part, axis),
            Work::PartBoard(part) => self.part_board(part),
            Work::SpaceAxis(space, axis) => self.space_axis(space, axis),
            Work::Extent(b, axis) => self.box_extent(b, axis),
            Work::Offset(b, axis) => self.box_offset(b, axis),
            Work::Stands(b) => self.stands_in(b),
            Work::RowMembers(row) => self.row_members(row),
            Work::RowUnit(row) => self.row_unit(row),
            Work::RowEdges(row) => self.row_edges(row),
        }
    }

    /// The range of a slot that holds one.
    pub(super) fn force_range(&mut self, id: SlotId) -> Res<Range> {
        match self.force(id)? {
            Value::Range(range) => Ok(range),
            _ => Err(Failed),
        }
    }

    /// Where a slot is written, for messages about it.
    pub fn slot_site(&self, id: SlotId) -> (Span, ScopeId) {
        match self.slots[id.0 as usize].work {
            Work::Expr(e, s) | Work::Element(e, s, _) => (e.span, s),
            Work::Param(_, Some((e, s)), _) => (e.span, s),
            Work::Param(p, None, own) => (p.default.as_ref().map_or(p.span, |d| d.span), own),
            Work::PartList(p, s) => (p.count.as_ref().map_or(p.name.span, |c| c.span), s),
            Work::Box(p, s) | Work::BoxList(p, s) => (p.name.map_or(p.call.span, |n| n.span), s),
            Work::ForList(f) | Work::ForMember(f, _) => {
                let record = &self.fors[f.0 as usize];
                (record.stmt.each.list.span, record.scope)
            }
            Work::IfCondition(i) | Work::IfMember(i, _) => {
                let record = &self.ifs[i.0 as usize];
                (record.stmt.condition.span, record.scope)
            }
            Work::PartAxis(p, axis) => {
                let part = &self.parts[p.0 as usize];
                (axis_span(&part.stmt.ranges, axis).unwrap_or(part.span), part.scope)
            }
            Work::PartBoard(p) => {
                let part = &self.parts[p.0 as usize];
                (part.stmt.board.span, part.scope)
            }
            Work::SpaceAxis(s, axis) => {
                let space = &self.spaces[s.0 as usize];
                match space.room {
                    Room::Written(stmt) => (axis_span(&stmt.ranges, axis).unwrap_or(space.span), space.scope),
                    _ => (space.span, space.scope),
                }
            }
            Work::Stands(b) | Work::RowMembers(b) | Work::RowUnit(b) | Work::RowEdges(b) => {
                let record = &self.boxes[b.0 as usize];
                (record.place.call.span, record.user)
            }
            Work::Extent(b, _) | Work::Offset(b, _) => {
                let record = &self.boxes[b.0 as usize];
                match record.envelope {
                    Some((_, scope, span)) => (span, scope),
                    None => (record.place.call.span, record.user),
                }
            }
            Work::House(name) => self.house_site(name),
            Work::Given => (Span::new(crate::sources::FileId(0), 0, 0), ScopeId(0)),
        }
    }

    /// What a slot is called in a message.
    pub fn slot_name(&self, id: SlotId) -> String {
        match self.slots[id.0 as usize].work {
            Work::PartAxis(p, axis) => {
                format!("the {} range of `{}`", axis_word(axis), self.parts[p.0 as usize].name)
            }
            Work::PartBoard(p) => format!("the board of `{}`", self.parts[p.0 as usize].name),
            Work::SpaceAxis(s, axis) => {
                format!("the {} range of `{}`", axis_word(axis), self.spaces[s.0 as usize].name)
            }
            Work::Extent(b, axis) => {
                format!("the size of `{}` in {}", self.boxes[b.0 as usize].name, axis_word(axis))
            }
            Work::Offset(b, axis) => {
                format!("the place of `{}` in {}", self.boxes[b.0 as usize].name, axis_word(axis))
            }
            Work::Stands(b) => format!("what `{}` stands in", self.boxes[b.0 as usize].name),
            Work::RowMembers(b) => format!("the row `{}`", self.boxes[b.0 as usize].name),
            Work::RowUnit(b) => format!("a share of `{}`", self.boxes[b.0 as usize].name),
            Work::RowEdges(b) => format!("the places of the boxes of `{}`", self.boxes[b.0 as usize].name),
            Work::Param(p, _, _) => format!("`{}`", p.name.name),
            Work::House(name) => format!("`house.{name}`"),
            Work::ForList(_) | Work::ForMember(..) => "the list of this `for`".to_string(),
            Work::IfCondition(_) | Work::IfMember(..) => "this condition".to_string(),
            Work::PartList(p, _) => format!("the count of `{}`", p.name.name),
            Work::Box(p, _) | Work::BoxList(p, _) => {
                format!("`{}`", p.name.map_or(p.call.name.name, |n| n.name))
            }
            Work::Expr(..) | Work::Element(..) | Work::Given => match self.entry_name(id) {
                Some(name) => format!("`{name}`"),
                None => "this".to_string(),
            },
        }
    }

    fn entry_name(&self, id: SlotId) -> Option<Name> {
        self.scopes.iter().flat_map(|s| &s.entries).find(|e| e.slot == id).map(|e| e.name)
    }

    fn report_loop(&mut self, id: SlotId) {
        let start = self.stack.iter().position(|s| *s == id).unwrap_or(0);
        // Start at the same step whatever was asked first: order of asking is not the text's.
        let mut ring: Vec<SlotId> = self.stack[start..].to_vec();
        let first = (0..ring.len()).min_by_key(|i| self.slot_site(ring[*i]).0).unwrap_or(0);
        ring.rotate_left(first);
        let names: Vec<String> = ring.iter().map(|s| self.slot_name(*s)).collect();
        let (span, scope) = self.slot_site(ring[0]);
        let chain = names.iter().chain(names.first()).cloned().collect::<Vec<_>>().join(", which needs ");
        let mut d = Diagnostic::error(
            "loop",
            format!("{} needs itself.", capital(&names[0])),
            span,
            if ring.len() == 1 { "reads itself".to_string() } else { format!("needs {}", names[1]) },
        );
        for (i, slot) in ring.iter().enumerate().skip(1) {
            let next = &names[(i + 1) % names.len()];
            d = d.label(self.slot_site(*slot).0, format!("needs {next}"));
        }
        self.push(
            scope,
            d.note(format!("{}.", capital(&chain))).help("Give one of these a figure of its own."),
        );
    }

    /// The message for an exact result that grew too large.
    pub(super) fn overflow(&mut self, scope: ScopeId, span: Span) -> Failed {
        self.error_at(scope, "number-too-large", Overflow.to_string() + ".", span, "worked out here")
    }

    /// A checked result, or the message that it grew too large.
    pub(super) fn exact<T>(&mut self, scope: ScopeId, span: Span, result: Result<T, Overflow>) -> Res<T> {
        result.map_err(|_| self.overflow(scope, span))
    }

    /// A length in the house's style.
    pub fn show(&self, mm: Rational) -> String {
        self.style.fine(mm)
    }
}

/// `x`, `y` or `z`.
pub fn axis_word(axis: Axis) -> &'static str {
    match axis {
        Axis::X => "x",
        Axis::Y => "y",
        Axis::Z => "z",
    }
}

/// The axis of a word.
pub fn axis_of(word: &str) -> Option<Axis> {
    match word {
        "x" => Some(Axis::X),
        "y" => Some(Axis::Y),
        "z" => Some(Axis::Z),
        _ => None,
    }
}

/// The span of the value given for an axis.
pub(super) fn axis_span(ranges: &[Field], axis: Axis) -> Option<Span> {
    ranges.iter().find(|f| f.label.name.as_str() == axis_word(axis)).map(|f| f.value.span)
}

/// The text with its first letter as a capital.
pub(super) fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(c) => c.to_uppercase().collect::<String>() + chars.as_str(),
        None => String::new(),
    }
}

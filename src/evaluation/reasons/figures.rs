//! The figures of outputs as steps: sizes of parts, places of holes, cuts, what is bought.

use super::{Formula, Graph, Open, Pick, StepId, Sum, both};
use crate::evaluation::scope::{BoxId, PartId, ScopeId};
use crate::evaluation::value::{Place, Value};
use crate::geometry::{Axis, Face};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Call, Expr};
use crate::values::Rational;

/// A figure of a hole.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OfHole {
    /// The distance from the low edge on this axis, as the part lies in its root.
    At(Axis),
    Dia,
    Depth,
    /// A step of its head: its number, then dia, end dia or depth.
    Head(usize, usize),
}

/// A figure of a cut.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum OfCut {
    /// The distance of one end from the low edge on this axis, as the part lies in its root.
    End(Axis, bool),
    Size(Axis),
    Dia,
}

impl<'p> Graph<'_, 'p> {
    fn words(text: impl Into<String>) -> Formula {
        Formula::Words(text.into())
    }

    /// The size of a part on an axis.
    pub fn part_size(&mut self, part: PartId, axis: Axis) -> Option<StepId> {
        let slot = self.e.parts[part.0 as usize].axes[axis as usize];
        self.step(slot, &[Pick::Size], None)
    }

    /// Which axes a part's length, width and thickness lie on.
    pub fn part_axes(&mut self, part: PartId) -> Option<[Axis; 3]> {
        self.look(|it| it.part_axes(part))
    }

    /// The thickness that a part's board states.
    pub fn part_thickness(&mut self, part: PartId) -> Option<StepId> {
        let (slot, name) = self.field_of_board(part, "thickness")?;
        self.step(slot, &[], Some(name))
    }

    /// The size of a part before banding.
    pub fn part_cut(&mut self, part: PartId, axis: Axis, name: String) -> Option<StepId> {
        let finished = self.part_size(part, axis)?;
        let mut bands: Vec<(Face, Value<'p>, Span)> = Vec::new();
        for record in &self.e.records.bands {
            let new = !bands.iter().any(|b| b.0 == record.face);
            if record.part == part && record.face.axis() == axis && new {
                bands.push((record.face, record.band.clone(), record.call.span));
            }
        }
        let mut taken: Vec<(crate::evaluation::scope::SlotId, String)> = Vec::new();
        for (_, band, _) in &bands {
            let Value::Thing(thing) = band else { continue };
            let deduct = self.look(|it| it.thing_field(thing, "deduct")).flatten();
            if matches!(deduct, Some(Value::Flag(false))) {
                continue;
            }
            let entries = &self.e.scopes[thing.scope.0 as usize];
            if let Some(entry) = crate::evaluation::names::find(entries, Name::new("thickness")) {
                taken.push((entry.slot, format!("{}.thickness", thing.def.name.name)));
            }
        }
        let span = self.e.parts[part.0 as usize].span;
        let words = match taken.len() {
            0 => "the finished size: no band is taken off here",
            1 => "the finished size - the band",
            _ => "the finished size - the bands",
        };
        let id = self.made(name, Self::words(words), Some(span), None, |it, open| {
            let mut sum = it.one(finished, open);
            for (slot, name) in taken {
                let band = it.read(slot, &[], Some(name), open);
                sum = both(sum, band, -1);
            }
            sum
        });
        Some(id)
    }

    /// One end of a part on an axis, in the root's frame.
    pub fn part_place(&mut self, part: PartId, axis: Axis, high: bool, name: String) -> Option<StepId> {
        let record = &self.e.parts[part.0 as usize];
        let (frame, span) = (record.frame, record.span);
        let root = self.look(|it| it.root_of(frame)).flatten()?;
        let to = self.e.boxes[root.0 as usize].outer;
        let pick = if high { Pick::High } else { Pick::Low };
        let words = Self::words(format!("in the frame of {}", self.e.boxes[root.0 as usize].path));
        Some(self.made(name, words, Some(span), None, |it, open| it.part_end(part, axis, pick, to, open)))
    }

    /// One end of a box on an axis, in the root's frame.
    pub fn box_place(&mut self, b: BoxId, axis: Axis, high: bool, name: String) -> Option<StepId> {
        let record = &self.e.boxes[b.0 as usize];
        let (outer, slot, span) = (record.outer, record.extent[axis as usize], record.place.call.span);
        let root = self.look(|it| it.root_of(outer)).flatten()?;
        let to = self.e.boxes[root.0 as usize].outer;
        let pick = if high { Pick::High } else { Pick::Low };
        let words = Self::words(format!("in the frame of {}", self.e.boxes[root.0 as usize].path));
        Some(self.made(name, words, Some(span), None, |it, open| {
            it.span_of(slot, axis, outer, to, Some(pick), open)
        }))
    }

    /// A size of a box.
    pub fn size_of_box(&mut self, b: BoxId, axis: Axis) -> Option<StepId> {
        let slot = self.e.boxes[b.0 as usize].extent[axis as usize];
        let pick = if self.e.rows.contains_key(&b) { Pick::Size } else { Pick::High };
        self.step(slot, &[pick], None)
    }

    /// A figure that a part's board states.
    pub fn board_figure(&mut self, part: PartId, word: &str) -> Option<StepId> {
        let (slot, name) = self.field_of_board(part, word)?;
        self.slot_value(slot).filter(|v| super::figure(v).is_some())?;
        self.step(slot, &[], Some(name))
    }

    /// The labelled argument of a verb.
    pub(super) fn argument(call: &'p Call, word: &str) -> Option<&'p Expr> {
        call.args.iter().find(|a| a.label.is_some_and(|l| l.name.as_str() == word)).map(|a| &a.value)
    }

    /// True where x runs against the root's x in the frame of a part.
    pub(super) fn flipped(&self, part: PartId, axis: Axis) -> bool {
        axis == Axis::X && self.e.reflected(self.e.parts[part.0 as usize].frame)
    }

    /// A coordinate in the frame of a part as its distance from the part's low edge in the root.
    pub(super) fn past_edge(
        &mut self,
        part: PartId,
        axis: Axis,
        at: Option<Sum>,
        open: &mut Open,
    ) -> Option<Sum> {
        let frame = self.e.parts[part.0 as usize].frame;
        match self.flipped(part, axis) {
            true => {
                let edge = self.part_end(part, axis, Pick::High, frame, open);
                both(edge, at, -1)
            }
            false => {
                let edge = self.part_end(part, axis, Pick::Low, frame, open);
                both(at, edge, -1)
            }
        }
    }

    /// A figure of the hole with this number in the records.
    pub fn hole(&mut self, index: usize, of: OfHole, name: String) -> Option<StepId> {
        let record = self.e.records.holes.get(index)?;
        let (part, call, scope) = (record.part, record.call, record.scope);
        let span = call.span;
        match of {
            OfHole::Dia => {
                let e = Self::argument(call, "dia")?;
                Some(self.expression(e, scope, &[], name))
            }
            OfHole::Depth => match self.e.records.holes.get(index)?.depth {
                Some(_) => {
                    let e = Self::argument(call, "depth")?;
                    Some(self.expression(e, scope, &[], name))
                }
                None => {
                    let face = self.e.records.holes.get(index)?.face;
                    let size = self.part_size(part, face.axis())?;
                    let words = Self::words("right through: the thickness of the part");
                    Some(self.made(name, words, Some(span), None, |it, open| it.one(size, open)))
                }
            },
            OfHole::Head(step, which) => {
                let e = Self::argument(call, "profile")?;
                let given = match self.value(e, scope)? {
                    Value::List(list) => match list.get(step)? {
                        Value::List(figures) => figures.len(),
                        _ => return None,
                    },
                    _ => return None,
                };
                // Of two figures the first is the width all the way down; of three the last is how far.
                let path = |step: usize, i: usize| [Pick::Item(step), Pick::Item(i)];
                match (given, which) {
                    (2, 0 | 1) => Some(self.expression(e, scope, &path(step, 0), name)),
                    (2, _) => Some(self.expression(e, scope, &path(step, 1), name)),
                    (_, 0 | 1) => Some(self.expression(e, scope, &path(step, which), name)),
                    _ => {
                        let words = Self::words("the steps of the head down to here");
                        Some(self.made(name, words, Some(e.span), None, |it, open| {
                            let mut sum = Some(Sum::default());
                            for i in 0..=step {
                                let own = match it.value(e, scope) {
                                    Some(Value::List(list)) => match list.get(i) {
                                        Some(Value::List(f)) => f.len(),
                                        _ => 0,
                                    },
                                    _ => 0,
                                };
                                let last = own.saturating_sub(1);
                                let one = it.expr(e, scope, &path(i, last), open);
                                // A step of two figures says how deep it ends, not how far it goes on.
                                sum = if own == 2 { one } else { both(sum, one, 1) };
                            }
                            sum
                        }))
                    }
                }
            }
            OfHole::At(axis) => {
                let frame = self.e.parts[part.0 as usize].frame;
                let word = crate::evaluation::machine::axis_word(axis);
                let low = Face::of(axis, false).word();
                let words = Self::words(format!("its place - the {low} edge of the part"));
                let id = self.made(name, words, Some(span), None, |it, open| {
                    let at = it.coordinate(call, word, axis, frame, scope, open);
                    it.past_edge(part, axis, at, open)
                });
                Some(id)
            }
        }
    }

    /// A coordinate given to a verb, in the frame of its part.
    pub(super) fn coordinate(
        &mut self,
        call: &'p Call,
        word: &str,
        axis: Axis,
        frame: crate::evaluation::scope::FrameId,
        scope: ScopeId,
        open: &mut Open,
    ) -> Option<Sum> {
        let (e, path) = match Self::argument(call, word) {
            Some(e) => (e, Vec::new()),
            None => (Self::argument(call, "at")?, vec![Pick::On(axis)]),
        };
        let value = self.value(e, scope).and_then(|v| super::picked(&v, &path));
        let sum = match path.is_empty() {
            true => self.part_of_formula(e, scope, open),
            false => self.expr(e, scope, &path, open),
        };
        match value {
            Some(Value::Place(Place { frame: from, .. })) => self.moved(sum, axis, from, frame, open),
            _ => sum,
        }
    }

    /// A figure of the bevel with this number in the records: its rise or its run.
    pub fn bevel(&mut self, index: usize, rise: bool, name: String) -> Option<StepId> {
        let record = self.e.records.bevels.get(index)?;
        let (part, call, scope) = (record.part, record.call, record.scope);
        match Self::argument(call, if rise { "rise" } else { "run" }) {
            Some(e) => Some(self.expression(e, scope, &[], name)),
            None => {
                let thickness = self.part_thickness(part)?;
                let words = Self::words("at 45deg: the thickness of the part");
                Some(self.made(name, words, Some(call.span), None, |it, open| it.one(thickness, open)))
            }
        }
    }

    /// An expression as a figure of this name.
    pub fn expression(&mut self, e: &'p Expr, scope: ScopeId, path: &[Pick], name: String) -> StepId {
        let value = self.value(e, scope).and_then(|v| super::picked(&v, path));
        self.made(name, Formula::Text(e.span), Some(e.span), value, |it, open| it.expr(e, scope, path, open))
    }

    /// How many a purchase with this number in the records takes.
    pub fn quantity(&mut self, index: usize, name: String) -> Option<StepId> {
        let record = self.e.records.buys.get(index)?;
        let (call, scope, quantity) = (record.call, record.scope, record.quantity);
        let e = Self::argument(call, "quantity").or(call.args.get(1).map(|a| &a.value));
        Some(match e {
            Some(e) => self.expression(e, scope, &[], name),
            None => {
                let words = Self::words("one, each time");
                let value = Value::number(quantity);
                self.made(name, words, Some(call.span), Some(value), |_, _| {
                    Some(Sum::constant(Rational::int(quantity)))
                })
            }
        })
    }

    /// How many rounds the innermost loops make that a scope stands in: the count of each list.
    pub fn rounds_around(&mut self, scope: ScopeId, open: &mut Open) {
        let mut at = Some(scope);
        while let Some(id) = at {
            let found = self.e.fors.iter().find(|f| f.rounds.contains(&id)).map(|f| (f.stmt, f.scope));
            if let Some((stmt, around)) = found {
                self.expr(&stmt.each.list, around, &[Pick::Count], open);
            }
            let record = &self.e.scopes[id.0 as usize];
            at = if record.site.is_some() { None } else { record.parent };
        }
    }

    /// How many pieces a counted or looped statement makes.
    pub fn pieces_of(&mut self, part: PartId, open: &mut Open) {
        let record = &self.e.parts[part.0 as usize];
        let (stmt, scope) = (record.stmt, record.scope);
        if let Some(count) = &stmt.count {
            let around = self.e.scopes[scope.0 as usize].parent.unwrap_or(scope);
            let id = self.alone(count, around, &[]);
            open.read(id);
        }
        self.rounds_around(scope, open);
    }

    /// A slot that a box has under a name, private ones too.
    pub fn named(&mut self, b: BoxId, word: &str) -> Option<StepId> {
        let layers = self.e.boxes[b.0 as usize].layers.len();
        let (slot, _) = self.e.member_slot(b, layers, Name::new(word), true)?;
        let name = format!("{}.{word}", self.e.boxes[b.0 as usize].path);
        match self.slot_value(slot) {
            Some(value) if super::figure(&value).is_some() => {
                let mut open = Open::default();
                self.read(slot, &[], Some(name.clone()), &mut open)?.same_as()
            }
            _ => None,
        }
    }

    /// The names of a box that hold figures, its parameters first; private ones too.
    pub fn figures_of(&mut self, b: BoxId) -> Vec<&'static str> {
        let layers = self.e.boxes[b.0 as usize].layers.clone();
        let mut names = Vec::new();
        for layer in layers {
            let entries: Vec<_> =
                self.e.scopes[layer.0 as usize].entries.iter().map(|e| (e.name, e.slot)).collect();
            for (name, slot) in entries {
                if self.slot_value(slot).is_some_and(|v| super::figure(&v).is_some()) {
                    names.push(name.as_str());
                }
            }
        }
        names
    }

    /// A parameter or field of something bought, a board or a band.
    pub fn of_thing(&mut self, value: &Value<'p>, word: &str) -> Option<StepId> {
        let Value::Thing(thing) = value else { return None };
        let entries = &self.e.scopes[thing.scope.0 as usize];
        let slot = crate::evaluation::names::find(entries, Name::new(word))?.slot;
        let name = format!("{}.{word}", thing.def.name.name);
        self.slot_value(slot).filter(|v| super::figure(v).is_some())?;
        self.step(slot, &[], Some(name))
    }

    /// The names of a thing that hold figures.
    pub fn figures_of_thing(&mut self, value: &Value<'p>) -> Vec<&'static str> {
        let Value::Thing(thing) = value else { return Vec::new() };
        let entries: Vec<_> =
            self.e.scopes[thing.scope.0 as usize].entries.iter().map(|e| (e.name, e.slot)).collect();
        let mut names = Vec::new();
        for (name, slot) in entries {
            if self.slot_value(slot).is_some_and(|v| super::figure(&v).is_some()) {
                names.push(name.as_str());
            }
        }
        names
    }

    /// The scope of the root file.
    pub fn root_scope(&mut self) -> ScopeId {
        self.e.file_scope(crate::evaluation::ModuleId(0))
    }

    /// A row by its path.
    pub fn row_called(&self, path: &str) -> Option<BoxId> {
        self.e.rows.keys().copied().find(|b| self.e.boxes[b.0 as usize].path == path)
    }

    /// The path of a box.
    pub fn path_of(&self, b: BoxId) -> String {
        self.e.boxes[b.0 as usize].path.clone()
    }

    /// One share of a row.
    pub fn share_of_row(&mut self, row: BoxId) -> StepId {
        self.row_unit(row)
    }

    /// The room at one end of a row.
    pub fn end_of_row(&mut self, row: BoxId, right: bool) -> StepId {
        self.row_end(row, right)
    }

    /// Width, height and depth of a space.
    pub fn sizes_of_space(&mut self, space: crate::evaluation::scope::SpaceId) -> Vec<StepId> {
        let axes = self.e.spaces[space.0 as usize].axes;
        axes.iter().filter_map(|s| self.step(*s, &[Pick::Size], None)).collect()
    }

    /// Where a part is written.
    pub fn span_of_part(&self, part: PartId) -> Span {
        self.e.parts[part.0 as usize].span
    }

    /// Where a purchase is written, and its scope.
    pub fn bought_at(&self, index: usize) -> (Span, ScopeId) {
        let record = &self.e.records.buys[index];
        (record.call.span, record.scope)
    }

    /// Where something bought for several things is written, if that is one place.
    pub fn bought_where(&self, uses: &std::collections::BTreeMap<String, Vec<usize>>) -> Option<Span> {
        let mut spans = uses.values().flatten().map(|i| self.e.records.buys[*i].call.span);
        let first = spans.next()?;
        spans.all(|s| s == first).then_some(first)
    }

    /// An expression as it is written, on one line.
    pub fn written_as(&self, e: &Expr) -> String {
        super::exprs::one_line(&self.e.source(e))
    }

    /// Both ends of a part's range, in the frame of its own text.
    pub fn ends_of_range(&mut self, part: PartId, axis: Axis) -> Vec<StepId> {
        let slot = self.e.parts[part.0 as usize].axes[axis as usize];
        [Pick::Low, Pick::High].iter().filter_map(|p| self.step(slot, &[*p], None)).collect()
    }

    /// The ends of all ranges of a part.
    pub fn ends_of_part(&mut self, part: PartId) -> Vec<StepId> {
        Axis::ALL.iter().flat_map(|a| self.ends_of_range(part, *a)).collect()
    }

    /// How far the thing of a movement goes.
    pub fn travel(&mut self, index: usize) -> Option<StepId> {
        let record = self.e.records.moves.get(index)?;
        let (call, scope) = (record.call, record.scope);
        let e = Self::argument(call, "by")
            .or(Self::argument(call, "through"))
            .or(call.args.get(2).map(|a| &a.value))?;
        Some(self.expression(e, scope, &[], "it moves by".to_string()))
    }

    /// The ends of a range that failed, as far as they are known.
    pub fn ends_of_failed(&mut self, e: &'p Expr, scope: ScopeId, name: &str) -> Vec<StepId> {
        // A part at its end is known by the axis only, which the braces around it give.
        let of_parts = self.e.parts.iter().enumerate().find_map(|(i, p)| {
            let field = p.stmt.ranges.iter().find(|f| std::ptr::eq(&f.value, e) && p.scope == scope)?;
            Some((crate::evaluation::machine::axis_of(field.label.name.as_str()), Some(PartId(i as u32))))
        });
        let (axis, part) = of_parts.unwrap_or((None, None));
        [(Pick::Low, "start"), (Pick::High, "end")]
            .map(|(pick, word)| {
                let title = format!("{word} of {name}");
                self.made(title, Formula::Text(e.span), Some(e.span), None, |it, open| {
                    it.range(e, scope, Some(pick), axis, part, None, open)
                })
            })
            .to_vec()
    }

    /// The figures that a verb of analysis was given.
    pub fn arguments_of_verb(&mut self, verb: &str, index: usize) -> Vec<StepId> {
        let records = &self.e.records;
        let found = match verb {
            "carries" => records.loads.get(index).map(|r| (r.call, r.scope)),
            "spans" => records.spans.get(index).map(|r| (r.call, r.scope)),
            "bears" => records.bearings.get(index).map(|r| (r.call, r.scope)),
            _ => None,
        };
        let Some((call, scope)) = found else { return Vec::new() };
        let mut steps = Vec::new();
        for arg in &call.args {
            let Some(label) = arg.label else { continue };
            match self.value(&arg.value, scope) {
                Some(Value::Range(_)) => {
                    steps.push(self.expression(&arg.value, scope, &[Pick::Size], label.name.to_string()));
                }
                Some(value) if super::figure(&value).is_some() => {
                    steps.push(self.expression(&arg.value, scope, &[], label.name.to_string()));
                }
                _ => {}
            }
        }
        steps
    }

    /// Where a hole is written, and its scope.
    pub fn drilled_at(&self, index: usize) -> Option<(Span, ScopeId)> {
        self.e.records.holes.get(index).map(|r| (r.call.span, r.scope))
    }
}

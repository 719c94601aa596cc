//! Where things of the job came from in the evaluation, for the labels of messages.

use super::{Axis, Origin, Trace};
use crate::diagnostics::Label;
use crate::evaluation::{BoxId, Evaluation, PartId, ScopeId};
use crate::sources::Span;
use crate::syntax::tree::{Arg, Call, Kind};

#[derive(Clone, Copy, Debug)]
enum From {
    Box(BoxId),
    Part(PartId),
    Range(PartId, Axis),
    Hole(usize),
    Cut(usize),
    Bevel(usize),
    Load(usize),
    Spanning(usize),
    Bearing(usize),
    Resting(usize),
    Move(usize),
}

/// The table behind [`Origin`].
#[derive(Debug, Default)]
pub struct Origins {
    table: Vec<From>,
}

impl Origins {
    fn add(&mut self, from: From) -> Origin {
        self.table.push(from);
        Origin(self.table.len() as u32 - 1)
    }

    pub(super) fn add_box(&mut self, id: BoxId) -> Origin {
        self.add(From::Box(id))
    }

    pub(super) fn add_part(&mut self, id: PartId) -> Origin {
        self.add(From::Part(id))
    }

    pub(super) fn add_range(&mut self, id: PartId, axis: Axis) -> Origin {
        self.add(From::Range(id, axis))
    }

    pub(super) fn add_hole(&mut self, index: usize) -> Origin {
        self.add(From::Hole(index))
    }

    pub(super) fn add_cut(&mut self, index: usize) -> Origin {
        self.add(From::Cut(index))
    }

    pub(super) fn add_move(&mut self, index: usize) -> Origin {
        self.add(From::Move(index))
    }

    pub(super) fn add_bevel(&mut self, index: usize) -> Origin {
        self.add(From::Bevel(index))
    }

    pub(super) fn add_load(&mut self, index: usize) -> Origin {
        self.add(From::Load(index))
    }

    pub(super) fn add_span(&mut self, index: usize) -> Origin {
        self.add(From::Spanning(index))
    }

    pub(super) fn add_rest(&mut self, index: usize) -> Origin {
        self.add(From::Resting(index))
    }

    pub(super) fn add_bearing(&mut self, index: usize) -> Origin {
        self.add(From::Bearing(index))
    }
}

impl Origins {
    /// The box behind an origin.
    pub(super) fn box_of(&self, origin: Origin) -> Option<BoxId> {
        match self.table.get(origin.0 as usize)? {
            From::Box(b) => Some(*b),
            _ => None,
        }
    }

    /// The part behind an origin.
    pub(super) fn part_of(&self, origin: Origin) -> Option<PartId> {
        match self.table.get(origin.0 as usize)? {
            From::Part(p) => Some(*p),
            _ => None,
        }
    }

    /// The range of a part behind an origin.
    pub(super) fn range_of(&self, origin: Origin) -> Option<(PartId, Axis)> {
        match self.table.get(origin.0 as usize)? {
            From::Range(p, axis) => Some((*p, *axis)),
            _ => None,
        }
    }

    /// What an origin is of, in a word.
    pub(super) fn kind_of(&self, origin: Origin) -> &'static str {
        match self.table.get(origin.0 as usize) {
            Some(From::Hole(_)) => "hole",
            Some(From::Cut(_)) => "cut",
            Some(From::Bevel(_)) => "bevel",
            Some(From::Move(_)) => "move",
            _ => "",
        }
    }

    /// The verb that recorded what an origin is of.
    pub(super) fn verb_of(&self, origin: Origin) -> &'static str {
        match self.table.get(origin.0 as usize) {
            Some(From::Load(_)) => "carries",
            Some(From::Spanning(_)) => "spans",
            Some(From::Bearing(_)) => "bears",
            _ => "",
        }
    }

    /// The number of the record behind an origin.
    pub(super) fn record_of(&self, origin: Origin) -> Option<usize> {
        match self.table.get(origin.0 as usize)? {
            From::Hole(i) | From::Cut(i) | From::Bevel(i) | From::Move(i) => Some(*i),
            From::Load(i) | From::Spanning(i) | From::Bearing(i) | From::Resting(i) => Some(*i),
            _ => None,
        }
    }
}

/// An evaluation with the table that leads from its job back into it.
pub struct Trail<'e, 'p> {
    pub evaluation: &'e Evaluation<'p>,
    pub origins: &'e Origins,
}

impl<'p> Trail<'_, 'p> {
    /// The verb behind an origin, with its scope.
    fn call(&self, origin: Origin) -> Option<(&'p Call, ScopeId)> {
        let records = &self.evaluation.records;
        Some(match self.origins.table.get(origin.0 as usize)? {
            From::Box(_) | From::Part(_) | From::Range(..) => return None,
            From::Hole(i) => (records.holes[*i].call, records.holes[*i].scope),
            From::Cut(i) => (records.cuts[*i].call, records.cuts[*i].scope),
            From::Bevel(i) => (records.bevels[*i].call, records.bevels[*i].scope),
            From::Load(i) => (records.loads[*i].call, records.loads[*i].scope),
            From::Spanning(i) => (records.spans[*i].call, records.spans[*i].scope),
            From::Resting(i) => (records.rests[*i].call, records.rests[*i].scope),
            From::Bearing(i) => (records.bearings[*i].call, records.bearings[*i].scope),
            From::Move(i) => (records.moves[*i].call, records.moves[*i].scope),
        })
    }

    /// The statement or call behind an origin, with its scope.
    fn statement(&self, origin: Origin) -> Option<(Span, ScopeId)> {
        let e = self.evaluation;
        Some(match self.origins.table.get(origin.0 as usize)? {
            From::Box(b) => {
                let record = &e.boxes[b.0 as usize];
                (record.place.call.span, record.user)
            }
            From::Part(p) => {
                let part = &e.parts[p.0 as usize];
                (part.span, part.scope)
            }
            From::Range(p, axis) => {
                let part = &e.parts[p.0 as usize];
                e.slot_site(part.axes[*axis as usize])
            }
            _ => self.call(origin).map(|(call, scope)| (call.span, scope))?,
        })
    }
}

impl Trace for Trail<'_, '_> {
    fn span(&self, origin: Origin) -> Span {
        let Some((span, scope)) = self.statement(origin) else {
            return Span::new(crate::sources::FileId(0), 0, 0);
        };
        if self.evaluation.in_library(span) { self.evaluation.user_site(scope).unwrap_or(span) } else { span }
    }

    fn labels(&self, origin: Origin) -> Vec<Label> {
        let e = self.evaluation;
        let Some((span, scope)) = self.statement(origin) else { return Vec::new() };
        let mut labels = Vec::new();
        if e.in_library(span) {
            if let Some(user) = e.user_site(scope) {
                labels.push(Label::new(user, "used here"));
            }
        }
        let literals = match self.origins.table.get(origin.0 as usize) {
            _ if e.brief => Vec::new(),
            Some(From::Part(p)) => e.part_trail(*p),
            Some(From::Range(p, axis)) => e.slot_trail(e.parts[p.0 as usize].axes[*axis as usize]),
            Some(From::Hole(i)) => e.call_literals(e.records.holes[*i].call, e.records.holes[*i].scope),
            Some(From::Cut(i)) => e.call_literals(e.records.cuts[*i].call, e.records.cuts[*i].scope),
            Some(From::Bevel(i)) => e.call_literals(e.records.bevels[*i].call, e.records.bevels[*i].scope),
            Some(From::Load(i)) => e.call_literals(e.records.loads[*i].call, e.records.loads[*i].scope),
            Some(From::Spanning(i)) => {
                let record = &e.records.spans[*i];
                e.labelled_literals(record.call, record.scope, &["over", "load"])
            }
            Some(From::Bearing(i)) => {
                e.call_literals(e.records.bearings[*i].call, e.records.bearings[*i].scope)
            }
            Some(From::Box(b)) if e.row_of(*b).is_some() || e.boxes[b.0 as usize].def.kind != Kind::Box => {
                e.stand_trail(*b)
            }
            // How far it moves: the third argument.
            Some(From::Move(i)) => {
                let record = &e.records.moves[*i];
                let far = |a: &&Arg| a.label.is_some_and(|l| ["by", "through"].contains(&l.name.as_str()));
                let far = record.call.args.iter().find(far).or(record.call.args.get(2));
                far.map(|a| e.literals(&a.value, record.scope)).unwrap_or_default()
            }
            _ => Vec::new(),
        };
        let name = match self.origins.table.get(origin.0 as usize) {
            Some(From::Part(p)) => format!("`{}`", e.parts[p.0 as usize].name),
            Some(From::Range(p, axis)) => {
                format!("`{}` in {}", e.parts[p.0 as usize].name, ["x", "y", "z"][*axis as usize])
            }
            Some(From::Box(b)) => format!("`{}`", e.boxes[b.0 as usize].name),
            Some(From::Load(_)) => "carried here".to_string(),
            Some(From::Bearing(_)) => "borne here".to_string(),
            Some(From::Spanning(_)) => "spans here".to_string(),
            Some(From::Move(_)) => "it moves by this".to_string(),
            _ => "made here".to_string(),
        };
        labels.push(Label::new(span, name));
        labels.extend(e.labels_of(&literals));
        labels
    }

    fn behind(&self, origin: Origin) -> Vec<Label> {
        let e = self.evaluation;
        match self.origins.table.get(origin.0 as usize) {
            Some(From::Box(b)) => e.behind_box(*b),
            Some(From::Part(p) | From::Range(p, _)) => e.behind_part(*p),
            Some(_) => self.call(origin).map(|(call, scope)| e.behind_call(call, scope)).unwrap_or_default(),
            None => Vec::new(),
        }
    }
}

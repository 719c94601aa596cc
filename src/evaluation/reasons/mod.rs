//! Where figures come from: the graph of an evaluation read backwards, from a figure to the literals
//! in the text.
//!
//! A [`Step`] is a figure with a name: a parameter, a range of a part, a share. Its formula is the text it
//! was written with; it reads other steps and literals. Where a figure is a plain sum of what it reads the
//! step says so ([`Sum`]), and the sum is checked against the figure; so a chain of steps can be told as one
//! formula. What a text only chooses by (a condition that was met) is read `beside`.

mod calls;
mod cuts;
mod exprs;
mod figures;
mod members;
mod points;
mod ranges;
mod rows;
mod slots;
mod sum;
mod tell;

use super::machine::{Evaluation, Res};
use super::scope::{BoxId, FrameId, PartId, ScopeId, SlotId, State};
use super::trace::Literal;
use super::value::{Place, Value};
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::Expr;
use crate::values::{Dimension, Quantity, Rational};
pub use figures::{OfCut, OfHole};
use std::collections::BTreeMap;
pub use sum::{Sum, Term, both};
pub use tell::{At, Reason, Stated, Telling};

/// Index of a step in its [`Graph`].
pub type StepId = usize;

/// What the text of a question is called among the files.
pub const QUESTION: &str = "the question";

/// How many steps one question follows, and how deep.
const MOST_STEPS: usize = 20_000;
const DEEPEST: usize = 600;

/// What of a value is asked for.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Pick {
    /// An element of a list, from nought.
    Item(usize),
    /// How many elements a list has.
    Count,
    /// The coordinate of a point, the range of a seam.
    On(Axis),
    /// Ends and size of a range.
    Low,
    High,
    Size,
    Mid,
}

/// A formula: a stretch of the text, or words where no text states it.
#[derive(Clone, Debug)]
pub enum Formula {
    Text(Span),
    Words(String),
}

/// Another step that a step was worked out from.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Read {
    pub step: StepId,
    /// Only chosen by it.
    pub beside: bool,
}

/// A figure and what it was worked out from.
#[derive(Clone, Debug)]
pub struct Step<'p> {
    pub name: String,
    pub formula: Formula,
    pub value: Option<Value<'p>>,
    /// Where it is written.
    pub span: Option<Span>,
    /// The literals of its formula.
    pub literals: Vec<Literal>,
    pub reads: Vec<Read>,
    /// It is exactly this sum, where it is one.
    pub sum: Option<Sum>,
}

/// What tells steps apart.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum Key {
    Slot(SlotId, Vec<Pick>),
    /// An expression that stands by itself in a formula.
    Expr(Span, ScopeId, Vec<Pick>),
    /// Where a member of a row begins.
    Edge(BoxId, usize),
    /// The width of a member of a row.
    Width(BoxId, usize),
    Unit(BoxId),
    /// What is left of a row.
    Left(BoxId),
    /// A place of another frame as it stands in this one.
    Moved(Span, ScopeId, FrameId),
    End(BoxId, bool),
    Mass(PartId),
    BoxMass(BoxId),
}

/// What one formula reads, while it is being read itself.
#[derive(Default)]
pub struct Open {
    literals: Vec<Literal>,
    reads: Vec<Read>,
    /// What is read now only chooses.
    beside: bool,
    /// The name that literals are given to.
    name: Option<Name>,
}

impl Open {
    /// Notes a step that was read.
    pub fn read(&mut self, step: StepId) {
        match self.reads.iter_mut().find(|r| r.step == step) {
            Some(r) => r.beside &= self.beside,
            None => self.reads.push(Read { step, beside: self.beside }),
        }
    }

    /// Takes over what another has read.
    fn take(&mut self, other: &Open) {
        self.reads
            .extend(other.reads.iter().filter(|r| !self.reads.contains(r)).copied().collect::<Vec<_>>());
        self.literals.extend(other.literals.iter().cloned());
    }
}

/// The steps behind some figures of an evaluation.
pub struct Graph<'e, 'p> {
    pub(super) e: &'e mut Evaluation<'p>,
    pub steps: Vec<Step<'p>>,
    known: BTreeMap<Key, StepId>,
    /// Figures of outputs: these keep their names.
    made: std::collections::BTreeSet<StepId>,
    /// Steps that keep their words.
    kept: std::collections::BTreeSet<StepId>,
    /// Steps that are told without what is behind them, unless they are what is asked for.
    brief: std::collections::BTreeSet<StepId>,
    /// What this question asks for.
    asked: std::collections::BTreeSet<StepId>,
    opened: std::collections::BTreeSet<StepId>,
    rounds: BTreeMap<(Span, ScopeId), Vec<ScopeId>>,
    depth: usize,
    /// The first step of this question.
    first: usize,
}

impl<'e, 'p> Graph<'e, 'p> {
    /// Over an evaluation that has run: what was not yet asked for may be worked out.
    pub fn of(e: &'e mut Evaluation<'p>) -> Graph<'e, 'p> {
        e.looking = Some(0);
        Graph {
            e,
            steps: Vec::new(),
            known: BTreeMap::new(),
            made: Default::default(),
            asked: Default::default(),
            opened: Default::default(),
            kept: Default::default(),
            brief: Default::default(),
            rounds: BTreeMap::new(),
            depth: 0,
            first: 0,
        }
    }

    /// The next question is followed as far as the first.
    pub fn next_question(&mut self) {
        self.first = self.steps.len();
    }

    /// What is asked for keeps its name.
    pub fn ask(&mut self, steps: &[StepId]) {
        self.asked = steps.iter().copied().collect();
        // What it is equal to is asked for as well.
        let equal = steps.iter().filter_map(|s| self.steps.get(*s)?.sum.as_ref()?.same_as());
        self.opened = equal.collect();
    }

    /// What `look` gives, without messages and without a trace where it fails.
    pub(super) fn look<T>(&mut self, look: impl FnOnce(&mut Evaluation<'p>) -> Res<T>) -> Option<T> {
        let e = &mut *self.e;
        let (said, rounds, depth, stack) = (e.diagnostics.len(), e.rounds, e.depth, e.stack.len());
        let found = look(e);
        e.diagnostics.truncate(said);
        (e.rounds, e.depth) = (rounds, depth);
        e.stack.truncate(stack);
        found.ok()
    }

    /// The evaluation that is read.
    pub fn evaluation(&mut self) -> &mut Evaluation<'p> {
        self.e
    }

    /// The value of an expression, where it can be had.
    pub fn value(&mut self, e: &'p Expr, scope: ScopeId) -> Option<Value<'p>> {
        self.look(|it| it.eval(e, scope))
    }

    fn slot_value(&mut self, slot: SlotId) -> Option<Value<'p>> {
        if let State::Done(value) = &self.e.slots[slot.0 as usize].state {
            return Some(value.clone());
        }
        self.look(|it| it.force(slot))
    }

    /// The exact value of a step in base units, where it is a figure or a place.
    pub fn exact(&self, step: StepId) -> Option<Rational> {
        figure(self.steps.get(step)?.value.as_ref()?).map(|q| q.value)
    }

    /// Enters a step before what it reads is known, so that a circle ends.
    fn enter(&mut self, key: Option<Key>, name: String, formula: Formula, span: Option<Span>) -> StepId {
        let id = self.steps.len();
        let step =
            Step { name, formula, value: None, span, literals: Vec::new(), reads: Vec::new(), sum: None };
        self.steps.push(step);
        if let Some(key) = key {
            self.known.insert(key, id);
        }
        id
    }

    /// Completes a step; a sum that does not come to its value is none.
    fn close(&mut self, id: StepId, value: Option<Value<'p>>, sum: Option<Sum>, mut open: Open) -> StepId {
        let due = value.as_ref().and_then(figure).map(|q| q.value);
        let sum = sum.filter(|s| due.is_some() && s.total(|id| self.exact(id)) == due);
        if let Some(sum) = &sum {
            // A length that fell out of the sum is none that it depends on.
            for r in &mut open.reads {
                let own = self.steps[r.step].value.as_ref().and_then(figure);
                let counts = own.is_none_or(|q| q.dimension == Dimension::NUMBER);
                r.beside |= !counts && !sum.terms.iter().any(|(_, t)| *t == Term::Step(r.step));
            }
            open.literals.retain(|l| {
                l.value.dimension == Dimension::NUMBER
                    || sum.terms.iter().any(|(_, t)| matches!(t, Term::Literal(span, _) if *span == l.span))
            });
        }
        let step = &mut self.steps[id];
        (step.value, step.sum) = (value, sum);
        (step.literals, step.reads) = (open.literals, open.reads);
        id
    }

    /// A step made of parts given in words: a figure of an output.
    pub fn made(
        &mut self,
        name: String,
        formula: Formula,
        span: Option<Span>,
        value: Option<Value<'p>>,
        go: impl FnOnce(&mut Self, &mut Open) -> Option<Sum>,
    ) -> StepId {
        let id = self.enter(None, name, formula, span);
        self.made.insert(id);
        let mut open = Open::default();
        let sum = go(self, &mut open);
        // Without a value of its own it is the length that its sum comes to.
        let value = value.or_else(|| sum.as_ref()?.total(|id| self.exact(id)).map(Value::mm));
        self.close(id, value, sum, open)
    }

    /// True where no more steps are followed.
    fn full(&self) -> bool {
        self.steps.len() >= self.first + MOST_STEPS || self.depth >= DEEPEST
    }

    /// Every literal that was met, each once, in the order of reading.
    pub fn literals(&self) -> Vec<Literal> {
        let mut seen = std::collections::BTreeSet::new();
        let all = self.steps.iter().flat_map(|s| &s.literals);
        all.filter(|l| seen.insert(l.span)).cloned().collect()
    }

    /// True where a step is written in the library.
    pub fn in_library(&self, step: StepId) -> bool {
        self.steps[step].span.is_some_and(|s| self.e.in_library(s))
    }
}

impl Drop for Graph<'_, '_> {
    fn drop(&mut self) {
        self.e.looking = None;
    }
}

/// A value as a figure; a place as its coordinate.
pub fn figure(value: &Value<'_>) -> Option<Quantity> {
    match value {
        Value::Quantity(q) => Some(*q),
        Value::Place(Place { at, .. }) => Some(Quantity::mm(*at)),
        Value::Share(weight) => Some(Quantity::number(*weight)),
        _ => None,
    }
}

/// What is picked, behind a name: `.start`, `[2]`.
fn suffix(path: &[Pick]) -> String {
    let word = |pick: &Pick| match pick {
        Pick::Item(i) => format!("[{}]", i + 1),
        Pick::Count => ".count".to_string(),
        Pick::On(axis) => format!(".{}", super::machine::axis_word(*axis)),
        Pick::Low => ".start".to_string(),
        Pick::High => ".end".to_string(),
        Pick::Size => ".size".to_string(),
        Pick::Mid => ".mid".to_string(),
    };
    path.iter().map(word).collect()
}

/// What is picked of a value.
fn picked<'p>(value: &Value<'p>, path: &[Pick]) -> Option<Value<'p>> {
    let Some((first, rest)) = path.split_first() else { return Some(value.clone()) };
    let place = |r: &super::value::Range, at: Rational| match r.anchor {
        Some((axis, frame)) => Value::Place(Place { axis, frame, at }),
        None => Value::mm(at),
    };
    let next = match (value, first) {
        (Value::List(list), Pick::Item(i)) => list.get(*i)?.clone(),
        (Value::List(list), Pick::Count) => Value::number(list.len() as i64),
        (Value::Point(p), Pick::On(axis)) => {
            Value::Place(Place { axis: *axis, frame: p.frame, at: p.at[*axis as usize] })
        }
        (Value::Seam(s), Pick::On(axis)) => {
            let extent = [s.seam.u, s.seam.v].into_iter().find(|(a, _)| a == axis);
            match extent {
                Some((axis, r)) => {
                    Value::Range(super::value::Range { anchor: Some((axis, s.frame)), lo: r.lo, hi: r.hi })
                }
                None => Value::Place(Place { axis: *axis, frame: s.frame, at: s.seam.at }),
            }
        }
        (Value::Range(r), Pick::Low) => place(r, r.lo),
        (Value::Range(r), Pick::High) => place(r, r.hi),
        (Value::Range(r), Pick::Size) => Value::mm(r.hi.sub(r.lo).ok()?),
        (Value::Range(r), Pick::Mid) => place(r, r.lo.add(r.hi).ok()?.half().ok()?),
        _ => return None,
    };
    picked(&next, rest)
}

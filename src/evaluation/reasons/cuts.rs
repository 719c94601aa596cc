//! The figures of cuts as steps.

use super::{Formula, Graph, OfCut, Open, Pick, StepId, Sum, both};
use crate::evaluation::records::Held;
use crate::evaluation::scope::{PartId, ScopeId};
use crate::evaluation::value::Value;
use crate::geometry::Axis;
use crate::syntax::tree::Call;
use crate::values::Rational;

impl<'p> Graph<'_, 'p> {
    /// A figure of the cut with this number in the records.
    pub fn cut(&mut self, index: usize, of: OfCut, name: String) -> Option<StepId> {
        let record = self.e.records.cuts.get(index)?;
        let (part, call, scope, by) = (record.part, record.call, record.scope, record.by);
        let cuboid = record.cuboid;
        let verb = call.name.name.as_str();
        let span = call.span;
        match of {
            OfCut::Dia => {
                let e = Self::argument(call, "dia")?;
                Some(self.expression(e, scope, &[], name))
            }
            OfCut::Size(axis) => {
                let (lo, hi) = (cuboid.on(axis).lo, cuboid.on(axis).hi);
                let value = Value::mm(self.clipped(part, axis, hi)?.sub(self.clipped(part, axis, lo)?).ok()?);
                let words = Formula::Words(Self::cut_words(verb).to_string());
                Some(self.made(name, words, Some(span), Some(value), |it, open| {
                    let low = it.cut_end(call, scope, part, by, axis, false, lo, open);
                    let high = it.cut_end(call, scope, part, by, axis, true, hi, open);
                    both(high, low, -1)
                }))
            }
            OfCut::End(axis, high) => {
                let flipped = self.flipped(part, axis);
                let high = high != flipped;
                let at = if high { cuboid.on(axis).hi } else { cuboid.on(axis).lo };
                let words = Formula::Words(Self::cut_words(verb).to_string());
                let edges = self.look(|it| it.part_cuboid(part))?.on(axis);
                let clipped = self.clipped(part, axis, at)?;
                let value = if flipped { edges.hi.sub(clipped) } else { clipped.sub(edges.lo) };
                let value = Value::mm(value.ok()?);
                Some(self.made(name, words, Some(span), Some(value), |it, open| {
                    let end = it.cut_end(call, scope, part, by, axis, high, at, open);
                    it.past_edge(part, axis, end, open)
                }))
            }
        }
    }

    fn cut_words(verb: &str) -> &'static str {
        match verb {
            "cut" => "where the other part lies in it, with its play",
            "slot" => "around its place",
            _ => "as its ranges say",
        }
    }

    /// A coordinate kept within a part.
    fn clipped(&mut self, part: PartId, axis: Axis, at: Rational) -> Option<Rational> {
        let own = self.look(|it| it.part_cuboid(part))?.on(axis);
        Some(at.max(own.lo).min(own.hi))
    }

    /// One end of a cut in the frame of its part: of all that it may come from the sum that gives it.
    #[allow(clippy::too_many_arguments)]
    fn cut_end(
        &mut self,
        call: &'p Call,
        scope: ScopeId,
        part: PartId,
        by: Option<Held>,
        axis: Axis,
        high: bool,
        at: Rational,
        open: &mut Open,
    ) -> Option<Sum> {
        let frame = self.e.parts[part.0 as usize].frame;
        let at = self.clipped(part, axis, at)?;
        let pick = if high { Pick::High } else { Pick::Low };
        let word = crate::evaluation::machine::axis_word(axis);
        // What the end may count from: the part's own edges, the other part's.
        let mut starts: Vec<(Option<Sum>, Open)> = Vec::new();
        let mut start = |it: &mut Self, go: &mut dyn FnMut(&mut Self, &mut Open) -> Option<Sum>| {
            let mut own = Open::default();
            let sum = go(it, &mut own);
            starts.push((sum, own));
        };
        match (call.name.name.as_str(), by) {
            ("cut", Some(held)) => {
                for pick in [Pick::Low, Pick::High] {
                    match held {
                        Held::Part(p) => {
                            start(self, &mut |it, open| it.part_end(p, axis, pick, frame, open));
                        }
                        Held::Site(b) => {
                            let record = &self.e.boxes[b.0 as usize];
                            let (slot, from) = (record.extent[axis as usize], record.outer);
                            start(self, &mut |it, open| {
                                it.span_of(slot, axis, from, frame, Some(pick), open)
                            });
                        }
                    }
                }
            }
            ("slot", _) if Self::argument(call, word).is_some() || Self::argument(call, "at").is_some() => {
                start(self, &mut |it, open| it.coordinate(call, word, axis, frame, scope, open));
            }
            _ => {
                if let Some(e) = Self::argument(call, word) {
                    start(self, &mut |it, open| {
                        it.range(e, scope, Some(pick), Some(axis), None, Some(frame), open)
                    });
                }
            }
        }
        for pick in [Pick::Low, Pick::High] {
            start(self, &mut |it, open| it.part_end(part, axis, pick, frame, open));
        }
        // What may be added: depth, play, slack, half a slot.
        let mut more: Vec<(Option<Sum>, Open)> = vec![(Some(Sum::default()), Open::default())];
        for (label, part_of) in [
            ("deeper", Rational::ONE),
            ("wider", Rational::ratio(1, 2)),
            ("depth", Rational::ONE),
            ("dia", Rational::ratio(1, 2)),
            ("length", Rational::ratio(1, 2)),
        ] {
            if let Some(e) = Self::argument(call, label) {
                let mut own = Open::default();
                let sum = self.part_of_formula(e, scope, &mut own).and_then(|s| s.times(part_of));
                more.push((sum, own));
            }
        }
        for (add, added) in &more {
            for sign in [1, -1] {
                for (from, read) in &starts {
                    let sum = both(from.clone(), add.clone(), sign);
                    let total = sum.as_ref().and_then(|s| s.total(|id| self.exact(id)));
                    if total == Some(at) {
                        for own in [read, added] {
                            open.take(own);
                        }
                        return sum;
                    }
                }
            }
        }
        // More than one of them: all that it may come from is told.
        for (_, own) in starts.iter().chain(&more) {
            open.take(own);
        }
        if let Some(e) = Self::argument(call, "least") {
            self.part_of_formula(e, scope, open);
        }
        None
    }
}

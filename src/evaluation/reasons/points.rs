//! What seams, spreads and splits read.

use super::{Formula, Graph, Key, Open, Pick, Sum, both};
use crate::evaluation::scope::{FrameId, PartId, ScopeId};
use crate::evaluation::value::{Range, Value};
use crate::geometry::Axis;
use crate::syntax::tree::{Call, Expr};
use crate::values::Rational;

impl<'p> Graph<'_, 'p> {
    /// An end of a part on an axis, in the frame `to`.
    pub(super) fn part_end(
        &mut self,
        part: PartId,
        axis: Axis,
        pick: Pick,
        to: FrameId,
        open: &mut Open,
    ) -> Option<Sum> {
        let record = &self.e.parts[part.0 as usize];
        let (slot, frame) = (record.axes[axis as usize], record.frame);
        self.span_of(slot, axis, frame, to, Some(pick), open)
    }

    pub(super) fn contact(
        &mut self,
        call: &'p Call,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let [a, b, _] = self.arguments(call, ["a", "b", "least"], scope);
        let (a, b) = (a?, b?);
        let (p, q) = (self.look(|it| it.some_part(a, scope))?, self.look(|it| it.some_part(b, scope))?);
        let seam = match self.look(|it| it.contact_call(call, scope)) {
            Some(Value::Seam(seam)) => seam,
            _ => {
                // They do not meet: any of their ends may be why.
                for part in [p, q] {
                    for slot in self.e.parts[part.0 as usize].axes {
                        self.read(slot, &[Pick::Low], None, open);
                        self.read(slot, &[Pick::High], None, open);
                    }
                }
                return None;
            }
        };
        let Some((Pick::On(axis), rest)) = path.split_first() else {
            for axis in Axis::ALL {
                for part in [p, q] {
                    self.part_end(part, axis, Pick::Low, seam.frame, open);
                    self.part_end(part, axis, Pick::High, seam.frame, open);
                }
            }
            return None;
        };
        let axis = *axis;
        if axis == seam.seam.normal {
            let pick = if seam.seam.high_is_b { Pick::High } else { Pick::Low };
            return self.part_end(p, axis, pick, seam.frame, open);
        }
        let span = call.span;
        let cp = self.look(|it| it.part_in(p, seam.frame, scope, span))?.on(axis);
        let cq = self.look(|it| it.part_in(q, seam.frame, scope, span))?.on(axis);
        let low_first = cp.lo >= cq.lo;
        let high_first = cp.hi <= cq.hi;
        let mut end = |it: &mut Self, pick: Pick, first: bool| {
            let (near, far) = if first { (p, q) } else { (q, p) };
            let sum = it.part_end(near, axis, pick, seam.frame, open);
            let before = std::mem::replace(&mut open.beside, true);
            it.part_end(far, axis, pick, seam.frame, open);
            open.beside = before;
            sum
        };
        match rest.first() {
            Some(Pick::Low) => end(self, Pick::Low, low_first),
            Some(Pick::High) => end(self, Pick::High, high_first),
            pick => {
                let (low, high) = (end(self, Pick::Low, low_first), end(self, Pick::High, high_first));
                match pick {
                    Some(Pick::Size) => both(high, low, -1),
                    Some(Pick::Mid) => both(high, low, 1)?.times(Rational::ratio(1, 2)),
                    _ => None,
                }
            }
        }
    }

    pub(super) fn spread(
        &mut self,
        call: &'p Call,
        e: &'p Expr,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let [over, inset, pitch, count, clear_of] =
            self.arguments(call, ["over", "inset", "pitch", "count", "clear_of"], scope);
        let over = over?;
        let value = self.value(over, scope);
        let (axis, extent) = match &value {
            Some(Value::Seam(s)) => s.seam.length().ok()?,
            Some(Value::Range(Range { anchor: Some((axis, _)), lo, hi })) => {
                (*axis, crate::geometry::Interval::new(*lo, *hi))
            }
            _ => {
                for arg in &call.args {
                    self.expr(&arg.value, scope, &[], open);
                }
                return None;
            }
        };
        let along: Vec<Pick> = match &value {
            Some(Value::Seam(_)) => vec![Pick::On(axis)],
            _ => Vec::new(),
        };
        let points = match self.value(e, scope) {
            Some(Value::List(list)) => list,
            _ => return None,
        };
        let item = match (path, &value) {
            // Square to the seam, or across it: the middle.
            ([Pick::Item(_), Pick::On(other), ..], Some(Value::Seam(s))) if *other != axis => {
                let pick: &[Pick] = if *other == s.seam.normal { &[] } else { &[Pick::Mid] };
                return self.expr(over, scope, &[&[Pick::On(*other)], pick].concat(), open);
            }
            ([Pick::Item(i), ..], _) => Some(*i),
            ([Pick::Count, ..], _) => None,
            _ => {
                for arg in &call.args {
                    self.expr(&arg.value, scope, &[], open);
                }
                return None;
            }
        };
        let key = Key::Expr(call.span, scope, path.to_vec());
        if let Some(id) = self.known.get(&key) {
            let id = *id;
            return self.one(id, open);
        }
        let n = points.len();
        let size = extent.size().ok()?;
        let quarter = size.mul(Rational::ratio(1, 4)).ok()?;
        let in_by = match inset.and_then(|e| self.value(e, scope)) {
            Some(Value::Quantity(q)) => q.value,
            _ => Rational::ZERO,
        };
        let near = match in_by <= quarter {
            true => self.e.show(in_by),
            false => format!("{} (a quarter of the length)", self.e.show(quarter)),
        };
        let (name, words) = match item {
            None => {
                let how = match (pitch, count) {
                    (Some(p), _) => format!("at most {} apart", self.told(p, scope)),
                    (None, Some(_)) => "as many as are asked for".to_string(),
                    _ => String::new(),
                };
                let long = self.e.show(size);
                ("number of points".to_string(), format!("over {long}, {near} from the ends, {how}"))
            }
            Some(i) if n == 1 => (format!("point {} of 1", i + 1), "the middle".to_string()),
            Some(i) => {
                let even = match (i, n - 1) {
                    (0, _) => format!("the low end + {near}"),
                    (i, last) if i == last => format!("the high end - {near}"),
                    (i, steps) => format!("{near} from each end, then {i} of {steps} equal steps"),
                };
                (format!("point {} of {n}", i + 1), even)
            }
        };
        let id = self.enter(Some(key), name, Formula::Words(words), Some(call.span));
        let mut inside = Open::default();
        let low = self.expr(over, scope, &[along.as_slice(), &[Pick::Low]].concat(), &mut inside);
        let high = self.expr(over, scope, &[along.as_slice(), &[Pick::High]].concat(), &mut inside);
        let inset = inset.map(|e| {
            inside.name = Some(crate::syntax::Name::new("inset"));
            self.part_of_formula(e, scope, &mut inside)
        });
        inside.name = None;
        // Where the pitch leaves the same number of points it only chooses.
        inside.beside = item.is_some();
        for e in [pitch, count].into_iter().flatten() {
            self.part_of_formula(e, scope, &mut inside);
        }
        inside.beside = true;
        if let Some(e) = clear_of {
            self.expr(e, scope, &[], &mut inside);
        }
        inside.beside = false;
        let sum = match item {
            Some(i) if n > 1 => {
                let part = Rational::ratio(i as i128, n as i128 - 1);
                let inset = match in_by <= quarter {
                    true => inset.unwrap_or(Some(Sum::default())),
                    false => both(high.clone(), low.clone(), -1).and_then(|s| s.times(Rational::ratio(1, 4))),
                };
                evenly(low, high, inset, part)
            }
            Some(_) => both(low, high, 1).and_then(|s| s.times(Rational::ratio(1, 2))),
            None => None,
        };
        let value = super::picked(&Value::List(points), path);
        self.close(id, value, sum, inside);
        self.one(id, open)
    }

    /// The figure of an expression in words.
    pub(super) fn told(&mut self, e: &'p Expr, scope: ScopeId) -> String {
        match self.value(e, scope) {
            Some(value) => self.e.words(&value),
            None => super::exprs::one_line(&self.e.source(e)),
        }
    }

    pub(super) fn split(
        &mut self,
        call: &'p Call,
        scope: ScopeId,
        path: &[Pick],
        open: &mut Open,
    ) -> Option<Sum> {
        let [range, portions, gap, from] = self.arguments(call, ["range", "portions", "gap", "from"], scope);
        let (range, portions) = (range?, portions?);
        let list = match self.value(portions, scope) {
            Some(Value::List(list)) => list,
            _ => return None,
        };
        let (Some((Pick::Item(i), rest)), true) = (path.split_first(), !list.is_empty()) else {
            if path.first() == Some(&Pick::Count) {
                return self.expr(portions, scope, &[Pick::Count], open);
            }
            for e in [Some(range), Some(portions), gap].into_iter().flatten() {
                self.expr(e, scope, &[], open);
            }
            return None;
        };
        let unit = self.split_unit(call, scope, range, portions, gap);
        let from_high = match from {
            Some(e) => self.look(|it| it.word(e, scope, &["low", "high"])) == Some("high"),
            None => false,
        };
        let portion = |it: &mut Self, j: usize, open: &mut Open| -> Option<Sum> {
            let weight = match list.get(j)? {
                Value::Share(weight) => Some(*weight),
                _ => None,
            };
            let own = it.expr(portions, scope, &[Pick::Item(j)], open);
            match weight {
                Some(weight) => {
                    let unit = unit?;
                    it.term(unit, open).times(weight)
                }
                None => own,
            }
        };
        if rest.first() == Some(&Pick::Size) {
            return portion(self, *i, open);
        }
        let gap = match gap {
            Some(e) => self.part_of_formula(e, scope, open),
            None => Some(Sum::default()),
        };
        let mut before = Some(Sum::default());
        for j in 0..*i {
            before = both(both(before, portion(self, j, open), 1), gap.clone(), 1);
        }
        let start = if from_high { Pick::High } else { Pick::Low };
        let end = self.expr(range, scope, &[start], open);
        let near = both(end, before, if from_high { -1 } else { 1 });
        let far = |it: &mut Self, open: &mut Open| {
            both(near.clone(), portion(it, *i, open), if from_high { -1 } else { 1 })
        };
        match (rest.first(), from_high) {
            (Some(Pick::Low), false) | (Some(Pick::High), true) => near,
            (Some(Pick::Low | Pick::High), _) => far(self, open),
            (Some(Pick::Mid), _) => {
                let far = far(self, open);
                both(near, far, 1)?.times(Rational::ratio(1, 2))
            }
            _ => {
                far(self, open);
                None
            }
        }
    }

    /// One share of a split: what is left, by the weights.
    fn split_unit(
        &mut self,
        call: &'p Call,
        scope: ScopeId,
        range: &'p Expr,
        portions: &'p Expr,
        gap: Option<&'p Expr>,
    ) -> Option<usize> {
        let key = Key::Expr(call.span, scope, Vec::new());
        if let Some(id) = self.known.get(&key) {
            return Some(*id);
        }
        let Some(Value::List(list)) = self.value(portions, scope) else { return None };
        let mut weights = Rational::ZERO;
        for value in list.iter() {
            if let Value::Share(w) = value {
                weights = weights.add(*w).ok()?;
            }
        }
        let part = Rational::ONE.div(weights)?.ok()?;
        let words = Formula::Words("(all - fixed portions - gaps) / shares".to_string());
        let id = self.enter(Some(key), "one share".to_string(), words, Some(call.span));
        let mut inside = Open::default();
        let mut sum = self.expr(range, scope, &[Pick::Size], &mut inside);
        for (j, value) in list.iter().enumerate() {
            let own = self.expr(portions, scope, &[Pick::Item(j)], &mut inside);
            if !matches!(value, Value::Share(_)) {
                sum = both(sum, own, -1);
            }
        }
        if let Some(e) = gap {
            let gap = self.part_of_formula(e, scope, &mut inside);
            sum = both(sum, gap, 1 - list.len() as i64);
        }
        let sum = sum.and_then(|s| s.times(part));
        let value = sum.as_ref().and_then(|s| s.total(|id| self.exact(id))).map(Value::mm);
        Some(self.close(id, value, sum, inside))
    }
}

/// low + inset + (high - low - 2 inset) × part
fn evenly(low: Option<Sum>, high: Option<Sum>, inset: Option<Sum>, part: Rational) -> Option<Sum> {
    let rest = Rational::ONE.sub(part).ok()?;
    let twice = rest.sub(part).ok()?;
    let sum = low?.times(rest)?.plus(high?, part)?;
    sum.plus(inset?, twice)
}

//! What stays straight, rests and bears: recorded for the analysis of weights, and links nothing.

use super::machine::{Evaluation, Failed, Res, axis_word};
use super::records::*;
use super::scope::{Member, ScopeId};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::geometry::Axis;
use crate::syntax::tree::{Call, Expr, ExprKind, Kind};
use crate::values::{Dimension, Quantity, Rational};

/// mm by which the supports of a part may reach into its clear way, at both ends together: our own judgement.
const STICKS_OUT: i64 = 50;

/// N to the kilogram: standard gravity, exact (3rd CGPM, 1901).
const GRAVITY: (i128, i128) = (980_665, 100_000);

impl<'p> Evaluation<'p> {
    pub(super) fn spans(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let names = ["part", "over", "load", "ends", "limit", "creep", "source"];
        let args = self.kernel_args(call, &names, 1, scope)?;
        let e = self.due(&args, 0, call, "part", scope)?;
        let part = self.some_part(e, scope)?;
        let over = self.due(&args, 1, call, "over", scope)?;
        let range = self.range_value(over, scope)?;
        let along = match range.anchor {
            Some((axis, _)) => axis,
            None => self.part_axes(part)?[0],
        };
        if along == Axis::Y {
            let name = self.parts[part.0 as usize].name;
            let d = Diagnostic::error(
                "wrong-axis",
                format!("A span lies level, along x or z; this range of `{name}` stands upright."),
                over.span,
                format!("a range on {}", axis_word(Axis::Y)),
            )
            .help("Give the clear way between its supports: `over: inside.x`.");
            return Err(self.say(scope, d));
        }
        let clear = self.exact(scope, over.span, range.hi.sub(range.lo))?;
        self.long_enough(part, along, clear, over, scope)?;
        let load = self.due(&args, 2, call, "load", scope)?;
        let load = self.no_less(load, &[Dimension::MASS], "a mass", scope)?.value;
        let clamped = match args[3] {
            Some(e) => self.word(e, scope, &["simple", "clamped"])? == "clamped",
            None => false,
        };
        let limit = match args[4] {
            Some(e) => match self.eval(e, scope)? {
                Value::None => None,
                _ => Some(self.above_nought(e, &[Dimension::LENGTH], "a length", scope)?.value),
            },
            None => None,
        };
        let creep = match args[5] {
            Some(e) => self.no_less(e, &[Dimension::NUMBER], "a plain number", scope)?.value,
            None => self.own_creep(part)?,
        };
        let source = match args[6] {
            Some(e) => Some(self.text_value(e, scope)?),
            None => None,
        };
        let maker = self.maker(scope);
        self.records.spans.push(SpanRecord {
            part,
            along,
            clear,
            load,
            clamped,
            limit,
            creep,
            source,
            maker,
            scope,
            call,
        });
        Ok(())
    }

    /// A part shorter than its clear way lies on what sticks out into it, such as pins; much shorter it falls.
    fn long_enough(
        &mut self,
        part: super::scope::PartId,
        along: Axis,
        clear: Rational,
        over: &'p Expr,
        scope: ScopeId,
    ) -> Res<()> {
        let extent = self.part_cuboid(part)?.on(along);
        let size = self.exact(scope, over.span, extent.size())?;
        let most = self.exact(scope, over.span, size.add(Rational::int(STICKS_OUT)))?;
        if clear <= most {
            return Ok(());
        }
        let name = self.parts[part.0 as usize].name;
        let mut d = Diagnostic::error(
            "span-too-long",
            format!("`{name}` is {} long and cannot span {}.", self.show(size), self.show(clear)),
            over.span,
            format!("{} clear", self.show(clear)),
        )
        .help("Give the clear way between its supports.");
        d.misses.extend(clear.sub(most));
        d.labels.extend(self.literal_labels(over, scope));
        Err(self.say(scope, d))
    }

    /// What the board of a part says of its creep; nought where it says nothing.
    fn own_creep(&mut self, part: super::scope::PartId) -> Res<Rational> {
        let slot = self.parts[part.0 as usize].board;
        let creep = match self.force(slot)? {
            Value::Thing(thing) => self.thing_field(&thing, "creep")?,
            _ => None,
        };
        Ok(match creep {
            Some(Value::Quantity(q)) if q.dimension == Dimension::NUMBER => q.value,
            _ => Rational::ZERO,
        })
    }

    pub(super) fn rests(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["thing", "on"], 1, scope)?;
        let e = self.due(&args, 0, call, "thing", scope)?;
        let thing = self.mover(e, scope)?;
        let e = self.due(&args, 1, call, "on", scope)?;
        // What rests on a wall, or on nothing drawn, hands its weight on to nothing that is worked out.
        let on = match (&e.kind, self.site_of(e, scope)?) {
            (ExprKind::None, _) | (_, true) => Vec::new(),
            _ => self.movers(e, scope)?,
        };
        let maker = self.maker(scope);
        self.records.rests.push(RestRecord { thing, on, maker, scope, call });
        Ok(())
    }

    pub(super) fn bears(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let names = ["item", "what", "count", "rating", "factor", "times", "way", "purpose"];
        let args = self.kernel_args(call, &names, 1, scope)?;
        let e = self.due(&args, 0, call, "item", scope)?;
        let item = self.item_value(e, scope)?;
        let e = self.due(&args, 1, call, "what", scope)?;
        let things = self.movers(e, scope)?;
        let e = self.due(&args, 2, call, "count", scope)?;
        let count = self.whole(e, scope)?;
        if count < 1 {
            let value = Quantity::number(Rational::int(count));
            return Err(self.too_small(e, value, "above nought", scope));
        }
        let e = self.due(&args, 3, call, "rating", scope)?;
        let rating =
            self.above_nought(e, &[Dimension::MASS, Dimension::FORCE], "a mass or a force", scope)?;
        // In N: a mass counts as its weight, and the base unit of a force is a thousandth of it.
        let newtons = match rating.dimension {
            Dimension::MASS => rating.value.mul(Rational::ratio(GRAVITY.0, GRAVITY.1)),
            _ => rating.value.mul(Rational::ratio(1, 1000)),
        };
        let rating = self.exact(scope, e.span, newtons)?;
        let factor = match args[4] {
            Some(e) => self.above_nought(e, &[Dimension::NUMBER], "a plain number", scope)?.value,
            None => Rational::ONE,
        };
        let times = match args[5] {
            Some(e) => self.above_nought(e, &[Dimension::NUMBER], "a plain number", scope)?.value,
            None => Rational::ONE,
        };
        let way = match args[6] {
            Some(e) => match self.word(e, scope, &["down", "shear", "pull_out"])? {
                "shear" => WayRecord::Shear,
                "pull_out" => WayRecord::PullOut,
                _ => WayRecord::Down,
            },
            None => WayRecord::Down,
        };
        let purpose = match args[7] {
            Some(e) => Some(self.text_value(e, scope)?),
            None => None,
        };
        let maker = self.maker(scope);
        self.records.bearings.push(BearingRecord {
            item,
            things,
            count,
            rating,
            factor,
            times,
            way,
            purpose,
            maker,
            scope,
            call,
        });
        Ok(())
    }

    /// A part or box, or a list of them.
    fn movers(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Vec<Mover>> {
        // Each thing of a list that is written out is told at its own place.
        if let ExprKind::List(list) = &e.kind {
            let all: Res<Vec<Vec<Mover>>> = list.iter().map(|e| self.movers(e, scope)).collect();
            let all: Vec<Mover> = all?.into_iter().flatten().collect();
            return self.some_movers(all, e, scope);
        }
        let value = self.eval(e, scope)?;
        let mut all = Vec::new();
        match &value {
            Value::List(list) => {
                for value in list.iter() {
                    match self.things_of(value) {
                        Some(things) => all.extend(things),
                        None => return Err(self.wrong_kind(scope, e, value, "a part or a box")),
                    }
                }
            }
            one => match self.things_of(one) {
                Some(things) => all.extend(things),
                None => return Err(self.wrong_kind(scope, e, one, "a part, a box, a row or a list of them")),
            },
        }
        self.some_movers(all, e, scope)
    }

    /// A part, a box, or the boxes of a row.
    fn things_of(&self, value: &Value<'p>) -> Option<Vec<Mover>> {
        match value {
            Value::Part(p) | Value::Face(p, _) => Some(vec![Mover::Part(*p)]),
            Value::Box(b) => match self.kind_of(*b) {
                Kind::Box => Some(vec![Mover::Box(*b)]),
                Kind::Row => {
                    let members = self.row_content(*b).into_iter();
                    let boxes = members.filter_map(|m| match m {
                        Member::Box(b) => Some(Mover::Box(b)),
                        Member::Gap(_) => None,
                    });
                    Some(boxes.collect())
                }
                _ => None,
            },
            _ => None,
        }
    }

    /// True where an expression is a wall or an obstacle.
    fn site_of(&mut self, e: &'p Expr, scope: ScopeId) -> Res<bool> {
        if matches!(e.kind, ExprKind::List(_) | ExprKind::None) {
            return Ok(false);
        }
        let value = self.eval(e, scope)?;
        Ok(matches!(value, Value::Box(b) if matches!(self.kind_of(b), Kind::Wall | Kind::Obstacle)))
    }

    fn some_movers(&mut self, all: Vec<Mover>, e: &'p Expr, scope: ScopeId) -> Res<Vec<Mover>> {
        if all.is_empty() {
            let d = Diagnostic::error(
                "empty-list",
                "There is nothing in this list; a part or a box is due.",
                e.span,
                "an empty list",
            )
            .help("Name at least one part or box.");
            return Err(self.say(scope, d));
        }
        Ok(all)
    }

    fn figure(&mut self, e: &'p Expr, dimensions: &[Dimension], due: &str, scope: ScopeId) -> Res<Quantity> {
        match self.eval(e, scope)? {
            Value::Quantity(q) if dimensions.contains(&q.dimension) => Ok(q),
            other => Err(self.wrong_kind(scope, e, &other, due)),
        }
    }

    fn above_nought(
        &mut self,
        e: &'p Expr,
        dimensions: &[Dimension],
        due: &str,
        scope: ScopeId,
    ) -> Res<Quantity> {
        let q = self.figure(e, dimensions, due, scope)?;
        if q.value.is_positive() { Ok(q) } else { Err(self.too_small(e, q, "above nought", scope)) }
    }

    pub(super) fn no_less(
        &mut self,
        e: &'p Expr,
        dimensions: &[Dimension],
        due: &str,
        scope: ScopeId,
    ) -> Res<Quantity> {
        let q = self.figure(e, dimensions, due, scope)?;
        if q.value.is_negative() { Err(self.too_small(e, q, "nought or more", scope)) } else { Ok(q) }
    }

    fn too_small(&mut self, e: &'p Expr, q: Quantity, least: &str, scope: ScopeId) -> Failed {
        let shown = self.words(&Value::Quantity(q));
        let mut d = Diagnostic::error(
            "not-above-nought",
            format!("This must be {least}, and comes to {shown}."),
            e.span,
            format!("comes to {shown}"),
        )
        .help(format!("Give it a figure that is {least}."));
        d.misses.extend(q.value.neg());
        d.labels.extend(self.literal_labels(e, scope));
        self.say(scope, d)
    }
}

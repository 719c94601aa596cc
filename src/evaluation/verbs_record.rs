//! What is recorded without machining: what is bought, moved and borne.

use super::machine::{Evaluation, Res, axis_of};
use super::members::face_of;
use super::records::*;
use super::scope::ScopeId;
use super::value::Value;
use super::verbs::FACES;
use crate::geometry::{Axis, Face};
use crate::syntax::tree::{Call, Expr, Kind};
use crate::values::Dimension;

impl<'p> Evaluation<'p> {
    pub(super) fn buy(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["item", "quantity"], 1, scope)?;
        let e = self.due(&args, 0, call, "item", scope)?;
        let item = self.item_value(e, scope)?;
        let quantity = match args[1] {
            Some(e) => self.whole(e, scope)?,
            None => 1,
        };
        let maker = self.maker(scope);
        self.records.buys.push(BuyRecord { item, quantity, maker, scope, call });
        Ok(())
    }

    pub(super) fn mover(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Mover> {
        match self.eval(e, scope)? {
            Value::Part(p) | Value::Face(p, _) => Ok(Mover::Part(p)),
            Value::Box(b) if self.kind_of(b) == Kind::Box => Ok(Mover::Box(b)),
            other => Err(self.wrong_kind(scope, e, &other, "a part or a box")),
        }
    }

    pub(super) fn moves_or_bears(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let word = call.name.name.as_str();
        let names: &[&str] = match word {
            "slides" => &["thing", "along", "by"],
            "swings" => &["thing", "about", "through"],
            _ => &["thing", "load"],
        };
        let args = self.kernel_args(call, names, 1, scope)?;
        let e = self.due(&args, 0, call, "thing", scope)?;
        let thing = self.mover(e, scope)?;
        let maker = self.maker(scope);
        match word {
            "slides" => {
                let along = self.due(&args, 1, call, "along", scope)?;
                let by = self.due(&args, 2, call, "by", scope)?;
                let axis = axis_of(self.word(along, scope, &["x", "y", "z"])?).unwrap_or(Axis::Z);
                let by = self.length(by, scope)?;
                let motion = MotionRecord::Slides { axis, by };
                self.records.moves.push(MoveRecord { thing, motion, maker, scope, call });
            }
            "swings" => {
                let about = self.due(&args, 1, call, "about", scope)?;
                let through = self.due(&args, 2, call, "through", scope)?;
                let about = face_of(self.word(about, scope, &FACES)?).unwrap_or(Face::Left);
                let through = match self.eval(through, scope)? {
                    Value::Quantity(q) if q.dimension == Dimension::ANGLE => q.value,
                    other => return Err(self.wrong_kind(scope, through, &other, "an angle")),
                };
                let motion = MotionRecord::Swings { about, through };
                self.records.moves.push(MoveRecord { thing, motion, maker, scope, call });
            }
            _ => {
                let load = self.due(&args, 1, call, "load", scope)?;
                let load = self.no_less(load, &[Dimension::MASS], "a mass", scope)?.value;
                self.records.loads.push(LoadRecord { thing, load, maker, scope, call });
            }
        }
        // What moves or bears is held by the other parts of the fitting.
        let others = maker.and_then(|m| self.records.makers.get(m as usize)).map(|m| m.parts.clone());
        let anchor = match thing {
            Mover::Part(p) => Some(p),
            Mover::Box(b) => self.boxes[b.0 as usize].parts.first().copied(),
        };
        if let (Some(others), Some(anchor)) = (others, anchor) {
            for other in others {
                if other != anchor {
                    self.records.links.push((anchor, other));
                }
            }
        }
        Ok(())
    }
}

//! What goes into the order of assembly: how parts are held to each other, and what is set on them.

use super::machine::{Evaluation, Res};
use super::records::*;
use super::scope::{PartId, ScopeId};
use super::value::{Place, Value};
use crate::diagnostics::Diagnostic;
use crate::geometry::{self, Axis, Contact, Cuboid, Face};
use crate::syntax::tree::{Call, Expr, Kind};
use crate::values::Rational;

impl<'p> Evaluation<'p> {
    pub(super) fn item_value(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Value<'p>> {
        match self.item_or_none(Some(e), scope)? {
            Some(item) => Ok(item),
            None => Err(self.wrong_kind(scope, e, &Value::None, "an item")),
        }
    }

    fn item_or_none(&mut self, e: Option<&'p Expr>, scope: ScopeId) -> Res<Option<Value<'p>>> {
        let Some(e) = e else { return Ok(None) };
        match self.eval(e, scope)? {
            Value::None => Ok(None),
            Value::Thing(t) if t.def.kind == Kind::Item => Ok(Some(Value::Thing(t))),
            other => Err(self.wrong_kind(scope, e, &other, "an item")),
        }
    }

    /// `fix(A, B, with: ITEM, from: FACE or PART, tool: "…", glue: yes, tack: ITEM, tacks: POINTS, count: N, after: …)`
    pub(super) fn fix(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let names = ["a", "b", "with", "from", "tool", "glue", "tack", "tacks", "count", "after"];
        let args = self.kernel_args(call, &names, 2, scope)?;
        let (ea, eb) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
        let a = self.some_part(ea, scope)?;
        let b = match self.eval(eb, scope)? {
            Value::Part(part) | Value::Face(part, _) => Held::Part(part),
            Value::Box(b) if matches!(self.kind_of(b), Kind::Wall | Kind::Obstacle) => Held::Site(b),
            other => return Err(self.wrong_kind(scope, eb, &other, "a part, a wall or an obstacle")),
        };
        let with = self.item_or_none(args[2], scope)?;
        let from = match args[3] {
            Some(e) => self.driven_from(e, a, b, scope)?,
            None => None,
        };
        let tool = match args[4] {
            Some(e) => Some(self.text_value(e, scope)?),
            None => None,
        };
        let glue = match args[5] {
            Some(e) => self.flag(e, scope)?,
            None => false,
        };
        let tack = self.item_or_none(args[6], scope)?;
        let tacks = match (args[7], from) {
            (Some(e), Some((part, _))) => self.places_on(e, part, scope)?,
            (Some(e), None) if args[3].is_none() => {
                let d = Diagnostic::error(
                    "missing-argument",
                    "`fix` is told where tacks go and not through which part: `from` is missing.",
                    e.span,
                    "on which part?",
                )
                .help("Give `from:` with the part or face they are driven from.");
                return Err(self.say(scope, d));
            }
            _ => Vec::new(),
        };
        let count = match args[8] {
            Some(e) => Some(self.whole(e, scope)?),
            None => None,
        };
        let after = self.things_named(args[9], scope)?;
        let maker = self.maker(scope);
        if let Held::Part(b) = b {
            self.records.links.push((a, b));
        }
        let record = FixRecord { a, b, with, from, tool, glue, tack, tacks, count, after, maker, scope };
        self.records.fixes.push(record);
        Ok(())
    }

    /// The face a fastener is driven from: as named, or that of a part across from where the two meet.
    fn driven_from(
        &mut self,
        e: &'p Expr,
        a: PartId,
        b: Held,
        scope: ScopeId,
    ) -> Res<Option<(PartId, Face)>> {
        let part = match self.eval(e, scope)? {
            Value::Face(part, face) => return Ok(Some((part, face))),
            Value::None => return Ok(None),
            Value::Part(part) => part,
            other => return Err(self.wrong_kind(scope, e, &other, "a face or a part")),
        };
        let Held::Part(b) = b else {
            // Driven towards the wall, from the room.
            return Ok((part == a).then_some((part, Face::Front)));
        };
        if part == a || part == b {
            let other = if part == a { b } else { a };
            let frame = self.parts[part.0 as usize].frame;
            let own = self.part_cuboid(part)?;
            let met = self.part_in(other, frame, scope, e.span)?;
            return match self.exact(scope, e.span, geometry::contact(&own, &met))? {
                Contact::Seam(seam) => Ok(Some((part, Face::of(seam.normal, !seam.high_is_b)))),
                Contact::Overlap(_) => {
                    // Let in: the wide face on the side where less of the other lies.
                    let thin = self.part_axes(part)?[2];
                    let mid = |c: &Cuboid| c.on(thin).mid();
                    let (own, met) =
                        (self.exact(scope, e.span, mid(&own))?, self.exact(scope, e.span, mid(&met))?);
                    Ok(Some((part, Face::of(thin, own >= met))))
                }
                // Where the two should meet and do not, `contact` says so.
                Contact::Edge | Contact::Apart { .. } => Ok(None),
            };
        }
        let name = self.parts[part.0 as usize].name;
        let d = Diagnostic::error(
            "which-face",
            format!("Which face of `{name}` is meant?"),
            e.span,
            "neither of the two",
        )
        .help(format!("Name the face: `{name}.outer`, `{name}.rear`."));
        Err(self.say(scope, d))
    }

    /// Points as coordinates in the frame of a part's text.
    fn places_on(&mut self, e: &'p Expr, part: PartId, scope: ScopeId) -> Res<Vec<[Rational; 3]>> {
        let frame = self.parts[part.0 as usize].frame;
        let list = match self.eval(e, scope)? {
            Value::List(list) => list,
            Value::None => return Ok(Vec::new()),
            other => {
                return Err(self.wrong_kind(scope, e, &other, "a list of points (of `spread` over a seam)"));
            }
        };
        let mut places = Vec::with_capacity(list.len());
        for value in list.iter() {
            let Value::Point(point) = value else {
                let value = value.clone();
                return Err(self.wrong_kind(scope, e, &value, "a point (of `spread` over a seam)"));
            };
            let mut at = [Rational::ZERO; 3];
            for axis in Axis::ALL {
                let place = Place { axis, frame: point.frame, at: point.at[axis as usize] };
                at[axis as usize] = self.translate(place, frame, scope, e.span)?;
            }
            places.push(at);
        }
        Ok(places)
    }

    /// `after: PART`, a box, or a list of them.
    fn things_named(&mut self, e: Option<&'p Expr>, scope: ScopeId) -> Res<Vec<Mover>> {
        let Some(e) = e else { return Ok(Vec::new()) };
        let mut open = vec![self.eval(e, scope)?];
        let mut things = Vec::new();
        while let Some(value) = open.pop() {
            match value {
                Value::None => {}
                Value::Part(p) | Value::Face(p, _) => things.push(Mover::Part(p)),
                Value::Box(b) => things.push(Mover::Box(b)),
                Value::List(list) => open.extend(list.iter().cloned()),
                other => return Err(self.wrong_kind(scope, e, &other, "a part, a box or a list of them")),
            }
        }
        Ok(things)
    }

    /// `mount(ITEM, on: FACE, with: ITEM, count: N, tool: "…", after: …)`: hardware set on a face.
    pub(super) fn mount(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["item", "on", "with", "count", "tool", "after"], 1, scope)?;
        let item = self.due(&args, 0, call, "item", scope)?;
        let on = self.due(&args, 1, call, "on", scope)?;
        let item = self.item_value(item, scope)?;
        let (part, face) = match self.eval(on, scope)? {
            Value::Face(part, face) => (part, face),
            other => return Err(self.wrong_kind(scope, on, &other, "a face")),
        };
        let with = self.item_or_none(args[2], scope)?;
        let count = match args[3] {
            Some(e) => Some(self.whole(e, scope)?),
            None => None,
        };
        let tool = match args[4] {
            Some(e) => Some(self.text_value(e, scope)?),
            None => None,
        };
        let after = self.things_named(args[5], scope)?;
        let maker = self.maker(scope);
        self.records.mounts.push(MountRecord { item, part, face, with, count, tool, after, maker });
        Ok(())
    }
}

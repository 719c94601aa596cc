//! A recess: room for something bought, worked from one face by ranges on it; and parts cut in order from one strip.

use super::machine::{Evaluation, Failed, Res, axis_word};
use super::records::*;
use super::scope::{PartId, ScopeId};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::geometry::{self, Axis, Interval, Letting};
use crate::syntax::tree::{Call, Expr};
use crate::values::Rational;

impl<'p> Evaluation<'p> {
    /// `recess(FACE, x: RANGE, z: RANGE, depth: L or all)`
    pub(super) fn recess(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["face", "x", "y", "z", "depth"], 1, scope)?;
        let on = self.due(&args, 0, call, "face", scope)?;
        let depth_expr = self.due(&args, 4, call, "depth", scope)?;
        let (part, face) = match self.eval(on, scope)? {
            Value::Face(part, face) => (part, face),
            other => return Err(self.wrong_kind(scope, on, &other, "a face")),
        };
        let whole = self.part_cuboid(part)?;
        let frame = self.parts[part.0 as usize].frame;
        let thick = whole.on(face.axis());
        let room = self.exact(scope, call.span, thick.size())?;
        let depth = match Self::is_word(depth_expr, "all") {
            true => room,
            false => self.positive_length(depth_expr, scope)?,
        };
        if depth > room {
            let d = self.outside(
                depth_expr,
                part,
                format!("{} deep in {}", self.show(depth), self.show(room)),
                scope,
            );
            return Err(d);
        }
        let inner = match face.is_high() {
            true => Interval::new(self.exact(scope, call.span, thick.hi.sub(depth))?, thick.hi),
            false => Interval::new(thick.lo, self.exact(scope, call.span, thick.lo.add(depth))?),
        };
        let mut tool = whole.with(face.axis(), inner);
        for (axis, given) in Axis::ALL.into_iter().zip([args[1], args[2], args[3]]) {
            match given {
                Some(e) if axis == face.axis() => return Err(self.not_on_the_face(e, axis, scope)),
                Some(e) => {
                    let range = self.range_expr(e, scope, Some(axis), None)?;
                    let range = match range.anchor {
                        Some((axis, from)) => self.range_in(range, axis, from, frame, scope, e.span)?,
                        None => range,
                    };
                    let all = whole.on(axis);
                    if range.lo < all.lo || range.hi > all.hi {
                        let over =
                            if range.lo < all.lo { all.lo.sub(range.lo) } else { range.hi.sub(all.hi) };
                        let over = self.exact(scope, e.span, over)?;
                        let d = self.outside(
                            e,
                            part,
                            format!("{} past the edge in {}", self.show(over), axis_word(axis)),
                            scope,
                        );
                        return Err(d);
                    }
                    tool = tool.with(axis, Interval::new(range.lo, range.hi));
                }
                // Not said: from edge to edge.
                None => {}
            }
        }
        let axes = self.part_axes(part)?;
        let nothing = Rational::ZERO;
        let how = Letting { deeper: nothing, wider: nothing, least: nothing, full: false };
        let shape =
            self.exact(scope, call.span, geometry::cut(&whole, axes[2], axes[0], &tool, face.axis(), &how))?;
        let Some(shape) = shape else { return Err(Failed) };
        let maker = self.maker(scope);
        self.records.cuts.push(CutRecord {
            part,
            by: None,
            cuboid: shape.cuboid,
            // One that goes through is worked from the face that was named.
            face: if face.axis() == shape.face.axis() { face } else { shape.face },
            runs: shape.runs,
            run: shape.run,
            shape: shape.shape,
            dia: None,
            maker,
            scope,
            call,
        });
        Ok(())
    }

    /// `matched([parts in order])`
    pub(super) fn matched(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["parts"], 1, scope)?;
        let e = self.due(&args, 0, call, "parts", scope)?;
        let value = self.eval(e, scope)?;
        let mut parts = Vec::new();
        let listed = match &value {
            Value::List(list) => {
                for part in list.iter() {
                    if let Value::Part(p) = part {
                        parts.push(*p);
                    }
                }
                parts.len() == list.len()
            }
            _ => false,
        };
        if !listed {
            return Err(self.wrong_kind(scope, e, &value, "a list of parts"));
        }
        self.records.matched.push(parts);
        Ok(())
    }

    fn outside(&mut self, e: &'p Expr, part: PartId, what: String, scope: ScopeId) -> Failed {
        let name = self.parts[part.0 as usize].name;
        let d = Diagnostic::error("recess-outside", format!("The recess reaches out of `{name}`."), e.span, what)
            .help("Keep it within the part, or write `depth: all` to go through; a side that is left out runs from edge to edge.");
        self.made_from(&[e], scope);
        self.pending.push(super::faults::Cause::Part(part));
        self.say(scope, d)
    }

    fn not_on_the_face(&mut self, e: &'p Expr, axis: Axis, scope: ScopeId) -> Failed {
        let word = axis_word(axis);
        let d = Diagnostic::error(
            "wrong-axis",
            format!("How far a recess reaches in {word} is its depth: that way its face looks."),
            e.span,
            "not a range on this face",
        )
        .help(format!("Leave `{word}:` out."));
        self.say(scope, d)
    }
}

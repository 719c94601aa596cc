//! Edges: bevels and bands.

use super::machine::{Evaluation, Res};
use super::members::face_of;
use super::records::*;
use super::scope::{PartId, ScopeId};
use super::value::Value;
use super::verbs::FACES;
use crate::diagnostics::Diagnostic;
use crate::geometry::Face;
use crate::syntax::tree::{Call, Expr, Kind};
use crate::values::{Dimension, Rational};

impl<'p> Evaluation<'p> {
    pub(super) fn bevel(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["what", "rise", "run", "long_side", "angle"], 1, scope)?;
        let what = self.due(&args, 0, call, "what", scope)?;
        let (part, face, _) = self.target(what, None, false, scope)?;
        let axes = self.part_axes(part)?;
        let thickness = self.thickness(part)?;
        let name = self.parts[part.0 as usize].name;
        if face.axis() == axes[2] {
            let d = Diagnostic::error(
                "not-an-edge",
                format!(
                    "The {} face of `{name}` is one of its two wide faces; a bevel goes on an edge.",
                    face.word()
                ),
                what.span,
                "a wide face",
            )
            .help("Name an edge of the part.");
            return Err(self.say(scope, d));
        }
        let (rise, run) = match (args[4], args[1], args[2]) {
            (Some(e), None, None) => match self.eval(e, scope)? {
                Value::Quantity(q) if q.dimension == Dimension::ANGLE => {
                    if q.value != Rational::int(45) {
                        let d = Diagnostic::error(
                            "bad-angle",
                            "Only 45deg keeps every figure exact.",
                            e.span,
                            "not 45deg",
                        )
                        .help("Give another bevel by its `rise` and `run`.");
                        self.made_from(&[e], scope);
                        return Err(self.say(scope, d));
                    }
                    (thickness, thickness)
                }
                other => return Err(self.wrong_kind(scope, e, &other, "an angle")),
            },
            (None, Some(rise), Some(run)) => {
                (self.positive_length(rise, scope)?, self.positive_length(run, scope)?)
            }
            _ => {
                let d = Diagnostic::error(
                    "missing-argument",
                    "`bevel` takes `angle: 45deg`, or both `rise` and `run`.",
                    call.span,
                    "how steep?",
                )
                .help("Write `bevel(part.top, angle: 45deg, long_side: front)`.");
                return Err(self.say(scope, d));
            }
        };
        let side = self.due(&args, 3, call, "long_side", scope)?;
        let word = self.word(side, scope, &FACES)?;
        let frame = self.parts[part.0 as usize].frame;
        let reader = self.scopes[scope.0 as usize].frame;
        let long_side = self.face_for(face_of(word).unwrap_or(Face::Front), frame, reader);
        if long_side.axis() != axes[2] {
            let d = Diagnostic::error(
                "not-a-wide-face",
                format!("The long side of a bevel is one of the two wide faces of `{name}`, not its {word}."),
                side.span,
                "an edge",
            )
            .help(format!(
                "Write `{}` or `{}`.",
                Face::of(axes[2], false).word(),
                Face::of(axes[2], true).word()
            ));
            return Err(self.say(scope, d));
        }
        if let Some(first) = self.records.bevels.iter().find(|b| b.part == part && b.face == face) {
            if (first.rise, first.run, first.long_side) == (rise, run, long_side) {
                return Ok(());
            }
            let d = Diagnostic::error(
                "bevel-twice",
                format!("The {} of `{name}` is bevelled twice, in two ways.", face.word()),
                call.span,
                format!("{} by {} here", self.show(rise), self.show(run)),
            )
            .label(first.call.span, format!("{} by {} here", self.show(first.rise), self.show(first.run)))
            .help("Keep one of the two bevels.");
            return Err(self.say(scope, d));
        }
        self.records.bevels.push(BevelRecord { part, face, rise, run, long_side, scope, call });
        Ok(())
    }

    /// `edge(front, top, of: [parts], band: …)`
    pub(super) fn edge(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let mut faces: Vec<(&'static str, &'p Expr)> = Vec::new();
        let (mut of, mut band) = (None, None);
        for arg in &call.args {
            match arg.label.map(|l| (l.name.as_str(), l.span)) {
                None => {
                    const EDGES: [&str; 7] = ["left", "right", "bottom", "top", "front", "rear", "all"];
                    faces.push((self.word(&arg.value, scope, &EDGES)?, &arg.value));
                }
                Some(("of", _)) => of = Some(&arg.value),
                Some(("band", _)) => band = Some(&arg.value),
                Some((other, span)) => {
                    let d = Diagnostic::error(
                        "unknown-argument",
                        format!("`edge` takes no `{other}`."),
                        span,
                        "not one of its parameters",
                    )
                    .help("Write `edge(front, of: [parts], band: …)`.");
                    return Err(self.say(scope, d));
                }
            }
        }
        let Some(of) = of else {
            let d = Diagnostic::error("missing-argument", "`edge` needs `of`.", call.span, "which parts?")
                .help("Write `edge(front, of: [left, right])`.");
            return Err(self.say(scope, d));
        };
        let band = match band {
            Some(e) => self.eval(e, scope)?,
            None => match self.house_slot(crate::syntax::Name::new("band")) {
                Some(slot) => self.force(slot)?,
                None => Value::None,
            },
        };
        if matches!(band, Value::None) {
            return Ok(());
        }
        if !matches!(&band, Value::Thing(t) if t.def.kind == Kind::Band) {
            return Err(self.wrong_kind(scope, call.args.last().map_or(of, |a| &a.value), &band, "a band"));
        }
        let parts = match self.eval(of, scope)? {
            Value::Part(p) => vec![p],
            Value::List(list) => {
                let mut parts = Vec::new();
                for v in list.iter() {
                    match v {
                        Value::Part(p) => parts.push(*p),
                        Value::List(inner) => parts.extend(inner.iter().filter_map(|v| match v {
                            Value::Part(p) => Some(*p),
                            _ => None,
                        })),
                        other => {
                            let other = other.clone();
                            return Err(self.wrong_kind(scope, of, &other, "a part or a list of parts"));
                        }
                    }
                }
                parts
            }
            other => return Err(self.wrong_kind(scope, of, &other, "a part or a list of parts")),
        };
        for part in parts {
            self.band_edges(part, &faces, &band, call, scope)?;
        }
        Ok(())
    }

    fn band_edges(
        &mut self,
        part: PartId,
        faces: &[(&'static str, &'p Expr)],
        band: &Value<'p>,
        call: &'p Call,
        scope: ScopeId,
    ) -> Res<()> {
        let axes = self.part_axes(part)?;
        let frame = self.parts[part.0 as usize].frame;
        let reader = self.scopes[scope.0 as usize].frame;
        let name = self.parts[part.0 as usize].name;
        for (word, e) in faces {
            let chosen: Vec<Face> = match face_of(word) {
                Some(face) => vec![self.face_for(face, frame, reader)],
                None => Face::ALL.into_iter().filter(|f| f.axis() != axes[2]).collect(),
            };
            for face in chosen {
                if face.axis() == axes[2] {
                    let d = Diagnostic::error(
                        "band-on-a-face",
                        format!(
                            "The {word} of `{name}` is one of its two wide faces; a band goes on an edge."
                        ),
                        e.span,
                        "a wide face",
                    )
                    .help(format!("Leave `{name}` out, or name one of its four edges."));
                    return Err(self.say(scope, d));
                }
                if !self.records.banded.insert((part, face)) {
                    continue;
                }
                self.records.bands.push(BandRecord { part, face, band: band.clone(), scope, call });
            }
        }
        Ok(())
    }
}

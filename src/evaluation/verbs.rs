//! The kernel's verbs: what they machine and what they record.

use super::machine::{Evaluation, Failed, Res};
use super::records::*;
use super::scope::{PartId, ScopeId};
use super::value::{Point, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::geometry::{Axis, Face};
use crate::syntax::tree::{Call, Expr, Kind};
use crate::values::{Dimension, Rational};
use std::rc::Rc;

/// The kernel's verbs.
pub const VERBS: &[&str] = &[
    "drill",
    "cut",
    "slot",
    "recess",
    "bevel",
    "edge",
    "interlock",
    "buy",
    "fix",
    "mount",
    "slides",
    "swings",
    "carries",
    "spans",
    "rests",
    "bears",
    "matched",
];

pub(super) const FACES: [&str; 6] = ["left", "right", "bottom", "top", "front", "rear"];

impl<'p> Evaluation<'p> {
    /// Carries out a verb.
    pub(super) fn verb(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        match call.name.name.as_str() {
            "drill" => self.drill(call, scope),
            "cut" => self.cut(call, scope),
            "slot" => self.slot_verb(call, scope),
            "recess" => self.recess(call, scope),
            "bevel" => self.bevel(call, scope),
            "edge" => self.edge(call, scope),
            "interlock" => {
                let (a, b) = self.two_parts(call, scope)?;
                self.records.links.push((a, b));
                self.records.explained.push((a, b));
                Ok(())
            }
            "buy" => self.buy(call, scope),
            "fix" => self.fix(call, scope),
            "mount" => self.mount(call, scope),
            "slides" | "swings" | "carries" => self.moves_or_bears(call, scope),
            "spans" => self.spans(call, scope),
            "rests" => self.rests(call, scope),
            "bears" => self.bears(call, scope),
            "matched" => self.matched(call, scope),
            _ => Err(self.unknown_verb(call, scope)),
        }
    }

    fn unknown_verb(&mut self, call: &'p Call, scope: ScopeId) -> Failed {
        let name = call.name.name;
        let module = self.scopes[scope.0 as usize].module;
        let mut d = Diagnostic::error(
            "unknown-verb",
            format!("There is no verb `{name}`."),
            call.name.span,
            "not a verb",
        );
        if let Some((_, def)) = self.program.find_def(module, name) {
            let word = def.kind.word();
            d = match def.kind {
                Kind::Joint => d.help(format!("Write `joint {name}(…)`.")),
                Kind::Box | Kind::Fitting => d.help(format!("Write `{word} NAME = {name}(…)`.")),
                _ => d,
            };
        } else if let Some(near) = nearest(name.as_str(), VERBS.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(call.name.span, near);
        }
        self.say(scope, d.note(format!("The verbs: {}.", VERBS.join(", "))))
    }

    pub(super) fn maker(&self, scope: ScopeId) -> Option<u32> {
        self.scopes[scope.0 as usize].maker
    }

    fn two_parts(&mut self, call: &'p Call, scope: ScopeId) -> Res<(PartId, PartId)> {
        let args = self.kernel_args(call, &["a", "b"], 2, scope)?;
        let (a, b) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
        Ok((self.some_part(a, scope)?, self.some_part(b, scope)?))
    }

    /// What a machining verb is told to work on: a face, or a part at a seam point; `away` takes the
    /// face across from the seam.
    pub(super) fn target(
        &mut self,
        e: &'p Expr,
        at: Option<&'p Expr>,
        away: bool,
        scope: ScopeId,
    ) -> Res<(PartId, Face, Option<Rc<Point>>)> {
        let point = match at {
            Some(e) => match self.eval(e, scope)? {
                Value::Point(point) => Some(point),
                other => return Err(self.wrong_kind(scope, e, &other, "a point (of `spread` over a seam)")),
            },
            None => None,
        };
        match self.eval(e, scope)? {
            Value::Face(part, face) => Ok((part, face, point)),
            Value::Part(part) => {
                let seam = point.as_ref().and_then(|p| p.seam.clone());
                let name = self.parts[part.0 as usize].name;
                let Some(seam) = seam else {
                    let d = Diagnostic::error(
                        "which-face",
                        format!("Which face of `{name}` is meant?"),
                        e.span,
                        "a part, not a face",
                    )
                    .help(format!(
                        "Name the face (`{name}.inner`, `{name}.top`), or give a point of a seam with `at:`."
                    ));
                    return Err(self.say(scope, d));
                };
                if part != seam.a && part != seam.b {
                    let (a, b) = (self.parts[seam.a.0 as usize].name, self.parts[seam.b.0 as usize].name);
                    let d = Diagnostic::error(
                        "not-at-the-seam",
                        format!("The point lies where `{a}` and `{b}` meet; `{name}` is neither."),
                        e.span,
                        "not at this seam",
                    )
                    .help(format!("Work on `{a}` or `{b}`, or name a face and give its coordinates."));
                    return Err(self.say(scope, d));
                }
                // The part on the low side of the seam has it at its high face.
                let high = (part == seam.a) == seam.seam.high_is_b;
                let frame = self.parts[part.0 as usize].frame;
                let face = Face::of(seam.seam.normal, high);
                let face = if face.axis() == Axis::X && self.reflected(frame) != self.reflected(seam.frame) {
                    face.opposite()
                } else {
                    face
                };
                Ok((part, if away { face.opposite() } else { face }, point))
            }
            other => Err(self.wrong_kind(scope, e, &other, "a face or a part")),
        }
    }

    /// The two coordinates on a face, in the frame of the part's text, from a point or from x:, y:, z:.
    pub(super) fn coordinates(
        &mut self,
        call: &'p Call,
        part: PartId,
        face: Face,
        point: Option<Rc<Point>>,
        given: [Option<&'p Expr>; 3],
        scope: ScopeId,
    ) -> Res<[Rational; 3]> {
        let frame = self.parts[part.0 as usize].frame;
        let cuboid = self.part_cuboid(part)?;
        let r = cuboid.on(face.axis());
        let mut at = [Rational::ZERO; 3];
        at[face.axis() as usize] = if face.is_high() { r.hi } else { r.lo };
        for axis in Axis::ALL {
            if axis == face.axis() {
                if let Some(e) = given[axis as usize] {
                    let word = super::machine::axis_word(axis);
                    let d = Diagnostic::error(
                        "wrong-axis",
                        format!(
                            "The {} face lies at one {word}; a place on it has the two other coordinates.",
                            face.word()
                        ),
                        e.span,
                        "not a coordinate on this face",
                    )
                    .help(format!("Leave `{word}:` out."));
                    return Err(self.say(scope, d));
                }
                continue;
            }
            let place = match (&point, given[axis as usize]) {
                (_, Some(e)) => match self.eval(e, scope)? {
                    Value::Place(p) if p.axis == axis => p,
                    Value::Quantity(q) if q.dimension == Dimension::LENGTH => {
                        self.need_corner(scope, e.span)?;
                        let frame = self.scopes[scope.0 as usize].frame;
                        super::value::Place { axis, frame, at: q.value }
                    }
                    other => {
                        let due = format!("a place on {}", super::machine::axis_word(axis));
                        return Err(self.wrong_kind(scope, e, &other, &due));
                    }
                },
                (Some(p), None) => super::value::Place { axis, frame: p.frame, at: p.at[axis as usize] },
                (None, None) => {
                    let word = super::machine::axis_word(axis);
                    let d = Diagnostic::error(
                        "missing-argument",
                        format!("Where on the {} face? `{word}:` is missing.", face.word()),
                        call.span,
                        format!("give `{word}:`"),
                    )
                    .help("Give both coordinates on the face, or `at:` with a point.");
                    return Err(self.say(scope, d));
                }
            };
            at[axis as usize] = self.translate(place, frame, scope, call.span)?;
        }
        Ok(at)
    }

    pub(super) fn positive_length(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Rational> {
        let value = self.length(e, scope)?;
        if value.is_positive() { Ok(value) } else { Err(self.not_positive(e, value, scope)) }
    }

    fn drill(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let names = ["what", "at", "x", "y", "z", "dia", "depth", "profile", "bored", "purpose"];
        let args = self.kernel_args(call, &names, 1, scope)?;
        let what = self.due(&args, 0, call, "what", scope)?;
        let dia_expr = self.due(&args, 5, call, "dia", scope)?;
        let depth_expr = self.due(&args, 6, call, "depth", scope)?;
        let dia = self.positive_length(dia_expr, scope)?;
        let profile = match args[7] {
            Some(e) => self.profile(e, dia_expr, dia, scope)?,
            None => Vec::new(),
        };
        let depth = match Self::is_word(depth_expr, "all") {
            true => None,
            false => Some(self.positive_length(depth_expr, scope)?),
        };
        let in_place = match args[8] {
            Some(e) => self.word(e, scope, &["bench", "in_place"])? == "in_place",
            None => false,
        };
        let purpose = match args[9] {
            Some(e) => Some(self.text_value(e, scope)?),
            None => None,
        };
        let (part, face, point) = self.target(what, args[1], !profile.is_empty(), scope)?;
        let at = self.coordinates(call, part, face, point, [args[2], args[3], args[4]], scope)?;
        let maker = self.maker(scope);
        self.records.holes.push(HoleRecord {
            part,
            face,
            at,
            dia,
            depth,
            profile,
            in_place,
            purpose,
            maker,
            scope,
            call,
        });
        Ok(())
    }

    /// The steps at the mouth of a hole: `[dia, depth]`, or `[dia, end dia, over a depth]` for a cone.
    fn profile(
        &mut self,
        e: &'p Expr,
        dia_expr: &'p Expr,
        dia: Rational,
        scope: ScopeId,
    ) -> Res<Vec<StepRecord>> {
        let list = match self.eval(e, scope)? {
            Value::None => return Ok(Vec::new()),
            Value::List(list) => list,
            other => return Err(self.wrong_kind(scope, e, &other, "a list of steps")),
        };
        let mut steps: Vec<StepRecord> = Vec::new();
        for step in list.iter() {
            let figures: Vec<Rational> = match step {
                Value::List(figures) => figures
                    .iter()
                    .filter_map(|f| match f {
                        Value::Quantity(q) if q.dimension == Dimension::LENGTH => Some(q.value),
                        _ => None,
                    })
                    .collect(),
                _ => Vec::new(),
            };
            let last = steps.last().map_or(Rational::ZERO, |s| s.depth);
            let step = match figures.as_slice() {
                [d, depth] => StepRecord { dia: *d, end_dia: *d, depth: *depth },
                [d, end, over] => {
                    let depth = self.exact(scope, e.span, last.add(*over))?;
                    StepRecord { dia: *d, end_dia: *end, depth }
                }
                _ => {
                    let d = Diagnostic::error(
                        "bad-profile",
                        "A step of a hole is two or three lengths.",
                        e.span,
                        "not a list of steps",
                    )
                    .help("Write `[[10mm, 3mm]]` (dia, down to depth) or `[[9mm, 4.5mm, 2.25mm]]` (a cone: from dia, to dia, over a depth).");
                    return Err(self.say(scope, d));
                }
            };
            if step.depth <= last || step.end_dia < dia || step.dia < step.end_dia {
                let d = Diagnostic::error(
                    "bad-profile",
                    "The steps of a hole grow deeper and no wider, and none is narrower than the hole.",
                    e.span,
                    format!("Ø {} down to {}", self.show(step.dia), self.show(step.depth)),
                )
                .help("List the steps from the mouth inwards.");
                self.made_from(&[e, dia_expr], scope);
                return Err(self.say(scope, d));
            }
            steps.push(step);
        }
        Ok(steps)
    }
}

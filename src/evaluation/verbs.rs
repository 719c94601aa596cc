//! The kernel's verbs: what they machine and what they record.

use super::machine::{Evaluation, Failed, Res, axis_of};
use super::members::face_of;
use super::records::*;
use super::scope::{PartId, ScopeId};
use super::value::{Point, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::geometry::{self, Axis, Contact, Cuboid, Face, Interval, Letting};
use crate::syntax::tree::{Call, Expr, Kind};
use crate::values::{Dimension, Rational};
use std::rc::Rc;

/// The kernel's verbs.
pub const VERBS: &[&str] =
    &["drill", "cut", "slot", "bevel", "edge", "interlock", "buy", "fix", "slides", "swings", "carries"];

const FACES: [&str; 6] = ["left", "right", "bottom", "top", "front", "rear"];

impl<'p> Evaluation<'p> {
    /// Carries out a verb.
    pub(super) fn verb(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        match call.name.name.as_str() {
            "drill" => self.drill(call, scope),
            "cut" => self.cut(call, scope),
            "slot" => self.slot_verb(call, scope),
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
            "slides" | "swings" | "carries" => self.moves_or_bears(call, scope),
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

    fn maker(&self, scope: ScopeId) -> Option<u32> {
        self.scopes[scope.0 as usize].maker
    }

    fn two_parts(&mut self, call: &'p Call, scope: ScopeId) -> Res<(PartId, PartId)> {
        let args = self.kernel_args(call, &["a", "b"], 2, scope)?;
        let (a, b) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
        Ok((self.some_part(a, scope)?, self.some_part(b, scope)?))
    }

    /// What a machining verb is told to work on: a face, or a part at a seam point; `away` takes the
    /// face across from the seam.
    fn target(
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
    fn coordinates(
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

    fn positive_length(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Rational> {
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
            Some(e) => self.profile(e, dia, scope)?,
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
    fn profile(&mut self, e: &'p Expr, dia: Rational, scope: ScopeId) -> Res<Vec<StepRecord>> {
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
                return Err(self.say(scope, d));
            }
            steps.push(step);
        }
        Ok(steps)
    }

    fn cut(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["from", "by", "deeper", "wider", "least", "run"], 1, scope)?;
        let from = self.due(&args, 0, call, "from", scope)?;
        let by = self.due(&args, 1, call, "by", scope)?;
        let (q, p) = (self.some_part(from, scope)?, self.some_part(by, scope)?);
        let mut extra = [Rational::ZERO; 3];
        for (i, slot) in extra.iter_mut().enumerate() {
            if let Some(e) = args[2 + i] {
                *slot = self.length(e, scope)?;
                if slot.is_negative() {
                    let value = *slot;
                    return Err(self.not_positive(e, value, scope));
                }
            }
        }
        let full = match args[5] {
            Some(e) => self.word(e, scope, &["full", "fit"])? == "full",
            None => false,
        };
        let maker = self.maker(scope);
        self.records.links.push((q, p));
        self.records.explained.push((q, p));
        let (qa, pa) = (self.part_axes(q)?, self.part_axes(p)?);
        let qc = self.part_cuboid(q)?;
        let frame = self.parts[q.0 as usize].frame;
        let pc = self.part_in(p, frame, scope, call.span)?;
        let how = Letting { deeper: extra[0], wider: extra[1], least: extra[2], full };
        let shape = self.exact(scope, call.span, geometry::cut(&qc, qa[2], qa[0], &pc, pa[2], &how))?;
        let Some(shape) = shape else {
            return Err(self.nothing_to_cut(call, q, p, &qc, &pc, scope));
        };
        let earlier = self.records.cut_pairs.get(&(q, p)).and_then(|i| self.records.cuts.get(*i));
        if let Some(first) = earlier.filter(|c| c.maker != maker) {
            let (nq, np) = (self.parts[q.0 as usize].name, self.parts[p.0 as usize].name);
            let first = first.maker.and_then(|m| self.records.makers.get(m as usize));
            let first = first.map(|m| (m.site, m.user));
            let here = maker.and_then(|m| self.records.makers.get(m as usize)).map_or(call.span, |m| m.site);
            let mut d = Diagnostic::error(
                "joined-twice",
                format!("`{np}` is let into `{nq}` twice."),
                here,
                "let in again here",
            )
            .help("Remove one of the two joints.");
            if let Some((site, user)) = first {
                let span = self.outermost(site, user);
                d = d.label(span, "let in here already");
            }
            return Err(self.say(scope, d));
        }
        self.records.cut_pairs.insert((q, p), self.records.cuts.len());
        self.records.cuts.push(CutRecord {
            part: q,
            by: Some(p),
            cuboid: shape.cuboid,
            face: shape.face,
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

    fn outermost(&self, site: crate::sources::Span, user: ScopeId) -> crate::sources::Span {
        let _ = user;
        site
    }

    fn nothing_to_cut(
        &mut self,
        call: &'p Call,
        q: PartId,
        p: PartId,
        qc: &Cuboid,
        pc: &Cuboid,
        scope: ScopeId,
    ) -> Failed {
        let (nq, np) = (self.parts[q.0 as usize].name, self.parts[p.0 as usize].name);
        let text = match geometry::contact(qc, pc) {
            Ok(Contact::Apart { axis, gap }) => format!(
                "`{np}` does not reach `{nq}`: it ends {} short of it in {}.",
                self.show(gap),
                super::machine::axis_word(axis)
            ),
            Ok(Contact::Overlap(_)) => format!("`{np}` lies inside `{nq}` and reaches no face of it."),
            _ => format!("`{np}` only touches `{nq}` and does not reach into it."),
        };
        let mut d = Diagnostic::error("nothing-to-cut", text, call.span, "nothing to take out")
            .help(format!("Let `{np}` reach into `{nq}` by the depth of the cut."));
        for id in [p, q] {
            d.labels.extend(self.part_literals(id));
        }
        self.say(scope, d)
    }

    fn slot_verb(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let names = ["what", "at", "x", "y", "z", "dia", "length", "along", "depth"];
        let args = self.kernel_args(call, &names, 1, scope)?;
        let what = self.due(&args, 0, call, "what", scope)?;
        let dia_expr = self.due(&args, 5, call, "dia", scope)?;
        let length_expr = self.due(&args, 6, call, "length", scope)?;
        let along_expr = self.due(&args, 7, call, "along", scope)?;
        let dia = self.positive_length(dia_expr, scope)?;
        let length = self.positive_length(length_expr, scope)?;
        let along = self.word(along_expr, scope, &["x", "y", "z"])?;
        let along = axis_of(along).unwrap_or(Axis::X);
        let (part, face, point) = self.target(what, args[1], false, scope)?;
        let at = self.coordinates(call, part, face, point, [args[2], args[3], args[4]], scope)?;
        if along == face.axis() || length < dia {
            let d = Diagnostic::error(
                "bad-slot",
                if length < dia {
                    format!("A slot {} long cannot be {} wide.", self.show(length), self.show(dia))
                } else {
                    format!(
                        "A slot in the {} face cannot run along {}.",
                        face.word(),
                        super::machine::axis_word(along)
                    )
                },
                along_expr.span.to(length_expr.span),
                "not a slot",
            )
            .label(dia_expr.span, format!("{} wide", self.show(dia)))
            .help("Let it be at least as long as wide, along an axis of its face.");
            return Err(self.say(scope, d));
        }
        let cuboid = self.part_cuboid(part)?;
        let through = cuboid.on(face.axis());
        let depth = match args[8] {
            Some(e) if !Self::is_word(e, "all") => Some(self.positive_length(e, scope)?),
            _ => None,
        };
        let thick = match (depth, face.is_high()) {
            (None, _) => through,
            (Some(d), true) => Interval::new(self.exact(scope, call.span, through.hi.sub(d))?, through.hi),
            (Some(d), false) => Interval::new(through.lo, self.exact(scope, call.span, through.lo.add(d))?),
        };
        let mut extent = cuboid.with(face.axis(), thick);
        for axis in Axis::ALL {
            if axis != face.axis() {
                let size = if axis == along { length } else { dia };
                let half = self.exact(scope, call.span, size.half())?;
                let lo = self.exact(scope, call.span, at[axis as usize].sub(half))?;
                let hi = self.exact(scope, call.span, at[axis as usize].add(half))?;
                extent = extent.with(axis, Interval::new(lo, hi));
            }
        }
        let maker = self.maker(scope);
        self.records.cuts.push(CutRecord {
            part,
            by: None,
            cuboid: extent,
            face,
            runs: along,
            run: geometry::Run::Blind,
            shape: geometry::Shape::Slot,
            dia: Some(dia),
            maker,
            scope,
            call,
        });
        Ok(())
    }

    fn bevel(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
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
    fn edge(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
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

    fn item_value(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Value<'p>> {
        match self.eval(e, scope)? {
            Value::Thing(t) if t.def.kind == Kind::Item => Ok(Value::Thing(t)),
            other => Err(self.wrong_kind(scope, e, &other, "an item")),
        }
    }

    fn buy(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["item", "quantity"], 1, scope)?;
        let e = self.due(&args, 0, call, "item", scope)?;
        let item = self.item_value(e, scope)?;
        let quantity = match args[1] {
            Some(e) => self.whole(e, scope)?,
            None => 1,
        };
        let maker = self.maker(scope);
        self.records.buys.push(BuyRecord { item, quantity, maker, scope });
        Ok(())
    }

    fn fix(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["a", "b", "with", "from", "tool", "glue"], 2, scope)?;
        let (ea, eb) = (self.due(&args, 0, call, "a", scope)?, self.due(&args, 1, call, "b", scope)?);
        let (a, b) = (self.some_part(ea, scope)?, self.some_part(eb, scope)?);
        let with = match args[2] {
            Some(e) => match self.eval(e, scope)? {
                Value::None => None,
                Value::Thing(t) if t.def.kind == Kind::Item => Some(Value::Thing(t)),
                other => return Err(self.wrong_kind(scope, e, &other, "an item")),
            },
            None => None,
        };
        let from = match args[3] {
            Some(e) => match self.eval(e, scope)? {
                Value::Face(p, f) => Some((p, f)),
                Value::None => None,
                other => return Err(self.wrong_kind(scope, e, &other, "a face")),
            },
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
        let maker = self.maker(scope);
        self.records.links.push((a, b));
        self.records.fixes.push(FixRecord { a, b, with, from, tool, glue, maker, scope });
        Ok(())
    }

    fn mover(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Mover> {
        match self.eval(e, scope)? {
            Value::Part(p) | Value::Face(p, _) => Ok(Mover::Part(p)),
            Value::Box(b) => Ok(Mover::Box(b)),
            other => Err(self.wrong_kind(scope, e, &other, "a part or a box")),
        }
    }

    fn moves_or_bears(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
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
                self.records.moves.push(MoveRecord { thing, motion, maker, scope });
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
                self.records.moves.push(MoveRecord { thing, motion, maker, scope });
            }
            _ => {
                let load = self.due(&args, 1, call, "load", scope)?;
                let load = match self.eval(load, scope)? {
                    Value::Quantity(q) if q.dimension == Dimension::MASS => q.value,
                    other => return Err(self.wrong_kind(scope, load, &other, "a mass")),
                };
                self.records.loads.push(LoadRecord { thing, load, maker, scope });
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

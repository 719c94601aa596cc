//! Cuts: what one part takes out of another, and slots.

use super::machine::{Evaluation, Failed, Res, axis_of};
use super::records::*;
use super::scope::{BoxId, PartId, ScopeId};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::geometry::{self, Axis, Contact, Cuboid, Interval, Letting};
use crate::syntax::tree::{Call, Expr, Kind};
use crate::values::Rational;

impl<'p> Evaluation<'p> {
    pub(super) fn cut(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
        let args = self.kernel_args(call, &["from", "by", "deeper", "wider", "least", "run"], 1, scope)?;
        let from = self.due(&args, 0, call, "from", scope)?;
        let by = self.due(&args, 1, call, "by", scope)?;
        let q = self.some_part(from, scope)?;
        let p = match self.eval(by, scope)? {
            Value::Part(part) | Value::Face(part, _) => part,
            Value::Box(b) if self.kind_of(b) == Kind::Obstacle => {
                return self.cut_round(q, b, call, &args, scope);
            }
            other => return Err(self.wrong_kind(scope, by, &other, "a part or an obstacle")),
        };
        let how = self.letting(&args, scope)?;
        let maker = self.maker(scope);
        self.records.links.push((q, p));
        self.records.explained.push((q, p));
        let (qa, pa) = (self.part_axes(q)?, self.part_axes(p)?);
        let qc = self.part_cuboid(q)?;
        let frame = self.parts[q.0 as usize].frame;
        let pc = self.part_in(p, frame, scope, call.span)?;
        let shape = self.exact(scope, call.span, geometry::cut(&qc, qa[2], qa[0], &pc, pa[2], &how))?;
        let Some(shape) = shape else {
            return Err(self.nothing_to_cut(call, q, p, &qc, &pc, scope));
        };
        let earlier = self.records.cut_pairs.get(&(q, p)).and_then(|i| self.records.cuts.get(*i));
        if let Some(first) = earlier.filter(|c| c.maker != maker) {
            let (nq, np) = (self.parts[q.0 as usize].name, self.parts[p.0 as usize].name);
            let first = first.maker.and_then(|m| self.records.makers.get(m as usize));
            let first = first.map(|m| m.site);
            let here = maker.and_then(|m| self.records.makers.get(m as usize)).map_or(call.span, |m| m.site);
            let mut d = Diagnostic::error(
                "joined-twice",
                format!("`{np}` is let into `{nq}` twice."),
                here,
                "let in again here",
            )
            .help("Remove one of the two joints.");
            if let Some(site) = first {
                d = d.label(site, "let in here already");
            }
            return Err(self.say(scope, d));
        }
        self.records.cut_pairs.insert((q, p), self.records.cuts.len());
        self.records.cuts.push(CutRecord {
            part: q,
            by: Some(Held::Part(p)),
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

    /// How a cut is to be made: `deeper`, `wider`, `least` and `run`.
    fn letting(&mut self, args: &[Option<&'p Expr>], scope: ScopeId) -> Res<Letting> {
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
        Ok(Letting { deeper: extra[0], wider: extra[1], least: extra[2], full })
    }

    /// Takes out of a part what an obstacle of the wall needs.
    fn cut_round(
        &mut self,
        q: PartId,
        obstacle: BoxId,
        call: &'p Call,
        args: &[Option<&'p Expr>],
        scope: ScopeId,
    ) -> Res<()> {
        let how = self.letting(args, scope)?;
        let qa = self.part_axes(q)?;
        let qc = self.part_cuboid(q)?;
        let (from, to) = (self.boxes[obstacle.0 as usize].outer, self.parts[q.0 as usize].frame);
        let mut oc = qc;
        for axis in Axis::ALL {
            let slot = self.boxes[obstacle.0 as usize].extent[axis as usize];
            let range = self.force_range(slot)?;
            let range = self.range_in(range, axis, from, to, scope, call.span)?;
            oc = oc.with(axis, Interval::new(range.lo, range.hi));
        }
        let shape = self.exact(scope, call.span, geometry::cut(&qc, qa[2], qa[0], &oc, qa[2], &how))?;
        let maker = self.maker(scope);
        let Some(shape) = shape else {
            let (part, name) = (self.parts[q.0 as usize].name, self.boxes[obstacle.0 as usize].name.clone());
            let mut d = Diagnostic::error(
                "nothing-to-cut",
                format!("`{part}` is clear of the obstacle `{name}`."),
                call.span,
                "nothing to take out",
            )
            .help("Leave this cut out.");
            d.misses = short_of(&qc, &oc);
            return Err(self.say(scope, d));
        };
        self.records.cuts.push(CutRecord {
            part: q,
            by: Some(Held::Site(obstacle)),
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
        d.misses = short_of(qc, pc);
        for id in [p, q] {
            d.labels.extend(self.part_literals(id));
        }
        self.say(scope, d)
    }

    pub(super) fn slot_verb(&mut self, call: &'p Call, scope: ScopeId) -> Res<()> {
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
            self.made_from(&[length_expr, dia_expr], scope);
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
}

/// How far two bodies are from reaching into each other, on each axis.
fn short_of(a: &Cuboid, b: &Cuboid) -> Vec<Rational> {
    let gap = |axis: Axis| {
        let (a, b) = (a.on(axis), b.on(axis));
        let gap = a.lo.max(b.lo).sub(a.hi.min(b.hi));
        gap.map(|g| g.max(Rational::ZERO))
    };
    Axis::ALL.into_iter().flat_map(gap).collect()
}

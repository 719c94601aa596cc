//! What `thing.name` means.

use super::machine::{Evaluation, Res, axis_of};
use super::scope::{ScopeId, SpaceId};
use super::value::{Place, Range, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::geometry::{Axis, Face};
use crate::sources::Span;
use crate::syntax::tree::{Expr, ExprKind, Ident, Kind};
use crate::values::Rational;

/// The face of a word.
pub(super) fn face_of(word: &str) -> Option<Face> {
    Face::ALL.into_iter().find(|f| f.word() == word)
}

impl<'p> Evaluation<'p> {
    pub(super) fn member_expr(&mut self, object: &'p Expr, name: Ident, scope: ScopeId) -> Res<Value<'p>> {
        if let ExprKind::Name(word) = &object.kind {
            let ident = Ident { name: *word, span: object.span };
            match word.as_str() {
                "house" if self.lookup(scope, ident)?.is_none() => return self.house_member(name, scope),
                "base" if self.lookup(scope, ident)?.is_none() => return self.base_member(name, scope),
                _ => {}
            }
        }
        let value = self.eval(object, scope)?;
        self.member(&value, name, scope, object)
    }

    fn base_member(&mut self, name: Ident, scope: ScopeId) -> Res<Value<'p>> {
        let mut at = Some(scope);
        while let Some(id) = at {
            let record = &self.scopes[id.0 as usize];
            if let Some((b, layers)) = record.extras_of {
                return match self.member_slot(b, layers, name.name, false) {
                    Some((slot, _)) => self.force(slot),
                    None => Err(self.no_member(scope, &Value::Box(b), name, self.box_names(b, layers))),
                };
            }
            at = record.parent;
        }
        Err(self.error_at(
            scope,
            "no-base",
            "`base` is the type that a derived type is made from; here is none.",
            name.span,
            "outside a derived type",
        ))
    }

    pub(super) fn box_names(&self, b: super::scope::BoxId, layers: usize) -> Vec<&'static str> {
        let mut names: Vec<&'static str> = self.boxes[b.0 as usize]
            .layers
            .iter()
            .take(layers)
            .flat_map(|l| &self.scopes[l.0 as usize].entries)
            .filter(|e| e.reach == super::scope::Reach::Public)
            .map(|e| e.name.as_str())
            .collect();
        names.sort_unstable();
        names.dedup();
        names
    }

    /// `value.name`, read in a scope.
    pub(super) fn member(
        &mut self,
        value: &Value<'p>,
        name: Ident,
        scope: ScopeId,
        object: &'p Expr,
    ) -> Res<Value<'p>> {
        let word = name.name.as_str();
        let span = name.span;
        let known: &[&str] = match value {
            Value::Part(id) => {
                if let Some(found) = self.part_member(*id, word, scope, span)? {
                    return Ok(found);
                }
                &[
                    "x",
                    "y",
                    "z",
                    "length",
                    "width",
                    "thickness",
                    "board",
                    "box",
                    "name",
                    "left",
                    "right",
                    "bottom",
                    "top",
                    "front",
                    "rear",
                    "inner",
                    "outer",
                    "mass",
                ]
            }
            Value::Range(range) => {
                if let Some(found) = self.range_member(*range, word, scope, span)? {
                    return Ok(found);
                }
                &["start", "end", "mid", "size"]
            }
            Value::Face(part, face) => {
                match word {
                    "part" => return Ok(Value::Part(*part)),
                    "at" => return self.face_place(*part, *face, scope, span).map(Value::Place),
                    "box" => return Ok(Value::Box(self.parts[part.0 as usize].owner)),
                    "axis" => {
                        let axes = ["x", "y", "z"].map(crate::syntax::Name::new);
                        return Ok(Value::Word(axes[face.axis() as usize], axes.into()));
                    }
                    _ if axis_of(word).is_some() => {
                        if let Some(found) = self.part_member(*part, word, scope, span)? {
                            return Ok(found);
                        }
                    }
                    _ => {}
                }
                &["part", "at", "box", "axis", "x", "y", "z"]
            }
            Value::Space(id) => {
                if let Some(found) = self.space_member(*id, word, scope, span)? {
                    return Ok(found);
                }
                &[
                    "x", "y", "z", "width", "height", "depth", "box", "name", "left", "right", "bottom",
                    "top", "front", "rear",
                ]
            }
            Value::Point(point) => {
                if let Some(axis) = axis_of(word) {
                    return Ok(Value::Place(Place { axis, frame: point.frame, at: point.at[axis as usize] }));
                }
                &["x", "y", "z"]
            }
            Value::Seam(seam) => {
                let seam = seam.clone();
                if word == "length" {
                    let (_, along) = self.exact(scope, span, seam.seam.length())?;
                    let size = self.exact(scope, span, along.size())?;
                    return Ok(Value::mm(size));
                }
                if let Some(axis) = axis_of(word) {
                    for (a, r) in [seam.seam.u, seam.seam.v] {
                        if a == axis {
                            return Ok(Value::Range(Range {
                                anchor: Some((axis, seam.frame)),
                                lo: r.lo,
                                hi: r.hi,
                            }));
                        }
                    }
                    return Ok(Value::Place(Place { axis, frame: seam.frame, at: seam.seam.at }));
                }
                &["length", "x", "y", "z"]
            }
            Value::List(list) => match word {
                "count" => return Ok(Value::number(list.len() as i64)),
                "first" | "last" => {
                    let found = if word == "first" { list.first() } else { list.last() };
                    return match found {
                        Some(value) => Ok(value.clone()),
                        None => Err(self.error_at(
                            scope,
                            "empty-list",
                            format!("`{}` is empty; it has no {word}.", self.source(object)),
                            span,
                            "an empty list",
                        )),
                    };
                }
                _ => &["count", "first", "last"],
            },
            Value::Box(b) => {
                let layers = self.boxes[b.0 as usize].layers.len();
                // Where an obstacle lies goes before the parameters that said so.
                let lies = axis_of(word).is_some() && self.kind_of(*b) == Kind::Obstacle;
                if let Some((slot, _)) = self.member_slot(*b, layers, name.name, false).filter(|_| !lies) {
                    return self.force(slot);
                }
                if let Some(found) = self.box_member(*b, word, scope, span)? {
                    return Ok(found);
                }
                let b = *b;
                return Err(self.no_box_member(scope, b, name));
            }
            Value::Thing(thing) => {
                let entries = &self.scopes[thing.scope.0 as usize];
                if let Some(entry) = super::names::find(entries, name.name) {
                    let slot = entry.slot;
                    return self.force(slot);
                }
                if word == "name" {
                    return Ok(Value::Text(thing.def.name.name.as_str().into()));
                }
                let names: Vec<&'static str> = entries.entries.iter().map(|e| e.name.as_str()).collect();
                return Err(self.no_member(scope, value, name, names));
            }
            Value::Place(_) => &[],
            _ => &[],
        };
        Err(self.no_member(scope, value, name, known.to_vec()))
    }

    fn part_member(
        &mut self,
        id: super::scope::PartId,
        word: &str,
        scope: ScopeId,
        span: Span,
    ) -> Res<Option<Value<'p>>> {
        if let Some(axis) = axis_of(word) {
            let slot = self.parts[id.0 as usize].axes[axis as usize];
            let range = self.force_range(slot)?;
            return self.read_range(range, scope, span).map(|r| Some(Value::Range(r)));
        }
        if let Some(face) = face_of(word) {
            let frame = self.parts[id.0 as usize].frame;
            let face = self.face_for(face, frame, self.scopes[scope.0 as usize].frame);
            return Ok(Some(Value::Face(id, face)));
        }
        Ok(Some(match word {
            "inner" | "outer" => match self.boundary_face(id, word == "outer")? {
                Some(face) => Value::Face(id, face),
                None => {
                    let name = self.parts[id.0 as usize].name;
                    self.pending.push(super::faults::Cause::Part(id));
                    let d = Diagnostic::error(
                        "no-inner-face",
                        format!(
                            "`{name}` does not lie at the boundary of its box, so it has no {word} face."
                        ),
                        span,
                        "not at the boundary",
                    )
                    .help("Name the face: left, right, bottom, top, front or rear.");
                    return Err(self.say(scope, d));
                }
            },
            "board" => {
                let slot = self.parts[id.0 as usize].board;
                self.force(slot)?
            }
            "thickness" => Value::mm(self.thickness(id)?),
            "length" | "width" => {
                let axes = self.part_axes(id)?;
                let cuboid = self.part_cuboid(id)?;
                let axis = if word == "length" { axes[0] } else { axes[1] };
                let size = self.exact(scope, span, cuboid.on(axis).size())?;
                Value::mm(size)
            }
            "mass" => return self.part_mass(id, scope, span).map(Some),
            "box" => Value::Box(self.parts[id.0 as usize].owner),
            "name" => Value::Text(self.parts[id.0 as usize].name.as_str().into()),
            _ => return Ok(None),
        }))
    }

    /// Gross mass of a part: its cuboid times its board's density, in kg.
    pub(super) fn part_mass(
        &mut self,
        id: super::scope::PartId,
        scope: ScopeId,
        span: Span,
    ) -> Res<Value<'p>> {
        let slot = self.parts[id.0 as usize].board;
        let board = self.force(slot)?;
        let density = match &board {
            Value::Thing(thing) => self.thing_field(thing, "density")?,
            _ => None,
        };
        let Some(Value::Quantity(density)) = density else {
            let d = Diagnostic::error(
                "no-density",
                format!("The board of `{}` states no density.", self.parts[id.0 as usize].name),
                span,
                "its mass is not known",
            )
            .help("Add `density: …kg/m3` to the board's definition.");
            return Err(self.say(scope, d));
        };
        let c = self.part_cuboid(id)?;
        let mut value = density.value;
        for axis in Axis::ALL {
            let size = self.exact(scope, span, c.on(axis).size())?;
            value = self.exact(scope, span, value.mul(size))?;
        }
        Ok(Value::Quantity(crate::values::Quantity { value, dimension: crate::values::Dimension::MASS }))
    }

    fn range_member(
        &mut self,
        range: Range,
        word: &str,
        scope: ScopeId,
        span: Span,
    ) -> Res<Option<Value<'p>>> {
        let place = |at: Rational| match range.anchor {
            Some((axis, frame)) => Value::Place(Place { axis, frame, at }),
            None => Value::mm(at),
        };
        Ok(Some(match word {
            "start" => place(range.lo),
            "end" => place(range.hi),
            "size" => Value::mm(self.exact(scope, span, range.hi.sub(range.lo))?),
            "mid" => {
                let sum = self.exact(scope, span, range.lo.add(range.hi))?;
                place(self.exact(scope, span, sum.half())?)
            }
            _ => return Ok(None),
        }))
    }

    fn space_member(
        &mut self,
        id: SpaceId,
        word: &str,
        scope: ScopeId,
        span: Span,
    ) -> Res<Option<Value<'p>>> {
        let size_of = match word {
            "width" => Some(Axis::X),
            "height" => Some(Axis::Y),
            "depth" => Some(Axis::Z),
            _ => None,
        };
        if let Some(axis) = axis_of(word).or(size_of) {
            let slot = self.spaces[id.0 as usize].axes[axis as usize];
            let range = self.force_range(slot)?;
            if size_of.is_some() {
                return Ok(Some(Value::mm(self.exact(scope, span, range.hi.sub(range.lo))?)));
            }
            return self.read_range(range, scope, span).map(|r| Some(Value::Range(r)));
        }
        if let Some(face) = face_of(word) {
            return self.space_bound(id, face, scope, span).map(Some);
        }
        let space = &self.spaces[id.0 as usize];
        Ok(match (word, space.owner) {
            ("box", Some(b)) => Some(Value::Box(b)),
            ("name", _) => Some(Value::Text(space.name.as_str().into())),
            _ => None,
        })
    }

    fn box_member(
        &mut self,
        b: super::scope::BoxId,
        word: &str,
        scope: ScopeId,
        span: Span,
    ) -> Res<Option<Value<'p>>> {
        let size = match word {
            "width" => Some(Axis::X),
            "height" => Some(Axis::Y),
            "depth" => Some(Axis::Z),
            _ => None,
        };
        if let Some(axis) = size {
            return Ok(Some(Value::mm(self.box_size(b, axis)?)));
        }
        if let Some(axis) = axis_of(word) {
            let slot = self.boxes[b.0 as usize].extent[axis as usize];
            let range = self.force_range(slot)?;
            return self.read_range(range, scope, span).map(|r| Some(Value::Range(r)));
        }
        let found = match self.kind_of(b) {
            Kind::Wall => self.wall_member(b, word)?,
            Kind::Row => self.row_member(b, word)?,
            Kind::Box if word == "mass" => Some(self.box_mass(b, scope, span)?),
            Kind::Box if word == "row" => self.row_of(b).map(Value::Box),
            Kind::Box | Kind::Obstacle if word == "wall" => self.wall_of(b)?.map(Value::Box),
            _ => None,
        };
        if found.is_some() {
            return Ok(found);
        }
        Ok(match word {
            "name" => Some(Value::Text(self.boxes[b.0 as usize].name.as_str().into())),
            "index" => match self.boxes[b.0 as usize].index {
                Some(slot) => Some(self.force(slot)?),
                None => None,
            },
            _ => None,
        })
    }

    fn no_box_member(
        &mut self,
        scope: ScopeId,
        b: super::scope::BoxId,
        name: Ident,
    ) -> super::machine::Failed {
        let record = &self.boxes[b.0 as usize];
        let layers = record.layers.len();
        let type_name = record.def.name.name;
        if let Some((_, span)) = self.member_slot(b, layers, name.name, true) {
            let d = Diagnostic::error(
                "private-name",
                format!("`{}` is private to `{type_name}`.", name.name),
                name.span,
                "a `let` cannot be reached from outside",
            )
            .label(span, "a `let` here")
            .help("Read a part, a space or a parameter instead, or make it a parameter.");
            return self.say(scope, d);
        }
        let mut names = self.box_names(b, layers);
        names.extend(["x", "y", "z", "width", "height", "depth", "name"]);
        names.extend(match self.kind_of(b) {
            Kind::Wall => &["left", "right", "floor", "ceiling", "face", "obstacles"][..],
            Kind::Row => &["boxes", "runs", "left_end", "right_end"][..],
            Kind::Box => &["mass", "row", "wall"][..],
            Kind::Obstacle => &["wall"][..],
            _ => &[][..],
        });
        self.no_member(scope, &Value::Box(b), name, names)
    }

    fn no_member(
        &mut self,
        scope: ScopeId,
        value: &Value<'p>,
        name: Ident,
        known: Vec<&'static str>,
    ) -> super::machine::Failed {
        let what = match value {
            Value::Box(b) => format!("`{}`", self.boxes[b.0 as usize].name),
            Value::Part(p) => format!("The part `{}`", self.parts[p.0 as usize].name),
            other => super::machine::capital(&other.kind()),
        };
        let mut d = Diagnostic::error(
            "unknown-member",
            format!("{what} has no `{}`.", name.name),
            name.span,
            "not one of its names",
        );
        if let Some(near) = nearest(name.name.as_str(), known.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(name.span, near);
        }
        if !known.is_empty() {
            d = d.note(format!("It has: {}.", known.join(", ")));
        }
        self.say(scope, d)
    }

    /// A parameter or field of a board, band or item, where it has it.
    pub fn thing_field(&mut self, thing: &super::value::Thing<'p>, word: &str) -> Res<Option<Value<'p>>> {
        match super::names::find_text(&self.scopes[thing.scope.0 as usize], word) {
            Some(entry) => {
                let slot = entry.slot;
                self.force(slot).map(Some)
            }
            None => Ok(None),
        }
    }

    /// What tells two things of one definition apart: the values of its parameters, in words.
    pub fn thing_key(&mut self, thing: &super::value::Thing<'p>) -> Res<String> {
        let mut key = thing.def.name.name.to_string();
        for param in &thing.def.params {
            if let Some(value) = self.thing_field(thing, param.name.name.as_str())? {
                key.push('|');
                match value {
                    Value::Quantity(q) => key.push_str(&format!("{:?}", q.value)),
                    other => key.push_str(&self.words(&other)),
                }
            }
        }
        Ok(key)
    }
}

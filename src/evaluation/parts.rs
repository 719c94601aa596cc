//! Parts: their board, axes and faces.

use super::machine::{Evaluation, Failed, MOST_COUNTED, MOST_PARTS, Res, axis_of};
use super::scope::*;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::geometry::{Axis, Face};
use crate::syntax::Name;
use crate::syntax::tree::{Ident, Kind, PartStmt};
use crate::values::{Dimension, Rational};

impl<'p> Evaluation<'p> {
    /// A part of a box, with nothing of it worked out yet.
    pub(super) fn add_part(
        &mut self,
        stmt: &'p PartStmt,
        ident: Ident,
        scope: ScopeId,
        number: Option<i64>,
        mirror_of: Option<PartId>,
    ) -> Res<PartId> {
        let record = &self.scopes[scope.0 as usize];
        let (Some(owner), frame) = (record.owner, record.frame) else {
            return Err(self.error_at(
                scope,
                "misplaced",
                "A part stands in a box.",
                ident.span,
                "outside a box",
            ));
        };
        let indices = record.indices.clone();
        if self.parts.len() >= MOST_PARTS {
            let d = Diagnostic::error(
                "too-many",
                format!("The design has more than {MOST_PARTS} parts."),
                ident.span,
                "one more here",
            )
            .help("Check the counts, or divide the design over several files.");
            return Err(self.say(scope, d));
        }
        let mut path = format!("{}.{}", self.boxes[owner.0 as usize].path, ident.name);
        for i in &indices {
            path.push_str(&format!("[{i}]"));
        }
        let mut part_scope = scope;
        if let Some(n) = number {
            path.push_str(&format!("[{n}]"));
            part_scope = self.inner_scope(scope);
            let slot = self.given(Value::number(n));
            let index = Ident { name: Name::new("index"), span: ident.span };
            self.enter(part_scope, index, slot, Reach::Private);
        }
        let id = PartId(self.parts.len() as u32);
        let axes = Axis::ALL.map(|a| self.slot(Work::PartAxis(id, a)));
        let board = self.slot(Work::PartBoard(id));
        self.parts.push(PartRecord {
            path,
            name: ident.name,
            owner,
            stmt,
            scope: part_scope,
            frame,
            axes,
            board,
            mirror_of,
            span: ident.span,
        });
        self.boxes[owner.0 as usize].parts.push(id);
        Ok(id)
    }

    /// `part shelf[n] …`
    pub(super) fn counted_parts(&mut self, stmt: &'p PartStmt, scope: ScopeId) -> Res<Value<'p>> {
        let Some(count) = &stmt.count else { return Err(Failed) };
        let n = self.whole(count, scope)?;
        if n > MOST_COUNTED {
            self.made_from(&[count], scope);
            return Err(self.too_many(scope, count.span, n));
        }
        let mut list = Vec::new();
        for i in 1..=n {
            list.push(Value::Part(self.add_part(stmt, stmt.name, scope, Some(i), None)?));
        }
        Ok(Value::List(list.into()))
    }

    pub(super) fn part_board(&mut self, id: PartId) -> Res<Value<'p>> {
        let part = &self.parts[id.0 as usize];
        let (stmt, scope) = (part.stmt, part.scope);
        match self.eval(&stmt.board, scope)? {
            Value::Thing(t) if t.def.kind == Kind::Board => Ok(Value::Thing(t)),
            other => Err(self.wrong_kind(scope, &stmt.board, &other, "a board")),
        }
    }

    /// The thickness of a part's board, in mm.
    pub(super) fn thickness(&mut self, id: PartId) -> Res<Rational> {
        let slot = self.parts[id.0 as usize].board;
        let board = self.force(slot)?;
        let part = &self.parts[id.0 as usize];
        let (scope, span) = (part.scope, part.stmt.board.span);
        let Value::Thing(thing) = &board else { return Err(Failed) };
        match self.thing_field(thing, "thickness")? {
            Some(Value::Quantity(q)) if q.dimension == Dimension::LENGTH && q.value.is_positive() => {
                Ok(q.value)
            }
            Some(Value::Quantity(q)) if q.dimension == Dimension::LENGTH => {
                let text = format!("The board `{}` is {} thick.", thing.def.name.name, self.show(q.value));
                Err(self.error_at(scope, "no-thickness", text, span, "no thickness"))
            }
            _ => {
                let text = format!("The board `{}` states no thickness.", thing.def.name.name);
                let d = Diagnostic::error("no-thickness", text, span, "how thick?")
                    .label(thing.def.name.span, "defined here")
                    .help("Give it a parameter: `(thickness: length = 18mm)`.");
                Err(self.say(scope, d))
            }
        }
    }

    /// Which axes are length (along the grain), width and thickness.
    pub(super) fn part_axes(&mut self, id: PartId) -> Res<[Axis; 3]> {
        let cuboid = self.part_cuboid(id)?;
        let thickness = self.thickness(id)?;
        let part = &self.parts[id.0 as usize];
        let (stmt, scope) = (part.stmt, part.scope);
        let along = match stmt.along {
            Some(word) => match axis_of(word.name.as_str()) {
                Some(axis) => Some(axis),
                None => {
                    let d = Diagnostic::error(
                        "unknown-word",
                        format!("The grain runs along x, y or z, not along `{}`.", word.name),
                        word.span,
                        "not an axis",
                    )
                    .help("Write `along x`, `along y` or `along z`.");
                    return Err(self.say(scope, d));
                }
            },
            None => None,
        };
        let size = |a: Axis| cuboid.on(a).size().unwrap_or(Rational::ZERO);
        let thin =
            Axis::ALL.into_iter().filter(|a| size(*a) == thickness && along != Some(*a)).min_by_key(|a| {
                // Where several sides are as thick as the board, the shortest statement decides: a range
                // written as thick as its board.
                let written = stmt.ranges.iter().find(|f| axis_of(f.label.name.as_str()) == Some(*a));
                !written.is_some_and(|f| {
                    matches!(
                        f.value.kind,
                        crate::syntax::tree::ExprKind::After(None, _)
                            | crate::syntax::tree::ExprKind::Before(None, _)
                    )
                })
            });
        let Some(thin) = thin else {
            let least = Axis::ALL.into_iter().min_by_key(|a| size(*a)).unwrap_or(Axis::X);
            return Err(self.wrong_thickness(id, least, size(least), thickness, along));
        };
        let flat: Vec<Axis> = Axis::ALL.into_iter().filter(|a| *a != thin).collect();
        let length = match along {
            Some(axis) => axis,
            None if size(flat[1]) > size(flat[0]) => flat[1],
            None => flat[0],
        };
        let width = flat.into_iter().find(|a| *a != length).unwrap_or(length);
        Ok([length, width, thin])
    }

    fn wrong_thickness(
        &mut self,
        id: PartId,
        axis: Axis,
        size: Rational,
        thickness: Rational,
        along: Option<Axis>,
    ) -> Failed {
        let part = &self.parts[id.0 as usize];
        let (stmt, scope, name) = (part.stmt, part.scope, part.name);
        let board_slot = part.board;
        let board = match self.force(board_slot) {
            Ok(Value::Thing(t)) => t.def.name.name.to_string(),
            _ => "its board".to_string(),
        };
        let word = super::machine::axis_word(axis);
        if along.is_some_and(|a| a == axis) {
            self.pending.push(super::faults::Cause::Part(id));
            let d = Diagnostic::error(
                "grain-across-thickness",
                format!("The grain of `{name}` cannot run along {word}: that is its thickness."),
                stmt.along.map_or(stmt.name.span, |a| a.span),
                "through the board",
            )
            .help("Name one of the two other axes.");
            return self.say(scope, d);
        }
        let span = super::machine::axis_span(&stmt.ranges, axis).unwrap_or(stmt.name.span);
        let (is, due) = (self.show(size), self.show(thickness));
        let mut d = Diagnostic::error(
            "not-the-boards-thickness",
            format!("`{name}` is {is} thick in {word}, but `{board}` measures {due}."),
            span,
            format!("{is} here"),
        )
        .label(stmt.board.span, format!("{due} thick"))
        .help(format!(
            "Write `after THING` or `before THING` without a length (as thick as its board), or `.thickness` of the board, instead of {is}: it must come to {due}."
        ));
        d.misses.extend(size.sub(thickness));
        if let Some(field) = stmt.ranges.iter().find(|f| axis_of(f.label.name.as_str()) == Some(axis)) {
            d.labels.extend(self.literal_labels(&field.value, scope));
        }
        self.say(scope, d)
    }

    /// The wide face of a part that looks into its box or out of it, where it lies at the boundary.
    pub(super) fn boundary_face(&mut self, id: PartId, outer: bool) -> Res<Option<Face>> {
        let axes = self.part_axes(id)?;
        let cuboid = self.part_cuboid(id)?;
        let owner = self.parts[id.0 as usize].owner;
        // The envelope reads the same in the frame of the text and from outside, but for its ends.
        let size = self.box_size(owner, axes[2])?;
        let range = cuboid.on(axes[2]);
        let low = range.lo <= Rational::ZERO;
        let high = range.hi >= size;
        let out = match (low, high) {
            (true, false) => Face::of(axes[2], false),
            (false, true) => Face::of(axes[2], true),
            _ => return Ok(None),
        };
        Ok(Some(if outer { out } else { out.opposite() }))
    }
}

//! The spaces of a row: its gaps and ends, what bounds them, and what a row is asked for.

use super::machine::{Evaluation, Failed, Res};
use super::scope::*;
use super::value::{Range, Value};
use crate::diagnostics::Diagnostic;
use crate::geometry::{Axis, Face};
use crate::sources::Span;
use crate::values::Rational;

impl<'p> Evaluation<'p> {
    /// The largest size of some boxes on an axis.
    fn largest(&mut self, boxes: &[BoxId], axis: Axis) -> Res<Rational> {
        let mut most = Rational::ZERO;
        for b in boxes {
            most = most.max(self.box_size(*b, axis)?);
        }
        Ok(most)
    }

    /// Height or depth taken up by some boxes of a row.
    fn room_of_boxes(&mut self, row: BoxId, boxes: &[BoxId], axis: Axis) -> Res<(Rational, Rational)> {
        let record = &self.boxes[row.0 as usize];
        let (user, span) = (record.user, record.place.call.span);
        let size = self.largest(boxes, axis)?;
        if axis == Axis::Y {
            let at = self.row_height(row)?;
            return Ok((at, self.exact(user, span, at.add(size))?));
        }
        let rear = self.row_standoff(row)?.neg();
        let rear = self.exact(user, span, rear)?;
        Ok((self.exact(user, span, rear.sub(size))?, rear))
    }

    /// The extent of a row, in the frame of its wall.
    pub(super) fn row_extent(&mut self, row: BoxId, axis: Axis) -> Res<Value<'p>> {
        let list = self.row_list(row)?;
        let (lo, hi) = match axis {
            Axis::X => (self.row_edge(row, 0)?, self.row_edge(row, list.len())?),
            _ => {
                let boxes: Vec<BoxId> = boxes_of(&list);
                self.room_of_boxes(row, &boxes, axis)?
            }
        };
        let frame = self.boxes[row.0 as usize].outer;
        Ok(Value::Range(Range { anchor: Some((axis, frame)), lo, hi }))
    }

    /// The boxes at the left and right of a space of a row.
    pub(super) fn at_both_sides(&mut self, space: SpaceId) -> Res<(BoxId, [Option<BoxId>; 2])> {
        let record = &self.spaces[space.0 as usize];
        let (room, Some(row)) = (record.room, record.owner) else { return Err(Failed) };
        let list = self.row_list(row)?;
        let of = |m: Option<&Member>| match m {
            Some(Member::Box(b)) => Some(*b),
            _ => None,
        };
        Ok(match room {
            Room::RowEnd { right: false } => (row, [None, of(list.first())]),
            Room::RowEnd { right: true } => (row, [of(list.last()), None]),
            _ => {
                let i = self.member_index(row, Member::Gap(space)).ok_or(Failed)?;
                let before = i.checked_sub(1).and_then(|i| list.get(i));
                (row, [of(before), of(list.get(i + 1))])
            }
        })
    }

    /// A range of a space of a row.
    pub(super) fn row_room(&mut self, space: SpaceId, axis: Axis) -> Res<Value<'p>> {
        let (row, sides) = self.at_both_sides(space)?;
        let record = &self.spaces[space.0 as usize];
        let (room, frame, span, scope, name) =
            (record.room, record.frame, record.span, record.scope, record.name);
        let (lo, hi) = match (axis, room) {
            (Axis::X, Room::RowEnd { right }) => {
                let [_, lo, hi, ..] = self.laid_out(row)?;
                let count = self.row_list(row)?.len();
                if right { (self.row_edge(row, count)?, hi) } else { (lo, self.row_edge(row, 0)?) }
            }
            (Axis::X, _) => self.member_range(row, Member::Gap(space))?,
            _ => {
                let mut boxes: Vec<BoxId> = sides.into_iter().flatten().collect();
                if boxes.is_empty() {
                    boxes = boxes_of(&self.row_list(row)?);
                }
                self.room_of_boxes(row, &boxes, axis)?
            }
        };
        if lo >= hi {
            let row_name = self.boxes[row.0 as usize].name.clone();
            let d = Diagnostic::error(
                "no-end-space",
                format!("`{row_name}` leaves no space at its {}.", name.as_str().trim_end_matches("_end")),
                span,
                "no room there",
            )
            .help("Leave some: `ends: [30mm, none]`, the left end, then the right.");
            return Err(self.say(scope, d));
        }
        Ok(Value::Range(Range { anchor: Some((axis, frame)), lo, hi }))
    }

    /// The face of a neighbour that bounds a space of a row.
    pub(super) fn row_bound(
        &mut self,
        space: SpaceId,
        side: Face,
        reader: ScopeId,
        span: Span,
    ) -> Res<Value<'p>> {
        let (row, sides) = self.at_both_sides(space)?;
        let neighbour = match side {
            Face::Left => sides[0],
            Face::Right => sides[1],
            _ => None,
        };
        if let Some(b) = neighbour {
            if let Some(part) = self.part_at(b, side.opposite())? {
                let (from, to) = (self.boxes[b.0 as usize].outer, self.parts[part.0 as usize].frame);
                return Ok(Value::Face(part, self.face_for(side.opposite(), from, to)));
            }
        }
        let (name, row_name) = (self.spaces[space.0 as usize].name, self.boxes[row.0 as usize].name.clone());
        let word = side.word();
        let d = Diagnostic::error(
            "no-bound",
            format!("No box bounds `{row_name}.{name}` at its {word}."),
            span,
            format!("no part at the {word}"),
        )
        .help("Ask for the side where a box stands.");
        Err(self.say(reader, d))
    }

    /// The part of a box's own type that lies along one side of it: the largest there, then by path.
    fn part_at(&mut self, b: BoxId, side: Face) -> Res<Option<PartId>> {
        let record = &self.boxes[b.0 as usize];
        let (outer, user, span) = (record.outer, record.user, record.place.call.span);
        let extras = (!record.place.extras.stmts.is_empty()).then(|| record.layers.last().copied()).flatten();
        let axis = side.axis();
        let end = if side.is_high() { self.box_size(b, axis)? } else { Rational::ZERO };
        let mut best: Option<(Rational, String, PartId)> = None;
        for part in self.boxes[b.0 as usize].parts.clone() {
            let record = &self.parts[part.0 as usize];
            if record.stmt.proud || extras.is_some_and(|e| self.stands_within(record.scope, e)) {
                continue;
            }
            let path = record.path.clone();
            let c = self.part_in(part, outer, user, span)?;
            let at = if side.is_high() { c.on(axis).hi } else { c.on(axis).lo };
            if at != end {
                continue;
            }
            let mut area = Rational::ONE;
            for other in Axis::ALL.into_iter().filter(|a| *a != axis) {
                let size = self.exact(user, span, c.on(other).size())?;
                area = self.exact(user, span, area.mul(size))?;
            }
            let better =
                best.as_ref().is_none_or(|(most, first, _)| area > *most || (area == *most && path < *first));
            if better {
                best = Some((area, path, part));
            }
        }
        Ok(best.map(|(_, _, part)| part))
    }

    fn stands_within(&self, scope: ScopeId, around: ScopeId) -> bool {
        let mut at = Some(scope);
        while let Some(id) = at {
            if id == around {
                return true;
            }
            at = self.scopes[id.0 as usize].parent;
        }
        false
    }

    /// The lists and spaces of a row.
    pub(super) fn row_member(&mut self, row: BoxId, word: &str) -> Res<Option<Value<'p>>> {
        Ok(Some(match word {
            "boxes" => {
                let list = self.row_list(row)?;
                Value::List(boxes_of(&list).into_iter().map(Value::Box).collect::<Vec<_>>().into())
            }
            "runs" => {
                let list = self.row_list(row)?;
                let runs: Vec<Value> = list
                    .split(|m| matches!(m, Member::Gap(_)))
                    .filter(|run| !run.is_empty())
                    .map(|run| {
                        Value::List(boxes_of(run).into_iter().map(Value::Box).collect::<Vec<_>>().into())
                    })
                    .collect();
                Value::List(runs.into())
            }
            "left_end" | "right_end" => match self.rows.get(&row) {
                Some(record) => Value::Space(record.ends[usize::from(word == "right_end")]),
                None => return Ok(None),
            },
            _ => return Ok(None),
        }))
    }

    /// The room at one end of a row, in the frame of its wall; none where it has none.
    pub fn row_end(&mut self, row: BoxId, right: bool) -> Option<(Rational, Rational)> {
        let [_, lo, hi, ..] = self.laid_out(row).ok()?;
        let count = self.row_list(row).ok()?.len();
        let (lo, hi) =
            if right { (self.row_edge(row, count).ok()?, hi) } else { (lo, self.row_edge(row, 0).ok()?) };
        (lo < hi).then_some((lo, hi))
    }

    /// The place of a row's end or gap on all axes is that of its space.
    pub fn row_ends(&self, row: BoxId) -> Option<[SpaceId; 2]> {
        self.rows.get(&row).map(|r| r.ends)
    }

    /// The boxes and gaps of a row that was worked out.
    pub fn row_content(&self, row: BoxId) -> Vec<Member> {
        self.rows.get(&row).map(|r| r.list.clone()).unwrap_or_default()
    }
}

fn boxes_of(list: &[Member]) -> Vec<BoxId> {
    list.iter()
        .filter_map(|m| match m {
            Member::Box(b) => Some(*b),
            Member::Gap(_) => None,
        })
        .collect()
}

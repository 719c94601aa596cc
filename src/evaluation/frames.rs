//! Places in frames: reading them in the reader's directions, and moving them between frames.

use super::machine::{Evaluation, Res};
use super::scope::{BoxId, FrameId, FrameKind, PartId, Root, ScopeId};
use super::value::{Place, Range};
use crate::geometry::{Axis, Cuboid, Face, Interval};
use crate::sources::Span;
use crate::values::Rational;

impl<'p> Evaluation<'p> {
    /// True where x runs against the root's x in a frame.
    pub(super) fn reflected(&self, frame: FrameId) -> bool {
        self.frames[frame.0 as usize].reflected
    }

    /// A coordinate of `from` in `to`; both must share a root.
    pub(super) fn translate(
        &mut self,
        place: Place,
        to: FrameId,
        scope: ScopeId,
        span: Span,
    ) -> Res<Rational> {
        let (mut at, mut from) = (place.at, place.frame);
        if from == to {
            return Ok(at);
        }
        let (a, b) = (self.root_of(from)?, self.root_of(to)?);
        if a != b || a.is_none() {
            return Err(self.two_roots(a, b, scope, span));
        }
        let mut down = Vec::new();
        let mut target = to;
        while from != target {
            let (f, t) = (self.frames[from.0 as usize], self.frames[target.0 as usize]);
            if f.depth >= t.depth {
                at = self.step(f.kind, Place { at, ..place }, true, scope, span)?;
                let Some(parent) = f.parent else { return Err(super::machine::Failed) };
                from = parent;
            } else {
                down.push(target);
                let Some(parent) = t.parent else { return Err(super::machine::Failed) };
                target = parent;
            }
        }
        while let Some(frame) = down.pop() {
            let kind = self.frames[frame.0 as usize].kind;
            at = self.step(kind, Place { at, ..place }, false, scope, span)?;
        }
        Ok(at)
    }

    /// A coordinate over one step between a frame and the frame around it. A reflection is its own
    /// inverse; the corner of a box is added on the way up and taken off on the way down.
    fn step(&mut self, kind: FrameKind, place: Place, up: bool, scope: ScopeId, span: Span) -> Res<Rational> {
        let at = place.at;
        match kind {
            FrameKind::Mirror(b) if place.axis == Axis::X => {
                let width = self.box_size(b, Axis::X)?;
                self.exact(scope, span, width.sub(at))
            }
            FrameKind::Corner(b) => {
                let offset = self.offset_of(b, place.axis)?;
                self.exact(scope, span, if up { at.add(offset) } else { at.sub(offset) })
            }
            _ => Ok(at),
        }
    }

    /// The wall or box that a frame lies in, in the end; none for the site.
    pub fn root_of(&mut self, frame: FrameId) -> Res<Option<BoxId>> {
        match self.frames[frame.0 as usize].root {
            Root::Site => Ok(None),
            Root::Known(b) => Ok(Some(b)),
            Root::Ask(b) => {
                let Some(slot) = self.boxes[b.0 as usize].stands else { return Ok(Some(b)) };
                match self.force(slot)? {
                    super::value::Value::Box(root) => Ok(Some(root)),
                    _ => Ok(Some(b)),
                }
            }
        }
    }

    fn two_roots(
        &mut self,
        a: Option<BoxId>,
        b: Option<BoxId>,
        scope: ScopeId,
        span: Span,
    ) -> super::machine::Failed {
        let name = |b: Option<BoxId>| match b {
            Some(b) => format!("`{}`", self.boxes[b.0 as usize].name),
            None => "the site".to_string(),
        };
        let text = match (a, b) {
            (Some(_), Some(_)) => format!(
                "{} and {} each stand by themselves; a place in one says nothing of the other.",
                name(a),
                name(b)
            ),
            _ => format!("A place in {} says nothing here, outside it.", name(a.or(b))),
        };
        let d = crate::diagnostics::Diagnostic::error("two-roots", text, span, "a place of another root").help(
            "Use a length instead (`b.width`, `b.right.x.size`, or one place minus another of the same box).",
        );
        self.say(scope, d)
    }

    /// The nearest frame outwards in which x runs as the reader sees it.
    pub(super) fn facing(&self, frame: FrameId, reader: FrameId) -> FrameId {
        let mut at = frame;
        while self.reflected(at) != self.reflected(reader) {
            match self.frames[at.0 as usize].parent {
                Some(parent) => at = parent,
                None => break,
            }
        }
        at
    }

    /// A range as the reader sees it: low end first in the reader's directions.
    pub(super) fn read_range(&mut self, range: Range, reader: ScopeId, span: Span) -> Res<Range> {
        let Some((axis, frame)) = range.anchor else { return Ok(range) };
        let to = self.facing(frame, self.scopes[reader.0 as usize].frame);
        self.range_in(range, axis, frame, to, reader, span)
    }

    /// A range moved to another frame, low end first there.
    pub(super) fn range_in(
        &mut self,
        range: Range,
        axis: Axis,
        frame: FrameId,
        to: FrameId,
        scope: ScopeId,
        span: Span,
    ) -> Res<Range> {
        if frame == to {
            return Ok(range);
        }
        let lo = self.translate(Place { axis, frame, at: range.lo }, to, scope, span)?;
        let hi = self.translate(Place { axis, frame, at: range.hi }, to, scope, span)?;
        Ok(Range { anchor: Some((axis, to)), lo: lo.min(hi), hi: lo.max(hi) })
    }

    /// A face as it lies for a reader whose x may run the other way.
    pub(super) fn face_for(&self, face: Face, frame: FrameId, reader: FrameId) -> Face {
        if face.axis() == Axis::X && self.reflected(frame) != self.reflected(reader) {
            face.opposite()
        } else {
            face
        }
    }

    /// Extent of a box in its own frame along an axis, in mm.
    pub(super) fn box_size(&mut self, b: BoxId, axis: Axis) -> Res<Rational> {
        let slot = self.boxes[b.0 as usize].extent[axis as usize];
        self.force_range(slot).map(|r| r.hi)
    }

    /// Where the low corner of a box stands in the frame it was placed in.
    pub(super) fn offset_of(&mut self, b: BoxId, axis: Axis) -> Res<Rational> {
        let slot = self.boxes[b.0 as usize].offset[axis as usize];
        self.force_range(slot).map(|r| r.lo)
    }

    /// A part in the frame of its own text.
    pub fn part_cuboid(&mut self, part: PartId) -> Res<Cuboid> {
        let [x, y, z] = self.parts[part.0 as usize].axes;
        let mut ends = Vec::with_capacity(3);
        let mut failed = false;
        for slot in [x, y, z] {
            match self.force_range(slot) {
                Ok(r) => ends.push(Interval::new(r.lo, r.hi)),
                Err(_) => failed = true,
            }
        }
        match (failed, ends.as_slice()) {
            (false, [x, y, z]) => Ok(Cuboid { x: *x, y: *y, z: *z }),
            _ => Err(super::machine::Failed),
        }
    }

    /// A part in another frame of the same root.
    pub(super) fn part_in(&mut self, part: PartId, to: FrameId, scope: ScopeId, span: Span) -> Res<Cuboid> {
        let own = self.part_cuboid(part)?;
        let frame = self.parts[part.0 as usize].frame;
        if frame == to {
            return Ok(own);
        }
        let mut moved = own;
        for axis in Axis::ALL {
            let r = own.on(axis);
            let range = Range { anchor: Some((axis, frame)), lo: r.lo, hi: r.hi };
            let r = self.range_in(range, axis, frame, to, scope, span)?;
            moved = moved.with(axis, Interval::new(r.lo, r.hi));
        }
        Ok(moved)
    }

    /// The innermost frame around two others, as the reader sees it.
    pub(super) fn common_frame(
        &mut self,
        a: FrameId,
        b: FrameId,
        reader: ScopeId,
        span: Span,
    ) -> Res<FrameId> {
        let (ra, rb) = (self.root_of(a)?, self.root_of(b)?);
        if ra != rb || ra.is_none() {
            return Err(self.two_roots(ra, rb, reader, span));
        }
        let (mut a, mut b) = (a, b);
        while a != b {
            let (fa, fb) = (self.frames[a.0 as usize], self.frames[b.0 as usize]);
            if fa.depth >= fb.depth {
                let Some(parent) = fa.parent else { break };
                a = parent;
            } else {
                let Some(parent) = fb.parent else { break };
                b = parent;
            }
        }
        Ok(self.facing(a, self.scopes[reader.0 as usize].frame))
    }

    /// True where x runs against the root's x in a frame.
    pub fn frame_reflected(&self, frame: FrameId) -> bool {
        self.reflected(frame)
    }

    /// The frame that a text is read in.
    pub fn frame_of(&self, scope: ScopeId) -> FrameId {
        self.scopes[scope.0 as usize].frame
    }

    /// Where a frame lies in its root: whether x runs the other way, and for each axis what is added
    /// (or, reflected, what x is taken from).
    pub fn lie_in_root(&mut self, frame: FrameId) -> Option<(bool, [Rational; 3])> {
        let root = self.root_of(frame).ok()??;
        let to = self.boxes[root.0 as usize].outer;
        let user = self.boxes[root.0 as usize].user;
        let span = self.boxes[root.0 as usize].place.call.span;
        let mut offset = [Rational::ZERO; 3];
        for axis in Axis::ALL {
            let place = Place { axis, frame, at: Rational::ZERO };
            offset[axis as usize] = self.translate(place, to, user, span).ok()?;
        }
        Some((self.reflected(frame), offset))
    }

    /// Axes of a part: length, width, thickness; `None` where it failed.
    pub fn axes_of(&mut self, part: PartId) -> Option<[Axis; 3]> {
        self.part_axes(part).ok()
    }

    /// The wide face of a part that looks out of its box, in the frame of its text.
    pub fn outer_face(&mut self, part: PartId) -> Option<Face> {
        self.boundary_face(part, true).ok().flatten()
    }
}

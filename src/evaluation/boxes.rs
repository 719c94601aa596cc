//! Boxes: making one from its type, its frame, its envelope.

use super::args::Source;
use super::machine::{Evaluation, Failed, MOST_COUNTED, Res};
use super::scope::*;
use super::value::{Range, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Call, Def, DefBody, Envelope, Ident, Kind, PlaceStmt};
use crate::values::{Dimension, Rational};

/// How many boxes of one type may stand in each other.
const MOST_NESTED: usize = 8;

impl<'p> Evaluation<'p> {
    /// The definition that a use names, of the kind that is due.
    pub(super) fn definition(
        &mut self,
        call: &'p Call,
        kind: Kind,
        scope: ScopeId,
    ) -> Res<(super::program::ModuleId, &'p Def)> {
        let module = self.scopes[scope.0 as usize].module;
        let program = self.program;
        match program.find_def(module, call.name.name) {
            Some((home, def)) if def.kind == kind => Ok((home, def)),
            Some((_, def)) => {
                let (is, due) = (def.kind.word(), kind.word());
                let d = Diagnostic::error(
                    "wrong-type-kind",
                    format!("`{}` is a {is}, not a {due}.", call.name.name),
                    call.name.span,
                    format!("a {is}"),
                )
                .label(def.name.span, "defined here")
                .help(format!("Write `{is} …` here, or name a {due} type."));
                Err(self.say(scope, d))
            }
            None => Err(self.unknown_definition(call.name, kind, scope)),
        }
    }

    fn unknown_definition(&mut self, name: Ident, kind: Kind, scope: ScopeId) -> Failed {
        let module = self.program.module(self.scopes[scope.0 as usize].module);
        if module.imports.contains_key(&name.name) || module.lost.contains(&name.name) {
            // Brought in but missing there, or lost in a broken item: said already.
            return Failed;
        }
        let mut names: Vec<&str> = module
            .defs
            .keys()
            .chain(module.imports.keys())
            .filter(|n| {
                self.program
                    .find_def(self.scopes[scope.0 as usize].module, **n)
                    .is_some_and(|(_, d)| d.kind == kind)
            })
            .map(|n| n.as_str())
            .collect();
        names.sort_unstable();
        let mut d = Diagnostic::error(
            "unknown-type-name",
            format!("There is no {} type `{}` here.", kind.word(), name.name),
            name.span,
            "not known here",
        );
        if let Some(library) = self.library_with(name.name) {
            d = d.help(format!("Bring it in at the top of the file: `use {library} ({})`.", name.name));
        } else if let Some(near) = nearest(name.name.as_str(), names.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(name.span, near);
        }
        if !names.is_empty() {
            d = d.note(format!("Known here: {}.", names.join(", ")));
        }
        self.say(scope, d)
    }

    /// A box from its use; nothing in it is worked out yet.
    pub(super) fn make_box(
        &mut self,
        place: &'p PlaceStmt,
        user: ScopeId,
        index: Option<(i64, i64)>,
    ) -> Res<BoxId> {
        let (home, def) = self.definition(&place.call, place.kind, user)?;
        self.refuse_recursion(def, user, place.call.span)?;
        let name_word = place.name.map_or(place.call.name.name, |n| n.name);
        let mut name = name_word.to_string();
        let indices = self.scopes[user.0 as usize].indices.clone();
        for i in &indices {
            name.push_str(&format!("[{i}]"));
        }
        if let Some((i, _)) = index {
            name.push_str(&format!("[{i}]"));
        }
        let within = self.owner(user);
        let path = match within {
            Some(b) => format!("{}.{name}", self.boxes[b.0 as usize].path),
            None => name.clone(),
        };
        let user_frame = self.scopes[user.0 as usize].frame;
        let id = BoxId(self.boxes.len() as u32);
        let parent = self.frames[user_frame.0 as usize];
        let outer = self.push_frame(Frame {
            parent: Some(user_frame),
            kind: FrameKind::Corner(id),
            reflected: parent.reflected,
            depth: parent.depth + 1,
            root: match parent.root {
                Root::Site => Root::Known(id),
                root => root,
            },
        });
        let inner = if place.mirrored {
            let frame = self.frames[outer.0 as usize];
            self.push_frame(Frame {
                parent: Some(outer),
                kind: FrameKind::Mirror(id),
                reflected: !frame.reflected,
                depth: frame.depth + 1,
                root: frame.root,
            })
        } else {
            outer
        };
        let extent = Axis::ALL.map(|a| self.slot(Work::Extent(id, a)));
        let offset = Axis::ALL.map(|a| self.slot(Work::Offset(id, a)));
        // The index is seen by the arguments, which are resolved where the use is written.
        let args_scope = match index {
            Some((i, _)) => {
                let scope = self.inner_scope(user);
                let slot = self.given(Value::number(i));
                let ident = Ident { name: Name::new("index"), span: place.call.name.span };
                self.enter(scope, ident, slot, Reach::Private);
                scope
            }
            None => user,
        };
        let index_slot = index.map(|(i, _)| self.given(Value::number(i)));
        self.boxes.push(BoxRecord {
            name,
            path,
            def,
            module: home,
            within,
            place,
            user,
            outer,
            inner,
            layers: Vec::new(),
            blocks: Vec::new(),
            envelope: None,
            extent,
            offset,
            index: index_slot,
            stands: None,
            parts: Vec::new(),
            spaces: Vec::new(),
        });
        let args = self.sort_args(def, &place.call, args_scope)?;
        self.check_missing(def, &args, place.call.span, user)?;
        self.add_type(id, home, def, &args, place.call.span, user, 0)?;
        if !place.extras.stmts.is_empty() {
            let layers = self.boxes[id.0 as usize].layers.len();
            let extras = self.inner_scope(args_scope);
            let scope = &mut self.scopes[extras.0 as usize];
            scope.owner = Some(id);
            scope.frame = outer;
            scope.corner = true;
            scope.extras_of = Some((id, layers));
            scope.maker = None;
            scope.indices = Vec::new();
            if place.kind == Kind::Row {
                self.add_row(id, extras);
            }
            self.add_layer(id, extras, &place.extras);
        } else if place.kind == Kind::Row {
            self.add_row(id, args_scope);
        }
        self.may_stand(id, user_frame);
        Ok(id)
    }

    fn push_frame(&mut self, frame: Frame) -> FrameId {
        self.frames.push(frame);
        FrameId(self.frames.len() as u32 - 1)
    }

    /// A type may not hold itself without end; a user may stand a few equal boxes in each other.
    fn refuse_recursion(&mut self, def: &'p Def, user: ScopeId, span: Span) -> Res<()> {
        let mut at = self.owner(user);
        let mut within = 0;
        while let Some(b) = at {
            let record = &self.boxes[b.0 as usize];
            within += usize::from(std::ptr::eq(record.def, def));
            at = record.within;
        }
        if within == 0 || (within < MOST_NESTED && !self.reaches(def, user, span)) {
            return Ok(());
        }
        let name = def.name.name;
        let d = Diagnostic::error(
            "contains-itself",
            format!("The type `{name}` contains itself."),
            span,
            format!("another `{name}` inside"),
        )
        .label(def.name.span, "this type")
        .help("Give the inner box a type of its own.");
        Err(self.say(user, d))
    }

    /// True where the text of a definition leads, use by use, to the use at `span`.
    fn reaches(&self, def: &'p Def, user: ScopeId, span: Span) -> bool {
        let (mut span, mut at) = (span, self.owner(user));
        while let Some(text) = self.definition_around(span) {
            if std::ptr::eq(text, def) {
                return true;
            }
            // The box whose type that text is; where it was placed leads on.
            while at.is_some_and(|b| !std::ptr::eq(self.boxes[b.0 as usize].def, text)) {
                at = at.and_then(|b| self.boxes[b.0 as usize].within);
            }
            let Some(b) = at else { return false };
            span = self.boxes[b.0 as usize].place.call.span;
            at = self.boxes[b.0 as usize].within;
        }
        false
    }

    /// The definition in whose text a span lies.
    fn definition_around(&self, span: Span) -> Option<&'p Def> {
        let module = self.program.module(self.program.module_of(span.file)?);
        module.tree.items.iter().find_map(|item| match &item.kind {
            crate::syntax::tree::StmtKind::Def(def)
                if item.span.start <= span.start && span.end <= item.span.end =>
            {
                Some(def)
            }
            _ => None,
        })
    }

    /// Adds the layers of a type: its base's first, then its own.
    #[allow(clippy::too_many_arguments)]
    fn add_type(
        &mut self,
        id: BoxId,
        home: super::program::ModuleId,
        def: &'p Def,
        args: &[Option<Source<'p>>],
        span: Span,
        user: ScopeId,
        level: usize,
    ) -> Res<()> {
        if level > 32 {
            let d = Diagnostic::error(
                "contains-itself",
                format!("The type `{}` is made from itself.", def.name.name),
                def.name.span,
                "derived from itself",
            )
            .help("Name another base after `=`.");
            return Err(self.say(user, d));
        }
        let params = self.definition_scope(home, span, user);
        let inner = self.boxes[id.0 as usize].inner;
        {
            let scope = &mut self.scopes[params.0 as usize];
            scope.owner = Some(id);
            scope.frame = inner;
            scope.corner = true;
            scope.maker = None;
        }
        match &def.body {
            DefBody::Block(block) => {
                self.enter_params(def, args, params);
                self.add_layer(id, params, block);
                Ok(())
            }
            DefBody::Derived(call, extras) => {
                self.enter_params(def, args, params);
                let (base_home, base) = self.definition(call, def.kind, params)?;
                let base_args = self.sort_args(base, call, params)?;
                self.check_missing(base, &base_args, call.span, params)?;
                self.add_type(id, base_home, base, &base_args, call.span, params, level + 1)?;
                let layers = self.boxes[id.0 as usize].layers.len();
                self.scopes[params.0 as usize].extras_of = Some((id, layers));
                self.add_layer(id, params, extras);
                Ok(())
            }
            DefBody::Value(..) => Err(Failed),
        }
    }

    fn add_layer(&mut self, id: BoxId, scope: ScopeId, block: &'p crate::syntax::tree::Block) {
        let record = &mut self.boxes[id.0 as usize];
        record.layers.push(scope);
        record.blocks.push((block, scope));
        self.declare(block, scope);
    }

    /// A counted use: `box upper[4] = …`.
    pub(super) fn counted_boxes(&mut self, place: &'p PlaceStmt, scope: ScopeId) -> Res<Value<'p>> {
        let Some(count) = &place.count else { return Err(Failed) };
        let n = self.whole(count, scope)?;
        if n > MOST_COUNTED {
            self.made_from(&[count], scope);
            return Err(self.too_many(scope, count.span, n));
        }
        let mut list = Vec::new();
        for i in 1..=n {
            list.push(Value::Box(self.make_box(place, scope, Some((i, n)))?));
        }
        Ok(Value::List(list.into()))
    }

    pub(super) fn envelope(&mut self, b: BoxId) -> Res<(&'p Envelope, ScopeId, Span)> {
        if let Some(found) = self.boxes[b.0 as usize].envelope {
            return Ok(found);
        }
        let record = &self.boxes[b.0 as usize];
        let (def, user, span) = (record.def, record.user, record.place.call.span);
        // A type whose envelope could not be read has had its message.
        let broken = record.blocks.iter().any(|(block, _)| {
            block.stmts.iter().any(|s| matches!(s.kind, crate::syntax::tree::StmtKind::Broken))
        });
        if broken {
            return Err(Failed);
        }
        let kind = def.kind.word();
        let d = Diagnostic::error(
            "no-envelope",
            format!("The {kind} type `{}` has no envelope.", def.name.name),
            def.name.span,
            "how large is it?",
        )
        .label(span, "used here")
        .help("Add `envelope (width, height, depth)` as its first statement.");
        Err(self.say(user, d))
    }

    /// The extent of a box in its own frame: from nought to its size.
    pub(super) fn box_extent(&mut self, b: BoxId, axis: Axis) -> Res<Value<'p>> {
        if self.rows.contains_key(&b) {
            return self.row_extent(b, axis);
        }
        let (envelope, scope, _) = self.envelope(b)?;
        let outer = self.boxes[b.0 as usize].outer;
        let (size, span, e) = match envelope {
            Envelope::Sizes(x, y, z) => {
                let e = [x, y, z][axis as usize];
                (self.length(e, scope)?, e.span, Some(e))
            }
            Envelope::Space(e) => {
                let range = self.envelope_space(e, axis, scope)?;
                (self.exact(scope, e.span, range.hi.sub(range.lo))?, e.span, None)
            }
            Envelope::Ranges(fields, span) => {
                let range = self.envelope_range(b, fields, *span, axis, scope)?;
                (self.exact(scope, *span, range.hi.sub(range.lo))?, *span, None)
            }
        };
        if !size.is_positive() {
            let word = ["width", "height", "depth"][axis as usize];
            let mut d = Diagnostic::error(
                "empty-box",
                format!("A box cannot be {} in {word}.", self.show(size)),
                span,
                format!("comes to {}", self.show(size)),
            )
            .help("Give it a size above nought.");
            d.misses.extend(size.neg());
            if let Some(e) = e {
                d.labels.extend(self.literal_labels(e, scope));
            }
            return Err(self.say(scope, d));
        }
        Ok(Value::Range(Range { anchor: Some((axis, outer)), lo: Rational::ZERO, hi: size }))
    }

    pub(super) fn envelope_space(
        &mut self,
        e: &'p crate::syntax::tree::Expr,
        axis: Axis,
        scope: ScopeId,
    ) -> Res<Range> {
        match self.eval(e, scope)? {
            Value::Space(space) => {
                let slot = self.spaces[space.0 as usize].axes[axis as usize];
                self.force_range(slot)
            }
            other => Err(self.wrong_kind(scope, e, &other, "a space")),
        }
    }

    /// A range of an envelope that is written in the user's frame.
    pub(super) fn envelope_range(
        &mut self,
        b: BoxId,
        fields: &'p [crate::syntax::tree::Field],
        span: Span,
        axis: Axis,
        scope: ScopeId,
    ) -> Res<Range> {
        let user = self.boxes[b.0 as usize].user;
        let (frame, corner) = {
            let s = &self.scopes[user.0 as usize];
            (s.frame, s.corner)
        };
        let name = self.boxes[b.0 as usize].name.clone();
        let field = self.axis_field(fields, axis, span, scope, &name)?;
        let reader = self.inner_scope(scope);
        self.scopes[reader.0 as usize].frame = frame;
        self.scopes[reader.0 as usize].corner = corner;
        self.range_expr(&field.value, reader, Some(axis), None)
    }

    /// Where the low corner of a box stands in the frame it was placed in, as an empty range.
    pub(super) fn box_offset(&mut self, b: BoxId, axis: Axis) -> Res<Value<'p>> {
        let record = &self.boxes[b.0 as usize];
        let (place, user) = (record.place, record.user);
        let stands = match self.boxes[b.0 as usize].stands {
            Some(slot) => self.force(slot)?,
            None => Value::None,
        };
        let frame = match stands {
            Value::Box(root) => self.boxes[root.0 as usize].outer,
            _ => self.scopes[user.0 as usize].frame,
        };
        if self.rows.contains_key(&b) {
            // A row counts as its wall does.
            return Ok(Value::Range(Range {
                anchor: Some((axis, frame)),
                lo: Rational::ZERO,
                hi: Rational::ZERO,
            }));
        }
        if let Some(row) = self.row_of(b) {
            let at = self.member_place(row, b, axis)?;
            return Ok(Value::Range(Range { anchor: Some((axis, frame)), lo: at, hi: at }));
        }
        let (envelope, scope, _) = self.envelope(b)?;
        let root = frame == SITE;
        let at = match envelope {
            Envelope::Sizes(..) => match (&place.at, root) {
                (Some((at, span)), false) => match at.as_slice() {
                    [x, y, z] => {
                        let e = [x, y, z][axis as usize];
                        match self.eval(e, user)? {
                            Value::Place(p) if p.axis == axis => self.translate(p, frame, user, e.span)?,
                            Value::Quantity(q) if q.dimension == Dimension::LENGTH => {
                                self.need_corner(user, e.span)?;
                                q.value
                            }
                            other => return Err(self.wrong_kind(user, e, &other, "a place or a length")),
                        }
                    }
                    _ => {
                        return Err(self.error_at(
                            user,
                            "no-place",
                            "A place in a box has three coordinates: `at (x, y, z)`.",
                            *span,
                            "not three",
                        ));
                    }
                },
                (None, false) => {
                    let name = self.boxes[b.0 as usize].name.clone();
                    let outer = self.boxes[b.0 as usize]
                        .within
                        .map(|o| self.boxes[o.0 as usize].name.clone())
                        .unwrap_or_default();
                    let d = Diagnostic::error(
                        "no-place",
                        format!("`{name}` stands in `{outer}`, and nothing says where."),
                        place.call.span,
                        "where does it stand?",
                    )
                    .help("Add `at (x, y, z)` after it: where its left-bottom-front corner stands.");
                    return Err(self.say(user, d));
                }
                (_, true) => Rational::ZERO,
            },
            Envelope::Space(e) => {
                let space = match self.eval(e, scope)? {
                    Value::Space(space) => space,
                    other => return Err(self.wrong_kind(scope, e, &other, "a space")),
                };
                if root {
                    let d = Diagnostic::error(
                        "no-place",
                        format!(
                            "`{}` fills a space of a box, so it stands in that box.",
                            place.call.name.name
                        ),
                        place.call.span,
                        "outside the box",
                    )
                    .help("Write it in the braces after that box.");
                    return Err(self.say(user, d));
                }
                let slot = self.spaces[space.0 as usize].axes[axis as usize];
                let range = self.force_range(slot)?;
                let Some((axis, from)) = range.anchor else { return Err(Failed) };
                let r = self.range_in(range, axis, from, frame, user, e.span)?;
                r.lo
            }
            Envelope::Ranges(fields, span) => {
                if root {
                    Rational::ZERO
                } else {
                    let range = self.envelope_range(b, fields, *span, axis, scope)?;
                    match range.anchor {
                        Some((axis, from)) => self.range_in(range, axis, from, frame, user, *span)?.lo,
                        None => range.lo,
                    }
                }
            }
        };
        Ok(Value::Range(Range { anchor: Some((axis, frame)), lo: at, hi: at }))
    }
}

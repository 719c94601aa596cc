//! Statements: first every name of a block is declared, then, in any order, all is worked out.

use super::machine::{Evaluation, Failed, Res};
use super::records::AcceptRecord;
use super::scope::*;
use super::value::Value;
use crate::diagnostics::{Diagnostic, Severity};
use crate::geometry::Axis;
use crate::syntax::Name;
use crate::syntax::tree::{Block, Ident, If, Kind, PlaceStmt, Rule, Stmt, StmtKind};

impl<'p> Evaluation<'p> {
    /// Declares the names of a block in its scope; nothing is worked out.
    pub(super) fn declare(&mut self, block: &'p Block, scope: ScopeId) {
        for stmt in &block.stmts {
            self.declare_stmt(stmt, scope);
        }
    }

    pub(super) fn declare_stmt(&mut self, stmt: &'p Stmt, scope: ScopeId) {
        match &stmt.kind {
            StmtKind::Let(l) => {
                let slot = self.slot(Work::Expr(&l.value, scope));
                self.enter(scope, l.name, slot, Reach::Private);
            }
            StmtKind::Part(part) => {
                let slot = if part.count.is_some() {
                    self.slot(Work::PartList(part, scope))
                } else {
                    match self.add_part(part, part.name, scope, None, None) {
                        Ok(id) => self.given(Value::Part(id)),
                        Err(Failed) => self.failed_slot(),
                    }
                };
                self.enter(scope, part.name, slot, Reach::Public);
            }
            StmtKind::Pair(pair) => {
                let first = self.add_part(&pair.first, pair.first.name, scope, None, None);
                let second = match first {
                    Ok(a) => self.add_part(&pair.first, pair.second, scope, None, Some(a)),
                    Err(failed) => Err(failed),
                };
                for (ident, id) in [(pair.first.name, first), (pair.second, second)] {
                    let slot = match id {
                        Ok(id) => self.given(Value::Part(id)),
                        Err(Failed) => self.failed_slot(),
                    };
                    self.enter(scope, ident, slot, Reach::Public);
                }
            }
            StmtKind::Space(space) => {
                let id = SpaceId(self.spaces.len() as u32);
                let axes = Axis::ALL.map(|a| self.slot(Work::SpaceAxis(id, a)));
                let (owner, frame) = {
                    let s = &self.scopes[scope.0 as usize];
                    (s.owner, s.frame)
                };
                self.spaces.push(SpaceRecord {
                    name: space.name.name,
                    owner,
                    room: Room::Written(space),
                    span: space.name.span,
                    scope,
                    frame,
                    axes,
                });
                if let Some(b) = owner {
                    self.boxes[b.0 as usize].spaces.push(id);
                }
                let slot = self.given(Value::Space(id));
                self.enter(scope, space.name, slot, Reach::Public);
            }
            StmtKind::Envelope(envelope) => {
                let Some(b) = self.owner(scope) else { return };
                if let Some((_, _, first)) = self.boxes[b.0 as usize].envelope {
                    let d = Diagnostic::error(
                        "envelope-twice",
                        "A box has one envelope.",
                        stmt.span,
                        "a second one",
                    )
                    .label(first, "the first one")
                    .help("Remove one of them.");
                    self.push(scope, d);
                    return;
                }
                self.boxes[b.0 as usize].envelope = Some((envelope, scope, stmt.span));
            }
            StmtKind::Gap(gap) => {
                let Some(row) = self.owner(scope) else { return };
                let id = self.row_space(row, gap.name, Room::Gap(&gap.value), scope);
                let slot = self.given(Value::Space(id));
                self.enter(scope, gap.name, slot, Reach::Public);
            }
            StmtKind::Field(field) => {
                let slot = self.slot(Work::Expr(&field.value, scope));
                self.enter(scope, field.label, slot, Reach::Public);
            }
            StmtKind::Place(place) if placed(place.kind) => {
                let Some(name) = place.name else { return };
                let work = match place.count {
                    Some(_) => Work::BoxList(place, scope),
                    None => Work::Box(place, scope),
                };
                let slot = self.slot(work);
                self.enter(scope, name, slot, Reach::Public);
            }
            StmtKind::Place(place) => {
                if let Some(name) = place.name {
                    let slot = self.failed_slot();
                    self.enter(scope, name, slot, Reach::Public);
                }
            }
            StmtKind::For(f) => {
                let id = ForId(self.fors.len() as u32);
                let list = self.slot(Work::ForList(id));
                self.fors.push(ForRecord { stmt: f, scope, list, rounds: Vec::new() });
                self.scopes[scope.0 as usize].loops.push((f, id));
                for ident in defined(&f.body) {
                    let slot = self.slot(Work::ForMember(id, ident.name));
                    self.enter(scope, ident, slot, Reach::Public);
                }
            }
            StmtKind::If(i) => self.declare_if(i, scope),
            _ => {}
        }
    }

    fn declare_if(&mut self, i: &'p If, scope: ScopeId) {
        let id = IfId(self.ifs.len() as u32);
        let condition = self.slot(Work::IfCondition(id));
        self.ifs.push(IfRecord { stmt: i, scope, condition, taken: None });
        self.scopes[scope.0 as usize].ifs.push((i, id));
        for ident in defined_by_if(i) {
            let slot = self.slot(Work::IfMember(id, ident.name));
            self.enter(scope, ident, slot, Reach::Public);
        }
    }

    fn failed_slot(&mut self) -> SlotId {
        let slot = self.slot(Work::Given);
        self.slots[slot.0 as usize].state = State::Failed;
        slot
    }

    /// The list of a `for`; its rounds get their scopes and names here.
    pub(super) fn for_rounds(&mut self, id: ForId) -> Res<Value<'p>> {
        let (stmt, scope) = {
            let f = &self.fors[id.0 as usize];
            (f.stmt, f.scope)
        };
        let rounds = self.rounds(&stmt.each, scope)?;
        for round in &rounds {
            self.declare_inside(&stmt.body, *round);
        }
        self.fors[id.0 as usize].rounds = rounds;
        Ok(Value::None)
    }

    /// Declares a block whose names the scope around already holds under its own slots.
    fn declare_inside(&mut self, block: &'p Block, scope: ScopeId) {
        let parent = self.scopes[scope.0 as usize].parent;
        // The names around are those of this very block, seen from outside.
        self.scopes[scope.0 as usize].parent = None;
        self.declare(block, scope);
        self.scopes[scope.0 as usize].parent = parent;
    }

    pub(super) fn for_member(&mut self, id: ForId, name: Name) -> Res<Value<'p>> {
        let list = self.fors[id.0 as usize].list;
        self.force(list)?;
        let mut values = Vec::new();
        for round in self.fors[id.0 as usize].rounds.clone() {
            if let Some(entry) = super::names::find(&self.scopes[round.0 as usize], name) {
                let slot = entry.slot;
                values.push(self.force(slot)?);
            }
        }
        Ok(Value::List(values.into()))
    }

    pub(super) fn if_condition(&mut self, id: IfId) -> Res<Value<'p>> {
        let (stmt, scope) = {
            let i = &self.ifs[id.0 as usize];
            (i.stmt, i.scope)
        };
        let yes = self.flag(&stmt.condition, scope)?;
        let branch = if yes { Some(&stmt.then) } else { stmt.otherwise.as_ref() };
        if let Some(block) = branch {
            let inside = self.inner_scope(scope);
            self.declare_inside(block, inside);
            self.ifs[id.0 as usize].taken = Some(inside);
        }
        Ok(Value::Flag(yes))
    }

    pub(super) fn if_member(&mut self, id: IfId, name: Name) -> Res<Value<'p>> {
        let condition = self.ifs[id.0 as usize].condition;
        self.force(condition)?;
        if let Some(inside) = self.ifs[id.0 as usize].taken {
            if let Some(entry) = super::names::find(&self.scopes[inside.0 as usize], name) {
                let slot = entry.slot;
                return self.force(slot);
            }
        }
        let (stmt, scope) = {
            let i = &self.ifs[id.0 as usize];
            (i.stmt, i.scope)
        };
        let text = self.source(&stmt.condition);
        // The one who reads it is on the stack below this slot.
        let reader = self.stack.iter().rev().nth(1).map(|s| self.slot_site(*s));
        let mut d = Diagnostic::error(
            "left-out",
            format!("`{name}` is left out here: the condition `{text}` is not met."),
            stmt.condition.span,
            "not met",
        );
        if let Some((span, _)) = reader {
            d.labels.insert(0, crate::diagnostics::Label::new(span, format!("reads `{name}`")));
        }
        d.labels.extend(self.literal_labels(&stmt.condition, scope));
        d.misses = self.shortfalls(&stmt.condition, scope);
        let scope = reader.map_or(scope, |(_, s)| s);
        Err(self.say(scope, d.help("Meet the condition, or do not read what it leaves out.")))
    }

    /// Runs every statement of a block, what it requires first: where that does not hold the rest is not
    /// run, and the answer is no. One fault, one message.
    pub(super) fn run(&mut self, block: &'p Block, scope: ScopeId) -> bool {
        let mut holds = true;
        for stmt in &block.stmts {
            if let StmtKind::Require(rule) = &stmt.kind {
                holds &= self.rule(rule, scope, Severity::Error);
            }
        }
        if !holds {
            return false;
        }
        for stmt in &block.stmts {
            if !matches!(stmt.kind, StmtKind::Require(_)) {
                holds &= self.run_stmt(stmt, scope);
            }
        }
        holds
    }

    /// Runs one statement; no where something in it is required and does not hold.
    pub(super) fn run_stmt(&mut self, stmt: &'p Stmt, scope: ScopeId) -> bool {
        match &stmt.kind {
            StmtKind::Let(l) => self.run_name(l.name.name, scope),
            StmtKind::Part(part) => {
                if let Some(Ok(value)) = self.own_value(part.name.name, scope) {
                    self.run_parts(&value);
                }
            }
            StmtKind::Pair(pair) => {
                for name in [pair.first.name.name, pair.second.name] {
                    if let Some(Ok(value)) = self.own_value(name, scope) {
                        self.run_parts(&value);
                    }
                }
            }
            StmtKind::Space(space) => {
                if let Some(Ok(Value::Space(id))) = self.own_value(space.name.name, scope) {
                    for slot in self.spaces[id.0 as usize].axes {
                        let _ = self.force(slot);
                    }
                }
            }
            StmtKind::Place(place) => self.run_place(place, scope),
            StmtKind::Verb(verb) => {
                let _ = self.verb(&verb.call, scope);
            }
            StmtKind::For(f) => {
                let found = self.scopes[scope.0 as usize].loops.iter().find(|(p, _)| std::ptr::eq(*p, f));
                let Some((_, id)) = found.copied() else { return true };
                let list = self.fors[id.0 as usize].list;
                if self.force(list).is_ok() {
                    for round in self.fors[id.0 as usize].rounds.clone() {
                        if !self.run(&f.body, round) {
                            return false;
                        }
                    }
                }
            }
            StmtKind::If(i) => {
                let found = self.scopes[scope.0 as usize].ifs.iter().find(|(p, _)| std::ptr::eq(*p, i));
                let Some((_, id)) = found.copied() else { return true };
                let condition = self.ifs[id.0 as usize].condition;
                if let (Ok(Value::Flag(yes)), Some(inside)) =
                    (self.force(condition), self.ifs[id.0 as usize].taken)
                {
                    let block = if yes { Some(&i.then) } else { i.otherwise.as_ref() };
                    if let Some(block) = block {
                        return self.run(block, inside);
                    }
                }
            }
            StmtKind::Require(rule) => return self.rule(rule, scope, Severity::Error),
            StmtKind::Warn(rule) => {
                self.rule(rule, scope, Severity::Warning);
            }
            StmtKind::Broken => {
                // What it was to join or place is not known: no second message for that.
                self.failed_boxes.extend(self.owner(scope));
            }
            StmtKind::Accept(accept) => {
                let Ok(because) = self.text(&accept.because, scope) else { return true };
                let owner = self.owner(scope);
                self.records.accepts.push(AcceptRecord {
                    code: accept.code.0.clone(),
                    because,
                    owner,
                    span: stmt.span,
                    scope,
                });
            }
            StmtKind::Gap(gap) => {
                if let Some(Ok(Value::Space(id))) = self.own_value(gap.name.name, scope) {
                    let slot = self.spaces[id.0 as usize].axes[0];
                    let _ = self.force(slot);
                }
            }
            StmtKind::Field(field) => self.run_name(field.label.name, scope),
            _ => {}
        }
        true
    }

    fn own_value(&mut self, name: Name, scope: ScopeId) -> Option<Res<Value<'p>>> {
        let slot = super::names::find(&self.scopes[scope.0 as usize], name)?.slot;
        Some(self.force(slot))
    }

    fn run_name(&mut self, name: Name, scope: ScopeId) {
        let _ = self.own_value(name, scope);
    }

    fn run_parts(&mut self, value: &Value<'p>) {
        match value {
            Value::Part(id) => {
                let ok = self.part_cuboid(*id).is_ok() && self.part_axes(*id).is_ok();
                if !ok {
                    self.failed_boxes.push(self.parts[id.0 as usize].owner);
                }
            }
            Value::List(list) => {
                for v in list.iter() {
                    self.run_parts(v);
                }
            }
            _ => {}
        }
    }

    fn run_place(&mut self, place: &'p PlaceStmt, scope: ScopeId) {
        match place.kind {
            Kind::Box | Kind::Wall | Kind::Row | Kind::Obstacle => {
                let Some(name) = place.name else { return };
                match self.own_value(name.name, scope) {
                    Some(Ok(Value::Box(b))) => self.run_box(b),
                    Some(Ok(Value::List(list))) => {
                        for v in list.iter() {
                            if let Value::Box(b) = v {
                                self.run_box(*b);
                            }
                        }
                    }
                    _ => {
                        if let Some(owner) = self.owner(scope) {
                            self.failed_boxes.push(owner);
                        }
                    }
                }
            }
            Kind::Joint | Kind::Fitting => {
                if self.run_joint(place, scope).is_err() {
                    if let Some(owner) = self.owner(scope) {
                        self.failed_boxes.push(owner);
                    }
                }
            }
            Kind::Board | Kind::Band | Kind::Item | Kind::Fn => {}
        }
    }

    fn run_box(&mut self, b: BoxId) {
        for slot in self.boxes[b.0 as usize].extent {
            if self.force(slot).is_err() {
                self.failed_boxes.push(b);
            }
        }
        for slot in self.boxes[b.0 as usize].offset {
            if self.force(slot).is_err() {
                self.failed_boxes.push(b);
            }
        }
        // Every argument is worked out, also one that nothing reads.
        for layer in self.boxes[b.0 as usize].layers.clone() {
            let slots: Vec<SlotId> = self.scopes[layer.0 as usize]
                .entries
                .iter()
                .map(|e| e.slot)
                .filter(|s| matches!(self.slots[s.0 as usize].work, Work::Param(..)))
                .collect();
            for slot in slots {
                let _ = self.force(slot);
            }
        }
        for (block, scope) in self.boxes[b.0 as usize].blocks.clone() {
            if !self.run(block, scope) {
                self.refused_boxes.push(b);
                return;
            }
        }
    }

    /// `require` and `warn`: what fails is said with the figures of every name in the condition.
    fn rule(&mut self, rule: &'p Rule, scope: ScopeId, severity: Severity) -> bool {
        let Ok(holds) = self.flag(&rule.condition, scope) else { return true };
        if holds {
            return true;
        }
        let Ok(message) = self.text(&rule.message, scope) else { return false };
        let code = self.rule_code(rule.code);
        let condition = self.source(&rule.condition);
        let mut d = Diagnostic::new(
            code.into(),
            severity,
            message,
            rule.condition.span,
            format!("does not hold: {condition}"),
        );
        for piece in &rule.message.pieces {
            if let crate::syntax::tree::Piece::Value(e) = piece {
                self.pending.push(super::faults::Cause::Expr(e, scope));
            }
        }
        d.labels.extend(self.literal_labels(&rule.condition, scope));
        d.misses = self.shortfalls(&rule.condition, scope);
        let values = self.condition_values(&rule.condition, scope);
        if !values.is_empty() {
            d = d.note(format!("Here {}.", values.join(", ")));
        }
        self.push(scope, d);
        false
    }

    /// Runs the root file: its boxes and what joins them.
    pub fn run_root(&mut self) {
        let program = self.program;
        let root = super::program::ModuleId(0);
        let Some(module) = program.modules.first() else { return };
        let scope = self.file_scope(root);
        let mut houses = module.tree.items.iter().filter_map(|i| match &i.kind {
            StmtKind::House(fields) => Some((fields, i.span)),
            _ => None,
        });
        if let Some((fields, first)) = houses.next() {
            self.house = Some(fields);
            if let Some((_, span)) = houses.next() {
                let d = Diagnostic::error("house-twice", "There is one `house` block.", span, "a second one")
                    .label(first, "the first one")
                    .help("Put its fields into the first one.");
                self.push(scope, d);
            }
        }
        self.read_style();
        self.check_house(scope);
        for other in program.modules.iter().skip(1) {
            let stray = other.tree.items.iter().find(|i| matches!(i.kind, StmtKind::House(_)));
            if let Some(item) = stray {
                let d = Diagnostic::error(
                    "house-not-in-root",
                    "Only the file named on the command line has a `house` block.",
                    item.span,
                    "in a file that is brought in",
                )
                .help("Move it to the root file.");
                self.push(scope, d);
            }
        }
        for item in &module.tree.items {
            if !matches!(item.kind, StmtKind::Let(_)) {
                self.declare_stmt(item, scope);
            }
        }
        for item in &module.tree.items {
            self.run_stmt(item, scope);
        }
    }
}

/// Kinds that stand somewhere and are kept as boxes are.
fn placed(kind: Kind) -> bool {
    matches!(kind, Kind::Box | Kind::Wall | Kind::Row | Kind::Obstacle)
}

/// The names a block defines for the scope around it; `let` is the block's own.
fn defined(block: &Block) -> Vec<Ident> {
    let mut names = Vec::new();
    for stmt in &block.stmts {
        match &stmt.kind {
            StmtKind::Part(p) => names.push(p.name),
            StmtKind::Pair(p) => names.extend([p.first.name, p.second]),
            StmtKind::Space(s) => names.push(s.name),
            StmtKind::Place(p) if placed(p.kind) => names.extend(p.name),
            StmtKind::Gap(g) => names.push(g.name),
            StmtKind::For(f) => names.extend(defined(&f.body)),
            StmtKind::If(i) => names.extend(defined_by_if(i)),
            _ => {}
        }
    }
    names
}

/// The names of either branch: a name in both is one name.
fn defined_by_if(i: &If) -> Vec<Ident> {
    let mut names = defined(&i.then);
    for ident in i.otherwise.iter().flat_map(defined) {
        if !names.iter().any(|n| n.name == ident.name) {
            names.push(ident);
        }
    }
    names
}

//! Which numbers of the maker's own text are open to change, and which are facts: measured, or bought as
//! they are.

use crate::evaluation::{ModuleId, Program};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{
    Arg, Block, Call, Def, DefBody, Each, Envelope, Expr, ExprKind, Kind, Let, Operator, Piece, PlaceStmt,
    Stmt, StmtKind,
};
use crate::values::Dimension;
use std::collections::{BTreeMap, BTreeSet};

/// House fields that say what the saws take, and in what steps figures go.
const OF_THE_SHOP: [&str; 5] = ["step", "print", "kerf", "track_kerf", "trim"];

/// What the numbers of a program are.
#[derive(Default, Debug)]
pub struct Facts {
    /// Measured at the site or on a board, or of what is bought: never offered.
    measured: BTreeSet<Span>,
    /// Says which of several things is meant.
    choosing: BTreeSet<Span>,
    /// In the condition of a rule: offered only where nothing else would do.
    ruled: BTreeSet<Span>,
}

impl Facts {
    /// Walks the maker's own files.
    pub fn of(program: &Program) -> Facts {
        let mut walk = Walk { program, facts: Facts::default(), lets: BTreeMap::new(), due: Vec::new() };
        for (index, module) in program.modules.iter().enumerate().filter(|(_, m)| !m.library) {
            let id = ModuleId(index as u32);
            for item in &module.tree.items {
                walk.stmt(item, id, Of::Open);
            }
        }
        walk.follow();
        walk.facts
    }

    /// True for a measured fact.
    pub fn measured(&self, span: Span) -> bool {
        self.measured.contains(&span)
    }

    /// True for a number that says which of several things is meant.
    pub fn choosing(&self, span: Span) -> bool {
        self.choosing.contains(&span)
    }

    /// True for a number in the condition of a rule.
    pub fn ruled(&self, span: Span) -> bool {
        self.ruled.contains(&span)
    }
}

/// A `let`, by its file and name. Local ones count with those of their file.
type Key = (u32, &'static str);

/// What an expression stands in.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Of {
    Open,
    Fact,
    Rule,
    /// Which of several things is meant: another number means another thing, not another size.
    Place,
}

struct Walk<'p> {
    program: &'p Program,
    facts: Facts,
    lets: BTreeMap<Key, Vec<&'p Expr>>,
    /// Names that a measured figure is read from.
    due: Vec<Key>,
}

impl<'p> Walk<'p> {
    fn stmt(&mut self, stmt: &'p Stmt, module: ModuleId, of: Of) {
        match &stmt.kind {
            StmtKind::Use(_) | StmtKind::Accept(_) | StmtKind::Broken | StmtKind::Test(_) => {}
            StmtKind::Expect(_) => {}
            StmtKind::House(fields) => {
                for field in fields {
                    let of = if OF_THE_SHOP.contains(&field.label.name.as_str()) { Of::Fact } else { of };
                    self.expr(&field.value, module, of);
                }
            }
            StmtKind::HouseField(field) => {
                if let Some(e) = &field.default {
                    self.expr(e, module, of);
                }
            }
            StmtKind::Def(def) => self.def(def, module),
            StmtKind::Let(l) => self.binding(l, module, of),
            StmtKind::Gap(l) => self.expr(&l.value, module, of),
            StmtKind::Part(part) => self.part(part, module, of),
            StmtKind::Pair(pair) => self.part(&pair.first, module, of),
            StmtKind::Space(space) => {
                for field in &space.ranges {
                    self.expr(&field.value, module, of);
                }
            }
            StmtKind::Envelope(Envelope::Sizes(x, y, z)) => {
                for e in [x, y, z] {
                    self.expr(e, module, of);
                }
            }
            StmtKind::Envelope(Envelope::Space(e)) => self.expr(e, module, of),
            StmtKind::Envelope(Envelope::Ranges(fields, _)) => {
                for field in fields {
                    self.expr(&field.value, module, of);
                }
            }
            StmtKind::Place(place) => self.place(place, module, of),
            StmtKind::Verb(verb) => self.call(&verb.call, module, of),
            StmtKind::For(each) => {
                self.each(&each.each, module, of);
                self.block(&each.body, module, of);
            }
            StmtKind::If(i) => {
                self.expr(&i.condition, module, of);
                self.block(&i.then, module, of);
                if let Some(block) = &i.otherwise {
                    self.block(block, module, of);
                }
            }
            StmtKind::Require(rule) | StmtKind::Warn(rule) => {
                self.expr(&rule.condition, module, Of::Rule);
            }
            StmtKind::Field(field) => self.expr(&field.value, module, of),
        }
    }

    fn block(&mut self, block: &'p Block, module: ModuleId, of: Of) {
        for stmt in &block.stmts {
            self.stmt(stmt, module, of);
        }
    }

    fn def(&mut self, def: &'p Def, module: ModuleId) {
        let of = match def.kind {
            Kind::Board | Kind::Band | Kind::Wall | Kind::Obstacle => Of::Fact,
            _ => Of::Open,
        };
        for param in &def.params {
            if let Some(e) = &param.default {
                self.expr(e, module, of);
            }
        }
        match &def.body {
            DefBody::Block(block) => self.block(block, module, of),
            DefBody::Value(_, e) => self.expr(e, module, of),
            DefBody::Derived(call, block) => {
                self.call(call, module, of);
                self.block(block, module, of);
            }
        }
    }

    fn binding(&mut self, l: &'p Let, module: ModuleId, of: Of) {
        self.lets.entry((module.0, l.name.name.as_str())).or_default().push(&l.value);
        self.expr(&l.value, module, of);
    }

    fn part(&mut self, part: &'p crate::syntax::tree::PartStmt, module: ModuleId, of: Of) {
        if let Some(count) = &part.count {
            self.expr(count, module, of);
        }
        self.expr(&part.board, module, of);
        for field in &part.ranges {
            self.expr(&field.value, module, of);
        }
    }

    fn place(&mut self, place: &'p PlaceStmt, module: ModuleId, of: Of) {
        let of = if matches!(place.kind, Kind::Wall | Kind::Obstacle) { Of::Fact } else { of };
        if let Some(count) = &place.count {
            self.expr(count, module, of);
        }
        self.call(&place.call, module, of);
        for e in place.at.iter().flat_map(|(at, _)| at) {
            self.expr(e, module, of);
        }
        self.block(&place.extras, module, Of::Open);
    }

    fn each(&mut self, each: &'p Each, module: ModuleId, of: Of) {
        self.expr(&each.list, module, of);
        if let Some(e) = &each.condition {
            self.expr(e, module, of);
        }
    }

    /// A call of a board that says how thick it was measured, or of a band, holds facts.
    fn call(&mut self, call: &'p Call, module: ModuleId, of: Of) {
        let def = self.program.find_def(module, call.name.name).map(|(_, def)| def);
        for (place, arg) in call.args.iter().enumerate() {
            let of = if is_bought(def, place, arg) { Of::Fact } else { of };
            self.expr(&arg.value, module, of);
        }
    }

    fn expr(&mut self, e: &'p Expr, module: ModuleId, of: Of) {
        match &e.kind {
            ExprKind::Number(_) => match of {
                Of::Open => {}
                Of::Rule => drop(self.facts.ruled.insert(e.span)),
                Of::Fact => drop(self.facts.measured.insert(e.span)),
                Of::Place => drop(self.facts.choosing.insert(e.span)),
            },
            ExprKind::Name(name) => {
                if of == Of::Fact {
                    self.due.push((module.0, name.as_str()));
                }
            }
            ExprKind::Text(text) => {
                for piece in &text.pieces {
                    if let Piece::Value(e) = piece {
                        self.expr(e, module, of);
                    }
                }
            }
            ExprKind::None | ExprKind::True | ExprKind::False | ExprKind::Broken => {}
            ExprKind::Share(a) => {
                if let Some(a) = a {
                    self.expr(a, module, of);
                }
            }
            // What a box measures is no fact where a wall reads it.
            ExprKind::Member(object, _) => self.expr(object, module, Of::Open),
            ExprKind::Index(object, index) => {
                self.expr(object, module, of);
                self.expr(index, module, Of::Place);
            }
            ExprKind::Call(call) => self.call(call, module, of),
            ExprKind::Negative(a) | ExprKind::Not(a) => self.expr(a, module, of),
            // Where counting starts, and which one is meant.
            ExprKind::To(a, b) => {
                self.expr(a, module, Of::Place);
                self.expr(b, module, of);
            }
            ExprKind::Binary(Operator::Equal | Operator::Unequal, a, b) => {
                for e in [a, b] {
                    let plain = matches!(e.kind, ExprKind::Number(q) if q.dimension == Dimension::NUMBER);
                    self.expr(e, module, if plain { Of::Place } else { of });
                }
            }
            ExprKind::Binary(_, a, b) | ExprKind::Range(a, b) => {
                self.expr(a, module, of);
                self.expr(b, module, of);
            }
            ExprKind::After(a, b) | ExprKind::Before(a, b) => {
                if let Some(a) = a {
                    self.expr(a, module, of);
                }
                self.expr(b, module, of);
            }
            ExprKind::If(c, a, b) => {
                for e in [c, a, b] {
                    self.expr(e, module, of);
                }
            }
            ExprKind::List(list) => {
                for e in list {
                    self.expr(e, module, of);
                }
            }
            ExprKind::Collect(body, each) => {
                self.expr(body, module, of);
                self.each(each, module, of);
            }
            ExprKind::OrFail(a, _, _) => self.expr(a, module, of),
        }
    }

    /// A name that a measured figure was given is measured where it was given its value.
    fn follow(&mut self) {
        let mut seen = BTreeSet::new();
        while let Some((module, name)) = self.due.pop() {
            if !seen.insert((module, name)) {
                continue;
            }
            let import =
                self.program.modules.get(module as usize).and_then(|m| m.imports.get(&Name::new(name)));
            if let Some((other, there, _)) = import {
                self.due.push((other.0, there.as_str()));
            }
            for e in self.lets.get(&(module, name)).cloned().unwrap_or_default() {
                self.expr(e, ModuleId(module), Of::Fact);
            }
        }
    }
}

/// True for what is measured on a board, and for all that is said of a band.
fn is_bought(def: Option<&Def>, place: usize, arg: &Arg) -> bool {
    let label = arg.label.map(|l| l.name).or_else(|| Some(def?.params.get(place)?.name.name));
    match def.map(|d| d.kind) {
        Some(Kind::Band) => true,
        // A parameter that holds a board is called by its own name.
        Some(Kind::Board) | None => label.is_some_and(|l| l.as_str() == "thickness"),
        Some(_) => false,
    }
}

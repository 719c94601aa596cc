//! A walk over everything that stands in a statement.

use crate::syntax::Name;
use crate::syntax::tree::*;

/// What a walk meets.
pub enum Met<'t> {
    Stmt(&'t Stmt),
    Expr(&'t Expr),
    /// A name that is used or called.
    Name(Name),
}

/// Takes what is met, with the conditions it stands under.
pub type See<'t, 's> = dyn FnMut(Met<'t>, &[Condition<'t>]) + 's;

/// A condition around a statement, and whether it must hold or not.
#[derive(Clone, Copy)]
pub struct Condition<'t> {
    pub expr: &'t Expr,
    pub holds: bool,
}

/// Walks a statement and all in it.
pub fn stmt<'t>(s: &'t Stmt, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    see(Met::Stmt(s), under);
    match &s.kind {
        StmtKind::House(fields) => all_fields(fields, under, see),
        StmtKind::HouseField(f) => option(&f.default, under, see),
        StmtKind::Def(def) => {
            for param in &def.params {
                option(&param.default, under, see);
            }
            match &def.body {
                DefBody::Block(b) => block(b, under, see),
                DefBody::Value(_, e) => expr(e, under, see),
                DefBody::Derived(c, b) => {
                    call(c, under, see);
                    block(b, under, see);
                }
            }
        }
        StmtKind::Let(l) | StmtKind::Gap(l) => expr(&l.value, under, see),
        StmtKind::Part(p) => part(p, under, see),
        StmtKind::Pair(p) => part(&p.first, under, see),
        StmtKind::Space(p) => all_fields(&p.ranges, under, see),
        StmtKind::Envelope(Envelope::Sizes(a, b, c)) => {
            [a, b, c].into_iter().for_each(|e| expr(e, under, see));
        }
        StmtKind::Envelope(Envelope::Space(e)) => expr(e, under, see),
        StmtKind::Envelope(Envelope::Ranges(fields, _)) => all_fields(fields, under, see),
        StmtKind::Place(p) => {
            option(&p.count, under, see);
            call(&p.call, under, see);
            p.at.iter().flat_map(|(at, _)| at).for_each(|e| expr(e, under, see));
            block(&p.extras, under, see);
        }
        StmtKind::Verb(v) => v.call.args.iter().for_each(|a| expr(&a.value, under, see)),
        StmtKind::For(f) => {
            expr(&f.each.list, under, see);
            option_ref(f.each.condition.as_ref(), under, see);
            block(&f.body, under, see);
        }
        StmtKind::If(i) => {
            expr(&i.condition, under, see);
            for (branch, holds) in [(Some(&i.then), true), (i.otherwise.as_ref(), false)] {
                let Some(branch) = branch else { continue };
                let mut deeper = under.to_vec();
                deeper.push(Condition { expr: &i.condition, holds });
                block(branch, &deeper, see);
            }
        }
        StmtKind::Require(r) | StmtKind::Warn(r) => {
            expr(&r.condition, under, see);
            text(&r.message, under, see);
        }
        StmtKind::Accept(a) => text(&a.because, under, see),
        StmtKind::Test(t) => block(&t.body, under, see),
        StmtKind::Expect(Expect::Holds(e)) => expr(e, under, see),
        StmtKind::Field(f) => expr(&f.value, under, see),
        StmtKind::Expect(_) | StmtKind::Use(_) | StmtKind::Broken => {}
    }
}

/// Walks the statements of a block.
pub fn block<'t>(b: &'t Block, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    b.stmts.iter().for_each(|s| stmt(s, under, see));
}

fn part<'t>(p: &'t PartStmt, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    option(&p.count, under, see);
    expr(&p.board, under, see);
    all_fields(&p.ranges, under, see);
}

fn all_fields<'t>(fields: &'t [Field], under: &[Condition<'t>], see: &mut See<'t, '_>) {
    fields.iter().for_each(|f| expr(&f.value, under, see));
}

fn call<'t>(c: &'t Call, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    see(Met::Name(c.name.name), under);
    c.args.iter().for_each(|a| expr(&a.value, under, see));
}

fn option<'t>(e: &'t Option<Expr>, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    option_ref(e.as_ref(), under, see);
}

fn option_ref<'t>(e: Option<&'t Expr>, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    if let Some(e) = e {
        expr(e, under, see);
    }
}

fn text<'t>(t: &'t Text, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    for piece in &t.pieces {
        if let Piece::Value(e) = piece {
            expr(e, under, see);
        }
    }
}

/// Walks an expression.
pub fn expr<'t>(e: &'t Expr, under: &[Condition<'t>], see: &mut See<'t, '_>) {
    see(Met::Expr(e), under);
    match &e.kind {
        ExprKind::Text(t) => text(t, under, see),
        ExprKind::Name(name) => see(Met::Name(*name), under),
        ExprKind::Share(Some(a))
        | ExprKind::Member(a, _)
        | ExprKind::Negative(a)
        | ExprKind::Not(a)
        | ExprKind::After(None, a)
        | ExprKind::Before(None, a) => expr(a, under, see),
        ExprKind::Index(a, b)
        | ExprKind::Binary(_, a, b)
        | ExprKind::Range(a, b)
        | ExprKind::After(Some(a), b)
        | ExprKind::Before(Some(a), b)
        | ExprKind::To(a, b) => {
            expr(a, under, see);
            expr(b, under, see);
        }
        ExprKind::If(a, b, c) => [a, b, c].into_iter().for_each(|e| expr(e, under, see)),
        ExprKind::Call(c) => call(c, under, see),
        ExprKind::List(list) => list.iter().for_each(|e| expr(e, under, see)),
        ExprKind::Collect(a, each) => {
            expr(&each.list, under, see);
            option_ref(each.condition.as_ref(), under, see);
            expr(a, under, see);
        }
        ExprKind::OrFail(a, _, t) => {
            expr(a, under, see);
            text(t, under, see);
        }
        ExprKind::Number(_)
        | ExprKind::None
        | ExprKind::True
        | ExprKind::False
        | ExprKind::Share(None)
        | ExprKind::Broken => {}
    }
}

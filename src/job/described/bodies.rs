//! What stands in a definition: parameters, fields, rules, what it buys and names, and its tests.

use super::walk::{self, Condition, Met};
use super::{Asks, Bought, Field, Parameter, Reader, Reference, Rule, Tested};
use crate::syntax::Name;
use crate::syntax::tree::{
    Def, DefBody, Expect, Expr, ExprKind, For, Piece, Stmt, StmtKind, Test, Text, TypeKind,
};

impl Reader<'_> {
    /// The parameters, each with the comment beside or above it.
    pub(super) fn params(&self, def: &Def) -> Vec<Parameter> {
        let mut found = Vec::new();
        let mut from = def.name.span.end;
        for (n, param) in def.params.iter().enumerate() {
            let until = def.params.get(n + 1).map_or(u32::MAX, |next| next.span.start);
            let beside = self.notes.beside(param.span.end, until);
            let note = if beside.is_empty() { self.notes.over(param.span.start, from) } else { beside };
            let mut reads = Vec::new();
            if let Some(default) = &param.default {
                walk::expr(default, &[], &mut |met, _| {
                    if let Met::Expr(Expr { kind: ExprKind::Member(of, field), .. }) = met
                        && matches!(&of.kind, ExprKind::Name(n) if n.as_str() == "house")
                    {
                        reads.push(field.name.to_string());
                    }
                });
            }
            found.push(Parameter {
                name: param.name.name.to_string(),
                ty: self.plain(param.ty.span),
                default: param.default.as_ref().map(|d| self.plain(d.span)),
                reads,
                note,
                optional: matches!(param.ty.kind, TypeKind::OrNone(_)),
            });
            from = param.span.end;
        }
        found
    }

    /// The fields of a board, band or item.
    pub(super) fn fields(&self, def: &Def) -> Vec<Field> {
        let DefBody::Block(block) = &def.body else { return Vec::new() };
        let mut found = Vec::new();
        let mut from = block.span.map_or(0, |s| s.start);
        for (n, stmt) in block.stmts.iter().enumerate() {
            let StmtKind::Field(field) = &stmt.kind else { continue };
            let until = block.stmts.get(n + 1).map_or(u32::MAX, |next| next.span.start);
            let beside = self.notes.beside(stmt.span.end, until);
            let note = if beside.is_empty() { self.notes.over(stmt.span.start, from) } else { beside };
            found.push(Field {
                name: field.label.name.to_string(),
                value: self.plain(field.value.span),
                worked: !is_plain(&field.value),
                note,
            });
            from = stmt.span.end;
        }
        found
    }

    fn conditions(&self, under: &[Condition<'_>]) -> Vec<String> {
        let each = under.iter().map(|c| {
            let text = self.plain(c.expr.span);
            if c.holds { text } else { format!("not ({text})") }
        });
        each.collect()
    }

    fn message(&self, text: &Text) -> String {
        let pieces = text.pieces.iter().map(|p| match p {
            Piece::Plain(plain) => plain.clone(),
            Piece::Value(e) => format!("{{{}}}", self.plain(e.span)),
        });
        pieces.collect()
    }

    /// The rules that a statement holds.
    pub(super) fn rules_of(
        &self,
        item: &Stmt,
        within: Option<(&'static str, Name, &Vec<String>)>,
    ) -> Vec<Rule> {
        let mut found = Vec::new();
        let mut take = |asks: Asks, code: Name, message: &Text, condition: &Expr, under: &[Condition], at| {
            let dot = if self.prefix.is_empty() { "" } else { "." };
            found.push(Rule {
                code: format!("{}{dot}{code}", self.prefix),
                asks,
                message: self.message(message),
                condition: self.plain(condition.span),
                when: self.conditions(under),
                within: within.map(|(kind, name, _)| (kind, name.to_string())),
                doc: within.map(|(_, _, doc)| doc.clone()).unwrap_or_default(),
                file: self.name.to_string(),
                line: self.line(at),
            });
        };
        walk::stmt(item, &[], &mut |met, under| match met {
            Met::Stmt(Stmt { kind: StmtKind::Require(r), span, .. }) => {
                take(Asks::Require, r.code.name, &r.message, &r.condition, under, span.start);
            }
            Met::Stmt(Stmt { kind: StmtKind::Warn(r), span, .. }) => {
                take(Asks::Warn, r.code.name, &r.message, &r.condition, under, span.start);
            }
            Met::Expr(Expr { kind: ExprKind::OrFail(of, code, text), span }) => {
                take(Asks::Choice, code.name, text, of, under, span.start);
            }
            _ => {}
        });
        found
    }

    /// What a definition buys.
    pub(super) fn buys(&self, def: &Def) -> Vec<Bought> {
        let mut found: Vec<Bought> = Vec::new();
        let mut see = |met: Met<'_>, under: &[Condition<'_>]| {
            let Met::Stmt(Stmt { kind: StmtKind::Verb(verb), .. }) = met else { return };
            if verb.call.name.name.as_str() != "buy" {
                return;
            }
            let mut bought = Bought { item: String::new(), quantity: None, when: self.conditions(under) };
            for arg in &verb.call.args {
                match arg.label.as_ref().map(|l| l.name.as_str()) {
                    Some("quantity") => bought.quantity = Some(self.plain(arg.value.span)),
                    _ => bought.item = self.plain(arg.value.span),
                }
            }
            found.push(bought);
        };
        match &def.body {
            DefBody::Block(block) | DefBody::Derived(_, block) => walk::block(block, &[], &mut see),
            DefBody::Value(..) => {}
        }
        found
    }

    /// The definitions that a statement names, each once, but `own`.
    pub(super) fn uses(&self, item: &Stmt, own: Name) -> Vec<Reference> {
        let mut found = self.named(item);
        found.retain(|r| r.module != self.name || r.name != own.as_str());
        found
    }

    fn named(&self, item: &Stmt) -> Vec<Reference> {
        let mut found: Vec<Reference> = Vec::new();
        walk::stmt(item, &[], &mut |met, _| {
            if let Met::Name(name) = met
                && let Some(reference) = self.refer(name)
                && !found.contains(&reference)
            {
                found.push(reference);
            }
        });
        found
    }

    /// The tests of the file, each with the definitions that it names.
    pub(super) fn tests(&self) -> Vec<(Vec<Reference>, Tested)> {
        let mut found = Vec::new();
        for item in &self.tree.items {
            self.tests_in(item, &mut Vec::new(), &mut found);
        }
        found
    }

    fn tests_in<'t>(
        &self,
        item: &'t Stmt,
        around: &mut Vec<&'t For>,
        found: &mut Vec<(Vec<Reference>, Tested)>,
    ) {
        match &item.kind {
            StmtKind::Test(test) => found.push((self.named(item), self.tested(test, item, around))),
            StmtKind::For(f) => {
                around.push(f);
                f.body.stmts.iter().for_each(|s| self.tests_in(s, around, found));
                around.pop();
            }
            _ => {}
        }
    }

    fn tested(&self, test: &Test, item: &Stmt, around: &[&For]) -> Tested {
        let over = around.iter().map(|f| (f.each.name.name.to_string(), self.plain(f.each.list.span)));
        let expects = test.body.stmts.iter().filter_map(|s| match &s.kind {
            StmtKind::Expect(Expect::Error(code, _) | Expect::Warning(code, _)) => Some(code.clone()),
            _ => None,
        });
        let lengths = around.iter().map(|f| match (&f.each.list.kind, &f.each.condition) {
            (ExprKind::List(list), None) => Some(list.len()),
            _ => None,
        });
        Tested {
            name: test.name.clone(),
            over: over.collect(),
            runs: lengths.product(),
            expects: expects.collect(),
            file: self.name.to_string(),
            line: self.line(item.span.start),
        }
    }
}

/// True for a figure, word, text without expressions, or a list of these.
fn is_plain(e: &Expr) -> bool {
    match &e.kind {
        ExprKind::Number(_) | ExprKind::None | ExprKind::True | ExprKind::False | ExprKind::Name(_) => true,
        ExprKind::Text(t) => t.pieces.iter().all(|p| matches!(p, Piece::Plain(_))),
        ExprKind::List(list) => list.iter().all(is_plain),
        ExprKind::Negative(a) => is_plain(a),
        _ => false,
    }
}

//! `test` blocks: each is a design of its own, with the house all defaults unless it holds one.

use super::machine::Evaluation;
use super::program::{ModuleId, Program};
use super::scope::ScopeId;
use crate::diagnostics::Diagnostic;
use crate::syntax::tree::{Expect, Expr, For, Stmt, StmtKind, Test};

/// A test block with the rounds of the `for`s around it.
pub struct TestCase<'p> {
    pub name: String,
    pub test: &'p Test,
    rounds: Vec<(&'p For, usize)>,
}

impl TestCase<'_> {
    /// Which round of each loop around it this is, outermost first, from 0.
    pub fn rounds(&self) -> Vec<usize> {
        self.rounds.iter().map(|(_, i)| *i).collect()
    }
}

/// Every test of the root file; loops around tests give one case for each round.
pub fn test_cases<'p>(program: &'p Program) -> (Vec<TestCase<'p>>, Vec<Diagnostic>) {
    let mut e = Evaluation::new(program);
    let mut cases = Vec::new();
    if let Some(module) = program.modules.first() {
        let scope = e.file_scope(ModuleId(0));
        for item in &module.tree.items {
            e.collect_tests(item, scope, &[], "", &mut cases);
        }
    }
    (cases, e.diagnostics)
}

impl<'p> Evaluation<'p> {
    fn collect_tests(
        &mut self,
        item: &'p Stmt,
        scope: ScopeId,
        around: &[(&'p For, usize)],
        values: &str,
        cases: &mut Vec<TestCase<'p>>,
    ) {
        match &item.kind {
            StmtKind::Test(test) => {
                let name =
                    if values.is_empty() { test.name.clone() } else { format!("{} ({values})", test.name) };
                cases.push(TestCase { name, test, rounds: around.to_vec() });
            }
            StmtKind::For(f) if f.body.stmts.iter().any(holds_test) => {
                let Ok(rounds) = self.rounds(&f.each, scope) else { return };
                for (i, round) in rounds.into_iter().enumerate() {
                    let slot = self.scopes[round.0 as usize].entries.first().map(|e| e.slot);
                    let value = slot.and_then(|s| self.force(s).ok()).map(|v| self.words(&v));
                    let here = format!("{} {}", f.each.name.name, value.unwrap_or_default());
                    let values = if values.is_empty() { here } else { format!("{values}, {here}") };
                    let mut around = around.to_vec();
                    around.push((f, i));
                    for stmt in &f.body.stmts {
                        self.collect_tests(stmt, round, &around, &values, cases);
                    }
                }
            }
            _ => {}
        }
    }

    /// Runs the body of a test in this fresh evaluation; gives the scope its expectations are read in.
    pub fn run_test(&mut self, case: &TestCase<'p>) -> Option<ScopeId> {
        let mut scope = self.file_scope(ModuleId(0));
        for (f, i) in &case.rounds {
            let rounds = self.rounds(&f.each, scope).ok()?;
            scope = *rounds.get(*i)?;
        }
        let scope = self.inner_scope(scope);
        self.scopes[scope.0 as usize].indices.clear();
        for stmt in &case.test.body.stmts {
            if let StmtKind::House(fields) = &stmt.kind {
                self.house = Some(fields);
                self.house_scope = Some(scope);
            }
        }
        self.read_style();
        self.check_house(scope);
        self.declare(&case.test.body, scope);
        self.run(&case.test.body, scope);
        Some(scope)
    }

    /// What is expected of a test that has run and does not come true, given its messages.
    pub fn unmet(&mut self, case: &TestCase<'p>, scope: ScopeId, found: &[Diagnostic]) -> Vec<Diagnostic> {
        let mut unmet = Vec::new();
        for stmt in &case.test.body.stmts {
            let StmtKind::Expect(expect) = &stmt.kind else { continue };
            match expect {
                Expect::Holds(e) => unmet.extend(self.does_not_hold(e, scope)),
                Expect::Error(code, span) | Expect::Warning(code, span) => {
                    let error = matches!(expect, Expect::Error(..));
                    if !found.iter().any(|d| d.is_error() == error && is_code(&d.code, code)) {
                        let word = if error { "error" } else { "warning" };
                        let text = format!("The {word} `{code}` was expected and does not occur.");
                        unmet.push(Diagnostic::error("expected-message", text, *span, "does not occur"));
                    }
                }
            }
        }
        for d in found.iter().filter(|d| d.is_error()) {
            let expected = case.test.body.stmts.iter().any(|s| match &s.kind {
                StmtKind::Expect(Expect::Error(code, _)) => is_code(&d.code, code),
                _ => false,
            });
            if !expected {
                unmet.push(d.clone());
            }
        }
        unmet
    }

    fn does_not_hold(&mut self, e: &'p Expr, scope: ScopeId) -> Vec<Diagnostic> {
        let before = self.diagnostics.len();
        let holds = self.flag(e, scope);
        let found = self.diagnostics.split_off(before);
        match holds {
            Ok(true) => Vec::new(),
            Ok(false) => {
                let text = format!("`{}` does not hold.", self.source(e));
                let mut d = Diagnostic::error("expected", text, e.span, "not so");
                let values = self.condition_values(e, scope);
                if !values.is_empty() {
                    d = d.note(format!("Here {}.", values.join(", ")));
                }
                vec![d]
            }
            Err(_) if found.is_empty() => {
                let text = format!("`{}` could not be worked out.", self.source(e));
                vec![Diagnostic::error("expected", text, e.span, "reads something that failed")]
            }
            Err(_) => found,
        }
    }
}

/// True where a code is the one named, with or without its module.
fn is_code(code: &str, named: &str) -> bool {
    code == named || code.rsplit('.').next() == Some(named)
}

fn holds_test(stmt: &Stmt) -> bool {
    match &stmt.kind {
        StmtKind::Test(_) => true,
        StmtKind::For(f) => f.body.stmts.iter().any(holds_test),
        _ => false,
    }
}

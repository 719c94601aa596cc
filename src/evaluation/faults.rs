//! Messages of the evaluation: where to mend comes first, lines of the library after it.

use super::machine::{Evaluation, Failed};
use super::scope::{BoxId, PartId, ScopeId};
use super::trace::Literal;
use super::value::Value;
use crate::diagnostics::{Diagnostic, Label};
use crate::sources::Span;
use crate::syntax::tree::{Expr, ExprKind};

/// How many messages keep all the numbers behind them.
const MOST_FOLLOWED: usize = 20;

/// With this many labels no more of the library's figures are labelled.
const MOST_LABELS: usize = 24;

/// What a message was made from.
#[derive(Clone, Copy, Debug)]
pub enum Cause<'p> {
    Expr(&'p Expr, ScopeId),
    Part(PartId),
    Row(BoxId),
    /// How many elements a list has.
    Count(&'p Expr, ScopeId),
}

/// A message, by its code, first place and boxes, and what it was made from.
#[derive(Clone, Debug)]
pub struct Causes<'p> {
    pub code: String,
    pub span: Span,
    pub boxes: Vec<String>,
    pub causes: Vec<Cause<'p>>,
}

impl<'p> Evaluation<'p> {
    /// Says an error at a place and gives the silent failure for it.
    pub(super) fn error_at(
        &mut self,
        scope: ScopeId,
        code: &'static str,
        message: impl Into<String>,
        span: Span,
        label: impl Into<String>,
    ) -> Failed {
        self.say(scope, Diagnostic::error(code, message, span, label))
    }

    /// Says a message and gives the silent failure for it.
    pub(super) fn say(&mut self, scope: ScopeId, diagnostic: Diagnostic) -> Failed {
        self.push(scope, diagnostic);
        Failed
    }

    /// Says a message.
    pub(super) fn push(&mut self, scope: ScopeId, mut diagnostic: Diagnostic) {
        self.put_user_first(scope, &mut diagnostic);
        if !self.brief && diagnostic.is_error() && self.diagnostics.len() < MOST_FOLLOWED {
            diagnostic.behind.extend(self.behind_scope(scope));
        }
        if diagnostic.boxes.is_empty() {
            if let Some(owner) = self.owner(scope) {
                diagnostic.boxes.push(self.boxes[owner.0 as usize].path.clone());
            }
        }
        let causes = std::mem::take(&mut self.pending);
        if !causes.is_empty() && self.looking.is_none() {
            let (code, span) = (diagnostic.code.to_string(), diagnostic.span());
            self.causes.push(Causes { code, span, boxes: diagnostic.boxes.clone(), causes });
        }
        self.diagnostics.push(diagnostic);
    }

    /// The box whose text a scope belongs to.
    pub fn owner(&self, scope: ScopeId) -> Option<BoxId> {
        self.scopes.get(scope.0 as usize).and_then(|s| s.owner)
    }

    /// True where a span lies in the library.
    pub fn in_library(&self, span: Span) -> bool {
        self.program.sources.file(span.file).library
    }

    /// The innermost place in the maker's own files that led to a scope.
    pub fn user_site(&self, scope: ScopeId) -> Option<Span> {
        let mut at = scope;
        loop {
            let record = self.scopes.get(at.0 as usize)?;
            match record.site {
                Some((span, _)) if !self.in_library(span) => return Some(span),
                Some((_, up)) => at = up,
                None => at = record.parent?,
            }
        }
    }

    /// Puts a label in the maker's own files first, if there is any.
    pub(super) fn put_user_first(&self, scope: ScopeId, diagnostic: &mut Diagnostic) {
        if !self.in_library(diagnostic.span()) {
            return;
        }
        if let Some(own) = diagnostic.labels.iter().position(|l| !self.in_library(l.span)) {
            let label = diagnostic.labels.remove(own);
            diagnostic.labels.insert(0, label);
        } else if let Some(span) = self.user_site(scope) {
            diagnostic.labels.insert(0, Label::new(span, "used here"));
        }
    }

    /// The next message is made from the figures of these expressions.
    pub(super) fn made_from(&mut self, figures: &[&'p Expr], scope: ScopeId) {
        self.pending.extend(figures.iter().map(|e| Cause::Expr(e, scope)));
    }

    /// So many faults that a figure with which they come will not do, whatever stands behind the rest.
    fn is_enough(&self) -> bool {
        self.brief && self.diagnostics.len() > MOST_FOLLOWED
    }

    /// Labels for the literals behind an expression, the maker's own files first.
    pub(super) fn literal_labels(&mut self, e: &'p Expr, scope: ScopeId) -> Vec<Label> {
        self.pending.push(Cause::Expr(e, scope));
        if self.is_enough() {
            return Vec::new();
        }
        self.labels_of(&self.literals(e, scope))
    }

    pub(super) fn part_literals(&mut self, part: PartId) -> Vec<Label> {
        self.pending.push(Cause::Part(part));
        if self.is_enough() {
            return Vec::new();
        }
        self.labels_of(&self.part_trail(part))
    }

    /// Labels for literals: all of the maker's own files, and a handful of the library after them.
    pub fn labels_of(&self, literals: &[Literal]) -> Vec<Label> {
        let (own, library): (Vec<&Literal>, Vec<&Literal>) =
            literals.iter().partition(|l| !self.in_library(l.span));
        let room = MOST_LABELS.saturating_sub(own.len());
        own.into_iter()
            .chain(library.into_iter().take(room))
            .map(|l| {
                let written = self.program.sources.text(l.span);
                let text = match l.name {
                    Some(name) => format!("`{name}` is {written}"),
                    None => written.to_string(),
                };
                Label { span: l.span, text, literal: true }
            })
            .collect()
    }

    /// The values of the names in a condition, `width = 300mm`, for the message that it failed.
    pub(super) fn condition_values(&mut self, e: &'p Expr, scope: ScopeId) -> Vec<String> {
        let mut names = Vec::new();
        condition_names(e, &mut names);
        let mut out: Vec<String> = Vec::new();
        for e in names {
            let before = self.diagnostics.len();
            let value = self.eval(e, scope);
            self.diagnostics.truncate(before);
            if let Ok(
                value @ (Value::Quantity(_)
                | Value::Place(_)
                | Value::Flag(_)
                | Value::Word(..)
                | Value::None),
            ) = value
            {
                let text = format!("{} = {}", self.source(e), self.words(&value));
                if !out.contains(&text) {
                    out.push(text);
                }
            }
        }
        out
    }
}

fn condition_names<'p>(e: &'p Expr, out: &mut Vec<&'p Expr>) {
    match &e.kind {
        ExprKind::Name(_) | ExprKind::Member(..) | ExprKind::Index(..) => out.push(e),
        ExprKind::Negative(a) | ExprKind::Not(a) => condition_names(a, out),
        ExprKind::Binary(_, a, b) => {
            condition_names(a, out);
            condition_names(b, out);
        }
        ExprKind::Call(call) => {
            for arg in &call.args {
                condition_names(&arg.value, out);
            }
        }
        _ => {}
    }
}

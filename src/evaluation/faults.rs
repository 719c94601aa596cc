//! Messages of the evaluation: where to mend comes first, lines of the library after it.

use super::machine::{Evaluation, Failed};
use super::scope::{BoxId, ScopeId};
use crate::diagnostics::{Diagnostic, Label};
use crate::sources::Span;

/// How many messages keep all the numbers behind them.
const MOST_FOLLOWED: usize = 20;

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
        if diagnostic.is_error() && self.diagnostics.len() < MOST_FOLLOWED {
            diagnostic.behind.extend(self.behind_scope(scope));
        }
        if diagnostic.boxes.is_empty() {
            if let Some(owner) = self.owner(scope) {
                diagnostic.boxes.push(self.boxes[owner.0 as usize].path.clone());
            }
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
}

//! What the compiler says: one type, built where the fault is found, printed at the edge.

mod visible;

pub use visible::{is_hidden, shown, visible};

use crate::sources::Span;
use std::borrow::Cow;

/// How much a message weighs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Severity {
    /// The design cannot be made; no shop output is written.
    Error,
    /// Doubtful; `accept` can answer it.
    Warning,
}

/// A place in the text and what it contributes. The first label of a message is where to mend.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Label {
    pub span: Span,
    pub text: String,
}

/// A replacement of one stretch of text that would mend the fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    pub span: Span,
    pub text: String,
}

/// One message: code, severity, sentence with figures, places, notes, help.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Diagnostic {
    /// Stable, in words (`not-held`), prefixed by the module for rules written in the language.
    pub code: Cow<'static, str>,
    pub severity: Severity,
    pub message: String,
    pub labels: Vec<Label>,
    pub notes: Vec<String>,
    pub help: Vec<String>,
    pub edits: Vec<Edit>,
    /// Paths of the boxes the fault occurs in; equal faults are merged over these.
    pub boxes: Vec<String>,
    /// The reason given by `accept(CODE, because: …)`.
    pub accepted: Option<String>,
}

impl Diagnostic {
    /// An error at a place, with the label's text beside it.
    pub fn error(
        code: &'static str,
        message: impl Into<String>,
        span: Span,
        label: impl Into<String>,
    ) -> Diagnostic {
        Diagnostic::new(Cow::Borrowed(code), Severity::Error, message, span, label)
    }

    /// A warning at a place.
    pub fn warning(
        code: &'static str,
        message: impl Into<String>,
        span: Span,
        label: impl Into<String>,
    ) -> Diagnostic {
        Diagnostic::new(Cow::Borrowed(code), Severity::Warning, message, span, label)
    }

    /// A message with a code that is known only at run time (a rule of a library or a user).
    pub fn new(
        code: Cow<'static, str>,
        severity: Severity,
        message: impl Into<String>,
        span: Span,
        label: impl Into<String>,
    ) -> Diagnostic {
        Diagnostic {
            code,
            severity,
            message: message.into(),
            labels: vec![Label { span, text: label.into() }],
            notes: Vec::new(),
            help: Vec::new(),
            edits: Vec::new(),
            boxes: Vec::new(),
            accepted: None,
        }
    }

    /// The same with one more labelled place.
    pub fn label(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.labels.push(Label { span, text: text.into() });
        self
    }

    /// The same with one more note.
    pub fn note(mut self, text: impl Into<String>) -> Diagnostic {
        self.notes.push(text.into());
        self
    }

    /// The same with one more line of help.
    pub fn help(mut self, text: impl Into<String>) -> Diagnostic {
        self.help.push(text.into());
        self
    }

    /// The same with an edit that would mend it.
    pub fn edit(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.edits.push(Edit { span, text: text.into() });
        self
    }

    /// Where to mend: the span of the first label.
    pub fn span(&self) -> Span {
        self.labels[0].span
    }

    /// True for an error.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }
}

/// Merges equal faults (same code at the same first place) over their boxes and puts all in order
/// of file and place, so that five equal boxes print one message.
pub fn gather(mut all: Vec<Diagnostic>) -> Vec<Diagnostic> {
    all.sort_by(|a, b| {
        let key = |d: &Diagnostic| (d.severity, d.span(), d.code.clone());
        key(a).cmp(&key(b)).then_with(|| a.boxes.cmp(&b.boxes)).then_with(|| a.message.cmp(&b.message))
    });
    let mut out: Vec<Diagnostic> = Vec::new();
    for d in all {
        match out.iter_mut().rev().find(|o| {
            o.code == d.code && o.span() == d.span() && o.severity == d.severity && o.accepted == d.accepted
        }) {
            Some(first) => {
                for b in d.boxes {
                    if !first.boxes.contains(&b) {
                        first.boxes.push(b);
                    }
                }
            }
            None => out.push(d),
        }
    }
    out
}

/// The nearest of some names to a misspelt one, if any is near.
pub fn nearest<'a>(name: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    names
        .into_iter()
        .map(|n| (strsim::osa_distance(name, n), n))
        .filter(|(d, n)| *d <= 1 + name.len().max(n.len()) / 4 && *d < name.len().max(n.len()))
        .min()
        .map(|(_, n)| n)
}

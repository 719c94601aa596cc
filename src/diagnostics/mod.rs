//! What the compiler says: one type, built where the fault is found, printed at the edge.

pub mod pages;
mod visible;

pub use visible::{is_hidden, shown, visible};

use crate::sources::Span;
use crate::values::Rational;
use std::borrow::Cow;
use std::collections::{BTreeMap, BTreeSet};

/// How many numbers of the text a message labels.
const MOST_LITERALS: usize = 60;
/// How many places of the job one fault remembers.
const MOST_ORIGINS: usize = 16;

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
    /// The span is a number in the text, and the fault was worked out from it.
    pub literal: bool,
}

impl Label {
    /// A label on a statement, a name or an expression.
    pub fn new(span: Span, text: impl Into<String>) -> Label {
        Label { span, text: text.into(), literal: false }
    }
}

/// A replacement of one stretch of text that would mend the fault.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Edit {
    pub span: Span,
    pub text: String,
    /// The number under which `fix` offers it.
    pub offer: Option<usize>,
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
    /// By how much each comparison at fault misses, exactly, in the unit of what is compared (mm, pieces, kg,
    /// N): nought is where it is met. Where only an exact figure would do its sign says to which side it
    /// lies. Nothing where the fault is none of figures; an estimate gives it to a millionth.
    pub misses: Vec<Rational>,
    /// Every number that the graph reaches behind the fault, of which `labels` shows a handful.
    pub behind: Vec<Label>,
    /// Where in the job the fault lies, as numbers that the job knows.
    pub origins: Vec<u32>,
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
            labels: vec![Label::new(span, label)],
            notes: Vec::new(),
            help: Vec::new(),
            edits: Vec::new(),
            boxes: Vec::new(),
            accepted: None,
            misses: Vec::new(),
            behind: Vec::new(),
            origins: Vec::new(),
        }
    }

    /// The same with one more labelled place.
    pub fn label(mut self, span: Span, text: impl Into<String>) -> Diagnostic {
        self.labels.push(Label::new(span, text));
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
        self.edits.push(Edit { span, text: text.into(), offer: None });
        self
    }

    /// The same with the exact amount by which a comparison misses.
    pub fn miss(mut self, by: Rational) -> Diagnostic {
        self.misses.push(by);
        self
    }

    /// Where two are one fault both must be mended: the greater of each shortfall counts.
    pub fn worst_of(&mut self, other: &Diagnostic) {
        if self.misses.len() == other.misses.len() {
            for (most, miss) in self.misses.iter_mut().zip(&other.misses) {
                *most = std::cmp::max_by_key(*most, *miss, |m| m.abs().ok());
            }
        }
        let new = |l: &&Label| !self.behind.iter().any(|b| b.span == l.span);
        let more: Vec<Label> = other.behind.iter().filter(new).cloned().collect();
        self.behind.extend(more);
        if self.origins.len() < MOST_ORIGINS {
            self.origins.extend(&other.origins);
        }
    }

    /// Keeps each place once; the numbers labelled are behind the fault, and only a handful is shown.
    fn settle(&mut self) {
        let mut seen = BTreeSet::new();
        self.labels.retain(|l| seen.insert(l.span));
        let literals = self.labels.iter().filter(|l| l.literal).cloned();
        let behind: Vec<Label> = literals.chain(std::mem::take(&mut self.behind)).collect();
        // A number may be reached by two ways, of which one knows what it is called.
        let mut named: BTreeMap<Span, Label> = BTreeMap::new();
        for label in behind.iter().filter(|l| l.text.starts_with('`')) {
            named.entry(label.span).or_insert_with(|| label.clone());
        }
        let mut seen = BTreeSet::new();
        let once = behind.into_iter().filter(|l| seen.insert(l.span));
        self.behind = once.map(|l| named.remove(&l.span).unwrap_or(l)).collect();
        let mut shown = 0;
        self.labels.retain(|l| {
            shown += usize::from(l.literal);
            !l.literal || shown <= MOST_LITERALS
        });
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
    for mut d in all {
        d.settle();
        // They are sorted, so equal faults are among the last ones at this place.
        let here = |o: &&mut Diagnostic| o.severity == d.severity && o.span() == d.span();
        let same = |o: &&mut Diagnostic| o.code == d.code && o.accepted == d.accepted;
        match out.iter_mut().rev().take_while(here).find(same) {
            Some(first) => {
                for b in &d.boxes {
                    if !first.boxes.contains(b) {
                        first.boxes.push(b.clone());
                    }
                }
                first.worst_of(&d);
            }
            None => out.push(d),
        }
    }
    out
}

/// The nearest of some names to a misspelt one, if any is near.
pub fn nearest<'a>(name: &str, names: impl IntoIterator<Item = &'a str>) -> Option<&'a str> {
    let letters = count_letters(name);
    names
        .into_iter()
        .filter_map(|n| {
            let longer = name.len().max(n.len());
            let most = (1 + longer / 4).min(longer.saturating_sub(1));
            // Each change of a letter alters two counts at most: a cheap bound before the exact distance.
            let apart: usize =
                letters.iter().zip(count_letters(n)).map(|(a, b)| usize::from(a.abs_diff(b))).sum();
            if apart > 2 * most {
                return None;
            }
            let distance = strsim::osa_distance(name, n);
            (distance <= most).then_some((distance, n))
        })
        .min()
        .map(|(_, n)| n)
}

fn count_letters(name: &str) -> [u8; 32] {
    let mut counts = [0u8; 32];
    for byte in name.bytes() {
        let slot = &mut counts[usize::from(byte % 32)];
        *slot = slot.saturating_add(1);
    }
    counts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sources::FileId;

    #[test]
    fn near_names_are_found() {
        let names = ["width", "height", "depth", "shelves", "set_in"];
        assert_eq!(nearest("widht", names), Some("width"));
        assert_eq!(nearest("shelfs", names), Some("shelves"));
        assert_eq!(nearest("columns", names), None);
        assert_eq!(nearest("x", ["y"]), None);
    }

    #[test]
    fn equal_faults_are_one_over_their_boxes() {
        let at = |start| Span::new(FileId(0), start, start + 1);
        let fault = |code, start, b: &str| {
            let mut d = Diagnostic::error(code, format!("in {b}"), at(start), "here");
            d.boxes = vec![b.to_string()];
            d
        };
        let all = gather(vec![
            fault("overlap", 5, "b"),
            fault("not-held", 5, "a"),
            fault("overlap", 3, "c"),
            fault("overlap", 5, "a"),
        ]);
        let short: Vec<String> = all.iter().map(|d| format!("{} {:?}", d.code, d.boxes)).collect();
        assert_eq!(short, ["overlap [\"c\"]", "not-held [\"a\"]", "overlap [\"a\", \"b\"]"]);
    }
}

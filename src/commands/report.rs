//! Messages as they are printed for people and as JSON for programs.

use super::excerpt::Excerpt;
use crate::diagnostics::{Diagnostic, Severity, visible};
use crate::outputs::table::indented;
use crate::outputs::words::{a_few, count};
use crate::sources::{Sources, Span};
use miette::{GraphicalReportHandler, GraphicalTheme, LabeledSpan, SourceCode};
use serde::Serialize;
use std::fmt;

/// How many messages are printed for people; the rest are counted.
pub const MOST_SHOWN: usize = 50;

/// How messages are printed for people.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Columns of the terminal.
    pub width: usize,
    pub colour: bool,
    /// Quoted lines longer than this are cut around what is labelled.
    pub quote: usize,
}

impl Look {
    /// Without colour and as wide as a page, for files and pipes.
    pub fn plain() -> Look {
        Look { width: 100, colour: false, quote: 160 }
    }

    /// For a terminal of this width; quoted lines leave room for their numbers.
    pub fn terminal(width: usize, colour: bool) -> Look {
        Look { width, colour, quote: width.saturating_sub(8) }
    }

    fn dim(&self, text: &str) -> String {
        self.styled(text, anstyle::Style::new().dimmed())
    }

    fn styled(&self, text: &str, style: anstyle::Style) -> String {
        if self.colour { format!("{style}{text}{style:#}") } else { text.to_string() }
    }
}

/// One message in the form that miette prints.
#[derive(Debug)]
struct Shown<'a> {
    diagnostic: &'a Diagnostic,
    message: String,
    excerpt: Excerpt,
}

impl fmt::Display for Shown<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for Shown<'_> {}

impl miette::Diagnostic for Shown<'_> {
    fn code<'b>(&'b self) -> Option<Box<dyn fmt::Display + 'b>> {
        Some(Box::new(format!("{}: {}", word(self.diagnostic), self.diagnostic.code)))
    }

    fn severity(&self) -> Option<miette::Severity> {
        Some(match self.diagnostic.severity {
            Severity::Error => miette::Severity::Error,
            Severity::Warning => miette::Severity::Warning,
        })
    }

    fn source_code(&self) -> Option<&dyn SourceCode> {
        (!self.excerpt.labels.is_empty()).then_some(&self.excerpt as &dyn SourceCode)
    }

    fn labels(&self) -> Option<Box<dyn Iterator<Item = LabeledSpan> + '_>> {
        if self.excerpt.labels.is_empty() {
            return None;
        }
        Some(Box::new(self.excerpt.labels.iter().enumerate().map(|(i, (span, text))| {
            let text = (!text.is_empty()).then(|| text.clone());
            match i {
                0 => LabeledSpan::new_primary_with_span(text, *span),
                _ => LabeledSpan::new_with_span(text, *span),
            }
        })))
    }
}

fn word(diagnostic: &Diagnostic) -> &'static str {
    match diagnostic.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
    }
}

/// One message with its places, notes, boxes and help.
pub fn one(sources: &Sources, diagnostic: &Diagnostic, look: Look) -> String {
    let shown = Shown {
        diagnostic,
        message: visible(&diagnostic.message).into_owned(),
        excerpt: Excerpt::of(sources, diagnostic, look.quote),
    };
    let theme = if look.colour { GraphicalTheme::unicode() } else { GraphicalTheme::unicode_nocolor() };
    let printer = GraphicalReportHandler::new_themed(theme)
        .with_width(look.width)
        .with_urls(false)
        .without_cause_chain()
        .without_syntax_highlighting();
    let mut out = String::new();
    if printer.render_report(&mut out, &shown).is_err() {
        out = format!("{}: {}\n  {}\n", word(diagnostic), diagnostic.code, shown.message);
    }
    let line = |lead: &str, text: &str| {
        let rest = " ".repeat(lead.len());
        let printed = indented(&visible(text), look.width, lead, &rest);
        // The lead is coloured after wrapping, so that its codes count for no width.
        match printed.strip_prefix(lead) {
            Some(tail) => format!("{}{tail}", look.styled(lead, anstyle::AnsiColor::Cyan.on_default())),
            None => printed,
        }
    };
    if let Some(boxes) = boxes(&diagnostic.boxes) {
        out.push_str(&line("  ", &boxes));
    }
    for note in diagnostic.notes.iter().chain(&library_figures(sources, diagnostic)) {
        out.push_str(&line("  note: ", note));
    }
    for help in &diagnostic.help {
        out.push_str(&line("  help: ", help));
    }
    out
}

/// The figures of the library that a fault was worked out from, in one line: nobody mends them there,
/// and an excerpt of each would hide the place to mend.
fn library_figures(sources: &Sources, diagnostic: &Diagnostic) -> Option<String> {
    let mut figures: Vec<String> = Vec::new();
    for label in diagnostic.labels.iter().filter(|l| folded(sources, l)) {
        let place = sources.place(label.span);
        let place = place.rsplit_once(':').map_or(place.as_str(), |(line, _)| line).to_string();
        let figure = format!("{} ({place})", label.text);
        if !figures.contains(&figure) {
            figures.push(figure);
        }
    }
    (!figures.is_empty()).then(|| format!("Figures of the library behind it: {}.", figures.join(", ")))
}

/// True for a number in the library's text: told in a note, not shown in its place.
pub(super) fn folded(sources: &Sources, label: &crate::diagnostics::Label) -> bool {
    label.literal && known(sources, label.span) && sources.file(label.span.file).library
}

/// `in 5 boxes: a, b, c and 2 more`; nothing for one box, whose path the message gives.
fn boxes(boxes: &[String]) -> Option<String> {
    (boxes.len() > 1).then(|| format!("in {} boxes: {}", boxes.len(), a_few(boxes, 3)))
}

/// An accepted warning on one line.
fn accepted(sources: &Sources, diagnostic: &Diagnostic, reason: &str) -> String {
    let boxes = match &diagnostic.boxes[..] {
        [] => String::new(),
        [one] => format!(" in {one}"),
        more => format!(" in {} boxes", more.len()),
    };
    let place = first_place(sources, diagnostic).map(|p| format!(" at {p}")).unwrap_or_default();
    visible(&format!("accepted: {}{boxes}{place}: {reason}", diagnostic.code)).into_owned()
}

fn first_place(sources: &Sources, diagnostic: &Diagnostic) -> Option<String> {
    let span = diagnostic.labels.first()?.span;
    known(sources, span).then(|| sources.place(span))
}

fn known(sources: &Sources, span: Span) -> bool {
    (span.file.0 as usize) < sources.iter().count()
}

/// All messages of one design, for people: errors, warnings, accepted warnings, and how many there were.
pub fn human(sources: &Sources, diagnostics: &[Diagnostic], look: Look) -> String {
    let mut out = String::new();
    let open: Vec<&Diagnostic> = diagnostics.iter().filter(|d| d.accepted.is_none()).collect();
    for diagnostic in open.iter().take(MOST_SHOWN) {
        out.push_str(&one(sources, diagnostic, look));
        out.push('\n');
    }
    if open.len() > MOST_SHOWN {
        let more = count(open.len() - MOST_SHOWN, "more message is", "more messages are");
        out.push_str(&format!("{more} not shown; mend these first.\n\n"));
    }
    for diagnostic in diagnostics {
        if let Some(reason) = &diagnostic.accepted {
            let text = indented(&accepted(sources, diagnostic, reason), look.width, "", "  ");
            out.push_str(&look.dim(text.trim_end()));
            out.push('\n');
        }
    }
    out
}

/// How many errors and warnings there were: `2 errors, 1 warning`.
#[derive(Clone, Copy, Default, Debug, PartialEq, Eq)]
pub struct Tally {
    pub errors: usize,
    pub warnings: usize,
    pub accepted: usize,
}

impl Tally {
    /// Counts messages.
    pub fn of(diagnostics: &[Diagnostic]) -> Tally {
        let mut tally = Tally::default();
        for d in diagnostics {
            match (d.severity, &d.accepted) {
                (Severity::Error, _) => tally.errors += 1,
                (Severity::Warning, None) => tally.warnings += 1,
                (Severity::Warning, Some(_)) => tally.accepted += 1,
            }
        }
        tally
    }

    /// In words; nothing counted gives `no errors`.
    pub fn words(&self) -> String {
        let mut words = Vec::new();
        if self.errors > 0 {
            words.push(count(self.errors, "error", "errors"));
        }
        if self.warnings > 0 {
            words.push(count(self.warnings, "warning", "warnings"));
        }
        if self.accepted > 0 {
            words.push(format!("{} accepted", self.accepted));
        }
        if self.errors == 0 {
            words.insert(0, "no errors".to_string());
        }
        words.join(", ")
    }
}

/// One message as JSON.
#[derive(Serialize)]
pub struct MessageJson {
    code: String,
    severity: &'static str,
    message: String,
    labels: Vec<LabelJson>,
    notes: Vec<String>,
    help: Vec<String>,
    edits: Vec<EditJson>,
    boxes: Vec<String>,
    accepted: Option<String>,
}

#[derive(Serialize)]
struct PlaceJson {
    file: String,
    library: bool,
    /// Line and column (characters), both from 1.
    line: usize,
    column: usize,
    end_line: usize,
    end_column: usize,
    /// Bytes from the start of the file, the end not included.
    bytes: [u32; 2],
}

#[derive(Serialize)]
struct LabelJson {
    #[serde(flatten)]
    place: PlaceJson,
    text: String,
}

#[derive(Serialize)]
struct EditJson {
    #[serde(flatten)]
    place: PlaceJson,
    /// What stands there.
    old: String,
    /// What should.
    replacement: String,
    /// The number under which `fix` offers it; `check` does not number its edits.
    #[serde(skip_serializing_if = "Option::is_none")]
    offer: Option<usize>,
}

fn place(sources: &Sources, span: Span) -> Option<PlaceJson> {
    if !known(sources, span) {
        return None;
    }
    let file = sources.file(span.file);
    let (line, column) = file.line_column(span.start);
    let (end_line, end_column) = file.line_column(span.end);
    let (name, library) = (file.name.clone(), file.library);
    Some(PlaceJson { file: name, library, line, column, end_line, end_column, bytes: [span.start, span.end] })
}

/// One message as JSON, with every place as file, line, column and bytes.
pub fn json(sources: &Sources, d: &Diagnostic) -> MessageJson {
    let label = |l: &crate::diagnostics::Label| {
        place(sources, l.span).map(|place| LabelJson { place, text: l.text.clone() })
    };
    let edit = |e: &crate::diagnostics::Edit| {
        let old = || sources.text(e.span).to_string();
        place(sources, e.span).map(|place| EditJson {
            place,
            old: old(),
            replacement: e.text.clone(),
            offer: e.offer,
        })
    };
    MessageJson {
        code: d.code.to_string(),
        severity: word(d),
        message: d.message.clone(),
        labels: d.labels.iter().filter_map(label).collect(),
        notes: d.notes.clone(),
        help: d.help.clone(),
        edits: d.edits.iter().filter_map(edit).collect(),
        boxes: d.boxes.clone(),
        accepted: d.accepted.clone(),
    }
}

/// What `--messages json` writes, on one line.
#[derive(Serialize)]
pub struct MessagesJson {
    pub format: &'static str,
    pub errors: usize,
    pub warnings: usize,
    pub accepted: usize,
    pub messages: Vec<MessageJson>,
}

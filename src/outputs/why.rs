//! Where a figure comes from: a tree of formulas and figures, as text or JSON.

use crate::diagnostics::visible;
use crate::job::{Answer, Reason, WrittenAt};
use crate::values::Rational;
use serde::Serialize;
use unicode_width::UnicodeWidthStr;

/// One line of the tree.
struct Line {
    text: String,
    value: String,
    place: String,
}

/// The answer as text for a page of this width.
pub fn text(answer: &Answer, width: usize) -> String {
    let mut lines = Vec::new();
    for reason in &answer.reasons {
        add(reason, 0, &mut lines);
    }
    let most = |part: fn(&Line) -> &str| lines.iter().map(|l| part(l).width()).max().unwrap_or(0);
    let (values, places) = (most(|l| &l.value).min(40), most(|l| &l.place));
    let room = width.saturating_sub(values + places + 4).max(24);
    let texts = most(|l| &l.text).min(room);
    let mut out = format!("{}\n\n", visible(&answer.about));
    for line in &lines {
        let text = visible(&shortened(&line.text, texts)).into_owned();
        let gap = texts.saturating_sub(text.width()) + values.saturating_sub(line.value.width());
        let whole = format!("{text}{}  {}  {}", " ".repeat(gap), line.value, visible(&line.place));
        out.push_str(whole.trim_end());
        out.push('\n');
    }
    if let Some(note) = answer.note {
        out.push('\n');
        out.push_str(&super::table::indented(note, width, "", ""));
    }
    out
}

fn add(reason: &Reason, depth: usize, lines: &mut Vec<Line>) {
    let indent = "  ".repeat(depth);
    let says_more = !(reason.formula.is_empty()
        || reason.formula == reason.name
        || reason.formula == plain(&reason.value));
    let mut text = match says_more {
        true => format!("{indent}{} = {}", reason.name, reason.formula),
        false => format!("{indent}{}", reason.name),
    };
    if reason.beside {
        text = format!("{indent}chosen by {}", text.trim_start());
    }
    if reason.above {
        text = format!("{indent}{} (as above)", reason.name);
    }
    lines.push(Line {
        text,
        value: reason.value.clone(),
        place: reason.place.as_ref().map(place).unwrap_or_default(),
    });
    for read in &reason.reads {
        add(read, depth + 1, lines);
    }
}

/// A value without the exact fraction behind it.
fn plain(value: &str) -> &str {
    value.split(" (").next().unwrap_or(value)
}

/// `studio.aum:36`
fn place(at: &WrittenAt) -> String {
    format!("{}:{}", at.file, at.line)
}

/// A text that fits, its end left out where it does not.
fn shortened(text: &str, most: usize) -> String {
    if text.width() <= most {
        return text.to_string();
    }
    let mut out = String::new();
    for c in text.chars() {
        if out.width() + 2 > most {
            break;
        }
        out.push(c);
    }
    format!("{}…", out.trim_end())
}

#[derive(Serialize)]
struct Page<'a> {
    format: &'static str,
    asked: &'a str,
    about: &'a str,
    #[serde(skip_serializing_if = "Option::is_none")]
    note: Option<&'a str>,
    figures: Vec<Figure<'a>>,
}

#[derive(Serialize)]
struct Figure<'a> {
    name: &'a str,
    formula: &'a str,
    value: &'a str,
    /// In mm, kg or degrees, or a plain number, as an exact fraction.
    #[serde(skip_serializing_if = "Option::is_none")]
    exact: Option<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    at: Option<Place<'a>>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    literals: Vec<Literal<'a>>,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    above: bool,
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    chosen_by: bool,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    from: Vec<Figure<'a>>,
}

#[derive(Serialize)]
struct Literal<'a> {
    text: &'a str,
    exact: String,
    at: Place<'a>,
}

#[derive(Serialize)]
struct Place<'a> {
    file: &'a str,
    line: usize,
    column: usize,
    library: bool,
}

impl<'a> Place<'a> {
    fn of(at: &'a WrittenAt) -> Place<'a> {
        Place { file: &at.file, line: at.line, column: at.column, library: at.library }
    }
}

/// The answer as JSON.
pub fn json(asked: &str, answer: &Answer) -> String {
    let figures = answer.reasons.iter().map(figure).collect();
    super::json::text(&Page {
        format: "aumbry-why/1",
        asked,
        about: &answer.about,
        note: answer.note,
        figures,
    })
}

fn figure(reason: &Reason) -> Figure<'_> {
    Figure {
        name: &reason.name,
        formula: &reason.formula,
        value: &reason.value,
        exact: reason.exact.map(exact),
        at: reason.place.as_ref().map(Place::of),
        literals: reason
            .literals
            .iter()
            .map(|l| Literal { text: &l.text, exact: exact(l.exact), at: Place::of(&l.place) })
            .collect(),
        above: reason.above,
        chosen_by: reason.beside,
        from: reason.reads.iter().map(figure).collect(),
    }
}

fn exact(value: Rational) -> String {
    match value.denominator() {
        1 => value.numerator().to_string(),
        d => format!("{}/{d}", value.numerator()),
    }
}

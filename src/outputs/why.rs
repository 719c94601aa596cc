//! Where a figure comes from: a tree of formulas and figures, as text or JSON.

use super::table::indented;
use crate::diagnostics::visible;
use crate::job::{Answer, Reason, WrittenAt};
use crate::values::Rational;
use serde::Serialize;
use unicode_width::UnicodeWidthStr;

/// One line of the tree.
struct Line {
    indent: usize,
    text: String,
    value: String,
    place: String,
}

/// How many lines one formula takes.
const MOST_LINES: usize = 3;

/// The answer as text for a page of this width.
pub fn text(answer: &Answer, width: usize) -> String {
    let mut lines = Vec::new();
    for reason in &answer.reasons {
        add(reason, 0, &mut lines);
    }
    let most = |part: &dyn Fn(&Line) -> usize| lines.iter().map(part).max().unwrap_or(0);
    let (values, places) = (most(&|l| l.value.width()).min(40), most(&|l| l.place.width()));
    let room = width.saturating_sub(values + places + 4).max(24);
    let texts = most(&|l| l.indent + l.text.width()).min(room);
    let mut out = indented(&visible(&answer.about), width, "", "  ");
    out.push('\n');
    for line in &lines {
        let pieces = wrapped(&visible(&line.text), texts.saturating_sub(line.indent));
        for (i, piece) in pieces.iter().enumerate() {
            let text = format!("{}{piece}", " ".repeat(line.indent));
            let (value, place) = if i == 0 { (line.value.as_str(), line.place.as_str()) } else { ("", "") };
            let gap = texts.saturating_sub(text.width()) + values.saturating_sub(value.width());
            out.push_str(format!("{text}{}  {value}  {}", " ".repeat(gap), visible(place)).trim_end());
            out.push('\n');
        }
    }
    if let Some(note) = answer.note {
        out.push('\n');
        out.push_str(&indented(note, width, "", ""));
    }
    out
}

/// A text over lines of this width, those after the first set in.
fn wrapped(text: &str, most: usize) -> Vec<String> {
    const SET_IN: &str = "    ";
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split(' ') {
        let full = lines.len();
        let Some(line) = lines.last_mut() else { break };
        let new = line.trim().is_empty();
        if !new && line.width() + 1 + word.width() > most {
            if full == MOST_LINES {
                return shortened_last(lines, most);
            }
            lines.push(format!("{SET_IN}{word}"));
            continue;
        }
        if !new {
            line.push(' ');
        }
        line.push_str(word);
    }
    // A word that is too long by itself.
    lines.iter().map(|l| shortened(l, most)).collect()
}

fn shortened_last(mut lines: Vec<String>, most: usize) -> Vec<String> {
    if let Some(last) = lines.last_mut() {
        *last = shortened(&format!("{last} …"), most);
    }
    lines
}

fn add(reason: &Reason, depth: usize, lines: &mut Vec<Line>) {
    let indent = 2 * depth;
    let mut text = said(reason);
    let (mut value, mut at) = (&reason.value, &reason.place);
    let mut reads = &reason.reads;
    // A figure that is another one, and that stands by itself, is told in one line.
    if let [only] = reads.as_slice()
        && !reason.above
        && only.reads.is_empty()
        && !only.above
        && !only.beside
        && only.exact == reason.exact
        && reason.formula == only.name
    {
        text = match only.name == reason.name {
            true => said(only),
            false => format!("{} = {}", reason.name, said(only)),
        };
        (value, at, reads) = (&only.value, &only.place, &only.reads);
    }
    if reason.beside {
        text = format!("chosen by {text}");
    }
    let place = at.as_ref().map(place).unwrap_or_default();
    lines.push(Line { indent, text, value: value.clone(), place });
    for read in reads {
        add(read, depth + 1, lines);
    }
}

/// A figure with its formula, where that says more than the figure itself.
fn said(reason: &Reason) -> String {
    if reason.above {
        return format!("{} (as above)", reason.name);
    }
    let formula = &reason.formula;
    let same = formula.is_empty() || formula == &reason.name || formula == plain(&reason.value);
    if same { reason.name.clone() } else { format!("{} = {formula}", reason.name) }
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

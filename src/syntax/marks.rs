//! Numbers as they are written, and the ways of writing them that have a message of their own.

use super::scan::Scanner;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use crate::values::{Quantity, Rational, UNITS, decimal, fraction_inches};

/// A number that cannot be read, its end and its message.
pub(super) struct Mark {
    pub end: usize,
    pub message: Diagnostic,
}

/// The units with a stroke in their name.
const STROKED: [&str; 4] = ["kg/m3", "g/cm3", "lb/ft3", "N/mm2"];

fn digits(s: &Scanner, at: usize) -> Option<usize> {
    let end = s.run_of(at, |b| b.is_ascii_digit());
    (end > at).then_some(end)
}

fn is_word(b: u8) -> bool {
    b.is_ascii_alphanumeric() || b == b'_'
}

/// The end of the unit at a byte, or that byte.
fn unit_end(s: &Scanner, at: usize) -> usize {
    let stroked = STROKED.iter().map(|u| at + u.len());
    let mut stroked =
        stroked.zip(STROKED).filter(|(end, u)| s.slice(at, *end) == *u && !is_word(s.byte(*end)));
    match stroked.next() {
        Some((end, _)) => end,
        None if s.byte(at).is_ascii_alphabetic() || s.byte(at) == b'_' => s.run_of(at, is_word),
        None => at,
    }
}

/// The end of `7/16` after a first run of digits that ends at `at`.
fn stroke(s: &Scanner, at: usize) -> Option<usize> {
    if s.byte(at) == b'/' { digits(s, at + 1) } else { None }
}

/// The end of the figure at a byte, without unit: `24`, `2.5`, `7/16`, `23 7/16`; the latter two
/// only as far as a unit or a mark makes them one token, which the caller looks at.
fn figures(s: &Scanner, at: usize) -> Vec<usize> {
    let Some(whole) = digits(s, at) else { return Vec::new() };
    let mut ends = Vec::new();
    let blanks = s.run_of(whole, |b| b == b' ');
    if blanks > whole {
        ends.extend(digits(s, blanks).and_then(|n| stroke(s, n)));
    }
    ends.extend(stroke(s, whole));
    ends.push(match s.byte(whole) {
        b'.' => digits(s, whole + 1).unwrap_or(whole),
        _ => whole,
    });
    ends
}

/// The end of the well-formed number at a byte, as the grammar reads it.
pub(super) fn number_end(s: &Scanner, at: usize) -> usize {
    let ends = figures(s, at);
    for end in &ends {
        let plain = Some(end) == ends.last();
        let blanks = s.slice(at, *end).matches(' ').count();
        let unit = unit_end(s, *end);
        if plain || (unit > *end && blanks <= 1) {
            return unit;
        }
    }
    at + 1
}

/// A number at the scanner's place that is written in one of the ways that have their own message.
pub(super) fn look(s: &Scanner) -> Option<Mark> {
    let at = s.place();
    let ends = figures(s, at);
    for end in &ends {
        let end = *end;
        if unit_end(s, end) > end {
            // `23  7/16in` with two blanks is not one token.
            if s.slice(at, end).matches(' ').count() > 1 {
                let unit = unit_end(s, end);
                let whole = format!("{}{}", squeeze(s.slice(at, end)), s.slice(end, unit));
                return Some(spaced(s.span(at, unit), unit, &whole));
            }
            return None;
        }
        let rest = s.text.get(end..).unwrap_or("");
        if let Some(mark) = ["\"", "″", "''", "”"].iter().find(|m| rest.starts_with(**m)) {
            let figure = squeeze(s.slice(at, end));
            let message = Diagnostic::error(
                "inch-mark",
                format!("A quote mark starts text. For inches write `{figure}in`."),
                s.span(at, end + mark.len()),
                format!("write `{figure}in`"),
            )
            .help(format!("Write `{figure}in`."))
            .edit(s.span(at, end + mark.len()), format!("{figure}in"));
            return Some(Mark { end: end + mark.len(), message });
        }
        if let Some(mark) = ["'", "′", "’"].iter().find(|m| rest.starts_with(**m)) {
            return Some(feet(s, at, end, end + mark.len()));
        }
        let gap = s.run_of(end, |b| b == b' ' || b == b'\t');
        let unit = unit_end(s, gap);
        let next = s.byte(s.run_of(unit, |b| b == b' ' || b == b'\t'));
        if gap > end && is_unit(s.slice(gap, unit)) && !matches!(next, b':' | b'(' | b'=') {
            let right = format!("{}{}", squeeze(s.slice(at, end)), s.slice(gap, unit));
            return Some(spaced(s.span(at, unit), unit, &right));
        }
    }
    // `23 7/16` without a unit would be two numbers side by side.
    let end = *ends.first()?;
    if s.slice(at, end).contains(' ') && !is_word(s.byte(end)) {
        let figure = squeeze(s.slice(at, end));
        let message = Diagnostic::error(
            "missing-unit",
            format!("`{figure}` needs a unit: `{figure}in`."),
            s.span(at, end),
            "a mixed number without a unit",
        )
        .help(format!("Write `{figure}in`."))
        .edit(s.span(at, end), format!("{figure}in"));
        return Some(Mark { end, message });
    }
    None
}

fn squeeze(figure: &str) -> String {
    figure.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn spaced(span: Span, end: usize, right: &str) -> Mark {
    let message = Diagnostic::error(
        "space-before-unit",
        format!("Put the unit against the number: `{right}`."),
        span,
        format!("write `{right}`"),
    )
    .help(format!("Write `{right}`."))
    .edit(span, right);
    Mark { end, message }
}

/// `6'`, `6'2"`, `6' 2 1/2"`.
fn feet(s: &Scanner, at: usize, figure: usize, mark: usize) -> Mark {
    let after = s.run_of(mark, |b| b == b' ' || b == b'-');
    let inch_marks = ["\"", "″", "''", "”"];
    let mut end = mark;
    let mut inches = Some(Rational::ZERO);
    for e in figures(s, after) {
        let rest = s.text.get(e..).unwrap_or("");
        let found = inch_marks.iter().find(|m| rest.starts_with(**m));
        // Without the inch mark only what stands right against the foot mark belongs to it.
        if found.is_some() || (after == mark && !is_word(s.byte(e))) {
            inches = value(s.slice(after, e));
            end = e + found.map_or(0, |m| m.len());
            break;
        }
    }
    let total = value(s.slice(at, figure)).and_then(|feet| feet.mul(Rational::int(12)).ok());
    let total = total.zip(inches).and_then(|(a, b)| a.add(b).ok());
    let span = s.span(at, end);
    let message = match total {
        Some(total) => {
            let right = format!("{}in", written_inches(total));
            let text = format!("Write feet as inches: `{right}`.");
            Diagnostic::error("foot-mark", text, span, format!("write `{right}`"))
                .help(format!("Write `{right}`."))
                .edit(span, right)
        }
        None => {
            Diagnostic::error("foot-mark", "Write feet as inches.", span, "feet").help("1 foot is `12in`.")
        }
    };
    Mark { end, message }
}

/// Inches with a fraction where a rule has one, else with decimals.
pub(super) fn written_inches(inches: Rational) -> String {
    if inches.denominator() <= 64 && 64 % inches.denominator().max(1) == 0 {
        fraction_inches(inches)
    } else {
        decimal(inches, 6)
    }
}

/// The value of a figure without its unit: `24`, `2.5`, `7/16`, `23 7/16`. `None` where it needs
/// more digits than are kept or divides by nought.
pub(super) fn value(figure: &str) -> Option<Rational> {
    let (whole, part) = match figure.split_once(' ') {
        Some((whole, part)) => (Rational::parse_decimal(whole)?, part.trim()),
        None => (Rational::ZERO, figure),
    };
    let part = match part.split_once('/') {
        Some((n, d)) => Rational::parse_decimal(n)?.div(Rational::parse_decimal(d)?)?.ok()?,
        None => Rational::parse_decimal(part)?,
    };
    whole.add(part).ok()
}

/// True for a unit, or for the three capitals of a currency.
pub(super) fn is_unit(word: &str) -> bool {
    matches!(Quantity::written(Rational::ZERO, word), Some(Ok(_))) && !word.is_empty()
}

/// The unit nearest to a misspelt one.
pub(super) fn nearest_unit(word: &str) -> Option<&'static str> {
    let lower = word.to_lowercase();
    let same = UNITS.iter().map(|u| u.name).find(|u| u.to_lowercase() == lower);
    let known = match lower.as_str() {
        "inch" | "inches" | "ins" => Some("in"),
        "millimetre" | "millimetres" | "millimeter" | "millimeters" => Some("mm"),
        "metre" | "metres" | "meter" | "meters" => Some("m"),
        "degree" | "degrees" => Some("deg"),
        "lbs" => Some("lb"),
        "kilo" | "kilos" | "kgs" => Some("kg"),
        _ => None,
    };
    same.or(known).or_else(|| crate::diagnostics::nearest(word, UNITS.iter().map(|u| u.name)))
}

/// Characters that do not show or that turn the order of what is shown.
pub(super) fn hidden(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}' | '\u{feff}' | '\u{ad}')
}

/// The message for characters that no token has.
pub(super) fn odd_characters(span: Span, found: &str) -> Diagnostic {
    let first = found.chars().next().unwrap_or(' ');
    if found.chars().any(hidden) {
        let c = found.chars().find(|c| hidden(*c)).unwrap_or(first);
        return Diagnostic::error(
            "hidden-character",
            format!("A character that does not show stands here (U+{:04X}).", c as u32),
            span,
            "hidden character",
        )
        .help("Delete it: it can make the text look other than it is read.");
    }
    let shown = if first.is_control() || first.is_whitespace() || found.chars().count() > 8 {
        format!("The character U+{:04X}", first as u32)
    } else {
        format!("`{found}`")
    };
    let d =
        Diagnostic::error("bad-character", format!("{shown} has no meaning here."), span, "this character");
    let right = match first {
        '–' | '—' | '−' => "-",
        '×' | '·' => "*",
        '÷' => "/",
        '≤' => "<=",
        '≥' => ">=",
        '≠' => "!=",
        '…' => "..",
        '“' | '”' | '„' | '«' | '»' => "\"",
        '½' => "1/2",
        '¼' => "1/4",
        '¾' => "3/4",
        '°' => "deg",
        '\u{a0}' | '\u{202f}' | '\u{2009}' => return d.help("Write an ordinary space."),
        '\0' => return d.help("Is this a text file? Delete the character."),
        _ => return d.help("Delete it."),
    };
    d.help(format!("Write `{right}`."))
}

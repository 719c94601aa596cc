//! Figures that mend: for an error with labelled numbers, the least change of one of them that makes
//! the whole design compile, found by compiling it.

use crate::diagnostics::{Diagnostic, Label};
use crate::sources::{Sources, Span};
use crate::values::{Dimension, Quantity, Rational};

/// How many errors get figures; the rest is mended on the next run.
const MOST_ERRORS: usize = 3;
/// How many numbers are tried for one error.
const MOST_LITERALS: usize = 10;
/// How many figures one message offers.
const MOST_OFFERS: usize = 3;
/// How far from the written figure is looked, in doublings of a step.
const DOUBLINGS: u32 = 12;

/// One figure that would do.
struct Offer {
    span: Span,
    name: Option<String>,
    written: String,
    text: String,
    change: Rational,
    nought: bool,
}

/// A number as it is written, with the step that changes of it are whole multiples of.
struct Figure {
    value: Quantity,
    step: Rational,
    inches: bool,
}

/// Adds to errors what one number would have to be. `step` is the house's whole step; `again` compiles
/// the design with one stretch of text replaced and gives the messages.
pub fn mend(
    errors: &mut [Diagnostic],
    sources: &Sources,
    step: Rational,
    again: &mut dyn FnMut(Span, &str) -> Vec<Diagnostic>,
) {
    let all: Vec<Key> = errors.iter().filter(|d| d.is_error()).map(key).collect();
    for d in errors.iter_mut().filter(|d| d.is_error()).take(MOST_ERRORS) {
        let others: Vec<Key> = all.iter().filter(|k| **k != key(d)).cloned().collect();
        let mut offers = Vec::new();
        let mut labels: Vec<Label> = d.labels.iter().filter(|l| is_open(sources, l)).cloned().collect();
        // Numbers of the statement at fault first; a nought is where something starts and comes last.
        let at = d.span();
        labels.sort_by_key(|l| {
            let nought = sources.text(l.span).starts_with('0');
            let inside = at.file == l.span.file && at.start <= l.span.start && l.span.end <= at.end;
            (nought, !inside, l.span.start.abs_diff(at.start))
        });
        for label in labels.iter().take(MOST_LITERALS) {
            let Some(figure) = read(sources.text(label.span), step) else { continue };
            let mut compiles = |value: Rational| {
                let Some(text) = write(&figure, value) else { return false };
                let found = again(label.span, &text);
                found.iter().filter(|f| f.is_error()).all(|f| others.contains(&key(f)))
            };
            if let Some(value) = search(&figure, d.miss, &mut compiles) {
                offers.extend(offer(sources, label, &figure, value));
            }
        }
        // A nought is where something starts; it is changed only where nothing else would do.
        if offers.iter().any(|o| !o.nought) {
            offers.retain(|o| !o.nought);
        }
        offers.sort_by(|a, b| a.change.cmp(&b.change).then_with(|| a.span.cmp(&b.span)));
        for o in offers.into_iter().take(MOST_OFFERS) {
            let what = o.name.map(|n| format!("`{n}`: ")).unwrap_or_default();
            d.help.push(format!("{what}{} instead of {} would do.", o.text, o.written));
            d.edits.push(crate::diagnostics::Edit { span: o.span, text: o.text });
        }
    }
}

type Key = (String, Vec<String>);

/// Positions move with an edit; the code and the boxes do not.
fn key(d: &Diagnostic) -> Key {
    (d.code.to_string(), d.boxes.clone())
}

/// A number of the maker's own text that is no measured fact.
fn is_open(sources: &Sources, label: &Label) -> bool {
    label.literal && !sources.file(label.span.file).library && !label.text.starts_with("`thickness`")
}

/// A number with its unit; changes of a length are whole steps of the house in the unit it is written
/// in, changes of anything else whole units.
fn read(text: &str, step: Rational) -> Option<Figure> {
    let digits = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let mut value = Rational::ZERO;
    for piece in number.split_whitespace() {
        let piece = match piece.split_once('/') {
            Some((a, b)) => Rational::parse_decimal(a)?.div(Rational::parse_decimal(b)?)?.ok()?,
            None => Rational::parse_decimal(piece)?,
        };
        value = value.add(piece).ok()?;
    }
    let value = Quantity::written(value, unit)?.ok()?;
    let inches = unit == "in";
    let step = match value.dimension {
        Dimension::LENGTH if inches && step == Rational::ONE => Rational::ratio(127, 5 * 16),
        Dimension::LENGTH if !inches && step != Rational::ONE => Rational::ONE,
        Dimension::LENGTH => step,
        Dimension::NUMBER if !value.value.is_integer() => return None,
        Dimension::NUMBER | Dimension::MASS => Rational::ONE,
        _ => return None,
    };
    Some(Figure { value, step, inches })
}

/// The text of another value in the same unit.
fn write(figure: &Figure, value: Rational) -> Option<String> {
    if value.is_negative() {
        return None;
    }
    Some(match figure.value.dimension {
        Dimension::LENGTH if figure.inches => {
            let inches = value.mul(Rational::ratio(5, 127)).ok()?;
            match inches.denominator() <= 64 {
                true => format!("{}in", crate::values::fraction_inches(inches)),
                false => millimetres(value)?,
            }
        }
        Dimension::LENGTH => millimetres(value)?,
        Dimension::MASS => format!("{}kg", crate::values::decimal(value, 3)),
        _ => crate::values::decimal(value, 0),
    })
}

/// Only a figure that can be written exactly.
fn millimetres(value: Rational) -> Option<String> {
    let text = crate::values::decimal(value, 3);
    (Rational::parse_decimal(&text) == Some(value)).then(|| format!("{text}mm"))
}

/// The least change that does: exact where the fault says by how much it misses, else in whole steps,
/// away from the written figure in both directions until one does, then back to the least that does.
fn search(
    figure: &Figure,
    miss: Option<Rational>,
    does: &mut dyn FnMut(Rational) -> bool,
) -> Option<Rational> {
    let start = figure.value.value;
    if let Some(miss) = miss {
        for value in [start.add(miss), start.sub(miss)] {
            let value = value.ok()?;
            if value != start && !value.is_negative() && does(value) {
                return Some(value);
            }
        }
    }
    let mut best: Option<Rational> = None;
    for up in [true, false] {
        if let Some(found) = direction(figure, up, does) {
            let nearer = match best {
                Some(b) => distance(found, start)? < distance(b, start)?,
                None => true,
            };
            if nearer {
                best = Some(found);
            }
        }
    }
    best
}

fn distance(a: Rational, b: Rational) -> Option<Rational> {
    a.sub(b).ok()?.abs().ok()
}

/// The nearest multiple of the step that does, upwards or downwards.
fn direction(figure: &Figure, up: bool, does: &mut dyn FnMut(Rational) -> bool) -> Option<Rational> {
    let times = figure.value.value.div(figure.step)?.ok()?;
    // The written figure may lie between two steps.
    let base = if up { times.floor() } else { times.ceil() };
    let at = |n: i64| -> Option<Rational> {
        let n = Rational::int(n);
        let steps = if up { base.add(n) } else { base.sub(n) };
        steps.ok()?.mul(figure.step).ok().filter(|v| !v.is_negative())
    };
    // Downwards nought is the end.
    let most = if up { i64::MAX } else { base.to_i64()? };
    let mut bad = 0i64;
    for i in 0..=DOUBLINGS {
        let n = (1i64 << i).min(most);
        if n <= bad {
            return None;
        }
        if does(at(n)?) {
            let (mut low, mut high) = (bad, n);
            while high - low > 1 {
                let mid = low + (high - low) / 2;
                if does(at(mid)?) {
                    high = mid;
                } else {
                    low = mid;
                }
            }
            return at(high);
        }
        bad = n;
    }
    None
}

fn offer(sources: &Sources, label: &Label, figure: &Figure, value: Rational) -> Option<Offer> {
    let change = distance(value, figure.value.value)?;
    let name = label.text.strip_prefix('`').and_then(|t| t.split_once('`')).map(|(n, _)| n.to_string());
    Some(Offer {
        span: label.span,
        name,
        written: sources.text(label.span).to_string(),
        text: write(figure, value)?,
        change,
        nought: figure.value.value.is_zero(),
    })
}

//! How the checks word and gather what they find.

use super::Checks;
use crate::diagnostics::{Diagnostic, Severity};
use crate::geometry::{Axis, Cuboid};
use crate::job::{Origin, Part, Trace};
use crate::sources::Span;
use crate::values::{Overflow, Rational};
use std::borrow::Cow;
use std::collections::BTreeMap;

/// Faults as they are found. A second one of the same code at the same place in the same box only
/// counts: a row of holes that breaks out is one mistake.
#[derive(Default)]
pub struct Faults {
    found: BTreeMap<Key, (Diagnostic, usize)>,
}

/// Place, code and boxes.
type Key = (Span, Cow<'static, str>, Vec<String>);

impl Faults {
    /// Keeps a fault, or counts it with its like.
    pub fn add(&mut self, fault: Diagnostic) {
        let key = (fault.span(), fault.code.clone(), fault.boxes.clone());
        self.found
            .entry(key)
            .and_modify(|(first, more)| {
                *more += 1;
                first.worst_of(&fault);
            })
            .or_insert((fault, 0));
    }

    /// True where one of them is an error: what may be doubtful besides is not the matter then.
    pub fn has_error(&self) -> bool {
        self.found.values().any(|(fault, _)| fault.is_error())
    }

    /// All of them, with how many were like each.
    pub fn into_diagnostics(self) -> Vec<Diagnostic> {
        self.found
            .into_values()
            .map(|(fault, more)| match more {
                0 => fault,
                1 => fault.note("The same statement causes one more like it."),
                more => fault.note(format!("The same statement causes {more} more like it.")),
            })
            .collect()
    }
}

impl Checks<'_> {
    /// A fault at the statement behind `origin`. The places behind it come with [`because`].
    pub fn fault(
        &self,
        code: &'static str,
        severity: Severity,
        message: String,
        origin: Origin,
        label: &str,
    ) -> Diagnostic {
        let span = self.trace.span(origin);
        let mut fault = Diagnostic::new(Cow::Borrowed(code), severity, message, span, label);
        fault.origins.push(origin.0);
        fault
    }

    /// A length with its unit, to three decimals: `17.5mm`.
    pub fn length(&self, mm: Rational) -> String {
        self.style.fine(mm)
    }

    /// Sizes with one unit at the end: `18 × 18 × 279mm`.
    pub fn sizes(&self, sizes: &[Rational]) -> String {
        let unit = self.style.unit();
        let figures: Vec<String> = sizes
            .iter()
            .map(|mm| {
                let text = self.style.fine(*mm);
                text.strip_suffix(unit).unwrap_or(&text).to_string()
            })
            .collect();
        format!("{}{unit}", figures.join(" × "))
    }

    /// The size of a box on each axis, smallest first.
    pub fn extents(&self, cuboid: &Cuboid) -> Result<String, Overflow> {
        let mut sizes = Vec::new();
        for axis in Axis::ALL {
            sizes.push(cuboid.on(axis).size()?);
        }
        sizes.sort();
        Ok(self.sizes(&sizes))
    }

    /// True where a box, or one it stands in, is incomplete.
    pub fn is_unsure(&self, path: &str) -> bool {
        self.unsure
            .iter()
            .any(|u| path == u || path.strip_prefix(u.as_str()).is_some_and(|p| p.starts_with('.')))
    }
}

/// Adds the places behind `origin` that have no label yet.
pub fn because(mut fault: Diagnostic, trace: &dyn Trace, origin: Origin) -> Diagnostic {
    fault.origins.push(origin.0);
    for label in trace.labels(origin) {
        if !fault.labels.iter().any(|l| l.span == label.span) {
            fault.labels.push(label);
        }
    }
    fault
}

/// How far one of two cuboids would have to move past the other, for each axis and both ways: any of these at
/// nought parts them.
pub fn parting(a: &Cuboid, b: &Cuboid) -> Vec<Rational> {
    let on = |axis: Axis| {
        let (a, b) = (a.on(axis), b.on(axis));
        [a.hi.sub(b.lo), b.hi.sub(a.lo)]
    };
    Axis::ALL.into_iter().flat_map(on).flatten().collect()
}

/// The greater of each, where several must be parted.
pub fn worst(several: impl Iterator<Item = Vec<Rational>>) -> Vec<Rational> {
    let both = |a: Vec<Rational>, b: Vec<Rational>| a.into_iter().zip(b).map(|(a, b)| a.max(b)).collect();
    several.reduce(both).unwrap_or_default()
}

/// The nearest float, for estimates.
pub fn float(value: Rational) -> f64 {
    value.numerator() as f64 / value.denominator() as f64
}

/// What an estimate gives, to a millionth.
pub fn estimated(value: f64) -> Option<Rational> {
    let millionths = (value * 1e6).round();
    (millionths.abs() < 1e15).then(|| Rational::ratio(millionths as i128, 1_000_000))
}

/// A part in a sentence: its own name among parts of one box, else its path.
pub fn named(part: &Part, among: &Part) -> String {
    let name = if part.box_path == among.box_path { part.name() } else { &part.path };
    format!("`{name}`")
}

/// `a`, `a and b`, `a, b and 3 more`.
pub fn listed(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [a, b] => format!("{a} and {b}"),
        [a, b, c] => format!("{a}, {b} and {c}"),
        [a, b, rest @ ..] => format!("{a}, {b} and {} more", rest.len()),
    }
}

//! Phrases that several outputs share.

use crate::job::{Face, Grain, House, Job, Part};
use crate::values::{Mm, Rational, Style, decimal};

/// `front`, `front and rear`, `left, right and top`.
pub fn listed(words: &[impl AsRef<str>]) -> String {
    match words {
        [] => String::new(),
        [one] => one.as_ref().to_string(),
        [most @ .., last] => {
            let most: Vec<&str> = most.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", most.join(", "), last.as_ref())
        }
    }
}

/// At most `most` of some names, and how many are left.
pub fn a_few(names: &[impl AsRef<str>], most: usize) -> String {
    let named: Vec<&str> = names.iter().take(most).map(AsRef::as_ref).collect();
    match names.len().saturating_sub(most) {
        0 => named.join(", "),
        more => format!("{} and {more} more", named.join(", ")),
    }
}

/// `1 part`, `12 parts`.
pub fn count(n: usize, one: &str, many: &str) -> String {
    format!("{n} {}", if n == 1 { one } else { many })
}

/// Which units and step a table is printed in.
pub fn heading(house: &House) -> String {
    let step = house.style().fine(house.print.0);
    let step = step.trim_end_matches("mm").trim_end_matches("in");
    let unit = if house.style().inches { "inches" } else { "mm" };
    format!("Lengths in {unit}, to the nearest {step}.")
}

/// The four edges of a part, in the order of faces.
pub fn edges(part: &Part) -> Vec<Face> {
    Face::ALL.into_iter().filter(|f| !part.is_wide(*f)).collect()
}

/// The banded edges in words: `front`, `all four`, `none`.
pub fn banded(part: &Part) -> String {
    // As a maker would go round the part: front first.
    const ROUND: [Face; 6] = [Face::Front, Face::Rear, Face::Top, Face::Bottom, Face::Left, Face::Right];
    let banded: Vec<&str> =
        ROUND.into_iter().filter(|f| part.bands.contains_key(f)).map(|f| f.word()).collect();
    match banded.len() {
        0 => "none".to_string(),
        4 => "all four".to_string(),
        _ => banded.join(", "),
    }
}

/// Which size the grain runs along, in a word.
pub fn grain(part: &Part) -> &'static str {
    match part.grain {
        Grain::Length => "length",
        Grain::Width => "width",
        Grain::None => "none",
    }
}

/// `inner`, `outer`, or nothing where a wide face is neither.
pub fn side(part: &Part, face: Face) -> &'static str {
    if part.inner == Some(face) {
        "inner"
    } else if part.outer == Some(face) {
        "outer"
    } else {
        ""
    }
}

/// A length for a file that a program reads: rounded to the printed step, in the house's unit, as a
/// decimal (a 64th of an inch has six places).
pub fn plain(style: Style, length: Mm) -> String {
    let rounded = style.round(length.0).unwrap_or(length.0);
    if style.inches {
        let inches = rounded.mul(Rational::ratio(5, 127)).unwrap_or(rounded);
        decimal(inches, 6)
    } else {
        decimal(rounded, 6)
    }
}

/// `length_mm` or `length_in`.
pub fn with_unit(style: Style, heading: &str) -> String {
    format!("{heading}_{}", style.unit())
}

/// Lines for the end of a list: warnings that stand, and those accepted with their reason.
pub fn messages(job: &Job) -> Vec<String> {
    job.messages
        .iter()
        .map(|m| {
            let boxes = if m.boxes.is_empty() { String::new() } else { format!(" ({})", a_few(&m.boxes, 4)) };
            match &m.accepted {
                Some(reason) => format!("Accepted {}{boxes}: {reason}", m.code),
                None => format!("Warning {}{boxes}: {}", m.code, m.message),
            }
        })
        .collect()
}

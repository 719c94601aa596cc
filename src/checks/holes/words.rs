//! What is said of holes that meet.

use super::bore::Bore;
use crate::checks::Checks;
use crate::checks::report::{because, estimated, float, parting};
use crate::diagnostics::{Diagnostic, Severity};
use crate::geometry::{Axis, Face};
use crate::job::{Cut, Part, Shape};
use crate::values::{Overflow, Rational};

/// `5mm hole for shelf pins`.
pub fn hole(checks: &Checks, bore: &Bore) -> String {
    let dia = checks.length(bore.hole.dia.0);
    match bore.hole.purposes.first().filter(|p| !p.is_empty()) {
        Some(purpose) => format!("{dia} hole for {purpose}"),
        None => format!("{dia} hole"),
    }
}

/// `a`, or `an` before a figure that is spoken with a vowel.
pub fn article(words: &str) -> &'static str {
    let whole: String = words.chars().take_while(char::is_ascii_digit).collect();
    if whole.starts_with('8') || ((whole == "11" || whole == "18") && whole.len() == 2) { "an" } else { "a" }
}

/// Two holes of a part that meet.
pub fn holes_meet(checks: &Checks, part: &Part, a: &Bore, b: &Bore) -> Result<Diagnostic, Overflow> {
    // The later statement is the one to mend.
    let (a, b) =
        if checks.trace.span(b.hole.origin) < checks.trace.span(a.hole.origin) { (b, a) } else { (a, b) };
    let (one, other) = (hole(checks, b), hole(checks, a));
    let (from, to) = (b.hole.face.word(), a.hole.face.word());
    let faces =
        if from == to { format!("in the {from} face") } else { format!("from the {from} and the {to} face") };
    let message = format!(
        "{} {one} meets {} {other} in `{}`, {faces}.",
        capital(article(&one)),
        article(&other),
        part.name()
    );
    let fault = checks.fault("hole-meets-hole", Severity::Error, message, b.hole.origin, "this hole");
    let span = checks.trace.span(a.hole.origin);
    let fault =
        if fault.labels.iter().any(|l| l.span == span) { fault } else { fault.label(span, "meets this one") };
    let fault = because(fault, checks.trace, b.hole.origin);
    let mut fault = because(fault, checks.trace, a.hole.origin);
    let apart = a.radius.add(b.radius)?;
    let mut is = Vec::new();
    for axis in crate::geometry::Axis::ALL {
        if axis != a.axis && axis != b.axis {
            let off = a.at(axis).sub(b.at(axis))?.abs()?;
            is.push((axis, off));
        }
    }
    let now: Vec<String> = is
        .iter()
        .filter(|(_, off)| off.is_positive())
        .map(|(axis, off)| {
            let (low, high) = (Face::of(*axis, false).word(), Face::of(*axis, true).word());
            format!("{} from {low} to {high}", checks.length(*off))
        })
        .collect();
    fault = fault.note(if now.is_empty() {
        "Their centre lines meet.".to_string()
    } else {
        format!("Their centre lines are apart by {}.", now.join(" and "))
    });
    let help = if a.axis == b.axis {
        format!("Set them at least {} apart, from centre to centre.", checks.length(apart))
    } else {
        format!("Set their centre lines at least {} apart, or bore one less deep.", checks.length(apart))
    };
    fault = fault.help(help);
    fault.misses = apart_by(a, b)?;
    fault.boxes = vec![part.box_path.clone()];
    Ok(fault)
}

/// How far two holes that meet would have to move past each other, for each axis and both ways. Across two
/// holes side by side their rims are round.
fn apart_by(a: &Bore, b: &Bore) -> Result<Vec<Rational>, Overflow> {
    let mut ways = parting(&a.bounds, &b.bounds);
    if a.axis == b.axis {
        let [u, v] = a.axis.others();
        let reach = float(a.radius.add(b.radius)?);
        for (axis, other) in [(u, v), (v, u)] {
            let off = float(a.at(other).sub(b.at(other))?);
            let need = estimated((reach * reach - off * off).max(0.0).sqrt());
            let place = 2 * Axis::ALL.iter().position(|x| *x == axis).unwrap_or_default();
            let along = a.at(axis).sub(b.at(axis))?;
            for (way, moved) in [(place, along), (place + 1, along.neg()?)] {
                if let (Some(way), Some(need)) = (ways.get_mut(way), need) {
                    *way = need.add(moved)?;
                }
            }
        }
    }
    Ok(ways)
}

/// A hole that meets a cut of its part.
pub fn in_cut(checks: &Checks, part: &Part, bore: &Bore, cut: &Cut) -> Result<Diagnostic, Overflow> {
    let one = hole(checks, bore);
    let what = match cut.shape {
        Shape::Groove => "groove",
        Shape::Housing => "housing",
        Shape::Rebate => "rebate",
        Shape::Notch => "notch",
        Shape::Slot => "slot",
    };
    let panel = cut.by.as_deref().and_then(|p| p.rsplit('.').next());
    let for_part = panel.map_or(String::new(), |p| format!(" for `{p}`"));
    let message = format!(
        "{} {one} in the {} face of `{}` runs into the {what}{for_part}.",
        capital(article(&one)),
        bore.hole.face.word(),
        part.name()
    );
    let fault = checks.fault("hole-in-groove", Severity::Error, message, bore.hole.origin, "this hole");
    let span = checks.trace.span(cut.origin);
    let fault = if fault.labels.iter().any(|l| l.span == span) {
        fault
    } else {
        fault.label(span, format!("the {what} comes from here"))
    };
    let fault = because(fault, checks.trace, bore.hole.origin);
    let mut fault = because(fault, checks.trace, cut.origin);
    let mut ways: Vec<(Rational, String)> = Vec::new();
    for axis in bore.axis.others() {
        let (own, room, taken) = (part.own.on(axis), bore.bounds.on(axis), cut.cuboid.on(axis));
        for (high, by) in [(false, room.hi.sub(taken.lo)?), (true, taken.hi.sub(room.lo)?)] {
            let left = if high { own.hi.sub(room.hi)? } else { room.lo.sub(own.lo)? };
            if by <= left {
                let towards = Face::of(axis, high).word();
                ways.push((by, format!("move it at least {} towards the {towards}", checks.length(by))));
            }
        }
    }
    // The shorter of the moves; boring less deep is another way altogether.
    ways.sort();
    ways.truncate(1);
    if !bore.hole.through {
        let (own, taken) = (part.own.on(bore.axis), cut.cuboid.on(bore.axis));
        let room = if bore.hole.face.is_high() { own.hi.sub(taken.hi)? } else { taken.lo.sub(own.lo)? };
        if room.is_positive() {
            ways.push((bore.depth.sub(room)?, format!("bore it {} deep at most", checks.length(room))));
        }
    }
    ways.sort();
    let help = match &ways[..] {
        [] => "Move the hole or leave it out.".to_string(),
        [(_, one)] => format!("{}.", capital(one)),
        [(_, one), (_, other), ..] => format!("{}, or {other}.", capital(one)),
    };
    fault = fault.help(help);
    fault.misses = parting(&bore.bounds, &cut.cuboid);
    fault.boxes = vec![part.box_path.clone()];
    Ok(fault)
}

/// The same with a capital letter at the start.
pub fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

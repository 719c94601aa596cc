//! A comparison in sections, in the order a maker acts. Names stand between ticks.

use super::acts;
use crate::outputs::words::{a_few, count, listed};
use crate::revisions::*;
use crate::values::{Mm, Rational, Style, decimal};
use std::collections::{BTreeMap, BTreeSet};

/// A heading and what stands under it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Section {
    pub title: String,
    pub lines: Vec<Line>,
}

/// One thing said, with what belongs to it.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Line {
    pub text: String,
    pub more: Vec<String>,
}

impl Line {
    pub(super) fn new(text: impl Into<String>) -> Line {
        Line { text: text.into(), more: Vec::new() }
    }
}

/// All that is to be said; one section without lines where nothing differs.
pub fn sections(c: &Comparison, style: &Style) -> Vec<Section> {
    if c.is_same() {
        return vec![Section {
            title: "No difference: the two models are equal.".to_string(),
            lines: Vec::new(),
        }];
    }
    let mut all = vec![Section { title: counts(c), lines: changed(c, style) }];
    all.extend(acts::sections(c, style));
    let notes = c.notes.iter().map(Line::new).collect();
    all.push(Section { title: "Also different".to_string(), lines: notes });
    all.push(Section { title: "Warnings".to_string(), lines: messages(c) });
    all.push(Section { title: "Take care".to_string(), lines: cautions(c) });
    // The first says how many parts there are of each kind, whether anything else is said there or not.
    let mut first = true;
    all.retain(|s| std::mem::take(&mut first) || !s.lines.is_empty());
    all
}

/// `41 parts: 30 unchanged, 8 to rework, 2 to make anew, 1 new`.
fn counts(c: &Comparison) -> String {
    let words = |v: &Verdict| match v {
        Verdict::Unchanged => "unchanged",
        Verdict::Moved => "moved only",
        Verdict::Renamed => "renamed only",
        Verdict::Exchanged => "served by another piece",
        Verdict::Rework => "to rework",
        Verdict::CutAsDrawn => "changed and not cut yet",
        Verdict::Remake => "to make anew",
        Verdict::New => "new",
        Verdict::Gone => "gone",
    };
    // A part that moves by less than anybody works to stays where it is.
    let stays = |p: &PartChange| {
        let tiny = |m: &Mm| m.0.abs().is_ok_and(|far| far <= c.tolerance.0);
        p.verdict == Verdict::Moved && p.moved.is_some_and(|by| by.iter().all(tiny))
    };
    let mut counts: BTreeMap<Verdict, usize> = BTreeMap::new();
    for part in &c.parts {
        let verdict = if stays(part) { Verdict::Unchanged } else { part.verdict };
        *counts.entry(verdict).or_default() += 1;
    }
    let list: Vec<String> = counts.iter().map(|(v, n)| format!("{n} {}", words(v))).collect();
    let parts = counts.values().sum();
    let cut = if c.knows_cut { "" } else { " Every old part counts as cut." };
    format!("{}: {}.{cut}", count(parts, "part", "parts"), list.join(", "))
}

/// What the maker changed, as far as figures and boxes show it.
fn changed(c: &Comparison, style: &Style) -> Vec<Line> {
    let mut lines = Vec::new();
    for board in &c.boards {
        if let (true, Some(old), Some(new)) = (board.measured_anew, board.old_thickness, board.new_thickness)
        {
            lines.push(Line::new(format!(
                "`{}` is measured anew: {} instead of {}. What is cut is as thick as it is.",
                board.name,
                style.fine(new.0),
                style.fine(old.0)
            )));
        } else if board.old_thickness.is_none() {
            lines.push(Line::new(format!("`{}` is a new board here.", board.name)));
        } else if board.new_thickness.is_none() {
            lines.push(Line::new(format!("`{}` is no longer used.", board.name)));
        }
        if !board.other.is_empty() {
            lines.push(Line::new(format!("`{}`: {} changed.", board.name, listed(&board.other))));
        }
    }
    // Where a row or a wall ends follows from what is said of it.
    let follows = |f: &&FigureChange| {
        let worked_out =
            f.of != FigureOf::Obstacle && matches!(f.name.as_str(), "place" | "left_end" | "right_end");
        !worked_out
    };
    lines.extend(c.figures.iter().filter(follows).map(|f| Line::new(figure(f, style))));
    // What is renamed with the box around it is not news.
    let renamed = |b: &BoxChange| match (&b.old, &b.new) {
        (Some(old), Some(new)) if old != new => Some((old.clone(), new.clone())),
        _ => None,
    };
    let all: BTreeSet<(String, String)> = c.boxes.iter().filter_map(renamed).collect();
    let with_outer = |b: &BoxChange| {
        let plain = b.retyped.is_none() && b.resized.is_none() && b.moved.is_none() && !b.mirrored;
        let outer = |p: &str| p.rsplit_once('.').map(|(outer, name)| (outer.to_string(), name.to_string()));
        let names = renamed(b).and_then(|(old, new)| Some((outer(&old)?, outer(&new)?)));
        plain && names.is_some_and(|((a, x), (z, y))| x == y && all.contains(&(a, z)))
    };
    let (small, large): (Vec<&BoxChange>, Vec<&BoxChange>) =
        c.boxes.iter().filter(|b| !with_outer(b)).partition(|b| is_within(b, c.tolerance));
    lines.extend(large.iter().map(|b| Line::new(one_box(b, style))));
    if !small.is_empty() {
        let boxes = count(small.len(), "box differs", "boxes differ");
        lines.push(Line::new(format!("{boxes} by {} or less.", style.length(c.tolerance.0))));
    }
    let measured = c.boards.iter().any(|b| b.measured_anew);
    let grows = |p: &PartChange| {
        p.verdict == Verdict::Remake && p.reasons.iter().all(|r| r.code == ReasonCode::Grows)
    };
    let grown = c.parts.iter().filter(|p| grows(p)).count();
    if measured && grown > 0 && c.tolerance.0 < Rational::ONE {
        lines.push(Line::new(format!(
            "{} would have to grow. What is cut can also stay as it is where a box may come out that much smaller: \
             `--within 1mm` shows what is left to do then.",
            count(grown, "part", "parts")
        )));
    }
    let in_place = c.parts.iter().filter(|p| p.other.iter().any(|o| o == "bored in place")).count();
    if in_place > 0 {
        let parts = count(in_place, "part has", "parts have");
        lines.push(Line::new(format!(
            "{parts} other bores made in place: they are taken as not made yet. Where a box is put together already, plug \
             the old ones."
        )));
    }
    let within = c.parts.iter().filter(|p| p.rework.as_ref().is_some_and(|r| !r.within.is_empty())).count();
    if within > 0 {
        let parts = count(within, "part differs", "parts differ");
        lines.push(Line::new(format!(
            "{parts} by {} or less, which is left as it is.",
            style.length(c.tolerance.0)
        )));
    }
    lines
}

fn figure(f: &FigureChange, style: &Style) -> String {
    let of = match f.of {
        FigureOf::House => "house".to_string(),
        FigureOf::Wall => format!("wall `{}`", f.path),
        FigureOf::Obstacle => format!("obstacle `{}`", f.path),
        FigureOf::Row => format!("row `{}`", f.path),
    };
    let name = if f.name.is_empty() { of } else { format!("{of}: {}", f.name) };
    match (&f.old, &f.new) {
        (Some(old), Some(new)) => format!("{name}: {} → {}.", given(old, style), given(new, style)),
        (None, Some(new)) if !f.name.is_empty() => format!("{name}: now {}.", given(new, style)),
        (Some(old), None) if !f.name.is_empty() => format!("{name}: no longer {}.", given(old, style)),
        (None, _) => format!("{name} is new."),
        (_, None) => format!("{name} is gone."),
    }
}

fn given(g: &Given, style: &Style) -> String {
    match g {
        Given::Lengths(all) => all.iter().map(|l| style.fine(l.0)).collect::<Vec<_>>().join(", "),
        Given::Word(word) => word.clone(),
        Given::Words(words) => words.join(", "),
        Given::Place(place) => {
            let range =
                |i: crate::geometry::Interval| format!("{} to {}", style.figure(i.lo), style.length(i.hi));
            format!("x {}, y {}, z {}", range(place.x), range(place.y), range(place.z))
        }
    }
}

/// True where a box is only larger, smaller or elsewhere by no more than is left as it is.
fn is_within(b: &BoxChange, tolerance: Mm) -> bool {
    let small = |by: Result<Rational, _>| by.and_then(|d| d.abs()).is_ok_and(|d| d <= tolerance.0);
    let plain = b.old == b.new && b.retyped.is_none() && !b.mirrored && b.stands.is_none();
    let sizes =
        b.resized.as_ref().is_none_or(|[old, new]| old.iter().zip(new).all(|(a, z)| small(z.0.sub(a.0))));
    plain && sizes && b.moved.as_ref().is_none_or(|by| by.iter().all(|m| small(Ok(m.0))))
}

fn one_box(b: &BoxChange, style: &Style) -> String {
    let (old, new) = match (&b.old, &b.new) {
        (None, Some(new)) => return format!("box `{new}` is new."),
        (Some(old), None) => return format!("box `{old}` is gone."),
        (Some(old), Some(new)) => (old, new),
        (None, None) => return String::new(),
    };
    let mut said = Vec::new();
    if old != new {
        let guess = match b.pairing.is_some_and(Pairing::is_guess) {
            true => format!(", as its wood tells; `was \"{old}\"` in the text would say so"),
            false => String::new(),
        };
        said.push(format!("was `{old}`{guess}"));
    }
    if let Some([a, z]) = &b.retyped {
        said.push(format!("a {z} now, not a {a}"));
    }
    if let Some([a, z]) = &b.resized {
        let words = ["wide", "high", "deep"];
        for ((a, z), word) in a.iter().zip(z).zip(words).filter(|((a, z), _)| a != z) {
            said.push(format!("{} {word}, not {}", style.length(z.0), style.length(a.0)));
        }
    }
    if let Some(by) = &b.moved {
        said.push(moved(by, style));
    }
    if b.mirrored {
        said.push("the other hand now".to_string());
    }
    if let Some([a, z]) = &b.stands {
        let place = |p: &Option<String>| p.as_ref().map_or("by itself".to_string(), |p| format!("in `{p}`"));
        said.push(format!("stands {} now, not {}", place(z), place(a)));
    }
    format!("box `{new}`: {}.", said.join("; "))
}

/// `moves 12mm right and 3mm up`.
fn moved(by: &[Mm; 3], style: &Style) -> String {
    let words = [["left", "right"], ["down", "up"], ["forward", "back"]];
    let ways: Vec<String> = by
        .iter()
        .zip(words)
        .filter(|(b, _)| !b.0.is_zero())
        .map(|(b, [low, high])| {
            let far = b.0.abs().unwrap_or(b.0);
            format!("{} {}", style.length(far), if b.0.is_positive() { high } else { low })
        })
        .collect();
    format!("moves {}", listed(&ways))
}

fn messages(c: &Comparison) -> Vec<Line> {
    c.messages
        .iter()
        .map(|m| {
            let boxes = if m.boxes.is_empty() { String::new() } else { format!(" ({})", a_few(&m.boxes, 4)) };
            let state = match (m.new, &m.accepted) {
                (true, None) => "new",
                (true, Some(_)) => "new, accepted",
                (false, _) => "gone",
            };
            Line::new(format!("{state}: {}{boxes}: {}", m.code, m.message))
        })
        .collect()
}

/// The usual cautions for what is asked.
fn cautions(c: &Comparison) -> Vec<Line> {
    let asks = |kinds: &[ActKind]| c.acts.iter().any(|a| kinds.contains(&a.kind));
    let mut lines = Vec::new();
    if asks(&[ActKind::Trim, ActKind::Offer, ActKind::Cut]) {
        lines.push(Line::new(
            "Measure the piece before it is trimmed: it is as it was cut, not as it was drawn. Trim on the sled or with the \
             track saw, guards on; what is too small to guide safely is made anew.",
        ));
    }
    if asks(&[ActKind::Plug]) {
        lines.push(Line::new(
            "A plug is glued in and cut flush, and is left to set before anything is drilled near it. Where screws or pins \
             bear a load, the plug does not: what is drilled into one holds less.",
        ));
    }
    if asks(&[ActKind::OrderBoard, ActKind::ReturnBoard]) {
        lines.push(Line::new(
            "Sheets are counted by area alone, without kerf and offcuts: an estimate, rather too few.",
        ));
    }
    lines
}

/// A size along the grain × across × thick.
pub(super) fn size(part: &PartRef, style: &Style) -> String {
    part.size.iter().map(|s| style.figure(s.0)).collect::<Vec<_>>().join(" × ")
}

/// An area given in mm2.
pub(super) fn area(mm2: Rational) -> String {
    let m2 = mm2.div(Rational::int(1_000_000)).and_then(Result::ok).unwrap_or(mm2);
    format!("{}m2", decimal(m2, 2))
}

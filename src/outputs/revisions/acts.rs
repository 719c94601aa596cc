//! The acts of a comparison as sections.

use super::words::{Line, Section, area, size};
use super::works;
use crate::outputs::words::count;
use crate::revisions::*;
use crate::values::{Rational, Style, decimal};
use std::collections::BTreeMap;

/// The most pieces that one line names.
const MOST_NAMED: usize = 6;

/// A section for each kind of act, in order.
pub fn sections(c: &Comparison, style: &Style) -> Vec<Section> {
    let by_path: BTreeMap<&str, &PartChange> =
        c.parts.iter().filter_map(|p| Some((p.new.as_ref()?.path.as_str(), p))).collect();
    let gone: BTreeMap<&str, &PartChange> =
        c.parts.iter().filter_map(|p| Some((p.old.as_ref()?.path.as_str(), p))).collect();
    let mut all: Vec<(ActKind, Section)> = Vec::new();
    for act in &c.acts {
        let line = match act.kind {
            ActKind::Label => {
                let section = Section { title: title(act.kind).to_string(), lines: labelled(act) };
                all.push((act.kind, section));
                continue;
            }
            ActKind::Order | ActKind::Return => Line::new(format!("{} × {}", act.quantity, act.thing)),
            ActKind::OrderBoard => Line::new(board(act)),
            ActKind::ReturnBoard => Line::new(format!(
                "{} of `{}` left over, by area",
                count(act.quantity as usize, "sheet", "sheets"),
                act.thing
            )),
            ActKind::OrderBand => {
                let long = act.amount.map(|a| band_length(a.0, style)).unwrap_or_default();
                Line::new(format!("`{}`: {long} more, without waste", act.thing))
            }
            ActKind::Keep => {
                Line::new(format!("{} as they are.", count(act.quantity as usize, "piece", "pieces")))
            }
            ActKind::Exchange => exchanged(act),
            ActKind::Strip
            | ActKind::Trim
            | ActKind::Plug
            | ActKind::Band
            | ActKind::Drill
            | ActKind::Cut
            | ActKind::Bevel => {
                let laid = act.pieces.first().and_then(|p| by_path.get(p.path.as_str())?.rework.as_ref());
                Line { text: pieces(act), more: worked(laid, act, style) }
            }
            ActKind::Offer => offered(act, &by_path, style),
            ActKind::Make | ActKind::CutAsDrawn => made(act, &by_path, style),
            ActKind::SetAside => set_aside(act, &gone, style),
        };
        match all.last_mut() {
            Some((kind, section)) if *kind == act.kind => section.lines.push(line),
            _ => all.push((act.kind, Section { title: title(act.kind).to_string(), lines: vec![line] })),
        }
    }
    all.into_iter().map(|(_, section)| section).collect()
}

fn title(kind: ActKind) -> &'static str {
    match kind {
        ActKind::Order => "Order",
        ActKind::OrderBoard => "Order board",
        ActKind::OrderBand => "Order band",
        ActKind::Return => "Left over, to return",
        ActKind::ReturnBoard => "Board left over",
        ActKind::Keep => "Keep",
        ActKind::Label => "Labels",
        ActKind::Exchange => "Use as another part",
        ActKind::Strip => "Take bands off",
        ActKind::Trim => "Trim",
        ActKind::Plug => "Plug",
        ActKind::Band => "Band",
        ActKind::Drill => "Drill",
        ActKind::Cut => "Groove, rebate or notch",
        ActKind::Bevel => "Bevel",
        ActKind::Offer => "Make of what is left over",
        ActKind::Make => "Make new",
        ActKind::CutAsDrawn => "Cut as drawn now (not cut yet)",
        ActKind::SetAside => "Set aside",
    }
}

/// Metres, or inches.
fn band_length(mm: Rational, style: &Style) -> String {
    match mm.div(Rational::int(1000)) {
        Some(Ok(m)) if !style.inches => format!("{}m", decimal(m, 1)),
        _ => style.length(mm),
    }
}

fn board(act: &Act) -> String {
    let make = act.amount.map(|a| format!(", {} of it to be cut", area(a.0))).unwrap_or_default();
    match act.quantity {
        0 => format!("`{}`: {}", act.thing, make.trim_start_matches(", ")),
        n => format!("{} more of `{}`, by area{make}", count(n as usize, "sheet", "sheets"), act.thing),
    }
}

/// A piece by the mark on it and its path.
fn piece(p: &PieceRef) -> String {
    let path = match &p.of {
        Some(of) => format!("`{of}`, now `{}`", p.path),
        None => format!("`{}`", p.path),
    };
    match (&p.mark, &p.new_mark) {
        (Some(old), Some(new)) => format!("`{old}` → `{new}` ({path})"),
        (Some(mark), None) | (None, Some(mark)) => format!("`{mark}` ({path})"),
        (None, None) => path,
    }
}

/// The pieces of an act, those of one mark together.
fn pieces(act: &Act) -> String {
    let mut marks: Vec<(String, Vec<String>)> = Vec::new();
    for p in act.pieces.iter().take(MOST_NAMED) {
        let mark = match (&p.mark, &p.new_mark) {
            (Some(old), Some(new)) => format!("`{old}` → `{new}`"),
            (Some(mark), None) | (None, Some(mark)) => format!("`{mark}`"),
            (None, None) => String::new(),
        };
        let path = match &p.of {
            Some(of) => format!("`{of}`, now `{}`", p.path),
            None => format!("`{}`", p.path),
        };
        match marks.last_mut().filter(|(m, _)| *m == mark) {
            Some((_, paths)) => paths.push(path),
            None => marks.push((mark, vec![path])),
        }
    }
    let mut said: Vec<String> =
        marks.into_iter().map(|(m, paths)| format!("{m} ({})", paths.join("; "))).collect();
    if act.pieces.len() > MOST_NAMED {
        said.push(format!("and {} more", act.pieces.len() - MOST_NAMED));
    }
    let lead = if act.pieces.len() > 1 { format!("{} pieces: ", act.pieces.len()) } else { String::new() };
    format!("{lead}{}", said.join(", "))
}

fn labelled(act: &Act) -> Vec<Line> {
    let (keep, change): (Vec<&PieceRef>, Vec<&PieceRef>) =
        act.pieces.iter().partition(|p| p.new_mark.is_none());
    let mut lines: Vec<Line> = change.into_iter().map(|p| Line::new(piece(p))).collect();
    if !lines.is_empty() {
        lines.push(Line::new("`--marks OLD/job.json` keeps the marks that are written on the wood."));
    }
    if !keep.is_empty() {
        let pieces = count(keep.len(), "piece keeps its mark", "pieces keep their marks");
        lines.push(Line::new(format!("{pieces} under another path.")));
    }
    lines
}

fn exchanged(act: &Act) -> Line {
    Line { text: count(act.pieces.len(), "piece", "pieces"), more: act.pieces.iter().map(piece).collect() }
}

fn offered(act: &Act, parts: &BTreeMap<&str, &PartChange>, style: &Style) -> Line {
    let from = |p: &PieceRef| {
        let (old, new) =
            (p.mark.as_deref().unwrap_or(""), p.new_mark.as_deref().or(p.mark.as_deref()).unwrap_or(""));
        format!("`{new}` (`{}`) of `{old}` (`{}`)", p.path, p.of.as_deref().unwrap_or(&p.path))
    };
    let text = act.pieces.iter().map(from).collect::<Vec<_>>().join("; ");
    let laid = act.pieces.first().and_then(|p| parts.get(p.path.as_str())?.offer.as_ref());
    Line { text, more: worked(laid, act, style) }
}

/// The works of an act, and before them how the piece is turned.
fn worked(rework: Option<&Rework>, act: &Act, style: &Style) -> Vec<String> {
    let turned = rework.and_then(|r| works::turned(&r.laid));
    turned.into_iter().chain(works::lines(&act.works, style)).collect()
}

fn made(act: &Act, parts: &BTreeMap<&str, &PartChange>, style: &Style) -> Line {
    let first = act.pieces.first().and_then(|p| parts.get(p.path.as_str()));
    let Some((change, new)) = first.and_then(|c| Some((c, c.new.as_ref()?))) else {
        return Line::new(pieces(act));
    };
    let paths: Vec<String> = act.pieces.iter().take(MOST_NAMED).map(|p| format!("`{}`", p.path)).collect();
    let more = act.pieces.len().saturating_sub(MOST_NAMED);
    let rest = if more > 0 { format!(", and {more} more") } else { String::new() };
    let text = format!(
        "{} × `{}`, {} of `{}` ({}{rest})",
        act.pieces.len(),
        new.mark,
        size(new, style),
        new.board,
        paths.join(", ")
    );
    let mut said = Vec::new();
    if let Some(old) = change.old.as_ref().filter(|o| o.size != new.size) {
        said.push(format!("it was {}", size(old, style)));
    }
    if !change.reasons.is_empty() {
        let why: Vec<&str> = change.reasons.iter().map(|r| r.text.as_str()).collect();
        let mark = change.old.as_ref().map_or("", |o| o.mark.as_str());
        said.push(format!("`{mark}` cannot become it: {}", why.join("; ")));
    }
    Line { text, more: said }
}

fn set_aside(act: &Act, parts: &BTreeMap<&str, &PartChange>, style: &Style) -> Line {
    let mut by_mark: Vec<(&PartRef, usize)> = Vec::new();
    for p in &act.pieces {
        let Some(old) = parts.get(p.path.as_str()).and_then(|c| c.old.as_ref()) else { continue };
        match by_mark.iter_mut().find(|(o, _)| o.mark == old.mark) {
            Some((_, n)) => *n += 1,
            None => by_mark.push((old, 1)),
        }
    }
    let one = |(o, n): &(&PartRef, usize)| {
        format!("{n} × `{}`, {} of `{}` (`{}`)", o.mark, size(o, style), o.board, o.path)
    };
    Line {
        text: format!("{}: for another job, or as offcuts.", count(act.pieces.len(), "piece", "pieces")),
        more: by_mark.iter().map(one).collect(),
    }
}

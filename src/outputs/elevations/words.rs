//! What the sheet of a box says: words, cautions, the table of its parts.

use super::page::{Subject, boxes_within, name_of};
use super::solid::Solid;
use crate::geometry::Axis;
use crate::job::{Move, Part};
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::float;
use crate::outputs::drawing::table::{Align, Table};
use crate::outputs::words::{a_few, banded};
use std::collections::BTreeSet;

/// The column of words.
pub fn words(subject: &Subject, solids: &[Solid]) -> Vec<Block> {
    let entry = subject.entry;
    let style = subject.job.house.style();
    let mut blocks = vec![Block::Heading(name_of(&entry.path))];
    if let Some(text) = entry.description.as_deref().and_then(sentences) {
        blocks.push(Block::Paragraph(text));
    }
    let size = |axis: Axis| entry.place.on(axis).size().map_or(String::new(), |s| style.figure(s));
    blocks.push(Block::Paragraph(format!(
        "{} wide, {} high, {} deep.",
        size(Axis::X),
        size(Axis::Y),
        size(Axis::Z)
    )));
    if subject.alike.len() > 1 {
        let names: Vec<&str> = subject.alike.iter().map(|b| b.path.as_str()).collect();
        blocks.push(Block::Paragraph(format!("{} boxes, alike: {}.", names.len(), a_few(&names, 4))));
    }
    blocks
        .push(Block::Paragraph("Hatched or black: cut by section A–A. Dashed: behind what you see.".into()));
    if solids.iter().any(|s| !s.own) {
        blocks.push(Block::Paragraph("Boxes inside have their own sheets.".into()));
    }
    let extent = |axis: Axis| entry.place.on(axis).size().map_or(0.0, float);
    // Twice the depth is our own judgement.
    let tall = extent(Axis::Y) > 2.0 * extent(Axis::Z);
    let inside = format!("{}.", entry.path);
    let slides = |m: &&Move| matches!(m, Move::Slides { thing, .. } if thing.starts_with(&inside));
    let drawers = subject.job.moves.iter().filter(slides).count();
    // A single board belongs to something else.
    let stands = subject.free.contains(entry.path.as_str());
    let case = solids.iter().filter(|s| s.own).count() > 2;
    if stands && (tall && case || drawers > 1) {
        let why = if tall { "taller than twice its depth" } else { "drawers that stand open pull it over" };
        blocks.push(Block::Warning(format!(
            "CAN TIP OVER: {why}. Where it stands free, fix it to the wall before anything goes in; find \
             cables and pipes first."
        )));
    }
    blocks.extend(warnings(subject));
    blocks
}

/// Warnings of the box that stand, and those accepted with their reason; the first few.
fn warnings(subject: &Subject) -> Vec<Block> {
    let path = &subject.entry.path;
    let of_box = subject.job.messages.iter().filter(|m| m.boxes.iter().any(|b| b == path));
    let mut blocks: Vec<Block> = of_box
        .map(|m| match &m.accepted {
            Some(reason) => Block::Paragraph(format!("Accepted, {}: {reason}.", m.code)),
            None => Block::Paragraph(format!("Warning, {}: see the list of messages.", m.code)),
        })
        .collect();
    blocks.dedup_by_key(|b| format!("{b:?}"));
    let more = blocks.len().saturating_sub(3);
    blocks.truncate(3);
    if more > 0 {
        blocks.push(Block::Paragraph(format!("{more} more in the list of messages.")));
    }
    blocks
}

/// The whole sentences of a description; it may have been cut in the middle of one.
pub fn sentences(text: &str) -> Option<String> {
    let text = text.trim();
    if text.ends_with('.') {
        return Some(text.to_string());
    }
    match text.rfind(". ") {
        Some(end) => text.get(..=end).map(str::to_string),
        None => Some(format!("{text}…")),
    }
}

/// The parts of the box, one row for each distinct part.
pub fn table(subject: &Subject, solids: &[Solid]) -> Table {
    let style = subject.job.house.style();
    let head = vec![
        ("mark".to_string(), Align::Left),
        ("part".to_string(), Align::Left),
        ("pieces".to_string(), Align::Right),
        ("along grain × across × thick".to_string(), Align::Left),
        ("banded".to_string(), Align::Left),
    ];
    let mut rows = Vec::new();
    let mut done: BTreeSet<&str> = BTreeSet::new();
    let own: Vec<&Part> = solids.iter().filter(|s| s.own).map(|s| s.part).collect();
    for part in &own {
        if !done.insert(part.mark.as_str()) {
            continue;
        }
        let pieces: Vec<&&Part> = own.iter().filter(|p| p.mark == part.mark).collect();
        let mut names: Vec<String> = Vec::new();
        for piece in &pieces {
            let name = piece.name().split('[').next().unwrap_or_default().replace('_', " ");
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let pair = subject.job.pairs.iter().find_map(|(a, b)| match part.mark.as_str() {
            m if m == a => Some(b),
            m if m == b => Some(a),
            _ => None,
        });
        let mut name = names.join(", ");
        if let Some(other) = pair {
            name += &format!(", pair with {other}");
        }
        let figure = |mm: crate::job::Mm| style.figure(mm.0);
        rows.push(vec![
            part.mark.clone(),
            name,
            pieces.len().to_string(),
            format!("{} × {} × {}", figure(part.length), figure(part.width), figure(part.thickness)),
            banded(part),
        ]);
    }
    for (name, _) in boxes_within(subject, solids) {
        rows.push(vec![
            String::new(),
            format!("{name}: own sheet"),
            "1".into(),
            String::new(),
            String::new(),
        ]);
    }
    let grey = vec![false; rows.len()];
    Table { head, rows, grey }
}

//! What an exploded view says: words, and the key of its marks.

use super::units::{Subject, Unit, name_of, name_within};
use crate::geometry::Axis;
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::table::{Align, Table};
use crate::outputs::elevations::words::sentences;
use crate::outputs::words::{a_few, banded, count};
use std::collections::BTreeSet;

/// The column of words.
pub fn words(subject: &Subject, units: &[Unit]) -> Vec<Block> {
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
        blocks.push(Block::Paragraph(format!(
            "{} alike: {}.",
            count(names.len(), "box", "boxes"),
            a_few(&names, 4)
        )));
    }
    let mut how =
        "Seen from the front, from the right and above. Chain lines: how each part comes home.".to_string();
    let parts = || units.iter().flat_map(|u| u.pieces.iter().map(|p| p.part));
    if parts().any(|p| !p.cuts.is_empty() || !p.holes.is_empty()) {
        how += " Blue: grooves and bench holes on faces in sight.";
    }
    blocks.push(Block::Paragraph(how));
    if units.iter().any(|u| u.group.is_some()) {
        blocks.push(Block::Paragraph(
            "Boxes inside are shown whole, equal ones once; they have sheets of their own.".into(),
        ));
    }
    blocks
}

/// The key: one row for each distinct part, then the boxes that are shown whole.
pub fn key(subject: &Subject, units: &[Unit]) -> Table {
    let style = subject.job.house.style();
    let head = [
        ("mark", Align::Left),
        ("part", Align::Left),
        ("pieces", Align::Right),
        ("along grain × across × thick", Align::Left),
        ("board", Align::Left),
        ("banded", Align::Left),
    ];
    let head = head.map(|(h, a)| (h.to_string(), a)).to_vec();
    let mut rows = Vec::new();
    let mut done: BTreeSet<&str> = BTreeSet::new();
    let single: Vec<_> =
        units.iter().filter(|u| u.group.is_none()).flat_map(|u| u.pieces.iter().map(|p| p.part)).collect();
    for part in &single {
        if !done.insert(part.mark.as_str()) {
            continue;
        }
        let pieces: Vec<_> = single.iter().filter(|p| p.mark == part.mark).collect();
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
        for bevel in &part.bevels {
            name += &format!(", bevelled {}", bevel.face.word());
        }
        let figure = |mm: crate::job::Mm| style.figure(mm.0);
        rows.push(vec![
            part.mark.clone(),
            name,
            pieces.len().to_string(),
            format!("{} × {} × {}", figure(part.length), figure(part.width), figure(part.thickness)),
            part.board.replace('_', " "),
            banded(part),
        ]);
    }
    for unit in units {
        let Some(group) = &unit.group else { continue };
        let parts = count(unit.pieces.len(), "part", "parts");
        rows.push(vec![
            String::new(),
            format!("{}, {parts}: own sheet", name_within(&group.entry.path, &subject.entry.path)),
            group.count.to_string(),
            String::new(),
            String::new(),
            String::new(),
        ]);
    }
    let grey = vec![false; rows.len()];
    Table { head, rows, grey }
}

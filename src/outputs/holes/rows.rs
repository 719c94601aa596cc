//! The tables of a hole map: one row for a hole or a dense row.

use super::view::Page;
use crate::geometry::Face;
use crate::job::{Bored, Hole, Numbered, Step};
use crate::outputs::drawing::table::{Align, Table};
use crate::values::Style;

/// The tables of a page: of its face, then one for each pair of datum edges of its folded edges.
pub fn tables(page: &Page) -> Vec<Table> {
    let mut tables = Vec::new();
    if !page.own.is_empty() {
        let rows: Vec<_> = page.own.iter().map(|e| (None, e)).collect();
        tables.push(table(page.style, &rows));
    }
    let mut left: Vec<(Face, &Numbered)> =
        page.folded.iter().flat_map(|(f, entries)| entries.iter().map(move |e| (*f, e))).collect();
    while let Some((_, first)) = left.first().copied() {
        let edges = first.first().map(|h| h.at.from);
        let (now, later): (Vec<_>, Vec<_>) =
            left.into_iter().partition(|(_, e)| e.first().map(|h| h.at.from) == edges);
        let rows: Vec<_> = now.into_iter().map(|(f, e)| (Some(f), e)).collect();
        tables.push(table(page.style, &rows));
        left = later;
    }
    tables
}

fn table(style: Style, rows: &[(Option<Face>, &Numbered)]) -> Table {
    let with_edge = rows.iter().any(|(f, _)| f.is_some());
    let edges = rows.first().and_then(|(_, e)| e.first()).map(|h| h.at.from);
    let [a, b] = edges.unwrap_or([Face::Left, Face::Front]);
    let mut head = vec![("no.".to_string(), Align::Right)];
    if with_edge {
        head.push(("edge".to_string(), Align::Left));
    }
    head.push((format!("from {}", a.word()), Align::Right));
    head.push((format!("from {}", b.word()), Align::Right));
    head.push(("Ø".to_string(), Align::Right));
    head.push(("depth".to_string(), Align::Left));
    head.push(("what for".to_string(), Align::Left));
    let mut table = Table { head, rows: Vec::new(), grey: Vec::new() };
    for (face, entry) in rows {
        let Some(hole) = entry.first() else { continue };
        let mut cells = vec![numbers(entry)];
        if with_edge {
            cells.push(face.map_or(String::new(), |f| f.word().to_string()));
        }
        for which in [0, 1] {
            cells.push(distance(style, entry, which));
        }
        cells.push(style.figure(hole.dia.0));
        cells.push(depth(style, hole));
        cells.push(purpose(style, hole));
        table.rows.push(cells);
        table.grey.push(hole.bored == Bored::InPlace);
    }
    table
}

/// `7`, or `3–17` for a dense row.
fn numbers(entry: &Numbered) -> String {
    match entry.holes.len() {
        0 | 1 => entry.number.to_string(),
        n => format!("{}–{}", entry.number, entry.number + n - 1),
    }
}

/// `37`, or `126 to 574` along a dense row.
fn distance(style: Style, entry: &Numbered, which: usize) -> String {
    let at =
        |h: Option<&Hole>| h.and_then(|h| h.at.mm.get(which)).map_or(String::new(), |mm| style.figure(mm.0));
    match entry.row {
        Some((running, _)) if running == which => format!("{} to {}", at(entry.first()), at(entry.last())),
        _ => at(entry.first()),
    }
}

/// `through`, or how deep.
pub fn depth(style: Style, hole: &Hole) -> String {
    if hole.through { "through".to_string() } else { style.figure(hole.depth.0) }
}

/// What it is for; a hole bored in place says so first.
fn purpose(style: Style, hole: &Hole) -> String {
    let mut text = hole.purposes.join("; ");
    let mouth = mouth(style, &hole.profile);
    if !mouth.is_empty() {
        text = if text.is_empty() { mouth } else { format!("{text}; {mouth}") };
    }
    match (hole.bored, text.is_empty()) {
        (Bored::InPlace, true) => "IN PLACE".to_string(),
        (Bored::InPlace, false) => format!("IN PLACE: {text}"),
        _ => text,
    }
}

/// The wider mouth of a hole: `sink to Ø9`, `Ø10 at the mouth, 12 deep`.
pub fn mouth(style: Style, profile: &[Step]) -> String {
    let steps: Vec<String> = profile
        .iter()
        .map(|s| {
            let (dia, depth) = (style.figure(s.dia.0), style.figure(s.depth.0));
            if s.end_dia.0 < s.dia.0 {
                format!("sink to Ø{dia}")
            } else {
                format!("Ø{dia} for the first {depth}")
            }
        })
        .collect();
    steps.join(", ")
}

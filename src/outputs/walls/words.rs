//! What the sheets of a wall say: words, and the table of its boxes.

use super::front::symbol;
use super::heights::Level;
use super::site::{Site, name_of};
use crate::job::{Cuboid, Mm, Move};
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::table::{Align, Table};
use crate::outputs::words::{a_few, count, listed};
use crate::values::Rational;
use std::collections::BTreeMap;

/// Words of the elevation.
pub fn words(site: &Site, levels: &[Level]) -> Vec<Block> {
    let style = site.job.house.style();
    let wall = site.wall;
    let mut blocks = vec![Block::Heading(format!("Wall {}", name_of(&wall.path)))];
    let size = |mm: Result<Rational, _>| mm.map_or(String::new(), |s| style.figure(s));
    blocks.push(Block::Paragraph(format!(
        "{} long, {} high.",
        size(wall.place.x.size()),
        size(wall.place.y.size())
    )));
    for (name, lengths) in &wall.lengths {
        if lengths.len() > 1 {
            blocks.push(Block::Paragraph(measured(site, name, lengths)));
        }
    }
    for (name, word) in &wall.words {
        blocks.push(Block::Paragraph(format!(
            "{}: {}.",
            capital(&name.replace('_', " ")),
            word.replace('_', " ")
        )));
    }
    blocks.push(Block::Paragraph(
        "Heights count from the floor's highest point, lengths from the LEFT end.".into(),
    ));
    if let Some(text) = tightest(site) {
        blocks.push(Block::Paragraph(text));
    }
    if levels.iter().any(|l| l.line) {
        let set: Vec<String> = levels.iter().filter(|l| l.line).map(|l| style.figure(l.y)).collect();
        blocks.push(Block::Paragraph(format!("Blue chain lines: set with a level, at {}.", listed(&set))));
    }
    blocks.extend(fixings(site));
    blocks.push(Block::Paragraph("Dashed: behind what you see. Grey: what stands out from the wall.".into()));
    let swings = site.job.moves.iter().any(|m| match m {
        Move::Swings { thing, .. } => site.parts.iter().any(|p| p.path == *thing),
        Move::Slides { .. } => false,
    });
    if swings {
        blocks.push(Block::Paragraph("Dashed V on a door: its point is the hinge side.".into()));
    }
    blocks
}

/// What was measured more than once, and which figure the boxes use.
fn measured(site: &Site, name: &str, lengths: &[Mm]) -> String {
    let style = site.job.house.style();
    let all: Vec<String> = lengths.iter().map(|l| style.figure(l.0)).collect();
    let least = lengths.iter().map(|l| l.0).min().unwrap_or(Rational::ZERO);
    let most = lengths.iter().map(|l| l.0).max().unwrap_or(Rational::ZERO);
    let spare = most.sub(least).map_or(String::new(), |s| style.figure(s));
    format!(
        "{} measured {}: the boxes use {}, the tightest; scribe or pack up to {spare}.",
        capital(&name.replace('_', " ")),
        listed(&all),
        style.figure(least)
    )
}

/// The row that leaves least room at its ends.
fn tightest(site: &Site) -> Option<String> {
    let style = site.job.house.style();
    let wall = &site.wall.place;
    let left = |row: &crate::job::Row| {
        let low = row.members.first()?.place.x.lo.sub(wall.x.lo).ok()?;
        let high = wall.x.hi.sub(row.members.last()?.place.x.hi).ok()?;
        low.add(high).ok()
    };
    let (room, row) = site.rows.iter().filter_map(|r| Some((left(r)?, *r))).min_by(|a, b| a.0.cmp(&b.0))?;
    Some(format!("Tightest: row {} leaves {} at its ends together.", name_of(&row.path), style.figure(room)))
}

/// Which holes go into the wall, and what to do before.
fn fixings(site: &Site) -> Vec<Block> {
    let style = site.job.house.style();
    let mut kinds: BTreeMap<(Rational, Vec<String>, Option<&str>), usize> = BTreeMap::new();
    for fixing in &site.fixings {
        *kinds.entry((fixing.hole.dia.0, fixing.hole.purposes.clone(), fixing.item)).or_default() += 1;
    }
    let mut blocks: Vec<Block> = kinds
        .into_iter()
        .map(|((dia, purposes, item), n)| {
            let described = item.map(|i| {
                let known = site.job.items.iter().find(|entry| entry.name == i);
                known.and_then(|entry| entry.description.as_deref()).unwrap_or(i).replace('_', " ")
            });
            let what = described.unwrap_or_else(|| listed(&purposes));
            let holes = count(n, "hole", "holes");
            Block::Legend(symbol(0.0, 0.0), format!("Ø{} through, {holes}: {what}", style.figure(dia)))
        })
        .collect();
    if !blocks.is_empty() {
        blocks.push(Block::Warning("Find cables and pipes before any hole in the wall.".into()));
    }
    blocks
}

/// The key of the plan.
pub fn plan_words(site: &Site) -> Vec<Block> {
    let style = site.job.house.style();
    let mut blocks = vec![
        Block::Heading(format!("Wall {}, plan", name_of(&site.wall.path))),
        Block::Paragraph(
            "Seen from above. Depths count from the wall's surface, lengths from the LEFT end.".into(),
        ),
        Block::Paragraph(
            "Hatched: the wall and what stands out from it. Broken outlines: hung above.".into(),
        ),
    ];
    for row in site.rows.iter().filter(|r| !r.standoff.0.is_zero()) {
        blocks.push(Block::Paragraph(format!(
            "Row {} stands {} off the wall.",
            name_of(&row.path),
            style.figure(row.standoff.0)
        )));
    }
    let out: Vec<String> = site
        .wall
        .obstacles
        .iter()
        .map(|o| {
            let out = site.wall.place.z.lo.sub(o.place.z.lo).map_or(String::new(), |s| style.figure(s));
            format!("{} {out}", name_of(&o.path))
        })
        .collect();
    if !out.is_empty() {
        blocks.push(Block::Paragraph(format!("Out from the wall: {}.", a_few(&out, 6))));
    }
    blocks
}

/// The boxes and gaps of the wall, row by row, then what stands by itself.
pub fn table(site: &Site) -> Table {
    let style = site.job.house.style();
    let head = [
        ("what", Align::Left),
        ("from the left", Align::Right),
        ("from the floor", Align::Right),
        ("wide", Align::Right),
        ("high", Align::Right),
        ("deep", Align::Right),
        ("type", Align::Left),
    ];
    let head = head.map(|(h, a)| (h.to_string(), a)).to_vec();
    let mut rows = Vec::new();
    let mut add = |name: String, place: &Cuboid, kind: String| {
        let size = |s: Result<Rational, _>| s.map_or(String::new(), |s| style.figure(s));
        rows.push(vec![
            name,
            style.figure(place.x.lo),
            style.figure(place.y.lo),
            size(place.x.size()),
            size(place.y.size()),
            size(place.z.size()),
            kind,
        ]);
    };
    for row in &site.rows {
        for member in &row.members {
            let entry = site.boxes.iter().find(|b| b.path == member.path);
            let kind = entry.map_or("gap".to_string(), |b| b.type_name.replace('_', " "));
            add(member.path.clone(), &member.place, kind);
        }
    }
    for entry in site.placed() {
        add(entry.path.clone(), &entry.place, entry.type_name.replace('_', " "));
    }
    for obstacle in &site.wall.obstacles {
        add(
            obstacle.path.clone(),
            &obstacle.place,
            format!("on the wall, {}", obstacle.type_name.replace('_', " ")),
        );
    }
    let grey = vec![false; rows.len()];
    Table { head, rows, grey }
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + letters.as_str())
}

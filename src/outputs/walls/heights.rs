//! Heights over the floor's highest point: level lines with their names at the right, fixings at the left.

use super::front::{FIXING, Front, distinct};
use super::site::{Site, name_of, plain_name};
use crate::geometry::Axis;
use crate::outputs::drawing::canvas::Canvas;
use crate::outputs::drawing::chain::{Chain, Tick};
use crate::outputs::drawing::float;
use crate::outputs::words::listed;
use crate::values::Rational;
use std::collections::{BTreeMap, BTreeSet};

/// Between the wall and a chain, in mm.
const FIRST: f64 = 6.0;
const OFF: f64 = 0.8;

/// A height that has a name.
#[derive(Clone, Debug)]
pub struct Level {
    pub y: Rational,
    pub name: String,
    /// True where something is set with a level at it.
    pub line: bool,
}

/// The named heights, from the floor up. Where several have one height, the name that matters most.
pub fn levels(site: &Site) -> Vec<Level> {
    // By height: how much the name matters (the least wins), the name, and whether a level is set to it.
    let mut found: BTreeMap<Rational, (u8, String, bool)> = BTreeMap::new();
    let mut add = |y: Rational, matters: u8, name: String, line: bool| {
        let entry = found.entry(y).or_insert((u8::MAX, String::new(), false));
        if matters < entry.0 {
            (entry.0, entry.1) = (matters, name);
        }
        entry.2 |= line;
    };
    add(site.wall.place.y.hi, 0, "ceiling".to_string(), false);
    let fixed: BTreeSet<&str> = site.fixings.iter().map(|f| f.part.path.as_str()).collect();
    for entry in site.placed() {
        let top = site.top(entry);
        let mut ends_there = site.parts_of(entry).filter(|p| p.place.y.hi == top);
        // Boards that lie flat, and what is fixed to the wall, are set with a level.
        let level = ends_there.any(|p| p.axes[2] == Axis::Y || fixed.contains(p.path.as_str()));
        let matters = if level { 1 } else { 4 };
        add(top, matters, format!("{} top", plain_name(&entry.path)), level);
    }
    let lowest = site.rows.first().map(|r| r.place.y.lo);
    for row in &site.rows {
        let name = plain_name(&row.path);
        let boxes = || row.members.iter().filter(|m| !m.gap);
        let low = distinct(boxes().map(|m| m.place.y.lo));
        let high = distinct(boxes().map(|m| m.place.y.hi));
        for (n, y) in low.iter().enumerate().filter(|(_, y)| !y.is_zero()) {
            let of = if low.len() == 1 { name.clone() } else { names(row, |m| m.place.y.lo == *y) };
            add(*y, 2, format!("under {of}"), n == 0 && Some(*y) == lowest);
        }
        for y in &high {
            let of = if high.len() == 1 { name.clone() } else { names(row, |m| m.place.y.hi == *y) };
            add(*y, 3, format!("{of} top"), false);
        }
    }
    for obstacle in &site.wall.obstacles {
        let (low, high) = (obstacle.place.y.lo, obstacle.place.y.hi);
        if low > site.wall.place.y.lo {
            add(low, 5, format!("under {}", name_of(&obstacle.path)), false);
        }
        if high < site.wall.place.y.hi {
            add(high, 5, format!("{} top", name_of(&obstacle.path)), false);
        }
    }
    found.into_iter().map(|(y, (_, name, line))| Level { y, name, line }).collect()
}

/// The names of the members of a row that are meant.
fn names(row: &crate::job::Row, wanted: impl Fn(&crate::job::RowMember) -> bool) -> String {
    let mut all: Vec<String> = Vec::new();
    for member in row.members.iter().filter(|m| !m.gap && wanted(m)) {
        let name = plain_name(&member.path);
        if !all.contains(&name) {
            all.push(name);
        }
    }
    if all.len() > 2 { format!("{} …", all.first().cloned().unwrap_or_default()) } else { listed(&all) }
}

/// Draws both chains of heights.
pub fn draw(front: &Front, canvas: &mut Canvas, levels: &[Level]) {
    let style = front.site.job.house.style();
    let area = front.envelope();
    let place = |y: Rational| front.y(float(y));
    let mut ticks: Vec<Tick> = Vec::new();
    for level in levels.iter().filter(|l| !l.y.is_zero()) {
        let set = if level.line { ", level" } else { "" };
        let figure = format!("{} {}{set}", style.figure(level.y), level.name);
        ticks.push(Tick { at: place(level.y), figure, from: area.x1 + OFF });
    }
    Chain {
        level: false,
        line: area.x1 + FIRST,
        outward: 1.0,
        origin: 0.0,
        edge: area.x1 + OFF,
        ticks,
        runs: Vec::new(),
        name: String::new(),
    }
    .draw(canvas);
    let mut ticks: Vec<Tick> = Vec::new();
    for y in distinct(front.site.fixings.iter().map(|f| f.y)) {
        let row = front.site.fixings.iter().filter(|f| f.y == y);
        let left = row.map(|f| float(f.x)).fold(f64::MAX, f64::min);
        ticks.push(Tick { at: place(y), figure: style.figure(y), from: front.x(left) - FIXING - 1.2 });
    }
    if ticks.is_empty() {
        return;
    }
    Chain {
        level: false,
        line: area.x0 - FIRST,
        outward: -1.0,
        origin: 0.0,
        edge: area.x0 - OFF,
        ticks,
        runs: Vec::new(),
        name: "fixings, from the FLOOR".to_string(),
    }
    .draw(canvas);
}

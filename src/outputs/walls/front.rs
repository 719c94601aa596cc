//! The elevation of a wall: what is seen from the room, names, level lines, fixings, and the chains that
//! all of it is marked out from.

use super::sight::{Flat, What, edges, flats, in_sight};
use super::site::{Site, ends, name_of};
use super::{heights, widths};
use crate::geometry::{Axis, Cuboid};
use crate::job::{Face, Interval, Move};
use crate::outputs::drawing::canvas::{Area, Canvas, Dash, Fill, Ink, Text, height, weight};
use crate::outputs::drawing::float;
use crate::outputs::drawing::mark::{Dot, Leaders, Mark};
use crate::outputs::drawing::paper::Scale;
use crate::outputs::drawing::place;
use crate::outputs::drawing::symbol::{Making, Shape, Symbol};
use crate::outputs::elevations::solid::{Edge, thinned};
use crate::values::Rational;
use std::collections::BTreeSet;

/// Two lines nearer than this become one, in mm on paper.
const LEAST: f64 = 0.7;
/// The line of the floor.
const FLOOR: f64 = 0.7;
/// Level lines and the floor pass the ends of the wall by this much.
const PAST: f64 = 3.0;
/// Marks of a wall fixing, on paper.
pub const FIXING: f64 = 1.0;

/// A wall on paper: its left end and the floor's highest point lie at (0, 0).
pub struct Front<'f, 'a> {
    pub site: &'f Site<'a>,
    pub scale: Scale,
    pub flats: Vec<Flat>,
}

impl<'f, 'a> Front<'f, 'a> {
    pub fn new(site: &'f Site<'a>, scale: Scale) -> Front<'f, 'a> {
        Front { site, scale, flats: flats(site) }
    }

    pub fn x(&self, mm: f64) -> f64 {
        self.scale.paper(mm)
    }

    pub fn y(&self, mm: f64) -> f64 {
        -self.scale.paper(mm)
    }

    pub fn area(&self, place: &Cuboid) -> Area {
        let (x, y) = (ends(place, Axis::X), ends(place, Axis::Y));
        Area::new(self.x(x.0), self.y(y.0), self.x(x.1), self.y(y.1))
    }

    /// The wall on paper, with all that stands out of it.
    pub fn envelope(&self) -> Area {
        let boxes = self.site.boxes.iter().map(|b| self.area(&b.place));
        boxes.fold(self.area(&self.site.wall.place), |a, b| a.union(&b))
    }

    /// Draws the elevation; gives how many names found no room.
    pub fn draw(&self, canvas: &mut Canvas) -> usize {
        self.ground(canvas);
        let all = thinned(edges(&self.flats), f64::from(self.scale.0) * LEAST);
        self.outline(canvas);
        for edge in &all {
            self.edge(canvas, edge);
        }
        self.swings(canvas);
        self.fixings(canvas);
        let levels = heights::levels(self.site);
        for level in levels.iter().filter(|l| l.line) {
            self.level_line(canvas, float(level.y), &all);
        }
        heights::draw(self, canvas, &levels);
        widths::draw(self, canvas);
        self.names(canvas)
    }

    /// Obstacles in grey, and what stands before them in white.
    fn ground(&self, canvas: &mut Canvas) {
        let mut order: Vec<&Flat> = self.flats.iter().collect();
        order.sort_by(|a, b| b.near.total_cmp(&a.near));
        let obstacles: Vec<&Flat> = order.iter().copied().filter(|f| f.what == What::Obstacle).collect();
        for flat in order {
            let area = Area::new(self.x(flat.x.0), self.y(flat.y.0), self.x(flat.x.1), self.y(flat.y.1));
            let before =
                |o: &&Flat| o.x.0 < flat.x.1 && flat.x.0 < o.x.1 && o.y.0 < flat.y.1 && flat.y.0 < o.y.1;
            if flat.what == What::Obstacle {
                canvas.fill(area, Fill::Shade);
            } else if obstacles.iter().any(before) {
                canvas.fill(area, Fill::White);
            }
        }
    }

    fn outline(&self, canvas: &mut Canvas) {
        let area = self.area(&self.site.wall.place);
        canvas.line((area.x0, area.y0), (area.x1, area.y0), weight::DATUM);
        // Thin, since figures of a chain within the elevation stand on them.
        for x in [area.x0, area.x1] {
            canvas.line((x, area.y0), (x, area.y1), weight::INNER);
        }
        canvas.line((area.x0 - PAST, area.y1), (area.x1 + PAST, area.y1), FLOOR);
    }

    fn edge(&self, canvas: &mut Canvas, edge: &Edge) {
        let wall = self.area(&self.site.wall.place);
        let (from, to) = if edge.level {
            ((self.x(edge.from), self.y(edge.at)), (self.x(edge.to), self.y(edge.at)))
        } else {
            ((self.x(edge.at), self.y(edge.from)), (self.x(edge.at), self.y(edge.to)))
        };
        // The lines of the wall itself are drawn already.
        let along = |a: f64, b: f64| (a - b).abs() < LEAST;
        let on_wall = if edge.level {
            along(from.1, wall.y0) || along(from.1, wall.y1)
        } else {
            along(from.0, wall.x0) || along(from.0, wall.x1)
        };
        if edge.hidden {
            canvas.stroke(from, to, weight::INNER, Ink::Black, Dash::Hidden);
        } else if !on_wall || edge.own {
            let front =
                self.flats.iter().filter(|f| f.what == What::Row).map(|f| f.near).fold(f64::MAX, f64::min);
            let width = match (edge.own, edge.near <= front + 60.0) {
                (false, _) => weight::INNER,
                (true, true) => weight::OUTLINE,
                (true, false) => weight::DATUM,
            };
            canvas.line(from, to, width);
        }
    }

    /// A broken V on what swings: its point is on the side of the hinges.
    fn swings(&self, canvas: &mut Canvas) {
        for motion in &self.site.job.moves {
            let Move::Swings { thing, about, .. } = motion else { continue };
            let Some(part) = self.site.parts.iter().find(|p| p.path == *thing) else { continue };
            let area = self.area(&part.place);
            let (mx, my) = ((area.x0 + area.x1) / 2.0, (area.y0 + area.y1) / 2.0);
            let (point, ends) = match about {
                Face::Left => ((area.x0, my), [(area.x1, area.y0), (area.x1, area.y1)]),
                Face::Right => ((area.x1, my), [(area.x0, area.y0), (area.x0, area.y1)]),
                Face::Top => ((mx, area.y0), [(area.x0, area.y1), (area.x1, area.y1)]),
                Face::Bottom => ((mx, area.y1), [(area.x0, area.y0), (area.x1, area.y0)]),
                Face::Front | Face::Rear => continue,
            };
            for end in ends {
                canvas.stroke(point, end, weight::HAIR, Ink::Black, Dash::Hidden);
            }
        }
    }

    /// Where a fixing lies on paper.
    pub fn at(&self, x: Rational, y: Rational) -> (f64, f64) {
        (self.x(float(x)), self.y(float(y)))
    }

    fn fixings(&self, canvas: &mut Canvas) {
        let mut columns: std::collections::BTreeMap<Rational, Vec<Rational>> =
            std::collections::BTreeMap::new();
        for fixing in &self.site.fixings {
            let (x, y) = self.at(fixing.x, fixing.y);
            canvas.symbol(symbol(x, y));
            columns.entry(fixing.x).or_default().push(fixing.y);
        }
        // What stands over each other has one figure and a centre line.
        for (x, ys) in &columns {
            if let (Some(low), Some(high)) = (ys.iter().min(), ys.iter().max())
                && low < high
            {
                let (from, to) = (self.at(*x, *low), self.at(*x, *high));
                canvas.stroke(from, to, weight::HAIR, Ink::Black, Dash::Centre);
            }
        }
    }

    /// A level line across the wall, where no edge lies on it.
    fn level_line(&self, canvas: &mut Canvas, at: f64, edges: &[Edge]) {
        let wall = ends(&self.site.wall.place, Axis::X);
        let past = PAST * f64::from(self.scale.0);
        let near = LEAST * f64::from(self.scale.0);
        let mut pieces = vec![(wall.0 - past, wall.1 + past)];
        for edge in edges.iter().filter(|e| e.level && (e.at - at).abs() < near && !e.hidden) {
            pieces = pieces
                .into_iter()
                .flat_map(|(a, b)| [(a, b.min(edge.from)), (a.max(edge.to), b)])
                .filter(|(a, b)| b > a)
                .collect();
        }
        // Of what is in sight the line stands in the gaps, not on the boxes beside it.
        let seen = |f: &&Flat| {
            let middle = ((f.x.0 + f.x.1) / 2.0, f.y.1 - 0.1);
            f.what == What::Placed && (f.y.1 - at).abs() < 1e-6 && in_sight(&self.flats, f.near, middle)
        };
        if self.flats.iter().any(|f| seen(&f)) {
            for row in self.flats.iter().filter(|f| f.what == What::Row && f.y.0 < at && f.y.1 > at) {
                pieces = pieces
                    .into_iter()
                    .flat_map(|(a, b)| [(a, b.min(row.x.0)), (a.max(row.x.1), b)])
                    .filter(|(a, b)| b > a)
                    .collect();
            }
        }
        for (a, b) in pieces {
            if self.scale.paper(b - a) > 1.0 {
                let (from, to) = ((self.x(a), self.y(at)), (self.x(b), self.y(at)));
                canvas.stroke(from, to, weight::DATUM, Ink::Accent, Dash::Level);
            }
        }
    }

    /// Names of boxes, gaps and obstacles in their places, and of what is too small for its name beside it.
    fn names(&self, canvas: &mut Canvas) -> usize {
        let style = self.site.job.house.style();
        let mut lost = 0;
        let mut waiting = Vec::new();
        for entry in &self.site.boxes {
            let width = entry.place.x.size().map_or(String::new(), |s| style.figure(s));
            let name = name_of(&entry.path);
            let lines = if entry.row.is_some() {
                vec![vec![format!("{name} {width}")], vec![name.clone(), width]]
            } else {
                vec![vec![name.clone()]]
            };
            let place = if entry.row.is_none() {
                self.site.largest(entry)
            } else {
                // Fronts stand before the box itself.
                let parts = self.site.parts_of(entry).map(|p| p.place.z.lo);
                let near = parts.fold(entry.place.z.lo, Rational::min);
                Cuboid { z: Interval::new(near, entry.place.z.hi), ..entry.place }
            };
            if !lines.iter().any(|l| self.name(canvas, &place, l, true)) {
                waiting.push((name, place));
            }
        }
        for row in &self.site.rows {
            for gap in row.members.iter().filter(|m| m.gap) {
                let width = gap.place.x.size().map_or(String::new(), |s| style.figure(s));
                let name = name_of(&gap.path);
                let lines =
                    [vec![format!("{name}, gap {width}")], vec![name.clone(), format!("gap {width}")]];
                if !lines.iter().any(|l| self.name(canvas, &gap.place, l, false)) {
                    waiting.push((name, gap.place));
                }
            }
        }
        for obstacle in &self.site.wall.obstacles {
            let name = name_of(&obstacle.path);
            let words: Vec<String> = name.split(' ').map(str::to_string).collect();
            if ![vec![name.clone()], words].iter().any(|l| self.name(canvas, &obstacle.place, l, false)) {
                waiting.push((name, obstacle.place));
            }
        }
        let mut leaders = Leaders::default();
        for (name, place) in waiting {
            let mark = Mark { text: name, beside: String::new(), pill: false };
            lost += usize::from(!leaders.lead(canvas, &self.dots(&place), &mark, |_| 0.0));
        }
        lost
    }

    /// Sets lines of a name where they are free, in sight of what they name; false where they do not fit.
    fn name(&self, canvas: &mut Canvas, place: &Cuboid, lines: &[String], bold: bool) -> bool {
        let room = self.area(place);
        let near = ends(place, Axis::Z).0;
        let pitch = height::TEXT * 1.6;
        let wide = lines
            .iter()
            .map(|l| {
                let text = Text::new(0.0, 0.0, l.as_str());
                if bold { text.bold().length() } else { text.length() }
            })
            .fold(0.0, f64::max);
        let tall = height::TEXT * 1.4 + pitch * lines.len().saturating_sub(1) as f64;
        let mut best: Option<(f64, (f64, f64))> = None;
        const SPOTS: [f64; 9] = [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8, 0.1, 0.9];
        for ty in SPOTS {
            for tx in SPOTS {
                let (x, y) = (room.x0 + room.width() * tx, room.y0 + room.height() * ty);
                let area = Area::new(x - wide / 2.0, y - tall / 2.0, x + wide / 2.0, y + tall / 2.0);
                if !room.grown(-0.5).holds(&area) {
                    continue;
                }
                let mm = |(x, y): (f64, f64)| (x * f64::from(self.scale.0), -y * f64::from(self.scale.0));
                let corners =
                    [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)];
                let shown = |c: &(f64, f64)| in_sight(&self.flats, near, mm(*c));
                if !corners.iter().all(shown) {
                    continue;
                }
                let Some(crossed) = place::cost(canvas, &area.grown(0.4)) else { continue };
                let cost = f64::from(crossed) + (tx - 0.5).abs() + (ty - 0.5).abs();
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, (x, y)));
                }
            }
        }
        let Some((_, (x, y))) = best else { return false };
        let top = y - tall / 2.0 + height::TEXT * 1.2;
        for (n, line) in lines.iter().enumerate() {
            let text = Text::new(x, top + pitch * n as f64, line.as_str()).middle().class("box");
            canvas.text(if bold && n == 0 { text.bold() } else { text });
        }
        true
    }

    /// Places in what is named, those in sight first.
    fn dots(&self, place: &Cuboid) -> Vec<Dot> {
        let room = self.area(place);
        let near = ends(place, Axis::Z).0;
        let full = f64::from(self.scale.0);
        let mut dots = Vec::new();
        for tx in [0.5, 0.35, 0.65, 0.2, 0.8, 0.05, 0.95] {
            for ty in [0.5, 0.25, 0.75] {
                let at = (room.x0 + room.width() * tx, room.y0 + room.height() * ty);
                let seen = in_sight(&self.flats, near, (at.0 * full, -at.1 * full));
                let cost = (tx - 0.5f64).abs() * 4.0 + if seen { 0.0 } else { 30.0 };
                dots.push(Dot { at, cost, wide: room.width().min(room.height()) > 3.0 });
            }
        }
        dots
    }
}

/// The mark of a hole into the wall.
pub fn symbol(x: f64, y: f64) -> Symbol {
    Symbol { x, y, radius: FIXING, shape: Shape::Diamond, through: true, making: Making::Bench }
}

/// Distinct values in their order.
pub fn distinct(values: impl Iterator<Item = Rational>) -> Vec<Rational> {
    values.collect::<BTreeSet<Rational>>().into_iter().collect()
}

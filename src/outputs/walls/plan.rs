//! The plan of a wall: depths, what stands out, how far rows stand off.

use super::front::distinct;
use super::site::{Site, ends, name_of, plain_name};
use crate::geometry::{Axis, Cuboid};
use crate::job::BoxEntry;
use crate::outputs::drawing::canvas::{Area, Canvas, Dash, Ink, Text, height, weight};
use crate::outputs::drawing::chain::{Chain, Tick};
use crate::outputs::drawing::float;
use crate::outputs::drawing::paper::Scale;
use crate::outputs::drawing::place;
use crate::values::Rational;
use std::collections::BTreeMap;

/// The wall itself is shown so thick on paper.
const THICK: f64 = 4.0;
const HATCH: f64 = 0.95;
const FIRST: f64 = 6.5;
const NEXT: f64 = 3.5;
const OFF: f64 = 0.8;

/// Draws the plan: the wall's left end at (0, 0), the room below.
pub fn draw(site: &Site, scale: Scale, canvas: &mut Canvas) {
    let plan = Plan { site, scale };
    plan.wall(canvas);
    plan.boxes(canvas);
    plan.depths(canvas);
    plan.widths(canvas);
    plan.names(canvas);
}

struct Plan<'p, 'a> {
    site: &'p Site<'a>,
    scale: Scale,
}

impl Plan<'_, '_> {
    /// From the wall's surface into the room, in mm on paper.
    fn y(&self, z: f64) -> f64 {
        self.scale.paper(float(self.site.wall.place.z.lo) - z)
    }

    fn area(&self, place: &Cuboid) -> Area {
        let (x, z) = (ends(place, Axis::X), ends(place, Axis::Z));
        Area::new(self.scale.paper(x.0), self.y(z.0), self.scale.paper(x.1), self.y(z.1))
    }

    /// Everything in the room.
    fn envelope(&self) -> Area {
        let wall = ends(&self.site.wall.place, Axis::X);
        let start = Area::new(self.scale.paper(wall.0), 0.0, self.scale.paper(wall.1), 1.0);
        let all = self.site.boxes.iter().map(|b| self.area(&b.place));
        let all = all.chain(self.site.wall.obstacles.iter().map(|o| self.area(&o.place)));
        all.fold(start, |a, b| a.union(&b))
    }

    fn wall(&self, canvas: &mut Canvas) {
        let whole = ends(&self.site.wall.place, Axis::X);
        let wall = Area::new(self.scale.paper(whole.0), -THICK, self.scale.paper(whole.1), 0.0);
        self.cut(canvas, &wall, true);
        for obstacle in &self.site.wall.obstacles {
            let area = self.area(&obstacle.place);
            self.cut(canvas, &area, false);
            canvas.frame(area, weight::OUTLINE, Ink::Black, Dash::Solid);
        }
        canvas.line((wall.x0, 0.0), (wall.x1, 0.0), weight::OUTLINE);
        for x in [wall.x0, wall.x1] {
            canvas.line((x, -THICK), (x, 0.0), weight::DATUM);
        }
    }

    fn cut(&self, canvas: &mut Canvas, area: &Area, rising: bool) {
        let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1), (area.x0, area.y1)];
        canvas.hatch(&corners, HATCH, rising);
    }

    /// True for what hangs: nothing of it is in the lower half of the wall.
    fn hangs(&self, place: &Cuboid) -> bool {
        float(place.y.lo) > float(self.site.wall.place.y.hi) / 2.0
    }

    /// Outlines: what stands on the floor in full lines, the rest broken, edges that coincide once.
    fn boxes(&self, canvas: &mut Canvas) {
        let mut order: Vec<_> = self.site.boxes.iter().collect();
        order.sort_by_key(|b| (b.row.is_none(), self.hangs(&b.place)));
        let mut drawn: Vec<Area> = Vec::new();
        for entry in order {
            let area = self.area(&entry.place);
            let (width, dash) = match (entry.row.is_some(), self.hangs(&entry.place)) {
                (true, false) => (weight::OUTLINE, Dash::Solid),
                (true, true) => (weight::DATUM, Dash::Hidden),
                (false, _) => (weight::INNER, Dash::Hidden),
            };
            let sides = [
                Area::new(area.x0, area.y0, area.x1, area.y0),
                Area::new(area.x0, area.y1, area.x1, area.y1),
                Area::new(area.x0, area.y0, area.x0, area.y1),
                Area::new(area.x1, area.y0, area.x1, area.y1),
            ];
            for side in sides {
                if drawn.iter().any(|d| d.grown(0.6).holds(&side)) {
                    continue;
                }
                canvas.stroke((side.x0, side.y0), (side.x1, side.y1), width, Ink::Black, dash);
                drawn.push(side);
            }
        }
    }

    /// Depths from the wall's surface, at the right, each with its name.
    fn depths(&self, canvas: &mut Canvas) {
        let style = self.site.job.house.style();
        let surface = self.site.wall.place.z.lo;
        let mut found: BTreeMap<Rational, Vec<String>> = BTreeMap::new();
        let mut add = |z: Rational, name: String| {
            let Ok(out) = surface.sub(z) else { return };
            let names = found.entry(out).or_default();
            if !out.is_zero() && !names.contains(&name) {
                names.push(name);
            }
        };
        for obstacle in &self.site.wall.obstacles {
            add(obstacle.place.z.lo, name_of(&obstacle.path));
        }
        for row in &self.site.rows {
            let name = plain_name(&row.path);
            for member in row.members.iter().filter(|m| !m.gap) {
                add(member.place.z.hi, format!("back of {name}"));
                add(member.place.z.lo, format!("front of {name}"));
            }
        }
        for entry in self.site.placed() {
            add(entry.place.z.lo, format!("front of {}", plain_name(&entry.path)));
        }
        let area = self.envelope();
        let mut ticks = Vec::new();
        for (out, mut names) in found.into_iter().filter(|(o, _)| !o.is_zero()) {
            let more = names.len() > 2;
            names.truncate(2);
            let dots = if more { " …" } else { "" };
            let figure = format!("{} {}{dots}", style.figure(out), names.join(", "));
            ticks.push(Tick { at: self.scale.paper(float(out)), figure, from: area.x1 + OFF });
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
    }

    /// Obstacles over the wall; each row under the room, the lowest nearest.
    fn widths(&self, canvas: &mut Canvas) {
        let style = self.site.job.house.style();
        let area = self.envelope();
        let end = self.site.wall.place.x.hi;
        let chain = |places: Vec<Rational>,
                     name: String,
                     line: f64,
                     (edge, tie, outward): (f64, f64, f64),
                     canvas: &mut Canvas| {
            let mut ticks: Vec<Tick> = Vec::new();
            for x in places.into_iter().filter(|x| !x.is_zero()) {
                let figure = style.figure(x);
                if ticks.last().is_none_or(|t| t.figure != figure) {
                    ticks.push(Tick { at: self.scale.paper(float(x)), figure, from: edge + OFF * outward });
                }
            }
            let (level, origin, runs) = (true, 0.0, Vec::new());
            Chain { level, line, outward, origin, edge: tie, ticks, runs, name }.draw(canvas)
        };
        let obstacles = self.site.wall.obstacles.iter().flat_map(|o| [o.place.x.lo, o.place.x.hi]);
        let places = distinct(obstacles.chain([end]));
        chain(
            places,
            "wall, from the LEFT".to_string(),
            -THICK - FIRST,
            (-THICK, -THICK - OFF, -1.0),
            canvas,
        );
        let mut line = area.y1 + FIRST;
        for (n, row) in self.site.rows.iter().enumerate() {
            let places = distinct(row.members.iter().flat_map(|m| [m.place.x.lo, m.place.x.hi]));
            let name = format!("{} row, from the LEFT", plain_name(&row.path));
            // Only the first is tied to its edge: the next one's tie would run through its figures.
            let tie = if n == 0 { area.y1 + OFF } else { line };
            line = chain(places, name, line, (area.y1, tie, 1.0), canvas) + NEXT;
        }
    }

    fn names(&self, canvas: &mut Canvas) {
        let style = self.site.job.house.style();
        let mut all: Vec<(Vec<String>, Cuboid)> = Vec::new();
        // Over a row on the floor the names of a hung one would be read as its own.
        let floor = self.site.rows.iter().any(|r| !self.hangs(&r.place));
        let named = |b: &&&BoxEntry| b.row.is_some() && !(floor && self.hangs(&b.place));
        for entry in self.site.boxes.iter().filter(named) {
            let deep = entry.place.z.size().map_or(String::new(), |s| style.figure(s));
            all.push((vec![name_of(&entry.path), format!("{deep} deep")], entry.place));
        }
        for gap in self.site.rows.iter().flat_map(|r| r.members.iter().filter(|m| m.gap)) {
            all.push((vec![name_of(&gap.path), "gap".to_string()], gap.place));
        }
        for (lines, place) in all {
            let room = self.area(&place);
            let wide =
                lines.iter().map(|l| Text::new(0.0, 0.0, l.as_str()).bold().length()).fold(0.0, f64::max);
            let tall = height::TEXT * 3.0;
            let spots = [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9];
            let spots = spots.iter().flat_map(|ty| spots.iter().map(move |tx| (*tx, *ty)));
            let area = |(tx, ty): (f64, f64)| {
                let (x, y) = (room.x0 + room.width() * tx, room.y0 + room.height() * ty);
                Area::new(x - wide / 2.0, y - tall / 2.0, x + wide / 2.0, y + tall / 2.0)
            };
            let free = spots
                .map(area)
                .find(|a| room.grown(-0.5).holds(a) && place::cost(canvas, &a.grown(0.4)).is_some());
            if let Some(at) = free {
                for (n, line) in lines.iter().enumerate() {
                    let y = at.y0 + height::TEXT * (1.2 + 1.6 * n as f64);
                    let text = Text::new((at.x0 + at.x1) / 2.0, y, line.as_str()).middle().class("box");
                    canvas.text(if n == 0 { text.bold() } else { text });
                }
            }
        }
    }
}

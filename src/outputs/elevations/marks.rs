//! Marks of parts: a pill inside the part where it fits, else in a free place with a leader.

use super::solid::{Seen, Solid, in_sight};
use super::view::View;
use crate::outputs::drawing::canvas::{
    Area, Canvas, Dash, Drawn, Fill, Ink, Line, Shape, Text, height, length, weight,
};
use crate::outputs::drawing::font;
use crate::outputs::drawing::place;
use crate::outputs::drawing::symbol::{Making, Shape as SymbolShape, Symbol};

/// Height of a pill.
const PILL: f64 = 4.6;

/// A mark to set: the pill's text, and what stands beside it in plain text.
#[derive(Clone, Debug)]
pub struct Mark {
    pub text: String,
    pub beside: String,
}

impl Mark {
    fn pill_width(&self) -> f64 {
        font::width(&self.text, height::TEXT, true) + 3.4
    }

    fn width(&self) -> f64 {
        let beside =
            if self.beside.is_empty() { 0.0 } else { 1.2 + font::width(&self.beside, height::TEXT, false) };
        self.pill_width() + beside
    }

    /// Its box with the middle at a point.
    fn area(&self, (x, y): (f64, f64)) -> Area {
        let w = self.width() / 2.0;
        Area::new(x - w, y - PILL / 2.0, x + w, y + PILL / 2.0)
    }

    fn draw(&self, canvas: &mut Canvas, at: (f64, f64)) {
        let area = self.area(at);
        let pill = Area::new(area.x0, area.y0, area.x0 + self.pill_width(), area.y1);
        let points = vec![(pill.x0, pill.y0), (pill.x1, pill.y0), (pill.x1, pill.y1), (pill.x0, pill.y1)];
        let stroke = Some((weight::INNER, Ink::Black));
        canvas.drawn.push(Drawn::Shape(Shape { points, round: PILL / 2.0, fill: Fill::White, stroke }));
        let baseline = at.1 + height::TEXT / 2.0;
        let middle = (pill.x0 + pill.x1) / 2.0;
        canvas.text(Text::new(middle, baseline, self.text.as_str()).middle().bold().class("mark"));
        if !self.beside.is_empty() {
            canvas.text(Text::new(pill.x1 + 1.2, baseline, self.beside.as_str()).class("piece"));
        }
    }
}

/// A view with what is seen in it.
pub struct Scene<'v, 's, 'a> {
    pub view: &'v View,
    pub seen: &'v [Seen<'s, 'a>],
}

/// Leaders drawn so far: they never cross.
#[derive(Default)]
pub struct Leaders(Vec<Line>);

impl Scene<'_, '_, '_> {
    fn find(&self, solid: &Solid) -> Option<&Seen<'_, '_>> {
        self.seen.iter().find(|s| std::ptr::eq(s.solid.part, solid.part))
    }

    fn sees(&self, seen: &Seen, (x, y): (f64, f64)) -> bool {
        let mm = |paper: f64| paper * f64::from(self.view.scale.0);
        in_sight(self.seen, seen, mm(x - self.view.origin.0), mm(self.view.origin.1 - y))
    }

    /// Sets a mark inside its part; false where it does not fit.
    pub fn inside(&self, canvas: &mut Canvas, solid: &Solid, mark: &Mark) -> bool {
        let Some(seen) = self.find(solid) else { return false };
        let room = self.view.area(seen);
        let mut best: Option<(f64, (f64, f64))> = None;
        let fractions = [0.5, 0.42, 0.58, 0.34, 0.66, 0.26, 0.74, 0.18, 0.82, 0.1, 0.9];
        for fy in fractions {
            for fx in fractions {
                let at = (room.x0 + room.width() * fx, room.y0 + room.height() * fy);
                let area = mark.area(at);
                if !room.grown(-0.7).holds(&area) {
                    continue;
                }
                let corners =
                    [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1), at];
                if !corners.iter().all(|c| self.sees(seen, *c)) {
                    continue;
                }
                let Some(crossed) = place::cost(canvas, &area.grown(0.3)) else { continue };
                let off = length(fx - 0.5, fy - 0.5);
                let cost = f64::from(crossed) + off;
                if best.is_none_or(|(least, _)| cost < least) {
                    best = Some((cost, at));
                }
            }
        }
        let Some((_, at)) = best else { return false };
        mark.draw(canvas, at);
        true
    }

    /// Sets a mark with a leader to its part, in sight or hidden; false where nothing is free.
    pub fn led(
        &self,
        canvas: &mut Canvas,
        leaders: &mut Leaders,
        solid: &Solid,
        mark: &Mark,
        hidden: bool,
    ) -> bool {
        let Some(seen) = self.find(solid) else { return false };
        let room = self.view.area(seen);
        let mut best: Option<(f64, (f64, f64), (f64, f64))> = None;
        for t in [0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92] {
            let dot = if room.width() > room.height() {
                (room.x0 + room.width() * t, (room.y0 + room.y1) / 2.0)
            } else {
                ((room.x0 + room.x1) / 2.0, room.y0 + room.height() * t)
            };
            let wide = room.width().min(room.height()) > 3.0;
            if !(hidden || self.sees(seen, dot)) || !free_for_dot(canvas, dot, wide) {
                continue;
            }
            for far in [7.0, 9.5, 12.0, 15.0, 19.0, 24.0, 30.0, 38.0] {
                for (across, up) in directions() {
                    if best.is_some_and(|(least, _, _)| far >= least) {
                        break;
                    }
                    let at = (dot.0 + far * across, dot.1 + far * up);
                    let area = mark.area(at);
                    if area.grown(1.2).distance(dot.0, dot.1) < 1e-9 {
                        continue;
                    }
                    let Some(crossed) = place::cost(canvas, &area.grown(0.3)) else { continue };
                    let Some(toll) = self.toll(canvas, leaders, dot, &area) else { continue };
                    // A leader that runs along inside a thin part would look like an edge of it.
                    let line = leader(dot, &area);
                    let inside = room.clip(&line).map_or(0.0, |(a, b)| (b - a) * line.length());
                    let along = (inside - 2.5).max(0.0)
                        * if room.width().min(room.height()) < 6.0 { 4.0 } else { 0.0 };
                    let cost = far + f64::from(crossed) * 1.5 + toll + along + (t - 0.5).abs() * 4.0;
                    if best.is_none_or(|(least, _, _)| cost < least) {
                        best = Some((cost, dot, at));
                    }
                }
            }
        }
        let Some((_, dot, at)) = best else { return false };
        let area = mark.area(at);
        let leader = leader(dot, &area);
        canvas.drawn.push(Drawn::Line(leader));
        leaders.0.push(leader);
        canvas.symbol(Symbol {
            x: dot.0,
            y: dot.1,
            radius: SymbolShape::Point.radius(),
            shape: SymbolShape::Point,
            through: false,
            making: Making::Otherwise,
        });
        mark.draw(canvas, at);
        true
    }

    /// What a leader costs by the lines it crosses; `None` where it would cross a text, a mark or
    /// another leader.
    fn toll(&self, canvas: &Canvas, leaders: &Leaders, dot: (f64, f64), area: &Area) -> Option<f64> {
        let line = leader(dot, area);
        if leaders.0.iter().any(|l| cross(l, &line)) {
            return None;
        }
        let mut toll = 0.0;
        for drawn in &canvas.drawn {
            match drawn {
                Drawn::Text(t) if t.area().grown(0.5).clip(&line).is_some() => return None,
                Drawn::Symbol(s) if s.area().grown(0.2).clip(&line).is_some() => return None,
                Drawn::Shape(s) if s.round > 0.0 => {
                    if drawn.area().is_some_and(|a| a.grown(0.4).clip(&line).is_some()) {
                        return None;
                    }
                }
                Drawn::Line(l) if cross(l, &line) => toll += if l.is_thin() { 0.4 } else { 3.0 },
                _ => {}
            }
        }
        Some(toll)
    }
}

/// In a wide part the dot keeps off lines, so that it points at nothing else.
fn free_for_dot(canvas: &Canvas, (x, y): (f64, f64), wide: bool) -> bool {
    let off_lines = || canvas.lines().filter(|l| !l.is_thin()).all(|l| l.distance(x, y) > 1.4);
    (!wide || off_lines())
        && canvas.texts().all(|t| t.area().distance(x, y) > 1.0)
        && canvas.symbols().all(|s| length(s.x - x, s.y - y) > 1.6)
        && canvas
            .shapes()
            .filter(|s| s.round > 0.0)
            .all(|s| Drawn::Shape(s.clone()).area().is_none_or(|a| a.distance(x, y) > 0.8))
}

/// From a dot to the near end of a pill.
fn leader(dot: (f64, f64), area: &Area) -> Line {
    let middle = (area.y0 + area.y1) / 2.0;
    let x = dot.0.clamp(area.x0 + PILL / 2.0, area.x1 - PILL / 2.0);
    let inside = dot.0 > area.x0 && dot.0 < area.x1;
    let to = match (inside, dot.1 < area.y0, dot.0 < area.x0) {
        (true, true, _) => (x, area.y0),
        (true, false, _) => (x, area.y1),
        (false, _, true) => (area.x0, middle),
        (false, _, false) => (area.x1, middle),
    };
    Line { x1: dot.0, y1: dot.1, x2: to.0, y2: to.1, width: weight::HAIR, ink: Ink::Black, dash: Dash::Solid }
}

/// True where two lines cross.
fn cross(a: &Line, b: &Line) -> bool {
    let side = |l: &Line, x: f64, y: f64| (l.x2 - l.x1) * (y - l.y1) - (l.y2 - l.y1) * (x - l.x1);
    let apart = |l: &Line, m: &Line| side(l, m.x1, m.y1) * side(l, m.x2, m.y2) > 0.0;
    !apart(a, b) && !apart(b, a)
}

/// Sixteen directions, an odd number of sixteenths of half a turn each, anticlockwise. The figures are
/// written out, since the last bits of sine and cosine differ between platforms.
fn directions() -> impl Iterator<Item = (f64, f64)> {
    const COS: [f64; 4] = [0.980_785_280_4, 0.831_469_612_3, 0.555_570_233, 0.195_090_322];
    let quarter = COS.into_iter().zip(COS.into_iter().rev());
    let turned = [(1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0)];
    turned.into_iter().flat_map(move |(c, s)| {
        quarter.clone().map(move |(across, up)| (across * c - up * s, across * s + up * c))
    })
}

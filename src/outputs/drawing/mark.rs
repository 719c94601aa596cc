//! Marks of parts and boxes: a pill where it fits, else in a free place with a leader. Leaders never
//! cross.

use super::canvas::{Area, Canvas, Dash, Drawn, Fill, Ink, Line, Shape, Text, height, length, weight};
use super::font;
use super::place;
use super::symbol::{Making, Shape as SymbolShape, Symbol};

/// Height of a pill.
pub const PILL: f64 = 4.6;

/// A mark to set: its text, what stands beside it in plain text, and whether it stands in a pill.
#[derive(Clone, Debug)]
pub struct Mark {
    pub text: String,
    pub beside: String,
    /// Parts have a pill, boxes bold words alone.
    pub pill: bool,
}

impl Mark {
    fn pill_width(&self) -> f64 {
        let around = if self.pill { 3.4 } else { 0.6 };
        font::width(&font::printable(&self.text), height::TEXT, true) + around
    }

    pub fn width(&self) -> f64 {
        let beside =
            if self.beside.is_empty() { 0.0 } else { 1.2 + font::width(&self.beside, height::TEXT, false) };
        self.pill_width() + beside
    }

    /// Its box with the middle at a point.
    pub fn area(&self, (x, y): (f64, f64)) -> Area {
        let w = self.width() / 2.0;
        Area::new(x - w, y - PILL / 2.0, x + w, y + PILL / 2.0)
    }

    /// Draws it with its middle at a point.
    pub fn draw(&self, canvas: &mut Canvas, at: (f64, f64)) {
        let area = self.area(at);
        let pill = Area::new(area.x0, area.y0, area.x0 + self.pill_width(), area.y1);
        if self.pill {
            let points = vec![(pill.x0, pill.y0), (pill.x1, pill.y0), (pill.x1, pill.y1), (pill.x0, pill.y1)];
            let stroke = Some((weight::INNER, Ink::Black));
            canvas.drawn.push(Drawn::Shape(Shape { points, round: PILL / 2.0, fill: Fill::White, stroke }));
        }
        let baseline = at.1 + height::TEXT / 2.0;
        let middle = (pill.x0 + pill.x1) / 2.0;
        let class = if self.pill { "mark" } else { "box" };
        canvas.text(Text::new(middle, baseline, self.text.as_str()).middle().bold().class(class));
        if !self.beside.is_empty() {
            canvas.text(Text::new(pill.x1 + 1.2, baseline, self.beside.as_str()).class("piece"));
        }
    }
}

/// A place a leader may point at.
#[derive(Clone, Copy, Debug)]
pub struct Dot {
    pub at: (f64, f64),
    /// What it costs to take this one and not another.
    pub cost: f64,
    /// In a wide part the dot keeps off lines, so that it points at nothing else.
    pub wide: bool,
}

/// So many free dots are tried, the cheapest first.
const MOST_DOTS: usize = 16;

/// Leaders drawn so far.
#[derive(Default)]
pub struct Leaders(Vec<Line>);

impl Leaders {
    /// Sets a mark in a free place with a leader to one of the dots; `along` adds to the cost of a
    /// leader. False where nothing is free.
    pub fn lead(
        &mut self,
        canvas: &mut Canvas,
        dots: &[Dot],
        mark: &Mark,
        along: impl Fn(&Line) -> f64,
    ) -> bool {
        let mut best: Option<(f64, (f64, f64), (f64, f64))> = None;
        let mut dots: Vec<&Dot> = dots.iter().collect();
        dots.sort_by(|a, b| a.cost.total_cmp(&b.cost));
        let free = dots.into_iter().filter(|d| free_for_dot(canvas, d.at, d.wide)).take(MOST_DOTS);
        for dot in free.collect::<Vec<_>>() {
            for far in [7.0, 9.5, 12.0, 15.0, 19.0, 24.0, 30.0, 38.0, 48.0, 60.0] {
                for (across, up) in directions() {
                    if best.is_some_and(|(least, _, _)| far + dot.cost >= least) {
                        break;
                    }
                    let at = (dot.at.0 + far * across, dot.at.1 + far * up);
                    let area = mark.area(at);
                    if area.grown(1.2).distance(dot.at.0, dot.at.1) < 1e-9 {
                        continue;
                    }
                    let Some(crossed) = place::cost(canvas, &area.grown(0.3)) else { continue };
                    let Some(toll) = self.toll(canvas, dot.at, &area) else { continue };
                    let line = leader(dot.at, &area);
                    let cost = far + f64::from(crossed) * 1.5 + toll + along(&line) + dot.cost;
                    if best.is_none_or(|(least, _, _)| cost < least) {
                        best = Some((cost, dot.at, at));
                    }
                }
            }
        }
        let Some((_, dot, at)) = best else { return false };
        let area = mark.area(at);
        let leader = leader(dot, &area);
        canvas.drawn.push(Drawn::Line(leader));
        self.0.push(leader);
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
    fn toll(&self, canvas: &Canvas, dot: (f64, f64), area: &Area) -> Option<f64> {
        let line = leader(dot, area);
        if self.0.iter().any(|l| cross(l, &line)) {
            return None;
        }
        let mut toll = 0.0;
        for drawn in &canvas.drawn {
            match drawn {
                Drawn::Text(t) if t.area().grown(0.5).clip(&line).is_some() => return None,
                Drawn::Symbol(s) if s.shape == SymbolShape::Dot => {
                    toll += if s.area().clip(&line).is_some() { 0.6 } else { 0.0 };
                }
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

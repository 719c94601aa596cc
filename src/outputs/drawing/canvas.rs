//! What is drawn, in millimetres on paper: texts, lines, fills and symbols with their boxes.

use super::font;
use super::symbol::Symbol;

/// Weights of lines by meaning, in mm. Steps of about 1.4 survive a copier.
pub mod weight {
    pub const BAR: f64 = 1.2;
    pub const OUTLINE: f64 = 0.5;
    pub const DATUM: f64 = 0.35;
    pub const INNER: f64 = 0.25;
    pub const HAIR: f64 = 0.18;
}

/// Heights of capitals and figures, in mm.
pub mod height {
    pub const TEXT: f64 = 2.5;
    pub const HEADING: f64 = 3.5;
    pub const MARK: f64 = 5.0;
}

/// Colours. Nothing is told by colour alone.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Ink {
    Black,
    /// Where to measure from and what to work.
    Accent,
    /// What is not done on this page.
    Grey,
    /// What stays as it is, beside what changes.
    Faint,
    /// An earlier revision; its lines are always broken.
    Past,
}

impl Ink {
    pub fn css(self) -> &'static str {
        match self {
            Ink::Black => "#000",
            Ink::Accent => "#0b57a4",
            Ink::Grey => "#595959",
            Ink::Faint => "#9c9c9c",
            Ink::Past => "#b0501a",
        }
    }
}

/// Kinds of broken lines.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Dash {
    Solid,
    Hidden,
    Centre,
    /// What is set with a level.
    Level,
}

impl Dash {
    pub fn css(self) -> Option<&'static str> {
        match self {
            Dash::Solid => None,
            Dash::Hidden => Some("1.6 0.8"),
            Dash::Centre => Some("6 1.2 0.8 1.2"),
            Dash::Level => Some("9 1.2 0.6 1.2"),
        }
    }
}

/// Which end of a text its point is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Anchor {
    Start,
    Middle,
    End,
}

/// Length of a step; square roots alone, which are the same to the last bit on every machine.
pub fn length(dx: f64, dy: f64) -> f64 {
    (dx * dx + dy * dy).sqrt()
}

/// A rectangle on paper; y runs down.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Area {
    pub x0: f64,
    pub y0: f64,
    pub x1: f64,
    pub y1: f64,
}

impl Area {
    pub fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Area {
        Area { x0: x0.min(x1), y0: y0.min(y1), x1: x0.max(x1), y1: y0.max(y1) }
    }

    pub fn width(&self) -> f64 {
        self.x1 - self.x0
    }

    pub fn height(&self) -> f64 {
        self.y1 - self.y0
    }

    pub fn grown(&self, by: f64) -> Area {
        Area { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    pub fn union(&self, other: &Area) -> Area {
        Area {
            x0: self.x0.min(other.x0),
            y0: self.y0.min(other.y0),
            x1: self.x1.max(other.x1),
            y1: self.y1.max(other.y1),
        }
    }

    pub fn holds(&self, other: &Area) -> bool {
        self.x0 <= other.x0 && self.y0 <= other.y0 && self.x1 >= other.x1 && self.y1 >= other.y1
    }

    /// How far apart two rectangles are; nought where they meet.
    pub fn gap(&self, other: &Area) -> f64 {
        let dx = (other.x0 - self.x1).max(self.x0 - other.x1).max(0.0);
        let dy = (other.y0 - self.y1).max(self.y0 - other.y1).max(0.0);
        length(dx, dy)
    }

    /// How far a point is from the rectangle; nought inside.
    pub fn distance(&self, x: f64, y: f64) -> f64 {
        let dx = (self.x0 - x).max(x - self.x1).max(0.0);
        let dy = (self.y0 - y).max(y - self.y1).max(0.0);
        length(dx, dy)
    }

    /// The part of a stretch of line that runs inside, as fractions of its length.
    pub fn clip(&self, line: &Line) -> Option<(f64, f64)> {
        let beside = line.x1.max(line.x2) <= self.x0 || line.x1.min(line.x2) >= self.x1;
        if beside || line.y1.max(line.y2) <= self.y0 || line.y1.min(line.y2) >= self.y1 {
            return None;
        }
        let (mut lo, mut hi) = (0.0f64, 1.0f64);
        for (start, end, low, high) in
            [(line.x1, line.x2, self.x0, self.x1), (line.y1, line.y2, self.y0, self.y1)]
        {
            let run = end - start;
            if run.abs() < 1e-9 {
                if start <= low || start >= high {
                    return None;
                }
                continue;
            }
            let (a, b) = ((low - start) / run, (high - start) / run);
            lo = lo.max(a.min(b));
            hi = hi.min(a.max(b));
        }
        (lo < hi).then_some((lo, hi))
    }
}

/// A line of text; the point lies on the baseline.
#[derive(Clone, PartialEq, Debug)]
pub struct Text {
    pub x: f64,
    pub y: f64,
    pub content: String,
    pub anchor: Anchor,
    /// Reads from the right of the sheet.
    pub turned: bool,
    pub height: f64,
    pub bold: bool,
    pub ink: Ink,
    /// The table row it is a cell of.
    pub row: Option<u32>,
    /// What it is, for readers of the file.
    pub class: &'static str,
    /// Its length once it is placed: it is asked for again and again.
    pub(crate) measured: Option<f64>,
}

impl Text {
    /// A text in the common size at a point.
    pub fn new(x: f64, y: f64, content: impl Into<String>) -> Text {
        Text {
            x,
            y,
            content: font::printable(&content.into()),
            anchor: Anchor::Start,
            turned: false,
            height: height::TEXT,
            bold: false,
            ink: Ink::Black,
            row: None,
            class: "",
            measured: None,
        }
    }

    pub fn middle(mut self) -> Text {
        self.anchor = Anchor::Middle;
        self
    }

    pub fn end(mut self) -> Text {
        self.anchor = Anchor::End;
        self
    }

    pub fn turned(mut self) -> Text {
        self.turned = true;
        self
    }

    pub fn bold(mut self) -> Text {
        self.bold = true;
        self
    }

    pub fn tall(mut self, height: f64) -> Text {
        self.height = height;
        self
    }

    pub fn ink(mut self, ink: Ink) -> Text {
        self.ink = ink;
        self
    }

    pub fn class(mut self, class: &'static str) -> Text {
        self.class = class;
        self
    }

    /// Length in mm along the baseline.
    pub fn length(&self) -> f64 {
        self.measured.unwrap_or_else(|| font::width(&self.content, self.height, self.bold))
    }

    /// The box of its ink.
    pub fn area(&self) -> Area {
        let length = self.length();
        let up = font::ABOVE * self.height;
        let down = if font::descends(&self.content) { font::BELOW * self.height } else { 0.0 };
        let before = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => length / 2.0,
            Anchor::End => length,
        };
        if self.turned {
            let low = self.y + before;
            Area::new(self.x - up, low - length, self.x + down, low)
        } else {
            let left = self.x - before;
            Area::new(left, self.y - up, left + length, self.y + down)
        }
    }
}

/// A straight line.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Line {
    pub x1: f64,
    pub y1: f64,
    pub x2: f64,
    pub y2: f64,
    pub width: f64,
    pub ink: Ink,
    pub dash: Dash,
}

impl Line {
    pub fn length(&self) -> f64 {
        length(self.x2 - self.x1, self.y2 - self.y1)
    }

    pub fn area(&self) -> Area {
        Area::new(self.x1, self.y1, self.x2, self.y2)
    }

    /// The point at a fraction of its length.
    pub fn at(&self, t: f64) -> (f64, f64) {
        (self.x1 + (self.x2 - self.x1) * t, self.y1 + (self.y2 - self.y1) * t)
    }

    /// Thin lines break for text and symbols; heavy ones never.
    pub fn is_thin(&self) -> bool {
        self.width < weight::DATUM
    }

    /// How near it comes to a rectangle, its own thickness counted.
    pub fn gap(&self, area: &Area) -> f64 {
        if area.grown(1e-6).clip(self).is_some() {
            return 0.0;
        }
        let ends = area.distance(self.x1, self.y1).min(area.distance(self.x2, self.y2));
        let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)];
        let near = corners.iter().map(|(x, y)| self.distance(*x, *y)).fold(ends, f64::min);
        (near - self.width / 2.0).max(0.0)
    }

    /// How far a point is from it.
    pub fn distance(&self, x: f64, y: f64) -> f64 {
        let (dx, dy) = (self.x2 - self.x1, self.y2 - self.y1);
        let square = dx * dx + dy * dy;
        let t = if square < 1e-12 { 0.0 } else { ((x - self.x1) * dx + (y - self.y1) * dy) / square };
        let (px, py) = self.at(t.clamp(0.0, 1.0));
        length(px - x, py - y)
    }
}

/// How an area is filled.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Fill {
    Empty,
    White,
    Tint,
    /// A face that looks aside, or what boxes keep clear of.
    Shade,
    Accent,
    Black,
}

impl Fill {
    pub fn css(self) -> &'static str {
        match self {
            Fill::Empty => "none",
            Fill::White => "#fff",
            Fill::Tint => "#d3deed",
            Fill::Shade => "#ececec",
            Fill::Accent => "#0b57a4",
            Fill::Black => "#000",
        }
    }
}

/// A polygon, or an outline with round corners where `round` is above nought.
#[derive(Clone, PartialEq, Debug)]
pub struct Shape {
    pub points: Vec<(f64, f64)>,
    pub round: f64,
    pub fill: Fill,
    pub stroke: Option<(f64, Ink)>,
}

/// Anything drawn.
#[derive(Clone, PartialEq, Debug)]
pub enum Drawn {
    Shape(Shape),
    Line(Line),
    Symbol(Symbol),
    Text(Text),
}

impl Drawn {
    /// The box of its ink.
    pub fn area(&self) -> Option<Area> {
        match self {
            Drawn::Text(t) => Some(t.area()),
            Drawn::Line(l) => Some(l.area().grown(l.width / 2.0)),
            Drawn::Symbol(s) => Some(s.area()),
            Drawn::Shape(s) => {
                let mut points = s.points.iter();
                let (x, y) = points.next()?;
                let first = Area::new(*x, *y, *x, *y);
                Some(points.fold(first, |a, (x, y)| a.union(&Area::new(*x, *y, *x, *y))))
            }
        }
    }

    fn shift(&mut self, dx: f64, dy: f64) {
        match self {
            Drawn::Text(t) => (t.x, t.y) = (t.x + dx, t.y + dy),
            Drawn::Symbol(s) => (s.x, s.y) = (s.x + dx, s.y + dy),
            Drawn::Line(l) => (l.x1, l.y1, l.x2, l.y2) = (l.x1 + dx, l.y1 + dy, l.x2 + dx, l.y2 + dy),
            Drawn::Shape(s) => s.points.iter_mut().for_each(|p| *p = (p.0 + dx, p.1 + dy)),
        }
    }
}

/// A list of what is drawn, in order.
#[derive(Clone, Default, Debug)]
pub struct Canvas {
    pub drawn: Vec<Drawn>,
}

impl Canvas {
    pub fn new() -> Canvas {
        Canvas::default()
    }

    pub fn text(&mut self, mut text: Text) {
        text.measured = Some(text.length());
        self.drawn.push(Drawn::Text(text));
    }

    /// A solid black line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64) {
        self.stroke(from, to, width, Ink::Black, Dash::Solid);
    }

    pub fn stroke(&mut self, from: (f64, f64), to: (f64, f64), width: f64, ink: Ink, dash: Dash) {
        let line = Line { x1: from.0, y1: from.1, x2: to.0, y2: to.1, width, ink, dash };
        if line.length() > 1e-6 {
            self.drawn.push(Drawn::Line(line));
        }
    }

    pub fn symbol(&mut self, symbol: Symbol) {
        self.drawn.push(Drawn::Symbol(symbol));
    }

    pub fn fill(&mut self, area: Area, fill: Fill) {
        let points = vec![(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1), (area.x0, area.y1)];
        self.drawn.push(Drawn::Shape(Shape { points, round: 0.0, fill, stroke: None }));
    }

    /// The four sides of a rectangle.
    pub fn frame(&mut self, area: Area, width: f64, ink: Ink, dash: Dash) {
        let corners = [
            (area.x0, area.y0),
            (area.x1, area.y0),
            (area.x1, area.y1),
            (area.x0, area.y1),
            (area.x0, area.y0),
        ];
        for (from, to) in corners.iter().zip(corners.iter().skip(1)) {
            self.stroke(*from, *to, width, ink, dash);
        }
    }

    /// Adds what another canvas holds, moved.
    pub fn place(&mut self, other: &Canvas, dx: f64, dy: f64) {
        for drawn in &other.drawn {
            let mut drawn = drawn.clone();
            drawn.shift(dx, dy);
            self.drawn.push(drawn);
        }
    }

    /// The box of everything drawn.
    pub fn area(&self) -> Option<Area> {
        self.drawn.iter().filter_map(Drawn::area).reduce(|a, b| a.union(&b))
    }

    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.drawn.iter().filter_map(|d| if let Drawn::Text(t) = d { Some(t) } else { None })
    }

    pub fn lines(&self) -> impl Iterator<Item = &Line> {
        self.drawn.iter().filter_map(|d| if let Drawn::Line(l) = d { Some(l) } else { None })
    }

    pub fn symbols(&self) -> impl Iterator<Item = &Symbol> {
        self.drawn.iter().filter_map(|d| if let Drawn::Symbol(s) = d { Some(s) } else { None })
    }

    pub fn shapes(&self) -> impl Iterator<Item = &Shape> {
        self.drawn.iter().filter_map(|d| if let Drawn::Shape(s) = d { Some(s) } else { None })
    }
}

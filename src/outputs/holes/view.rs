//! The drawing of one face on the bench: outline, edges, holes, running dimensions, numbers.

use super::bench::{Bench, Side};
use super::cuts;
use super::entry::along;
use crate::geometry::Face;
use crate::job::{Bored, Hole, Numbered, Part};
use crate::outputs::drawing::canvas::{Area, Canvas, Dash, Fill, Ink, Text, height, length, weight};
use crate::outputs::drawing::chain::{Chain, Run, Tick};
use crate::outputs::drawing::font;
use crate::outputs::drawing::paper::Scale;
use crate::outputs::drawing::place;
use crate::outputs::drawing::symbol::{Making, Shape, Symbol};
use crate::values::{Rational, Style};
use std::collections::BTreeMap;

/// Width of a folded edge on paper, in mm.
pub const STRIP: f64 = 9.0;
/// Holes nearer to each other than this on paper are hard to tell apart.
pub const CROWDED: f64 = 2.3;

/// What one page shows.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    pub part: &'a Part,
    pub bench: Bench,
    pub style: Style,
    /// Bored from this face.
    pub own: Vec<Numbered<'a>>,
    /// Edges folded out beside it, with what is bored into them.
    pub folded: Vec<(Face, Vec<Numbered<'a>>)>,
    /// Through holes that are bored from the other face.
    pub other: Vec<&'a Hole>,
    /// Distinct diameters of the job, ascending.
    pub diameters: &'a [Rational],
}

/// Scales along the two axes of the paper; they differ only for very slender parts.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Scales {
    pub across: Scale,
    pub away: Scale,
}

/// A face drawn, with its outline from (0, 0) to the size of the part on paper.
pub struct View {
    pub canvas: Canvas,
    /// Numbers and names that found no room.
    pub unplaced: usize,
    /// The least distance between two symbols on paper.
    pub closest: f64,
    /// Labels of cuts that stand in the drawing; the words need not repeat them.
    pub labelled: Vec<String>,
}

/// A point to be measured.
struct Point<'a> {
    hole: &'a Hole,
    symbol: Symbol,
    /// Bored into an edge that is folded out on this side.
    edge: Option<Side>,
}

struct Draft<'p, 'a> {
    page: &'p Page<'a>,
    scales: Scales,
    canvas: Canvas,
    width: f64,
    depth: f64,
    /// Outermost ink so far on each side, from the outline.
    reach: BTreeMap<Side, f64>,
    strips: BTreeMap<Side, f64>,
    sparse: bool,
}

impl<'a> Page<'a> {
    pub fn symbol_of(&self, hole: &Hole, scale: Scale, at: (f64, f64)) -> Symbol {
        let n = self.diameters.iter().position(|d| *d == hole.dia.0).unwrap_or(0);
        let shape = Shape::of_diameter(n);
        let true_size = scale.paper(crate::outputs::drawing::float(hole.dia.0)) / 2.0;
        Symbol {
            x: at.0,
            y: at.1,
            radius: shape.radius().max(true_size),
            shape,
            through: hole.through,
            making: if hole.bored == Bored::InPlace { Making::InPlace } else { Making::Bench },
        }
    }

    /// Draws the face at a scale; a sparse one leaves the figures of holes to the table.
    pub fn draw(&self, scales: Scales, sparse: bool) -> View {
        let width = scales.across.paper(self.bench.width);
        let depth = scales.away.paper(self.bench.depth);
        let mut draft = Draft {
            page: self,
            scales,
            canvas: Canvas::new(),
            width,
            depth,
            reach: BTreeMap::new(),
            strips: BTreeMap::new(),
            sparse,
        };
        draft.run()
    }
}

impl<'p, 'a> Draft<'p, 'a> {
    fn x(&self, across: f64) -> f64 {
        self.scales.across.paper(self.page.bench.place(across, 0.0).0)
    }

    fn y(&self, away: f64) -> f64 {
        self.depth - self.scales.away.paper(away)
    }

    fn run(&mut self) -> View {
        self.outline();
        self.fold();
        let frame = cuts::Frame {
            part: self.page.part,
            bench: &self.page.bench,
            scales: self.scales,
            size: (self.width, self.depth),
            style: self.page.style,
            strips: &self.strips,
        };
        let cut_marks = cuts::draw(&frame, &mut self.canvas);
        let points = self.points();
        for point in &points {
            self.canvas.symbol(point.symbol);
        }
        for hole in &self.page.other {
            let at = self.on_face(hole);
            let mut symbol = self.page.symbol_of(hole, self.scales.across, at);
            symbol.radius = symbol.radius.max(Shape::DoubleRing.radius());
            symbol.shape = Shape::DoubleRing;
            symbol.making = Making::Otherwise;
            self.canvas.symbol(symbol);
        }
        self.chains(&points, &cut_marks.ticks);
        let mut unplaced = self.names();
        unplaced += self.numbers();
        let mut labelled = Vec::new();
        for label in &cut_marks.labels {
            if let Some(text) = place::best(&self.canvas, label.iter().cloned()) {
                labelled.push(text.content.clone());
                self.canvas.text(text);
            }
        }
        let mut closest = f64::MAX;
        let all: Vec<&Symbol> = points.iter().map(|p| &p.symbol).collect();
        for (i, a) in all.iter().enumerate() {
            for b in all.iter().skip(i + 1) {
                closest = closest.min(length(a.x - b.x, a.y - b.y));
            }
        }
        View { canvas: std::mem::take(&mut self.canvas), unplaced, closest, labelled }
    }

    /// The outline with its notches, and the heavy line outside the key edge.
    fn outline(&mut self) {
        let notches = cuts::notches(self.page.part, &self.page.bench);
        let (w, d) = (self.width, self.depth);
        let boxes: Vec<Area> = notches
            .iter()
            .map(|n| Area::new(self.x(n.across.0), self.y(n.away.0), self.x(n.across.1), self.y(n.away.1)))
            .collect();
        for line in cuts::outline((w, d), &boxes) {
            self.canvas.line(line.0, line.1, weight::OUTLINE);
        }
        if let Some(side) = self.page.bench.side(self.page.bench.key()) {
            let off = weight::OUTLINE / 2.0;
            let bar = match side {
                Side::Left => Area::new(-off - weight::BAR, 0.0, -off, d),
                Side::Right => Area::new(w + off, 0.0, w + off + weight::BAR, d),
                Side::Near => Area::new(0.0, d + off, w, d + off + weight::BAR),
                Side::Far => Area::new(0.0, -off - weight::BAR, w, -off),
            };
            self.canvas.fill(bar, Fill::Black);
            self.reach.insert(side, off + weight::BAR);
        }
        for face in self.page.part.bands.keys() {
            let Some(side) = self.page.bench.side(*face) else { continue };
            if *face == self.page.bench.key() {
                continue;
            }
            let off = 1.1;
            let (from, to) = self.parallel(side, off, 0.0, 0.0);
            self.canvas.line(from, to, weight::INNER);
            self.reach.insert(side, off + 0.2);
        }
    }

    /// A line along a side, so far outside the outline, drawn in at its ends.
    fn parallel(&self, side: Side, off: f64, start: f64, end: f64) -> ((f64, f64), (f64, f64)) {
        let (w, d) = (self.width, self.depth);
        match side {
            Side::Left => ((-off, start), (-off, d - end)),
            Side::Right => ((w + off, start), (w + off, d - end)),
            Side::Near => ((start, d + off), (w - end, d + off)),
            Side::Far => ((start, -off), (w - end, -off)),
        }
    }

    fn reach(&self, side: Side) -> f64 {
        self.reach.get(&side).copied().unwrap_or(0.25)
    }

    fn is_key(&self, side: Side) -> bool {
        self.page.bench.edge(side) == self.page.bench.key()
    }

    /// Strips for the edges that are folded out.
    fn fold(&mut self) {
        for (face, _) in &self.page.folded {
            let Some(side) = self.page.bench.side(*face) else { continue };
            // The name of an edge stands between it and its strip, unless it fits over the strip.
            let tall = if self.is_key(side) { height::HEADING } else { height::TEXT };
            let between = if side.is_upright() && !self.is_key(side) { 4.5 } else { tall * 1.4 + 2.4 };
            let near = self.reach(side) + between;
            let (a, b) = self.parallel(side, near, 0.0, 0.0);
            let (c, e) = self.parallel(side, near + STRIP, 0.0, 0.0);
            let area = Area::new(a.0, a.1, e.0, e.1).union(&Area::new(b.0, b.1, c.0, c.1));
            self.canvas.frame(area, weight::OUTLINE, Ink::Black, Dash::Solid);
            self.strips.insert(side, near);
            self.reach.insert(side, near + STRIP + 0.25);
            if let Some(key) = self.page.bench.side(self.page.bench.key())
                && key.is_upright() != side.is_upright()
            {
                let off = weight::OUTLINE / 2.0;
                let bar = match key {
                    Side::Near => Area::new(area.x0, area.y1 + off, area.x1, area.y1 + off + weight::BAR),
                    Side::Far => Area::new(area.x0, area.y0 - off - weight::BAR, area.x1, area.y0 - off),
                    Side::Left => Area::new(area.x0 - off - weight::BAR, area.y0, area.x0 - off, area.y1),
                    Side::Right => Area::new(area.x1 + off, area.y0, area.x1 + off + weight::BAR, area.y1),
                };
                self.canvas.fill(bar, Fill::Black);
            }
        }
    }

    fn on_face(&self, hole: &Hole) -> (f64, f64) {
        let part = self.page.part;
        let across = along(part, hole, self.page.bench.across);
        let away = along(part, hole, self.page.bench.away);
        (self.x(across), self.y(away))
    }

    fn on_strip(&self, hole: &Hole, side: Side) -> (f64, f64) {
        let part = self.page.part;
        let bench = &self.page.bench;
        let thick = bench.face.axis();
        let from_low = along(part, hole, thick);
        let whole = crate::outputs::drawing::float(part.size(thick));
        let from_up = if bench.face.is_high() { whole - from_low } else { from_low };
        let off = self.strips.get(&side).copied().unwrap_or(0.0) + STRIP * from_up / whole.max(1e-9);
        let (x, y) = self.on_face(hole);
        match side {
            Side::Left => (-off, y),
            Side::Right => (self.width + off, y),
            Side::Near => (x, self.depth + off),
            Side::Far => (x, -off),
        }
    }

    /// A strip has its own width, which is what limits the size of a symbol on it.
    fn on_strip_symbol(&self, hole: &Hole, side: Side, scale: Scale) -> Symbol {
        let mut symbol = self.page.symbol_of(hole, scale, self.on_strip(hole, side));
        let float = crate::outputs::drawing::float;
        let across = float(hole.dia.0) / 2.0 * STRIP / float(self.page.part.thickness.0).max(1e-9);
        symbol.radius = symbol.radius.min(across.min(STRIP / 2.5).max(symbol.shape.radius()));
        symbol
    }

    fn points(&self) -> Vec<Point<'a>> {
        let scale = self.scales.across.min(self.scales.away);
        let mut points = Vec::new();
        for hole in self.page.own.iter().flat_map(|e| e.holes.iter().copied()) {
            let symbol = self.page.symbol_of(hole, scale, self.on_face(hole));
            points.push(Point { hole, symbol, edge: None });
        }
        for (face, entries) in &self.page.folded {
            let Some(side) = self.page.bench.side(*face) else { continue };
            for hole in entries.iter().flat_map(|e| e.holes.iter().copied()) {
                let symbol = self.on_strip_symbol(hole, side, scale);
                points.push(Point { hole, symbol, edge: Some(side) });
            }
        }
        points
    }

    fn chains(&mut self, points: &[Point<'a>], cut_ticks: &[cuts::CutTick]) {
        let planned = super::chains::plan(&super::chains::Ground {
            page: self.page,
            size: (self.width, self.depth),
            points: points.iter().filter(|_| !self.sparse).map(|p| (p.hole, p.symbol, p.edge)).collect(),
            cut_ticks,
            place: &|across, away| (self.x(across), self.y(away)),
        });
        for (from, to) in &planned.centre_lines {
            self.canvas.stroke(*from, *to, weight::HAIR, Ink::Black, Dash::Centre);
        }
        for (side, ticks, runs) in planned.sides {
            self.chain(side, ticks, runs);
        }
    }

    fn chain(&mut self, side: Side, ticks: Vec<Tick>, runs: Vec<Run>) {
        let named = !self.strips.contains_key(&side) || self.is_key(side);
        let tall = if self.is_key(side) { height::HEADING } else { height::TEXT };
        let reach = self.reach(side);
        let room = if named && !self.strips.contains_key(&side) { tall * 1.4 + 1.6 } else { 0.0 };
        let clear = if self.strips.contains_key(&side) { 3.6 } else { 1.6 };
        let off = (reach + room + clear).max(5.0);
        let bench = &self.page.bench;
        let (line, outward, edge) = match side {
            Side::Left => (-off, -1.0, -reach - 0.55),
            Side::Right => (self.width + off, 1.0, self.width + reach + 0.55),
            Side::Near => (self.depth + off, 1.0, self.depth + reach + 0.55),
            Side::Far => (-off, -1.0, -reach - 0.55),
        };
        let datum =
            if side.is_upright() { Face::of(bench.away, false) } else { Face::of(bench.across, false) };
        let origin = if side.is_upright() { self.depth } else { self.x(0.0) };
        let chain = Chain {
            level: !side.is_upright(),
            line,
            outward,
            origin,
            edge,
            ticks,
            runs,
            name: format!("from the {} edge", datum.word().to_uppercase()),
        };
        let end = chain.draw(&mut self.canvas);
        let reach = match side {
            Side::Left | Side::Far => -end,
            Side::Right => end - self.width,
            Side::Near => end - self.depth,
        };
        self.reach.insert(side, reach);
    }

    /// Names of the edges; gives how many found no room.
    fn names(&mut self) -> usize {
        let mut unplaced = 0;
        for side in Side::ALL {
            let edge = self.page.bench.edge(side);
            let key = self.is_key(side);
            let banded = if self.page.part.bands.contains_key(&edge) { ", banded" } else { "" };
            let word = edge.word();
            let near = side == Side::Near;
            let folded = self.strips.get(&side).copied();
            let mut text = if key {
                Text::new(0.0, 0.0, format!("{} EDGE{banded}", word.to_uppercase()))
                    .tall(height::HEADING)
                    .bold()
            } else {
                Text::new(0.0, 0.0, format!("{word} edge{banded}"))
            };
            if near || folded.is_some() {
                text = text.bold();
            } else if !key {
                text = text.ink(Ink::Grey);
            }
            let text = text.middle().class("edge");
            let (up, down) = (text.height * font::ABOVE, text.height * font::BELOW);
            let bar = if key {
                1.45
            } else if banded.is_empty() {
                0.25
            } else {
                1.3
            };
            let gaps: &[f64] = &[0.9, 1.4, 2.0, 3.0];
            let along = [0.5, 0.44, 0.56, 0.38, 0.62, 0.32, 0.68, 0.26, 0.74, 0.2, 0.8, 0.14, 0.86];
            let mut candidates = Vec::new();
            if let (Some(near), true, false) = (folded, side.is_upright(), key) {
                let middle = near + STRIP / 2.0;
                let x = if side == Side::Left { -middle } else { self.width + middle };
                for y in [-1.2, -2.4, -4.0] {
                    candidates.push(Text { x, y: y - down, ..text.clone() });
                }
            }
            let (w, d) = (self.width, self.depth);
            let place_at = |t: f64, gap: f64| {
                let off = bar + gap;
                let at = |x: f64, y: f64| Text { x, y, ..text.clone() };
                match side {
                    Side::Near => at(w * t, d + off + up),
                    Side::Far => at(w * t, -off - down),
                    Side::Left => at(-off - down, d * t).turned(),
                    Side::Right => at(w + off + up, d * t).turned(),
                }
            };
            // Within its edge if it can be, even where it breaks a thin line; else beyond the end.
            let length = text.length();
            let whole = if side.is_upright() { d } else { w };
            let inside = |t: &&f64| whole * t.min(1.0 - **t) >= length / 2.0 - 0.5;
            let mut found = place::best(&self.canvas, candidates);
            let spread = |ts: Vec<f64>| {
                let place_at = &place_at;
                gaps.iter()
                    .flat_map(move |g| ts.clone().into_iter().map(move |t| place_at(t, *g)))
                    .collect::<Vec<_>>()
            };
            if found.is_none() {
                let within: Vec<f64> = along.iter().filter(inside).copied().collect();
                found = place::best(&self.canvas, spread(within));
            }
            if found.is_none() {
                found =
                    place::best(&self.canvas, spread(vec![0.5, 0.3, 0.7, 0.1, 0.9, -0.2, 1.2, -0.5, 1.5]));
            }
            match found {
                Some(found) => self.canvas.text(found),
                // The others follow from these two.
                None => unplaced += usize::from(key || near),
            }
        }
        unplaced
    }

    /// Numbers beside the holes; of a dense row at both ends.
    fn numbers(&mut self) -> usize {
        let scale = self.scales.across.min(self.scales.away);
        let mut wanted = Vec::new();
        let own = self.page.own.iter().map(|e| (e, None));
        let folded = self.page.folded.iter().flat_map(|(f, entries)| {
            let side = self.page.bench.side(*f);
            entries.iter().map(move |e| (e, side))
        });
        for (entry, side) in own.chain(folded) {
            let last = entry.number + entry.holes.len() - 1;
            let ends = [(entry.first(), entry.number), (entry.last(), last)];
            for (hole, number) in ends.into_iter().take(if entry.row.is_some() { 2 } else { 1 }) {
                let Some(hole) = hole else { continue };
                let symbol = match side {
                    Some(side) => self.on_strip_symbol(hole, side, scale),
                    None => self.page.symbol_of(hole, scale, self.on_face(hole)),
                };
                wanted.push((symbol, number));
            }
        }
        let mut unplaced = 0;
        for (symbol, number) in wanted {
            let mut text = Text::new(0.0, 0.0, number.to_string()).bold().class("number");
            if symbol.making == Making::InPlace {
                text = text.ink(Ink::Grey);
            }
            let done = place::beside(&mut self.canvas, (symbol.x, symbol.y), symbol.reach(), &text);
            unplaced += usize::from(!done);
        }
        unplaced
    }
}

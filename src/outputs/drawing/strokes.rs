//! Lines that are worked out: hatches, and thin lines broken for what stands on them.

use super::canvas::{Area, Canvas, Dash, Drawn, Fill, Ink, Line, Shape, weight};
use super::symbol::Shape as SymbolShape;

impl Canvas {
    /// Hatches a convex polygon at 45°, so far apart; rising to the right or falling.
    pub fn hatch(&mut self, points: &[(f64, f64)], apart: f64, rising: bool) {
        let shape =
            Drawn::Shape(Shape { points: points.to_vec(), round: 0.0, fill: Fill::Empty, stroke: None });
        let Some(area) = shape.area() else { return };
        let step = apart * std::f64::consts::SQRT_2;
        let reach = area.height();
        let mut x = area.x0 - reach + step;
        while x < area.x1 {
            let (y1, y2) = if rising { (area.y1, area.y0) } else { (area.y0, area.y1) };
            let line = Line {
                x1: x,
                y1,
                x2: x + reach,
                y2,
                width: weight::HAIR,
                ink: Ink::Black,
                dash: Dash::Solid,
            };
            if let Some((a, b)) = clip_convex(&line, points) {
                self.line(line.at(a), line.at(b), weight::HAIR);
            }
            x += step;
        }
    }

    /// Breaks thin lines where a text or a symbol stands, so that nothing runs through either.
    pub fn break_thin_lines(&mut self) {
        let mut gaps: Vec<Area> = self.texts().map(|t| t.area().grown(0.4)).collect();
        gaps.extend(self.symbols().filter(|s| s.shape != SymbolShape::Point).map(|s| s.area().grown(0.2)));
        let pills = self.drawn.iter().filter(|d| matches!(d, Drawn::Shape(s) if s.round > 0.0));
        gaps.extend(pills.filter_map(Drawn::area));
        let mut drawn = Vec::with_capacity(self.drawn.len());
        for item in std::mem::take(&mut self.drawn) {
            match item {
                Drawn::Line(line) if line.is_thin() => {
                    drawn.extend(broken(&line, &gaps).into_iter().map(Drawn::Line));
                }
                other => drawn.push(other),
            }
        }
        self.drawn = drawn;
    }
}

/// The part of a line inside a convex polygon, as fractions of its length.
fn clip_convex(line: &Line, points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let (mut lo, mut hi) = (0.0f64, 1.0f64);
    let ends = points.iter().zip(points.iter().cycle().skip(1));
    let turn: f64 = ends.clone().map(|(a, b)| a.0 * b.1 - b.0 * a.1).sum();
    for (a, b) in ends {
        // Positive on the inner side of each edge.
        let inner = |x: f64, y: f64| ((b.0 - a.0) * (y - a.1) - (b.1 - a.1) * (x - a.0)) * turn.signum();
        let (start, end) = (inner(line.x1, line.y1), inner(line.x2, line.y2));
        if start < 0.0 && end < 0.0 {
            return None;
        }
        if (start - end).abs() > 1e-12 {
            let t = start / (start - end);
            if end > start { lo = lo.max(t) } else { hi = hi.min(t) }
        }
    }
    (hi - lo > 1e-6).then_some((lo, hi))
}

/// What is left of a line outside the gaps; stubs shorter than 0.4 mm go, unless nothing was cut.
fn broken(line: &Line, gaps: &[Area]) -> Vec<Line> {
    let mut cuts: Vec<(f64, f64)> = gaps.iter().filter_map(|g| g.clip(line)).collect();
    if cuts.is_empty() {
        return vec![*line];
    }
    cuts.sort_by(|a, b| a.0.total_cmp(&b.0));
    cuts.push((1.0, 1.0));
    let mut pieces = Vec::new();
    let mut start = 0.0;
    for (lo, hi) in cuts {
        if (lo - start) * line.length() > 0.4 {
            let ((x1, y1), (x2, y2)) = (line.at(start), line.at(lo));
            pieces.push(Line { x1, y1, x2, y2, ..*line });
        }
        start = hi.max(start);
    }
    pieces
}

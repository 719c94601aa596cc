//! Drawing the three views: front, section and plan, aligned, each on the side it is seen from.

use super::solid::{Edge, Look, SAME, Seen, Solid, edges, thinned};
use crate::geometry::Axis;
use crate::outputs::drawing::canvas::{Area, Canvas, Dash, Fill, Ink, weight};
use crate::outputs::drawing::paper::Scale;

/// Two lines nearer than this become one, in mm on paper.
const LEAST: f64 = 0.7;
/// Cut parts thinner than this are solid black, in mm on paper.
const BLACK: f64 = 0.8;
/// Between the lines of a hatch.
const HATCH: f64 = 0.95;

/// One of the three views, placed on paper.
#[derive(Clone, Copy, Debug)]
pub struct View {
    pub look: Look,
    pub scale: Scale,
    /// Where the low corner of the box lies on paper.
    pub origin: (f64, f64),
    /// What is shown across and up the paper, in mm from the low corner of the box.
    pub extent: ((f64, f64), (f64, f64)),
}

impl View {
    pub fn x(&self, mm: f64) -> f64 {
        self.origin.0 + self.scale.paper(mm)
    }

    pub fn y(&self, mm: f64) -> f64 {
        self.origin.1 - self.scale.paper(mm)
    }

    pub fn area(&self, seen: &Seen) -> Area {
        Area::new(self.x(seen.x.0), self.y(seen.y.0), self.x(seen.x.1), self.y(seen.y.1))
    }

    /// Where everything that is shown stands on paper.
    pub fn envelope(&self) -> Area {
        let (x, y) = self.extent;
        Area::new(self.x(x.0), self.y(y.0), self.x(x.1), self.y(y.1))
    }

    /// Draws what is seen.
    pub fn draw(&self, canvas: &mut Canvas, solids: &[Solid], nested: &[[(f64, f64); 3]]) {
        let seen = self.look.see(solids);
        let near = seen.iter().map(|s| s.near).fold(f64::INFINITY, f64::min);
        for s in seen.iter().filter(|s| s.cut) {
            self.cut(canvas, s);
        }
        let all = thinned(edges(&seen), f64::from(self.scale.0) * LEAST);
        for edge in &all {
            let section = self.look.cut.is_some();
            // A section shows no hidden edges; of boxes within only the whole is shown hidden.
            if edge.hidden && (section || !edge.own) {
                continue;
            }
            if edge.cut && self.black(edge, &seen) {
                continue;
            }
            let width = if edge.hidden {
                weight::INNER
            } else if edge.cut || edge.near <= near + SAME {
                weight::OUTLINE
            } else {
                weight::DATUM
            };
            self.edge(canvas, edge, width);
        }
        if self.look.cut.is_none() {
            self.boxes_within(canvas, &all, nested);
        }
    }

    fn edge(&self, canvas: &mut Canvas, edge: &Edge, width: f64) {
        let (from, to) = if edge.level {
            ((self.x(edge.from), self.y(edge.at)), (self.x(edge.to), self.y(edge.at)))
        } else {
            ((self.x(edge.at), self.y(edge.from)), (self.x(edge.at), self.y(edge.to)))
        };
        let dash = if edge.hidden { Dash::Hidden } else { Dash::Solid };
        canvas.stroke(from, to, width, Ink::Black, dash);
    }

    /// True where the edge belongs to a cut part that is drawn solid black.
    fn black(&self, edge: &Edge, seen: &[Seen]) -> bool {
        seen.iter().filter(|s| s.cut && self.thin(s) < BLACK).any(|s| {
            let (lo, hi) = if edge.level { s.y } else { s.x };
            let (from, to) = if edge.level { s.x } else { s.y };
            ((edge.at - lo).abs() < SAME || (edge.at - hi).abs() < SAME)
                && edge.from > from - SAME
                && edge.to < to + SAME
        })
    }

    fn thin(&self, seen: &Seen) -> f64 {
        let area = self.area(seen);
        area.width().min(area.height())
    }

    /// Hatches a cut part, or blackens a thin one.
    fn cut(&self, canvas: &mut Canvas, seen: &Seen) {
        let area = self.area(seen);
        if self.thin(seen) < BLACK {
            let grow = ((0.5 - self.thin(seen)) / 2.0).max(0.0);
            let area = if area.width() < area.height() {
                Area::new(area.x0 - grow, area.y0, area.x1 + grow, area.y1)
            } else {
                Area::new(area.x0, area.y0 - grow, area.x1, area.y1 + grow)
            };
            canvas.fill(area, Fill::Black);
            return;
        }
        // Level and upright parts are hatched opposite ways, so that neighbours differ.
        let rising = seen.solid.thin() == Axis::Y;
        let points: Vec<(f64, f64)> = seen.outline().iter().map(|(x, y)| (self.x(*x), self.y(*y))).collect();
        canvas.hatch(&points, HATCH, rising);
        if seen.bevelled() {
            for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
                canvas.line(*a, *b, weight::OUTLINE);
            }
        }
    }

    /// Boxes that stand in this one, hidden, as their envelopes.
    fn boxes_within(&self, canvas: &mut Canvas, drawn: &[Edge], nested: &[[(f64, f64); 3]]) {
        let pick = |ends: &[(f64, f64); 3], axis: Axis| match axis {
            Axis::X => ends[0],
            Axis::Y => ends[1],
            Axis::Z => ends[2],
        };
        let least = f64::from(self.scale.0) * LEAST;
        let mut fresh = drawn.to_vec();
        for ends in nested {
            let (x, y) = (pick(ends, self.look.across), pick(ends, self.look.up));
            for (level, at, (from, to)) in [(true, y.0, x), (true, y.1, x), (false, x.0, y), (false, x.1, y)]
            {
                fresh.push(Edge {
                    level,
                    at,
                    from,
                    to,
                    hidden: true,
                    near: f64::MAX,
                    own: false,
                    cut: false,
                });
            }
        }
        for edge in thinned(fresh, least).iter().filter(|e| e.near >= f64::MAX) {
            self.edge(canvas, edge, weight::INNER);
        }
    }
}

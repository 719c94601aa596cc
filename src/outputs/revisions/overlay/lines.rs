//! The lines of one view: what changes in full, heavy lines, what stays in faint ones, what was in broken ones.

use crate::outputs::drawing::canvas::{Canvas, Dash, Drawn, Fill, Ink, Shape, weight};
use crate::outputs::elevations::solid::{Edge, Seen, Solid, edges, thinned};
use crate::outputs::elevations::view::View;

/// Two lines of one kind nearer than this become one, in mm on paper.
const LEAST: f64 = 0.7;
/// An old line nearer than this to a new one would not be told from it.
const APART: f64 = 0.45;
/// Parts seen from the edge are filled; from a wide face only those that stand in front.
const EDGE_ON: f64 = 4.0;

/// Draws one view of both revisions.
pub fn draw(canvas: &mut Canvas, view: &View, new: &[Solid], old: &[Solid]) {
    let changed: Vec<Solid> = new.iter().filter(|s| s.own).cloned().collect();
    let (all, fresh, was) = (view.look.see(new), view.look.see(&changed), view.look.see(old));
    fills(canvas, view, &all);
    let full = f64::from(view.scale.0);
    // What shows through a gap no wider than a line reads as dirt.
    let speck = full * LEAST;
    let shown = |seen: &[Seen]| -> Vec<Edge> {
        edges(seen).into_iter().filter(|e| !e.hidden && e.to - e.from > speck).collect()
    };
    let faint = shown(&all).into_iter().filter(|e| !e.own).collect();
    Layers { heavy: shown(&fresh), past: shown(&was), faint }.draw(canvas, view);
}

/// The lines of a view by their kinds.
pub struct Layers {
    pub heavy: Vec<Edge>,
    pub past: Vec<Edge>,
    pub faint: Vec<Edge>,
}

impl Layers {
    /// Draws them, less what lies on a line of a kind before.
    pub fn draw(self, canvas: &mut Canvas, view: &View) {
        let full = f64::from(view.scale.0);
        let heavy = thinned(self.heavy, full * LEAST);
        let past = less(thinned(self.past, full * LEAST), &heavy, full * APART);
        let faint = less(thinned(self.faint, full * LEAST), &heavy, full * LEAST);
        let faint = less(faint, &past, full * APART);
        for (edges, width, ink, dash) in [
            (faint, weight::HAIR, Ink::Faint, Dash::Solid),
            (past, weight::INNER, Ink::Past, Dash::Hidden),
            (heavy, weight::OUTLINE, Ink::Black, Dash::Solid),
        ] {
            for e in &edges {
                let (from, to) = if e.level {
                    ((view.x(e.from), view.y(e.at)), (view.x(e.to), view.y(e.at)))
                } else {
                    ((view.x(e.at), view.y(e.from)), (view.x(e.at), view.y(e.to)))
                };
                canvas.stroke(from, to, width, ink, dash);
            }
        }
    }
}

/// Tints what changes, the far ones first; what stands before it hides it, unless it is thin in this view.
fn fills(canvas: &mut Canvas, view: &View, all: &[Seen]) {
    let mut order: Vec<&Seen> = all.iter().collect();
    order.sort_by(|a, b| b.near.total_cmp(&a.near));
    let ends = || all.iter().map(|s| s.near);
    let middle = (ends().fold(f64::INFINITY, f64::min) + ends().fold(f64::NEG_INFINITY, f64::max)) / 2.0;
    let mut fill = |seen: &Seen, fill: Fill| {
        let a = view.area(seen);
        let points = vec![(a.x0, a.y0), (a.x1, a.y0), (a.x1, a.y1), (a.x0, a.y1)];
        canvas.drawn.push(Drawn::Shape(Shape { points, round: 0.0, fill, stroke: None }));
    };
    let edge_on = |seen: &Seen| {
        let area = view.area(seen);
        area.width().min(area.height()) < EDGE_ON
    };
    let any = |seen: &Seen| order.iter().any(|s| s.solid.own && s.near > seen.near);
    for seen in &order {
        if seen.solid.own && (edge_on(seen) || seen.near <= middle) {
            fill(seen, Fill::Tint);
        } else if any(seen) {
            fill(seen, Fill::White);
        }
    }
    for seen in order.iter().filter(|s| s.solid.own && edge_on(s)) {
        fill(seen, Fill::Tint);
    }
}

/// Lines without the stretches that lie within `least` of others.
fn less(lines: Vec<Edge>, others: &[Edge], least: f64) -> Vec<Edge> {
    let mut left = Vec::new();
    for line in lines {
        let near = others.iter().filter(|o| o.level == line.level && (o.at - line.at).abs() < least);
        let mut pieces = vec![(line.from, line.to)];
        for other in near {
            pieces = pieces
                .into_iter()
                .flat_map(|(a, b)| {
                    if other.to <= a || other.from >= b {
                        return vec![(a, b)];
                    }
                    vec![(a, other.from.min(b)), (other.to.max(a), b)]
                })
                .filter(|(a, b)| b - a > 1e-6)
                .collect();
        }
        // A speck reads as dirt.
        let speck = least.min(line.to - line.from) * 0.8;
        let long = pieces.into_iter().filter(|(a, b)| b - a > speck);
        left.extend(long.map(|(from, to)| Edge { from, to, ..line }));
    }
    left
}

//! Marks of parts: a pill inside the part where it fits, else in a free place with a leader.

use super::solid::{Seen, Solid, in_sight};
use super::view::View;
use crate::outputs::drawing::canvas::{Canvas, Line, length};
use crate::outputs::drawing::mark::{Dot, Leaders, Mark};
use crate::outputs::drawing::place;

/// A view with what is seen in it.
pub struct Scene<'v, 's, 'a> {
    pub view: &'v View,
    pub seen: &'v [Seen<'s, 'a>],
}

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
        let narrow = room.width().min(room.height());
        let spots = [0.5, 0.35, 0.65, 0.2, 0.8, 0.08, 0.92].into_iter().map(|t| {
            let at = if room.width() > room.height() {
                (room.x0 + room.width() * t, (room.y0 + room.y1) / 2.0)
            } else {
                ((room.x0 + room.x1) / 2.0, room.y0 + room.height() * t)
            };
            Dot { at, cost: (t - 0.5f64).abs() * 4.0, wide: narrow > 3.0 }
        });
        let dots: Vec<Dot> = spots.filter(|d| hidden || self.sees(seen, d.at)).collect();
        // A leader that runs along inside a thin part would look like an edge of it.
        leaders.lead(canvas, &dots, mark, |line: &Line| {
            let inside = room.clip(line).map_or(0.0, |(a, b)| (b - a) * line.length());
            if narrow < 6.0 { (inside - 2.5).max(0.0) * 4.0 } else { 0.0 }
        })
    }
}

//! What is seen of a wall from the room: edges in sight, and hidden ones of what no row holds.

use super::site::{Site, ends};
use crate::geometry::{Axis, Cuboid};
use crate::outputs::elevations::solid::Edge;

const SAME: f64 = 1e-6;
/// With more parts than this, boxes are drawn as their envelopes.
const MOST: usize = 1500;

/// A rectangle seen from the room.
#[derive(Clone, Copy, Debug)]
pub struct Flat {
    pub x: (f64, f64),
    pub y: (f64, f64),
    /// How far its face is from the reader, who stands at low z.
    pub near: f64,
    pub what: What,
}

/// What a rectangle is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum What {
    Obstacle,
    /// Of a box in a row.
    Row,
    /// Of a box that is placed by what it serves: its hidden edges are drawn too.
    Placed,
}

/// Everything at the wall as rectangles.
pub fn flats(site: &Site) -> Vec<Flat> {
    let flat = |place: &Cuboid, what| Flat {
        x: ends(place, Axis::X),
        y: ends(place, Axis::Y),
        near: ends(place, Axis::Z).0,
        what,
    };
    let mut all: Vec<Flat> = site.wall.obstacles.iter().map(|o| flat(&o.place, What::Obstacle)).collect();
    if site.parts.len() > MOST {
        let what = |row: bool| if row { What::Row } else { What::Placed };
        all.extend(site.boxes.iter().map(|b| flat(&b.place, what(b.row.is_some()))));
    } else {
        let what = |placed: bool| if placed { What::Placed } else { What::Row };
        all.extend(site.parts.iter().map(|p| flat(&p.place, what(site.is_placed(p)))));
    }
    all
}

impl Flat {
    fn covers(&self, other: &Flat) -> bool {
        self.near < other.near - SAME
    }

    fn sides(&self) -> [(bool, f64, (f64, f64)); 4] {
        [
            (true, self.y.0, self.x),
            (true, self.y.1, self.x),
            (false, self.x.0, self.y),
            (false, self.x.1, self.y),
        ]
    }
}

/// The edges of all of them, cut where something nearer begins or ends; `own` marks those placed.
pub fn edges(all: &[Flat]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for flat in all {
        for (level, at, (from, to)) in flat.sides() {
            let over: Vec<&Flat> = all
                .iter()
                .filter(|o| o.covers(flat))
                .filter(|o| {
                    let (lo, hi) = if level { o.y } else { o.x };
                    at > lo - SAME && at < hi + SAME
                })
                .collect();
            let run = |o: &Flat| if level { o.x } else { o.y };
            let mut stops = vec![from, to];
            stops.extend(over.iter().flat_map(|o| [run(o).0, run(o).1]).filter(|t| *t > from && *t < to));
            stops.sort_by(f64::total_cmp);
            for (a, b) in stops.iter().zip(stops.iter().skip(1)).filter(|(a, b)| *b - *a > SAME) {
                let middle = (a + b) / 2.0;
                let hidden = over.iter().any(|o| middle > run(o).0 && middle < run(o).1);
                if hidden && flat.what != What::Placed {
                    continue;
                }
                edges.push(Edge {
                    level,
                    at,
                    from: *a,
                    to: *b,
                    hidden,
                    near: flat.near,
                    own: flat.what != What::Obstacle,
                    cut: false,
                });
            }
        }
    }
    edges
}

/// True where nothing nearer lies over a point of a rectangle.
pub fn in_sight(all: &[Flat], near: f64, (x, y): (f64, f64)) -> bool {
    !all.iter().any(|o| o.near < near - SAME && x > o.x.0 && x < o.x.1 && y > o.y.0 && y < o.y.1)
}

//! The parts of a box as solids, seen along one axis: which edges are in sight, which are hidden,
//! what a section cuts.

use crate::geometry::{Axis, Cuboid};
use crate::job::{Bevel, BoxEntry, Job, Part};
use crate::outputs::drawing::float;

/// Lengths in mm nearer than this are the same.
pub const SAME: f64 = 1e-6;

/// A part as a box of floats from the low corner of the box that is shown.
#[derive(Clone, Debug)]
pub struct Solid<'a> {
    pub part: &'a Part,
    /// Low and high ends on x, y and z, in mm.
    pub ends: [(f64, f64); 3],
    /// False for a part of a box that stands in the one shown.
    pub own: bool,
}

fn index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
        Axis::Z => 2,
    }
}

impl Solid<'_> {
    pub fn on(&self, axis: Axis) -> (f64, f64) {
        self.ends.get(index(axis)).copied().unwrap_or((0.0, 0.0))
    }

    pub fn thin(&self) -> Axis {
        self.part.axes[2]
    }
}

/// Ends of a cuboid from the low corner of another.
pub fn ends(cuboid: &Cuboid, corner: &Cuboid) -> [(f64, f64); 3] {
    [Axis::X, Axis::Y, Axis::Z].map(|a| {
        let low = float(corner.on(a).lo);
        (float(cuboid.on(a).lo) - low, float(cuboid.on(a).hi) - low)
    })
}

/// The parts of a box and of the boxes in it.
pub fn of<'a>(job: &'a Job, entry: &BoxEntry) -> Vec<Solid<'a>> {
    let within = format!("{}.", entry.path);
    job.parts
        .iter()
        .filter(|p| p.box_path == entry.path || p.box_path.starts_with(&within))
        .map(|part| Solid { part, ends: ends(&part.place, &entry.place), own: part.box_path == entry.path })
        .collect()
}

/// A way to look at the box.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Across the paper, up the paper, and away from the reader.
    pub across: Axis,
    pub up: Axis,
    pub away: Axis,
    /// True where the high end of `away` is the nearer one.
    pub from_high: bool,
    /// Where a section cuts, along `away`; nearer solids are taken off.
    pub cut: Option<f64>,
}

/// A solid as a rectangle in a view.
#[derive(Clone, Debug)]
pub struct Seen<'s, 'a> {
    pub solid: &'s Solid<'a>,
    pub x: (f64, f64),
    pub y: (f64, f64),
    /// How far the near face is; the section plane is at minus infinity.
    pub near: f64,
    pub cut: bool,
    /// Corners that a bevel takes off a cut part: which ends of x and y, and how far along each.
    bevels: Vec<((bool, bool), (f64, f64))>,
}

impl Look {
    /// What is seen of some solids.
    pub fn see<'s, 'a>(&self, solids: &'s [Solid<'a>]) -> Vec<Seen<'s, 'a>> {
        let one = |solid: &'s Solid<'a>| {
            let (lo, hi) = solid.on(self.away);
            let (mut near, far) = if self.from_high { (-hi, -lo) } else { (lo, hi) };
            let mut cut = false;
            if let Some(plane) = self.cut {
                let plane = if self.from_high { -plane } else { plane };
                if far <= plane + SAME {
                    return None;
                }
                cut = near < plane - SAME;
                if cut {
                    near = f64::NEG_INFINITY;
                }
            }
            let bevels = if cut { self.bevels(solid) } else { Vec::new() };
            Some(Seen { solid, x: solid.on(self.across), y: solid.on(self.up), near, cut, bevels })
        };
        solids.iter().filter_map(one).collect()
    }
}

impl Look {
    /// The bevels of a part that show in a section across them.
    fn bevels(&self, solid: &Solid) -> Vec<((bool, bool), (f64, f64))> {
        let corner = |b: &Bevel| {
            let (rise, run) = (float(b.rise.0), float(b.run.0));
            let short = b.long_side.opposite();
            match (b.face.axis(), short.axis()) {
                (x, y) if x == self.across && y == self.up => {
                    Some(((b.face.is_high(), short.is_high()), (rise, run)))
                }
                (y, x) if x == self.across && y == self.up => {
                    Some(((short.is_high(), b.face.is_high()), (run, rise)))
                }
                _ => None,
            }
        };
        solid.part.bevels.iter().filter_map(corner).collect()
    }
}

/// An edge in a view, in mm; level edges run along x.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    pub level: bool,
    /// Its place across its run.
    pub at: f64,
    pub from: f64,
    pub to: f64,
    pub hidden: bool,
    pub near: f64,
    /// Of a part of the box itself.
    pub own: bool,
    pub cut: bool,
}

impl Seen<'_, '_> {
    /// True where this one hides what lies behind it.
    fn covers(&self, other: &Seen) -> bool {
        if std::ptr::eq(self.solid, other.solid) {
            return false;
        }
        // A part let into another is seen where the other gives way.
        let gives_way = |a: &Seen, b: &Seen| {
            b.solid.part.cuts.iter().any(|c| c.by.as_deref() == Some(a.solid.part.path.as_str()))
        };
        if gives_way(self, other) && self.near <= other.near + SAME {
            return true;
        }
        self.near < other.near - SAME
    }

    pub fn bevelled(&self) -> bool {
        !self.bevels.is_empty()
    }

    /// Its rectangle less what bevels take off.
    pub fn outline(&self) -> Vec<(f64, f64)> {
        let corners = [(false, false), (true, false), (true, true), (false, true)];
        let mut points = Vec::new();
        for (x_high, y_high) in corners {
            let x = if x_high { self.x.1 } else { self.x.0 };
            let y = if y_high { self.y.1 } else { self.y.0 };
            match self.bevels.iter().find(|(at, _)| *at == (x_high, y_high)) {
                None => points.push((x, y)),
                Some((_, (dx, dy))) => {
                    let along_x = (if x_high { x - dx } else { x + dx }, y);
                    let along_y = (x, if y_high { y - dy } else { y + dy });
                    // Round the rectangle one way.
                    let x_first = x_high == y_high;
                    points.extend(if x_first { [along_y, along_x] } else { [along_x, along_y] });
                }
            }
        }
        points
    }

    /// True where a point lies inside its rectangle.
    pub fn holds(&self, x: f64, y: f64) -> bool {
        x > self.x.0 + SAME && x < self.x.1 - SAME && y > self.y.0 + SAME && y < self.y.1 - SAME
    }
}

/// True where a point of one solid is in sight.
pub fn in_sight(all: &[Seen], of: &Seen, x: f64, y: f64) -> bool {
    !all.iter().any(|s| s.covers(of) && s.holds(x, y))
}

/// Every edge, cut into stretches that are wholly in sight or wholly hidden.
pub fn edges(all: &[Seen]) -> Vec<Edge> {
    let mut edges = Vec::new();
    // A bevelled part that is cut has an outline of its own.
    for seen in all.iter().filter(|s| !s.bevelled()) {
        let sides = [
            (true, seen.y.0, seen.x),
            (true, seen.y.1, seen.x),
            (false, seen.x.0, seen.y),
            (false, seen.x.1, seen.y),
        ];
        for (level, at, (from, to)) in sides {
            let over: Vec<&Seen> = all
                .iter()
                .filter(|s| s.covers(seen))
                .filter(|s| {
                    let (lo, hi) = if level { s.y } else { s.x };
                    at > lo - SAME && at < hi + SAME
                })
                .collect();
            let run = |s: &Seen| if level { s.x } else { s.y };
            let mut stops = vec![from, to];
            stops.extend(over.iter().flat_map(|s| [run(s).0, run(s).1]).filter(|t| *t > from && *t < to));
            stops.sort_by(f64::total_cmp);
            for (a, b) in stops.iter().zip(stops.iter().skip(1)) {
                if b - a < SAME {
                    continue;
                }
                let middle = (a + b) / 2.0;
                let hidden = over.iter().any(|s| middle > run(s).0 && middle < run(s).1);
                edges.push(Edge {
                    level,
                    at,
                    from: *a,
                    to: *b,
                    hidden,
                    near: seen.near,
                    own: seen.solid.own,
                    cut: seen.cut,
                });
            }
        }
    }
    edges
}

/// Edges on paper without those that lie within `least` of a nearer one (rule: two lines that close
/// would print as one thick line). Cut edges first, then those in sight from near to far, then hidden.
pub fn thinned(mut edges: Vec<Edge>, least: f64) -> Vec<Edge> {
    edges.sort_by(|a, b| {
        (a.hidden, !a.cut)
            .cmp(&(b.hidden, !b.cut))
            .then(a.near.total_cmp(&b.near))
            .then((b.to - b.from).total_cmp(&(a.to - a.from)))
            .then(a.at.total_cmp(&b.at))
            .then(a.from.total_cmp(&b.from))
            .then(a.level.cmp(&b.level))
    });
    let mut kept: Vec<Edge> = Vec::new();
    for edge in edges {
        let mut pieces = vec![(edge.from, edge.to)];
        for other in kept.iter().filter(|k| k.level == edge.level && (k.at - edge.at).abs() < least) {
            pieces = pieces.into_iter().flat_map(|p| without(p, (other.from, other.to))).collect();
        }
        // What is left of an edge must be long enough to read as a line.
        let fresh = pieces.iter().filter(|(a, b)| b - a > least.min(edge.to - edge.from) * 0.8);
        kept.extend(fresh.map(|(from, to)| Edge { from: *from, to: *to, ..edge }));
    }
    kept
}

/// A stretch less another.
fn without((a, b): (f64, f64), (lo, hi): (f64, f64)) -> Vec<(f64, f64)> {
    let mut rest = Vec::new();
    if lo > a + SAME {
        rest.push((a, b.min(lo)));
    }
    if hi < b - SAME {
        rest.push((a.max(hi), b));
    }
    if hi <= a + SAME || lo >= b - SAME {
        return vec![(a, b)];
    }
    rest
}

//! True isometric: convex bodies in space, their silhouettes on paper, and what hides what.

use super::super::drawing::float;
use crate::geometry::Axis;
use crate::job::{Bevel, Part};

/// A point or step in space, x, y and z in mm.
pub type Point = [f64; 3];

/// Half the square root of three, written out: the last bits of functions differ between platforms.
const COS: f64 = 0.866_025_403_784_438_6;
const SIN: f64 = 0.5;
/// Towards the reader, who stands before the front, at the right and above.
pub const EYE: Point = [1.0, 1.0, -1.0];
/// Lengths in mm nearer than this are the same.
const SAME: f64 = 1e-6;
/// Bodies are thought smaller by this, so that what touches does not hide.
const SHRUNK: f64 = 0.02;

/// Where a point lies on paper at full size; y runs down.
pub fn project(p: Point) -> (f64, f64) {
    ((p[0] + p[2]) * COS, (p[0] - p[2]) * SIN - p[1])
}

/// The sum of two points or steps.
pub fn plus(a: Point, b: Point) -> Point {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

fn minus(a: Point, b: Point) -> Point {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn dot(a: Point, b: Point) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The point at a fraction of the way from one to another.
pub fn between(a: Point, b: Point, t: f64) -> Point {
    [a[0] + (b[0] - a[0]) * t, a[1] + (b[1] - a[1]) * t, a[2] + (b[2] - a[2]) * t]
}

/// Where an axis stands in a point.
pub fn index(axis: Axis) -> usize {
    match axis {
        Axis::X => 0,
        Axis::Y => 1,
        Axis::Z => 2,
    }
}

/// A point with one coordinate changed.
pub fn with(mut p: Point, axis: Axis, value: f64) -> Point {
    match axis {
        Axis::X => p[0] = value,
        Axis::Y => p[1] = value,
        Axis::Z => p[2] = value,
    }
    p
}

/// One coordinate of a point.
pub fn on(p: Point, axis: Axis) -> f64 {
    match axis {
        Axis::X => p[0],
        Axis::Y => p[1],
        Axis::Z => p[2],
    }
}

/// Low and high ends on x, y and z.
pub type Ends = [(f64, f64); 3];

/// The ends on one axis.
pub fn ends_on(ends: &Ends, axis: Axis) -> (f64, f64) {
    match axis {
        Axis::X => ends[0],
        Axis::Y => ends[1],
        Axis::Z => ends[2],
    }
}

/// A half-space: the points whose product with the normal is at most `most`.
#[derive(Clone, Copy, Debug)]
struct Plane {
    normal: Point,
    most: f64,
}

/// A face of a body: its corners in turn, and whether it looks at the reader.
#[derive(Clone, Debug)]
pub struct Side {
    pub corners: Vec<Point>,
    pub normal: Point,
    pub seen: bool,
}

/// A part as a convex body: a cuboid less its bevels.
#[derive(Clone, Debug)]
pub struct Body {
    pub ends: Ends,
    planes: Vec<Plane>,
    reach: Reach,
}

/// Reach of a silhouette across its three directions of edges: it is a hexagon, and two of them overlap
/// where all three reaches do.
type Reach = [(f64, f64); 3];

fn reach(ends: &Ends) -> Reach {
    let [x, y, z] = ends;
    [(x.0 + z.0, x.1 + z.1), (y.0 + z.0, y.1 + z.1), (x.0 - y.1, x.1 - y.0)]
}

impl Body {
    pub fn new(ends: Ends) -> Body {
        let mut planes = Vec::new();
        for (axis, (lo, hi)) in Axis::ALL.into_iter().zip(ends) {
            planes.push(Plane { normal: with([0.0; 3], axis, -1.0), most: -lo });
            planes.push(Plane { normal: with([0.0; 3], axis, 1.0), most: hi });
        }
        Body { ends, planes, reach: reach(&ends) }
    }

    /// The body of a part whose place is given.
    pub fn of(part: &Part, ends: Ends) -> Body {
        let mut body = Body::new(ends);
        let planes: Vec<Plane> = part.bevels.iter().filter_map(|b| body.bevel(b)).collect();
        body.planes.extend(planes);
        body
    }

    fn bevel(&self, bevel: &Bevel) -> Option<Plane> {
        let (rise, run) = (float(bevel.rise.0), float(bevel.run.0));
        let short = bevel.long_side.opposite();
        if rise <= SAME || run <= SAME || bevel.face.axis() == short.axis() {
            return None;
        }
        let sign = |high: bool| if high { 1.0 } else { -1.0 };
        let end = |axis: Axis, high: bool| {
            let (lo, hi) = ends_on(&self.ends, axis);
            if high { hi } else { -lo }
        };
        let (a, b) = (bevel.face, short);
        let normal = with([0.0; 3], a.axis(), sign(a.is_high()) / rise);
        let normal = with(normal, b.axis(), sign(b.is_high()) / run);
        // Inwards distances u and v from the edge taken off: u / rise + v / run is at least one.
        let most = end(a.axis(), a.is_high()) / rise + end(b.axis(), b.is_high()) / run - 1.0;
        let scale = dot(normal, normal).sqrt();
        Some(Plane { normal: normal.map(|v| v / scale), most: most / scale })
    }

    /// Moved by a step.
    pub fn moved(&self, by: Point) -> Body {
        let planes = self
            .planes
            .iter()
            .map(|p| Plane { normal: p.normal, most: p.most + dot(p.normal, by) })
            .collect();
        let [x, y, z] = self.ends;
        let shift = |(lo, hi): (f64, f64), d: f64| (lo + d, hi + d);
        let ends = [shift(x, by[0]), shift(y, by[1]), shift(z, by[2])];
        Body { ends, planes, reach: reach(&ends) }
    }

    /// Its faces, each a convex polygon.
    pub fn sides(&self) -> Vec<Side> {
        let mut sides = Vec::new();
        for (n, plane) in self.planes.iter().enumerate() {
            let mut corners = self.large(plane);
            for (m, other) in self.planes.iter().enumerate() {
                if m != n {
                    corners = cut(&corners, other);
                }
            }
            if corners.len() > 2 {
                let seen = dot(plane.normal, EYE) > SAME;
                sides.push(Side { corners, normal: plane.normal, seen });
            }
        }
        sides
    }

    /// A square on a plane, larger than the body.
    fn large(&self, plane: &Plane) -> Vec<Point> {
        let reach = self.ends.iter().map(|(lo, hi)| hi - lo).sum::<f64>() * 2.0 + 1.0;
        let middle = self.ends.map(|(lo, hi)| (lo + hi) / 2.0);
        let off = plane.most - dot(plane.normal, middle);
        let centre = plus(middle, plane.normal.map(|v| v * off));
        let across = if plane.normal[0].abs() < 0.9 { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] };
        let u = cross(plane.normal, across);
        let length = dot(u, u).sqrt();
        let u = u.map(|v| v / length * reach);
        let v = cross(plane.normal, u);
        [(1.0, 1.0), (-1.0, 1.0), (-1.0, -1.0), (1.0, -1.0)]
            .map(|(a, b)| plus(centre, plus(u.map(|t| t * a), v.map(|t| t * b))))
            .to_vec()
    }

    /// The stretch of a line in space that this body hides from the reader, as fractions of its length.
    pub fn hides(&self, from: Point, to: Point) -> Option<(f64, f64)> {
        let (a, b) = (flat_reach(from), flat_reach(to));
        let beside = |((own, a), b): ((&(f64, f64), f64), f64)| a.max(b) <= own.0 || a.min(b) >= own.1;
        if self.reach.iter().zip(a).zip(b).any(beside) {
            return None;
        }
        let run = minus(to, from);
        // Points (t, s): along the line, and from it towards the reader.
        let far =
            self.ends.iter().zip(from).map(|((lo, hi), p)| (lo - p).abs() + (hi - p).abs()).sum::<f64>()
                + run.iter().map(|v| v.abs()).sum::<f64>();
        let mut field = vec![(0.0, SHRUNK), (1.0, SHRUNK), (1.0, far), (0.0, far)];
        for plane in &self.planes {
            let (along, out) = (dot(plane.normal, run), dot(plane.normal, EYE));
            let room = plane.most - SHRUNK - dot(plane.normal, from);
            field = cut_flat(&field, along, out, room);
            if field.is_empty() {
                return None;
            }
        }
        let lo = field.iter().map(|p| p.0).fold(f64::MAX, f64::min);
        let hi = field.iter().map(|p| p.0).fold(f64::MIN, f64::max);
        (hi > lo).then_some((lo, hi))
    }

    /// True where this body hides a point from the reader.
    pub fn covers(&self, p: Point) -> bool {
        if self.reach.iter().zip(flat_reach(p)).any(|(own, at)| at <= own.0 || at >= own.1) {
            return false;
        }
        let (mut lo, mut hi) = (SHRUNK, f64::MAX);
        for plane in &self.planes {
            let out = dot(plane.normal, EYE);
            let room = plane.most - SHRUNK - dot(plane.normal, p);
            if out.abs() < SAME {
                if room < 0.0 {
                    return false;
                }
            } else if out > 0.0 {
                hi = hi.min(room / out);
            } else {
                lo = lo.max(room / out);
            }
        }
        lo < hi
    }

    /// True where its silhouette and another's overlap.
    pub fn overlaps(&self, other: &Body) -> bool {
        self.reach.iter().zip(other.reach).all(|(p, q)| p.0 < q.1 - SAME && q.0 < p.1 - SAME)
    }

    /// Its corners on paper.
    pub fn corners(&self) -> Vec<(f64, f64)> {
        let [x, y, z] = self.ends;
        let mut all = Vec::new();
        for px in [x.0, x.1] {
            for py in [y.0, y.1] {
                all.extend([z.0, z.1].map(|pz| project([px, py, pz])));
            }
        }
        all
    }

    /// True where it must be drawn before another: it lies behind along the axis that parts them best.
    pub fn behind(&self, other: &Body) -> bool {
        let nearer = [
            (self.ends[0], other.ends[0]),
            (self.ends[1], other.ends[1]),
            (flip(self.ends[2]), flip(other.ends[2])),
        ];
        let mut best = (f64::MIN, false);
        for (own, of) in nearer {
            for (gap, behind) in [(of.0 - own.1, true), (own.0 - of.1, false)] {
                if gap > best.0 {
                    best = (gap, behind);
                }
            }
        }
        best.1
    }
}

/// Where a point lies across the three directions of edges.
fn flat_reach(p: Point) -> [f64; 3] {
    [p[0] + p[2], p[1] + p[2], p[0] - p[1]]
}

fn flip((lo, hi): (f64, f64)) -> (f64, f64) {
    (-hi, -lo)
}

fn cross(a: Point, b: Point) -> Point {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// What is left of a polygon within a half-space.
fn cut(corners: &[Point], plane: &Plane) -> Vec<Point> {
    let mut left = Vec::new();
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let (da, db) = (dot(plane.normal, *a) - plane.most, dot(plane.normal, *b) - plane.most);
        if da <= SAME {
            left.push(*a);
        }
        if (da > SAME && db < -SAME) || (da < -SAME && db > SAME) {
            left.push(between(*a, *b, da / (da - db)));
        }
    }
    left
}

/// The same for points (t, s): what is left where along × t + out × s is at most `room`.
fn cut_flat(corners: &[(f64, f64)], along: f64, out: f64, room: f64) -> Vec<(f64, f64)> {
    let over = |p: &(f64, f64)| along * p.0 + out * p.1 - room;
    let mut left = Vec::new();
    for (a, b) in corners.iter().zip(corners.iter().cycle().skip(1)) {
        let (da, db) = (over(a), over(b));
        if da <= 0.0 {
            left.push(*a);
        }
        if (da > 0.0) != (db > 0.0) {
            let t = da / (da - db);
            left.push((a.0 + (b.0 - a.0) * t, a.1 + (b.1 - a.1) * t));
        }
    }
    left
}

/// The stretches of a line that nothing hides, as fractions of its length.
pub fn visible<'b>(from: Point, to: Point, bodies: impl Iterator<Item = &'b Body>) -> Vec<(f64, f64)> {
    let mut hidden: Vec<(f64, f64)> = bodies.filter_map(|b| b.hides(from, to)).collect();
    hidden.sort_by(|a, b| a.0.total_cmp(&b.0));
    hidden.push((1.0, 1.0));
    let mut seen = Vec::new();
    let mut start = 0.0f64;
    for (lo, hi) in hidden {
        if lo - start > 1e-4 {
            seen.push((start, lo));
        }
        start = start.max(hi);
    }
    seen
}

#[cfg(test)]
mod tests {
    use super::*;

    fn block(x: (f64, f64), y: (f64, f64), z: (f64, f64)) -> Body {
        Body::new([x, y, z])
    }

    #[test]
    fn lengths_along_the_three_directions_are_equal_on_paper() {
        let origin = project([0.0; 3]);
        for axis in Axis::ALL {
            let (x, y) = project(with([0.0; 3], axis, 100.0));
            let length = ((x - origin.0).powi(2) + (y - origin.1).powi(2)).sqrt();
            assert!((length - 100.0).abs() < 1e-9, "{axis:?} is {length} long");
        }
        assert!(project([10.0, 0.0, 0.0]).0 > 0.0, "right is right");
        assert!(project([0.0, 10.0, 0.0]).1 < 0.0, "up is up");
        assert!(project([0.0, 0.0, 10.0]).1 < 0.0, "what lies behind stands higher");
    }

    #[test]
    fn the_nearer_body_hides_the_line_behind_it() {
        let wall = block((0.0, 100.0), (0.0, 100.0), (-20.0, 0.0));
        // A line behind, from well left of it to well right, in its middle as the reader sees it.
        let (a, b) = ([-500.0, -50.0, 100.0], [500.0, -50.0, 100.0]);
        let (lo, hi) = wall.hides(a, b).expect("it hides a stretch");
        assert!(lo > 0.0 && hi < 1.0);
        assert!(wall.hides([-500.0, 50.0, -100.0], [500.0, 50.0, -100.0]).is_none(), "in front of it");
        assert!(wall.covers([20.0, -10.0, 60.0]) && !wall.covers([50.0, 10.0, -60.0]));
    }

    #[test]
    fn a_body_has_six_faces_and_the_reader_sees_three() {
        let sides = block((0.0, 10.0), (0.0, 20.0), (0.0, 30.0)).sides();
        assert_eq!(sides.len(), 6);
        let seen: Vec<Point> = sides.iter().filter(|s| s.seen).map(|s| s.normal).collect();
        assert_eq!(seen, [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, -1.0]], "right, top and front");
    }

    #[test]
    fn what_lies_behind_is_drawn_first() {
        let near = block((0.0, 10.0), (0.0, 10.0), (0.0, 10.0));
        assert!(near.moved([0.0, 0.0, 50.0]).behind(&near));
        assert!(near.moved([-50.0, 0.0, 0.0]).behind(&near));
        assert!(near.moved([0.0, -50.0, 0.0]).behind(&near));
        assert!(!near.moved([0.0, 50.0, 0.0]).behind(&near));
    }
}

//! Drawing a box taken apart at a scale: faces, edges, what is worked on the faces in sight, chain lines.

use super::homeward;
use super::iso::{Body, Point, between, ends_on, on, plus, project, visible, with};
use super::units::{Piece, Unit};
use crate::geometry::{Axis, Face, Shape as CutShape};
use crate::job::{Bored, Cut, Hole, Part};
use crate::outputs::drawing::canvas::{Canvas, Dash, Drawn, Fill, Ink, Line, Shape, length, weight};
use crate::outputs::drawing::float;
use crate::outputs::drawing::paper::Scale;
use crate::outputs::drawing::symbol::{Making, Shape as SymbolShape, Symbol};
use crate::outputs::holes::entry::from_low;
use std::collections::BTreeSet;

/// Thinner than this on paper a part is one heavy line, in mm.
const THIN: f64 = 0.45;
/// The narrowest groove on paper.
const GROOVE: f64 = 0.7;
/// Lengths that are seen of a line shorter than this are left out.
const STUB: f64 = 0.5;
/// A hole smaller than this on paper is a dot, in radii.
const DOT: f64 = 0.7;

/// Faces that look at the reader.
const SEEN: [Face; 3] = [Face::Right, Face::Top, Face::Front];

/// Units on paper.
pub struct Picture<'u, 'a> {
    pub units: &'u [Unit<'a>],
    /// The pieces of each unit, where they are drawn.
    pub bodies: &'u [Vec<Body>],
    pub scale: Scale,
}

impl Picture<'_, '_> {
    pub fn paper(&self, p: Point) -> (f64, f64) {
        let (x, y) = project(p);
        (self.scale.paper(x), self.scale.paper(y))
    }

    fn all(&self) -> impl Iterator<Item = (usize, usize, &Piece<'_>, &Body)> {
        self.units.iter().zip(self.bodies).enumerate().flat_map(|(n, (unit, bodies))| {
            unit.pieces.iter().zip(bodies).enumerate().map(move |(m, (piece, body))| (n, m, piece, body))
        })
    }

    /// Every body but one.
    fn others(&self, unit: usize, piece: usize) -> impl Iterator<Item = &Body> {
        self.all().filter(move |(n, m, _, _)| (*n, *m) != (unit, piece)).map(|(_, _, _, b)| b)
    }

    /// Draws everything but marks.
    pub fn draw(&self, canvas: &mut Canvas, fixes: &[(usize, usize)]) {
        self.faces(canvas);
        let mut drawn = BTreeSet::new();
        for (n, m, piece, body) in self.all() {
            self.edges(canvas, (n, m), piece, body, &mut drawn);
            for cut in &piece.part.cuts {
                self.cut(canvas, (n, m), piece.part, body, cut);
            }
        }
        let mut home: Vec<Line> = Vec::new();
        for path in homeward::paths(self.units, fixes, self.bodies) {
            let ends = || path.iter().zip(path.iter().skip(1));
            let lines: Vec<Line> = ends().map(|(a, b)| self.flat(*a, *b)).collect();
            // Two lines that close would print as one thick one.
            if lines.iter().any(|l| home.iter().any(|h| beside(l, h))) {
                continue;
            }
            home.extend(lines);
            for (from, to) in ends() {
                self.stroke(canvas, (*from, *to), self.bodies.iter().flatten(), |canvas, a, b| {
                    canvas.stroke(a, b, weight::HAIR, Ink::Black, Dash::Centre);
                });
            }
        }
        // Smaller still the holes would be a grey cloud.
        if self.scale.0 <= 20 {
            for (n, m, piece, body) in self.all() {
                for hole in &piece.part.holes {
                    self.hole(canvas, (n, m), piece.part, body, hole);
                }
            }
        }
    }

    fn flat(&self, from: Point, to: Point) -> Line {
        let ((x1, y1), (x2, y2)) = (self.paper(from), self.paper(to));
        Line { x1, y1, x2, y2, width: weight::HAIR, ink: Ink::Black, dash: Dash::Centre }
    }

    /// Draws what is seen of a line in space.
    fn stroke<'b>(
        &self,
        canvas: &mut Canvas,
        (from, to): (Point, Point),
        bodies: impl Iterator<Item = &'b Body>,
        draw: impl Fn(&mut Canvas, (f64, f64), (f64, f64)),
    ) {
        for (lo, hi) in visible(from, to, bodies) {
            let (a, b) = (self.paper(between(from, to, lo)), self.paper(between(from, to, hi)));
            if length(a.0 - b.0, a.1 - b.1) > STUB {
                draw(canvas, a, b);
            }
        }
    }

    /// Fills the faces from far to near, those that look to the right in a light grey.
    fn faces(&self, canvas: &mut Canvas) {
        let all: Vec<&Body> = self.bodies.iter().flatten().collect();
        // How many must still be drawn before each: those that lie behind it.
        let before = |n: usize, m: usize| match (all.get(n), all.get(m)) {
            (Some(a), Some(b)) => n != m && a.overlaps(b) && a.behind(b),
            _ => false,
        };
        let mut waits: Vec<usize> =
            (0..all.len()).map(|n| (0..all.len()).filter(|m| before(*m, n)).count()).collect();
        let mut left: Vec<usize> = (0..all.len()).collect();
        while !left.is_empty() {
            // Where they lie in a ring, any will do.
            let next = left.iter().position(|n| waits.get(*n) == Some(&0)).unwrap_or(0);
            let n = left.remove(next);
            for m in &left {
                if before(n, *m)
                    && let Some(wait) = waits.get_mut(*m)
                {
                    *wait = wait.saturating_sub(1);
                }
            }
            let Some(body) = all.get(n) else { break };
            for side in body.sides().iter().filter(|s| s.seen) {
                let points = side.corners.iter().map(|p| self.paper(*p)).collect();
                let fill = if side.normal[0] > 0.5 { Fill::Shade } else { Fill::White };
                canvas.drawn.push(Drawn::Shape(Shape { points, round: 0.0, fill, stroke: None }));
            }
        }
    }

    fn edges(
        &self,
        canvas: &mut Canvas,
        at: (usize, usize),
        piece: &Piece,
        body: &Body,
        drawn: &mut BTreeSet<[i64; 4]>,
    ) {
        let part = piece.part;
        let (lo, hi) = ends_on(&body.ends, part.axes[2]);
        let thick = self.scale.paper(hi - lo) * 0.866;
        let thin = thick < THIN;
        let sides = body.sides();
        let wide = |normal: Point| on(normal, part.axes[2]).abs() > 0.9;
        // Each edge once, with how many of its two faces are seen.
        let mut edges: Vec<(Point, Point, usize, bool)> = Vec::new();
        for side in sides.iter().filter(|s| s.seen) {
            for (a, b) in side.corners.iter().zip(side.corners.iter().cycle().skip(1)) {
                let same = |p: &Point, q: &Point| p.iter().zip(q).all(|(u, v)| (u - v).abs() < 1e-3);
                let known = edges
                    .iter_mut()
                    .find(|(p, q, _, _)| (same(p, b) && same(q, a)) || (same(p, a) && same(q, b)));
                match known {
                    Some(edge) => {
                        edge.2 += 1;
                        edge.3 |= wide(side.normal);
                    }
                    None => edges.push((*a, *b, 1, wide(side.normal))),
                }
            }
        }
        for (from, to, seen, of_wide) in edges {
            if thin && !of_wide {
                continue;
            }
            // Small drawings want lighter lines.
            let outline = if self.scale.0 < 20 { weight::OUTLINE } else { weight::DATUM };
            let width = match (seen > 1, thin) {
                (true, true) => outline + thick,
                (true, false) => weight::INNER,
                (false, _) => outline,
            };
            let (a, b) = (self.paper(from), self.paper(to));
            let key = |v: f64| (v * 100.0).round() as i64;
            let mut ends = [(key(a.0), key(a.1)), (key(b.0), key(b.1))];
            ends.sort_unstable();
            if !drawn.insert([ends[0].0, ends[0].1, ends[1].0, ends[1].1]) {
                continue;
            }
            self.stroke(canvas, (from, to), self.others(at.0, at.1), |canvas, a, b| canvas.line(a, b, width));
        }
    }

    /// A cut on a face in sight: a bar for what runs along it, an outline for what goes through.
    fn cut(&self, canvas: &mut Canvas, at: (usize, usize), part: &Part, body: &Body, cut: &Cut) {
        let through = matches!(cut.shape, CutShape::Notch | CutShape::Slot);
        let face = if through && part.is_wide(cut.face) {
            Face::of(cut.face.axis(), cut.face.axis() != Axis::Z)
        } else {
            cut.face
        };
        if !SEEN.contains(&face) {
            return;
        }
        // From the corner of its box to where the part is drawn.
        let place = |axis: Axis| {
            let (own, of) = (cut.cuboid.on(axis), part.own.on(axis));
            let start = ends_on(&body.ends, axis).0 - float(of.lo);
            (float(own.lo) + start, float(own.hi) + start)
        };
        let (lo, hi) = ends_on(&body.ends, face.axis());
        let level = if face.is_high() { hi } else { lo };
        let flat = with([0.0; 3], face.axis(), level);
        let [a, b] = face.axis().others();
        if through {
            let corners = [(0, 0), (1, 0), (1, 1), (0, 1)].map(|(i, j)| {
                let end = |axis: Axis, high: i32| if high > 0 { place(axis).1 } else { place(axis).0 };
                with(with(flat, a, end(a, i)), b, end(b, j))
            });
            for (from, to) in corners.iter().zip(corners.iter().cycle().skip(1)) {
                self.stroke(canvas, (*from, *to), self.others(at.0, at.1), |canvas, p, q| {
                    canvas.stroke(p, q, weight::DATUM, Ink::Accent, Dash::Solid);
                });
            }
            return;
        }
        let along = if cut.runs == face.axis() { a } else { cut.runs };
        let across = if along == a { b } else { a };
        let (from, to) = place(across);
        let width = (self.scale.paper(to - from) * 0.866).max(GROOVE);
        // The ends of a line are square and as wide as half the line.
        let back = width / 2.0 * f64::from(self.scale.0);
        let (start, end) = place(along);
        if end - start <= 2.0 * back {
            return;
        }
        let middle = with(flat, across, (from + to) / 2.0);
        let ends = (with(middle, along, start + back), with(middle, along, end - back));
        self.stroke(canvas, ends, self.others(at.0, at.1), |canvas, p, q| {
            canvas.stroke(p, q, width, Ink::Accent, Dash::Solid);
        });
    }

    /// A bench hole on a face in sight.
    fn hole(&self, canvas: &mut Canvas, at: (usize, usize), part: &Part, body: &Body, hole: &Hole) {
        let face = if hole.through && !SEEN.contains(&hole.face) { hole.face.opposite() } else { hole.face };
        if hole.bored != Bored::Bench || !SEEN.contains(&face) {
            return;
        }
        let (lo, hi) = ends_on(&body.ends, face.axis());
        let mut middle = with([0.0; 3], face.axis(), if face.is_high() { hi } else { lo });
        for (axis, mm) in from_low(part, hole) {
            middle = with(middle, axis, ends_on(&body.ends, axis).0 + float(mm));
        }
        if self.others(at.0, at.1).any(|b| b.covers(middle)) {
            return;
        }
        let (x, y) = self.paper(middle);
        let radius = float(hole.dia.0) / 2.0;
        if self.scale.paper(radius) < DOT {
            let (shape, making) = (SymbolShape::Dot, Making::Bench);
            let radius = self.scale.paper(radius).max(0.28);
            canvas.symbol(Symbol { x, y, radius, shape, through: false, making });
            return;
        }
        let [a, b] = face.axis().others();
        let rim = CIRCLE
            .map(|(u, v)| plus(plus(middle, with([0.0; 3], a, u * radius)), with([0.0; 3], b, v * radius)));
        for (from, to) in rim.iter().zip(rim.iter().cycle().skip(1)) {
            canvas.stroke(self.paper(*from), self.paper(*to), weight::DATUM, Ink::Accent, Dash::Solid);
        }
    }
}

/// Sixteen points of a circle, written out.
const CIRCLE: [(f64, f64); 16] = {
    const A: f64 = 0.923_879_532_5;
    const B: f64 = 0.382_683_432_4;
    const H: f64 = std::f64::consts::FRAC_1_SQRT_2;
    [
        (1.0, 0.0),
        (A, B),
        (H, H),
        (B, A),
        (0.0, 1.0),
        (-B, A),
        (-H, H),
        (-A, B),
        (-1.0, 0.0),
        (-A, -B),
        (-H, -H),
        (-B, -A),
        (0.0, -1.0),
        (B, -A),
        (H, -H),
        (A, -B),
    ]
};

/// True where a line runs along another, closer than can be told apart.
fn beside(a: &Line, b: &Line) -> bool {
    let close = (0..=8).filter(|n| {
        let (x, y) = a.at(f64::from(*n) / 8.0);
        b.distance(x, y) < 0.9
    });
    a.length() > 2.0 && close.count() > 4
}

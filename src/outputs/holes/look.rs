//! The small oblique box that shows which face of which part one looks at.

use crate::geometry::{Axis, Cuboid, Face};
use crate::job::Bevel;
use crate::outputs::drawing::canvas::{Canvas, Dash, Drawn, Fill, Ink, Shape, Text, height, weight};
use crate::outputs::drawing::{float, font};

/// Largest extent of the picture, in mm.
const ACROSS: f64 = 26.0;
const TALL: f64 = 24.0;
/// The narrowest column that it stands in.
const NARROWEST: f64 = 33.0;
/// How far the depth goes right and up, of its own length.
const SLANT: (f64, f64) = (0.5, 0.36);

struct Oblique {
    scale: f64,
    corner: [f64; 3],
    floor: f64,
    left: f64,
}

impl Oblique {
    fn point(&self, [x, y, z]: [f64; 3]) -> (f64, f64) {
        let [x0, y0, z0] = self.corner;
        let (x, y, z) = ((x - x0) * self.scale, (y - y0) * self.scale, (z - z0) * self.scale);
        (self.left + x + z * SLANT.0, self.floor - y - z * SLANT.1)
    }
}

/// Low and high ends on x, y and z.
fn ends(c: &Cuboid) -> [(f64, f64); 3] {
    [Axis::X, Axis::Y, Axis::Z].map(|a| (float(c.on(a).lo), float(c.on(a).hi)))
}

/// The four corners of a face.
fn corners(c: &Cuboid, face: Face) -> Vec<[f64; 3]> {
    let [x, y, z] = ends(c);
    let pick = |(lo, hi): (f64, f64), high: bool| if high { hi } else { lo };
    let high = face.is_high();
    let turn = [(false, false), (true, false), (true, true), (false, true)];
    turn.iter()
        .map(|(a, b)| match face.axis() {
            Axis::X => [pick(x, high), pick(y, *b), pick(z, *a)],
            Axis::Y => [pick(x, *a), pick(y, high), pick(z, *b)],
            Axis::Z => [pick(x, *a), pick(y, *b), pick(z, high)],
        })
        .collect()
}

/// Draws the box with the part in it, the face shaded, and an arrow to it; from (0, 0) down.
pub fn picture(envelope: &Cuboid, part: &Cuboid, face: Face) -> Canvas {
    let mut canvas = Canvas::new();
    // A part that stands proud of its box is shown all the same.
    let (own, around) = (ends(part), ends(envelope));
    let [x, y, z] = [0, 1, 2].map(|i| {
        let (a, b) = (own.get(i).copied().unwrap_or_default(), around.get(i).copied().unwrap_or_default());
        (a.0.min(b.0), a.1.max(b.1))
    });
    let (w, h, d) = ((x.1 - x.0).max(1.0), (y.1 - y.0).max(1.0), (z.1 - z.0).max(1.0));
    let scale = (ACROSS / (w + d * SLANT.0)).min(TALL / (h + d * SLANT.1));
    let margin = 8.0;
    let oblique =
        Oblique { scale, corner: [x.0, y.0, z.0], floor: (h + d * SLANT.1) * scale + 5.0, left: margin };
    let poly = |canvas: &mut Canvas, points: Vec<[f64; 3]>, fill: Fill, stroke| {
        let points = points.into_iter().map(|p| oblique.point(p)).collect();
        canvas.drawn.push(Drawn::Shape(Shape { points, round: 0.0, fill, stroke }));
    };
    // The envelope: hidden edges first, then those in sight.
    let corner = |i: usize| {
        let pick = |(lo, hi): (f64, f64), bit: usize| if i & bit != 0 { hi } else { lo };
        oblique.point([pick(x, 1), pick(y, 2), pick(z, 4)])
    };
    const HIDDEN: [(usize, usize); 3] = [(4, 0), (4, 5), (4, 6)];
    const SEEN: [(usize, usize); 9] =
        [(0, 1), (1, 3), (3, 2), (2, 0), (1, 5), (3, 7), (2, 6), (6, 7), (7, 5)];
    for (a, b) in HIDDEN {
        canvas.stroke(corner(a), corner(b), weight::HAIR, Ink::Black, Dash::Hidden);
    }
    let dim = Some((weight::HAIR, Ink::Accent));
    for side in Face::ALL {
        poly(&mut canvas, corners(part, side), Fill::Empty, dim);
    }
    poly(&mut canvas, corners(part, face), Fill::Tint, Some((weight::DATUM, Ink::Accent)));
    for (a, b) in SEEN {
        canvas.stroke(corner(a), corner(b), weight::INNER, Ink::Black, Dash::Solid);
    }
    arrow(&mut canvas, &oblique, part, face);
    // An arrow from the right may reach out of the narrowest column; the margin at the left is free then.
    let (low, high) = canvas.area().map_or((0.0, 0.0), |a| (a.x0, a.x1));
    if high > NARROWEST {
        let mut shifted = Canvas::new();
        shifted.place(&canvas, -(high - NARROWEST).min(low.max(0.0)), 0.0);
        canvas = shifted;
    }
    let middle = canvas.area().map_or(0.0, |a| (a.x0 + a.x1) / 2.0).max(14.5);
    let under = canvas.area().map_or(0.0, |a| a.y1) + 4.2;
    canvas.text(Text::new(middle, under, "you look this way").middle());
    canvas
}

/// An arrow that comes from outside and ends in the middle of the face.
fn arrow(canvas: &mut Canvas, oblique: &Oblique, part: &Cuboid, face: Face) {
    let points = corners(part, face);
    let sum = points.iter().fold([0.0; 3], |s, p| [s[0] + p[0], s[1] + p[1], s[2] + p[2]]);
    let (tx, ty) = oblique.point(sum.map(|v| v / points.len().max(1) as f64));
    let out = if face.is_high() { 1.0 } else { -1.0 };
    let (dx, dy) = match face.axis() {
        Axis::X => (out, 0.0),
        Axis::Y => (0.0, -out),
        Axis::Z => (out * 0.81, -out * 0.585),
    };
    let length = if face.axis() == Axis::Y { 6.5 } else { 9.0 };
    let (sx, sy) = (tx + dx * length, ty + dy * length);
    canvas.line((sx, sy), (tx + dx * 1.2, ty + dy * 1.2), weight::DATUM);
    let (bx, by) = (tx + dx * 2.4, ty + dy * 2.4);
    let head = vec![(tx, ty), (bx - dy * 0.75, by + dx * 0.75), (bx + dy * 0.75, by - dx * 0.75)];
    canvas.drawn.push(Drawn::Shape(Shape { points: head, round: 0.0, fill: Fill::Black, stroke: None }));
}

/// A cut through a bevelled edge, the face up on top: the slope as it must come out.
pub fn profile(bevel: &Bevel, face: Face, thickness: f64) -> Canvas {
    let mut canvas = Canvas::new();
    let scale = 9.0 / thickness.max(1.0);
    let (rise, run) = (float(bevel.rise.0) * scale, float(bevel.run.0) * scale);
    let (length, deep) = (rise + 14.0, 9.0);
    let top = 4.6;
    let points = if bevel.long_side == face {
        vec![
            (0.0, top),
            (length, top),
            (length, top + deep - run),
            (length - rise, top + deep),
            (0.0, top + deep),
        ]
    } else {
        vec![(0.0, top), (length - rise, top), (length, top + run), (length, top + deep), (0.0, top + deep)]
    };
    canvas.text(Text::new(0.0, height::TEXT * font::ABOVE, "this face up"));
    canvas.hatch(&points, 0.95, true);
    for (a, b) in points.iter().zip(points.iter().cycle().skip(1)) {
        // The far end is broken off.
        if a.0 > 0.0 || b.0 > 0.0 {
            canvas.line(*a, *b, weight::OUTLINE);
        }
    }
    let edge = format!("{} edge", bevel.face.word());
    canvas.text(Text::new(length + 1.6, top + deep / 2.0 + height::TEXT / 2.0, edge));
    canvas
}

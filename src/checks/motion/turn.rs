//! A plate that turns about one of its edges. Angles need floating point; what is compared is a
//! hundredth of a millimetre and more.

#![allow(
    clippy::disallowed_methods,
    reason = "angles are told in whole degrees; no figure of the job comes from them"
)]
#![allow(clippy::float_cmp, reason = "the angle it is compared with is the very one")]

use super::Checks;
pub use crate::checks::report::float;
use crate::geometry::{Axis, Cuboid, Face, Interval};
use crate::job::Part;
use crate::values::{Overflow, Rational};
use std::f64::consts::{PI, TAU};

/// mm that two bodies must share to be in each other's way.
const DEEP: f64 = 0.01;

/// A turning movement: about the corner of the hinge edge and of the face that looks out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Turn {
    /// The edge it hinges on.
    pub about: Face,
    /// The face that looks out when it is shut; it opens towards that side.
    out: Face,
    /// The axis it turns about.
    pub pivot_axis: Axis,
    /// Where the pivot stands on the axis of `about` and on that of `out`.
    pivot: [Rational; 2],
    /// In degrees.
    pub through: Rational,
}

/// A rectangle across the pivot: `u` from the hinge edge into the door, `v` from its face inwards.
#[derive(Clone, Copy, Debug)]
pub struct Flat {
    pub u: [f64; 2],
    pub v: [f64; 2],
}

impl Turn {
    /// `None` where the edge named is no edge of the plate.
    pub fn new(
        part: Option<&Part>,
        hull: &Cuboid,
        about: Face,
        through: Rational,
        checks: &Checks,
    ) -> Result<Option<Turn>, Overflow> {
        let mut thin = Axis::X;
        for axis in Axis::ALL {
            if hull.on(axis).size()? < hull.on(thin).size()? {
                thin = axis;
            }
        }
        if about.axis() == thin {
            return Ok(None);
        }
        let out = match thin {
            Axis::Z => Face::Front,
            Axis::Y => Face::Top,
            // At the side of a box it opens away from the middle.
            Axis::X => {
                let of = part.and_then(|p| checks.boxes.get(p.box_path.as_str()));
                let middle = of.map(|b| b.place.x.mid()).transpose()?;
                Face::of(Axis::X, middle.is_some_and(|m| hull.x.mid().is_ok_and(|at| at > m)))
            }
        };
        let end = |face: Face| match (hull.on(face.axis()), face.is_high()) {
            (range, true) => range.hi,
            (range, false) => range.lo,
        };
        let pivot_axis = Axis::ALL.into_iter().find(|a| *a != thin && *a != about.axis());
        Ok(pivot_axis.map(|pivot_axis| Turn {
            about,
            out,
            pivot_axis,
            pivot: [end(about), end(out)],
            through,
        }))
    }

    /// The same plate hinged on the edge across.
    pub fn hinged_across(&self, hull: &Cuboid) -> Turn {
        let about = self.about.opposite();
        let range = hull.on(about.axis());
        let at = if about.is_high() { range.hi } else { range.lo };
        Turn { about, pivot: [at, self.pivot[1]], ..*self }
    }

    /// A body across the pivot, in the shut position of the plate.
    pub fn flat(&self, body: &Cuboid) -> Result<Flat, Overflow> {
        let on = |face: Face, at: Rational| -> Result<[f64; 2], Overflow> {
            let range = body.on(face.axis());
            let (lo, hi) = (float(range.lo.sub(at)?), float(range.hi.sub(at)?));
            Ok(if face.is_high() { [-hi, -lo] } else { [lo, hi] })
        };
        Ok(Flat { u: on(self.about, self.pivot[0])?, v: on(self.out, self.pivot[1])? })
    }

    /// The angle it turns through, in radians.
    pub fn whole(&self) -> f64 {
        float(self.through).clamp(0.0, 180.0).to_radians()
    }

    /// Holds every position of a body on either hinge edge.
    pub fn reach(&self, hull: &Cuboid) -> Result<Cuboid, Overflow> {
        let flat = self.flat(hull)?;
        let far = |a: f64, b: f64| a.abs().max(b.abs());
        let most = far(flat.u[0], flat.u[1]).hypot(far(flat.v[0], flat.v[1])).min(1e6);
        let radius = Rational::int(most.ceil() as i64 + 1);
        let wide = hull.on(self.about.axis());
        let deep = hull.on(self.out.axis());
        let deep = match self.out.is_high() {
            true => Interval::new(deep.lo, deep.hi.add(radius)?),
            false => Interval::new(deep.lo.sub(radius)?, deep.hi),
        };
        let wide = Interval::new(wide.lo.sub(radius)?, wide.hi.add(radius)?);
        Ok(hull.with(self.about.axis(), wide).with(self.out.axis(), deep))
    }

    /// The corners of a body that has turned through an angle, on the axes of the hinge edge and of the
    /// face, in the root's frame.
    pub fn corners(&self, body: &Flat, angle: f64) -> [[f64; 2]; 4] {
        let (a, b) = (sign(self.about), sign(self.out));
        body.turned(angle).map(|[u, v]| [float(self.pivot[0]) + a * u, float(self.pivot[1]) + b * v])
    }

    /// The axes of the hinge edge and of the face.
    pub fn axes(&self) -> [Axis; 2] {
        [self.about.axis(), self.out.axis()]
    }
}

fn sign(face: Face) -> f64 {
    if face.is_high() { -1.0 } else { 1.0 }
}

impl Flat {
    fn corners(&self) -> [[f64; 2]; 4] {
        let ([a, b], [c, d]) = (self.u, self.v);
        [[a, c], [b, c], [b, d], [a, d]]
    }

    /// Its corners when it has turned about the pivot; it opens towards negative `v`.
    pub fn turned(&self, angle: f64) -> [[f64; 2]; 4] {
        let (sin, cos) = angle.sin_cos();
        self.corners().map(|[u, v]| [u * cos + v * sin, v * cos - u * sin])
    }

    /// Larger by `by` on every side.
    pub fn grown(&self, by: f64) -> Flat {
        Flat { u: [self.u[0] - by, self.u[1] + by], v: [self.v[0] - by, self.v[1] + by] }
    }

    /// The wider of the gaps to another on the two axes; negative where they overlap.
    pub fn gap(&self, other: &Flat) -> f64 {
        let on = |a: [f64; 2], b: [f64; 2]| (b[0] - a[1]).max(a[0] - b[1]);
        on(self.u, other.u).max(on(self.v, other.v))
    }

    /// The angle up to `whole` at which this one, turning, first runs into another that stands still.
    pub fn strikes(&self, other: &Flat, whole: f64) -> Option<f64> {
        let still = other.corners();
        let hits = |angle: f64| shared(&self.turned(angle), &still) > DEEP;
        let mut angles = vec![0.0, whole];
        for corner in self.corners() {
            let (r, at) = (corner[0].hypot(corner[1]), corner[1].atan2(corner[0]));
            // u = r cos(angle - at), v = -r sin(angle - at)
            angles.extend(other.u.into_iter().flat_map(|u| cosines(u / r)).map(|a| a + at));
            angles.extend(other.v.into_iter().flat_map(|v| sines(-v / r)).map(|a| a + at));
        }
        for corner in still {
            let (r, at) = (corner[0].hypot(corner[1]), corner[1].atan2(corner[0]));
            // Seen from what turns: u = r cos(angle + at), v = r sin(angle + at)
            angles.extend(self.u.into_iter().flat_map(|u| cosines(u / r)).map(|a| a - at));
            angles.extend(self.v.into_iter().flat_map(|v| sines(v / r)).map(|a| a - at));
        }
        let mut angles: Vec<f64> = angles
            .into_iter()
            .filter(|a| a.is_finite())
            .map(|a| if a == whole { a } else { a.rem_euclid(TAU) })
            .filter(|a| *a <= whole)
            .collect();
        angles.sort_by(f64::total_cmp);
        // Between two of these angles nothing changes.
        let spans = angles.iter().zip(angles.iter().skip(1));
        spans.filter(|(a, b)| *b - *a > 1e-9).find(|(a, b)| hits((*a + *b) / 2.0)).map(|(a, _)| *a)
    }
}

fn cosines(of: f64) -> Vec<f64> {
    if of.abs() > 1.0 { Vec::new() } else { vec![of.acos(), -of.acos()] }
}

fn sines(of: f64) -> Vec<f64> {
    if of.abs() > 1.0 { Vec::new() } else { vec![of.asin(), PI - of.asin()] }
}

/// How deep two rectangles are in each other, each given by its corners in order; negative where they
/// are apart.
pub fn shared(a: &[[f64; 2]; 4], b: &[[f64; 2]; 4]) -> f64 {
    let mut least = f64::INFINITY;
    for [p, q, r, _] in [a, b] {
        for [from, to] in [[p, q], [q, r]] {
            let (x, y) = (to[0] - from[0], to[1] - from[1]);
            let long = x.hypot(y);
            let on = |set: &[[f64; 2]; 4]| {
                let along = set.map(|c| (c[0] * x + c[1] * y) / long);
                (
                    along.into_iter().fold(f64::INFINITY, f64::min),
                    along.into_iter().fold(f64::NEG_INFINITY, f64::max),
                )
            };
            let ((a_lo, a_hi), (b_lo, b_hi)) = (on(a), on(b));
            least = least.min((a_hi - b_lo).min(b_hi - a_lo));
        }
    }
    least
}

/// True where two rectangles, given by their corners, are in each other's way.
pub fn meet(a: &[[f64; 2]; 4], b: &[[f64; 2]; 4]) -> bool {
    shared(a, b) > DEEP
}

//! How far units move out: the least steps at which each of them can be seen.

use super::iso::{Body, Point, ends_on, index, plus, with};
use super::units::{Unit, set};
use crate::geometry::Axis;

/// Steps tried, as parts of the mean size of the box.
const STEPS: [f64; 9] = [0.08, 0.12, 0.2, 0.32, 0.46, 0.64, 0.86, 1.15, 1.5];

/// Moves the units out as little as can be, so that of the face that the reader sees of each `wanted`
/// is in sight (1 is all of it); where no steps do that, as much as can be.
pub fn apart(units: &mut [Unit], wanted: f64) {
    let whole = bounds(units);
    let mean = whole.iter().map(|(lo, hi)| hi - lo).sum::<f64>() / 3.0;
    let tries = Axis::ALL.map(|axis| {
        let moves = units.iter().any(|u| u.axis == axis && u.steps != 0.0);
        if moves { STEPS.to_vec() } else { vec![0.0] }
    });
    let mut all: Vec<([f64; 3], f64)> = Vec::new();
    for x in &tries[0] {
        for y in &tries[1] {
            for z in &tries[2] {
                let steps = [*x, *y, *z].map(|s| s * mean);
                set(units, steps);
                all.push((steps, size(units)));
            }
        }
    }
    all.sort_by(|a, b| a.1.total_cmp(&b.1));
    let mut best: Option<([f64; 3], f64)> = None;
    for (steps, _) in &all {
        set(units, *steps);
        let least = least_in_sight(units, best.map_or(0.0, |b| b.1));
        if best.is_none_or(|(_, most)| least > most + 0.02) {
            best = Some((*steps, least));
        }
        if least >= wanted {
            break;
        }
    }
    if let Some((steps, _)) = best {
        set(units, steps);
    }
}

fn bounds(units: &[Unit]) -> [(f64, f64); 3] {
    let mut whole = [(f64::MAX, f64::MIN); 3];
    for unit in units {
        for (all, own) in whole.iter_mut().zip(unit.ends) {
            *all = (all.0.min(own.0), all.1.max(own.1));
        }
    }
    whole
}

/// How large the drawing gets, by the sheet's own proportions.
fn size(units: &[Unit]) -> f64 {
    let (mut x, mut y) = ((f64::MAX, f64::MIN), (f64::MAX, f64::MIN));
    for unit in units {
        for (px, py) in Body::new(unit.ends).moved(unit.shift).corners() {
            x = (x.0.min(px), x.1.max(px));
            y = (y.0.min(py), y.1.max(py));
        }
    }
    ((x.1 - x.0) / 180.0).max((y.1 - y.0) / 190.0)
}

/// The face of a unit that tells most: the wide one of a part; of a box its side, since boxes often stand
/// over each other.
fn face_of(unit: &Unit) -> Axis {
    if unit.group.is_some() { Axis::X } else { unit.axis }
}

/// Points spread over the face of a unit that the reader sees.
pub fn points(unit: &Unit, across: usize) -> Vec<Point> {
    let axis = face_of(unit);
    let (lo, hi) = ends_on(&unit.ends, axis);
    let start = plus(with([0.0; 3], axis, if axis == Axis::Z { lo } else { hi }), unit.shift);
    let [a, b] = axis.others();
    let mut all = Vec::new();
    let at = |axis: Axis, n: usize| {
        let (lo, hi) = ends_on(&unit.ends, axis);
        lo + (hi - lo) * (n as f64 + 0.5) / across as f64
            + unit.shift.get(index(axis)).copied().unwrap_or(0.0)
    };
    for i in 0..across {
        for j in 0..across {
            all.push(with(with(start, a, at(a, i)), b, at(b, j)));
        }
    }
    all
}

/// The least part of a face that is in sight; gives up once it is no more than `enough`.
fn least_in_sight(units: &[Unit], enough: f64) -> f64 {
    let bodies: Vec<Vec<Body>> =
        units.iter().map(|u| u.pieces.iter().map(|p| p.body.moved(u.shift)).collect()).collect();
    let mut least: f64 = 1.0;
    for (n, unit) in units.iter().enumerate() {
        let points = points(unit, 7);
        let hidden = |p: &Point| {
            bodies.iter().enumerate().any(|(m, pieces)| m != n && pieces.iter().any(|b| b.covers(*p)))
        };
        let seen = points.iter().filter(|p| !hidden(p)).count();
        least = least.min(seen as f64 / points.len().max(1) as f64);
        if least <= enough {
            break;
        }
    }
    least
}

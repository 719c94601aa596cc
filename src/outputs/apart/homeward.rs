//! Chain lines: how each unit comes home. A line leaves one part, turns where the two meet when they are
//! together, and ends on the other part.

use super::iso::{Body, Point, ends_on, index, plus, project, visible};
use super::units::{Piece, Unit};
use crate::geometry::Axis;
use crate::outputs::drawing::canvas::length;
use std::collections::BTreeSet;

/// Parts no further apart than this when they are together count as touching, in mm.
const TOUCH: f64 = 3.0;
/// Two chain lines of one pair at least so far apart, as a part of the size of their seam.
const FAR: f64 = 0.5;

/// A chain line as points in space.
pub type Path = Vec<Point>;

/// The chain lines of a box taken apart.
pub fn paths(units: &[Unit], fixes: &[(usize, usize)], bodies: &[Vec<Body>]) -> Vec<Path> {
    let mut found = Vec::new();
    for (a, b) in pairs(units, fixes) {
        let (Some(one), Some(other)) = (units.get(a), units.get(b)) else { continue };
        let mut own = candidates(one, other, (a, b), bodies);
        own.sort_by(|p, q| q.1.total_cmp(&p.1));
        let mut taken: Vec<Path> = Vec::new();
        let size = spread_of(&own);
        for (path, seen) in own {
            if taken.len() == 2 || seen < 0.55 {
                break;
            }
            let apart = |p: &Path| match (p.first(), path.first()) {
                (Some(p), Some(q)) => distance(*p, *q),
                _ => 0.0,
            };
            if taken.iter().all(|t| apart(t) > size * FAR) {
                taken.push(path);
            }
        }
        found.extend(taken);
    }
    found
}

fn distance(a: Point, b: Point) -> f64 {
    let ((ax, ay), (bx, by)) = (project(a), project(b));
    length(ax - bx, ay - by)
}

fn spread_of(all: &[(Path, f64)]) -> f64 {
    let starts: Vec<Point> = all.iter().filter_map(|(p, _)| p.first().copied()).collect();
    let mut most: f64 = 0.0;
    for (i, a) in starts.iter().enumerate() {
        for b in starts.iter().skip(i + 1) {
            most = most.max(distance(*a, *b));
        }
    }
    most
}

/// Which units are shown to belong together: those that are held to each other, the nearest first, and
/// for a unit that nothing holds the one it touches.
fn pairs(units: &[Unit], fixes: &[(usize, usize)]) -> Vec<(usize, usize)> {
    let apart = |a: usize, b: usize| match (units.get(a), units.get(b)) {
        (Some(p), Some(q)) => p.shift.iter().zip(q.shift).any(|(a, b)| (a - b).abs() > 1e-9),
        _ => false,
    };
    let mut found: BTreeSet<(usize, usize)> = BTreeSet::new();
    let linked: BTreeSet<(usize, usize)> = fixes.iter().copied().filter(|(a, b)| apart(*a, *b)).collect();
    for (n, unit) in units.iter().enumerate() {
        let mut own: Vec<(usize, usize)> =
            linked.iter().copied().filter(|(a, b)| *a == n || *b == n).collect();
        if own.is_empty() {
            let touched =
                units.iter().enumerate().filter(|(m, u)| *m != n && apart(n, *m) && meets(unit, u).is_some());
            own.extend(touched.map(|(m, _)| (n.min(m), n.max(m))).next());
        }
        // Two ways home tell enough.
        own.sort_by_key(|(a, b)| {
            let other = if *a == n { b } else { a };
            (units.get(*other).is_some_and(|u| u.axis == unit.axis && u.steps * unit.steps >= 0.0), *other)
        });
        found.extend(own.into_iter().take(2));
    }
    found.into_iter().collect()
}

/// Where two units meet when they are together, as ends on the three axes.
fn meets(a: &Unit, b: &Unit) -> Option<[(f64, f64); 3]> {
    let seam = |p: &Piece, q: &Piece| {
        let mut ends = [(0.0, 0.0); 3];
        for (axis, end) in Axis::ALL.into_iter().zip(ends.iter_mut()) {
            let (p, q) = (ends_on(&p.body.ends, axis), ends_on(&q.body.ends, axis));
            let (lo, hi) = (p.0.max(q.0), p.1.min(q.1));
            if lo > hi + TOUCH {
                return None;
            }
            *end = (lo.min(hi), lo.max(hi));
        }
        Some(ends)
    };
    let size = |e: &[(f64, f64); 3]| e.iter().map(|(lo, hi)| hi - lo).sum::<f64>();
    let seams = a.pieces.iter().flat_map(|p| b.pieces.iter().filter_map(move |q| seam(p, q)));
    seams.reduce(|a, b| if size(&b) > size(&a) { b } else { a })
}

/// Lines through the corners of a seam, each with the part of it that is in sight.
fn candidates(one: &Unit, other: &Unit, (a, b): (usize, usize), bodies: &[Vec<Body>]) -> Vec<(Path, f64)> {
    let Some(seam) = meets(one, other) else { return Vec::new() };
    let mut found: Vec<(Path, f64)> = Vec::new();
    for corner in 0..8usize {
        let p = Axis::ALL.map(|axis| {
            let (lo, hi) = ends_on(&seam, axis);
            if corner & (1 << index(axis)) != 0 { hi } else { lo }
        });
        let path: Path = [plus(p, one.shift), p, plus(p, other.shift)].to_vec();
        let mut kept: Path = Vec::new();
        for point in path {
            if kept.last().is_none_or(|l| distance(*l, point) > 1e-6) {
                kept.push(point);
            }
        }
        if kept.len() < 2 || found.iter().any(|(f, _)| f.first() == kept.first()) {
            continue;
        }
        let seen = in_sight(&kept, (a, b), bodies);
        found.push((kept, seen));
    }
    found
}

/// The part of a line that is in sight, less where either of its ends is hidden by another unit.
fn in_sight(path: &Path, own: (usize, usize), bodies: &[Vec<Body>]) -> f64 {
    let all = || bodies.iter().flatten();
    let (mut whole, mut seen) = (0.0, 0.0);
    for (from, to) in path.iter().zip(path.iter().skip(1)) {
        let length = distance(*from, *to);
        whole += length;
        seen += visible(*from, *to, all()).iter().map(|(lo, hi)| (hi - lo) * length).sum::<f64>();
    }
    let others =
        || bodies.iter().enumerate().filter(|(n, _)| *n != own.0 && *n != own.1).flat_map(|(_, b)| b);
    let ends = [path.first(), path.last()];
    let lost = ends.into_iter().flatten().filter(|p| others().any(|b| b.covers(**p))).count();
    if whole < 1e-6 { 0.0 } else { seen / whole - 0.35 * lost as f64 }
}

//! What a sheet takes apart: the parts of a box, and boxes in it that stay together.

use super::iso::{Body, Ends, Point, ends_on, with};
use crate::geometry::Axis;
use crate::job::{BoxEntry, Job, Move, Part, path_names};
use crate::outputs::elevations::look;
use crate::outputs::elevations::solid::ends;
use std::collections::BTreeSet;

/// A box taken apart.
pub struct Subject<'a> {
    pub job: &'a Job,
    pub entry: &'a BoxEntry,
    /// Boxes that look the same, this one first.
    pub alike: Vec<&'a BoxEntry>,
}

/// A piece of a unit.
pub struct Piece<'a> {
    pub part: &'a Part,
    pub body: Body,
}

/// A part, or a box that stays together, with the way it moves out.
pub struct Unit<'a> {
    pub pieces: Vec<Piece<'a>>,
    /// For a box that stays together: its name, and the boxes equal to it that are not drawn.
    pub group: Option<Group<'a>>,
    /// Of all its pieces.
    pub ends: Ends,
    pub axis: Axis,
    /// Steps along the axis: 0 stays, 2 moves twice as far as 1.
    pub steps: f64,
    /// Where it is drawn, from where it belongs.
    pub shift: Point,
}

/// A box that stays together.
pub struct Group<'a> {
    pub entry: &'a BoxEntry,
    /// How many stand in the box that is taken apart.
    pub count: usize,
}

impl Unit<'_> {
    /// True where a part of this path belongs to it.
    pub fn holds(&self, path: &str) -> bool {
        self.pieces.iter().any(|p| p.part.path == path)
    }

    pub fn middle(&self, axis: Axis) -> f64 {
        let (lo, hi) = ends_on(&self.ends, axis);
        (lo + hi) / 2.0
    }
}

/// Boxes that stand directly in another.
fn children<'a>(job: &'a Job, path: &str) -> Vec<&'a BoxEntry> {
    job.boxes.iter().filter(|b| b.within.as_deref() == Some(path)).collect()
}

fn own_parts<'a>(job: &'a Job, path: &str) -> Vec<&'a Part> {
    job.parts.iter().filter(|p| p.box_path == path).collect()
}

fn all_parts<'a>(job: &'a Job, path: &str) -> Vec<&'a Part> {
    let within = format!("{path}.");
    job.parts.iter().filter(|p| p.box_path == path || p.box_path.starts_with(&within)).collect()
}

/// True for a box that is put together by itself: three parts or more, each of them held to another.
pub fn stays_together(job: &Job, entry: &BoxEntry) -> bool {
    let parts = own_parts(job, &entry.path);
    if parts.len() < 3 || !children(job, &entry.path).is_empty() {
        return false;
    }
    let paths: BTreeSet<&str> = parts.iter().map(|p| p.path.as_str()).collect();
    let mut held: BTreeSet<&str> = BTreeSet::new();
    for fix in &job.fixes {
        if paths.contains(fix.a.as_str()) && paths.contains(fix.b.as_str()) {
            held.extend([fix.a.as_str(), fix.b.as_str()]);
        }
    }
    for part in &parts {
        for by in part.cuts.iter().filter_map(|c| c.by.as_deref()).filter(|by| paths.contains(by)) {
            held.extend([by, part.path.as_str()]);
        }
    }
    held.len() == paths.len()
}

/// The units of a box: its own parts, those of boxes in it that only arrange others, and boxes that
/// stay together, equal ones once.
pub fn of<'a>(subject: &Subject<'a>) -> Vec<Unit<'a>> {
    let (job, corner) = (subject.job, &subject.entry.place);
    let mut units: Vec<Unit> = Vec::new();
    let mut open = vec![subject.entry];
    while let Some(entry) = open.pop() {
        for part in own_parts(job, &entry.path) {
            let ends = ends(&part.place, corner);
            units.push(Unit {
                pieces: vec![Piece { part, body: Body::of(part, ends) }],
                group: None,
                ends,
                axis: part.axes[2],
                steps: 0.0,
                shift: [0.0; 3],
            });
        }
        for child in children(job, &entry.path).into_iter().rev() {
            if !stays_together(job, child) {
                open.push(child);
                continue;
            }
            let drawn = units.iter_mut().filter_map(|u| u.group.as_mut());
            let own = look(job, child);
            if let Some(equal) = drawn.into_iter().find(|g| look(job, g.entry) == own) {
                equal.count += 1;
                continue;
            }
            let pieces: Vec<Piece> = all_parts(job, &child.path)
                .into_iter()
                .map(|part| Piece { part, body: Body::of(part, ends(&part.place, corner)) })
                .collect();
            let Some(whole) = pieces.iter().map(|p| p.body.ends).reduce(join) else { continue };
            units.push(Unit {
                pieces,
                group: Some(Group { entry: child, count: 1 }),
                ends: whole,
                axis: way_out(job, child),
                steps: 0.0,
                shift: [0.0; 3],
            });
        }
    }
    rank(&mut units, subject);
    part_engaged(&mut units, job);
    units
}

fn join(a: Ends, b: Ends) -> Ends {
    let one = |a: (f64, f64), b: (f64, f64)| (a.0.min(b.0), a.1.max(b.1));
    [one(a[0], b[0]), one(a[1], b[1]), one(a[2], b[2])]
}

/// The axis that a box in another comes out along: its slide's, else to the front.
fn way_out(job: &Job, entry: &BoxEntry) -> Axis {
    let within = format!("{}.", entry.path);
    let slides = job.moves.iter().find_map(|m| match m {
        Move::Slides { thing, along, .. } if *thing == entry.path || thing.starts_with(&within) => {
            Some(*along)
        }
        _ => None,
    });
    slides.unwrap_or(Axis::Z)
}

/// Gives each unit its steps: outwards from the middle of the box, one more for each place further out.
fn rank(units: &mut [Unit], subject: &Subject) {
    for axis in Axis::ALL {
        let size = subject.entry.place.on(axis).size().map_or(0.0, super::super::drawing::float);
        let middle = size / 2.0;
        // What a box slides out along it goes to the front, whatever its place.
        let place = |u: &Unit| {
            let at = u.middle(axis);
            if axis == Axis::Z && u.group.is_some() { middle.min(at) - size * 0.2 } else { at }
        };
        let near = (size * 0.1).max(1.0);
        let mine = |u: &Unit| u.axis == axis;
        for sign in [-1.0, 1.0] {
            // Distances from the middle, near to far.
            let mut places: Vec<f64> = units
                .iter()
                .filter(|u| mine(u))
                .map(|u| (place(u) - middle) * sign)
                .filter(|d| *d > near)
                .collect();
            places.sort_by(f64::total_cmp);
            places.dedup_by(|b, a| (*b - *a).abs() < 1.0);
            for unit in units.iter_mut().filter(|u| mine(u)) {
                let at = (place(unit) - middle) * sign;
                if at <= near {
                    continue;
                }
                let passed = places.iter().filter(|p| **p < at + 1.0).count();
                unit.steps = sign * passed as f64;
            }
        }
    }
}

/// Of two parts that hook over each other, which would be drawn as one, the one held by less goes further.
fn part_engaged(units: &mut [Unit], job: &Job) {
    let held = |u: &Unit| job.fixes.iter().filter(|f| u.holds(&f.a) || u.holds(&f.b)).count();
    let engaged = |a: &Unit, b: &Unit| {
        a.group.is_none()
            && b.group.is_none()
            && a.axis == b.axis
            && (a.steps - b.steps).abs() < 1e-9
            && a.ends.iter().zip(b.ends).all(|(p, q)| p.0.max(q.0) < p.1.min(q.1) - 0.5)
    };
    for n in 1..units.len() {
        let (before, rest) = units.split_at_mut(n);
        let Some(unit) = rest.first_mut() else { continue };
        if let Some(other) = before.iter_mut().find(|u| engaged(u, unit)) {
            let further = if held(other) < held(unit) { other } else { unit };
            further.steps += if further.steps < 0.0 { -1.0 } else { 1.0 };
        }
    }
}

/// Sets where units are drawn for a length of a step on each axis.
pub fn set(units: &mut [Unit], steps: [f64; 3]) {
    for unit in units {
        let length = match unit.axis {
            Axis::X => steps[0],
            Axis::Y => steps[1],
            Axis::Z => steps[2],
        };
        unit.shift = with([0.0; 3], unit.axis, unit.steps * length);
    }
}

/// The name of a box within another, from that one on, in words.
pub fn name_within(path: &str, outer: &str) -> String {
    let rest = path.strip_prefix(outer).and_then(|r| r.strip_prefix('.')).unwrap_or(path);
    path_names(rest).join(" ").replace('_', " ")
}

/// The last name of a path, in words.
pub fn name_of(path: &str) -> String {
    path_names(path).last().copied().unwrap_or(path).replace('_', " ")
}

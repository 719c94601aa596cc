//! What stands at a wall: rows, boxes, parts, obstacles, and what is fixed to it.

use crate::geometry::{Axis, Cuboid};
use crate::job::{Bored, BoxEntry, Face, Hole, Job, Obstacle, Part, Row, Wall, path_names};
use crate::outputs::drawing::float;
use crate::outputs::holes::entry::from_low;
use crate::values::Rational;
use std::collections::{BTreeMap, BTreeSet};

/// A wall with what stands at it.
pub struct Site<'a> {
    pub job: &'a Job,
    pub wall: &'a Wall,
    /// From the lowest up.
    pub rows: Vec<&'a Row>,
    /// Outermost boxes, those of rows and those placed by what they serve.
    pub boxes: Vec<&'a BoxEntry>,
    pub parts: Vec<&'a Part>,
    pub fixings: Vec<Fixing<'a>>,
}

/// A hole that goes into the wall, or into something on it, in the frame of the wall.
#[derive(Clone, Debug)]
pub struct Fixing<'a> {
    pub x: Rational,
    pub y: Rational,
    pub hole: &'a Hole,
    pub part: &'a Part,
    /// The item that goes into it, where the joint names one.
    pub item: Option<&'a str>,
}

impl<'a> Site<'a> {
    pub fn new(job: &'a Job, wall: &'a Wall) -> Site<'a> {
        let mut rows: Vec<&Row> = job.rows.iter().filter(|r| r.wall == wall.path).collect();
        rows.sort_by(|a, b| a.place.y.lo.cmp(&b.place.y.lo).then_with(|| a.path.cmp(&b.path)));
        let boxes = job.boxes.iter().filter(|b| b.root == wall.path && b.within.is_none()).collect();
        let parts: Vec<&Part> = job.parts.iter().filter(|p| p.root == wall.path).collect();
        let fixings = fixings(job, wall, &parts);
        Site { job, wall, rows, boxes, parts, fixings }
    }

    /// Boxes that no row holds.
    pub fn placed(&self) -> impl Iterator<Item = &'a BoxEntry> {
        self.boxes.iter().copied().filter(|b| b.row.is_none())
    }

    /// True for a part of a box that no row holds.
    pub fn is_placed(&self, part: &Part) -> bool {
        let within = |b: &BoxEntry| {
            part.box_path == b.path
                || part.box_path.strip_prefix(&b.path).is_some_and(|rest| rest.starts_with('.'))
        };
        self.placed().any(within)
    }

    /// What stands for a box that no row holds: its part that is largest from the front. Its envelope may be
    /// room that it only partly fills.
    pub fn largest(&self, entry: &'a BoxEntry) -> Cuboid {
        let wide = |p: &&Part| ends(&p.place, Axis::X).1 - ends(&p.place, Axis::X).0;
        let tall = |p: &&Part| ends(&p.place, Axis::Y).1 - ends(&p.place, Axis::Y).0;
        let size = |p: &&Part| wide(p) * tall(p);
        let largest = self.parts_of(entry).reduce(|a, b| if size(&b) > size(&a) + 1e-6 { b } else { a });
        largest.map_or(entry.place, |p| p.place)
    }

    /// The top of the highest part of a box.
    pub fn top(&self, entry: &'a BoxEntry) -> Rational {
        self.parts_of(entry).map(|p| p.place.y.hi).max().unwrap_or(entry.place.y.hi)
    }

    /// The parts of a box and of the boxes in it.
    pub fn parts_of(&self, entry: &'a BoxEntry) -> impl Iterator<Item = &'a Part> {
        let within = format!("{}.", entry.path);
        self.parts.iter().copied().filter(move |p| p.path.starts_with(&within))
    }
}

/// Holes of joints that hold a part to the wall or to an obstacle. Where no joint says so, through holes
/// of what lies against either.
fn fixings<'a>(job: &'a Job, wall: &'a Wall, parts: &[&'a Part]) -> Vec<Fixing<'a>> {
    let of_wall: BTreeSet<&str> =
        wall.obstacles.iter().map(|o| o.path.as_str()).chain([wall.path.as_str()]).collect();
    // By part: the joints, and what each is made with.
    let mut held: BTreeMap<&str, Vec<(&str, Option<&str>)>> = BTreeMap::new();
    for fix in &job.fixes {
        let joint = (fix.joint.as_str(), fix.with.as_deref());
        if of_wall.contains(fix.b.as_str()) {
            held.entry(&fix.a).or_default().push(joint);
        } else if of_wall.contains(fix.a.as_str()) {
            held.entry(&fix.b).or_default().push(joint);
        }
    }
    let mut found = Vec::new();
    for part in parts {
        let joints = held.get(part.path.as_str());
        if joints.is_none() && !(held.is_empty() && lies_against(part, wall)) {
            continue;
        }
        let wanted =
            |h: &&Hole| h.through && h.bored == Bored::Bench && matches!(h.face, Face::Front | Face::Rear);
        let all: Vec<&Hole> = part.holes.iter().filter(wanted).collect();
        let of = |h: &Hole| {
            joints
                .into_iter()
                .flatten()
                .find(|(joint, _)| h.joints.iter().any(|j| j == joint))
                .map(|(_, i)| *i)
        };
        // The joint that holds may leave the boring to another; then its purpose tells.
        let named = all.iter().any(|h| of(h).is_some());
        let says = |h: &Hole| h.purposes.iter().any(|p| p.split(' ').any(|word| word == "wall"));
        let said = all.iter().any(|h| says(h));
        let items: BTreeSet<Option<&str>> = joints.into_iter().flatten().map(|(_, item)| *item).collect();
        let common = if items.len() == 1 { items.first().copied().flatten() } else { None };
        for hole in all {
            let item = of(hole);
            if (named && item.is_none()) || (!named && said && !says(hole)) {
                continue;
            }
            let item = item.flatten().or(common);
            let [mut x, mut y] = [None, None];
            for (axis, mm) in from_low(part, hole) {
                let at = part.place.on(axis).lo.add(mm).ok();
                match axis {
                    Axis::X => x = at,
                    Axis::Y => y = at,
                    Axis::Z => {}
                }
            }
            if let (Some(x), Some(y)) = (x, y) {
                found.push(Fixing { x, y, hole, part, item });
            }
        }
    }
    found.sort_by(|a, b| (a.y, a.x).cmp(&(b.y, b.x)).then_with(|| a.hole.id.cmp(&b.hole.id)));
    found
}

/// True where a part's rear lies on the wall's surface or on the front of something on it.
fn lies_against(part: &Part, wall: &Wall) -> bool {
    let behind = part.place.z.hi;
    let meets = |c: &Cuboid| {
        behind == c.z.lo && part.place.x.common(c.x).is_some() && part.place.y.common(c.y).is_some()
    };
    behind == wall.place.z.lo || wall.obstacles.iter().any(|o: &Obstacle| meets(&o.place))
}

/// The last name of a path, in words: `upper 1`, `pier left`.
pub fn name_of(path: &str) -> String {
    let name = path_names(path).last().copied().unwrap_or(path);
    name.replace(['_', '['], " ").replace(']', "")
}

/// The same without its number.
pub fn plain_name(path: &str) -> String {
    let name = path_names(path).last().copied().unwrap_or(path);
    name.split('[').next().unwrap_or(name).replace('_', " ")
}

/// The ends of an axis as floats.
pub fn ends(place: &Cuboid, axis: Axis) -> (f64, f64) {
    let on = place.on(axis);
    (float(on.lo), float(on.hi))
}

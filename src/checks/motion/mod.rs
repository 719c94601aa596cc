//! What swings and slides must not strike anything on its way.
//!
//! A door is taken to turn about the corner of its hinge edge that shows, the front one, and keeps its
//! shape. Nothing is said of the few millimetres that a hinge moves it sideways; what stands more than
//! twice [`CLEARANCE`] from it when it is shut must stay clear of it by that much. What slides keeps its
//! outline, and may touch what it passes. Holes, cuts and bevels are not looked at: a part is its cuboid.

mod along;
mod slide;
mod swing;
#[cfg(test)]
mod tests;
mod turn;

use super::Checks;
use super::report::{Faults, because, listed};
use super::sweep::sweep;
use crate::diagnostics::{Diagnostic, Severity};
use crate::geometry::{Axis, Cuboid, Interval};
use crate::job::{Move, Origin, Part};
use crate::values::{Overflow, Rational};
use along::{Along, Links};
use std::collections::{BTreeMap, BTreeSet};
use turn::Turn;

/// mm between a door on its way and what it passes. Common practice, no source: a hinge is adjusted by
/// about as much.
const CLEARANCE: i64 = 3;

/// A thing that moves, with all that moves with it.
struct Mover<'a> {
    thing: &'a str,
    way: Way,
    /// The verb that says so.
    origin: Origin,
    /// Indices of the parts of the thing itself, in order.
    own: Vec<usize>,
    /// Indices of all parts that move.
    all: BTreeSet<usize>,
    /// Holds the parts of the thing.
    hull: Cuboid,
}

/// How it moves.
enum Way {
    Slides { along: Axis, by: Rational },
    Swings(Turn),
}

/// What may be struck.
enum Body<'a> {
    Part(usize, &'a Part),
    Fixed(Box<Fixed>),
}

/// Something of the place that never moves.
struct Fixed {
    /// In a sentence, `the ceiling` or a name in quotes.
    name: String,
    place: Cuboid,
    origin: Option<Origin>,
    /// Wall, floor or ceiling: as wide as the whole root.
    everywhere: bool,
}

impl Body<'_> {
    fn place(&self) -> &Cuboid {
        match self {
            Body::Part(_, part) => &part.place,
            Body::Fixed(fixed) => &fixed.place,
        }
    }

    fn index(&self) -> Option<usize> {
        match self {
            Body::Part(i, _) => Some(*i),
            Body::Fixed(_) => None,
        }
    }
}

/// One root with what moves in it and the boxes the sweep goes over: first bodies, then movers.
struct Scene<'a> {
    checks: &'a Checks<'a>,
    movers: Vec<Mover<'a>>,
    bodies: Vec<Body<'a>>,
    /// The movers of each part that moves.
    moved_by: BTreeMap<usize, Vec<usize>>,
    /// Pairs of parts whose overlap a joint explains, the lower first.
    explained: &'a BTreeSet<(usize, usize)>,
    links: &'a Links,
}

/// `door-hits`, `drawer-hits` and `doors-meet`.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    if checks.job.moves.is_empty() {
        return Ok(());
    }
    let links = Links::new(checks.job);
    let explained = checks.job.explained.iter().map(|(a, b)| (*a.min(b), *a.max(b))).collect();
    let mut roots: BTreeMap<&str, Vec<Mover>> = BTreeMap::new();
    for mover in movers(checks, &links)? {
        let root = mover.own.first().and_then(|i| checks.job.parts.get(*i)).map(|p| p.root.as_str());
        if let Some(root) = root {
            roots.entry(root).or_default().push(mover);
        }
    }
    let mut bodies = bodies(checks, &roots)?;
    for (root, movers) in roots {
        let mut moved_by: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (m, mover) in movers.iter().enumerate() {
            for part in &mover.all {
                moved_by.entry(*part).or_default().push(m);
            }
        }
        let bodies = bodies.remove(root).unwrap_or_default();
        Scene { checks, movers, bodies, moved_by, explained: &explained, links: &links }.look(faults)?;
    }
    Ok(())
}

/// The movers of the job, each movement of a thing once.
fn movers<'a>(checks: &Checks<'a>, links: &Links) -> Result<Vec<Mover<'a>>, Overflow> {
    let job = checks.job;
    let things: BTreeSet<&str> = job.moves.iter().map(thing_of).collect();
    let mut parts_of: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, part) in job.parts.iter().enumerate() {
        if things.contains(part.path.as_str()) {
            parts_of.entry(&part.path).or_default().push(i);
        }
        let mut at = Some(part.box_path.as_str());
        while let Some(path) = at {
            if things.contains(path) {
                parts_of.entry(path).or_default().push(i);
            }
            at = checks.boxes.get(path).and_then(|b| b.within.as_deref());
        }
    }
    // Two fittings of one drawer say the same thing.
    let mut anchors: BTreeMap<&str, BTreeSet<usize>> = BTreeMap::new();
    for way in &job.moves {
        anchors.entry(thing_of(way)).or_default().extend(guide_of(way).parts.iter().copied());
    }
    let mut found: Vec<Mover> = Vec::new();
    for way in &job.moves {
        let thing = thing_of(way);
        let Some(own) = parts_of.get(thing) else { continue };
        let Some(hull) = hull_of(checks, own) else { continue };
        let first = own.first().and_then(|i| job.parts.get(*i));
        if first.is_none_or(|p| checks.is_unsure(&p.box_path)) {
            continue;
        }
        let way_of = match way {
            Move::Slides { along, by, .. } => Way::Slides { along: *along, by: by.0 },
            Move::Swings { about, through, .. } => {
                match Turn::new(first, &hull, *about, through.0, checks)? {
                    Some(turn) => Way::Swings(turn),
                    None => continue,
                }
            }
        };
        if found.iter().rev().take_while(|m| m.thing == thing).any(|m| m.way.is_like(&way_of)) {
            continue;
        }
        let all = Along { links, checks, own, anchors: anchors.get(thing) }.all();
        let origin = guide_of(way).origin;
        found.push(Mover { thing, way: way_of, origin, own: own.clone(), all, hull });
    }
    let mut by_part: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (m, mover) in found.iter().enumerate() {
        for part in &mover.all {
            by_part.entry(*part).or_default().push(m);
        }
    }
    // What moves along with another in the same way is looked at with it.
    let along = |m: usize| {
        let Some(this) = found.get(m) else { return false };
        let by = by_part.get(&this.own.first().copied().unwrap_or_default());
        by.into_iter().flatten().filter(|o| **o != m).filter_map(|o| found.get(*o).map(|f| (*o, f))).any(
            |(o, other)| {
                let holds = this.own.iter().all(|p| other.all.contains(p));
                let equal = holds && other.own.iter().all(|p| this.all.contains(p));
                holds && other.way.is_like(&this.way) && (!equal || o < m)
            },
        )
    };
    let drop: BTreeSet<usize> = (0..found.len()).filter(|m| along(*m)).collect();
    let mut at = 0..;
    found.retain(|_| at.next().is_none_or(|m| !drop.contains(&m)));
    Ok(found)
}

fn thing_of(way: &Move) -> &str {
    match way {
        Move::Slides { thing, .. } | Move::Swings { thing, .. } => thing,
    }
}

fn guide_of(way: &Move) -> &crate::job::Guide {
    match way {
        Move::Slides { guide, .. } | Move::Swings { guide, .. } => guide,
    }
}

impl Way {
    fn is_like(&self, other: &Way) -> bool {
        match (self, other) {
            (Way::Slides { along: a, by: b }, Way::Slides { along: c, by: d }) => a == c && b == d,
            (Way::Swings(a), Way::Swings(b)) => a == b,
            _ => false,
        }
    }
}

/// Holds all of some parts.
fn hull_of(checks: &Checks, parts: &[usize]) -> Option<Cuboid> {
    let mut places = parts.iter().filter_map(|i| checks.job.parts.get(*i)).map(|p| p.place);
    let first = places.next()?;
    Some(places.fold(first, |hull, place| {
        let on =
            |a: Axis| Interval::new(hull.on(a).lo.min(place.on(a).lo), hull.on(a).hi.max(place.on(a).hi));
        Cuboid { x: on(Axis::X), y: on(Axis::Y), z: on(Axis::Z) }
    }))
}

/// What may be struck in each root that has movers: parts, obstacles, wall, floor and ceiling.
fn bodies<'a>(
    checks: &Checks<'a>,
    roots: &BTreeMap<&str, Vec<Mover>>,
) -> Result<BTreeMap<&'a str, Vec<Body<'a>>>, Overflow> {
    let mut bodies: BTreeMap<&str, Vec<Body>> = BTreeMap::new();
    for (i, part) in checks.job.parts.iter().enumerate() {
        if roots.contains_key(part.root.as_str()) && !checks.is_unsure(&part.box_path) {
            bodies.entry(&part.root).or_default().push(Body::Part(i, part));
        }
    }
    for wall in &checks.job.walls {
        if !roots.contains_key(wall.path.as_str()) {
            continue;
        }
        let of_wall = bodies.entry(&wall.path).or_default();
        for obstacle in &wall.obstacles {
            let name = format!("`{}`", obstacle.path.rsplit('.').next().unwrap_or(&obstacle.path));
            of_wall.push(Body::Fixed(Box::new(Fixed {
                name,
                place: obstacle.place,
                origin: Some(obstacle.origin),
                everywhere: false,
            })));
        }
        let far = Rational::int(20_000);
        let wide = Interval::new(wall.place.x.lo.sub(far)?, wall.place.x.hi.add(far)?);
        let (low, high) = (wall.place.y.lo, wall.place.y.hi);
        let surface = wall.place.z.lo;
        let (front, rear) = (surface.sub(far)?, surface.add(far)?);
        let all = Interval::new(front, rear);
        let body = |x, y, z| Cuboid { x, y, z };
        for (name, place) in [
            ("the wall", body(wide, Interval::new(low, high), Interval::new(surface, rear))),
            ("the floor", body(wide, Interval::new(low.sub(far)?, low), all)),
            ("the ceiling", body(wide, Interval::new(high, high.add(far)?), all)),
        ] {
            let name = name.to_string();
            of_wall.push(Body::Fixed(Box::new(Fixed {
                name,
                place,
                origin: Some(wall.origin),
                everywhere: true,
            })));
        }
    }
    Ok(bodies)
}

impl Scene<'_> {
    fn look(&self, faults: &mut Faults) -> Result<(), Overflow> {
        let mut places: Vec<Cuboid> = self.bodies.iter().map(|b| *b.place()).collect();
        let first = places.len();
        for mover in &self.movers {
            places.push(self.reach(mover)?);
        }
        let mut near: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut pairs: Vec<(usize, usize)> = Vec::new();
        // Wall, floor and ceiling are everywhere; they are looked at apart, the sweep would drag them along.
        let everywhere: Vec<usize> = (0..first).filter(|b| self.is_everywhere(*b)).collect();
        let (mut swept, mut index) = (Vec::new(), Vec::new());
        for (i, place) in places.iter().enumerate() {
            if !self.is_everywhere(i) {
                swept.push(*place);
                index.push(i);
            }
        }
        sweep(&swept, |a, b| {
            if let (Some(a), Some(b)) = (index.get(a), index.get(b)) {
                let (a, b) = (*a.min(b), *a.max(b));
                match (a < first, b < first) {
                    (true, false) => near.entry(b - first).or_default().push(a),
                    (false, false) => pairs.push((a - first, b - first)),
                    _ => {}
                }
            }
            true
        });
        for (m, mover) in self.movers.iter().enumerate() {
            let mut close = near.remove(&m).unwrap_or_default();
            close.extend(&everywhere);
            close.sort();
            let bodies: Vec<&Body> = close
                .iter()
                .filter_map(|b| self.bodies.get(*b))
                .filter(|b| !self.goes_along(mover, b))
                .collect();
            match &mover.way {
                Way::Slides { along, by } => self.slide(mover, *along, *by, &bodies, faults)?,
                Way::Swings(turn) => self.swing(mover, turn, &bodies, faults)?,
            }
        }
        pairs.sort();
        self.both_open(&pairs, faults)
    }

    fn is_everywhere(&self, body: usize) -> bool {
        matches!(self.bodies.get(body), Some(Body::Fixed(f)) if f.everywhere)
    }

    /// True for what moves with the mover, for loose things that lie in it, and for what it may overlap.
    fn goes_along(&self, mover: &Mover, body: &Body) -> bool {
        let Some(i) = body.index() else { return false };
        mover.all.contains(&i)
            || self.links.is_alone(i) && mover.hull.holds(body.place())
            || mover.all.iter().any(|m| self.explained.contains(&(i.min(*m), i.max(*m))))
    }

    /// Everywhere the mover may come, a little too much rather than too little.
    fn reach(&self, mover: &Mover) -> Result<Cuboid, Overflow> {
        let all: Vec<usize> = mover.all.iter().copied().collect();
        let hull = hull_of(self.checks, &all).unwrap_or(mover.hull);
        match &mover.way {
            Way::Slides { along, by } => slide::swept(&hull, *along, *by),
            Way::Swings(turn) => turn.reach(&hull),
        }
    }

    /// What is struck, in a sentence and as a label.
    fn name(&self, body: &Body, beside: &Mover) -> String {
        match body {
            Body::Fixed(fixed) => fixed.name.clone(),
            Body::Part(_, part) => {
                let by = beside.own.first().and_then(|i| self.checks.job.parts.get(*i));
                let same = by.is_some_and(|b| b.box_path == part.box_path);
                if same { format!("`{}`", part.name()) } else { format!("`{}`", part.path) }
            }
        }
    }

    /// A fault at the thing that moves, labelled there, at the movement and at what is struck.
    fn struck(
        &self,
        code: &'static str,
        severity: Severity,
        message: String,
        mover: &Mover,
        body: Option<&Body>,
    ) -> Diagnostic {
        let checks = self.checks;
        let first = mover.own.first().and_then(|i| checks.job.parts.get(*i));
        let origin = match (checks.boxes.get(mover.thing), first) {
            (Some(of), _) => of.origin,
            (None, Some(part)) => part.origin,
            (None, None) => mover.origin,
        };
        let name = short(mover.thing);
        let mut fault = checks.fault(code, severity, message, origin, &format!("{name} is made here"));
        fault = because(fault, checks.trace, mover.origin);
        let other = match body {
            Some(Body::Part(_, part)) => Some((part.origin, self.name(&Body::Part(0, part), mover))),
            Some(Body::Fixed(fixed)) => fixed.origin.map(|o| (o, fixed.name.clone())),
            None => None,
        };
        if let Some((origin, name)) = other {
            fault.origins.push(origin.0);
            let span = checks.trace.span(origin);
            if fault.labels.iter().all(|l| l.span != span) {
                fault = fault.label(span, format!("{name} is here"));
            }
        }
        fault.boxes = first.map(|p| p.box_path.clone()).into_iter().collect();
        fault
    }
}

/// The last name of a path, in quotes.
fn short(path: &str) -> String {
    format!("`{}`", path.rsplit('.').next().unwrap_or(path))
}

/// `a is`, `a and b are`.
fn are(names: &[String]) -> String {
    format!("{} {}", listed(names), if names.len() == 1 { "is" } else { "are" })
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

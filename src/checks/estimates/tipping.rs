//! Tipping over: what stands free, with its drawers and doors out.

use super::net::{Mass, length};
use super::world::{Thing, World};
use super::{GRAVITY, real};
use crate::geometry::{Axis, Cuboid, Face};
use crate::job::{Job, Move};
use std::collections::{BTreeMap, BTreeSet};

/// Holding moment over turning moment that is taken as enough: our own judgement, for a hand that pulls,
/// a floor that gives and loads that are heavier than stated.
pub const ENOUGH: f64 = 1.5;

/// kg of the person that the tip-over test of ASTM F2057-23 stands for: 60 lb.
pub const CLIMBER: f64 = 27.215_542_2;

/// Moments about the front edge of what stands on the floor, in N m.
#[derive(Clone, Debug)]
pub struct Turning {
    /// What is out: paths of drawers and doors.
    pub out: Vec<String>,
    /// Of what is in front of the edge.
    pub turning: f64,
    /// Of what is behind it.
    pub holding: f64,
    /// mm that what is out reaches in front of the edge.
    pub reach: f64,
}

impl Turning {
    /// How many times the turning moment is held; `None` where nothing turns it.
    pub fn factor(&self) -> Option<f64> {
        (self.turning > 1e-9).then(|| self.holding / self.turning)
    }

    /// The same with a weight of [`CLIMBER`] on the front of what is out. Statics only, and no test passed.
    pub fn climbed(&self) -> Option<f64> {
        let turning = self.turning + CLIMBER * GRAVITY * self.reach.max(0.0) / 1000.0;
        (turning > 1e-9).then(|| self.holding / turning)
    }
}

/// A body that stands free and has something to pull out or open.
#[derive(Clone, Debug)]
pub struct Tipping {
    /// Its outermost boxes.
    pub boxes: Vec<String>,
    /// Index of the first of them in the job.
    pub index: usize,
    /// mm
    pub height: f64,
    /// With contents; what is not known counts nothing.
    pub mass: Mass,
    /// Each that moves alone, and all at once where there are several.
    pub cases: Vec<Turning>,
}

impl Tipping {
    /// The case that is held least.
    pub fn worst(&self) -> Option<&Turning> {
        let key = |t: &Turning| t.factor().unwrap_or(f64::INFINITY);
        self.cases.iter().min_by(|a, b| key(a).total_cmp(&key(b)))
    }

    /// N that a fixing at the top of the body must hold to bring the worst case up to what is enough.
    pub fn pull(&self) -> f64 {
        let Some(worst) = self.worst() else { return 0.0 };
        ((worst.turning * ENOUGH - worst.holding) * 1000.0 / self.height.max(1.0)).max(0.0)
    }
}

/// Outermost boxes joined by links into bodies.
pub(super) struct Bodies {
    up: Vec<usize>,
}

impl Bodies {
    pub fn of(world: &World<'_>) -> Bodies {
        let mut bodies = Bodies { up: (0..world.job.boxes.len()).collect() };
        for link in &world.job.links {
            let ends = [link.a, link.b].map(|p| world.outermost(Thing::Part(p)));
            if let [Some(a), Some(b)] = ends
                && a != b
            {
                bodies.join(a, b);
            }
        }
        bodies
    }

    fn top(&self, mut i: usize) -> usize {
        while let Some(up) = self.up.get(i).copied()
            && up != i
        {
            i = up;
        }
        i
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.top(a), self.top(b));
        if let Some(slot) = self.up.get_mut(a.max(b)) {
            *slot = a.min(b);
        }
    }

    /// The outermost boxes of each body.
    fn all(&self, job: &Job) -> Vec<Vec<usize>> {
        let mut sets: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for (i, _) in job.boxes.iter().enumerate().filter(|(_, b)| b.within.is_none()) {
            sets.entry(self.top(i)).or_default().push(i);
        }
        sets.into_values().collect()
    }
}

/// Outermost boxes that are held to a wall or hang.
fn fixed(world: &World<'_>) -> BTreeSet<usize> {
    let job = world.job;
    let mut held: BTreeSet<usize> = BTreeSet::new();
    let of_wall: BTreeSet<&str> = job
        .walls
        .iter()
        .flat_map(|w| w.obstacles.iter().map(|o| o.path.as_str()).chain([w.path.as_str()]))
        .collect();
    for fix in &job.fixes {
        for (part, other) in [(&fix.a, &fix.b), (&fix.b, &fix.a)] {
            if of_wall.contains(other.as_str()) {
                held.extend(world.find(part).and_then(|t| world.outermost(t)));
            }
        }
    }
    for rest in job.rests.iter().filter(|r| r.on.is_empty()) {
        held.extend(world.find(&rest.thing).and_then(|t| world.outermost(t)));
    }
    held
}

/// Outermost boxes that neither are held to a wall or hang nor are joined to one that is.
pub(super) fn unfixed(world: &World<'_>) -> Vec<usize> {
    let held = fixed(world);
    let bodies = Bodies::of(world).all(world.job);
    bodies.into_iter().filter(|boxes| !boxes.iter().any(|b| held.contains(b))).flatten().collect()
}

/// A mass and where its middle lies on z.
#[derive(Clone, Copy)]
struct Weight {
    kg: f64,
    z: f64,
}

fn middle(c: &Cuboid) -> f64 {
    (real(c.z.lo) + real(c.z.hi)) / 2.0
}

pub(super) fn all(world: &World<'_>) -> Vec<Tipping> {
    if world.job.moves.is_empty() {
        return Vec::new();
    }
    let mut held = fixed(world);
    // What stands in a row leans on its neighbours and is told of in the cautions.
    held.extend(world.job.boxes.iter().enumerate().filter(|(_, b)| b.row.is_some()).map(|(i, _)| i));
    let mut moves: BTreeMap<usize, Vec<(Thing, &Move)>> = BTreeMap::new();
    for m in &world.job.moves {
        let path = match m {
            Move::Slides { thing, .. } | Move::Swings { thing, .. } => thing,
        };
        if let Some(thing) = world.find(path)
            && let Some(of) = world.outermost(thing)
        {
            moves.entry(of).or_default().push((thing, m));
        }
    }
    let riders = Riders::of(world);
    let bodies = Bodies::of(world).all(world.job);
    bodies
        .iter()
        .filter(|boxes| !boxes.iter().any(|b| held.contains(b)))
        .filter_map(|boxes| {
            let moving: Vec<(Thing, &Move)> =
                boxes.iter().filter_map(|b| moves.get(b)).flatten().copied().collect();
            body(world, boxes, &moving, &riders)
        })
        .collect()
}

fn body(world: &World<'_>, boxes: &[usize], moving: &[(Thing, &Move)], riders: &Riders) -> Option<Tipping> {
    let parts: Vec<usize> = boxes.iter().filter_map(|b| world.parts_in.get(*b)).flatten().copied().collect();
    let places = || parts.iter().filter_map(|p| world.part(*p)).map(|p| &p.place);
    let floor = places().map(|c| c.y.lo).min()?;
    let top = places().map(|c| c.y.hi).max()?;
    // The front edge of what stands on the floor.
    let edge = real(places().filter(|c| c.y.lo == floor).map(|c| c.z.lo).min()?);
    let mut weights: BTreeMap<Thing, Weight> = BTreeMap::new();
    let mut mass = Mass::default();
    for p in &parts {
        let own = world.net_of(*p);
        mass += own;
        if let Some(part) = world.part(*p) {
            weights.insert(Thing::Part(*p), Weight { kg: own.kg, z: middle(&part.place) });
        }
    }
    for thing in boxes.iter().flat_map(|b| world.all_of(Thing::Box(*b))) {
        if let (Some(kg), Some(place)) = (world.loads.get(&thing), world.place(thing)) {
            mass += Mass::known(*kg);
            let at = weights.entry(thing).or_insert(Weight { kg: 0.0, z: middle(place) });
            // A load on a part lies in the middle of it.
            at.kg += kg;
        }
    }
    let shifts = movers(world, moving, riders);
    if shifts.is_empty() {
        return None;
    }
    let turn = |out: Vec<String>, moved: &[&Mover]| {
        let mut turning = Turning { out, turning: 0.0, holding: 0.0, reach: 0.0 };
        for mover in moved {
            // The free edge of a door lies as far again in front of its middle.
            let by = if mover.turns { mover.by * 2.0 } else { mover.by };
            for place in mover.things.iter().filter(|t| matches!(t, Thing::Part(_))) {
                if let Some(place) = world.place(*place) {
                    turning.reach = turning.reach.max(edge - real(place.z.lo) + by);
                }
            }
        }
        for (thing, weight) in &weights {
            let by: f64 = moved.iter().filter(|m| m.things.contains(thing)).map(|m| m.by).sum();
            let arm = (weight.z - by - edge) * weight.kg * GRAVITY / 1000.0;
            if arm < 0.0 {
                turning.turning -= arm;
            } else {
                turning.holding += arm;
            }
        }
        turning
    };
    let mut cases: Vec<Turning> = shifts.iter().map(|m| turn(vec![m.path.clone()], &[m])).collect();
    if shifts.len() > 1 {
        let all: Vec<&Mover> = shifts.iter().collect();
        cases.push(turn(shifts.iter().map(|m| m.path.clone()).collect(), &all));
    }
    Some(Tipping {
        boxes: boxes.iter().filter_map(|b| world.entry(*b)).map(|b| b.path.clone()).collect(),
        index: *boxes.first()?,
        height: real(top) - real(floor),
        mass,
        cases,
    })
}

/// What comes forward as one: a drawer with its front, a door.
struct Mover {
    /// What the first statement names.
    thing: Thing,
    path: String,
    things: BTreeSet<Thing>,
    /// mm that its middle comes forward.
    by: f64,
    turns: bool,
}

/// What moves, each once: slides at both sides, and a front that is moved by its own statement, are one
/// drawer with it.
fn movers(world: &World<'_>, moving: &[(Thing, &Move)], riders: &Riders) -> Vec<Mover> {
    let own: Vec<Thing> = moving.iter().map(|(thing, _)| *thing).collect();
    let mut all: Vec<Mover> = Vec::new();
    for (thing, how) in moving {
        let (by, turns) = match how {
            // A drawer opens towards the room whichever way it is written.
            Move::Slides { along: Axis::Z, by, .. } => (real(by.0).abs(), false),
            Move::Slides { .. } => continue,
            Move::Swings { about, .. } => match world.place(*thing).and_then(|c| reach(c, *about)) {
                Some(reach) => (reach, true),
                None => continue,
            },
        };
        let path = world.path(*thing).to_string();
        let things = riders.with(world, *thing, &own);
        let same = |m: &Mover| {
            // A drawer within a drawer runs out of it by itself.
            let nested = m.things.contains(thing) != things.contains(&m.thing);
            let joined = !turns && !nested && riders.joined(&m.things, &things);
            m.turns == turns && (m.by - by).abs() < 1e-9 && (m.thing == *thing || joined)
        };
        match all.iter_mut().find(|m| same(m)) {
            Some(mover) => {
                mover.things.extend(things);
                // Named after the box, or what comes first.
                if matches!(thing, Thing::Box(_)) {
                    mover.path = path;
                }
            }
            None => all.push(Mover { thing: *thing, path, things, by, turns }),
        }
    }
    all
}

/// How far the middle of a door comes forward when it stands straight out: half of its size across its
/// hinges. A door that turns about its front or rear does not come forward.
fn reach(c: &Cuboid, about: Face) -> Option<f64> {
    match about.axis() {
        Axis::X => Some(length(c.x) / 2.0),
        Axis::Y => Some(length(c.y) / 2.0),
        Axis::Z => None,
    }
}

/// Parts that only other parts hold: a front rides with the drawer it is screwed to.
struct Riders {
    /// Parts each part is fixed to.
    fixed: BTreeMap<usize, BTreeSet<usize>>,
}

impl Riders {
    fn of(world: &World<'_>) -> Riders {
        let mut fixed: BTreeMap<usize, BTreeSet<usize>> = BTreeMap::new();
        for fix in &world.job.fixes {
            if let (Some(Thing::Part(a)), Some(Thing::Part(b))) = (world.find(&fix.a), world.find(&fix.b)) {
                fixed.entry(a).or_default().insert(b);
                fixed.entry(b).or_default().insert(a);
            }
        }
        Riders { fixed }
    }

    /// True where a part of one is fixed to a part of the other.
    fn joined(&self, a: &BTreeSet<Thing>, b: &BTreeSet<Thing>) -> bool {
        let (few, many) = if a.len() < b.len() { (a, b) } else { (b, a) };
        few.iter().any(|t| match t {
            Thing::Part(p) => {
                let to = self.fixed.get(p).into_iter().flatten();
                to.into_iter().any(|other| many.contains(&Thing::Part(*other)))
            }
            Thing::Box(_) => false,
        })
    }

    /// A thing with all in it, and the parts that are fixed to nothing but these and move by no statement
    /// of their own.
    fn with(&self, world: &World<'_>, thing: Thing, own: &[Thing]) -> BTreeSet<Thing> {
        let mut all: BTreeSet<Thing> = world.all_of(thing).into_iter().collect();
        let mut next: Vec<Thing> = all.iter().copied().collect();
        while let Some(at) = next.pop() {
            let Thing::Part(p) = at else { continue };
            for other in self.fixed.get(&p).into_iter().flatten() {
                let rides = self
                    .fixed
                    .get(other)
                    .is_some_and(|to| to.iter().all(|part| all.contains(&Thing::Part(*part))));
                let other = Thing::Part(*other);
                if rides && !own.contains(&other) && all.insert(other) {
                    next.push(other);
                }
            }
        }
        all
    }
}

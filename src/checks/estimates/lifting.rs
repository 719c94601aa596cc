//! Lifting a box, and standing it up under a ceiling.

use super::net::{Mass, length};
use super::real;
use super::world::{Thing, World};
use crate::job::Move;
use std::collections::BTreeSet;

/// kg that one person lifts at most.
pub const ONE_PERSON: f64 = 23.0;

/// Where that figure is from.
pub const ONE_PERSON_SOURCE: &str =
    "the load constant of the revised NIOSH lifting equation (1991), for a lift close to the body";

/// kg that the revised NIOSH lifting equation recommends at most for a lift straight ahead, with good
/// grips and seldom done: held `reach` in front of the ankles, from `height` above the floor, moved up or
/// down by `travel`, all in mm. LC × 25/H × (1 − 0.003 |V − 75|) × (0.82 + 4.5/D), H, V and D in cm.
pub fn recommended(reach: f64, height: f64, travel: f64) -> f64 {
    let horizontal = 250.0 / reach.max(250.0);
    let vertical = (1.0 - 0.0003 * (height - 750.0).abs()).max(0.0);
    let distance = 0.82 + 45.0 / travel.max(250.0);
    ONE_PERSON * horizontal * vertical * distance
}

/// A box that stands higher than this above the floor hangs or is set on another and is not stood up
/// there: our own judgement, in mm.
const MOST_PLINTH: f64 = 300.0;

/// An outermost box and how many lift it.
#[derive(Clone, Debug)]
pub struct Lifted {
    pub path: String,
    /// Index into the boxes of the job.
    pub index: usize,
    /// All of it, empty.
    pub net: Mass,
    /// Its drawers and loose parts taken out.
    pub bare: Mass,
    /// How many lift it bare.
    pub people: u32,
}

/// A box at a wall that is stood up under the ceiling.
#[derive(Clone, Debug)]
pub struct StoodUp {
    pub path: String,
    pub index: usize,
    /// mm: its height, the lesser of its width and depth, and the diagonal of these.
    pub height: f64,
    pub side: f64,
    pub diagonal: f64,
    /// mm from the floor to its underside.
    pub lift: f64,
    /// mm
    pub ceiling: f64,
}

impl StoodUp {
    /// True where it goes up.
    pub fn fits(&self) -> bool {
        self.diagonal + self.lift <= self.ceiling + 1e-9
    }

    /// The height that would go up, in mm, if any.
    pub fn would_fit(&self) -> Option<f64> {
        let room = self.ceiling - self.lift;
        let square = room * room - self.side * self.side;
        (room > 0.0 && square > 0.0).then(|| square.sqrt())
    }
}

/// How many people lift a weight.
pub fn people(kg: f64) -> u32 {
    // A gram over is no third person.
    let n = ((kg - 1e-3) / ONE_PERSON).ceil();
    if n < 1.0 { 1 } else { n.min(1000.0) as u32 }
}

pub(super) fn lifted(world: &World<'_>) -> Vec<Lifted> {
    // What is taken out before lifting: loose parts, and what slides.
    let mut out: BTreeSet<usize> = BTreeSet::new();
    out.extend(world.job.parts.iter().enumerate().filter(|(_, p)| p.loose).map(|(i, _)| i));
    for m in &world.job.moves {
        if let Move::Slides { thing, .. } = m
            && let Some(thing) = world.find(thing)
        {
            out.extend(world.all_of(thing).into_iter().filter_map(|t| match t {
                Thing::Part(p) => Some(p),
                Thing::Box(_) => None,
            }));
        }
    }
    let mut list = Vec::new();
    for (index, entry) in world.job.boxes.iter().enumerate().filter(|(_, b)| b.within.is_none()) {
        let (mut net, mut bare) = (Mass::default(), Mass::default());
        for p in world.parts_in.get(index).into_iter().flatten() {
            let own = world.net_of(*p);
            net += own;
            if !out.contains(p) {
                bare += own;
            }
        }
        list.push(Lifted { path: entry.path.clone(), index, net, bare, people: people(bare.kg) });
    }
    list
}

pub(super) fn stood_up(world: &World<'_>) -> Vec<StoodUp> {
    let mut list = Vec::new();
    for (index, entry) in world.job.boxes.iter().enumerate().filter(|(_, b)| b.within.is_none()) {
        let Some(wall) = world.job.walls.iter().find(|w| w.path == entry.root) else { continue };
        let (width, height, depth) = (length(entry.place.x), length(entry.place.y), length(entry.place.z));
        let lift = (real(entry.place.y.lo) - real(wall.place.y.lo)).max(0.0);
        let side = width.min(depth);
        // What is lower than it is wide or deep is built the way it stands.
        if lift > MOST_PLINTH || height <= width.max(depth) {
            continue;
        }
        list.push(StoodUp {
            path: entry.path.clone(),
            index,
            height,
            side,
            diagonal: (height * height + side * side).sqrt(),
            lift,
            ceiling: length(wall.place.y),
        });
    }
    list
}

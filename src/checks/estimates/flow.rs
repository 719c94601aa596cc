//! Where weight goes: what a thing weighs with all that it carries and all that rests on it.

use super::net::Mass;
use super::world::{Thing, World};
use crate::job::Origin;
use std::collections::{BTreeMap, BTreeSet};

/// A thing, the share of its weight that arrives, and the statement that says so.
type Arrival = (Thing, f64, usize);

pub(super) struct Flow<'w, 'a> {
    world: &'w World<'a>,
    /// What rests on each thing.
    upon: BTreeMap<Thing, Vec<Arrival>>,
    /// What it comes to, for single things.
    known: BTreeMap<Thing, Mass>,
    /// Things whose weight is being added up.
    busy: BTreeSet<Thing>,
    /// Statements that lead back.
    back: BTreeSet<usize>,
}

impl<'w, 'a> Flow<'w, 'a> {
    pub fn of(world: &'w World<'a>) -> Flow<'w, 'a> {
        let mut upon: BTreeMap<Thing, Vec<Arrival>> = BTreeMap::new();
        for (thing, on) in supports(world) {
            let all: f64 = on.keys().map(|t| world.width(*t)).sum();
            for (under, statement) in &on {
                let share = if all > 0.0 { world.width(*under) / all } else { 1.0 / on.len() as f64 };
                upon.entry(*under).or_default().push((thing, share, *statement));
            }
        }
        Flow { world, upon, known: BTreeMap::new(), busy: BTreeSet::new(), back: BTreeSet::new() }
    }

    /// The weight of things with all they carry and all that rests on them; each counts once.
    pub fn borne(&mut self, things: &[Thing]) -> Mass {
        if let [one] = things {
            return self.of_one(*one);
        }
        let given: BTreeSet<Thing> = things.iter().copied().collect();
        // One that stands in another of the list is in that one's weight.
        let own: Vec<Thing> = given
            .iter()
            .copied()
            .filter(|t| !self.world.around(*t).iter().any(|b| given.contains(&Thing::Box(*b))))
            .collect();
        self.add_up(&own)
    }

    fn of_one(&mut self, thing: Thing) -> Mass {
        if let Some(mass) = self.known.get(&thing) {
            return *mass;
        }
        self.busy.insert(thing);
        let mass = self.add_up(&[thing]);
        self.busy.remove(&thing);
        self.known.insert(thing, mass);
        mass
    }

    fn add_up(&mut self, things: &[Thing]) -> Mass {
        let mut mass = Mass::default();
        let mut all: BTreeSet<Thing> = BTreeSet::new();
        for thing in things {
            mass += self.world.own(*thing);
            mass += Mass::known(self.world.contents(*thing));
            all.extend(self.world.all_of(*thing));
        }
        if self.upon.is_empty() {
            return mass;
        }
        let arrivals: Vec<Arrival> = all.iter().filter_map(|t| self.upon.get(t)).flatten().copied().collect();
        for (from, share, statement) in arrivals {
            if all.contains(&from) {
                continue;
            }
            if self.busy.contains(&from) {
                self.back.insert(statement);
                continue;
            }
            let mut more = self.of_one(from);
            // A box that rests on a part of its own: that part's weight is there already.
            for thing in
                things.iter().filter(|t| matches!(from, Thing::Box(b) if self.world.around(**t).contains(&b)))
            {
                let own = self.world.own(*thing);
                more.kg -= own.kg + self.world.contents(*thing);
                more.unknown -= own.unknown.min(more.unknown);
            }
            mass += more.times(share);
        }
        mass
    }

    /// The statements that lead back to where they started.
    pub fn circles(mut self) -> Vec<Origin> {
        let all: Vec<Thing> = self.upon.keys().copied().collect();
        for thing in all {
            self.of_one(thing);
        }
        self.back.iter().filter_map(|i| self.world.job.rests.get(*i)).map(|r| r.origin).collect()
    }
}

/// What each thing rests on, over all statements.
pub(super) fn supports(world: &World<'_>) -> BTreeMap<Thing, BTreeMap<Thing, usize>> {
    let mut all: BTreeMap<Thing, BTreeMap<Thing, usize>> = BTreeMap::new();
    for (i, rest) in world.job.rests.iter().enumerate() {
        let Some(thing) = world.find(&rest.thing) else { continue };
        let on = all.entry(thing).or_default();
        for under in rest.on.iter().filter_map(|path| world.find(path)) {
            on.entry(under).or_insert(i);
        }
    }
    all
}

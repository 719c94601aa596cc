//! In which order bodies are set up: what carries before what it carries, the wall's own before what hangs
//! on it, and what hangs before what would stand in the way below.

use super::apart::{Body, PathKey};
use super::solids::extent;
use super::units::{Table, Unit, parts_of};
use crate::geometry::{Axis, Cuboid};
use crate::job::{Fix, Job, Part, Resting};
use std::collections::{BTreeMap, BTreeSet};

/// How a body comes to be where it is.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Footing {
    /// Held to the wall.
    Wall,
    /// Hooked over parts that are up already.
    Hung(Vec<usize>),
    /// Set on parts below it.
    On(Vec<usize>),
    /// Held by what is beside it only.
    Held,
    /// On the floor, or by itself.
    Floor,
}

/// A body where it stands.
#[derive(Clone, Debug)]
pub struct Standing {
    pub body: Body,
    pub footing: Footing,
    /// Whether others stand on it.
    pub carries: bool,
}

/// All bodies in the order in which they are set up.
#[derive(Clone, Debug, Default)]
pub struct Site {
    pub standing: Vec<Standing>,
    /// Paths of what rests on itself by way of others.
    pub ring: Vec<String>,
}

struct Spot {
    body: Body,
    parts: Vec<usize>,
    place: Cuboid,
    path: String,
    /// How many fixes away from the wall.
    from_wall: Option<usize>,
}

pub(super) fn order(table: &Table, units: &[Unit], standing: &[Body]) -> Site {
    let mut roots: BTreeMap<PathKey, Vec<Spot>> = BTreeMap::new();
    for body in standing {
        let parts = parts_of(units, *body);
        let own: Vec<&Part> = parts.iter().filter_map(|p| table.job.parts.get(*p)).collect();
        let (Some(first), Some(place)) = (own.first(), extent(own.iter().map(|p| &p.place))) else {
            continue;
        };
        let path = match body {
            Body::Unit(u) => units.get(*u).map(|u| u.path.clone()).unwrap_or_default(),
            Body::Part(_) => first.path.clone(),
        };
        roots.entry(PathKey(first.root.clone())).or_default().push(Spot {
            body: *body,
            parts,
            place,
            path,
            from_wall: None,
        });
    }
    let mut site = Site::default();
    let walls = wall_paths(table.job);
    let said = Said::new(table);
    for (_, spots) in roots {
        Root::new(table, spots, &walls, &said).run(&mut site);
    }
    site
}

/// Walls and what stands on them.
fn wall_paths(job: &Job) -> BTreeSet<&str> {
    let walls = job.walls.iter().map(|w| w.path.as_str());
    walls.chain(job.walls.iter().flat_map(|w| w.obstacles.iter().map(|o| o.path.as_str()))).collect()
}

/// Which rests and fixes are of which root.
#[derive(Default)]
struct Said<'a> {
    rests: BTreeMap<&'a str, Vec<&'a Resting>>,
    fixes: BTreeMap<&'a str, Vec<&'a Fix>>,
}

impl<'a> Said<'a> {
    fn new(table: &Table<'a>) -> Said<'a> {
        let mut said = Said::default();
        let root = |p: usize| table.job.parts.get(p).map(|p| p.root.as_str());
        for rest in &table.job.rests {
            if let Some(root) = table.under(&rest.thing).first().and_then(|p| root(*p)) {
                said.rests.entry(root).or_default().push(rest);
            }
        }
        for fix in &table.job.fixes {
            if let Some(root) = table.part(&fix.a).or(table.part(&fix.b)).and_then(root) {
                said.fixes.entry(root).or_default().push(fix);
            }
        }
        said
    }
}

struct Root<'a, 't> {
    table: &'t Table<'a>,
    /// What is said of this root.
    rests: &'t [&'a Resting],
    fixes: &'t [&'a Fix],
    spots: Vec<Spot>,
    of: BTreeMap<usize, usize>,
    before: BTreeSet<(usize, usize)>,
    below: BTreeMap<usize, BTreeSet<usize>>,
    hung: BTreeMap<usize, BTreeSet<usize>>,
    fixed: BTreeSet<(usize, usize)>,
}

impl<'a, 't> Root<'a, 't> {
    fn new(
        table: &'t Table<'a>,
        spots: Vec<Spot>,
        walls: &BTreeSet<&str>,
        said: &'t Said<'a>,
    ) -> Root<'a, 't> {
        let first = spots.first().and_then(|s| s.parts.first()).and_then(|p| table.job.parts.get(*p));
        let root = first.map_or("", |p| p.root.as_str());
        let of: BTreeMap<usize, usize> =
            spots.iter().enumerate().flat_map(|(i, s)| s.parts.iter().map(move |p| (*p, i))).collect();
        let mut root = Root {
            table,
            rests: said.rests.get(root).map_or(&[], Vec::as_slice),
            fixes: said.fixes.get(root).map_or(&[], Vec::as_slice),
            spots,
            of,
            before: BTreeSet::new(),
            below: BTreeMap::new(),
            hung: BTreeMap::new(),
            fixed: BTreeSet::new(),
        };
        if root.spots.len() > 1 || !walls.is_empty() {
            root.find_contacts();
            root.find_hooks();
            root.find_rests();
            root.find_fixes(walls);
            root.find_wishes();
        }
        root
    }

    fn part(&self, p: usize) -> Option<&'a Part> {
        self.table.job.parts.get(p)
    }

    /// What lies on top of what.
    fn find_contacts(&mut self) {
        for i in 0..self.spots.len() {
            for j in 0..self.spots.len() {
                let (upper, lower) = (&self.spots[i], &self.spots[j]);
                let apart = |a: Axis| upper.place.on(a).common(lower.place.on(a)).is_none();
                if i == j || apart(Axis::X) || apart(Axis::Z) || upper.place.y.lo > lower.place.y.hi {
                    continue;
                }
                let mut on = BTreeSet::new();
                for (p, a) in upper.parts.iter().filter_map(|p| self.part(*p).map(|a| (p, a))) {
                    for (q, b) in lower.parts.iter().filter_map(|q| self.part(*q).map(|b| (q, b))) {
                        let over = |axis: Axis| a.place.on(axis).common(b.place.on(axis)).is_some();
                        if a.place.y.lo == b.place.y.hi && over(Axis::X) && over(Axis::Z) && p != q {
                            on.insert(*q);
                        }
                    }
                }
                if !on.is_empty() {
                    self.below.entry(i).or_default().extend(on);
                    self.before.insert((j, i));
                }
            }
        }
    }

    /// Two bevels that hook: explained, and neither is cut into the other.
    fn find_hooks(&mut self) {
        for (p, q) in self.table.hooks.iter().copied() {
            let (Some(i), Some(j)) = (self.of.get(&p).copied(), self.of.get(&q).copied()) else { continue };
            let (Some(a), Some(b)) = (self.part(p), self.part(q)) else { continue };
            if i == j {
                continue;
            }
            let (upper, on, lower) = if a.place.y.lo < b.place.y.lo { (j, p, i) } else { (i, q, j) };
            self.hung.entry(upper).or_default().insert(on);
            self.before.insert((lower, upper));
        }
    }

    fn spots_under(&self, path: &str) -> BTreeSet<usize> {
        self.table.under(path).iter().filter_map(|p| self.of.get(p).copied()).collect()
    }

    fn find_rests(&mut self) {
        for rest in self.rests {
            let things = self.spots_under(&rest.thing);
            for on in &rest.on {
                for lower in self.spots_under(on) {
                    self.before.extend(things.iter().filter(|t| **t != lower).map(|t| (lower, *t)));
                }
            }
        }
    }

    fn find_fixes(&mut self, walls: &BTreeSet<&str>) {
        for fix in self.fixes {
            let at = |path: &str| self.table.part(path).and_then(|p| self.of.get(&p).copied());
            let (a, b) = (at(&fix.a), at(&fix.b));
            for (here, there) in [(a, &fix.b), (b, &fix.a)] {
                if let Some(spot) = here.filter(|_| walls.contains(there.as_str())) {
                    self.spots[spot].from_wall = Some(0);
                }
            }
            if let (Some(a), Some(b)) = (a, b) {
                if a != b {
                    self.fixed.insert((a.min(b), a.max(b)));
                }
            }
            for spot in [a, b].into_iter().flatten() {
                let named: Vec<usize> = fix.after.iter().flat_map(|path| self.spots_under(path)).collect();
                for first in named {
                    if ![a, b].contains(&Some(first)) {
                        self.before.insert((first, spot));
                    }
                }
            }
        }
        let mut at: Vec<usize> =
            (0..self.spots.len()).filter(|i| self.spots[*i].from_wall.is_some()).collect();
        let mut distance = 0;
        while !at.is_empty() {
            distance += 1;
            let mut next = Vec::new();
            for (a, b) in &self.fixed {
                for (here, there) in [(*a, *b), (*b, *a)] {
                    if at.contains(&here) && self.spots[there].from_wall.is_none() {
                        self.spots[there].from_wall = Some(distance);
                        next.push(there);
                    }
                }
            }
            at = next;
        }
    }

    /// What is better done first, unless it cannot be.
    fn find_wishes(&mut self) {
        let mut wishes = Vec::new();
        for (a, b) in &self.fixed {
            match (self.spots[*a].from_wall, self.spots[*b].from_wall) {
                (Some(m), Some(n)) if m < n => wishes.push((*a, *b)),
                (Some(m), Some(n)) if n < m => wishes.push((*b, *a)),
                _ => {}
            }
        }
        // What is only held by others waits for them.
        for (a, b) in &self.fixed {
            match (self.footing(*a) == Footing::Held, self.footing(*b) == Footing::Held) {
                (true, false) => wishes.push((*b, *a)),
                (false, true) => wishes.push((*a, *b)),
                _ => {}
            }
        }
        // Who hangs a box stands where a bench will be.
        for (hung, on) in &self.hung {
            let high = self.spots[*hung].place;
            let hooks: BTreeSet<usize> = on.iter().filter_map(|p| self.of.get(p).copied()).collect();
            for (i, low) in self.spots.iter().enumerate() {
                let under = low.place.y.hi <= high.y.lo && low.place.x.common(high.x).is_some();
                if under && i != *hung && !hooks.contains(&i) && low.from_wall != Some(0) {
                    wishes.push((*hung, i));
                }
            }
        }
        for (first, then) in wishes {
            if !self.leads(then, first) {
                self.before.insert((first, then));
            }
        }
    }

    fn leads(&self, from: usize, to: usize) -> bool {
        let mut seen = BTreeSet::from([from]);
        let mut open = vec![from];
        while let Some(at) = open.pop() {
            if at == to {
                return true;
            }
            for (_, next) in self.before.range((at, 0)..=(at, usize::MAX)) {
                if seen.insert(*next) {
                    open.push(*next);
                }
            }
        }
        false
    }

    fn footing(&self, i: usize) -> Footing {
        let spot = &self.spots[i];
        if let Some(on) = self.hung.get(&i) {
            return Footing::Hung(on.iter().copied().collect());
        }
        if let Some(on) = self.below.get(&i) {
            return Footing::On(on.iter().copied().collect());
        }
        match spot.from_wall {
            Some(0) => Footing::Wall,
            // What others hook over is on the wall, even where the text does not say how.
            None if self.hung.values().flatten().any(|p| spot.parts.contains(p)) => Footing::Wall,
            _ if self.fixed.iter().any(|(a, b)| *a == i || *b == i) && !self.stands(i) => Footing::Held,
            _ => Footing::Floor,
        }
    }

    /// Whether nothing in its root lies lower, or it comes near the lowest.
    fn stands(&self, i: usize) -> bool {
        let lowest = self.spots.iter().map(|s| s.place.y.lo).min();
        lowest.is_none_or(|y| self.spots[i].place.y.lo <= y)
    }

    fn run(self, site: &mut Site) {
        let key = |root: &Root, i: usize| {
            let spot = &root.spots[i];
            let hooks = root.hung.values().flatten().any(|p| spot.parts.contains(p));
            let class = match root.footing(i) {
                Footing::Wall => 0,
                // Boxes hang before a bench is in the way, and all that they hang on is up before them.
                _ if hooks => 1,
                Footing::Hung(_) => 2,
                _ => 3,
            };
            (class, spot.place.y.lo, spot.place.x.lo, PathKey(spot.path.clone()), i)
        };
        let mut waiting: BTreeMap<usize, usize> = (0..self.spots.len()).map(|i| (i, 0)).collect();
        for (_, then) in &self.before {
            *waiting.entry(*then).or_insert(0) += 1;
        }
        let mut ready: BTreeSet<_> =
            waiting.iter().filter(|(_, n)| **n == 0).map(|(i, _)| key(&self, *i)).collect();
        while !waiting.is_empty() {
            let next = match ready.pop_first() {
                Some((.., i)) => i,
                None => {
                    // A ring: told once, then broken where it is lowest.
                    if site.ring.is_empty() {
                        site.ring = waiting.keys().map(|i| self.spots[*i].path.clone()).collect();
                    }
                    match waiting.keys().copied().min_by_key(|i| key(&self, *i)) {
                        Some(i) => i,
                        None => break,
                    }
                }
            };
            if waiting.remove(&next).is_none() {
                continue;
            }
            let carries = self.below.values().flatten().any(|p| self.spots[next].parts.contains(p));
            site.standing.push(Standing {
                body: self.spots[next].body,
                footing: self.footing(next),
                carries,
            });
            let after: Vec<usize> =
                self.before.range((next, 0)..=(next, usize::MAX)).map(|(_, then)| *then).collect();
            for then in after {
                if let Some(n) = waiting.get_mut(&then) {
                    *n = n.saturating_sub(1);
                    if *n == 0 {
                        ready.insert(key(&self, then));
                    }
                }
            }
        }
    }
}

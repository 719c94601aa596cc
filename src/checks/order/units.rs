//! What is built as one at the bench: for each box the bodies that its joints hold together.

use super::apart::{self, Act, Body, PathKey};
use super::site::{self, Site};
use super::solids::{extent, solid};
use crate::geometry::{Axis, Cuboid, Face};
use crate::job::{Fix, Job, Move, Part};
use crate::values::Rational;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::Bound;

/// A body that is built at the bench.
#[derive(Debug)]
pub struct Unit {
    /// The path of its box.
    pub path: String,
    /// Indices into the job's parts.
    pub parts: Vec<usize>,
    pub acts: Vec<Act>,
    /// The side that is down while it is built.
    pub bench: Face,
    /// Parts that found no way in.
    pub stuck: Vec<usize>,
}

/// Why a body is put in after all others.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum LateKind {
    /// Nothing holds it: a shelf on pins.
    Loose,
    /// It slides, and is built by itself.
    Sliding,
    /// It swings, or covers what is behind it.
    Front,
}

/// A body that is put in after all others.
#[derive(Clone, Copy, Debug)]
pub struct Late {
    pub kind: LateKind,
    pub body: Body,
}

/// The whole order.
#[derive(Debug, Default)]
pub struct Order {
    /// Each after those it is made of.
    pub units: Vec<Unit>,
    pub site: Site,
    /// In the order in which they go in.
    pub late: Vec<Late>,
}

/// A fix between two parts.
pub(super) struct Tie {
    pub a: usize,
    pub b: usize,
    /// Rooms that must be free while it is driven.
    pub room: Vec<Cuboid>,
    /// Nothing is bored for it.
    pub pins: bool,
}

/// What is looked up again and again.
pub(super) struct Table<'a> {
    pub job: &'a Job,
    pub index: BTreeMap<&'a str, usize>,
    pub solids: Vec<Vec<Cuboid>>,
    /// For each part, those joined to it by a fix or a cut.
    joined: BTreeMap<usize, BTreeSet<usize>>,
    /// Mounts by the part they are set on.
    mounts: BTreeMap<usize, Vec<usize>>,
    /// A part that is let in, and into what.
    pub hosts: BTreeMap<usize, BTreeSet<usize>>,
    /// Parts that hook into each other by two bevels.
    pub hooks: Vec<(usize, usize)>,
    ties: Vec<Tie>,
    ties_of: BTreeMap<usize, Vec<usize>>,
}

impl<'a> Table<'a> {
    fn new(job: &'a Job) -> Table<'a> {
        let index: BTreeMap<&str, usize> =
            job.parts.iter().zip(0..).map(|(p, i)| (p.path.as_str(), i)).collect();
        let mut table = Table {
            job,
            solids: job.parts.iter().map(solid).collect(),
            index,
            joined: BTreeMap::new(),
            mounts: BTreeMap::new(),
            hosts: BTreeMap::new(),
            hooks: Vec::new(),
            ties: Vec::new(),
            ties_of: BTreeMap::new(),
        };
        for (q, part) in job.parts.iter().enumerate() {
            for p in part.cuts.iter().filter_map(|c| c.by.as_deref()) {
                let Some(p) = table.part(p) else { continue };
                table.join(p, q);
                table.hosts.entry(p).or_default().insert(q);
            }
        }
        let cut = |t: &Table, a: &usize, b: &usize| t.hosts.get(a).is_some_and(|q| q.contains(b));
        let hooks = job.explained.iter().copied().filter(|(a, b)| !cut(&table, a, b) && !cut(&table, b, a));
        table.hooks = hooks.collect();
        for fix in &job.fixes {
            let (Some(a), Some(b)) = (table.part(&fix.a), table.part(&fix.b)) else { continue };
            table.join(a, b);
            for end in [a, b] {
                table.ties_of.entry(end).or_default().push(table.ties.len());
            }
            let pins = pins_only(job, fix, a, b);
            table.ties.push(Tie { a, b, room: apart::driver_rooms(job, fix, a, b), pins });
        }
        for (n, mount) in job.mounts.iter().enumerate() {
            if let Some(on) = table.part(&mount.on) {
                table.mounts.entry(on).or_default().push(n);
            }
        }
        table
    }

    fn join(&mut self, a: usize, b: usize) {
        self.joined.entry(a).or_default().insert(b);
        self.joined.entry(b).or_default().insert(a);
    }

    /// Parts joined to a part by a fix or a cut.
    pub fn joined(&self, part: usize) -> impl Iterator<Item = usize> + '_ {
        self.joined.get(&part).into_iter().flatten().copied()
    }

    /// Let into others, and held by nothing that is bored for among those that `here` tells.
    pub fn is_panel(&self, part: usize, here: impl Fn(usize) -> bool) -> bool {
        self.hosts.contains_key(&part)
            && !self.fixes_of(&[part]).any(|tie| !tie.pins && here(tie.a) && here(tie.b))
    }

    /// Mounts set on a part.
    pub fn mounts_on(&self, part: usize) -> &[usize] {
        self.mounts.get(&part).map_or(&[], Vec::as_slice)
    }

    pub fn part(&self, path: &str) -> Option<usize> {
        self.index.get(path).copied()
    }

    /// The parts at or below a path.
    pub fn under(&self, path: &str) -> Vec<usize> {
        match self.part(path) {
            Some(part) => vec![part],
            None => {
                let inside = format!("{path}.");
                let from = (Bound::Included(inside.as_str()), Bound::Unbounded);
                let after = self.index.range::<str, _>(from).take_while(|(p, _)| p.starts_with(&inside));
                let mut found: Vec<usize> = after.map(|(_, i)| *i).collect();
                found.sort();
                found
            }
        }
    }

    /// How high a mount is set.
    pub fn mount_height(&self, n: usize) -> Option<Rational> {
        let mount = self.job.mounts.get(n)?;
        let part = self.job.parts.get(self.part(&mount.on)?)?;
        apart::lowest_hole(part, mount.face, &mount.joint)
    }

    pub fn fixes_of<'s>(&'s self, parts: &'s [usize]) -> impl Iterator<Item = &'s Tie> + 's {
        let of = |p: &usize| self.ties_of.get(p).map_or(&[] as &[usize], Vec::as_slice);
        parts.iter().flat_map(of).filter_map(|n| self.ties.get(*n))
    }
}

/// A fix for which nothing is bored: pins that only tack.
fn pins_only(job: &Job, fix: &Fix, a: usize, b: usize) -> bool {
    let bored =
        |p: usize| job.parts.get(p).is_some_and(|p| p.holes.iter().any(|h| h.joints.contains(&fix.joint)));
    fix.with.is_some() && !fix.glue && !bored(a) && !bored(b)
}

/// In which order a job is built.
pub fn order(job: &Job) -> Order {
    let table = Table::new(job);
    let mut maker = Maker {
        table: &table,
        own: BTreeMap::new(),
        inside: BTreeMap::new(),
        late: BTreeMap::new(),
        moving: BTreeMap::new(),
        units: Vec::new(),
        last: Vec::new(),
    };
    for m in &job.moves {
        match m {
            Move::Slides { thing, .. } => maker.moving.entry(thing).or_insert(LateKind::Sliding),
            Move::Swings { thing, .. } => maker.moving.entry(thing).or_insert(LateKind::Front),
        };
    }
    let mut top: BTreeMap<&str, &str> = BTreeMap::new();
    let mut roots: Vec<&str> = Vec::new();
    for b in &job.boxes {
        match b.within.as_deref() {
            Some(within) => maker.inside.entry(within).or_default().push(&b.path),
            None => roots.push(&b.path),
        }
        top.insert(&b.path, b.within.as_deref().unwrap_or(""));
    }
    let outermost: BTreeMap<&str, &Cuboid> =
        job.boxes.iter().filter(|b| b.within.is_none()).map(|b| (b.path.as_str(), &b.place)).collect();
    let mut outer: Vec<&str> = Vec::with_capacity(job.parts.len());
    for (i, part) in job.parts.iter().enumerate() {
        maker.own.entry(&part.box_path).or_default().push(i);
        let mut at = part.box_path.as_str();
        while let Some(up) = top.get(at).filter(|up| !up.is_empty()) {
            at = up;
        }
        outer.push(at);
        if let Some(kind) = maker.lateness(part, outermost.get(at).copied()) {
            maker.late.insert(i, kind);
        }
    }
    let mut standing = Vec::new();
    for root in roots {
        standing.extend(maker.bodies(root));
    }
    let Maker { units, mut last, .. } = maker;
    last.sort_by_cached_key(|l| late_key(&table, &units, &outermost, &outer, l));
    let site = site::order(&table, &units, &standing);
    Order { units, site, late: last }
}

/// Loose things first, then what slides, then fronts; box by box from left to right, from below upwards.
fn late_key(
    table: &Table,
    units: &[Unit],
    outermost: &BTreeMap<&str, &Cuboid>,
    outer: &[&str],
    late: &Late,
) -> impl Ord + use<> {
    let parts = parts_of(units, late.body);
    let own: Vec<&Part> = parts.iter().filter_map(|p| table.job.parts.get(*p)).collect();
    let place = extent(own.iter().map(|p| &p.place));
    let first = own.first();
    let of = parts.first().and_then(|p| outer.get(*p)).and_then(|path| outermost.get_key_value(path));
    (
        first.map(|p| PathKey(p.root.clone())),
        late.kind,
        of.map(|(path, place)| (place.x.lo, place.y.lo, PathKey((*path).to_string()))),
        place.map(|p| (p.y.lo, p.x.lo)),
        first.map(|p| PathKey(p.path.clone())),
    )
}

/// The parts of a body, in order.
pub(super) fn parts_of(units: &[Unit], body: Body) -> Vec<usize> {
    match body {
        Body::Part(p) => vec![p],
        Body::Unit(u) => units.get(u).map(|u| u.parts.clone()).unwrap_or_default(),
    }
}

struct Maker<'a, 't> {
    table: &'t Table<'a>,
    /// Parts of each box, and boxes in each, by path.
    own: BTreeMap<&'a str, Vec<usize>>,
    inside: BTreeMap<&'a str, Vec<&'a str>>,
    late: BTreeMap<usize, LateKind>,
    moving: BTreeMap<&'a str, LateKind>,
    units: Vec<Unit>,
    last: Vec<Late>,
}

impl<'a> Maker<'a, '_> {
    fn lateness(&self, part: &Part, outermost: Option<&Cuboid>) -> Option<LateKind> {
        let moves = self.moving.get(part.path.as_str()).copied();
        let upright = part.axes[2] == Axis::Z;
        // What lies wholly before its box covers it.
        let before = part.proud && upright && outermost.is_some_and(|b| part.place.z.hi <= b.z.lo);
        match moves {
            Some(LateKind::Sliding) if !upright => Some(LateKind::Sliding),
            Some(_) => Some(LateKind::Front),
            None if before => Some(LateKind::Front),
            None => part.loose.then_some(LateKind::Loose),
        }
    }

    /// The bodies of a box that are still to be joined further out.
    fn bodies(&mut self, path: &'a str) -> Vec<Body> {
        let mut all: Vec<Body> = Vec::new();
        for part in self.own.get(path).cloned().unwrap_or_default() {
            match self.late.get(&part) {
                Some(kind) => self.last.push(Late { kind: *kind, body: Body::Part(part) }),
                None => all.push(Body::Part(part)),
            }
        }
        for inner in self.inside.get(path).cloned().unwrap_or_default() {
            let bodies = self.bodies(inner);
            match self.moving.get(inner).copied() {
                Some(kind) => self.last.extend(bodies.into_iter().map(|body| Late { kind, body })),
                None => all.extend(bodies),
            }
        }
        let groups = self.held_together(&all);
        let mut out = Vec::with_capacity(groups.len());
        for group in groups {
            match group[..] {
                [only] => out.push(only),
                _ => {
                    let bench = self.bench(&group);
                    let unit = apart::build(self.table, &mut self.units, path, &group, bench);
                    self.units.push(unit);
                    out.push(Body::Unit(self.units.len() - 1));
                }
            }
        }
        out
    }

    /// Bodies grouped by the joints between them.
    fn held_together(&self, all: &[Body]) -> Vec<Vec<Body>> {
        let mut of: BTreeMap<usize, usize> = BTreeMap::new();
        for (i, body) in all.iter().enumerate() {
            of.extend(parts_of(&self.units, *body).into_iter().map(|p| (p, i)));
        }
        let mut group: Vec<usize> = (0..all.len()).collect();
        fn root(group: &[usize], mut i: usize) -> usize {
            while let Some(up) = group.get(i).copied().filter(|up| *up != i) {
                i = up;
            }
            i
        }
        // Only links of parts that are here are walked, so that a job of many boxes takes no longer for each.
        for (part, i) in &of {
            for other in self.table.joined(*part) {
                if let Some(j) = of.get(&other) {
                    let (i, j) = (root(&group, *i), root(&group, *j));
                    let (low, high) = (i.min(j), i.max(j));
                    if let Some(of) = group.get_mut(high) {
                        *of = low;
                    }
                }
            }
        }
        let mut out: BTreeMap<usize, Vec<Body>> = BTreeMap::new();
        for (i, body) in all.iter().enumerate() {
            let of = root(&group, i);
            out.entry(of).or_default().push(*body);
        }
        out.into_values().collect()
    }

    /// The side that goes down on the bench: nothing is driven from it, most parts are flush with it, and the
    /// body stands low on it.
    fn bench(&self, group: &[Body]) -> Face {
        const SIDES: [Face; 6] = [Face::Front, Face::Top, Face::Rear, Face::Bottom, Face::Left, Face::Right];
        let parts: Vec<usize> = group.iter().flat_map(|b| parts_of(&self.units, *b)).collect();
        let own: Vec<&Part> = parts.iter().filter_map(|p| self.table.job.parts.get(*p)).collect();
        let Some(whole) = extent(own.iter().map(|p| &p.place)) else { return Face::Front };
        let at = |f: Face, c: &Cuboid| {
            let r = c.on(f.axis());
            if f.is_high() { r.hi } else { r.lo }
        };
        let among: BTreeSet<usize> = parts.iter().copied().collect();
        let driven: BTreeSet<Face> = self
            .table
            .fixes_of(&parts)
            .filter(|tie| among.contains(&tie.a) && among.contains(&tie.b))
            .flat_map(|tie| &tie.room)
            .filter_map(|room| {
                SIDES.into_iter().find(|f| {
                    let (room, whole) = (room.on(f.axis()), whole.on(f.axis()));
                    if f.is_high() { room.lo >= whole.hi } else { room.hi <= whole.lo }
                })
            })
            .collect();
        // Panels in grooves stand where they may; an edge that is banded shows, and flat on a bench it is flush.
        let solid: Vec<&Part> = parts
            .iter()
            .filter(|p| !self.table.is_panel(**p, |q| among.contains(&q)))
            .filter_map(|p| self.table.job.parts.get(*p))
            .collect();
        let score = |f: &Face| {
            let flush = solid.iter().filter(|p| at(*f, &p.place) == at(*f, &whole));
            let flush: usize = flush.map(|p| 1 + usize::from(p.bands.contains_key(f))).sum();
            let height = whole.on(f.axis()).size().ok();
            // Down on the bench is what lies across from where screws are driven.
            let across = driven.contains(&f.opposite());
            (driven.contains(f), !across, std::cmp::Reverse(flush), height)
        };
        SIDES.into_iter().min_by_key(score).unwrap_or(Face::Front)
    }
}

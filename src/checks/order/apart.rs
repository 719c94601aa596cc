//! Taking one body apart, piece by piece; read backwards it is the order of building it.

use super::solids::{blocks, extent, overlap};
use super::units::{Table, Unit};
use crate::geometry::{Axis, Cuboid, Face, Interval};
use crate::job::{Bored, Job, Part};
use crate::values::Rational;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Something put in place as one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Body {
    /// A part of the job.
    Part(usize),
    /// What was built before, by its place in [`super::Order::units`].
    Unit(usize),
}

/// A thing done while a unit is built.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Act {
    /// A body goes in; `from` is the side it comes from, where that is free.
    Place { body: Body, from: Option<Face> },
    /// Hardware is set: an index into the job's mounts.
    Mount(usize),
}

/// More bodies than this in one box are not moved against each other.
const MOST_BODIES: usize = 300;

/// Room that a driver needs before a face, in mm: common practice, no source.
const DRIVER: i64 = 120;
/// Half the breadth of a driver's chuck, in mm: common practice, no source.
const CHUCK: i64 = 12;

struct Piece {
    body: Body,
    parts: Vec<usize>,
    solid: Vec<Cuboid>,
    /// Let into others, and held by nothing that is driven across its seam.
    panel: bool,
    flush: bool,
    area: Rational,
    low: Rational,
    far: Rational,
    path: String,
}

pub(super) struct Apart<'a> {
    table: &'a Table<'a>,
    pieces: Vec<Piece>,
    /// The piece that each part stands in.
    of: BTreeMap<usize, usize>,
    links: Vec<BTreeSet<usize>>,
    /// For each side, what is in the way of each piece.
    way: Vec<[Vec<usize>; 6]>,
    /// Mounts with the pieces that must be there for them.
    mounts: Vec<(usize, BTreeSet<usize>)>,
    /// Mounts on the outside of the whole.
    outside: Vec<usize>,
    whole: Option<Cuboid>,
    alive: BTreeSet<usize>,
    /// Found backwards.
    acts: Vec<Act>,
    stuck: Vec<usize>,
}

/// Works out how a connected body is built from `bodies`, and adds units for those that must go in together.
pub(super) fn build(table: &Table, units: &mut Vec<Unit>, path: &str, bodies: &[Body], bench: Face) -> Unit {
    let mut apart = Apart::new(table, units, bodies, bench);
    apart.run(units, path, bench);
    apart.acts.reverse();
    let mut parts: Vec<usize> = apart.of.keys().copied().collect();
    parts.sort_unstable();
    Unit { path: path.to_string(), parts, acts: apart.acts, bench, stuck: apart.stuck }
}

impl<'a> Apart<'a> {
    fn new(table: &'a Table<'a>, units: &[Unit], bodies: &[Body], bench: Face) -> Apart<'a> {
        let mut of = BTreeMap::new();
        let mut all = Vec::new();
        for (i, body) in bodies.iter().enumerate() {
            let parts = match body {
                Body::Part(p) => vec![*p],
                Body::Unit(u) => units.get(*u).map(|u| u.parts.clone()).unwrap_or_default(),
            };
            of.extend(parts.iter().map(|p| (*p, i)));
            all.push(parts);
        }
        let whole = extent(all.iter().flatten().filter_map(|p| table.job.parts.get(*p)).map(|p| &p.place));
        let pieces: Vec<Piece> = bodies
            .iter()
            .zip(all)
            .map(|(body, parts)| {
                let solid: Vec<Cuboid> =
                    parts.iter().flat_map(|p| table.solids.get(*p).cloned().unwrap_or_default()).collect();
                let own: Vec<&Part> = parts.iter().filter_map(|p| table.job.parts.get(*p)).collect();
                let place = extent(own.iter().map(|p| &p.place));
                let at = |f: Face, c: &Cuboid| {
                    let r = c.on(f.axis());
                    if f.is_high() { r.hi } else { r.lo }
                };
                let flush = matches!((&place, &whole), (Some(p), Some(w)) if at(bench, p) == at(bench, w));
                let area = own
                    .iter()
                    .map(|p| p.length.0.mul(p.width.0).unwrap_or(Rational::ZERO))
                    .fold(Rational::ZERO, |a, b| a.add(b).unwrap_or(a));
                let panel = parts.iter().all(|p| table.is_panel(*p, |q| of.contains_key(&q)));
                Piece {
                    body: *body,
                    panel,
                    flush,
                    area,
                    low: place.map_or(Rational::ZERO, |p| p.y.lo),
                    far: place.map_or(Rational::ZERO, |p| p.z.lo),
                    path: own.first().map(|p| p.path.clone()).unwrap_or_default(),
                    parts,
                    solid,
                }
            })
            .collect();
        let mut links = vec![BTreeSet::new(); pieces.len()];
        for (part, i) in &of {
            for j in table.joined(*part).filter_map(|other| of.get(&other)).filter(|j| *j != i) {
                if let Some(near) = links.get_mut(*i) {
                    near.insert(*j);
                }
            }
        }
        let alive = (0..pieces.len()).collect();
        let mut apart = Apart {
            table,
            way: vec![Default::default(); pieces.len()],
            pieces,
            of,
            links,
            mounts: Vec::new(),
            outside: Vec::new(),
            whole,
            alive,
            acts: Vec::new(),
            stuck: Vec::new(),
        };
        apart.find_ways();
        apart.find_mounts();
        apart
    }

    fn find_ways(&mut self) {
        if self.pieces.len() > MOST_BODIES {
            return;
        }
        for i in 0..self.pieces.len() {
            for j in 0..self.pieces.len() {
                let (moved, fixed) = (&self.pieces[i].solid, &self.pieces[j].solid);
                // What shares a volume (two bevels that hook) is parted by a turn that is not looked at here.
                if i == j || overlap(moved, fixed) {
                    continue;
                }
                for face in Face::ALL {
                    if blocks(fixed, moved, face) {
                        self.way[i][face as usize].push(j);
                    }
                }
            }
        }
    }

    /// Which mounts belong here, and which pieces each needs: its own part, what the text says must be there
    /// first, and what lies below, for spacers to stand on.
    fn find_mounts(&mut self) {
        for piece in 0..self.pieces.len() {
            let Body::Part(on) = self.pieces[piece].body else { continue };
            for n in self.table.mounts_on(on).iter().copied() {
                let Some(mount) = self.table.job.mounts.get(n) else { continue };
                // What is set on the outside can wait until all is together.
                if self.is_outside(on, mount.face) {
                    self.outside.push(n);
                    continue;
                }
                let mut needs = BTreeSet::from([piece]);
                let named: Vec<usize> = mount.after.iter().flat_map(|path| self.table.under(path)).collect();
                if named.iter().any(|p| !self.of.contains_key(p)) {
                    continue;
                }
                match named.is_empty() {
                    true => needs.extend(self.stands_on(on, piece, mount.face, &mount.joint)),
                    false => needs.extend(named.iter().filter_map(|p| self.of.get(p).copied())),
                }
                self.mounts.push((n, needs));
            }
        }
    }

    fn is_outside(&self, part: usize, face: Face) -> bool {
        let Some(part) = self.table.job.parts.get(part) else { return false };
        let at = |c: &Cuboid| if face.is_high() { c.on(face.axis()).hi } else { c.on(face.axis()).lo };
        self.whole.is_some_and(|whole| at(&whole) == at(&part.place))
    }

    /// The piece held to `piece` that lies highest below the holes a fitting has in it.
    fn stands_on(&self, part: usize, piece: usize, face: Face, joint: &str) -> Option<usize> {
        let part = self.table.job.parts.get(part)?;
        if face.axis() == Axis::Y {
            return None;
        }
        let low = lowest_hole(part, face, joint)?;
        let top = |i: &usize| extent(&self.pieces[*i].solid).map(|c| c.y.hi);
        let below = self.links[piece].iter().filter(|i| top(i).is_some_and(|y| y <= low));
        below.max_by_key(|i| (top(i), Reverse(**i))).copied()
    }

    fn run(&mut self, units: &mut Vec<Unit>, path: &str, bench: Face) {
        let mut last = std::mem::take(&mut self.outside);
        last.sort_by_cached_key(|n| (self.table.mount_height(*n), *n));
        self.acts.extend(last.into_iter().rev().map(Act::Mount));
        while self.alive.len() > 1 {
            if let Some((piece, from)) = self.next(true, Some(bench)) {
                self.take(piece, Some(from));
            } else if !self.mounts.is_empty() {
                // All that may go before hardware is off has gone.
                self.undo_mounts();
            } else if let Some((piece, from)) = self.next(true, None).or_else(|| self.next(false, None)) {
                self.take(piece, Some(from));
            } else if let Some((group, from)) = self.smallest_group() {
                let bodies: Vec<Body> = group.iter().map(|i| self.pieces[*i].body).collect();
                let unit = build(self.table, units, path, &bodies, bench);
                units.push(unit);
                self.alive.retain(|i| !group.contains(i));
                self.acts.push(Act::Place { body: Body::Unit(units.len() - 1), from: Some(from) });
            } else {
                if self.stuck.is_empty() {
                    self.stuck = self.alive.iter().flat_map(|i| self.pieces[*i].parts.clone()).collect();
                    self.stuck.sort_unstable();
                }
                let all: Vec<usize> = self.alive.iter().copied().collect();
                match all.into_iter().min_by_key(|i| self.key(*i)) {
                    Some(piece) => self.take(piece, None),
                    None => break,
                }
            }
        }
        self.undo_mounts();
        if let Some(last) = self.alive.pop_first() {
            self.acts.push(Act::Place { body: self.pieces[last].body, from: None });
        }
    }

    fn take(&mut self, piece: usize, from: Option<Face>) {
        self.alive.remove(&piece);
        self.acts.push(Act::Place { body: self.pieces[piece].body, from });
    }

    fn undo_mounts(&mut self) {
        let mut numbers: Vec<usize> = self.mounts.drain(..).map(|(n, _)| n).collect();
        // From below upwards, as spacers are stacked, and fitting by fitting.
        numbers.sort_by_cached_key(|n| (self.table.mount_height(*n), *n));
        self.acts.extend(numbers.into_iter().rev().map(Act::Mount));
    }

    /// The piece to take off next, and where to; not through what it stands on.
    fn next(&self, reached: bool, bench: Option<Face>) -> Option<(usize, Face)> {
        self.alive
            .iter()
            .filter(|i| !self.mounts.iter().any(|(_, needs)| needs.contains(i)))
            .filter_map(|i| self.way_out(*i, bench).map(|way| (*i, way)))
            .filter(|(i, _)| !reached || self.can_be_reached(*i))
            .min_by_key(|(i, _)| self.key(*i))
    }

    /// What comes off first goes on last: what holds the rest together stays, then what stands on the bench.
    fn key(&self, i: usize) -> impl Ord + use<> {
        let piece = &self.pieces[i];
        let held = self.links[i].iter().filter(|j| self.alive.contains(j)).count();
        (
            self.parts_the_rest(i),
            piece.flush,
            !piece.panel,
            held,
            piece.area,
            Reverse(piece.low),
            Reverse(piece.far),
            Reverse(PathKey(piece.path.clone())),
        )
    }

    fn parts_the_rest(&self, i: usize) -> bool {
        let rest: BTreeSet<usize> = self.alive.iter().copied().filter(|j| *j != i).collect();
        let Some(first) = rest.first().copied() else { return false };
        let mut seen = BTreeSet::from([first]);
        let mut open = vec![first];
        while let Some(at) = open.pop() {
            for next in self.links[at].iter().filter(|j| rest.contains(j)) {
                if seen.insert(*next) {
                    open.push(*next);
                }
            }
        }
        seen.len() < rest.len()
    }

    /// The free way out that a person would choose: a panel along its plane, and upwards before sideways.
    fn way_out(&self, i: usize, bench: Option<Face>) -> Option<Face> {
        const WAYS: [Face; 6] = [Face::Top, Face::Rear, Face::Front, Face::Right, Face::Left, Face::Bottom];
        let piece = &self.pieces[i];
        let thin = match piece.body {
            Body::Part(p) if self.table.hosts.contains_key(&p) => {
                self.table.job.parts.get(p).map(|p| p.axes[2])
            }
            _ => None,
        };
        let free =
            |f: &Face| Some(*f) != bench && !self.way[i][*f as usize].iter().any(|j| self.alive.contains(j));
        let across = |f: &Face| thin == Some(f.axis());
        let along = WAYS.into_iter().find(|f| free(f) && !across(f));
        along.or_else(|| WAYS.into_iter().find(free))
    }

    /// Whether a driver gets at every fix between a piece and those still there.
    fn can_be_reached(&self, i: usize) -> bool {
        self.table.fixes_of(&self.pieces[i].parts).all(|fix| {
            let (Some(a), Some(b)) = (self.of.get(&fix.a), self.of.get(&fix.b)) else { return true };
            if !self.alive.contains(a) || !self.alive.contains(b) || a == b {
                return true;
            }
            let own = [fix.a, fix.b];
            fix.room.iter().all(|room| {
                !self.alive.iter().any(|j| {
                    self.pieces[*j].parts.iter().filter(|p| !own.contains(p)).any(|p| {
                        self.table.solids.get(*p).is_some_and(|s| s.iter().any(|c| c.common(room).is_some()))
                    })
                })
            })
        })
    }

    /// The fewest pieces that come off together on a straight way.
    fn smallest_group(&self) -> Option<(BTreeSet<usize>, Face)> {
        let mut best: Option<(BTreeSet<usize>, Face)> = None;
        for face in Face::ALL {
            for i in &self.alive {
                let mut group = BTreeSet::from([*i]);
                let mut open = vec![*i];
                while let Some(at) = open.pop() {
                    for j in self.way[at][face as usize].iter().filter(|j| self.alive.contains(j)) {
                        if group.insert(*j) {
                            open.push(*j);
                        }
                    }
                }
                if group.len() < self.alive.len() && best.as_ref().is_none_or(|(b, _)| group.len() < b.len())
                {
                    best = Some((group, face));
                }
            }
        }
        best
    }
}

/// How high the lowest hole lies that a fitting has in a face.
pub(super) fn lowest_hole(part: &Part, face: Face, joint: &str) -> Option<Rational> {
    let own = part.holes.iter().filter(|h| h.face == face && h.joints.iter().any(|j| j == joint));
    own.filter_map(|h| hole_at(part, h.at.from, h.at.mm.map(|m| m.0)).map(|at| at[1])).min()
}

/// Where a hole lies in the frame of the root.
pub(super) fn hole_at(part: &Part, from: [Face; 2], mm: [Rational; 2]) -> Option<[Rational; 3]> {
    let mut at = [part.place.x.lo, part.place.y.lo, part.place.z.lo];
    for (edge, mm) in from.iter().zip(mm) {
        let r = part.place.on(edge.axis());
        let place = if edge.is_high() { r.hi.sub(mm) } else { r.lo.add(mm) };
        at[edge.axis() as usize] = place.ok()?;
    }
    Some(at)
}

/// The rooms a driver takes before the face it drives from: at each hole, else at the seam.
pub(super) fn driver_rooms(job: &Job, fix: &crate::job::Fix, a: usize, b: usize) -> Vec<Cuboid> {
    let (Some(face), Some(through)) = (fix.from, fix.through.as_deref()) else { return Vec::new() };
    let (Some(pa), Some(pb)) = (job.parts.get(a), job.parts.get(b)) else { return Vec::new() };
    let (part, other) = match through {
        t if t == pa.path => (pa, pb),
        t if t == pb.path => (pb, pa),
        _ => return Vec::new(),
    };
    let bores = part
        .holes
        .iter()
        .filter(|h| h.face == face && h.bored == Bored::Bench && h.joints.contains(&fix.joint))
        .filter_map(|h| hole_at(part, h.at.from, h.at.mm.map(|m| m.0)));
    let mut spots: Vec<[Interval; 3]> = bores
        .filter_map(|at| {
            let around = |c: Rational| {
                let half = Rational::int(CHUCK);
                Some(Interval::new(c.sub(half).ok()?, c.add(half).ok()?))
            };
            Some([around(at[0])?, around(at[1])?, around(at[2])?])
        })
        .collect();
    if spots.is_empty() {
        let shared = Axis::ALL.map(|axis| part.place.on(axis).common(other.place.on(axis)));
        let own = |axis: Axis| shared[axis as usize].unwrap_or(part.place.on(axis));
        spots.push([own(Axis::X), own(Axis::Y), own(Axis::Z)]);
    }
    let axis = face.axis();
    let r = part.place.on(axis);
    let room = Rational::int(DRIVER);
    let before = match face.is_high() {
        true => r.hi.add(room).map(|far| Interval::new(r.hi, far)),
        false => r.lo.sub(room).map(|far| Interval::new(far, r.lo)),
    };
    let Ok(before) = before else { return Vec::new() };
    spots.into_iter().map(|[x, y, z]| Cuboid { x, y, z }.with(axis, before)).collect()
}

#[derive(PartialEq, Eq)]
pub(super) struct PathKey(pub String);

impl Ord for PathKey {
    fn cmp(&self, other: &PathKey) -> std::cmp::Ordering {
        crate::job::path_order(&self.0, &other.0)
    }
}

impl PartialOrd for PathKey {
    fn partial_cmp(&self, other: &PathKey) -> Option<std::cmp::Ordering> {
        Some(self.cmp(other))
    }
}

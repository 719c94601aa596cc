//! What the stages are written with: the job, what is used up already, and equal stages told once.

use super::fastening::{Fastening, Mounting, fastening, mounting};
use super::{Act, Caution, Group, Stage, StageKind, Step};
use crate::checks::estimates;
use crate::checks::order::{Body, Order};
use crate::job::{Job, Move, Part};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// The job and the order, and what has been told of them.
pub struct Desk<'a> {
    pub job: &'a Job,
    pub order: &'a Order,
    index: BTreeMap<&'a str, usize>,
    fixes_of: BTreeMap<usize, Vec<usize>>,
    mounts_of: BTreeMap<usize, Vec<usize>>,
    used_fixes: BTreeSet<usize>,
    used_mounts: BTreeSet<usize>,
    /// Net weights of the parts in kg, where they are known.
    net: Vec<Option<f64>>,
    /// Parts that are up: all that has been set up so far.
    pub up: BTreeSet<usize>,
}

impl<'a> Desk<'a> {
    pub fn new(job: &'a Job, order: &'a Order) -> Desk<'a> {
        let mut desk = Desk {
            job,
            order,
            index: job.parts.iter().zip(0..).map(|(p, i)| (p.path.as_str(), i)).collect(),
            fixes_of: BTreeMap::new(),
            mounts_of: BTreeMap::new(),
            used_fixes: BTreeSet::new(),
            used_mounts: BTreeSet::new(),
            net: estimates::net_weights(job),
            up: BTreeSet::new(),
        };
        for (n, fix) in job.fixes.iter().enumerate() {
            let ends: BTreeSet<usize> = [&fix.a, &fix.b].into_iter().filter_map(|p| desk.part(p)).collect();
            for end in ends {
                desk.fixes_of.entry(end).or_default().push(n);
            }
        }
        for (n, mount) in job.mounts.iter().enumerate() {
            if let Some(on) = desk.part(&mount.on) {
                desk.mounts_of.entry(on).or_default().push(n);
            }
        }
        desk
    }

    pub fn part(&self, path: &str) -> Option<usize> {
        self.index.get(path).copied()
    }

    pub fn parts_of(&self, body: Body) -> Vec<usize> {
        match body {
            Body::Part(p) => vec![p],
            Body::Unit(u) => self.order.units.get(u).map(|u| u.parts.clone()).unwrap_or_default(),
        }
    }

    pub fn group(&self, body: Body) -> Group {
        let parts = self.parts_of(body);
        let path = match body {
            Body::Part(p) => self.job.parts.get(p).map(|p| p.path.clone()),
            Body::Unit(u) => self.order.units.get(u).map(|u| u.path.clone()),
        };
        Group { path: path.unwrap_or_default(), parts, built: matches!(body, Body::Unit(_)) }
    }

    /// The fixes of `parts` that can be made once `here` is in place too, each handed out once.
    pub fn fixes(&mut self, parts: &[usize], here: &BTreeSet<usize>) -> Vec<Fastening> {
        let mut numbers: BTreeSet<usize> = BTreeSet::new();
        for part in parts {
            for n in self.fixes_of.get(part).into_iter().flatten() {
                let Some(fix) = self.job.fixes.get(*n) else { continue };
                let there =
                    |path: &str| self.part(path).is_none_or(|p| here.contains(&p) || parts.contains(&p));
                if !self.used_fixes.contains(n) && there(&fix.a) && there(&fix.b) {
                    numbers.insert(*n);
                }
            }
        }
        self.used_fixes.extend(&numbers);
        numbers.into_iter().filter_map(|n| fastening(self, n)).collect()
    }

    /// A mount, handed out once.
    pub fn mount(&mut self, n: usize) -> Option<Mounting> {
        self.used_mounts.insert(n).then(|| mounting(self, n)).flatten()
    }

    /// What the fittings by which a thing moves have on other parts.
    pub fn other_halves(&self, group: &Group) -> Vec<Mounting> {
        let moved = |thing: &str, fitting: &'a str| (thing == group.path).then_some(fitting);
        let fittings: BTreeSet<&str> = self
            .job
            .moves
            .iter()
            .filter_map(|m| match m {
                Move::Slides { thing, fitting, .. } | Move::Swings { thing, fitting, .. } => {
                    moved(thing, fitting)
                }
            })
            .filter(|f| !f.is_empty())
            .collect();
        let other = |n: &usize| {
            let mount = self.job.mounts.get(*n)?;
            let on = self.part(&mount.on)?;
            (fittings.contains(mount.joint.as_str()) && !group.parts.contains(&on)).then_some(*n)
        };
        let all: Vec<usize> = (0..self.job.mounts.len()).collect();
        all.iter().filter_map(other).filter_map(|n| mounting(self, n)).collect()
    }

    /// Whether two mounts are of one fitting, or are done alike.
    pub fn one_go(&self, a: &Mounting, b: &Mounting) -> bool {
        let joint = |m: &Mounting| m.mounts.first().and_then(|n| self.job.mounts.get(*n)).map(|m| &m.joint);
        let how = |m: &Mounting| (m.item.clone(), m.with.clone(), m.tool.clone(), m.holes);
        joint(a) == joint(b) || how(a) == how(b)
    }

    /// Mounts on these parts that nobody has had, where what must be there first is up.
    pub fn mounts(&mut self, parts: &[usize]) -> Vec<Mounting> {
        let numbers: Vec<usize> = parts
            .iter()
            .flat_map(|p| self.mounts_of.get(p).into_iter().flatten())
            .copied()
            .filter(|n| !self.used_mounts.contains(n) && self.ready(*n))
            .collect();
        numbers.into_iter().filter_map(|n| self.mount(n)).collect()
    }

    fn ready(&self, n: usize) -> bool {
        let Some(mount) = self.job.mounts.get(n) else { return false };
        mount.after.iter().all(|path| match self.part(path) {
            Some(part) => self.up.contains(&part),
            None => {
                let inside =
                    |p: &Part| p.path.strip_prefix(path.as_str()).is_some_and(|r| r.starts_with('.'));
                (0..).zip(&self.job.parts).filter(|(_, p)| inside(p)).all(|(i, _)| self.up.contains(&i))
            }
        })
    }

    /// Fixes and mounts that no stage has had.
    pub fn left_over(&mut self) -> Option<Stage> {
        let all: Vec<usize> = (0..self.job.parts.len()).collect();
        let here = all.iter().copied().collect();
        let mut steps = Vec::new();
        let fixes = self.fixes(&all, &here);
        if !fixes.is_empty() {
            steps.push(step(Act::Fasten(fixes), Vec::new()));
        }
        let mounts: Vec<usize> =
            (0..self.job.mounts.len()).filter(|n| !self.used_mounts.contains(n)).collect();
        let mounts: Vec<Mounting> = mounts.into_iter().filter_map(|n| self.mount(n)).collect();
        if !mounts.is_empty() {
            steps.push(step(Act::Mount(mounts), Vec::new()));
        }
        let stage = Stage { kind: StageKind::Fronts, boxes: Vec::new(), bench: None, steps };
        (!stage.steps.is_empty()).then_some(stage)
    }

    /// How many people lift these parts, where it is more than one.
    pub fn lift(&self, parts: &[usize]) -> Option<Caution> {
        let kg: f64 = parts.iter().filter_map(|p| self.net.get(*p).copied().flatten()).sum();
        let people = estimates::people(kg);
        (people > 1).then_some(Caution::Lift(people))
    }
}

/// A step without a number yet.
pub fn step(act: Act, things: Vec<Group>) -> Step {
    Step { number: 0, act, things, cautions: Vec::new() }
}

/// Stages that read the same are told once, where the first of them stands.
pub fn merged(job: &Job, stages: Vec<Stage>) -> Vec<Stage> {
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    let mut out: Vec<Stage> = Vec::new();
    for stage in stages {
        let key = signature(job, &stage);
        match at.get(&key).and_then(|i| out.get_mut(*i)) {
            Some(first) => join(first, stage),
            None => {
                at.insert(key, out.len());
                out.push(stage);
            }
        }
    }
    out
}

fn join(first: &mut Stage, other: Stage) {
    first.boxes.extend(other.boxes);
    for (to, from) in first.steps.iter_mut().zip(other.steps) {
        to.things.extend(from.things);
        for (a, b) in fastenings_mut(&mut to.act).into_iter().zip(fastenings(&from.act)) {
            a.fixes.extend(&b.fixes);
        }
        if let (Act::Mount(a), Act::Mount(b)) = (&mut to.act, &from.act) {
            for (a, b) in a.iter_mut().zip(b) {
                a.mounts.extend(&b.mounts);
            }
        }
    }
}

/// The fixes that an act makes; those that `Place` only prepares are made in the step behind it.
fn fastenings(act: &Act) -> &[Fastening] {
    match act {
        Act::Fasten(all) => all,
        Act::ToWall { fasten, .. } | Act::SlideIn { fasten, .. } | Act::Front { fasten, .. } => fasten,
        _ => &[],
    }
}

fn fastenings_mut(act: &mut Act) -> Vec<&mut Fastening> {
    match act {
        Act::Fasten(all) => all.iter_mut().collect(),
        Act::ToWall { fasten, .. } | Act::SlideIn { fasten, .. } | Act::Front { fasten, .. } => {
            fasten.iter_mut().collect()
        }
        _ => Vec::new(),
    }
}

/// A stage in words in which equal boxes read the same: parts by their mark and their path within the box.
fn signature(job: &Job, stage: &Stage) -> String {
    let lead = stage.boxes.first().map(|b| format!("{b}.")).unwrap_or_default();
    let own = |path: &str| path.strip_prefix(&lead).map_or_else(|| format!("/{path}"), str::to_string);
    let part =
        |p: &usize| job.parts.get(*p).map(|p| format!("{}={}", own(&p.path), p.mark)).unwrap_or_default();
    let parts = |all: &[usize]| all.iter().map(&part).collect::<Vec<_>>().join(",");
    let joined = |f: &Fastening| {
        let joint =
            f.fixes.first().and_then(|n| job.fixes.get(*n)).map(|f| own(&f.joint)).unwrap_or_default();
        let ends = [f.a, f.b].map(|e| e.as_ref().map(&part).unwrap_or_default()).join("+");
        let from = f.from.map(|(p, face)| (part(&p), face));
        format!(
            "{joint};{ends};{:?};{:?};{from:?};{:?};{};{:?};{:?}\n",
            f.wall,
            f.with,
            f.tool,
            f.glue,
            f.tack,
            f.bores.map(|b| (part(&b.part), b.count, b.dia, b.depth))
        )
    };
    let all = |list: &[Fastening]| list.iter().map(&joined).collect::<String>();
    let halves = |list: &[Mounting]| list.iter().map(|m| part(&m.on) + &m.item).collect::<Vec<_>>().join(",");
    let mut out = format!("{:?} {:?}\n", stage.kind, stage.bench);
    for step in &stage.steps {
        for group in &step.things {
            let _ = writeln!(out, "{} {} {}", own(&group.path), group.built, parts(&group.parts));
        }
        let _ = match &step.act {
            Act::Place { from, stance, hosts, takes, tacks } => {
                let stance = stance.as_ref().map(|l| (part(&l.against), l.face, &l.rims));
                writeln!(out, "place {from:?} {stance:?} {} {} {}", parts(hosts), parts(takes), all(tacks))
            }
            Act::Fasten(list) => writeln!(out, "fasten {}", all(list)),
            Act::ToWall { at, fasten } => writeln!(out, "wall {at:?} {}", all(fasten)),
            Act::SlideIn { by, fasten } => writeln!(out, "slide {} {}", halves(by), all(fasten)),
            Act::Front { by, fasten } => writeln!(out, "front {} {}", halves(by), all(fasten)),
            Act::Mount(list) => list.iter().try_for_each(|m| {
                writeln!(
                    out,
                    "mount {} {:?} {} {:?} {:?} {}",
                    part(&m.on),
                    m.face,
                    m.item,
                    m.with,
                    m.tool,
                    m.holes
                )
            }),
            Act::Stand { on, level, at } => writeln!(out, "stand {} {level} {at:?}", parts(on)),
            Act::Hang { on } => writeln!(out, "hang {}", parts(on)),
            other => writeln!(out, "{other:?}"),
        };
    }
    out
}

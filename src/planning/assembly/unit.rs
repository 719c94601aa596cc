//! The steps at the bench: one stage for each body that is built there, equal ones told once.

use super::fastening::{Fastening, Mounting};
use super::ring::Rings;
use super::stance::stance;
use super::steps::{Desk, merged, step};
use super::{Act, Stage, StageKind, Step};
use crate::checks::order::{self, Body, Unit};
use crate::geometry::Face;
use crate::job::Part;
use std::collections::BTreeSet;

/// One stage for each body that is built at the bench.
pub fn stages(desk: &mut Desk) -> Vec<Stage> {
    let order = desk.order;
    let stages = order.units.iter().map(|unit| stage(desk, unit)).collect();
    merged(desk.job, stages)
}

fn stage(desk: &mut Desk, unit: &Unit) -> Stage {
    let mut builder = Builder {
        here: BTreeSet::new(),
        pairs: BTreeSet::new(),
        rings: Rings::new(held(desk, unit)),
        steps: Vec::new(),
    };
    let mut mounts: Vec<Mounting> = Vec::new();
    for act in &unit.acts {
        match act {
            order::Act::Mount(n) => {
                let Some(mount) = desk.mount(*n) else { continue };
                // What one fitting sets is one step, and what is set alike.
                if mounts.last().is_some_and(|last| !desk.one_go(last, &mount)) {
                    builder.steps.push(step(Act::Mount(std::mem::take(&mut mounts)), Vec::new()));
                }
                mounts.push(mount);
            }
            order::Act::Place { body, from } => {
                if !mounts.is_empty() {
                    builder.steps.push(step(Act::Mount(std::mem::take(&mut mounts)), Vec::new()));
                }
                builder.place(desk, *body, *from);
            }
        }
    }
    if !mounts.is_empty() {
        builder.steps.push(step(Act::Mount(mounts), Vec::new()));
    }
    Stage {
        kind: StageKind::Build,
        boxes: vec![unit.path.clone()],
        bench: Some(unit.bench),
        steps: builder.steps,
    }
}

/// The parts of a unit that something is bored or driven into.
fn held<'a>(desk: &Desk<'a>, unit: &Unit) -> Vec<&'a Part> {
    let driven: BTreeSet<&str> = desk
        .job
        .fixes
        .iter()
        .filter(|f| f.glue || f.tack.is_some() || f.with.is_none())
        .flat_map(|f| [f.a.as_str(), f.b.as_str()])
        .collect();
    let bored = |p: &Part| p.holes.iter().any(|h| !h.joints.is_empty());
    let parts = unit.parts.iter().filter_map(|p| desk.job.parts.get(*p));
    parts.filter(|p| driven.contains(p.path.as_str()) || bored(p)).collect()
}

struct Builder {
    here: BTreeSet<usize>,
    pairs: BTreeSet<(usize, usize)>,
    rings: Rings,
    steps: Vec<Step>,
}

impl Builder {
    fn place(&mut self, desk: &mut Desk, body: Body, from: Option<Face>) {
        let parts = desk.parts_of(body);
        let group = desk.group(body);
        if self.here.is_empty() {
            self.steps.push(step(Act::Start, vec![group]));
            self.here.extend(parts);
            return;
        }
        let fixes = desk.fixes(&parts, &self.here);
        let hosts = cut_by(desk, &self.here, &parts);
        let takes =
            cut_by(desk, &parts.iter().copied().collect(), &self.here.iter().copied().collect::<Vec<_>>())
                .into_iter()
                .flat_map(|q| panels(desk, q, &self.here))
                .collect::<BTreeSet<usize>>();
        let stance = self.stance(desk, &parts, &fixes, &hosts);
        let way = (!hosts.is_empty()).then_some(from).flatten();
        let act = Act::Place {
            from: way,
            stance,
            hosts,
            takes: takes.into_iter().collect(),
            tacks: fixes.iter().filter(|f| f.in_two_steps()).cloned().collect(),
        };
        self.steps.push(step(act, vec![group]));
        self.here.extend(parts.iter().copied());
        let pinned = |f: &&Fastening| f.in_two_steps() || f.glue || f.with.is_none();
        self.pairs.extend(
            fixes.iter().filter(pinned).filter_map(|f| Some((f.a?, f.b?))).map(|(a, b)| (a.min(b), a.max(b))),
        );
        let placed: Vec<(usize, &Part)> =
            self.here.iter().filter_map(|p| desk.job.parts.get(*p).map(|part| (*p, part))).collect();
        let square = self.rings.closed(&placed, &self.pairs, desk.job.house.print.0);
        let pinned = fixes.iter().any(|f| f.tack.is_some());
        let fasten = (!fixes.is_empty()).then(|| step(Act::Fasten(fixes), Vec::new()));
        let square = square.map(|act| step(act, Vec::new()));
        // While it is only tacked a frame can still be pushed square.
        let (first, second) = if pinned { (square, fasten) } else { (fasten, square) };
        self.steps.extend(first.into_iter().chain(second));
    }

    fn stance(
        &self,
        desk: &Desk,
        parts: &[usize],
        fixes: &[Fastening],
        hosts: &[usize],
    ) -> Option<super::Lying> {
        let pair = fixes.iter().filter_map(|f| Some((f.a?, f.b?))).find_map(|(a, b)| {
            match (parts.contains(&a), parts.contains(&b)) {
                (true, false) => Some((a, b)),
                (false, true) => Some((b, a)),
                _ => None,
            }
        });
        let (own, other) = match pair {
            Some(pair) if hosts.is_empty() => pair,
            _ => return None,
        };
        Some(stance(desk.job.parts.get(own)?, desk.job.parts.get(other)?, other))
    }
}

/// Those of `hosts` with a cut for one of `parts`.
fn cut_by(desk: &Desk, hosts: &BTreeSet<usize>, parts: &[usize]) -> Vec<usize> {
    let names: BTreeSet<&str> =
        parts.iter().filter_map(|p| desk.job.parts.get(*p)).map(|p| p.path.as_str()).collect();
    let cut = |q: &usize| {
        let host = desk.job.parts.get(*q);
        host.is_some_and(|h| h.cuts.iter().any(|c| c.by.as_deref().is_some_and(|by| names.contains(by))))
    };
    hosts.iter().copied().filter(cut).collect()
}

/// The parts that go into the cuts of part `q` and are in place.
fn panels(desk: &Desk, q: usize, here: &BTreeSet<usize>) -> Vec<usize> {
    let Some(host) = desk.job.parts.get(q) else { return Vec::new() };
    let by = host.cuts.iter().filter_map(|c| desk.part(c.by.as_deref()?));
    by.filter(|p| here.contains(p)).collect()
}

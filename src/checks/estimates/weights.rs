//! The lists of weights.

use super::flow::{Flow, supports};
use super::lifting::Lifted;
use super::net::Mass;
use super::world::{Thing, World};
use std::collections::BTreeMap;

/// A part.
#[derive(Clone, Debug)]
pub struct PartWeight {
    pub path: String,
    pub mark: String,
    pub board: String,
    /// kg of the finished cuboid; `None` where the board states no density.
    pub gross: Option<f64>,
    /// kg of what is left after cuts, holes and bevels.
    pub net: Option<f64>,
}

/// A box with the boxes in it.
#[derive(Clone, Debug)]
pub struct BoxWeight {
    pub path: String,
    pub within: Option<String>,
    pub net: Mass,
    /// kg that are stated to be put in.
    pub contents: f64,
    pub parts: usize,
    /// How many lift it empty; only for outermost boxes.
    pub people: Option<u32>,
}

impl BoxWeight {
    /// kg with its contents.
    pub fn total(&self) -> f64 {
        self.net.kg + self.contents
    }
}

/// A row, or all that stands in one frame.
#[derive(Clone, Debug)]
pub struct GroupWeight {
    pub path: String,
    pub boxes: usize,
    pub net: Mass,
    /// kg
    pub contents: f64,
}

/// A thing that rests on others.
#[derive(Clone, Debug)]
pub struct Rested {
    pub thing: String,
    /// With all it carries.
    pub mass: Mass,
    /// What it rests on, with the kg that each takes; none where it hangs.
    pub on: Vec<(String, f64)>,
}

pub(super) fn parts(world: &World<'_>) -> Vec<PartWeight> {
    let masses = world.gross.iter().zip(&world.net);
    world
        .job
        .parts
        .iter()
        .zip(masses)
        .map(|(p, (gross, net))| PartWeight {
            path: p.path.clone(),
            mark: p.mark.clone(),
            board: p.board.clone(),
            gross: *gross,
            net: *net,
        })
        .collect()
}

pub(super) fn boxes(world: &World<'_>, lifted: &[Lifted]) -> Vec<BoxWeight> {
    let people: BTreeMap<&str, u32> = lifted.iter().map(|l| (l.path.as_str(), l.people)).collect();
    let all = world.job.boxes.iter().enumerate();
    all.map(|(i, b)| BoxWeight {
        path: b.path.clone(),
        within: b.within.clone(),
        net: world.own(Thing::Box(i)),
        contents: world.contents(Thing::Box(i)),
        parts: world.parts_in.get(i).map_or(0, Vec::len),
        people: people.get(b.path.as_str()).copied(),
    })
    .collect()
}

fn group<'s>(world: &World<'_>, path: &str, boxes: impl Iterator<Item = &'s usize>) -> GroupWeight {
    let mut all = GroupWeight { path: path.to_string(), boxes: 0, net: Mass::default(), contents: 0.0 };
    for b in boxes {
        all.boxes += 1;
        all.net += world.own(Thing::Box(*b));
        all.contents += world.contents(Thing::Box(*b));
    }
    all
}

/// Outermost boxes by what `of` says of them.
fn outermost<'a>(
    world: &World<'a>,
    of: impl Fn(&'a crate::job::BoxEntry) -> Option<&'a str>,
) -> BTreeMap<&'a str, Vec<usize>> {
    let mut groups: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, entry) in world.job.boxes.iter().enumerate().filter(|(_, b)| b.within.is_none()) {
        if let Some(path) = of(entry) {
            groups.entry(path).or_default().push(i);
        }
    }
    groups
}

pub(super) fn rows(world: &World<'_>) -> Vec<GroupWeight> {
    let groups = outermost(world, |b| b.row.as_deref());
    world
        .job
        .rows
        .iter()
        .map(|r| group(world, &r.path, groups.get(r.path.as_str()).into_iter().flatten()))
        .collect()
}

pub(super) fn roots(world: &World<'_>) -> Vec<GroupWeight> {
    let groups = outermost(world, |b| Some(b.root.as_str()));
    groups.iter().map(|(path, boxes)| group(world, path, boxes.iter())).collect()
}

pub(super) fn rests(world: &World<'_>, flow: &mut Flow<'_, '_>) -> Vec<Rested> {
    let mut out = Vec::new();
    for (thing, on) in supports(world) {
        let mass = flow.borne(&[thing]);
        let all: f64 = on.keys().map(|t| world.width(*t)).sum();
        let share = |t: &Thing| if all > 0.0 { world.width(*t) / all } else { 1.0 / on.len() as f64 };
        out.push(Rested {
            thing: world.path(thing).to_string(),
            mass,
            on: on.keys().map(|t| (world.path(*t).to_string(), mass.kg * share(t))).collect(),
        });
    }
    out.sort_by(|a, b| crate::job::path_order(&a.thing, &b.thing));
    out
}

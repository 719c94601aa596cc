//! A job as the estimates look at it: parts and boxes by number, what stands in what, what each weighs.

use super::net::{self, Mass};
use super::real;
use crate::geometry::{Axis, Cuboid};
use crate::job::{Board, BoxEntry, Job, Part};
use std::collections::BTreeMap;

/// A part or box of the job, by its index.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) enum Thing {
    Part(usize),
    Box(usize),
}

pub(super) struct World<'a> {
    pub job: &'a Job,
    by_path: BTreeMap<&'a str, Thing>,
    boards: BTreeMap<&'a str, &'a Board>,
    /// The box of each part.
    pub box_of: Vec<Option<usize>>,
    /// The box each box stands in.
    pub within: Vec<Option<usize>>,
    /// kg, by part.
    pub gross: Vec<Option<f64>>,
    pub net: Vec<Option<f64>>,
    /// Parts in each box and the boxes in it.
    pub parts_in: Vec<Vec<usize>>,
    /// Boxes in each box, at any depth.
    pub boxes_in: Vec<Vec<usize>>,
    /// kg that are stated for each thing itself.
    pub loads: BTreeMap<Thing, f64>,
}

impl<'a> World<'a> {
    pub fn of(job: &'a Job) -> World<'a> {
        let mut by_path: BTreeMap<&str, Thing> = BTreeMap::new();
        by_path.extend(job.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), Thing::Box(i))));
        by_path.extend(job.parts.iter().enumerate().map(|(i, p)| (p.path.as_str(), Thing::Part(i))));
        let boards: BTreeMap<&str, &Board> = job.boards.iter().map(|b| (b.name.as_str(), b)).collect();
        let find_box = |path: &str| match by_path.get(path) {
            Some(Thing::Box(i)) => Some(*i),
            _ => None,
        };
        let box_of: Vec<Option<usize>> = job.parts.iter().map(|p| find_box(&p.box_path)).collect();
        let within: Vec<Option<usize>> =
            job.boxes.iter().map(|b| b.within.as_deref().and_then(find_box)).collect();
        let board = |p: &Part| boards.get(p.board.as_str()).copied();
        let mut world = World {
            gross: job.parts.iter().map(|p| net::gross(p, board(p))).collect(),
            net: job.parts.iter().map(|p| net::net(p, board(p))).collect(),
            parts_in: vec![Vec::new(); job.boxes.len()],
            boxes_in: vec![Vec::new(); job.boxes.len()],
            loads: BTreeMap::new(),
            job,
            by_path,
            boards,
            box_of,
            within,
        };
        for part in 0..job.parts.len() {
            for b in world.around(Thing::Part(part)) {
                if let Some(list) = world.parts_in.get_mut(b) {
                    list.push(part);
                }
            }
        }
        for inner in 0..job.boxes.len() {
            for b in world.around(Thing::Box(inner)) {
                if let Some(list) = world.boxes_in.get_mut(b) {
                    list.push(inner);
                }
            }
        }
        for load in &job.loads {
            if let Some(thing) = world.find(&load.thing) {
                *world.loads.entry(thing).or_insert(0.0) += real(load.load.0);
            }
        }
        world
    }

    pub fn find(&self, path: &str) -> Option<Thing> {
        self.by_path.get(path).copied()
    }

    pub fn board(&self, part: &Part) -> Option<&'a Board> {
        self.boards.get(part.board.as_str()).copied()
    }

    pub fn part(&self, index: usize) -> Option<&'a Part> {
        self.job.parts.get(index)
    }

    pub fn entry(&self, index: usize) -> Option<&'a BoxEntry> {
        self.job.boxes.get(index)
    }

    /// The boxes a thing stands in, innermost first.
    pub fn around(&self, thing: Thing) -> Vec<usize> {
        let mut at = match thing {
            Thing::Part(p) => self.box_of.get(p).copied().flatten(),
            Thing::Box(b) => self.within.get(b).copied().flatten(),
        };
        let mut all = Vec::new();
        while let Some(b) = at {
            // A box never stands in itself; the count keeps a broken table from running on.
            if all.len() > self.within.len() {
                break;
            }
            all.push(b);
            at = self.within.get(b).copied().flatten();
        }
        all
    }

    /// The outermost box of a thing.
    pub fn outermost(&self, thing: Thing) -> Option<usize> {
        match (self.around(thing).last(), thing) {
            (Some(b), _) => Some(*b),
            (None, Thing::Box(b)) => Some(b),
            (None, Thing::Part(_)) => None,
        }
    }

    /// The thing, the boxes in it and the parts in it.
    pub fn all_of(&self, thing: Thing) -> Vec<Thing> {
        let mut all = vec![thing];
        if let Thing::Box(b) = thing {
            all.extend(self.boxes_in.get(b).into_iter().flatten().map(|b| Thing::Box(*b)));
            all.extend(self.parts_in.get(b).into_iter().flatten().map(|p| Thing::Part(*p)));
        }
        all
    }

    pub fn net_of(&self, part: usize) -> Mass {
        Mass::of(self.net.get(part).copied().flatten())
    }

    /// Net weight of the parts of a thing.
    pub fn own(&self, thing: Thing) -> Mass {
        let mut mass = Mass::default();
        match thing {
            Thing::Part(p) => mass += self.net_of(p),
            Thing::Box(b) => {
                for p in self.parts_in.get(b).into_iter().flatten() {
                    mass += self.net_of(*p);
                }
            }
        }
        mass
    }

    /// kg stated for a thing and all that is in it.
    pub fn contents(&self, thing: Thing) -> f64 {
        if self.loads.is_empty() {
            return 0.0;
        }
        self.all_of(thing).iter().filter_map(|t| self.loads.get(t)).sum()
    }

    pub fn place(&self, thing: Thing) -> Option<&'a Cuboid> {
        match thing {
            Thing::Part(p) => self.part(p).map(|p| &p.place),
            Thing::Box(b) => self.entry(b).map(|b| &b.place),
        }
    }

    pub fn path(&self, thing: Thing) -> &'a str {
        match thing {
            Thing::Part(p) => self.part(p).map_or("", |p| p.path.as_str()),
            Thing::Box(b) => self.entry(b).map_or("", |b| b.path.as_str()),
        }
    }

    pub fn width(&self, thing: Thing) -> f64 {
        self.place(thing).map_or(0.0, |c| net::length(c.on(Axis::X)))
    }
}

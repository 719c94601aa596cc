//! The steps of building a job, as data. Which body goes in when is worked out in `checks::order`; here the
//! steps get what a maker needs beside them: what holds the parts, from where, with what, and how they lie.

mod fastening;
mod late;
mod ready;
mod ring;
mod site;
mod stance;
mod steps;
mod unit;

pub use fastening::{Bores, Fastening, Mounting};
pub use stance::{Lying, Rim};

use crate::checks::order::order;
use crate::geometry::{Axis, Face, Shape};
use crate::job::Job;
use crate::values::Mm;
use steps::Desk;

/// All steps of a job.
#[derive(Debug, Default)]
pub struct Assembly {
    pub stages: Vec<Stage>,
}

/// Steps that belong together.
#[derive(Debug)]
pub struct Stage {
    pub kind: StageKind,
    /// Paths of what is made: one for each of the equal boxes, which are made in the same way.
    pub boxes: Vec<String>,
    /// The side that is down on the bench while it is built.
    pub bench: Option<Face>,
    pub steps: Vec<Step>,
}

/// What a stage is about, in the order in which stages come.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum StageKind {
    /// Parts, one by one: banded, cut, bored.
    Ready,
    /// A box put together on the bench.
    Build,
    /// Boxes set up where they stay.
    Site,
    /// What goes into them: shelves, drawers.
    Inside,
    /// Fronts, last of all.
    Fronts,
}

/// One step, with a box to tick.
#[derive(Debug)]
pub struct Step {
    /// From 1 through the whole list.
    pub number: usize,
    pub act: Act,
    /// What is taken in hand: one group for each of the equal boxes.
    pub things: Vec<Group>,
    pub cautions: Vec<Caution>,
}

/// A body, by the job's parts, in one of the equal boxes.
#[derive(Clone, Debug)]
pub struct Group {
    /// The path of the part, or of the box that was built before.
    pub path: String,
    /// Indices into the job's parts.
    pub parts: Vec<usize>,
    /// Whether it was built before.
    pub built: bool,
}

/// What is done.
#[derive(Debug)]
pub enum Act {
    /// Pieces of one kind are made ready before anything is put together.
    Ready { bands: Vec<Face>, cuts: Vec<(Shape, usize)>, bevels: usize, holes: usize },
    /// The first part of a box.
    Start,
    /// The next one is put in place, and tacked where the joint says how.
    Place {
        from: Option<Face>,
        stance: Option<Lying>,
        /// Parts it is let into, and panels that go into its own grooves.
        hosts: Vec<usize>,
        takes: Vec<usize>,
        /// Fixes that are bored or driven in the next step.
        tacks: Vec<Fastening>,
    },
    /// What holds them.
    Fasten(Vec<Fastening>),
    /// Hardware is set.
    Mount(Vec<Mounting>),
    /// Both diagonals are measured.
    Square { plane: [Axis; 2], sizes: [Mm; 2], diagonal: Mm },
    /// Stood on the floor, or on others; levelled where others will stand on it.
    Stand { on: Vec<usize>, level: bool, at: Option<Spot> },
    /// Held to the wall.
    ToWall { at: Option<Spot>, fasten: Vec<Fastening> },
    /// Hooked over what is up already.
    Hang { on: Vec<usize> },
    /// Held by what stands beside it.
    Hold { at: Option<Spot> },
    /// A loose thing is laid in, with what lies under it.
    LayIn { with: Vec<(String, u64)> },
    /// Slid into its box, where its fittings have their other halves on these parts.
    SlideIn { by: Vec<Mounting>, fasten: Vec<Fastening> },
    /// A front is set and held, or hung where its fittings have their other halves.
    Front { by: Vec<Mounting>, fasten: Vec<Fastening> },
}

/// Where something stands at a wall.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Spot {
    /// Its top above the highest point of the floor.
    pub top: Mm,
    /// Its left end from the left end of the wall.
    pub left: Mm,
}

/// What to take care of.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Caution {
    /// More than one person lifts: how many.
    Lift(u32),
    /// Find cables and pipes first.
    Wall,
    /// Nobody under it until it is locked.
    Overhead,
}

/// The steps of a job.
pub fn plan(job: &Job) -> Assembly {
    let order = order(job);
    let mut desk = Desk::new(job, &order);
    let mut stages = vec![ready::stage(job)];
    stages.extend(unit::stages(&mut desk));
    stages.extend(site::stages(&mut desk));
    stages.extend(late::stages(&mut desk, false));
    stages.extend(late::stages(&mut desk, true));
    stages.extend(desk.left_over());
    stages.retain(|s| !s.steps.is_empty());
    let mut number = 0;
    for step in stages.iter_mut().flat_map(|s| &mut s.steps) {
        number += 1;
        step.number = number;
    }
    Assembly { stages }
}

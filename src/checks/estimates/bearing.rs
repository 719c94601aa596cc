//! Loads on pins, slides, feet, screws and wall fixings, against their ratings.

use super::flow::Flow;
use super::net::Mass;
use super::world::World;
use super::{GRAVITY, real};
use crate::job::Way;

/// A bearing of the job with the load on each of its items.
#[derive(Clone, Debug)]
pub struct Borne {
    /// Index into the bearings of the job.
    pub index: usize,
    pub item: String,
    pub count: u64,
    pub way: Way,
    pub purpose: Option<String>,
    pub by: String,
    pub things: Vec<String>,
    /// What they weigh with all they carry.
    pub mass: Mass,
    pub times: f64,
    /// N on one of them.
    pub each: f64,
    /// N, as rated.
    pub rating: f64,
    pub factor: f64,
}

impl Borne {
    /// N that one may bear.
    pub fn allowed(&self) -> f64 {
        self.rating / self.factor
    }

    /// The load as a part of what is allowed: 1 is just borne.
    pub fn used(&self) -> f64 {
        self.each / self.allowed()
    }

    /// True where it is overloaded; a difference that is only rounding is none.
    pub fn over(&self) -> bool {
        self.used() > 1.0 + 1e-9
    }
}

pub(super) fn all(world: &World<'_>, flow: &mut Flow<'_, '_>) -> Vec<Borne> {
    let mut out = Vec::new();
    for (index, b) in world.job.bearings.iter().enumerate() {
        let things: Vec<_> = b.things.iter().filter_map(|path| world.find(path)).collect();
        let mass = flow.borne(&things);
        let times = real(b.times.0);
        out.push(Borne {
            index,
            item: b.item.clone(),
            count: b.count,
            way: b.way,
            purpose: b.purpose.clone(),
            by: b.by.clone(),
            things: b.things.clone(),
            mass,
            times,
            each: mass.kg * GRAVITY * times / (b.count.max(1) as f64),
            rating: real(b.rating.0),
            factor: real(b.factor.0),
        });
    }
    out
}

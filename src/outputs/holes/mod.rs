//! Hole maps: for each distinct part that is worked a page for each worked face, to scale, as the
//! part lies on the bench.

mod bench;
mod chains;
mod cuts;
pub(super) mod entry;
mod look;
mod map;
mod rows;
mod view;
mod words;

use super::drawing::Sheet;
use super::parts::distinct;
use crate::job::Job;
use crate::values::Rational;
use std::collections::BTreeSet;

/// The maps of a job, part by part; names are unique within the job.
pub fn sheets(job: &Job) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    each(job, &mut |sheet| sheets.push(sheet));
    sheets
}

/// Hands on each map as it is made.
pub fn each(job: &Job, take: &mut dyn FnMut(Sheet)) {
    let diameters: BTreeSet<Rational> =
        job.parts.iter().flat_map(|p| p.holes.iter().map(|h| h.dia.0)).collect();
    let diameters: Vec<Rational> = diameters.into_iter().collect();
    for d in distinct(job) {
        map::sheets(job, &d, &diameters).into_iter().for_each(&mut *take);
    }
}

//! Exploded views: each outermost box, and each box in it that stays together, in true isometric with
//! its parts moved out along their joints.

mod draw;
mod homeward;
mod iso;
mod page;
mod spread;
mod units;
mod words;

use super::drawing::Sheet;
use super::elevations::{Look, drawn, look};
use crate::job::{BoxEntry, Job};
use std::collections::BTreeMap;
use units::{Subject, stays_together};

/// The sheets of a job, in the order of its boxes; equal boxes once.
pub fn sheets(job: &Job) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    each(job, &mut |sheet| sheets.push(sheet));
    sheets
}

/// Hands on each sheet as it is made.
pub fn each(job: &Job, take: &mut dyn FnMut(Sheet)) {
    let boxes = drawn(job);
    let mut subjects: Vec<Subject> = Vec::new();
    let shown = |b: &&BoxEntry| b.within.is_none() || stays_together(job, b);
    let mut known: BTreeMap<Look, usize> = BTreeMap::new();
    for entry in boxes.iter().filter(shown) {
        let Some(look) = look(job, entry) else { continue };
        match known.get(&look).and_then(|n| subjects.get_mut(*n)) {
            Some(subject) => subject.alike.push(entry),
            None => {
                known.insert(look, subjects.len());
                subjects.push(Subject { job, entry, alike: vec![entry] });
            }
        }
    }
    for subject in &subjects {
        page::sheets(subject).into_iter().for_each(&mut *take);
    }
}

/// The drawing of one box alone, as SVG to stand among text; none for a box of a single part.
pub fn picture(job: &Job, path: &str, room: (f64, f64)) -> Option<String> {
    let boxes = drawn(job);
    let entry = boxes.iter().find(|b| b.path == path)?;
    let canvas = page::picture(&Subject { job, entry, alike: vec![entry] }, room)?;
    super::drawing::picture(canvas, "Taken apart")
}

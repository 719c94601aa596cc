//! Walls: for each an elevation, with what stands at it and where it is marked out from, and a plan.

mod front;
mod heights;
mod page;
mod plan;
mod sight;
mod site;
mod widths;
mod words;

use super::drawing::Sheet;
use crate::job::Job;

/// The sheets of a job, wall by wall.
pub fn sheets(job: &Job) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    each(job, &mut |sheet| sheets.push(sheet));
    sheets
}

/// Hands on each sheet as it is made.
pub fn each(job: &Job, take: &mut dyn FnMut(Sheet)) {
    for wall in &job.walls {
        page::sheets(&site::Site::new(job, wall)).into_iter().for_each(&mut *take);
    }
}

/// The elevation of one wall alone, as SVG to stand among text.
pub fn picture(job: &Job, path: &str, room: (f64, f64)) -> Option<String> {
    let wall = job.walls.iter().find(|w| w.path == path)?;
    let canvas = page::picture(&site::Site::new(job, wall), room)?;
    super::drawing::picture(canvas, "Wall")
}

//! Elevations: front, section and plan of each box, with the marks of its parts and its dimensions.

mod dims;
pub(super) mod marks;
pub(super) mod page;
pub(super) mod solid;
pub(super) mod view;
pub(super) mod words;

use super::drawing::Sheet;
use crate::checks::estimates::stand_free;
use crate::job::{BoxEntry, Cuboid, Interval, Job};
use crate::values::Rational;
use std::collections::BTreeMap;

/// What makes two boxes equal on paper: each part's mark with its place from the box's corner.
pub(super) type Look = Vec<(String, [Rational; 6], String)>;

/// The look of a box; `None` where a figure is too large.
pub(super) fn look(job: &Job, entry: &BoxEntry) -> Option<Look> {
    let within = format!("{}.", entry.path);
    let mut look = Vec::new();
    for part in job.parts.iter().filter(|p| p.path.starts_with(&within)) {
        let (place, corner) = (&part.place, &entry.place);
        let ends = [
            place.x.lo.sub(corner.x.lo).ok()?,
            place.x.hi.sub(corner.x.lo).ok()?,
            place.y.lo.sub(corner.y.lo).ok()?,
            place.y.hi.sub(corner.y.lo).ok()?,
            place.z.lo.sub(corner.z.lo).ok()?,
            place.z.hi.sub(corner.z.lo).ok()?,
        ];
        let own = if part.box_path == entry.path { "" } else { "within" };
        look.push((part.mark.clone(), ends, own.to_string()));
    }
    look.sort();
    Some(look)
}

/// The boxes of a job as they are drawn: what is placed at a wall by what it serves may fill only a part of
/// its envelope, and is drawn as large as its parts are.
pub(super) fn drawn(job: &Job) -> Vec<BoxEntry> {
    let trimmed = |entry: &BoxEntry| {
        let mut entry = entry.clone();
        if entry.root == entry.path || entry.row.is_some() || entry.within.is_some() {
            return entry;
        }
        let within = format!("{}.", entry.path);
        let parts = job.parts.iter().filter(|p| p.path.starts_with(&within)).map(|p| p.place);
        let both = |a: Interval, b: Interval| Interval::new(a.lo.min(b.lo), a.hi.max(b.hi));
        let whole = parts.reduce(|a, b| Cuboid { x: both(a.x, b.x), y: both(a.y, b.y), z: both(a.z, b.z) });
        entry.place = whole.unwrap_or(entry.place);
        entry
    };
    job.boxes.iter().map(trimmed).collect()
}

/// The sheets of a job, in the order of its boxes; equal boxes once.
pub fn sheets(job: &Job) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    each(job, &mut |sheet| sheets.push(sheet));
    sheets
}

/// Hands on each sheet as it is made.
pub fn each(job: &Job, take: &mut dyn FnMut(Sheet)) {
    let boxes = drawn(job);
    let mut groups: Vec<Vec<&BoxEntry>> = Vec::new();
    let mut known: BTreeMap<Look, usize> = BTreeMap::new();
    for entry in &boxes {
        let Some(look) = look(job, entry).filter(|l| !l.is_empty()) else { continue };
        // A box without parts of its own is shown where it arranges several.
        let inner = job.boxes.iter().filter(|b| b.within.as_deref() == Some(entry.path.as_str())).count();
        if inner < 2 && look.iter().all(|(_, _, own)| !own.is_empty()) {
            continue;
        }
        match known.get(&look).and_then(|n| groups.get_mut(*n)) {
            Some(alike) => alike.push(entry),
            None => {
                known.insert(look, groups.len());
                groups.push(vec![entry]);
            }
        }
    }
    let free = stand_free(job);
    for alike in groups {
        let Some(entry) = alike.first().copied() else { continue };
        page::sheets(&page::Subject { job, entry, alike, free: &free }).into_iter().for_each(&mut *take);
    }
}

/// The three views of one box alone, as SVG to stand among text.
pub fn picture(job: &Job, path: &str, room: (f64, f64)) -> Option<String> {
    let boxes = drawn(job);
    let entry = boxes.iter().find(|b| b.path == path)?;
    look(job, entry).filter(|l| !l.is_empty())?;
    let free = stand_free(job);
    let canvas = page::picture(&page::Subject { job, entry, alike: vec![entry], free: &free }, room)?;
    super::drawing::picture(canvas, "Front, section and plan")
}

//! Which boxes differ, and what of each.

use crate::geometry::Axis;
use crate::job::{BoxEntry, Job};
use crate::outputs::drawing::float;
use crate::outputs::elevations::solid::{self, Solid};
use crate::revisions::{BoxChange, Comparison, PartChange, Verdict};
use std::collections::BTreeMap;

/// An outermost box in both revisions.
pub struct Subject<'a> {
    /// Old and new.
    pub jobs: [&'a Job; 2],
    /// The box in each; one of them is missing where it is new or gone.
    pub entries: [Option<&'a BoxEntry>; 2],
    /// What became of the box itself, where anything did.
    pub change: Option<&'a BoxChange>,
    /// What became of the boxes within.
    pub inner: Vec<&'a BoxChange>,
    /// The parts that change, in the order of the comparison.
    pub parts: Vec<Changed<'a>>,
    /// Parts of the new box; `own` are those that differ from the old ones.
    pub new: Vec<Solid<'a>>,
    /// Parts of the old box that the new one does not have in the same place.
    pub old: Vec<Solid<'a>>,
}

/// A part that changes.
#[derive(Clone, Copy)]
pub struct Changed<'a> {
    pub change: &'a PartChange,
    /// It was a part of this box and is one of another now.
    pub leaves: bool,
}

impl<'a> Subject<'a> {
    /// The box as it is now, or as it was where it is gone.
    pub fn entry(&self) -> Option<&'a BoxEntry> {
        self.entries[1].or(self.entries[0])
    }

    pub fn is_new(&self) -> bool {
        self.entries[0].is_none()
    }

    pub fn is_gone(&self) -> bool {
        self.entries[1].is_none()
    }

    /// The job that the figures are printed for.
    pub fn job(&self) -> &'a Job {
        if self.is_gone() { self.jobs[0] } else { self.jobs[1] }
    }

    /// Width, height or depth of the old and of the new box.
    pub fn size(&self, axis: Axis) -> [Option<crate::values::Rational>; 2] {
        self.entries.map(|e| e.and_then(|e| e.place.on(axis).size().ok()))
    }

    /// Low and high end of all that is drawn, from the common low corner, in mm.
    pub fn extent(&self, axis: Axis) -> (f64, f64) {
        let sizes = self.size(axis).into_iter().flatten().map(|s| (0.0, float(s)));
        let ends = self.new.iter().chain(&self.old).map(|s| s.on(axis));
        sizes.chain(ends).fold((0.0, 0.0), |a, b| (a.0.min(b.0), a.1.max(b.1)))
    }
}

/// True where a path is of a thing in a box.
fn within(path: &str, entry: Option<&BoxEntry>) -> bool {
    entry.is_some_and(|e| path.strip_prefix(&e.path).is_some_and(|rest| rest.starts_with('.')))
}

/// The boxes that differ, those of the new job first.
pub fn subjects<'a>(
    jobs: [&'a Job; 2],
    boxes: [&'a [BoxEntry]; 2],
    comparison: &'a Comparison,
) -> Vec<Subject<'a>> {
    let of_new: BTreeMap<&str, &BoxChange> =
        comparison.boxes.iter().filter_map(|c| Some((c.new.as_deref()?, c))).collect();
    let old_boxes: BTreeMap<&str, &BoxEntry> = boxes[0].iter().map(|b| (b.path.as_str(), b)).collect();
    let mut found = Vec::new();
    for entry in boxes[1].iter().filter(|b| b.within.is_none()) {
        let change = of_new.get(entry.path.as_str()).copied();
        // A box that is not listed does not differ, so that it has the same path.
        let path = change.map_or(Some(entry.path.as_str()), |c| c.old.as_deref());
        let old = path.and_then(|p| old_boxes.get(p).copied());
        found.push(([old, Some(entry)], change));
    }
    for change in comparison.boxes.iter().filter(|c| c.new.is_none()) {
        let old = change.old.as_deref().and_then(|p| old_boxes.get(p).copied());
        if old.is_some_and(|b| b.within.is_none()) {
            found.push(([old, None], Some(change)));
        }
    }
    let all = found.into_iter().map(|(entries, change)| subject(jobs, entries, change, comparison));
    all.filter(differs).collect()
}

/// True for more than another place.
fn differs(subject: &Subject) -> bool {
    let change = subject.change.is_some_and(|c| c.resized.is_some() || c.retyped.is_some() || c.mirrored);
    let drawn = !subject.new.is_empty() || !subject.old.is_empty();
    drawn && (change || !subject.inner.is_empty() || !subject.parts.is_empty())
}

fn subject<'a>(
    jobs: [&'a Job; 2],
    entries: [Option<&'a BoxEntry>; 2],
    change: Option<&'a BoxChange>,
    comparison: &'a Comparison,
) -> Subject<'a> {
    let [old_entry, new_entry] = entries;
    let is_new = |c: &PartChange| c.new.as_ref().is_some_and(|p| within(&p.path, new_entry));
    let is_old = |c: &PartChange| c.old.as_ref().is_some_and(|p| within(&p.path, old_entry));
    let inside = |c: &&BoxChange| {
        c.new.as_deref().is_some_and(|p| within(p, new_entry))
            || c.new.is_none() && c.old.as_deref().is_some_and(|p| within(p, old_entry))
    };
    let here: Vec<&PartChange> = comparison.parts.iter().filter(|c| is_new(c) || is_old(c)).collect();
    let of_new: BTreeMap<&str, &PartChange> =
        here.iter().filter_map(|c| Some((c.new.as_ref()?.path.as_str(), *c))).collect();
    let of_old: BTreeMap<&str, &PartChange> =
        here.iter().filter_map(|c| Some((c.old.as_ref()?.path.as_str(), *c))).collect();
    let solids = |side: usize| entries[side].map_or(Vec::new(), |e| solid::of(jobs[side], e));
    let (mut old, mut new) = (solids(0), solids(1));
    let tolerance = float(comparison.tolerance.0) + solid::SAME;
    let same = |a: &Solid, b: &Solid| {
        a.ends
            .iter()
            .zip(&b.ends)
            .all(|(a, b)| (a.0 - b.0).abs() <= tolerance && (a.1 - b.1).abs() <= tolerance)
    };
    let old_ends: BTreeMap<&str, &Solid> = old.iter().map(|s| (s.part.path.as_str(), s)).collect();
    let stays: BTreeMap<&str, bool> = new
        .iter()
        .map(|solid| {
            let change = of_new.get(solid.part.path.as_str());
            let was = change.and_then(|c| old_ends.get(c.old.as_ref()?.path.as_str()));
            (solid.part.path.as_str(), was.is_some_and(|was| same(was, solid)))
        })
        .collect();
    for solid in &mut new {
        let path = solid.part.path.as_str();
        let worked =
            of_new.get(path).is_some_and(|c| !matches!(c.verdict, Verdict::Unchanged | Verdict::Renamed));
        solid.own = worked || !stays.get(path).copied().unwrap_or(false);
    }
    old.retain(|solid| {
        let now = of_old.get(solid.part.path.as_str()).and_then(|c| c.new.as_ref());
        !now.and_then(|p| stays.get(p.path.as_str())).copied().unwrap_or(false)
    });
    let changed = |c: &&'a PartChange| {
        c.verdict != Verdict::Unchanged || c.rework.as_ref().is_some_and(|r| !r.is_idle()) || !is_new(c)
    };
    let parts = here.iter().filter(|c| changed(c)).map(|c| {
        let leaves = !is_new(c) && c.new.is_some();
        Changed { change: c, leaves }
    });
    Subject {
        jobs,
        entries,
        change,
        inner: comparison
            .boxes
            .iter()
            .filter(inside)
            .filter(|c| change.is_none_or(|own| !std::ptr::eq(own, *c)))
            .collect(),
        parts: parts.collect(),
        new,
        old,
    }
}

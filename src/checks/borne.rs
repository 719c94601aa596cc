//! Boxes of a row that nothing holds up.

use super::Checks;
use super::report::{Faults, because};
use crate::diagnostics::Severity;
use crate::geometry::Axis;
use crate::job::{BoxEntry, Part, Way};
use crate::values::Overflow;
use std::collections::BTreeSet;

/// A warning for each box of a row that stands off the floor while nothing carries it: no plinth or foot
/// under it, nothing behind it that bears it, no other box that it stands on.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    if faults.has_error() {
        return Ok(());
    }
    let job = checks.job;
    let mut borne: BTreeSet<&str> = BTreeSet::new();
    // What rests on nothing hangs on what the design does not hold.
    borne.extend(job.rests.iter().filter(|r| !r.on.is_empty()).map(|r| r.thing.as_str()));
    for bearing in &job.bearings {
        // What a box says of itself is what it hangs by, not what it hangs on; its own feet carry it.
        let holds = |thing: &&String| bearing.way == Way::Down || !is_in(&bearing.by, thing);
        borne.extend(bearing.things.iter().filter(holds).map(String::as_str));
    }
    borne.extend(job.anchored.iter().filter_map(|i| job.parts.get(*i)).map(|p| p.path.as_str()));
    // A part that is borne bears the boxes it is in.
    let borne: BTreeSet<&str> = borne.into_iter().flat_map(around).collect();
    for entry in job.boxes.iter().filter(|b| b.row.is_some() && b.within.is_none()) {
        let Some(wall) = job.walls.iter().find(|w| w.path == entry.root) else { continue };
        let height = entry.place.y.lo.sub(wall.place.y.lo)?;
        if !height.is_positive()
            || borne.contains(entry.path.as_str())
            || entry.row.as_deref().is_some_and(|row| borne.contains(row))
            || checks.is_unsure(&entry.path)
        {
            continue;
        }
        if job.parts.iter().any(|p| p.root == entry.root && stands_on(entry, p)) {
            continue;
        }
        let message = format!(
            "Nothing in the design holds this box up: it is {} above the floor.",
            checks.length(height)
        );
        let mut fault = checks.fault("not-borne", Severity::Warning, message, entry.origin, "in the air");
        fault = because(fault, checks.trace, entry.origin);
        fault = fault
            .help("Give it what carries it, from `std.site` or `std.feet`: a plinth or feet under it, a cleat or rail behind it.")
            .help("Where something else does, say so: `accept(not-borne, because: \"…\")`.");
        fault.boxes = vec![entry.path.clone()];
        faults.add(fault);
    }
    Ok(())
}

/// True where a path is that of a box or of something in it.
fn is_in(path: &str, outer: &str) -> bool {
    path.strip_prefix(outer).is_some_and(|rest| rest.is_empty() || rest.starts_with(['.', '/']))
}

/// A path and those of all that it is in.
fn around(path: &str) -> impl Iterator<Item = &str> {
    let ends = path.match_indices('.').map(|(i, _)| i).chain(std::iter::once(path.len()));
    ends.filter_map(move |end| path.get(..end))
}

/// True where a part of another box lies right under a box.
fn stands_on(entry: &BoxEntry, part: &Part) -> bool {
    let other = !is_in(&part.box_path, &entry.path);
    let over = |axis: Axis| {
        let (a, b) = (entry.place.on(axis), part.place.on(axis));
        a.lo < b.hi && b.lo < a.hi
    };
    other && part.place.y.hi == entry.place.y.lo && over(Axis::X) && over(Axis::Z)
}

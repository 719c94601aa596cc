//! Boxes at a wall: clear of obstacles, before the wall's surface, under its ceiling, off its floor.

use super::Checks;
use super::report::{Faults, because, parting, worst};
use crate::diagnostics::Severity;
use crate::geometry::{Axis, Cuboid};
use crate::job::{BoxEntry, Obstacle, Part, Wall};
use crate::values::{Overflow, Rational};
use std::collections::{BTreeMap, BTreeSet};

/// One message for each box and obstacle, and for each box and side of the wall it passes.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    for wall in &checks.job.walls {
        let mut boxes: BTreeMap<&str, Vec<&Part>> = BTreeMap::new();
        for part in checks.job.parts.iter().filter(|p| p.root == wall.path && !checks.is_unsure(&p.box_path))
        {
            boxes.entry(&part.box_path).or_default().push(part);
        }
        for (path, parts) in boxes {
            let Some(entry) = checks.boxes.get(path) else { continue };
            for obstacle in &wall.obstacles {
                meets(checks, entry, &parts, obstacle, faults)?;
            }
            beyond(checks, entry, &parts, wall, faults)?;
        }
    }
    Ok(())
}

/// What a part shares with an obstacle; nothing where one of its cuts takes all of that out.
fn uncut(part: &Part, shared: Cuboid, corner: &Cuboid) -> Result<Option<Cuboid>, Overflow> {
    for cut in &part.cuts {
        let mut covers = true;
        for axis in Axis::ALL {
            let at = cut.cuboid.on(axis).shift(corner.on(axis).lo)?;
            covers &= at.lo <= shared.on(axis).lo && at.hi >= shared.on(axis).hi;
        }
        if covers {
            return Ok(None);
        }
    }
    Ok(Some(shared))
}

fn meets(
    checks: &Checks,
    entry: &BoxEntry,
    parts: &[&Part],
    obstacle: &Obstacle,
    faults: &mut Faults,
) -> Result<(), Overflow> {
    let mut hit: Option<Cuboid> = None;
    let mut names = Vec::new();
    let mut hits: BTreeSet<&String> = BTreeSet::new();
    for part in parts {
        let Some(shared) = part.place.common(&obstacle.place) else { continue };
        let Some(shared) = uncut(part, shared, &entry.place)? else { continue };
        names.push(format!("`{}`", part.name()));
        hits.insert(&part.path);
        let deeper = match &hit {
            Some(before) => shared.z.size()? > before.z.size()?,
            None => true,
        };
        if deeper {
            hit = Some(shared);
        }
    }
    let Some(shared) = hit else { return Ok(()) };
    let (a, b) = (entry.place.x, obstacle.place.x);
    let along = b.hi.sub(a.lo)?.min(a.hi.sub(b.lo)?);
    let name = obstacle.path.rsplit('.').next().unwrap_or(&obstacle.path);
    let message = format!(
        "`{}` runs into `{name}`: {} and the obstacle share {}.",
        entry.path,
        super::report::listed(&names),
        checks.extents(&shared)?
    );
    let mut fault =
        checks.fault("meets-obstacle", Severity::Error, message, entry.origin, "stands in its way");
    fault = because(fault, checks.trace, obstacle.origin);
    fault = because(fault, checks.trace, entry.origin);
    fault = fault.help(format!(
        "Let it stand {} further off the wall or {} further along it, or cut its parts round the obstacle: `cut(PART, by: {})`.",
        checks.length(shared.z.size()?),
        checks.length(along),
        obstacle.path
    ));
    fault.misses =
        worst(parts.iter().filter(|p| hits.contains(&p.path)).map(|p| parting(&p.place, &obstacle.place)));
    fault.boxes = vec![entry.path.clone()];
    faults.add(fault);
    Ok(())
}

fn beyond(
    checks: &Checks,
    entry: &BoxEntry,
    parts: &[&Part],
    wall: &Wall,
    faults: &mut Faults,
) -> Result<(), Overflow> {
    let mut worst: BTreeMap<&str, (Rational, &Part)> = BTreeMap::new();
    let mut on_floor: Option<&Part> = None;
    for part in parts {
        let (x, y, z) = (part.place.x, part.place.y, part.place.z);
        let mut sides = vec![
            ("below the floor", wall.place.y.lo.sub(y.lo)?),
            ("above the ceiling", y.hi.sub(wall.place.y.hi)?),
            ("into the wall", z.hi.sub(wall.place.z.lo)?),
        ];
        // A scribe is cut over-wide and planed to the wall.
        if !part.proud {
            sides.push(("beyond the left end of the wall", wall.place.x.lo.sub(x.lo)?));
            sides.push(("beyond the right end of the wall", x.hi.sub(wall.place.x.hi)?));
        }
        for (words, by) in sides {
            if by.is_positive() && worst.get(words).is_none_or(|(most, _)| by > *most) {
                worst.insert(words, (by, part));
            }
        }
        if y.lo == wall.place.y.lo {
            on_floor = on_floor.or(Some(part));
        }
    }
    for (words, (by, part)) in worst {
        let (by_mm, by) = (by, checks.length(by));
        let message = format!("`{}` reaches {by} {words}.", part.path);
        let mut fault =
            checks.fault("beyond-wall", Severity::Error, message, part.origin, &format!("{by} {words}"));
        fault = because(because(fault, checks.trace, wall.origin), checks.trace, entry.origin);
        fault = fault.help(format!("Move or shorten it by {by}.")).miss(by_mm);
        fault.boxes = vec![entry.path.clone()];
        faults.add(fault);
    }
    if let Some(part) = on_floor {
        let message = format!("`{}` stands on the floor; a board takes up water from below.", part.path);
        let mut fault =
            checks.fault("board-on-floor", Severity::Warning, message, part.origin, "touches the floor");
        fault = because(fault, checks.trace, entry.origin);
        fault = fault.help("Put the box on feet or a plinth: `at: 100mm`.");
        fault.boxes = vec![entry.path.clone()];
        faults.add(fault);
    }
    Ok(())
}

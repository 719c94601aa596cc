//! Holes that cannot be bored as they stand.

mod bore;
mod place;
mod words;

use super::report::Faults;
use super::{Checks, sweep};
use crate::geometry::Cuboid;
use crate::job::{Cut, Part};
use crate::values::Overflow;
use bore::Bore;

/// Once so many clash in one part the rest adds nothing; they are read in a fixed order.
const ENOUGH: usize = 1000;

/// `hole-outside`, `hole-too-deep`, `hole-meets-hole` and `hole-in-groove`.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    for part in &checks.job.parts {
        let mut bores = Vec::with_capacity(part.holes.len());
        for hole in &part.holes {
            if let Some(bore) = Bore::of(part, hole)? {
                let placed = place::check(checks, part, &bore, faults)?;
                // What lies off the part or comes out of it is told once.
                if placed {
                    bores.push(bore);
                }
            }
        }
        clashes(checks, part, &bores, faults)?;
    }
    Ok(())
}

fn clashes(checks: &Checks, part: &Part, bores: &[Bore], faults: &mut Faults) -> Result<(), Overflow> {
    let mut boxes: Vec<Cuboid> = bores.iter().map(|b| b.bounds).collect();
    boxes.extend(part.cuts.iter().map(|c| c.cuboid));
    let mut outcome = Ok(());
    let mut left = ENOUGH;
    sweep::sweep(&boxes, |a, b| match clash(checks, part, bores, (a, b), faults) {
        Ok(clash) => {
            left = left.saturating_sub(usize::from(clash));
            left > 0
        }
        Err(far) => {
            outcome = Err(far);
            false
        }
    });
    outcome
}

/// Looks at two solids whose bounds meet; indices past the holes are cuts. True where they clash.
fn clash(
    checks: &Checks,
    part: &Part,
    bores: &[Bore],
    (a, b): (usize, usize),
    faults: &mut Faults,
) -> Result<bool, Overflow> {
    let cut = |i: usize| i.checked_sub(bores.len()).and_then(|i| part.cuts.get(i));
    match (bores.get(a), bores.get(b), cut(b)) {
        (Some(a), Some(b), _) if !same(a, b) && bore::meet(part, a, b)? => {
            faults.add(words::holes_meet(checks, part, a, b)?);
            Ok(true)
        }
        (Some(a), None, Some(cut)) if !of_one_joint(a, cut) && bore::meets_cut(part, a, cut)? => {
            faults.add(words::in_cut(checks, part, a, cut)?);
            Ok(true)
        }
        _ => Ok(false),
    }
}

/// The same hole for two purposes.
fn same(a: &Bore, b: &Bore) -> bool {
    let heads = !a.hole.profile.is_empty();
    a.bounds == b.bounds
        && a.hole.dia == b.hole.dia
        && a.hole.profile == b.hole.profile
        && (!heads || a.hole.face == b.hole.face)
}

/// A joint may bore through the cut that it makes itself: a shelf let in and screwed.
fn of_one_joint(bore: &Bore, cut: &Cut) -> bool {
    bore.hole.joints.contains(&cut.joint)
}

#[cfg(test)]
mod tests;

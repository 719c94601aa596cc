//! In which order things can be put together: found by taking them apart. A part comes off where some
//! straight way out is free of everything that is still there; turned round, that is how it goes in.

mod apart;
mod site;
mod solids;
mod units;

pub use apart::{Act, Body};
pub use site::{Footing, Standing};
pub use solids::extent;
pub use units::{Late, LateKind, Order, Unit, order};

use super::Checks;
use super::report::{Faults, listed};
use crate::diagnostics::Severity;
use crate::values::Overflow;

/// Warns `cannot-assemble` where no order was found in which parts can be put in place one after another,
/// or a few together, each on a straight way. A warning and no error: thin panels bend, and parts tilt.
pub(super) fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let job = checks.job;
    if job.boxes.iter().any(|b| checks.is_unsure(&b.path)) || !checks.clashes.is_empty() || faults.has_error()
    {
        return Ok(());
    }
    let order = order(job);
    let rings = order.units.iter().map(|u| (&u.stuck, &u.path)).filter(|(ring, _)| !ring.is_empty());
    for (ring, path) in rings {
        let names: Vec<String> =
            ring.iter().filter_map(|p| job.parts.get(*p)).map(|p| format!("`{}`", p.name())).collect();
        let Some(first) = ring.first().and_then(|p| job.parts.get(*p)) else { continue };
        let message = format!(
            "No order was found to put {} together: each is in the way of the others.",
            listed(&names)
        );
        let mut fault =
            checks.fault("cannot-assemble", Severity::Warning, message, first.origin, "one of them");
        for part in ring.iter().skip(1).take(3).filter_map(|p| job.parts.get(*p)) {
            fault = fault.label(checks.trace.span(part.origin), "another");
        }
        fault = fault.help(
            "Leave a way for each: a groove open at one end, or a part that goes on last. Where a thin panel bends in, say so with `accept`.",
        );
        fault.boxes = vec![path.clone()];
        faults.add(fault);
    }
    if !order.site.ring.is_empty() {
        let names: Vec<String> = order.site.ring.iter().map(|p| format!("`{p}`")).collect();
        let message =
            format!("{} rest on each other in a ring; none of them can stand first.", listed(&names));
        let origin = job.boxes.iter().find(|b| order.site.ring.contains(&b.path)).map(|b| b.origin);
        if let Some(origin) = origin.or(job.boxes.first().map(|b| b.origin)) {
            let fault = checks.fault("cannot-assemble", Severity::Warning, message, origin, "one of them");
            faults.add(fault.help("Let the lowest of them rest on nothing else."));
        }
    }
    Ok(())
}

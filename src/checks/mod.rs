//! What a finished job must hold to: nothing overlaps, everything is held, every hole can be bored.

mod answers;
mod borne;
mod cuts;
mod envelope;
pub mod estimates;
mod held;
mod holes;
mod mend;
mod motion;
pub mod order;
mod overlap;
mod report;
mod rounding;
mod screws;
mod sheet;
mod site;
mod sweep;
#[cfg(test)]
mod testing;

use crate::diagnostics::{Diagnostic, Severity};
use crate::job::{BoxEntry, Job, Trace};
use crate::values::{Overflow, Style};
pub use answers::answer;
pub use mend::{Design, Facts, Found, Offer, mend, offers};
use report::Faults;
use std::collections::{BTreeMap, BTreeSet};

/// What every check reads.
struct Checks<'a> {
    job: &'a Job,
    trace: &'a dyn Trace,
    style: Style,
    boxes: BTreeMap<&'a str, &'a BoxEntry>,
    /// Boxes in which something failed: what is missing there is no second fault.
    unsure: &'a BTreeSet<String>,
    /// Parts that overlap without a reason.
    clashes: Vec<(usize, usize)>,
}

/// Every fault and doubt about a job, in no particular order.
pub fn run(job: &Job, trace: &dyn Trace) -> Vec<Diagnostic> {
    run_except(job, trace, &BTreeSet::new())
}

/// The same for a job in which the boxes `unsure` (by path) are not complete: neither overlaps nor
/// what holds their parts is looked at there.
pub fn run_except(job: &Job, trace: &dyn Trace, unsure: &BTreeSet<String>) -> Vec<Diagnostic> {
    let mut checks = Checks {
        job,
        trace,
        style: job.house.style(),
        boxes: job.boxes.iter().map(|b| (b.path.as_str(), b)).collect(),
        unsure,
        clashes: Vec::new(),
    };
    checks.clashes = overlap::clashes(job, |path| checks.is_unsure(path));
    type Check = fn(&Checks, &mut Faults) -> Result<(), Overflow>;
    let all: [Check; 13] = [
        overlap::check,
        held::check,
        screws::check,
        envelope::check,
        holes::check,
        cuts::check,
        rounding::check,
        sheet::check,
        estimates::check,
        site::check,
        motion::check,
        order::check,
        borne::check,
    ];
    let mut faults = Faults::default();
    for check in all {
        if check(&checks, &mut faults) == Err(Overflow)
            && let Some(first) = job.boxes.first()
        {
            let message = format!("A figure is too large to check: {Overflow}");
            faults.add(checks.fault("number-too-large", Severity::Error, message, first.origin, "in here"));
        }
    }
    faults.into_diagnostics()
}

//! Printed sizes that no longer add up to their printed total.

use super::Checks;
use super::report::{Faults, because, listed};
use crate::diagnostics::Severity;
use crate::geometry::Axis;
use crate::job::{BoxEntry, Part};
use crate::values::{Overflow, Rational};
use std::collections::BTreeMap;

/// So many parts that end in one plane are tried as the one before.
const ENOUGH: usize = 500;

/// Warns `rounding` for a box where touching parts that fill it from face to face, each printed to
/// `house.print`, miss the printed overall size by more than one such step. The worst chain of parts on
/// each axis is named.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let mut of_box: BTreeMap<&str, Vec<&Part>> = BTreeMap::new();
    for part in &checks.job.parts {
        of_box.entry(&part.box_path).or_default().push(part);
    }
    for (path, parts) in of_box {
        let Some(of) = checks.boxes.get(path) else { continue };
        if checks.is_unsure(path) {
            continue;
        }
        for axis in Axis::ALL {
            if let Some((miss, chain)) = worst(checks, of, axis, &parts)?
                && miss.abs()? > checks.style.step
            {
                faults.add(fault(checks, of, axis, miss, &chain)?);
            }
        }
    }
    Ok(())
}

/// How far the printed sizes up to a part lie off their exact length, and the part before it.
#[derive(Clone, Copy)]
struct Reached {
    off: Rational,
    before: Option<usize>,
}

/// The chain across the envelope whose printed sizes miss the printed total by the most.
fn worst<'a>(
    checks: &Checks,
    of: &BoxEntry,
    axis: Axis,
    parts: &[&'a Part],
) -> Result<Option<(Rational, Vec<&'a Part>)>, Overflow> {
    let room = of.place.on(axis);
    let total = room.size()?;
    let total_off = checks.style.round(total)?.sub(total)?;
    let mut order: Vec<&Part> = parts.to_vec();
    order.sort_by(|a, b| (a.place.on(axis).lo, &a.path).cmp(&(b.place.on(axis).lo, &b.path)));
    let mut ends: BTreeMap<Rational, Vec<usize>> = BTreeMap::new();
    let mut worst: Option<(Rational, Vec<&Part>)> = None;
    // One table for the most above and one for the most below.
    for above in [true, false] {
        ends.clear();
        let mut reached: Vec<Option<Reached>> = Vec::with_capacity(order.len());
        for (i, part) in order.iter().enumerate() {
            let own = part.place.on(axis);
            let size = own.size()?;
            let off = checks.style.round(size)?.sub(size)?;
            let mut best = (own.lo == room.lo).then_some(Reached { off, before: None });
            for j in ends.get(&own.lo).into_iter().flatten().take(ENOUGH) {
                let (Some(before), Some(Some(so_far))) = (order.get(*j), reached.get(*j)) else { continue };
                let touch = axis
                    .others()
                    .iter()
                    .all(|other| before.place.on(*other).common(part.place.on(*other)).is_some());
                let sum = so_far.off.add(off)?;
                if touch && best.is_none_or(|b| if above { sum > b.off } else { sum < b.off }) {
                    best = Some(Reached { off: sum, before: Some(*j) });
                }
            }
            reached.push(best);
            if let Some(best) = best {
                ends.entry(own.hi).or_default().push(i);
                let miss = best.off.sub(total_off)?;
                if own.hi == room.hi && worst.as_ref().is_none_or(|(w, _)| abs(miss) > abs(*w)) {
                    worst = Some((miss, chain(&order, &reached, i)));
                }
            }
        }
    }
    Ok(worst)
}

fn abs(n: Rational) -> Rational {
    n.abs().unwrap_or(n)
}

fn chain<'a>(order: &[&'a Part], reached: &[Option<Reached>], last: usize) -> Vec<&'a Part> {
    let mut chain = Vec::new();
    let mut at = Some(last);
    while let Some(i) = at {
        chain.extend(order.get(i).copied());
        at = reached.get(i).copied().flatten().and_then(|r| r.before);
    }
    chain.reverse();
    chain
}

fn fault(
    checks: &Checks,
    of: &BoxEntry,
    axis: Axis,
    miss: Rational,
    chain: &[&Part],
) -> Result<crate::diagnostics::Diagnostic, Overflow> {
    let mut figures = Vec::new();
    let mut sum = Rational::ZERO;
    for part in chain {
        let printed = checks.style.round(part.place.on(axis).size()?)?;
        sum = sum.add(printed)?;
        let text = checks.length(printed);
        figures.push(text.strip_suffix(checks.style.unit()).unwrap_or(&text).to_string());
    }
    let total = checks.style.round(of.place.on(axis).size()?)?;
    let names: Vec<String> = chain.iter().map(|p| format!("`{}`", p.name())).collect();
    let message = format!(
        "Printed sizes do not add up: {} = {}, but `{}` is {} overall, {} off; they may miss it by {}.",
        figures.join(" + "),
        checks.length(sum),
        of.path,
        checks.length(total),
        checks.length(miss.abs()?),
        checks.length(checks.style.step),
    );
    let mut fault = checks.fault("rounding", Severity::Warning, message, of.origin, "this box");
    let which = Axis::ALL.iter().position(|a| *a == axis).unwrap_or(0);
    for part in chain {
        if let Some(origin) = part.range_origins.get(which) {
            fault = because(fault, checks.trace, *origin);
        }
    }
    fault = fault.note(format!("Counted through {}.", listed(&names)));
    fault = fault.help(format!(
        "Sizes in whole steps of {} add up: round the ones that are not, or set a finer `print` in `house`.",
        checks.length(checks.style.step)
    ));
    fault.boxes = vec![of.path.clone()];
    Ok(fault)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, cuboid, mm, only};
    use crate::geometry::Interval;
    use crate::values::Rational;

    /// A box filled by `n` equal boards side by side, `total` overall.
    fn boards(n: i64, total: i64) -> Bench {
        let mut b = Bench::new("b");
        b.job.boxes[0].place = cuboid([0, 0, 0], [total, 900, 300]);
        for i in 0..n {
            b.part(&format!("p[{}]", i + 1), [0, 0, 0], [1, 900, 300]);
            let at = |k: i64| Rational::ratio(i128::from(total * k), i128::from(n));
            b.job.parts[i as usize].place.x = Interval::new(at(i), at(i + 1));
        }
        b.all_linked();
        b
    }

    #[test]
    fn thirds_add_up_within_a_step_and_sixths_do_not() {
        // 33.333 three times prints 99.9, one step of 0.1 off 100.
        assert!(boards(3, 100).codes().is_empty());
        // 16.667 six times prints 100.2.
        let fault = only(boards(6, 100).run(), "rounding");
        assert_eq!(
            fault.message,
            "Printed sizes do not add up: 16.7 + 16.7 + 16.7 + 16.7 + 16.7 + 16.7 = 100.2mm, but `b` is 100mm \
             overall, 0.2mm off; they may miss it by 0.1mm."
        );
        assert!(!fault.is_error());
    }

    #[test]
    fn parts_that_do_not_touch_are_no_chain() {
        let mut b = boards(6, 100);
        b.job.parts[2].place.y = Interval::new(mm(901), mm(902));
        b.job.parts[2].proud = true;
        assert!(b.codes().is_empty());
    }
}

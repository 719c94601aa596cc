//! Cuts that leave nothing of the board below them.

use super::report::{Faults, because, parting};
use super::{Checks, sweep};
use crate::diagnostics::Severity;
use crate::geometry::Cuboid;
use crate::job::{Cut, Part, Shape};
use crate::values::Overflow;
use std::collections::BTreeMap;

/// `cut-too-deep` where a cut goes through both faces although the part that is let in does not: the
/// room beyond it takes the rest. `cut-meets-cut` where cuts from the two wide faces meet.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let parts: BTreeMap<&str, &Part> = checks.job.parts.iter().map(|p| (p.path.as_str(), p)).collect();
    for part in checks.job.parts.iter().filter(|p| !p.cuts.is_empty()) {
        for cut in &part.cuts {
            if let Some(by) = cut.by.as_deref().and_then(|b| parts.get(b)) {
                too_deep(checks, part, cut, by, faults)?;
            }
        }
        let boxes: Vec<Cuboid> = part.cuts.iter().map(|c| c.cuboid).collect();
        let mut meeting = Vec::new();
        sweep::sweep(&boxes, |a, b| {
            meeting.push((a, b));
            true
        });
        for (a, b) in meeting {
            if let (Some(a), Some(b)) = (part.cuts.get(a), part.cuts.get(b)) {
                meet(checks, &parts, part, [a, b], faults)?;
            }
        }
    }
    Ok(())
}

fn too_deep(checks: &Checks, part: &Part, cut: &Cut, by: &Part, faults: &mut Faults) -> Result<(), Overflow> {
    let axis = cut.face.axis();
    let through = part.is_wide(cut.face) && cut.cuboid.on(axis).holds(part.own.on(axis));
    if !through || by.place.on(axis).holds(part.place.on(axis)) {
        return Ok(());
    }
    let thick = part.own.on(axis).size()?;
    let Some(bite) = by.place.on(axis).common(part.place.on(axis)) else { return Ok(()) };
    let (name, other) = (part.name(), by.name());
    let message = format!(
        "The cut in `{name}` for `{other}` leaves nothing: `{other}` reaches {} into {}, and the room beyond it takes \
         the rest.",
        checks.length(bite.size()?),
        checks.length(thick)
    );
    let fault = checks.fault("cut-too-deep", Severity::Error, message, cut.origin, "this cut");
    let mut fault = because(fault, checks.trace, cut.origin);
    if let Some(range) = by.range_origins.get(axis as usize) {
        fault = because(fault, checks.trace, *range);
    }
    fault = fault.help(format!(
        "Let `{other}` reach less far into `{name}`; half its thickness is {}.",
        checks.length(thick.half()?)
    ));
    fault.boxes = vec![part.box_path.clone()];
    faults.add(fault);
    Ok(())
}

fn meet(
    checks: &Checks,
    parts: &BTreeMap<&str, &Part>,
    part: &Part,
    [a, b]: [&Cut; 2],
    faults: &mut Faults,
) -> Result<(), Overflow> {
    let through = |c: &Cut| matches!(c.shape, Shape::Notch | Shape::Slot);
    if !part.is_wide(a.face) || a.face.opposite() != b.face || through(a) || through(b) {
        return Ok(());
    }
    let axis = a.face.axis();
    let Some(shared) = a.cuboid.common(&b.cuboid) else { return Ok(()) };
    let of = |c: &Cut| {
        c.by.as_deref().and_then(|p| p.rsplit('.').next()).map_or(String::new(), |p| format!(" for `{p}`"))
    };
    let thick = part.own.on(axis).size()?;
    let message = format!(
        "The cuts in `{}`{} and{} meet: together they are {} deep in {}.",
        part.name(),
        of(a),
        of(b),
        checks.length(a.cuboid.on(axis).size()?.add(b.cuboid.on(axis).size()?)?),
        checks.length(thick)
    );
    let (first, second) =
        if checks.trace.span(b.origin) < checks.trace.span(a.origin) { (a, b) } else { (b, a) };
    let fault = checks.fault("cut-meets-cut", Severity::Error, message, first.origin, "this cut");
    let fault = because(fault, checks.trace, first.origin);
    let mut fault = because(fault, checks.trace, second.origin);
    for by in [a, b].into_iter().filter_map(|c| parts.get(c.by.as_deref()?)) {
        if let Some(range) = by.range_origins.get(axis as usize) {
            fault = because(fault, checks.trace, *range);
        }
    }
    fault = fault.help(format!(
        "Make them {} less deep together, or set one beside the other.",
        checks.length(shared.on(axis).size()?)
    ));
    fault.misses = parting(&a.cuboid, &b.cuboid);
    fault.boxes = vec![part.box_path.clone()];
    faults.add(fault);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, cuboid, only};
    use crate::geometry::{Axis, Face, Shape};

    /// A base with a rib above and one below, each cut `deep` into it.
    fn base(deep: [i64; 2]) -> Bench {
        let mut b = Bench::new("b");
        b.part("base", [0, 100, 0], [400, 118, 300]);
        b.part("upper", [200, 109, 0], [218, 300, 300]).part("lower", [200, 0, 0], [218, 109, 300]);
        b.all_linked();
        b.job.explained = vec![(0, 1), (0, 2)];
        let above = cuboid([200, 118 - deep[0], 0], [218, 118, 300]);
        let below = cuboid([200, 100, 0], [218, 100 + deep[1], 300]);
        b.cut("base", Shape::Housing, Face::Top, above, Axis::Z).by = Some("b.upper".to_string());
        b.cut("base", Shape::Housing, Face::Bottom, below, Axis::Z).by = Some("b.lower".to_string());
        b
    }

    #[test]
    fn cuts_from_both_faces_may_touch_and_not_meet() {
        assert!(base([9, 9]).codes().is_empty());
        let fault = only(base([9, 10]).run(), "cut-meets-cut");
        assert_eq!(
            fault.message,
            "The cuts in `base` for `upper` and for `lower` meet: together they are 19mm deep in 18mm."
        );
        assert_eq!(fault.help, ["Make them 1mm less deep together, or set one beside the other."]);
    }

    #[test]
    fn room_beyond_a_part_may_not_take_the_last_of_the_board() {
        let mut b = base([9, 9]);
        let part = b.get("base");
        part.cuts.truncate(1);
        part.cuts[0].cuboid = cuboid([200, 100, 0], [218, 118, 300]);
        part.cuts[0].shape = Shape::Notch;
        assert!(only(b.run(), "cut-too-deep").message.contains("`upper` reaches 9mm into 18mm"));
    }
}

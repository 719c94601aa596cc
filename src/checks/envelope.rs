//! Parts outside the envelope of their box.

use super::Checks;
use super::report::{Faults, because};
use crate::diagnostics::Severity;
use crate::geometry::{Axis, Face};
use crate::values::Overflow;

/// `outside-envelope` for each part that is not `proud` and leaves its box's envelope; the face it
/// leaves by the most is named.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    for part in &checks.job.parts {
        let Some(of) = checks.boxes.get(part.box_path.as_str()) else { continue };
        if part.proud || of.place.holds(&part.place) || checks.is_unsure(&part.box_path) {
            continue;
        }
        let mut most = None;
        for (axis, origin) in Axis::ALL.into_iter().zip(part.range_origins) {
            let (own, room) = (part.place.on(axis), of.place.on(axis));
            for (high, out) in [(false, room.lo.sub(own.lo)?), (true, own.hi.sub(room.hi)?)] {
                if out.is_positive() && most.is_none_or(|(o, _, _)| out > o) {
                    most = Some((out, Face::of(axis, high), origin));
                }
            }
        }
        let Some((out, face, range)) = most else { continue };
        let most_out = out;
        let (name, out, word) = (part.name(), checks.length(out), face.word());
        let message = format!("`{name}` stands {out} out of its box at the {word}.");
        let label = format!("`{name}` is placed here");
        let fault = checks.fault("outside-envelope", Severity::Error, message, part.origin, &label);
        let fault = because(because(fault, checks.trace, range), checks.trace, of.origin);
        let mut fault = fault
            .help(format!("Bring its {word} end in by {out}, or write `proud` if it is meant to stand out."));
        fault.misses.push(most_out);
        fault.boxes = vec![part.box_path.clone()];
        faults.add(fault);
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, only};

    #[test]
    fn a_part_may_touch_the_envelope_and_not_leave_it() {
        let mut b = Bench::new("b");
        b.part("top", [0, 882, 0], [500, 900, 300]);
        assert!(b.codes().is_empty());
        b.part("lid", [0, 900, -20], [500, 918, 300]).all_linked();
        let fault = only(b.run(), "outside-envelope");
        assert_eq!(fault.message, "`lid` stands 20mm out of its box at the front.");
        b.get("lid").proud = true;
        assert!(b.codes().is_empty());
    }
}

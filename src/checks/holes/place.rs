//! Holes that leave their part.

use super::bore::Bore;
use super::words::{article, capital, hole};
use crate::checks::Checks;
use crate::checks::report::{Faults, because};
use crate::diagnostics::Severity;
use crate::geometry::Face;
use crate::job::Part;
use crate::values::{Overflow, Rational};

/// `hole-outside` where the rim of a hole, heads included, leaves its face; `hole-too-deep` where a
/// hole that is not through has no floor. True where it has neither.
pub fn check(checks: &Checks, part: &Part, bore: &Bore, faults: &mut Faults) -> Result<bool, Overflow> {
    let mut sound = true;
    if let Some((out, edge)) = worst(part, bore)? {
        sound = false;
        outside(checks, part, bore, out, edge, faults)?;
    }
    let thick = part.own.on(bore.axis).size()?;
    if !bore.hole.through && bore.depth >= thick {
        sound = false;
        let one = hole(checks, bore);
        let (name, face) = (part.name(), bore.hole.face.word());
        let message = format!(
            "{} {one} in the {face} face of `{name}` is {} deep and comes out the other side: `{name}` is {} there.",
            capital(article(&one)),
            checks.length(bore.depth),
            checks.length(thick),
        );
        let fault = checks.fault("hole-too-deep", Severity::Error, message, bore.hole.origin, "this hole");
        let mut fault = because(fault, checks.trace, bore.hole.origin);
        if let Some(range) = part.range_origins.get(bore.axis as usize) {
            fault = because(fault, checks.trace, *range);
        }
        let most = thick.sub(checks.style.step)?;
        if most.is_positive() {
            let less = bore.depth.sub(most)?;
            let (most, less) = (checks.length(most), checks.length(less));
            fault = fault.help(format!(
                "At most {most} deep, {less} less: take a shorter fastener or a thicker board, or write `depth: all` \
                 for a hole that is meant to go through."
            ));
        }
        fault.misses.push(bore.depth.sub(thick)?);
        fault.boxes = vec![part.box_path.clone()];
        faults.add(fault);
    }
    Ok(sound)
}

/// The edge of the face that the rim passes by the most, and by how much.
fn worst(part: &Part, bore: &Bore) -> Result<Option<(Rational, Face)>, Overflow> {
    let mut worst: Option<(Rational, Face)> = None;
    for axis in bore.axis.others() {
        let (own, rim) = (part.own.on(axis), bore.bounds.on(axis));
        for (high, out) in [(false, own.lo.sub(rim.lo)?), (true, rim.hi.sub(own.hi)?)] {
            if out.is_positive() && worst.is_none_or(|(w, _)| out > w) {
                worst = Some((out, Face::of(axis, high)));
            }
        }
    }
    Ok(worst)
}

fn outside(
    checks: &Checks,
    part: &Part,
    bore: &Bore,
    out: Rational,
    edge: Face,
    faults: &mut Faults,
) -> Result<(), Overflow> {
    let one = hole(checks, bore);
    let (name, face, word) = (part.name(), bore.hole.face.word(), edge.word());
    let side = if part.is_wide(edge) { "face" } else { "edge" };
    // Where the centre lies from that edge, inwards.
    let inside = bore.radius.sub(out)?;
    let a = capital(article(&one));
    let message = if inside.is_negative() {
        format!(
            "{a} {one} misses the {face} face of `{name}`: its centre lies {} beyond the {word} {side}.",
            checks.length(inside.neg()?)
        )
    } else {
        format!(
            "{a} {one} in the {face} face of `{name}` breaks out of the {word} {side}: its centre is {} from it and \
             its rim needs {}.",
            checks.length(inside),
            checks.length(bore.radius)
        )
    };
    let fault = checks.fault("hole-outside", Severity::Error, message, bore.hole.origin, "this hole");
    let fault = because(fault, checks.trace, bore.hole.origin);
    let range = part.range_origins.get(edge.axis() as usize);
    let mut fault = match range {
        Some(range) => because(fault, checks.trace, *range),
        None => fault,
    };
    let room = part.own.on(edge.axis()).size()?;
    let rim = bore.radius.add(bore.radius)?;
    fault = fault.help(if rim > room {
        format!("The {face} face is {} there: no hole wider than that fits in it.", checks.length(room))
    } else {
        format!("Put its centre at least {} from the {word} {side}.", checks.length(bore.radius))
    });
    fault.misses.push(out);
    fault.boxes = vec![part.box_path.clone()];
    faults.add(fault);
    Ok(())
}

//! Drawers on their way out, exact but for the doors that stand open beside them.

use super::swing::{clears_from, degrees};
use super::turn::{Flat, Turn, meet};
use super::{Body, Mover, Scene, Way, are, capital, short};
use crate::checks::report::{Faults, parting, worst};
use crate::diagnostics::Severity;
use crate::geometry::{Axis, Cuboid, Interval};
use crate::job::{Origin, Part};
use crate::values::{Overflow, Rational};

/// What is in the way.
enum Stop<'b, 'a> {
    /// It stands there, struck after a distance.
    Still { after: Rational, body: &'b Body<'a> },
    /// A door that does not open far enough; it would clear from this angle on.
    Door { body: &'b Body<'a>, hinge: Origin, opens: Rational, clears: Option<i64>, narrower: Rational },
}

/// Every place that a body passes through.
pub fn swept(body: &Cuboid, along: Axis, by: Rational) -> Result<Cuboid, Overflow> {
    let range = body.on(along);
    let end = range.shift(by)?;
    Ok(body.with(along, Interval::new(range.lo.min(end.lo), range.hi.max(end.hi))))
}

impl<'a> Scene<'a> {
    /// `drawer-hits`: the first thing that a drawer strikes before it is out.
    pub fn slide(
        &self,
        mover: &Mover,
        along: Axis,
        by: Rational,
        bodies: &[&Body<'a>],
        faults: &mut Faults,
    ) -> Result<(), Overflow> {
        let mut first: Option<Stop> = None;
        let mut others: Vec<String> = Vec::new();
        for body in bodies {
            let Some(stop) = self.stop(mover, along, by, body)? else { continue };
            others.push(self.name(body, mover));
            let sooner = match (&stop, &first) {
                (_, None) => true,
                (Stop::Still { after: a, .. }, Some(Stop::Still { after: b, .. })) => a < b,
                (Stop::Still { .. }, Some(Stop::Door { .. })) => true,
                _ => false,
            };
            if sooner {
                first = Some(stop);
            }
        }
        let Some(first) = first else { return Ok(()) };
        let name = short(mover.thing);
        let (Stop::Still { body, .. } | Stop::Door { body, .. }) = &first;
        let hit = self.name(body, mover);
        let way = self.checks.length(by.abs()?);
        let (message, help) = match &first {
            Stop::Still { after, .. } => {
                let at = match after.is_zero() {
                    true => format!("{name} cannot come out: {hit} stands right before it."),
                    false => {
                        let after = self.checks.length(*after);
                        format!("{name} strikes {hit} when it is {after} out; it is meant to come out {way}.")
                    }
                };
                let aside = self.aside(mover, along, by, body)?.map(|(by, axis)| {
                    format!(", or keep the two {} further apart in {}", self.checks.length(by), word(axis))
                });
                (at, format!("Move {hit} out of its way{}.", aside.unwrap_or_default()))
            }
            Stop::Door { opens, clears, narrower, .. } => {
                let opens = degrees(*opens);
                let message =
                    format!("{name} cannot come out past {hit}, which opens to {opens} degrees only.");
                let narrower =
                    format!("make the drawer {} narrower at that side", self.checks.length(*narrower));
                let help = match clears {
                    Some(angle) => {
                        format!("A hinge that opens to {angle} degrees clears it; or {narrower}.")
                    }
                    None => format!("{}, or hinge {hit} at another edge.", capital(&narrower)),
                };
                (message, help)
            }
        };
        let mut fault = self.struck("drawer-hits", Severity::Error, message, mover, Some(body));
        if along == Axis::Z && by.is_positive() {
            fault = fault.help(format!("Out of a box, towards the room, is negative on z: `by: -{way}`."));
        }
        if matches!(&first, Stop::Still { after, .. } if after.is_zero()) {
            // A drawer that does not come out at all is no way out.
            fault.labels.iter_mut().for_each(|l| l.literal = false);
        }
        fault.misses = match &first {
            Stop::Still { body, .. } => {
                let mut ways = Vec::new();
                for part in self.parts(mover) {
                    let way = swept(part, along, by)?;
                    if way.common(body.place()).is_some() {
                        ways.push(parting(&way, body.place()));
                    }
                }
                worst(ways.into_iter())
            }
            Stop::Door { narrower, clears, opens, hinge, .. } => {
                fault.origins.push(hinge.0);
                let wider = clears.map_or(Ok(Rational::ZERO), |to| Rational::int(to).sub(*opens))?;
                vec![*narrower, wider]
            }
        };
        others.retain(|o| *o != hit);
        others.dedup();
        if !others.is_empty() {
            fault = fault.note(format!("{} in its way as well.", are(&others)));
        }
        faults.add(fault.help(help));
        Ok(())
    }

    /// Whether a body is in the way, and where.
    fn stop<'b>(
        &self,
        mover: &Mover,
        along: Axis,
        by: Rational,
        body: &'b Body<'a>,
    ) -> Result<Option<Stop<'b, 'a>>, Overflow> {
        let place = body.place();
        let mut least: Option<Rational> = None;
        for part in self.parts(mover) {
            if part.common(place).is_some() {
                return Ok(None);
            }
            let way = swept(part, along, by)?;
            if way.common(place).is_none() {
                continue;
            }
            let (own, its) = (part.on(along), place.on(along));
            let after = match by.is_negative() {
                true => own.lo.sub(its.hi)?,
                false => its.lo.sub(own.hi)?,
            };
            least = Some(least.map_or(after, |l| l.min(after)));
        }
        let Some(after) = least else { return Ok(None) };
        let mut stop = Stop::Still { after, body };
        let Body::Part(i, part) = body else { return Ok(Some(stop)) };
        // What moves itself is opened first.
        for other in self.moved_by.get(i).into_iter().flatten().filter_map(|m| self.movers.get(*m)) {
            match &other.way {
                Way::Slides { along: its, by: way } => {
                    let open = place.with(*its, place.on(*its).shift(*way)?);
                    let mut clear = true;
                    for own in self.parts(mover) {
                        clear &= swept(own, along, by)?.common(&open).is_none();
                    }
                    if clear {
                        return Ok(None);
                    }
                }
                Way::Swings(turn) => match self.door(mover, (along, by), turn, part)? {
                    None => return Ok(None),
                    Some((clears, narrower)) => {
                        stop = Stop::Door { body, hinge: other.origin, opens: turn.through, clears, narrower }
                    }
                },
            }
        }
        Ok(Some(stop))
    }

    /// Nothing where the open door is clear of the drawer; else the angle from which it would be, and by
    /// how much, in tenths of a millimetre, it stands in the way at its hinge edge.
    fn door(
        &self,
        mover: &Mover,
        (along, by): (Axis, Rational),
        turn: &Turn,
        door: &Part,
    ) -> Result<Option<(Option<i64>, Rational)>, Overflow> {
        let mut passing: Vec<Flat> = Vec::new();
        for own in self.parts(mover) {
            if own.on(turn.pivot_axis).common(door.place.on(turn.pivot_axis)).is_some() {
                passing.push(turn.flat(&swept(own, along, by)?)?);
            }
        }
        let flat = turn.flat(&door.place)?;
        let open = flat.turned(turn.whole());
        if passing.iter().all(|p| !meet(&open, &p.turned(0.0))) {
            return Ok(None);
        }
        let reaches = open.iter().map(|[u, _]| *u).fold(0.0, f64::max);
        let starts = passing.iter().map(|p| p.u[0]).fold(f64::INFINITY, f64::min);
        let tenths = ((reaches - starts) * 10.0 - 1e-6).ceil().clamp(1.0, 1e9);
        Ok(Some((clears_from(turn, &[flat], &passing), Rational::ratio(tenths as i128, 10))))
    }

    /// The least that the two would have to be further apart sideways, and on which axis.
    fn aside(
        &self,
        mover: &Mover,
        along: Axis,
        by: Rational,
        body: &Body,
    ) -> Result<Option<(Rational, Axis)>, Overflow> {
        let mut needs: Vec<(Rational, Axis)> = Vec::new();
        for axis in along.others() {
            let mut need = Rational::ZERO;
            let its = body.place().on(axis);
            for part in self.parts(mover) {
                if swept(part, along, by)?.common(body.place()).is_some() {
                    let own = part.on(axis);
                    need = need.max(own.hi.sub(its.lo)?.min(its.hi.sub(own.lo)?));
                }
            }
            needs.push((need, axis));
        }
        Ok(needs.into_iter().filter(|(need, _)| need.is_positive()).min())
    }
}

fn word(axis: Axis) -> &'static str {
    match axis {
        Axis::X => "x",
        Axis::Y => "y",
        Axis::Z => "z",
    }
}

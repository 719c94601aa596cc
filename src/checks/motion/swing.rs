//! Doors and flaps on their way, and two doors that stand open side by side.

use super::turn::{Flat, Turn, float, meet};
use super::{Body, CLEARANCE, Mover, Scene, Way, are, capital, short};
use crate::checks::report::{Faults, estimated};
use crate::diagnostics::Severity;
use crate::geometry::Cuboid;
use crate::values::{Overflow, Rational};
use std::collections::BTreeSet;

/// What is struck first, with the angle in radians.
struct Strike<'b, 'a> {
    angle: f64,
    body: &'b Body<'a>,
}

impl<'a> Scene<'a> {
    /// `door-hits`: the first thing that a door strikes before it is as far open as it should be.
    pub fn swing(
        &self,
        mover: &Mover,
        turn: &Turn,
        bodies: &[&Body<'a>],
        faults: &mut Faults,
    ) -> Result<(), Overflow> {
        let Some((first, others)) = self.strikes(mover, turn, bodies)? else { return Ok(()) };
        let name = short(mover.thing);
        let hit = self.name(first.body, mover);
        let angle = whole_degrees(first.angle);
        let edge = turn.about.word();
        let message = match angle {
            0 => format!("{name}, hinged at its {edge} edge, cannot open: {hit} is in its way."),
            _ => format!(
                "{name}, hinged at its {edge} edge, strikes {hit} at {angle} degrees; it is meant to open to {}.",
                degrees(turn.through)
            ),
        };
        let mut fault = self.struck("door-hits", Severity::Error, message, mover, Some(first.body));
        if !others.is_empty() {
            fault = fault.note(format!("{} in its way as well.", are(&others)));
        }
        let across = turn.hinged_across(&mover.hull);
        let turned = self.strikes(mover, &across, bodies)?.is_none();
        let stop = match angle {
            0 => None,
            _ => Some(format!("let it open to {angle} degrees at most")),
        };
        let other =
            turned.then(|| format!("hinge it at its {} edge, where it opens freely", across.about.word()));
        let help = match (stop, other) {
            (Some(stop), Some(other)) => format!("Either {stop}, or {other}."),
            (Some(stop), None) => format!("{}, or move it or {hit}.", capital(&stop)),
            (None, Some(other)) => format!("{}.", capital(&other)),
            (None, None) => format!("Move {hit} out of the way, or keep the door further off."),
        };
        fault.misses.extend(estimated(float(turn.through) - first.angle.to_degrees()));
        faults.add(fault.help(help));
        Ok(())
    }

    /// The first strike, and the names of what else is struck.
    fn strikes<'b>(
        &self,
        mover: &Mover,
        turn: &Turn,
        bodies: &[&'b Body<'a>],
    ) -> Result<Option<(Strike<'b, 'a>, Vec<String>)>, Overflow> {
        let mut found: Vec<Strike> = Vec::new();
        for body in bodies {
            if let Some(angle) = self.strike(mover, turn, body)? {
                found.push(Strike { angle, body });
            }
        }
        found.sort_by(|a, b| a.angle.total_cmp(&b.angle));
        let mut found = found.into_iter();
        let Some(first) = found.next() else { return Ok(None) };
        let named = self.name(first.body, mover);
        let mut seen = BTreeSet::from([named]);
        let others = found.map(|s| self.name(s.body, mover)).filter(|n| seen.insert(n.clone())).collect();
        Ok(Some((first, others)))
    }

    /// The angle at which one body is struck.
    fn strike(&self, mover: &Mover, turn: &Turn, body: &Body) -> Result<Option<f64>, Overflow> {
        let mut least: Option<f64> = None;
        let place = body.place();
        let still = turn.flat(place)?;
        let whole = turn.whole();
        let door = turn.flat(&mover.hull)?;
        for part in self.parts(mover) {
            if part.on(turn.pivot_axis).common(place.on(turn.pivot_axis)).is_none() {
                continue;
            }
            let moving = turn.flat(part)?;
            let gap = moving.gap(&still);
            if gap < -0.001 {
                // They overlap when it is shut: another check says so.
                return Ok(None);
            }
            let clear = CLEARANCE as f64;
            let kept = if door.gap(&still) > 2.0 * clear { still.grown(clear) } else { still };
            let Some(angle) = moving.strikes(&kept, whole) else { continue };
            if angle < least.unwrap_or(f64::INFINITY) && !self.steps_aside(mover, turn, body)? {
                least = Some(angle);
            }
        }
        Ok(least)
    }

    /// True where the body is a door or drawer that stands in front of this one, and is out of its way
    /// when it is open itself.
    fn steps_aside(&self, mover: &Mover, turn: &Turn, body: &Body) -> Result<bool, Overflow> {
        let Some(i) = body.index() else { return Ok(false) };
        let (door, still) = (turn.flat(&mover.hull)?, turn.flat(body.place())?);
        let across = mover.hull.on(turn.pivot_axis).common(body.place().on(turn.pivot_axis));
        let covers = still.v[1] <= door.v[0] + 0.001 && still.u[0] < door.u[1] && still.u[1] > door.u[0];
        if !covers || across.is_none() {
            return Ok(false);
        }
        for other in self.moved_by.get(&i).into_iter().flatten().filter_map(|m| self.movers.get(*m)) {
            let clear = match &other.way {
                Way::Slides { along, by } => {
                    let open = body.place().with(*along, body.place().on(*along).shift(*by)?);
                    let flat = turn.flat(&open)?;
                    self.parts(mover).try_fold(true, |clear, part| {
                        Ok::<bool, Overflow>(clear && turn.flat(part)?.strikes(&flat, turn.whole()).is_none())
                    })?
                }
                Way::Swings(its) => self.open_clear(mover, turn, other, its)?,
            };
            if clear {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// True where another door, open, is clear of this one, open as well.
    fn open_clear(&self, mover: &Mover, turn: &Turn, other: &Mover, its: &Turn) -> Result<bool, Overflow> {
        if turn.axes() != its.axes() {
            return Ok(true);
        }
        for a in self.parts(mover) {
            for b in self.parts(other) {
                if a.on(turn.pivot_axis).common(b.on(turn.pivot_axis)).is_some()
                    && meet(
                        &turn.corners(&turn.flat(a)?, turn.whole()),
                        &its.corners(&its.flat(b)?, its.whole()),
                    )
                {
                    return Ok(false);
                }
            }
        }
        Ok(true)
    }

    /// The places of all that moves with a thing.
    pub fn parts(&self, mover: &Mover) -> impl Iterator<Item = &'a Cuboid> {
        let parts = &self.checks.job.parts;
        let all: Vec<usize> = mover.all.iter().copied().collect();
        all.into_iter().filter_map(|i| parts.get(i)).map(|p| &p.place)
    }

    /// `doors-meet`: two doors that cannot stand wide open at once.
    pub fn both_open(&self, pairs: &[(usize, usize)], faults: &mut Faults) -> Result<(), Overflow> {
        for (a, b) in pairs {
            let (Some(a), Some(b)) = (self.movers.get(*a), self.movers.get(*b)) else { continue };
            let (Way::Swings(one), Way::Swings(other)) = (&a.way, &b.way) else { continue };
            // Doors that overlap when they are shut are told elsewhere.
            let clash = self.parts(a).any(|p| self.parts(b).any(|q| p.common(q).is_some()));
            if clash || self.open_clear(a, one, b, other)? {
                continue;
            }
            let (angle, its) = (degrees(one.through), degrees(other.through));
            let (name, beside) = (short(a.thing), self.said(b, a));
            let message =
                format!("{name}, open to {angle} degrees, and {beside}, open to {its}, run into each other.");
            let mut fault = self.struck("doors-meet", Severity::Warning, message, a, None);
            let body = b.own.first().and_then(|i| self.checks.job.parts.get(*i));
            if let Some(part) = body {
                let span = self.checks.trace.span(part.origin);
                if fault.labels.iter().all(|l| l.span != span) {
                    fault = fault.label(span, format!("{beside} is made here"));
                }
            }
            faults.add(fault.help(
                "Hinge one of them at its other edge, let both open to 90 degrees only, or accept it: one is shut before the other is opened.",
            ));
        }
        Ok(())
    }

    /// Another thing that moves, in a sentence.
    fn said(&self, mover: &Mover, beside: &Mover) -> String {
        let home = |path: &str| path.rsplit_once('.').map(|(up, _)| up.to_string());
        match home(mover.thing) == home(beside.thing) {
            true => short(mover.thing),
            false => format!("`{}`", mover.thing),
        }
    }
}

/// Down to whole degrees.
fn whole_degrees(angle: f64) -> i64 {
    (angle.to_degrees() + 1e-6).floor() as i64
}

/// An angle as it is printed.
pub fn degrees(angle: Rational) -> String {
    let text = format!("{:.1}", float(angle));
    text.strip_suffix(".0").map(str::to_string).unwrap_or(text)
}

/// The opening angle, in whole degrees, from which a door is clear of what passes it; none up to 180.
pub fn clears_from(turn: &Turn, door: &[Flat], passing: &[Flat]) -> Option<i64> {
    let from = float(turn.through).floor() as i64 + 1;
    (from..=180).find(|angle| {
        let angle = (*angle as f64).to_radians();
        let still = |flat: &Flat| flat.turned(0.0);
        door.iter().all(|d| passing.iter().all(|p| !meet(&d.turned(angle), &still(p))))
    })
}

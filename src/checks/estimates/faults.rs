//! What the estimates find wrong: an overload is an error, the rest are warnings.

use super::super::Checks;
use super::super::report::{Faults, because, estimated, listed};
use super::bearing::Borne;
use super::lifting::{Lifted, ONE_PERSON, ONE_PERSON_SOURCE, StoodUp};
use super::net::Mass;
use super::sag::{STRENGTH_FACTOR, Sag};
use super::tipping::{ENOUGH, Tipping};
use super::{Estimates, GRAVITY, estimate, short};
use crate::diagnostics::Severity;
use crate::job::{Ends, Way};
use crate::values::{Overflow, Rational};

/// More than this many people is too many for one box.
const MOST_PEOPLE: u32 = 2;

/// `overload` and `rests-in-a-circle` are errors; `sag`, `tips`, `heavy-lift` and `cannot-stand-up` are
/// warnings.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let found: Estimates = estimate(checks.job);
    for origin in &found.circles {
        let message = "What rests here leads back to itself, so its weight goes nowhere.";
        let fault =
            checks.fault("rests-in-a-circle", Severity::Error, message.to_string(), *origin, "leads back");
        faults.add(
            fault.help("Say what stands on the floor or hangs on the wall, and rest the others on that."),
        );
    }
    for borne in found.bearings.iter().filter(|b| b.over()) {
        overload(checks, borne, faults);
    }
    for sag in &found.sags {
        bent(checks, sag, faults);
        limp(checks, sag, faults);
        sagging(checks, sag, faults);
    }
    for tipping in &found.tipping {
        tips(checks, tipping, faults);
    }
    for lifted in found.lifted.iter().filter(|l| l.people > MOST_PEOPLE) {
        heavy(checks, lifted, faults);
    }
    for up in found.stood_up.iter().filter(|u| !u.fits()) {
        stuck(checks, up, faults);
    }
    Ok(())
}

/// A figure rounded down, or up, to one decimal: what is offered must do.
fn down(value: f64) -> String {
    short((value * 10.0 + 1e-6).floor() / 10.0)
}

fn up(value: f64) -> String {
    short((value * 10.0 - 1e-6).ceil() / 10.0)
}

impl Checks<'_> {
    /// A short length with its unit.
    fn sagged(&self, mm: f64) -> String {
        if self.style.inches { format!("{}in", short(mm / 25.4)) } else { format!("{}mm", short(mm)) }
    }

    /// A length in whole millimetres, or sixteenths of an inch, rounded down or up.
    fn whole(&self, mm: f64, round: fn(f64) -> f64) -> String {
        let (step, ratio) = match self.style.inches {
            true => (25.4 / 16.0, Rational::ratio(127, 5 * 16)),
            false => (1.0, Rational::ONE),
        };
        let n = round(mm / step).clamp(-1e9, 1e9) as i64;
        Rational::int(n).mul(ratio).map(|mm| self.length(mm)).unwrap_or_default()
    }
}

fn unknown(mass: Mass) -> Option<String> {
    match mass.unknown {
        0 => None,
        1 => Some("One part counts nothing: its board states no density.".to_string()),
        n => Some(format!("{n} parts count nothing: their boards state no density.")),
    }
}

/// The box of a path: itself where it is one, else the box of the part.
fn box_of(checks: &Checks, path: &str) -> Option<String> {
    if checks.boxes.contains_key(path) {
        return Some(path.to_string());
    }
    let part = checks.job.parts.iter().find(|p| p.path == path)?;
    Some(part.box_path.clone())
}

fn names(paths: &[String], within: Option<&str>) -> String {
    let short = |path: &String| {
        let own = within.and_then(|b| path.strip_prefix(b)).and_then(|p| p.strip_prefix('.'));
        format!("`{}`", own.unwrap_or(path))
    };
    listed(&paths.iter().map(short).collect::<Vec<_>>())
}

fn overload(checks: &Checks, borne: &Borne, faults: &mut Faults) {
    let Some(of) = checks.job.bearings.get(borne.index) else { return };
    let at = borne.things.iter().find_map(|path| box_of(checks, path));
    if at.as_deref().is_some_and(|b| checks.is_unsure(b)) {
        return;
    }
    let what = names(&borne.things, None);
    let (each, allowed) = (short(borne.each), short(borne.allowed()));
    let way = match borne.way {
        Way::Down => "",
        Way::Shear => " across",
        Way::PullOut => " along, pulling out",
    };
    let they = if borne.count == 1 { "bears".to_string() } else { "bear".to_string() };
    let for_what = borne.purpose.as_ref().map(|p| format!(" ({p})")).unwrap_or_default();
    let message = format!(
        "{} `{}`{for_what} {they} {what}, {} kg: {each} N on each{way}, and one may bear {allowed} N.",
        borne.count,
        borne.item,
        short(borne.mass.kg)
    );
    let label = format!("{each} N on each of {}", borne.count);
    let mut fault = checks.fault("overload", Severity::Error, message, of.origin, &label);
    fault = because(fault, checks.trace, of.origin);
    for load in &checks.job.loads {
        let in_it = |thing: &String| {
            load.thing == *thing
                || load.thing.strip_prefix(thing.as_str()).is_some_and(|r| r.starts_with('.'))
        };
        if borne.things.iter().any(in_it) {
            fault = because(fault, checks.trace, load.origin);
        }
    }
    let plain = (borne.times - 1.0).abs() < 1e-12;
    let times = if plain { String::new() } else { format!(" × {}", short(borne.times)) };
    fault = fault.note(format!(
        "{} kg × {GRAVITY} N/kg{times} ÷ {} = {each} N; rated {} N ÷ factor {} = {allowed} N.",
        short(borne.mass.kg),
        borne.count,
        short(borne.rating),
        short(borne.factor)
    ));
    fault.notes.extend(unknown(borne.mass));
    let need = borne.used() * borne.count as f64;
    let mut help = format!("{} of them would do", (need - 1e-9).ceil());
    help.push_str(&format!(", or one rated at least {} N", up(borne.each * borne.factor)));
    let most = borne.mass.kg / borne.used();
    help.push_str(&format!("; these bear {} kg in all.", down(most)));
    fault = fault.help(help);
    fault.misses.extend(estimated(borne.each - borne.allowed()));
    fault.boxes.extend(at);
    faults.add(fault);
}

fn span_text(checks: &Checks, sag: &Sag) -> (String, Option<String>) {
    let at = box_of(checks, &sag.part);
    (names(std::slice::from_ref(&sag.part), None), at)
}

/// Too high a stress in bending.
fn bent(checks: &Checks, sag: &Sag, faults: &mut Faults) {
    let (Some(used), Some(strength)) = (sag.stressed(), sag.strength) else { return };
    let Some(of) = checks.job.spans.get(sag.index) else { return };
    let (name, at) = span_text(checks, sag);
    if used <= 1.0 + 1e-9 || at.as_deref().is_some_and(|b| checks.is_unsure(b)) {
        return;
    }
    let message = format!(
        "{name} is bent to {} N/mm2 under {} kg, and {} bears {} N/mm2 for years.",
        short(sag.stress),
        short(sag.load),
        sag.board,
        short(strength / STRENGTH_FACTOR)
    );
    let label = format!("bent over {}", checks.whole(sag.beam.length, f64::round));
    let fault = checks.fault("overload", Severity::Error, message, of.origin, &label);
    let mut fault = because(fault, checks.trace, of.origin).note(format!(
        "{} states {} N/mm2 in a short test; a part of {} is taken of it.",
        sag.board,
        short(strength),
        short(STRENGTH_FACTOR)
    ));
    // The load that the board bears; thickness goes with the square.
    let own = sag.own.unwrap_or(0.0);
    let most = (sag.load + own) / used - own;
    let thick = sag.beam.section.height * used.sqrt();
    let mut help = Vec::new();
    if most > 0.0 {
        help.push(format!("a load of at most {} kg", down(most)));
    }
    help.push(format!("a board at least {} thick", checks.whole(thick, f64::ceil)));
    fault = fault.help(format!("{} would do.", capital(&help.join(", or "))));
    fault.misses.extend(estimated(sag.stress - strength / STRENGTH_FACTOR));
    fault.boxes.extend(at);
    faults.add(fault);
}

/// A limit that nothing can be held against.
fn limp(checks: &Checks, sag: &Sag, faults: &mut Faults) {
    if sag.limit.is_none() || sag.stiffness.is_some() {
        return;
    }
    let Some(of) = checks.job.spans.get(sag.index) else { return };
    let (name, at) = span_text(checks, sag);
    if at.as_deref().is_some_and(|b| checks.is_unsure(b)) {
        return;
    }
    let message = format!("How far {name} sags is not known: {} states no stiffness.", sag.board);
    let mut fault = checks.fault("no-stiffness", Severity::Warning, message, of.origin, "held to a limit");
    fault =
        fault.help("Add `stiffness: …N/mm2` to the board's definition, or choose a board that states it.");
    fault.boxes.extend(at);
    faults.add(fault);
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn sagging(checks: &Checks, sag: &Sag, faults: &mut Faults) {
    let (Some(first), Some(last), Some(limit), Some(used)) = (sag.first(), sag.last(), sag.limit, sag.used())
    else {
        return;
    };
    let Some(of) = checks.job.spans.get(sag.index) else { return };
    let (name, at) = span_text(checks, sag);
    if used <= 1.0 + 1e-9 || at.as_deref().is_some_and(|b| checks.is_unsure(b)) {
        return;
    }
    let source = sag.source.as_ref().map(|s| format!(" ({s})")).unwrap_or_default();
    let creeps = match sag.creep > 0.0 {
        true => format!(" and {} in years", checks.sagged(last)),
        false => String::new(),
    };
    let message = format!(
        "{name} sags {} at once{creeps} under {} kg; the limit is {}{source}.",
        checks.sagged(first),
        short(sag.load),
        checks.sagged(limit)
    );
    let label = format!("spans {}", checks.whole(sag.beam.length, f64::round));
    let mut fault = checks.fault("sag", Severity::Warning, message, of.origin, &label);
    fault = fault.note(inputs(checks, sag));
    let own = sag.own.unwrap_or(0.0);
    let most = (sag.load + own) / used - own;
    let mut help = Vec::new();
    if most >= 0.1 {
        help.push(format!("at most {} kg", down(most)));
    }
    // Without its small part of shear sag goes with the third power of the thickness.
    help.push(format!(
        "a board about {} thick",
        checks.whole(sag.beam.section.height * used.cbrt(), f64::ceil)
    ));
    fault = fault.help(format!(
        "{} would do, or a shorter span; else answer it with `accept(sag, because: …)`.",
        capital(&help.join(", or "))
    ));
    fault.boxes.extend(at);
    faults.add(fault);
}

/// What a sag was worked out from.
fn inputs(checks: &Checks, sag: &Sag) -> String {
    let ends = match sag.beam.ends {
        Ends::Simple => "laid on its supports",
        Ends::Clamped => "clamped at its ends",
    };
    let shear = match (sag.shear, sag.shear_stated) {
        (Some(g), true) => format!("shear modulus {} N/mm2", short(g)),
        (Some(g), false) => format!("shear modulus {} N/mm2 (a 16th of it)", short(g)),
        (None, _) => "no shear modulus".to_string(),
    };
    let mut text = format!(
        "An estimate: {} × {} of {}, stiffness {} N/mm2, {shear}, {ends}, {} kg of its own, creep {}.",
        checks.whole(sag.beam.section.width, f64::round),
        checks.sagged(sag.beam.section.height),
        sag.board,
        short(sag.stiffness.unwrap_or(0.0)),
        short(sag.own.unwrap_or(0.0)),
        short(sag.creep)
    );
    if sag.across {
        text.push_str(" It spans across the grain, where it is less stiff than that.");
    }
    text
}

fn tips(checks: &Checks, tipping: &Tipping, faults: &mut Faults) {
    let Some(worst) = tipping.worst() else { return };
    let Some(factor) = worst.factor() else { return };
    let Some(of) = checks.job.boxes.get(tipping.index) else { return };
    if factor >= ENOUGH || tipping.boxes.iter().any(|b| checks.is_unsure(b)) {
        return;
    }
    let within = (tipping.boxes.len() == 1).then_some(of.path.as_str());
    let (body, out) = (names(&tipping.boxes, None), names(&worst.out, within));
    let falls = if factor < 1.0 { "tips forward" } else { "is close to tipping forward" };
    let message = format!(
        "{body} {falls} with {out} out: {} N m turn it and {} N m hold it, factor {}; {} is wanted.",
        short(worst.turning),
        short(worst.holding),
        short(factor),
        short(ENOUGH)
    );
    let mut fault = checks.fault("tips", Severity::Warning, message, of.origin, "stands free");
    fault = fault.note(
        "An estimate about the front edge of what stands on the floor, with the loads as stated. A child that \
         climbs or a soft floor is not in it.",
    );
    fault.notes.extend(unknown(tipping.mass));
    fault = fault.help(format!(
        "Fix it to the wall at its top, {} above the floor, with fixings made for that wall that hold at least \
         {} N away from it; or make it deeper, or load it lower down and further back.",
        checks.whole(tipping.height, f64::round),
        short(tipping.pull().ceil())
    ));
    fault.boxes.clone_from(&tipping.boxes);
    faults.add(fault);
}

fn heavy(checks: &Checks, lifted: &Lifted, faults: &mut Faults) {
    let Some(of) = checks.job.boxes.get(lifted.index) else { return };
    if checks.is_unsure(&of.path) {
        return;
    }
    let bare = if lifted.bare == lifted.net { "empty" } else { "with its drawers and loose parts out" };
    let message = format!(
        "`{}` weighs {} kg {bare}: {} people lift it.",
        of.path,
        short(lifted.bare.kg),
        lifted.people
    );
    let mut fault = checks.fault("heavy-lift", Severity::Warning, message, of.origin, "this box");
    fault = fault.note(format!("One person lifts at most {} kg: {ONE_PERSON_SOURCE}.", short(ONE_PERSON)));
    fault.notes.extend(unknown(lifted.bare));
    fault = fault.help(format!(
        "Have {} people, or a hoist; or make it in pieces of at most {} kg that two people lift.",
        lifted.people,
        short(ONE_PERSON * f64::from(MOST_PEOPLE))
    ));
    fault.boxes = vec![of.path.clone()];
    faults.add(fault);
}

fn stuck(checks: &Checks, up: &StoodUp, faults: &mut Faults) {
    let Some(of) = checks.job.boxes.get(up.index) else { return };
    if checks.is_unsure(&of.path) {
        return;
    }
    let lift = match up.lift > 0.0 {
        true => format!(" and {} from the floor to its underside", checks.whole(up.lift, f64::round)),
        false => String::new(),
    };
    let message = format!(
        "`{}` cannot be stood up: its diagonal is {}{lift}, and the ceiling is at {}.",
        of.path,
        checks.whole(up.diagonal, f64::ceil),
        checks.whole(up.ceiling, f64::round)
    );
    let mut fault = checks.fault("cannot-stand-up", Severity::Warning, message, of.origin, "this box");
    let pieces = "build it upright, or in two boxes on each other";
    fault = fault.help(match up.would_fit() {
        Some(height) => {
            format!("At most {} high would go up; or {pieces}.", checks.whole(height, f64::floor))
        }
        None => format!("Nothing this deep goes up here: {pieces}."),
    });
    fault.boxes = vec![of.path.clone()];
    faults.add(fault);
}

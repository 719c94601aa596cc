//! Where the figures of sag, load, lifting and standing up come from.

use super::{about, leaf, part_called};
use crate::checks::estimates::{Estimates, GRAVITY, LEFT_OUT, ONE_PERSON, ONE_PERSON_SOURCE, short};
use crate::job::{Answer, Asker, Reason, Telling};

fn figure(name: &str, formula: impl Into<String>, value: Option<f64>, unit: &str) -> Reason {
    let value = value.map_or("not known".to_string(), |v| format!("{}{unit}", short(v)));
    Reason { name: name.to_string(), formula: formula.into(), value, ..Reason::default() }
}

/// An estimate that `what` asks for; none where it asks for none of these.
pub(super) fn of_use(
    asker: &mut Asker<'_, '_, '_>,
    what: &str,
    found: &Estimates,
    telling: Telling,
) -> Option<Answer> {
    let after = |words: &[&str]| {
        words.iter().find_map(|w| {
            let name = what.strip_suffix(w)?;
            name.ends_with([' ', '.', ':']).then(|| name.trim_matches([' ', '.', ':']).to_string())
        })
    };
    if let Some(name) = after(&["sag in years", "sag at once", "sag"]) {
        return sag(asker, &name, found, telling);
    }
    if let Some(name) = after(&["load on each"]).or(what.strip_prefix("load on each ").map(str::to_string)) {
        return load(asker, &name, found, telling);
    }
    if let Some(name) = after(&["people", "to lift", "lift"]) {
        let of = found.lifted.iter().find(|l| l.path == name)?;
        let bare =
            leaf("weight, its drawers and loose parts out".to_string(), String::new(), Some(of.bare.kg));
        let one = leaf("one lifts at most".to_string(), ONE_PERSON_SOURCE.to_string(), Some(ONE_PERSON));
        let value = of.people.to_string();
        let reason = Reason {
            name: "people to lift it".to_string(),
            formula: "weight / what one lifts, rounded up".to_string(),
            value,
            reads: vec![bare, one],
            ..Reason::default()
        };
        return Some(about(&name, vec![reason], Some(LEFT_OUT)));
    }
    if let Some(name) = after(&["diagonal"]) {
        let of = found.stood_up.iter().find(|s| s.path == name)?;
        let mut reason = figure("diagonal", "√(height² + side²)", Some(of.diagonal), "mm");
        let height = asker.answer(&format!("{name} height"), None, telling);
        reason.reads = height.into_iter().flat_map(|a| a.reasons).collect();
        reason.reads.push(figure("side", "the lesser of its width and depth", Some(of.side), "mm"));
        reason.reads.push(figure("ceiling", "", Some(of.ceiling), "mm"));
        return Some(about(&name, vec![reason], None));
    }
    None
}

fn sag(asker: &mut Asker<'_, '_, '_>, name: &str, found: &Estimates, telling: Telling) -> Option<Answer> {
    let job = asker.job();
    let part = part_called(job, name)?;
    let mut reasons = Vec::new();
    for of in found.sags.iter().filter(|s| s.part == part.path) {
        let span = job.spans.get(of.index)?;
        let mut inputs = asker.given_to(span.origin, telling);
        if let Some(own) = of.own {
            inputs.push(leaf("its own weight over the span".to_string(), String::new(), Some(own)));
        }
        for word in ["stiffness", "shear"] {
            inputs.extend(asker.of_board(&part.path, word, telling));
        }
        if !of.shear_stated {
            inputs.push(figure(
                "shear modulus",
                "a 16th of the stiffness: none is stated",
                of.shear,
                "N/mm2",
            ));
        }
        inputs.push(figure("width of the beam", "", Some(of.beam.section.width), "mm"));
        inputs.push(figure("height of the beam", "", Some(of.beam.section.height), "mm"));
        let first = of.first();
        let mut once = figure("sag at once", "as a beam: in bending and in shear", first, "mm");
        once.reads = inputs;
        let years = first.map(|f| f * (1.0 + of.creep));
        let mut all = figure("sag in years", "sag at once × (1 + creep)", years, "mm");
        all.reads = vec![once, figure("creep", "", Some(of.creep), "")];
        reasons.push(all);
    }
    (!reasons.is_empty()).then(|| about(&part.path, reasons, None))
}

fn load(asker: &mut Asker<'_, '_, '_>, name: &str, found: &Estimates, telling: Telling) -> Option<Answer> {
    let job = asker.job();
    let mut reasons = Vec::new();
    for of in found.bearings.iter().filter(|b| b.item == name || b.things.iter().any(|t| t == name)) {
        let bearing = job.bearings.get(of.index)?;
        let words = format!("weight × {GRAVITY} × times / count");
        let mut each = figure(&format!("load on each {} of {}", of.item, of.by), words, Some(of.each), "N");
        each.reads.push(leaf("weight".to_string(), of.things.join(" + "), of.mass.whole()));
        each.reads.push(figure("times", "", Some(of.times), ""));
        each.reads.push(Reason { value: of.count.to_string(), ..figure("count", "", None, "") });
        let mut most = figure("one may bear", "rating / factor", Some(of.allowed()), "N");
        most.reads = asker.given_to(bearing.origin, telling);
        reasons.push(each);
        reasons.push(most);
    }
    (!reasons.is_empty()).then(|| about(name, reasons, Some(LEFT_OUT)))
}

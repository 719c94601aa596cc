//! The lists for a program: kg, mm, N, N m and N/mm2.

use super::super::json::text;
use super::{CAUTION, ends, way};
use crate::checks::estimates::{
    ENOUGH, Estimates, GRAVITY, LEFT_OUT, Mass, ONE_PERSON, ONE_PERSON_SOURCE, STRENGTH_FACTOR,
};
use serde_json::{Value, json};

/// A figure without the dust of floating point.
fn fig(value: f64) -> Value {
    let rounded = (value * 1e9).round() / 1e9;
    json!(if rounded.is_finite() { rounded } else { value })
}

fn maybe(value: Option<f64>) -> Value {
    value.map_or(Value::Null, fig)
}

/// What is known, with the number of parts that are not.
fn mass(mass: Mass) -> Value {
    json!({ "kg": fig(mass.kg), "unknown_parts": mass.unknown })
}

/// The estimates as JSON.
pub fn as_json(found: &Estimates) -> String {
    let parts: Vec<Value> = found
        .parts
        .iter()
        .map(|p| {
            json!({ "path": p.path, "mark": p.mark, "board": p.board,
                    "gross": maybe(p.gross), "net": maybe(p.net) })
        })
        .collect();
    let boxes: Vec<Value> = found
        .boxes
        .iter()
        .map(|b| {
            json!({ "path": b.path, "within": b.within, "parts": b.parts, "net": mass(b.net),
                    "contents": fig(b.contents), "total": fig(b.total()), "people": b.people })
        })
        .collect();
    let group = |g: &crate::checks::estimates::GroupWeight| {
        json!({ "path": g.path, "boxes": g.boxes, "net": mass(g.net), "contents": fig(g.contents),
                "total": fig(g.net.kg + g.contents) })
    };
    let lifted: Vec<Value> = found
        .lifted
        .iter()
        .map(|l| json!({ "path": l.path, "net": mass(l.net), "bare": mass(l.bare), "people": l.people }))
        .collect();
    let all = json!({
        "format": "aumbry-weights/1",
        "units": { "mass": "kg", "length": "mm", "force": "N", "moment": "N m", "stress": "N/mm2" },
        "gravity": GRAVITY,
        "left_out": LEFT_OUT,
        "boxes": boxes,
        "rows": found.rows.iter().map(group).collect::<Vec<_>>(),
        "roots": found.roots.iter().map(group).collect::<Vec<_>>(),
        "parts": parts,
        "spans": spans(found),
        "bearings": bearings(found),
        "rests": rests(found),
        "tipping": { "wanted": ENOUGH, "bodies": tipping(found) },
        "lifting": { "one_person": ONE_PERSON, "source": ONE_PERSON_SOURCE, "boxes": lifted },
        "standing_up": standing(found),
        "caution": CAUTION,
    });
    text(&all)
}

fn spans(found: &Estimates) -> Vec<Value> {
    let one = |s: &crate::checks::estimates::Sag| {
        json!({
            "part": s.part, "by": s.by, "board": s.board,
            "clear": fig(s.beam.length), "ends": ends(s.beam.ends),
            "width": fig(s.beam.section.width), "height": fig(s.beam.section.height),
            "load": fig(s.load), "own": maybe(s.own), "force": fig(s.beam.load),
            "stiffness": maybe(s.stiffness), "stiffness_from": format!("board {}", s.board),
            "shear_modulus": maybe(s.shear), "shear_stated": s.shear_stated,
            "across_grain": s.across,
            "bending": maybe(s.at_once.map(|a| a[0])), "shear": maybe(s.at_once.map(|a| a[1])),
            "at_once": maybe(s.first()), "creep": fig(s.creep), "in_years": maybe(s.last()),
            "limit": maybe(s.limit), "limit_source": s.source, "used": maybe(s.used()),
            "stress": fig(s.stress), "strength": maybe(s.strength), "strength_factor": STRENGTH_FACTOR,
            "stress_used": maybe(s.stressed()),
        })
    };
    found.sags.iter().map(one).collect()
}

fn bearings(found: &Estimates) -> Vec<Value> {
    let one = |b: &crate::checks::estimates::Borne| {
        json!({
            "item": b.item, "by": b.by, "purpose": b.purpose, "count": b.count, "things": b.things,
            "mass": mass(b.mass), "times": fig(b.times), "each": fig(b.each), "way": way(b.way),
            "rating": fig(b.rating), "factor": fig(b.factor), "allowed": fig(b.allowed()),
            "used": fig(b.used()),
        })
    };
    found.bearings.iter().map(one).collect()
}

fn rests(found: &Estimates) -> Vec<Value> {
    let one = |r: &crate::checks::estimates::Rested| {
        let on: Vec<Value> = r.on.iter().map(|(path, kg)| json!({ "path": path, "kg": fig(*kg) })).collect();
        json!({ "thing": r.thing, "mass": mass(r.mass), "on": on })
    };
    found.rests.iter().map(one).collect()
}

fn tipping(found: &Estimates) -> Vec<Value> {
    let one = |t: &crate::checks::estimates::Tipping| {
        let cases: Vec<Value> = t
            .cases
            .iter()
            .map(|c| {
                json!({ "out": c.out, "turning": fig(c.turning), "holding": fig(c.holding),
                        "factor": maybe(c.factor()), "reach": fig(c.reach), "climbed": maybe(c.climbed()) })
            })
            .collect();
        json!({ "boxes": t.boxes, "height": fig(t.height), "mass": mass(t.mass), "pull": fig(t.pull()),
                "cases": cases })
    };
    found.tipping.iter().map(one).collect()
}

fn standing(found: &Estimates) -> Vec<Value> {
    let one = |s: &crate::checks::estimates::StoodUp| {
        json!({ "path": s.path, "height": fig(s.height), "side": fig(s.side), "diagonal": fig(s.diagonal),
                "stands_at": fig(s.lift), "ceiling": fig(s.ceiling), "fits": s.fits(),
                "would_fit": maybe(s.would_fit()) })
    };
    found.stood_up.iter().map(one).collect()
}

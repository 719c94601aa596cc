//! The lists as CSV: a row for each figure, so that one table holds them all.

use super::super::csv;
use super::{percent, way};
use crate::checks::estimates::{Estimates, Mass};

const HEADINGS: [&str; 8] = ["kind", "of", "with", "figure", "value", "unit", "limit", "note"];

struct Rows(Vec<Vec<String>>);

/// One figure and its unit.
struct Figure<'a>(&'a str, Option<f64>, &'a str);

impl Rows {
    fn add(&mut self, kind: &str, of: &str, with: &str, figure: Figure<'_>, limit: Option<f64>, note: &str) {
        let Figure(name, value, unit) = figure;
        let value = value.map_or_else(|| "unknown".to_string(), plain);
        let limit = limit.map(plain).unwrap_or_default();
        let cells = [kind, of, with, name, &value, unit, &limit, note];
        self.0.push(cells.iter().map(|c| (*c).to_string()).collect());
    }
}

/// A figure with three decimals.
fn plain(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_string()
}

fn note(mass: Mass) -> String {
    if mass.unknown == 0 {
        String::new()
    } else {
        format!("{} parts without a density count nothing", mass.unknown)
    }
}

/// The estimates as CSV.
pub fn as_csv(found: &Estimates) -> String {
    let mut rows = Rows(vec![HEADINGS.iter().map(|h| (*h).to_string()).collect()]);
    for b in &found.boxes {
        rows.add("box", &b.path, "", Figure("net", Some(b.net.kg), "kg"), None, &note(b.net));
        rows.add("box", &b.path, "", Figure("contents", Some(b.contents), "kg"), None, "");
        rows.add("box", &b.path, "", Figure("total", Some(b.total()), "kg"), None, &note(b.net));
        if let Some(people) = b.people {
            rows.add(
                "box",
                &b.path,
                "",
                Figure("people to lift", Some(f64::from(people)), ""),
                None,
                "empty",
            );
        }
    }
    for (kind, list) in [("row", &found.rows), ("root", &found.roots)] {
        for g in list {
            rows.add(kind, &g.path, "", Figure("net", Some(g.net.kg), "kg"), None, &note(g.net));
            rows.add(kind, &g.path, "", Figure("contents", Some(g.contents), "kg"), None, "");
        }
    }
    for p in &found.parts {
        rows.add("part", &p.path, &p.board, Figure("gross", p.gross, "kg"), None, "");
        rows.add("part", &p.path, &p.board, Figure("net", p.net, "kg"), None, "");
    }
    for s in &found.sags {
        let source = s.source.as_deref().unwrap_or("");
        rows.add("span", &s.part, &s.board, Figure("stiffness", s.stiffness, "N/mm2"), None, "");
        rows.add("span", &s.part, &s.board, Figure("sag at once", s.first(), "mm"), None, "");
        rows.add("span", &s.part, &s.board, Figure("sag in years", s.last(), "mm"), s.limit, source);
        let allowed = s.strength.map(|v| v / crate::checks::estimates::STRENGTH_FACTOR);
        rows.add(
            "span",
            &s.part,
            &s.board,
            Figure("stress in bending", Some(s.stress), "N/mm2"),
            allowed,
            "",
        );
    }
    for b in &found.bearings {
        let things = b.things.join("; ");
        let text = format!("{} of {}, {}, {} used", b.count, b.item, way(b.way), percent(b.used()));
        rows.add(
            "bearing",
            &things,
            &b.item,
            Figure("load on each", Some(b.each), "N"),
            Some(b.allowed()),
            &text,
        );
    }
    for r in &found.rests {
        for (path, kg) in &r.on {
            rows.add("rests", &r.thing, path, Figure("takes", Some(*kg), "kg"), None, &note(r.mass));
        }
    }
    for t in &found.tipping {
        for c in &t.cases {
            let (of, out) = (t.boxes.join("; "), c.out.join("; "));
            rows.add("tipping", &of, &out, Figure("turning", Some(c.turning), "N m"), None, "");
            rows.add("tipping", &of, &out, Figure("holding", Some(c.holding), "N m"), None, "");
        }
    }
    for s in &found.stood_up {
        let fits = if s.fits() { "goes up" } else { "does not go up" };
        rows.add(
            "standing up",
            &s.path,
            "",
            Figure("diagonal", Some(s.diagonal), "mm"),
            Some(s.ceiling),
            fits,
        );
    }
    csv::write(rows.0)
}

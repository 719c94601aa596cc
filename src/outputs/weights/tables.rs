//! The tables for a terminal.

use super::super::parts::{Distinct, distinct};
use super::super::table::{Align, Table, indented};
use super::super::words::{a_few, count};
use super::group::{Notes, Rows, paths, together};
use super::{CAUTION, STIFFNESS, ends, kg, percent, way, without_density};
use crate::checks::estimates::{
    CLIMBER, ENOUGH, Estimates, LEFT_OUT, ONE_PERSON, ONE_PERSON_SOURCE, STRENGTH_FACTOR, recommended, short,
};
use crate::job::Job;
use crate::values::{Rational, Style};
use std::collections::BTreeMap;

/// Fewer cases of tipping than this for one body are all printed; of more, the worst.
const MOST_CASES: usize = 4;

/// The lists for a terminal of this width.
pub fn table(job: &Job, found: &Estimates, width: usize) -> String {
    let style = job.house.style();
    let all = distinct(job);
    let mut out = indented(&format!("Weights in kg. {LEFT_OUT}"), width, "", "");
    for (board, n) in without_density(job) {
        let parts = count(n, "part weighs", "parts weigh");
        let text = format!("{board} states no density: what its {parts} is unknown, and counts nothing.");
        out.push_str(&indented(&text, width, "", "  "));
    }
    boxes(found, width, &mut out);
    groups(job, found, width, &mut out);
    parts(found, &all, width, &mut out);
    spans(found, style, width, &mut out);
    bearings(found, width, &mut out);
    rests(found, width, &mut out);
    tipping(found, style, width, &mut out);
    standing(found, style, width, &mut out);
    out.push('\n');
    out.push_str(&indented(CAUTION, width, "", ""));
    out.push_str(&super::super::cautions::closing(job, &all, width));
    out
}

fn section(out: &mut String, heading: &str, table: Table, width: usize) {
    let table = table.without_empty_columns();
    out.push('\n');
    out.push_str(&indented(heading, width, "", "  "));
    out.push_str(&table.print(&table.fitted(&table.natural_widths(), width), ""));
}

/// kg to ten grams.
fn fixed(kg: f64) -> String {
    format!("{kg:.2}")
}

/// A length worked out in floating point, to the step that is printed.
fn length(style: Style, mm: f64) -> String {
    let thousandths = (mm * 1000.0).round().clamp(-1e15, 1e15) as i128;
    style.figure(Rational::ratio(thousandths, 1000))
}

/// A short length, to three digits.
fn small(style: Style, mm: f64) -> String {
    short(if style.inches { mm / 25.4 } else { mm })
}

fn boxes(found: &Estimates, width: usize, out: &mut String) {
    if found.boxes.is_empty() {
        return;
    }
    let mut table = Table::new(&[
        ("box", Align::Left),
        ("parts", Align::Right),
        ("net", Align::Right),
        ("contents", Align::Right),
        ("total", Align::Right),
        ("to lift", Align::Right),
    ]);
    for b in &found.boxes {
        let mut total = b.net;
        total.kg += b.contents;
        table.row(vec![
            b.path.clone(),
            b.parts.to_string(),
            kg(b.net),
            if b.contents > 0.0 { short(b.contents) } else { String::new() },
            kg(total),
            b.people.map(|n| n.to_string()).unwrap_or_default(),
        ]);
    }
    section(
        out,
        "Boxes, with the boxes in them; contents are the loads that the design states.",
        table,
        width,
    );
    let bare: Vec<String> = found
        .lifted
        .iter()
        .filter(|l| l.bare != l.net)
        .map(|l| format!("{} {}", l.path, kg(l.bare)))
        .collect();
    let text = format!(
        "To lift: people for each outermost box, empty, its drawers and loose parts out; one lifts at most {} kg, \
         {ONE_PERSON_SOURCE}; by the same equation {} kg where it is held 40 cm away.",
        short(ONE_PERSON),
        short(recommended(400.0, 750.0, 600.0))
    );
    out.push_str(&indented(&text, width, "", "  "));
    if !bare.is_empty() {
        out.push_str(&indented(&format!("Without those: {}.", a_few(&bare, 12)), width, "", "  "));
    }
}

fn groups(job: &Job, found: &Estimates, width: usize, out: &mut String) {
    // A box by itself has its line already.
    let roots = found.roots.iter().filter(|g| g.boxes > 1 || job.walls.iter().any(|w| w.path == g.path));
    let mut table = Table::new(&[
        ("row or wall", Align::Left),
        ("boxes", Align::Right),
        ("net", Align::Right),
        ("contents", Align::Right),
        ("total", Align::Right),
    ]);
    let mut any = false;
    for g in found.rows.iter().chain(roots) {
        any = true;
        let mut total = g.net;
        total.kg += g.contents;
        table.row(vec![g.path.clone(), g.boxes.to_string(), kg(g.net), short(g.contents), kg(total)]);
    }
    if any {
        section(out, "Rows, and all that stands at a wall.", table, width);
    }
}

fn parts(found: &Estimates, all: &[Distinct<'_>], width: usize, out: &mut String) {
    let by_path: BTreeMap<&str, _> = found.parts.iter().map(|p| (p.path.as_str(), p)).collect();
    let mut table = Table::new(&[
        ("mark", Align::Left),
        ("qty", Align::Right),
        ("part", Align::Left),
        ("board", Align::Left),
        ("gross", Align::Right),
        ("net", Align::Right),
        ("all", Align::Right),
    ]);
    let unknown = || "unknown".to_string();
    for d in all {
        let Some(one) = by_path.get(d.part.path.as_str()) else { continue };
        let sum: f64 = d.pieces.iter().filter_map(|p| by_path.get(p.path.as_str())?.net).sum();
        table.row(vec![
            d.part.mark.clone(),
            d.pieces.len().to_string(),
            d.name(),
            one.board.clone(),
            one.gross.map_or_else(unknown, fixed),
            one.net.map_or_else(unknown, fixed),
            one.net.map_or_else(unknown, |_| fixed(sum)),
        ]);
    }
    if !all.is_empty() {
        section(out, "Parts: one of them gross and net, and all of a mark.", table, width);
    }
}

fn spans(found: &Estimates, style: Style, width: usize, out: &mut String) {
    if found.sags.is_empty() {
        return;
    }
    let mut table = Table::new(&[
        ("part", Align::Left),
        ("span", Align::Right),
        ("load", Align::Right),
        ("own", Align::Right),
        ("at once", Align::Right),
        ("in years", Align::Right),
        ("limit", Align::Right),
        ("used", Align::Right),
        ("by", Align::Left),
        ("stress", Align::Right),
        ("used", Align::Right),
    ]);
    let mut inputs = Table::new(&[
        ("part", Align::Left),
        ("section", Align::Right),
        ("ends", Align::Left),
        ("board", Align::Left),
        ("stiffness", Align::Right),
        ("shear modulus", Align::Right),
        ("strength", Align::Right),
        ("creep", Align::Right),
        ("note", Align::Left),
    ]);
    let unknown = || "unknown".to_string();
    let (mut rows, mut from, mut notes) = (Rows::default(), Rows::default(), Notes::default());
    for s in &found.sags {
        let figures = vec![
            length(style, s.beam.length),
            short(s.load),
            s.own.map_or_else(unknown, short),
            s.first().map_or_else(unknown, |mm| small(style, mm)),
            s.last().map_or_else(unknown, |mm| small(style, mm)),
            s.limit.map(|mm| small(style, mm)).unwrap_or_default(),
            s.used().map(percent).unwrap_or_default(),
            s.source.as_deref().map(|words| notes.number(words)).unwrap_or_default(),
            short(s.stress),
            s.stressed().map(percent).unwrap_or_default(),
        ];
        rows.add(s.part.clone(), figures);
        let shear = match s.shear {
            Some(g) if s.shear_stated => short(g),
            Some(g) => format!("{} (1/16)", short(g)),
            None => unknown(),
        };
        let section =
            format!("{} × {}", length(style, s.beam.section.width), length(style, s.beam.section.height));
        let figures = vec![
            section,
            ends(s.beam.ends).to_string(),
            s.board.clone(),
            s.stiffness.map_or_else(unknown, short),
            shear,
            s.strength.map(short).unwrap_or_default(),
            short(s.creep),
            if s.across { "spans across its grain: it sags more" } else { "" }.to_string(),
        ];
        from.add(s.part.clone(), figures);
    }
    for (cells, all) in rows.all() {
        table.row([paths(&all)].into_iter().chain(cells).collect());
    }
    for (cells, all) in from.all() {
        inputs.row([paths(&all)].into_iter().chain(cells).collect());
    }
    let heading = format!(
        "Sag in {} in the middle of each span under an even load; loads in kg, stress in bending in N/mm2.",
        style.unit()
    );
    section(out, &heading, table, width);
    notes.print(width, out);
    let heading = format!(
        "What that is worked out from, in N/mm2: bending 5 W L3 / 384 E I (clamped: W L3 / 384 E I), shear \
         1.2 W L / 8 G A, then (1 + creep) times as much in years. {STIFFNESS} Of the strength a part of {} is \
         taken for years.",
        short(STRENGTH_FACTOR)
    );
    section(out, &heading, inputs, width);
}

fn bearings(found: &Estimates, width: usize, out: &mut String) {
    if found.bearings.is_empty() {
        return;
    }
    let mut table = Table::new(&[
        ("bears", Align::Left),
        ("item", Align::Left),
        ("qty", Align::Right),
        ("each", Align::Right),
        ("allowed", Align::Right),
        ("used", Align::Right),
        ("kg", Align::Right),
        ("times", Align::Right),
        ("way", Align::Left),
        ("rated", Align::Right),
        ("factor", Align::Right),
        ("for", Align::Left),
    ]);
    let (mut rows, mut notes) = (Rows::default(), Notes::default());
    for b in &found.bearings {
        let figures = vec![
            b.item.clone(),
            b.count.to_string(),
            short(b.each),
            short(b.allowed()),
            percent(b.used()),
            kg(b.mass),
            if (b.times - 1.0).abs() < 1e-12 { String::new() } else { short(b.times) },
            way(b.way).to_string(),
            short(b.rating),
            short(b.factor),
            b.purpose.as_deref().map(|words| notes.number(words)).unwrap_or_default(),
        ];
        rows.add(together(&b.things), figures);
    }
    for (cells, all) in rows.all() {
        table.row([paths(&all)].into_iter().chain(cells).collect());
    }
    let heading = "Loads on what bears, in N on each: the weight with all it carries, in equal shares; what is \
        rated ÷ factor is allowed. `+` joins what is borne together; of others in one line each is borne so.";
    section(out, heading, table, width);
    notes.print(width, out);
}

fn rests(found: &Estimates, width: usize, out: &mut String) {
    if found.rests.is_empty() {
        return;
    }
    let mut table = Table::new(&[("thing", Align::Left), ("kg", Align::Right), ("rests on", Align::Left)]);
    for r in &found.rests {
        let on: Vec<String> = r.on.iter().map(|(path, kg)| format!("{path} ({})", short(*kg))).collect();
        let on = if on.is_empty() { "what is not drawn".to_string() } else { on.join(", ") };
        table.row(vec![r.thing.clone(), kg(r.mass), on]);
    }
    section(out, "What rests on what, with all it carries; each takes its share by its width.", table, width);
}

fn tipping(found: &Estimates, style: Style, width: usize, out: &mut String) {
    if found.tipping.is_empty() {
        return;
    }
    let mut table = Table::new(&[
        ("stands free", Align::Left),
        ("out", Align::Left),
        ("turns it", Align::Right),
        ("holds it", Align::Right),
        ("factor", Align::Right),
        ("climbed on", Align::Right),
    ]);
    for t in &found.tipping {
        let worst = t.worst();
        for case in &t.cases {
            let told =
                t.cases.len() <= MOST_CASES || case.out.len() > 1 || worst.is_some_and(|w| w.out == case.out);
            if !told {
                continue;
            }
            let out = match case.out.len() {
                1 => case.out.join(", "),
                n => format!("all {n}"),
            };
            let factor = |f: Option<f64>| f.map_or_else(|| "nothing turns it".to_string(), short);
            table.row(vec![
                t.boxes.join(", "),
                out,
                short(case.turning),
                short(case.holding),
                factor(case.factor()),
                factor(case.climbed()),
            ]);
        }
    }
    let heading = format!(
        "Tipping: moments in N m about the front edge of what stands on the floor, loads as stated; a factor of {} \
         is wanted. `climbed on`: with {} kg on the front of what is out, the person that ASTM F2057-23 stands \
         for; statics only, and no test passed.",
        short(ENOUGH),
        short(CLIMBER)
    );
    section(out, &heading, table, width);
    for t in found.tipping.iter().filter(|t| t.pull() > 0.0) {
        let text = format!(
            "{}: a fixing at its top, {} above the floor, that holds {} N away from the wall brings it to that.",
            t.boxes.join(", "),
            length(style, t.height),
            short(t.pull().ceil())
        );
        out.push_str(&indented(&text, width, "", "  "));
    }
}

fn standing(found: &Estimates, style: Style, width: usize, out: &mut String) {
    if found.stood_up.is_empty() {
        return;
    }
    let mut table = Table::new(&[
        ("box", Align::Left),
        ("height", Align::Right),
        ("side", Align::Right),
        ("diagonal", Align::Right),
        ("stands at", Align::Right),
        ("ceiling", Align::Right),
        ("goes up", Align::Left),
    ]);
    for s in &found.stood_up {
        table.row(vec![
            s.path.clone(),
            length(style, s.height),
            length(style, s.side),
            length(style, s.diagonal),
            length(style, s.lift),
            length(style, s.ceiling),
            if s.fits() { "yes" } else { "no" }.to_string(),
        ]);
    }
    section(out, "Standing up: the diagonal of the height and the lesser of width and depth.", table, width);
}

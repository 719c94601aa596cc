//! Where a weight comes from: an estimate, so told in figures of three digits, down to the exact sizes.

mod bears;

use super::{LEFT_OUT, estimate, short};
use crate::job::{Answer, Asker, Job, Part, Reason, Telling, Unknown, path_order};

/// Where the estimate that `what` asks for comes from: a weight, a sag, a load; none where it asks for none.
pub fn why_estimate(
    asker: &mut Asker<'_, '_, '_>,
    what: &str,
    telling: Telling,
) -> Option<Result<Answer, Unknown>> {
    let what = what.trim();
    const WORDS: [&str; 7] = ["weight", "sag", "years", "once", "each", "people", "lift"];
    let about_these = what.split([' ', '.', ':']).any(|w| WORDS.contains(&w) || w == "diagonal");
    if !about_these {
        return None;
    }
    let found = estimate(asker.job());
    if let Some(answer) = bears::of_use(asker, what, &found, telling) {
        return Some(Ok(answer));
    }
    let words = ["weight", "net weight", "gross weight", "total weight"];
    let before = ["weight of ", "net weight of ", "gross weight of ", "total weight of "];
    let (name, gross) = match before.iter().find_map(|w| what.strip_prefix(w).map(|n| (n, w))) {
        Some((name, w)) => (name, w.starts_with("gross")),
        None => {
            let (name, word) = words.iter().rev().find_map(|w| {
                let name = what.strip_suffix(w)?;
                (name.is_empty() || name.ends_with([' ', '.', ':'])).then_some((name, w))
            })?;
            (name, word.starts_with("gross"))
        }
    };
    let name = name.trim_matches([' ', '.', ':']).trim();
    let job = asker.job();
    if let Some(part) = part_called(job, name) {
        let weights = found.parts.iter().find(|w| w.path == part.path)?;
        return Some(part_weight(asker, &part.path, weights.gross, weights.net, gross, telling));
    }
    if let Some(of) = found.boxes.iter().find(|b| b.path == name) {
        let mut reads: Vec<Reason> = Vec::new();
        // Boxes that stand right in it, and its own parts.
        for inner in found.boxes.iter().filter(|b| b.within.as_deref() == Some(name)) {
            reads.push(leaf(format!("{} weight", inner.path), parts_in(inner.parts), Some(inner.net.kg)));
        }
        for part in job.parts.iter().filter(|p| p.box_path == name) {
            let net = found.parts.iter().find(|w| w.path == part.path).and_then(|w| w.net);
            let size = format!("part {}", part.mark);
            reads.push(leaf(format!("{} weight", part.path), size, net));
        }
        reads.sort_by(|a, b| path_order(&a.name, &b.name));
        let mut reasons = vec![whole("weight", "its parts and the boxes in it, net", of.net.kg, reads)];
        if of.contents > 0.0 {
            let loads = job.loads.iter().filter(|l| {
                l.thing == name || l.thing.strip_prefix(name).is_some_and(|rest| rest.starts_with('.'))
            });
            let loads: Vec<Reason> = loads
                .map(|l| leaf(format!("load on {}", l.thing), String::new(), Some(super::real(l.load.0))))
                .collect();
            reasons.push(whole("contents", "the loads that the design states", of.contents, loads));
            let all = whole("total", "weight + contents", of.total(), Vec::new());
            reasons.push(all);
        }
        return Some(Ok(about(name, reasons, Some(LEFT_OUT))));
    }
    let group = found.rows.iter().chain(&found.roots).find(|g| g.path == name);
    if let Some(of) = group {
        let row = found.rows.iter().any(|r| r.path == name);
        let inside = job.boxes.iter().filter(|b| b.within.is_none());
        let inside = inside.filter(|b| if row { b.row.as_deref() == Some(name) } else { b.root == name });
        let reads: Vec<Reason> = inside
            .filter_map(|b| found.boxes.iter().find(|w| w.path == b.path))
            .map(|w| leaf(format!("{} weight", w.path), parts_in(w.parts), Some(w.net.kg)))
            .collect();
        return Some(Ok(about(
            name,
            vec![whole("weight", "its boxes, net", of.net.kg, reads)],
            Some(LEFT_OUT),
        )));
    }
    if name.is_empty() || name == "total" {
        let reads: Vec<Reason> = found
            .roots
            .iter()
            .map(|g| leaf(format!("{} weight", g.path), format!("{} boxes", g.boxes), Some(g.net.kg)))
            .collect();
        let kg = found.roots.iter().map(|g| g.net.kg).sum();
        return Some(Ok(about(
            "all boxes",
            vec![whole("total weight", "all that stands anywhere, net", kg, reads)],
            Some(LEFT_OUT),
        )));
    }
    // The language has a mass of its own: the gross figure.
    None
}

/// A part by its path or mark.
fn part_called<'a>(job: &'a Job, name: &str) -> Option<&'a Part> {
    job.parts.iter().find(|p| p.path == name || (p.mark == name && p.piece == 1))
}

fn about(name: &str, reasons: Vec<Reason>, note: Option<&'static str>) -> Answer {
    Answer { about: format!("{name}, an estimate"), note, reasons }
}

fn parts_in(n: usize) -> String {
    if n == 1 { "1 part".to_string() } else { format!("{n} parts") }
}

fn leaf(name: String, formula: String, kg: Option<f64>) -> Reason {
    let value = kg.map_or("not known".to_string(), |kg| format!("{}kg", short(kg)));
    Reason { name, formula, value, ..Reason::default() }
}

fn whole(name: &str, formula: &str, kg: f64, reads: Vec<Reason>) -> Reason {
    Reason { reads, ..leaf(name.to_string(), formula.to_string(), Some(kg)) }
}

/// The weight of a part: its sizes and the density of its board, less what is taken out.
fn part_weight(
    asker: &mut Asker<'_, '_, '_>,
    path: &str,
    gross: Option<f64>,
    net: Option<f64>,
    only_gross: bool,
    telling: Telling,
) -> Result<Answer, Unknown> {
    let job = asker.job();
    let part = job.parts.iter().find(|p| p.path == path);
    let inner = asker.answer(&format!("{path} gross mass"), None, telling);
    let (place, reads) = match inner {
        Ok(answer) => (
            answer.reasons.first().and_then(|r| r.place.clone()),
            answer.reasons.into_iter().flat_map(|r| r.reads).collect(),
        ),
        Err(_) => (None, Vec::new()),
    };
    let words = "length × width × thickness × density of its board";
    let mut whole_part = leaf("gross weight".to_string(), words.to_string(), gross);
    (whole_part.place, whole_part.reads) = (place, reads);
    if only_gross {
        return Ok(about(path, vec![whole_part], Some(LEFT_OUT)));
    }
    let mut reads = vec![whole_part];
    if let (Some(gross), Some(net), Some(part)) = (gross, net, part) {
        let list = [
            (part.cuts.len(), "cut", "cuts"),
            (part.holes.len(), "hole", "holes"),
            (part.bevels.len(), "bevel", "bevels"),
        ];
        let taken: Vec<String> = list
            .into_iter()
            .filter(|(n, ..)| *n > 0)
            .map(|(n, one, many)| format!("{n} {}", if n == 1 { one } else { many }))
            .collect();
        if !taken.is_empty() {
            reads.push(leaf("taken out".to_string(), taken.join(", "), Some(gross - net)));
        }
    }
    let mut reason = leaf("weight".to_string(), "gross weight - what is taken out".to_string(), net);
    reason.reads = reads;
    Ok(about(path, vec![reason], Some(LEFT_OUT)))
}

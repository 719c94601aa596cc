//! Cautions that travel with the outputs. They say what to take care of; none of them is a test passed.

use super::parts::Distinct;
use super::words::{self, a_few};
use crate::checks::estimates::not_fixed;
use crate::job::{Job, Move, Part, Shape};
use crate::values::{Overflow, Rational, Style, decimal};
use std::collections::BTreeSet;

/// Above this two people lift: the load constant of the revised lifting equation (NIOSH, 1991), in kg.
const ONE_PERSON: i64 = 23;

/// Each caution as a sentence or two.
pub fn cautions(job: &Job, parts: &[Distinct<'_>]) -> Vec<String> {
    let style = job.house.style();
    let free = not_fixed(job);
    let mut out = tall(job, &free, style);
    out.extend(drawers(job, &free));
    let hangs = job.boxes.iter().any(|b| b.within.is_none() && !free.contains(b.path.as_str()));
    if !out.is_empty() || hangs {
        out.push("Before you bore into a wall, find its cables and pipes.".to_string());
    }
    out.extend(heavy(job, parts));
    out.extend(small(job, parts, style));
    let sawn = |shape: Shape| matches!(shape, Shape::Groove | Shape::Housing | Shape::Rebate);
    if parts.iter().any(|d| d.part.cuts.iter().any(|c| sawn(c.shape))) {
        out.push(
            "A groove cut at the table saw takes the blade guard off: use push blocks and a feather board, \
             keep the riving knife below the top of the blade, and put the guard back."
                .to_string(),
        );
    }
    if !parts.is_empty() {
        out.push(
            "Dust of boards harms the lungs: extract it, and wear a mask when you cut and bore.".to_string(),
        );
    }
    out
}

/// A box that is not fixed to a wall and is more than twice as tall as it is deep (our judgement).
fn tall(job: &Job, free: &BTreeSet<&str>, style: Style) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for entry in job.boxes.iter().filter(|b| free.contains(b.path.as_str())) {
        let (Ok(height), Ok(depth)) = (entry.place.y.size(), entry.place.z.size()) else { continue };
        if depth.add(depth).is_ok_and(|twice| height > twice) {
            names.push(format!("{} ({} × {})", entry.path, style.figure(height), style.figure(depth)));
        }
    }
    if names.is_empty() {
        return names;
    }
    vec![format!(
        "More than twice as tall as deep: {}. What stands free can tip over: fix it to the wall.",
        a_few(&names, 4)
    )]
}

fn drawers(job: &Job, free: &BTreeSet<&str>) -> Option<String> {
    let holds = |of: &str, thing: &str| {
        thing.strip_prefix(of).is_some_and(|rest| rest.is_empty() || rest.starts_with('.'))
    };
    let roots: BTreeSet<&str> = job
        .moves
        .iter()
        .filter_map(|m| match m {
            Move::Slides { thing, .. } => free.iter().copied().find(|of| holds(of, thing)),
            Move::Swings { .. } => None,
        })
        .collect();
    let roots: Vec<&str> = roots.into_iter().collect();
    (!roots.is_empty()).then(|| {
        format!("With drawers: {}. Open drawers can tip a box over: fix it to the wall.", a_few(&roots, 4))
    })
}

fn heavy(job: &Job, parts: &[Distinct<'_>]) -> Option<String> {
    let heavy: Vec<String> = parts
        .iter()
        .filter_map(|d| {
            let mass = mass(job, d.part)?.ok()?;
            (mass > Rational::int(ONE_PERSON)).then(|| format!("{} ({} kg)", d.part.mark, decimal(mass, 0)))
        })
        .collect();
    (!heavy.is_empty()).then(|| format!("Two people lift: {}.", a_few(&heavy, 6)))
}

/// Mass of the uncut board in kg, where its density is known.
fn mass(job: &Job, part: &Part) -> Option<Result<Rational, Overflow>> {
    let density = job.boards.iter().find(|b| b.name == part.board)?.density?;
    let cubic_metre = Rational::int(1_000_000_000);
    let volume = part.length.0.mul(part.width.0).and_then(|area| area.mul(part.thickness.0));
    Some(volume.and_then(|v| v.mul(density.0)).and_then(|m| m.div(cubic_metre).ok_or(Overflow)?))
}

/// Parts whose longer side is below the least size that can be guided at the saw.
fn small(job: &Job, parts: &[Distinct<'_>], style: Style) -> Option<String> {
    let least = job.house.lengths.get("least_guided")?;
    let small: Vec<&str> = parts
        .iter()
        .filter(|d| d.part.length.max(d.part.width) < *least)
        .map(|d| d.part.mark.as_str())
        .collect();
    (!small.is_empty()).then(|| {
        format!(
            "Too small to guide at the saw (under {}): {}. Work them on a longer piece and cut them off last.",
            style.length(least.0),
            a_few(&small, 8)
        )
    })
}

/// Cautions and messages for the end of a printed list.
pub fn closing(job: &Job, parts: &[Distinct<'_>], width: usize) -> String {
    use super::table::indented;
    let mut out = String::new();
    for line in words::messages(job) {
        out.push_str(&indented(&crate::diagnostics::visible(&line), width, "", "  "));
    }
    let cautions = cautions(job, parts);
    if !cautions.is_empty() {
        out.push_str("\nTake care:\n");
    }
    for caution in cautions {
        out.push_str(&indented(&caution, width, "- ", "  "));
    }
    out
}

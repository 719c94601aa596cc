//! The steps of building, with boxes to tick: as text, CSV, JSON and a page to print.

mod holding;
mod html;
mod words;

use super::csv;
use super::table::indented;
use crate::diagnostics::visible;
use crate::job::{Job, Part};
use crate::planning::assembly::{Act, Assembly, Fastening, Mounting, Stage, StageKind, Step, plan};
use serde::Serialize;
use words::Words;

pub use html::page;

/// One step in words.
struct Line {
    number: usize,
    text: String,
    cautions: Vec<String>,
}

/// A stage in words.
struct Section {
    title: String,
    /// What holds for all its steps.
    lead: String,
    lines: Vec<Line>,
}

fn sections(job: &Job, assembly: &Assembly) -> Vec<Section> {
    let words = Words::new(job);
    assembly.stages.iter().map(|stage| section(&words, stage)).collect()
}

fn section(words: &Words, stage: &Stage) -> Section {
    let lines = stage.steps.iter().map(|step| Line {
        number: step.number,
        text: words.step(stage, step),
        cautions: step.cautions.iter().map(|c| words::caution(*c)).collect(),
    });
    Section { title: words.title(stage), lead: words.lead(stage), lines: lines.collect() }
}

/// What stands at the head of every form.
fn heading(job: &Job) -> String {
    format!("Assembly, step by step: tick each box when it is done. {}", super::words::heading(&job.house))
}

/// The steps as a checklist for a terminal of this width.
pub fn table(job: &Job, width: usize) -> String {
    let mut out = indented(&heading(job), width, "", "");
    let all = sections(job, &plan(job));
    let widest = all.iter().flat_map(|s| &s.lines).map(|l| l.number.to_string().len()).max().unwrap_or(1);
    for section in &all {
        out.push('\n');
        out.push_str(&indented(&visible(&section.title), width, "", "  "));
        if !section.lead.is_empty() {
            out.push_str(&indented(&visible(&section.lead), width, "  ", "  "));
        }
        for line in &section.lines {
            let first = format!("[ ] {:>widest$}  ", line.number);
            let rest = " ".repeat(first.len());
            out.push_str(&indented(&visible(&line.text), width, &first, &rest));
            for caution in &line.cautions {
                out.push_str(&indented(caution, width, &format!("{rest}! "), &format!("{rest}  ")));
            }
        }
    }
    out.push_str(&super::cautions::closing(job, &super::parts::distinct(job), width));
    out
}

/// The steps as CSV.
pub fn as_csv(job: &Job) -> String {
    let heads = ["step", "stage", "boxes", "done", "text", "parts", "joints", "items", "tools", "cautions"];
    let mut rows = vec![heads.map(str::to_string).to_vec()];
    let assembly = plan(job);
    let words = Words::new(job);
    for stage in &assembly.stages {
        for step in &stage.steps {
            let items = items(job, step).into_iter().map(|i| match i.count {
                Some(n) => format!("{n} {}", i.name),
                None => i.name.to_string(),
            });
            let cautions: Vec<String> = step.cautions.iter().map(|c| words::caution(*c)).collect();
            rows.push(vec![
                step.number.to_string(),
                kind(stage.kind).to_string(),
                stage.boxes.join("; "),
                String::new(),
                words.step(stage, step),
                parts(job, step).iter().map(|p| piece(p)).collect::<Vec<_>>().join("; "),
                joints(job, step).join("; "),
                items.collect::<Vec<_>>().join("; "),
                tools(step).join("; "),
                cautions.join(" "),
            ]);
        }
    }
    csv::write(rows)
}

#[derive(Serialize)]
struct List<'a> {
    format: &'static str,
    units: &'static str,
    stages: Vec<StageJson<'a>>,
}

#[derive(Serialize)]
struct StageJson<'a> {
    kind: &'static str,
    title: String,
    boxes: &'a [String],
    /// The side that is down on the bench.
    bench: Option<&'static str>,
    steps: Vec<StepJson<'a>>,
}

#[derive(Serialize)]
struct StepJson<'a> {
    number: usize,
    text: String,
    parts: Vec<PartJson<'a>>,
    joints: Vec<&'a str>,
    items: Vec<ItemJson<'a>>,
    tools: Vec<&'a str>,
    cautions: Vec<String>,
}

#[derive(Serialize)]
struct PartJson<'a> {
    path: &'a str,
    mark: &'a str,
    piece: u32,
}

#[derive(Serialize)]
struct ItemJson<'a> {
    name: &'a str,
    count: Option<u64>,
}

/// The steps as JSON.
pub fn as_json(job: &Job) -> String {
    let assembly = plan(job);
    let words = Words::new(job);
    let stages = assembly.stages.iter().map(|stage| StageJson {
        kind: kind(stage.kind),
        title: words.title(stage),
        boxes: &stage.boxes,
        bench: stage.bench.map(|f| f.word()),
        steps: stage.steps.iter().map(|step| step_json(job, &words, stage, step)).collect(),
    });
    super::json::text(&List { format: "aumbry-assembly/1", units: "mm", stages: stages.collect() })
}

fn step_json<'a>(job: &'a Job, words: &Words, stage: &Stage, step: &'a Step) -> StepJson<'a> {
    StepJson {
        number: step.number,
        text: words.step(stage, step),
        parts: parts(job, step)
            .into_iter()
            .map(|p| PartJson { path: &p.path, mark: &p.mark, piece: p.piece })
            .collect(),
        joints: joints(job, step),
        items: items(job, step),
        tools: tools(step),
        cautions: step.cautions.iter().map(|c| words::caution(*c)).collect(),
    }
}

fn kind(kind: StageKind) -> &'static str {
    match kind {
        StageKind::Ready => "ready",
        StageKind::Build => "build",
        StageKind::Site => "site",
        StageKind::Inside => "inside",
        StageKind::Fronts => "fronts",
    }
}

fn piece(part: &Part) -> String {
    format!("{} {}", part.mark, part.piece)
}

/// The parts a step takes in hand.
fn parts<'a>(job: &'a Job, step: &Step) -> Vec<&'a Part> {
    let own = step.things.iter().flat_map(|g| &g.parts);
    let set = match &step.act {
        Act::Mount(all) => all.iter().map(|m| m.on).collect(),
        Act::Fasten(all) => all.iter().flat_map(|f| [f.a, f.b]).flatten().collect(),
        _ => Vec::new(),
    };
    let mut seen = std::collections::BTreeSet::new();
    own.copied().chain(set).filter(|p| seen.insert(*p)).filter_map(|p| job.parts.get(p)).collect()
}

/// What holds something in a step.
fn fastenings(step: &Step) -> &[Fastening] {
    match &step.act {
        Act::Fasten(all) => all,
        Act::ToWall { fasten, .. } | Act::SlideIn { fasten, .. } | Act::Front { fasten, .. } => fasten,
        _ => &[],
    }
}

fn mountings(step: &Step) -> &[Mounting] {
    match &step.act {
        Act::Mount(all) => all,
        _ => &[],
    }
}

/// The joints a step makes, in all equal boxes; tacking is part of the joint made next.
fn joints<'a>(job: &'a Job, step: &Step) -> Vec<&'a str> {
    let fixes = fastenings(step).iter().flat_map(|f| &f.fixes).filter_map(|n| job.fixes.get(*n));
    let mounts = mountings(step).iter().flat_map(|m| &m.mounts).filter_map(|n| job.mounts.get(*n));
    let mut all: Vec<&str> =
        fixes.map(|f| f.joint.as_str()).chain(mounts.map(|m| m.joint.as_str())).collect();
    all.dedup();
    all
}

/// What is used up in a step, for one of the equal boxes.
fn items<'a>(job: &'a Job, step: &'a Step) -> Vec<ItemJson<'a>> {
    let mut all: Vec<(&str, Option<u64>)> = Vec::new();
    if let Act::Place { tacks, .. } = &step.act {
        all.extend(
            tacks.iter().filter_map(|f| f.tack.as_ref()).map(|(i, at)| (i.as_str(), Some(at.len() as u64))),
        );
    }
    all.extend(fastenings(step).iter().filter_map(|f| f.with.as_ref()).map(|(i, n)| (i.as_str(), *n)));
    for mount in mountings(step) {
        all.push((&mount.item, None));
        all.extend(mount.with.iter().map(|(i, n)| (i.as_str(), *n)));
    }
    if let Act::LayIn { with } = &step.act {
        all.extend(with.iter().map(|(i, n)| (i.as_str(), Some(*n))));
    }
    let mut out: Vec<ItemJson> = Vec::new();
    for (name, count) in all {
        // One name for what the job lists under it.
        let name = job.items.iter().find(|i| i.name == name).map_or(name, |i| i.name.as_str());
        match out.iter_mut().find(|i| i.name == name) {
            Some(known) => known.count = known.count.zip(count).map(|(a, b)| a + b),
            None => out.push(ItemJson { name, count }),
        }
    }
    out
}

fn tools(step: &Step) -> Vec<&str> {
    let fixes = fastenings(step).iter().filter_map(|f| f.tool.as_deref());
    let mut all: Vec<&str> = fixes.chain(mountings(step).iter().filter_map(|m| m.tool.as_deref())).collect();
    if matches!(step.act, Act::Square { .. }) {
        all.push("tape measure");
    }
    let mut seen = std::collections::BTreeSet::new();
    all.retain(|t| seen.insert(*t));
    all
}

//! What goes in when all is up: loose shelves, drawers, and fronts last of all.

use super::steps::{Desk, merged, step};
use super::{Act, Group, Stage, StageKind, Step};
use crate::checks::order::{Body, Late, LateKind};
use crate::job::Part;

/// The stages of fronts, or of all that goes in before them.
pub fn stages(desk: &mut Desk, fronts: bool) -> Vec<Stage> {
    let kind = if fronts { StageKind::Fronts } else { StageKind::Inside };
    let order = desk.order;
    let mut out: Vec<Stage> = Vec::new();
    let mut shelf: Option<String> = None;
    for late in order.late.iter().filter(|l| (l.kind == LateKind::Front) == fronts) {
        let Some(part) = first(desk, late.body) else { continue };
        if out.last().is_none_or(|s| s.boxes.first() != Some(&part.root)) {
            shelf = None;
            out.push(Stage { kind, boxes: vec![part.root.clone()], bench: None, steps: Vec::new() });
        }
        let Some(stage) = out.last_mut() else { continue };
        // Loose parts of one box are laid in together.
        let joined = late.kind == LateKind::Loose && shelf.as_ref() == Some(&part.box_path);
        match stage.steps.last_mut().filter(|_| joined).and_then(|s| s.things.first_mut()) {
            Some(group) => {
                let parts = desk.parts_of(late.body);
                desk.up.extend(&parts);
                group.parts.extend(parts);
            }
            None => place(desk, late, part, &mut stage.steps),
        }
        shelf = (late.kind == LateKind::Loose).then(|| part.box_path.clone());
    }
    merged(desk.job, out)
}

fn first<'a>(desk: &Desk<'a>, body: Body) -> Option<&'a Part> {
    desk.parts_of(body).first().and_then(|p| desk.job.parts.get(*p))
}

fn place(desk: &mut Desk, late: &Late, part: &Part, steps: &mut Vec<Step>) {
    let group: Group = desk.group(late.body);
    let parts = group.parts.clone();
    let mounts = desk.mounts(&parts);
    if !mounts.is_empty() {
        steps.push(step(Act::Mount(mounts), Vec::new()));
    }
    let here = desk.up.clone();
    let fasten = desk.fixes(&parts, &here);
    desk.up.extend(parts.iter().copied());
    let act = match late.kind {
        LateKind::Loose => Act::LayIn { with: bought_beside(desk, part) },
        LateKind::Sliding => Act::SlideIn { by: desk.other_halves(&group), fasten: Vec::new() },
        LateKind::Front => Act::Front { by: desk.other_halves(&group), fasten: Vec::new() },
    };
    let mut placed = step(act, vec![group]);
    placed.cautions.extend(desk.lift(&parts));
    match &mut placed.act {
        Act::SlideIn { fasten: to, .. } | Act::Front { fasten: to, .. } => *to = fasten,
        _ if !fasten.is_empty() => {
            steps.push(placed);
            steps.push(step(Act::Fasten(fasten), Vec::new()));
            return;
        }
        _ => {}
    }
    steps.push(placed);
}

/// What the box itself buys, outside its joints: pins under its shelves.
fn bought_beside(desk: &Desk, part: &Part) -> Vec<(String, u64)> {
    let of = |uses: &[crate::job::ItemUse]| {
        uses.iter().filter(|u| u.path == part.box_path).map(|u| u.quantity).sum::<u64>()
    };
    let all = desk.job.items.iter().map(|i| (i.name.clone(), of(&i.uses)));
    all.filter(|(_, n)| *n > 0).collect()
}

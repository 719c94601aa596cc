//! The steps where the boxes stay.

use super::steps::{Desk, merged, step};
use super::{Act, Caution, Spot, Stage, StageKind, Step};
use crate::checks::order::{Footing, Standing, extent};
use crate::job::Part;
use crate::values::Mm;

/// One stage for each wall, or for each box that stands by itself.
pub fn stages(desk: &mut Desk) -> Vec<Stage> {
    let order = desk.order;
    let mut roots: Vec<(&str, Vec<&Standing>)> = Vec::new();
    for standing in &order.site.standing {
        let first = desk.parts_of(standing.body).first().copied();
        let Some(part) = first.and_then(|p| desk.job.parts.get(p)) else { continue };
        match roots.last_mut() {
            Some((root, all)) if *root == part.root => all.push(standing),
            _ => roots.push((&part.root, vec![standing])),
        }
    }
    let stages = roots.into_iter().map(|(root, all)| stage(desk, root, &all)).collect();
    merged(desk.job, stages)
}

fn stage(desk: &mut Desk, root: &str, all: &[&Standing]) -> Stage {
    let mut steps = Vec::new();
    let mut told = false;
    for standing in all {
        told |= all.len() > 1 || standing.footing == Footing::Wall;
        told |= place(desk, standing, &mut steps);
    }
    // A box by itself is where it is.
    if !told {
        steps.retain(|s: &Step| !matches!(s.act, Act::Stand { .. }));
    }
    Stage { kind: StageKind::Site, boxes: vec![root.to_string()], bench: None, steps }
}

/// Adds the steps for one body; true where it is held to something.
fn place(desk: &mut Desk, standing: &Standing, steps: &mut Vec<Step>) -> bool {
    let group = desk.group(standing.body);
    let parts = group.parts.clone();
    let mounts = desk.mounts(&parts);
    if !mounts.is_empty() {
        steps.push(step(Act::Mount(mounts), Vec::new()));
    }
    let here = desk.up.clone();
    let fixes = desk.fixes(&parts, &here);
    desk.up.extend(parts.iter().copied());
    let (at_wall, others): (Vec<_>, Vec<_>) = fixes.into_iter().partition(|f| f.wall.is_some());
    let held = !at_wall.is_empty() || !others.is_empty();
    let at = spot(desk, &parts);
    let mut act = match &standing.footing {
        Footing::Wall => step(Act::ToWall { at, fasten: Vec::new() }, vec![group]),
        Footing::Hung(on) => step(Act::Hang { on: on.clone() }, vec![group]),
        Footing::On(on) => step(Act::Stand { on: on.clone(), level: false, at: None }, vec![group]),
        Footing::Floor => step(Act::Stand { on: Vec::new(), level: standing.carries, at }, vec![group]),
        Footing::Held => step(Act::Hold { at }, vec![group]),
    };
    act.cautions.extend(desk.lift(&parts));
    match (&standing.footing, at_wall) {
        (Footing::Wall, at_wall) => {
            act.act = Act::ToWall { at, fasten: at_wall };
            act.cautions.push(Caution::Wall);
            steps.push(act);
        }
        (footing, at_wall) => {
            if matches!(footing, Footing::Hung(_)) {
                act.cautions.push(Caution::Overhead);
            }
            steps.push(act);
            if !at_wall.is_empty() {
                let mut wall = step(Act::Fasten(at_wall), Vec::new());
                wall.cautions.push(Caution::Wall);
                steps.push(wall);
            }
        }
    }
    if !others.is_empty() {
        steps.push(step(Act::Fasten(others), Vec::new()));
    }
    held
}

/// Where a body stands, if it stands at a wall.
fn spot(desk: &Desk, parts: &[usize]) -> Option<Spot> {
    let own: Vec<&Part> = parts.iter().filter_map(|p| desk.job.parts.get(*p)).collect();
    let wall = desk.job.walls.iter().any(|w| own.first().is_some_and(|p| p.root == w.path));
    let place = extent(own.iter().map(|p| &p.place)).filter(|_| wall)?;
    Some(Spot { top: Mm(place.y.hi), left: Mm(place.x.lo) })
}

//! What is done to each part before anything is put together.

use super::{Act, Group, Stage, StageKind, Step};
use crate::geometry::Shape;
use crate::job::{Bored, Job};
use std::collections::BTreeMap;

/// Every part is banded, cut and bored while it can still be laid on a bench by itself.
pub fn stage(job: &Job) -> Stage {
    let index: BTreeMap<&str, usize> = job.parts.iter().zip(0..).map(|(p, i)| (p.path.as_str(), i)).collect();
    let mut steps = Vec::with_capacity(job.same.len());
    for same in &job.same {
        let pieces: Vec<usize> = same.pieces.iter().filter_map(|p| index.get(p.as_str()).copied()).collect();
        let Some(part) = pieces.first().and_then(|p| job.parts.get(*p)) else { continue };
        let mut cuts: BTreeMap<&str, (Shape, usize)> = BTreeMap::new();
        for cut in &part.cuts {
            cuts.entry(shape_key(cut.shape)).or_insert((cut.shape, 0)).1 += 1;
        }
        let act = Act::Ready {
            bands: part.bands.keys().copied().collect(),
            cuts: cuts.into_values().collect(),
            bevels: part.bevels.len(),
            holes: part.holes.iter().filter(|h| h.bored == Bored::Bench).count(),
        };
        let things = pieces
            .iter()
            .filter_map(|p| job.parts.get(*p).map(|part| (p, part)))
            .map(|(p, part)| Group { path: part.path.clone(), parts: vec![*p], built: false })
            .collect();
        steps.push(Step { number: 0, act, things, cautions: Vec::new() });
    }
    Stage { kind: StageKind::Ready, boxes: Vec::new(), bench: None, steps }
}

fn shape_key(shape: Shape) -> &'static str {
    match shape {
        Shape::Groove => "1",
        Shape::Housing => "2",
        Shape::Rebate => "3",
        Shape::Notch => "4",
        Shape::Slot => "5",
    }
}

//! One part spoiled: what it can still become, and what can stand in for it.

use super::boards::Boards;
use super::describe::{part_ref, rework};
use super::model::*;
use super::wood::Wood;
use super::work::*;
use crate::job::Job;
use std::collections::BTreeSet;

/// The most parts that are named: the best of them.
const MOST: usize = 20;

/// What a spoiled part can still become, and what can replace it. `cut` are the paths of the parts that are cut
/// already; where nobody says, pass none of them. `None` where the job has no such part.
///
/// Where it is spoiled nobody says either: what it can become is the same wood with work done to it, and the
/// maker sees whether the damage goes with what is trimmed off.
pub fn spoiled(job: &Job, path: &str, cut: &BTreeSet<String>) -> Option<Spoiled> {
    let at = job.parts.iter().position(|p| p.path == path)?;
    let part = job.parts.get(at)?;
    let boards = Boards::of(job, job);
    let tolerance = super::piece::tick(job.house.print.0).max(super::piece::ROUNDING);
    let mut wood = Wood::of(job, job, &boards, tolerance);
    let mut becomes: Vec<Becomes> = Vec::new();
    let mut replaced: Vec<Rework> = Vec::new();
    for (i, other) in job.parts.iter().enumerate() {
        if i == at || other.board != part.board {
            continue;
        }
        if cut.contains(&other.path) {
            if let Ok(fit) = wood.outcome(wood.old[i], wood.new[at]).as_ref() {
                replaced.push(rework(fit, other, part, &wood.pieces[wood.new[at]]));
            }
        } else if let Ok(fit) = wood.outcome(wood.old[at], wood.new[i]).as_ref() {
            // An equal part is spoiled in the same place.
            if !fit.tasks.is_empty() {
                let rework = rework(fit, part, other, &wood.pieces[wood.new[i]]);
                becomes.push(Becomes { part: part_ref(other), rework });
            }
        }
    }
    becomes.sort_by_key(|b| (b.rework.waste, b.rework.effort));
    replaced.sort_by_key(|r| (r.effort, r.waste));
    becomes.truncate(MOST);
    replaced.truncate(MOST);
    Some(Spoiled { part: part_ref(part), becomes, replaced_by: replaced, blanks: Vec::new() })
}

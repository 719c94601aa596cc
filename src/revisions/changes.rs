//! The verdict on every part.

use super::assign::{Assigned, Source};
use super::describe::{board_reason, part_ref, reasons, rework};
use super::model::*;
use super::pairing::Pairs;
use super::piece::{Piece, ROUNDING, mm};
use super::rework::Fit;
use super::wood::Wood;
use super::work::*;
use crate::job::{Bored, Hole, Job, Part};
use crate::values::Style;
use std::collections::BTreeMap;

pub(super) struct Table<'a> {
    pub old: &'a Job,
    pub new: &'a Job,
    pub pairs: &'a Pairs,
    /// The old path of each box that was paired, by the new one.
    pub old_box: BTreeMap<&'a str, &'a str>,
    pub cut: &'a [bool],
    pub assigned: &'a Assigned,
    pub style: Style,
}

/// One entry for every part of the new job, then for every part that is gone.
pub(super) fn changes(table: &Table<'_>, wood: &mut Wood) -> Vec<PartChange> {
    let mut list = Vec::with_capacity(table.new.parts.len());
    for (n, part) in table.new.parts.iter().enumerate() {
        list.push(change(table, wood, n, part));
    }
    for (o, part) in table.old.parts.iter().enumerate() {
        if table.pairs.new[o].is_none() {
            list.push(PartChange {
                verdict: Verdict::Gone,
                old: Some(part_ref(part)),
                new: None,
                pairing: None,
                cut: table.cut[o],
                moved: None,
                rework: None,
                reasons: Vec::new(),
                offer: None,
                becomes: table.becomes(o, None),
                other: Vec::new(),
                differs: true,
            });
        }
    }
    list
}

impl Table<'_> {
    /// The new part, other than its own, that an old piece goes to.
    fn becomes(&self, old: usize, own: Option<usize>) -> Option<String> {
        let goes = self.assigned.goes[old].filter(|n| Some(*n) != own)?;
        self.new.parts.get(goes).map(|p| p.path.clone())
    }

    fn described(&self, fit: &Fit, old: usize, new: &Part, wood: &Piece) -> Option<Rework> {
        self.old.parts.get(old).map(|part| rework(fit, part, new, wood))
    }
}

fn change(table: &Table<'_>, wood: &mut Wood, n: usize, part: &Part) -> PartChange {
    let pair = table.pairs.old[n];
    let old = pair.and_then(|(o, _)| table.old.parts.get(o));
    let class = wood.new[n];
    let mut change = PartChange {
        verdict: Verdict::New,
        old: old.map(part_ref),
        new: Some(part_ref(part)),
        pairing: pair.map(|p| p.1),
        cut: pair.is_some_and(|(o, _)| table.cut[o]),
        moved: None,
        rework: None,
        reasons: Vec::new(),
        offer: None,
        becomes: pair.and_then(|(o, _)| table.becomes(o, Some(n))),
        other: Vec::new(),
        differs: true,
    };
    if let (Some(old), Some((o, how))) = (old, pair) {
        change.other = other(table, old, part);
        change.moved = moved(wood, o, n);
        let same_wood = wood.old[o] == class;
        change.differs =
            !same_wood || how != Pairing::Path || change.moved.is_some() || !change.other.is_empty();
    }
    if let Some((o, fit)) = &table.assigned.offers[n] {
        change.offer = table.described(fit, *o, part, &wood.pieces[class]);
    }
    let still = |change: &PartChange, turned: bool| match () {
        () if change.pairing.is_some_and(|p| p != Pairing::Path) => Verdict::Renamed,
        () if change.moved.is_some() || turned => Verdict::Moved,
        () => Verdict::Unchanged,
    };
    match &table.assigned.sources[n] {
        Source::New => {}
        Source::Piece(o, outcome) => {
            let Ok(fit) = outcome.as_ref() else { return change };
            let own = pair.is_some_and(|p| p.0 == *o);
            change.verdict = match () {
                () if !fit.tasks.is_empty() => Verdict::Rework,
                () if !own => Verdict::Exchanged,
                () => still(&change, !fit.turn.is_none()),
            };
            if !own || !fit.tasks.is_empty() || !fit.within.is_empty() || !fit.turn.is_none() {
                change.rework = table.described(fit, *o, part, &wood.pieces[class]);
            }
        }
        Source::Remake(outcome) => {
            change.verdict = Verdict::Remake;
            if let (Err(faults), Some(old), Some((o, _))) = (outcome.as_ref(), old, pair) {
                let same_board = wood.pieces[wood.old[o]].board == wood.pieces[class].board;
                change.reasons = match same_board {
                    true => reasons(faults, old, part, &table.style),
                    false => vec![board_reason(old, part, &table.style)],
                };
            }
        }
        Source::Uncut => {
            change.verdict = Verdict::CutAsDrawn;
            if let Some((o, _)) = pair {
                let outcome = wood.outcome(wood.old[o], class);
                if let Ok(fit) = outcome.as_ref()
                    && fit.tasks.is_empty()
                {
                    change.verdict = still(&change, !fit.turn.is_none());
                }
            }
        }
    }
    change
}

/// How far a part has moved in its box.
fn moved(wood: &Wood, old: usize, new: usize) -> Option<[crate::values::Mm; 3]> {
    let (a, b) = (wood.old_places.get(old)?, wood.new_places.get(new)?);
    let by = [0, 1, 2].map(|i| b.lo[i] - a.lo[i]);
    by.iter().any(|d| d.abs() > ROUNDING).then(|| by.map(mm))
}

/// What differs besides the wood.
fn other(table: &Table<'_>, old: &Part, new: &Part) -> Vec<String> {
    let mut list = Vec::new();
    let mut say = |differs: bool, what: &str| {
        if differs {
            list.push(what.to_string());
        }
    };
    // Most parts are alike throughout; looking closer is for those that are not.
    let bench = |h: &&Hole| h.bored == Bored::Bench;
    let in_place = |h: &&Hole| h.bored == Bored::InPlace;
    let drilled = |h: &Hole| {
        (
            h.face,
            h.at.mm.map(|m| super::piece::tick(m.0)),
            super::piece::tick(h.dia.0),
            super::piece::tick(h.depth.0),
        )
    };
    let a: Vec<_> = old.holes.iter().filter(in_place).map(drilled).collect();
    let b: Vec<_> = new.holes.iter().filter(in_place).map(drilled).collect();
    say(a != b, "bored in place");
    let words =
        |p: &Part| p.holes.iter().filter(bench).map(|h| (drilled(h), h.purposes.clone())).collect::<Vec<_>>();
    if old.holes.len() == new.holes.len() {
        let same = old.holes.iter().zip(&new.holes).all(|(a, b)| a.purposes == b.purposes);
        say(!same && words(old) != words(new), "purposes");
    }
    let joints = old.path == new.path
        && old.holes.len() == new.holes.len()
        && old.cuts.len() == new.cuts.len()
        && !(old.holes.iter().zip(&new.holes).all(|(a, b)| a.joints == b.joints)
            && old.cuts.iter().zip(&new.cuts).all(|(a, b)| a.joint == b.joint && a.by == b.by));
    say(joints, "joints");
    say(old.mark != new.mark, "mark");
    say(old.piece != new.piece && old.mark == new.mark, "piece");
    say(
        old.box_path != new.box_path
            && table.old_box.get(new.box_path.as_str()) != Some(&old.box_path.as_str()),
        "box",
    );
    say(old.board != new.board && old.board.split(' ').next() == new.board.split(' ').next(), "board name");
    say(old.proud != new.proud, "proud");
    list
}

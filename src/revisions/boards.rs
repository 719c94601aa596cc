//! Which board of the old job is which of the new one.

use super::piece::{MM, Tick, tick};
use crate::job::Job;
use std::collections::BTreeMap;

/// A number for a board, the same in both jobs.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub(super) struct BoardId(pub u32);

/// A thickness corrected by less than this is a new measurement of the same wood; by more it is another board
/// (boards are sold in steps of 1 mm and more). Our judgement, no source.
const MEASURED_ANEW: Tick = MM;

/// The boards of two jobs.
#[derive(Debug, Default)]
pub(super) struct Boards {
    old: BTreeMap<String, BoardId>,
    new: BTreeMap<String, BoardId>,
    /// For a board of the old job that was measured anew: what it measures.
    anew: BTreeMap<String, Tick>,
    /// The name in the new job of each board of the old one that goes on.
    pub names: BTreeMap<String, String>,
}

/// The name of the definition: a job adds the thickness where one definition comes in several.
fn definition(name: &str) -> &str {
    name.split(' ').next().unwrap_or(name)
}

impl Boards {
    pub fn of(old: &Job, new: &Job) -> Boards {
        let mut boards = Boards::default();
        for board in &new.boards {
            let id = BoardId(boards.new.len() as u32);
            boards.new.insert(board.name.clone(), id);
        }
        for board in &old.boards {
            let thickness = tick(board.thickness.0);
            let equal = |b: &&crate::job::Board| tick(b.thickness.0) == thickness;
            let named = new.boards.iter().find(|b| b.name == board.name);
            let found = named
                .filter(equal)
                .or_else(|| {
                    let same = |b: &&crate::job::Board| definition(&b.name) == definition(&board.name);
                    new.boards.iter().filter(same).find(equal)
                })
                .or(named);
            let next = BoardId((new.boards.len() + boards.old.len()) as u32);
            let mut id = next;
            if let Some(new) = found {
                let now = tick(new.thickness.0);
                if (now - thickness).abs() < MEASURED_ANEW {
                    id = boards.new.get(&new.name).copied().unwrap_or(next);
                    boards.names.insert(board.name.clone(), new.name.clone());
                    if now != thickness {
                        boards.anew.insert(board.name.clone(), now);
                    }
                }
            }
            boards.old.insert(board.name.clone(), id);
        }
        boards
    }

    /// The number of a board of the old job, and what it measures where that was found anew.
    pub fn of_old(&self, name: &str) -> (BoardId, Option<Tick>) {
        (self.old.get(name).copied().unwrap_or(BoardId(u32::MAX)), self.anew.get(name).copied())
    }

    /// The number of a board of the new job.
    pub fn of_new(&self, name: &str) -> BoardId {
        self.new.get(name).copied().unwrap_or(BoardId(u32::MAX - 1))
    }
}

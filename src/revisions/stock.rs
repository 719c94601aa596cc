//! Boards and bands: areas, lengths, and whole sheets by area.

use super::assign::{Assigned, Source};
use super::boards::Boards;
use super::model::*;
use super::piece::{area, mm, tick};
use super::wood::Wood;
use super::work::*;
use crate::geometry::Face;
use crate::job::{Board, Job, Part};
use crate::values::{Figure, Mm};
use std::collections::{BTreeMap, BTreeSet};

#[derive(Clone, Copy, Default)]
struct Use {
    old: i128,
    new: i128,
    make: i128,
    aside: i128,
    /// Cut from old board already.
    used: i128,
}

/// Whether a new part is cut from new board.
fn is_made(assigned: &Assigned, n: usize) -> bool {
    !matches!(assigned.sources[n], Source::Piece(..)) && assigned.offers[n].is_none()
}

/// Boards that differ, or of which something is made or set aside.
pub(super) fn boards(
    old: &Job,
    new: &Job,
    boards: &Boards,
    cut: &[bool],
    assigned: &Assigned,
) -> Vec<BoardChange> {
    let mut uses: BTreeMap<String, Use> = BTreeMap::new();
    let now = |name: &str| boards.names.get(name).cloned().unwrap_or_else(|| name.to_string());
    for (o, part) in old.parts.iter().enumerate() {
        let used = uses.entry(now(&part.board)).or_default();
        let size = Wood::cut_area(part);
        used.old += size;
        if cut[o] {
            used.used += size;
            if assigned.goes[o].is_none() {
                used.aside += size;
            }
        }
    }
    for (n, part) in new.parts.iter().enumerate() {
        let used = uses.entry(part.board.clone()).or_default();
        let size = Wood::cut_area(part);
        used.new += size;
        if is_made(assigned, n) {
            used.make += size;
        }
    }
    let names: BTreeSet<String> =
        old.boards.iter().map(|b| now(&b.name)).chain(new.boards.iter().map(|b| b.name.clone())).collect();
    let mut list = Vec::new();
    for name in names {
        let was = old.boards.iter().find(|b| now(&b.name) == name);
        let is = new.boards.iter().find(|b| b.name == name);
        let used = uses.get(&name).copied().unwrap_or_default();
        let thick = |b: Option<&Board>| b.map(|b| b.thickness);
        let goes_on = was.is_some_and(|w| boards.names.contains_key(&w.name));
        let anew = goes_on && thick(was).map(|t| tick(t.0)) != thick(is).map(|t| tick(t.0));
        let change = BoardChange {
            old_thickness: thick(was),
            new_thickness: thick(is),
            measured_anew: anew,
            other: was.zip(is).map(|(a, b)| properties(a, b)).unwrap_or_default(),
            old_area: Figure(area(used.old)),
            new_area: Figure(area(used.new)),
            make: Figure(area(used.make)),
            set_aside: Figure(area(used.aside)),
            sheets: is.or(was).and_then(|b| sheets(b, used)),
            name,
        };
        // Where nothing is cut yet, making is no difference.
        let same_make = used.make == used.old - used.used && used.old == used.new && used.aside == 0;
        let differs = anew
            || change.old_thickness.is_some() != change.new_thickness.is_some()
            || change.old_thickness.map(|t| tick(t.0)) != change.new_thickness.map(|t| tick(t.0))
            || !change.other.is_empty()
            || !same_make;
        if differs {
            list.push(change);
        }
    }
    list
}

fn sheets(board: &Board, used: Use) -> Option<[u64; 2]> {
    let [a, b] = board.sheet?.map(|s| i128::from(tick(s.0)));
    let sheet = a.checked_mul(b).filter(|s| *s > 0)?;
    let whole = |area: i128| u64::try_from((area + sheet - 1) / sheet).unwrap_or(u64::MAX);
    Some([whole(used.old), whole(used.used + used.make)])
}

fn properties(a: &Board, b: &Board) -> Vec<String> {
    let mut list = Vec::new();
    let mut say = |differs: bool, name: &str| {
        if differs {
            list.push(name.to_string());
        }
    };
    let ticks = |t: Option<Mm>| t.map(|t| tick(t.0));
    let figure = |f: Option<Figure>| f.map(|f| tick(f.0));
    say(a.sheet.map(|s| s.map(|m| tick(m.0))) != b.sheet.map(|s| s.map(|m| tick(m.0))), "sheet");
    say(ticks(a.trim) != ticks(b.trim), "trim");
    say(figure(a.density) != figure(b.density), "density");
    say(figure(a.stiffness) != figure(b.stiffness), "stiffness");
    say(figure(a.shear) != figure(b.shear), "shear");
    say(figure(a.strength) != figure(b.strength), "strength");
    say(a.grain != b.grain, "grain");
    say(a.good_faces != b.good_faces, "good_faces");
    say(a.price != b.price, "price");
    say(a.description != b.description, "description");
    list
}

fn edge(part: &Part, face: Face) -> i128 {
    let other = part.axes.iter().find(|a| **a != face.axis() && **a != part.axes[2]);
    other.map_or(0, |a| i128::from(tick(part.size(*a))))
}

/// Bands of which another length is needed.
pub(super) fn bands(
    old: &Job,
    new: &Job,
    cut: &[bool],
    assigned: &Assigned,
    parts: &[PartChange],
) -> Vec<BandChange> {
    // Old, new, to be glued, and already glued.
    let mut lengths: BTreeMap<&str, [i128; 4]> = BTreeMap::new();
    for (o, part) in old.parts.iter().enumerate() {
        for (face, band) in &part.bands {
            let entry = lengths.entry(band).or_default();
            entry[0] += edge(part, *face);
            if cut[o] {
                entry[3] += edge(part, *face);
            }
        }
    }
    for (n, part) in new.parts.iter().enumerate() {
        let rework = parts.get(n).and_then(|c| c.rework.as_ref().or(c.offer.as_ref()));
        let made = is_made(assigned, n);
        for (face, band) in &part.bands {
            let entry = lengths.entry(band).or_default();
            entry[1] += edge(part, *face);
            let again = rework.is_some_and(|r| {
                r.works.iter().any(|w| matches!(w, Work::Band { face: f, .. } if f == face))
            });
            if made || again {
                entry[2] += edge(part, *face);
            }
        }
    }
    let length = |t: i128| mm(i64::try_from(t).unwrap_or(i64::MAX));
    lengths
        .into_iter()
        .filter(|(_, [old, new, glue, used])| old != new || *glue != old - used)
        .map(|(name, [old, new, glue, used])| BandChange {
            name: name.to_string(),
            old: length(old),
            new: length(new),
            glue: length(glue),
            buy: length((used + glue - old).max(0)),
        })
        .collect()
}

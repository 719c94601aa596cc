//! What differs besides the parts: boxes, items, figures that are given, warnings.

use super::model::*;
use super::pairing::Pairs;
use super::piece::{Block, ROUNDING, Tick, mm, tick};
use crate::job::{BoxEntry, Job, Message};
use crate::values::Mm;
use std::collections::{BTreeMap, BTreeSet};

fn far(a: [Tick; 3], b: [Tick; 3]) -> bool {
    (0..3).any(|i| (a[i] - b[i]).abs() > ROUNDING)
}

/// Boxes that differ.
pub(super) fn boxes(old: &Job, new: &Job, pairs: &Pairs) -> Vec<BoxChange> {
    let places = |job: &Job| -> BTreeMap<String, [Tick; 3]> {
        job.boxes.iter().map(|b| (b.path.clone(), Block::of(&b.place).lo)).collect()
    };
    let (old_corners, new_corners) = (places(old), places(new));
    // Counted from the box it stands in, else from the root.
    let corner = |b: &BoxEntry, corners: &BTreeMap<String, [Tick; 3]>| {
        let lo = Block::of(&b.place).lo;
        let from = b.within.as_ref().and_then(|w| corners.get(w)).copied().unwrap_or_default();
        [0, 1, 2].map(|i| lo[i] - from[i])
    };
    let old_of = pairs.old_paths(old, new);
    let mut list = Vec::new();
    let blank = BoxChange {
        old: None,
        new: None,
        pairing: None,
        retyped: None,
        resized: None,
        moved: None,
        mirrored: false,
        stands: None,
    };
    for (n, entry) in new.boxes.iter().enumerate() {
        let mut change = BoxChange { new: Some(entry.path.clone()), ..blank.clone() };
        let Some((o, how)) = pairs.old[n] else {
            list.push(change);
            continue;
        };
        let Some(was) = old.boxes.get(o) else { continue };
        change.old = Some(was.path.clone());
        change.pairing = Some(how);
        let (a, b) = (Block::of(&was.place).size(), Block::of(&entry.place).size());
        change.resized = far(a, b).then(|| [a.map(mm), b.map(mm)]);
        change.retyped =
            (was.type_name != entry.type_name).then(|| [was.type_name.clone(), entry.type_name.clone()]);
        let (a, b) = (corner(was, &old_corners), corner(entry, &new_corners));
        change.moved = far(a, b).then(|| [0, 1, 2].map(|i| mm(b[i] - a[i])));
        change.mirrored = was.mirrored != entry.mirrored;
        let stands = |b: &BoxEntry| b.within.clone().or_else(|| b.row.clone());
        let (a, b) = (stands(was), stands(entry));
        let renamed = b.as_deref().map(|p| old_of.get(p).copied().unwrap_or(p));
        change.stands = (a.as_deref() != renamed).then_some([a, b]);
        let plain = BoxChange {
            old: change.old.clone(),
            new: change.new.clone(),
            pairing: Some(how),
            ..blank.clone()
        };
        if change != plain || how != Pairing::Path {
            list.push(change);
        }
    }
    for (o, entry) in old.boxes.iter().enumerate() {
        if pairs.new[o].is_none() {
            list.push(BoxChange { old: Some(entry.path.clone()), ..blank.clone() });
        }
    }
    list
}

/// Items whose quantity differs.
pub(super) fn items(old: &Job, new: &Job) -> Vec<ItemChange> {
    let count = |job: &Job| -> BTreeMap<String, (u64, Option<String>)> {
        job.items.iter().map(|i| (i.name.clone(), (i.quantity, i.description.clone()))).collect()
    };
    let (a, b) = (count(old), count(new));
    let names: BTreeSet<&String> = a.keys().chain(b.keys()).collect();
    let change = |name: &String| {
        let (was, now) = (a.get(name), b.get(name));
        let quantity = |e: Option<&(u64, Option<String>)>| e.map_or(0, |e| e.0);
        let description = now.or(was).and_then(|e| e.1.clone());
        ItemChange { name: name.clone(), description, old: quantity(was), new: quantity(now) }
    };
    names.into_iter().map(change).filter(|c| c.old != c.new).collect()
}

/// Figures of the house, walls, obstacles and rows.
pub(super) fn figures(old: &Job, new: &Job) -> Vec<FigureChange> {
    let (a, b) = (given(old), given(new));
    let keys: BTreeSet<&(FigureOf, String, String)> = a.keys().chain(b.keys()).collect();
    let change = |key: &(FigureOf, String, String)| {
        let (was, now) = (a.get(key), b.get(key));
        let differs = match (was, now) {
            (Some(was), Some(now)) => !alike(was, now),
            _ => true,
        };
        differs.then(|| FigureChange {
            of: key.0,
            path: key.1.clone(),
            name: key.2.clone(),
            old: was.cloned(),
            new: now.cloned(),
        })
    };
    let all: Vec<FigureChange> = keys.into_iter().filter_map(change).collect();
    // Of a wall or row that is new or gone one line is enough.
    let whole: BTreeSet<(FigureOf, String)> =
        all.iter().filter(|c| c.name.is_empty()).map(|c| (c.of, c.path.clone())).collect();
    all.into_iter().filter(|c| c.name.is_empty() || !whole.contains(&(c.of, c.path.clone()))).collect()
}

fn alike(a: &Given, b: &Given) -> bool {
    match (a, b) {
        (Given::Lengths(a), Given::Lengths(b)) => {
            let same = |(a, b): (&Mm, &Mm)| (tick(a.0) - tick(b.0)).abs() <= ROUNDING;
            a.len() == b.len() && a.iter().zip(b).all(same)
        }
        (Given::Place(a), Given::Place(b)) => {
            let (a, b) = (Block::of(a), Block::of(b));
            !far(a.lo, b.lo) && !far(a.hi, b.hi)
        }
        (a, b) => a == b,
    }
}

fn given(job: &Job) -> BTreeMap<(FigureOf, String, String), Given> {
    let mut all = BTreeMap::new();
    let mut put = |of: FigureOf, path: &str, name: &str, value: Given| {
        all.insert((of, path.to_string(), name.to_string()), value);
    };
    let house = &job.house;
    put(FigureOf::House, "", "units", Given::Word(house.units.clone()));
    put(FigureOf::House, "", "step", Given::Lengths(vec![house.step]));
    put(FigureOf::House, "", "print", Given::Lengths(vec![house.print]));
    for (name, length) in &house.lengths {
        put(FigureOf::House, "", name, Given::Lengths(vec![*length]));
    }
    for wall in &job.walls {
        put(FigureOf::Wall, &wall.path, "", Given::Word(wall.type_name.clone()));
        for (name, lengths) in &wall.lengths {
            put(FigureOf::Wall, &wall.path, name, Given::Lengths(lengths.clone()));
        }
        for (name, word) in &wall.words {
            put(FigureOf::Wall, &wall.path, name, Given::Word(word.clone()));
        }
        put(FigureOf::Wall, &wall.path, "place", Given::Place(wall.place));
        for obstacle in &wall.obstacles {
            put(FigureOf::Obstacle, &obstacle.path, "", Given::Word(obstacle.type_name.clone()));
            put(FigureOf::Obstacle, &obstacle.path, "place", Given::Place(obstacle.place));
        }
    }
    for row in &job.rows {
        put(FigureOf::Row, &row.path, "", Given::Word(row.wall.clone()));
        put(FigureOf::Row, &row.path, "place", Given::Place(row.place));
        put(FigureOf::Row, &row.path, "standoff", Given::Lengths(vec![row.standoff]));
        let members = row.members.iter().map(|m| m.path.clone()).collect();
        put(FigureOf::Row, &row.path, "members", Given::Words(members));
        for (side, end) in ["left_end", "right_end"].into_iter().zip(&row.ends) {
            if let Some(end) = end {
                put(FigureOf::Row, &row.path, side, Given::Place(*end));
            }
        }
    }
    all
}

/// Warnings that are new or gone. Where they stand in the text does not count.
pub(super) fn messages(old: &Job, new: &Job) -> Vec<MessageChange> {
    type Key = (String, String, Vec<String>, Option<String>);
    let count = |job: &Job| -> BTreeMap<Key, usize> {
        let key = |m: &Message| (m.code.clone(), m.message.clone(), m.boxes.clone(), m.accepted.clone());
        let mut all = BTreeMap::new();
        for message in &job.messages {
            *all.entry(key(message)).or_default() += 1;
        }
        all
    };
    let (a, b) = (count(old), count(new));
    let mut list = Vec::new();
    for (side, other, is_new) in [(&b, &a, true), (&a, &b, false)] {
        for (key, n) in side {
            for _ in other.get(key).copied().unwrap_or(0)..*n {
                let (code, message, boxes, accepted) = key.clone();
                list.push(MessageChange { new: is_new, code, message, boxes, accepted });
            }
        }
    }
    list
}

/// Differences that are no work on parts and stand in no list. What follows from parts that differ, and would be
/// said of every change, is said only where no part and no box `differs`.
/// `boxes` are those that differ: what is only called otherwise with its box is no difference here.
pub(super) fn notes(old: &Job, new: &Job, differs: bool, boxes: &[BoxChange]) -> Vec<String> {
    let renamed = |b: &BoxChange| Some((b.old.clone()?, b.new.clone()?)).filter(|(a, z)| a != z);
    let renamed: Vec<(String, String)> = boxes.iter().filter_map(renamed).collect();
    fn text<T: serde::Serialize>(value: &T) -> String {
        serde_json::to_string(value).unwrap_or_default()
    }
    let mut notes = Vec::new();
    let mut say = |note: &str, a: String, b: String| {
        let same = a == b || !renamed.is_empty() && called(&a, &renamed) == called(&b, &[]);
        if !same {
            notes.push(note.to_string());
        }
    };
    say("What is set on parts (slides, hinges, feet) differs.", text(&old.mounts), text(&new.mounts));
    say("What moves, or how far, differs.", text(&old.moves), text(&new.moves));
    say("Loads that are borne differ.", text(&old.loads), text(&new.loads));
    say("What has to stay straight under a load differs.", text(&old.spans), text(&new.spans));
    say("What carries weight differs.", text(&old.bearings), text(&new.bearings));
    say("What rests on what differs.", text(&old.rests), text(&new.rests));
    say("Parts whose grain runs on from one to the next differ.", text(&old.matched), text(&new.matched));
    if !differs {
        let boxes = |j: &Job| {
            j.boxes
                .iter()
                .map(|b| (&b.path, &b.spaces, &b.description))
                .fold(String::new(), |all, b| all + &text(&b))
        };
        say("How parts are held together differs.", text(&old.fixes), text(&new.fixes));
        say("Spaces in boxes, or what boxes are, differ.", boxes(old), boxes(new));
        say("Which parts are each other's mirror image differs.", text(&old.pairs), text(&new.pairs));
        say("What bought items are for, or are, differs.", text(&old.items), text(&new.items));
        say("Bands differ.", text(&old.bands), text(&new.bands));
    }
    notes
}

/// The text of a list with the paths of renamed boxes as they are called now, in an order that no name decides.
fn called(text: &str, renamed: &[(String, String)]) -> String {
    fn walk(value: &mut serde_json::Value, renamed: &[(String, String)]) {
        match value {
            serde_json::Value::String(word) => {
                let rest =
                    |old: &str| word.strip_prefix(old).filter(|r| r.is_empty() || r.starts_with(['.', '/']));
                let longest =
                    renamed.iter().filter(|(old, _)| rest(old).is_some()).max_by_key(|(old, _)| old.len());
                if let Some((old, new)) = longest {
                    *word = format!("{new}{}", rest(old).unwrap_or_default());
                }
            }
            serde_json::Value::Array(all) => {
                all.iter_mut().for_each(|v| walk(v, renamed));
                // Names decide the order of lists; figures stand in one of their own.
                if !all.iter().any(serde_json::Value::is_number) {
                    all.sort_by_cached_key(ToString::to_string);
                }
            }
            serde_json::Value::Object(all) => all.values_mut().for_each(|v| walk(v, renamed)),
            _ => {}
        }
    }
    let mut value: serde_json::Value = serde_json::from_str(text).unwrap_or_default();
    walk(&mut value, renamed);
    value.to_string()
}

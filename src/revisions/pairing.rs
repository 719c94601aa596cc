//! Which box and which part of the old job is which of the new one.
//!
//! In this order: equal paths; what `was` says; the same name in a box that was itself paired under another path;
//! equal wood in an equal place, unique on both sides; equal wood, unique on both sides. What the text states
//! goes before what figures suggest.

use super::model::Pairing;
use super::piece::{Block, Tick};
use super::wood::{Key, Wood};
use crate::job::{BoxEntry, Job, Part, path_names};
use std::collections::BTreeMap;
use std::rc::Rc;

/// Pairs, by number in the new job, and back.
#[derive(Debug, Default)]
pub(super) struct Pairs {
    /// For each thing of the new job: the old one and how it was found.
    pub old: Vec<Option<(usize, Pairing)>>,
    /// For each thing of the old job: the new one.
    pub new: Vec<Option<usize>>,
}

impl Pairs {
    fn of(old: usize, new: usize) -> Pairs {
        Pairs { old: vec![None; new], new: vec![None; old] }
    }

    fn join(&mut self, old: usize, new: usize, how: Pairing) -> bool {
        match (self.new.get_mut(old), self.old.get_mut(new)) {
            (Some(n @ None), Some(o @ None)) => {
                (*n, *o) = (Some(new), Some((old, how)));
                true
            }
            _ => false,
        }
    }

    /// Of boxes: the old path of each new one that was paired.
    pub fn old_paths<'a>(&self, old: &'a Job, new: &'a Job) -> BTreeMap<&'a str, &'a str> {
        let path = |(b, pair): (&'a BoxEntry, &Option<(usize, Pairing)>)| {
            Some((b.path.as_str(), old.boxes.get((*pair)?.0)?.path.as_str()))
        };
        new.boxes.iter().zip(&self.old).filter_map(path).collect()
    }

    fn open_old(&self) -> impl Iterator<Item = usize> + '_ {
        self.new.iter().enumerate().filter(|(_, n)| n.is_none()).map(|(i, _)| i)
    }

    fn open_new(&self) -> impl Iterator<Item = usize> + '_ {
        self.old.iter().enumerate().filter(|(_, o)| o.is_none()).map(|(i, _)| i)
    }

    /// Joins what has a key that stands once on either side, among what is still open.
    fn join_unique<K: Ord>(
        &mut self,
        how: Pairing,
        mut old_key: impl FnMut(usize) -> Option<K>,
        mut new_key: impl FnMut(usize) -> Option<K>,
    ) -> bool {
        let mut sides: BTreeMap<K, [Vec<usize>; 2]> = BTreeMap::new();
        for i in self.open_old() {
            if let Some(key) = old_key(i) {
                sides.entry(key).or_default()[0].push(i);
            }
        }
        for i in self.open_new() {
            if let Some(key) = new_key(i) {
                sides.entry(key).or_default()[1].push(i);
            }
        }
        let mut joined = false;
        for [old, new] in sides.into_values() {
            if let ([o], [n]) = (&old[..], &new[..]) {
                joined |= self.join(*o, *n, how);
            }
        }
        joined
    }
}

/// The names of a path before its last one.
fn holder(path: &str) -> Option<&str> {
    let last = path_names(path).last().map_or(0, |l| l.len());
    path.get(..path.len().checked_sub(last + 1)?)
}

fn last_name(path: &str) -> &str {
    path_names(path).last().copied().unwrap_or(path)
}

/// Ways to read what `was` says: a path, one beside where it stands, either with the index of the new name.
fn earlier(was: &str, path: &str, beside: Option<&str>) -> Vec<String> {
    let index = last_name(path).find('[').map(|at| &last_name(path)[at..]);
    let mut ways = vec![was.to_string()];
    if let Some(beside) = beside {
        ways.push(format!("{beside}.{was}"));
    }
    if let Some(index) = index.filter(|_| !was.ends_with(']')) {
        let with: Vec<String> = ways.iter().map(|w| format!("{w}{index}")).collect();
        // Each piece of several has an earlier piece of its own.
        ways.splice(0..0, with);
    }
    ways
}

/// Pairs the boxes of two jobs, and the rows and walls whose paths theirs begin with.
pub(super) fn boxes(old: &Job, new: &Job, wood: &mut Wood) -> Pairs {
    let mut pairs = Pairs::of(old.boxes.len(), new.boxes.len());
    let paths: BTreeMap<&str, usize> =
        old.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), i)).collect();
    for (n, entry) in new.boxes.iter().enumerate() {
        if let Some(o) = paths.get(entry.path.as_str()) {
            pairs.join(*o, n, Pairing::Path);
        }
    }
    let holders = Holders::of(old, new);
    let by_name = |pairs: &mut Pairs| {
        for (n, entry) in new.boxes.iter().enumerate() {
            if pairs.old[n].is_some() {
                continue;
            }
            let beside = holder(&entry.path).map(|h| holders.old_path(h, old, new, pairs));
            let said = entry.was.as_deref().map(|w| earlier(w, &entry.path, beside.as_deref()));
            let said = said.into_iter().flatten().find_map(|w| paths.get(w.as_str()).copied());
            if let Some(o) = said
                && pairs.join(o, n, Pairing::Was)
            {
                continue;
            }
            let with = beside.map(|b| format!("{b}.{}", last_name(&entry.path)));
            if let Some(o) = with.and_then(|w| paths.get(w.as_str()).copied()) {
                pairs.join(o, n, Pairing::WithBox);
            }
        }
    };
    // Outer boxes stand before those within them, so that one round finds all that hangs on names.
    by_name(&mut pairs);
    if pairs.open_old().next().is_some() && pairs.open_new().next().is_some() {
        let old_built = built(old, &wood.old.clone(), &wood.old_places.clone(), wood);
        let new_built = built(new, &wood.new.clone(), &wood.new_places.clone(), wood);
        let place = |b: &BoxEntry| (b.root.clone(), Block::of(&b.place));
        let key = |list: &[BoxEntry], made: &[Rc<Made>], i: usize| {
            let (entry, made) = (list.get(i)?, made.get(i)?);
            (!made.is_empty())
                .then(|| (entry.type_name.clone(), Block::of(&entry.place).size(), made.clone()))
        };
        pairs.join_unique(
            Pairing::SamePlace,
            |i| Some((key(&old.boxes, &old_built, i)?, place(&old.boxes[i]))),
            |i| Some((key(&new.boxes, &new_built, i)?, place(&new.boxes[i]))),
        );
        by_name(&mut pairs);
        pairs.join_unique(
            Pairing::SameWood,
            |i| key(&old.boxes, &old_built, i),
            |i| key(&new.boxes, &new_built, i),
        );
        by_name(&mut pairs);
        // Resized as well as renamed: still of the same type and in the same place by its low corner.
        let shell =
            |b: &BoxEntry| (b.type_name.clone(), b.root.clone(), b.within.clone(), Block::of(&b.place).lo);
        pairs.join_unique(
            Pairing::SamePlace,
            |i| old.boxes.get(i).map(shell),
            |i| new.boxes.get(i).map(shell),
        );
        by_name(&mut pairs);
    }
    pairs
}

type Made = Vec<(Rc<Key>, Block)>;

/// What each box is made of, by figures.
fn built(job: &Job, classes: &[usize], places: &[Block], wood: &mut Wood) -> Vec<Rc<Made>> {
    let at: BTreeMap<&str, usize> = job.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), i)).collect();
    let mut made: Vec<Made> = vec![Vec::new(); job.boxes.len()];
    for ((part, class), place) in job.parts.iter().zip(classes).zip(places) {
        if let Some(list) = at.get(part.box_path.as_str()).and_then(|i| made.get_mut(*i)) {
            list.push((wood.key(*class), *place));
        }
    }
    made.into_iter()
        .map(|mut list| {
            list.sort();
            Rc::new(list)
        })
        .collect()
}

/// The old paths of what holds boxes: rows and walls; boxes are looked up in their own pairs.
struct Holders<'a> {
    other: BTreeMap<&'a str, &'a str>,
    new_boxes: BTreeMap<&'a str, usize>,
}

impl<'a> Holders<'a> {
    fn of(old: &'a Job, new: &'a Job) -> Holders<'a> {
        let mut other = BTreeMap::new();
        // A row or wall under another name: the one that is open on either side, of one place.
        let mut pair = |olds: Vec<(&'a str, Vec<Tick>)>, news: Vec<(&'a str, Vec<Tick>)>| {
            let gone: Vec<_> = olds.iter().filter(|o| news.iter().all(|n| n.0 != o.0)).collect();
            let come: Vec<_> = news.iter().filter(|n| olds.iter().all(|o| o.0 != n.0)).collect();
            for n in &come {
                let equal: Vec<_> = gone.iter().filter(|o| o.1 == n.1).collect();
                let unique = come.iter().filter(|c| c.1 == n.1).count() == 1;
                if let ([o], true) = (&equal[..], unique) {
                    other.insert(n.0, o.0);
                }
            }
        };
        let flat = |b: Block| b.lo.into_iter().chain(b.hi).collect::<Vec<Tick>>();
        let walls =
            |j: &'a Job| j.walls.iter().map(|w| (w.path.as_str(), flat(Block::of(&w.place)))).collect();
        let rows = |j: &'a Job| j.rows.iter().map(|r| (r.path.as_str(), flat(Block::of(&r.place)))).collect();
        pair(walls(old), walls(new));
        pair(rows(old), rows(new));
        let new_boxes = new.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), i)).collect();
        Holders { other, new_boxes }
    }

    fn old_path(&self, path: &str, old: &Job, new: &Job, pairs: &Pairs) -> String {
        let _ = new;
        let paired = self.new_boxes.get(path).and_then(|i| pairs.old.get(*i).copied().flatten());
        match paired.and_then(|(o, _)| old.boxes.get(o)) {
            Some(entry) => entry.path.clone(),
            None => self.other.get(path).copied().unwrap_or(path).to_string(),
        }
    }
}

/// Pairs the parts of two jobs.
pub(super) fn parts(old: &Job, new: &Job, boxes: &Pairs, wood: &mut Wood) -> Pairs {
    let mut pairs = Pairs::of(old.parts.len(), new.parts.len());
    // Both lists are in the order of their paths; a map would take longer than all else.
    let paths: BTreeMap<&str, usize> =
        old.parts.iter().enumerate().map(|(i, p)| (p.path.as_str(), i)).collect();
    for (n, part) in new.parts.iter().enumerate() {
        if let Some(o) = paths.get(part.path.as_str()) {
            pairs.join(*o, n, Pairing::Path);
        }
    }
    if pairs.open_new().next().is_none() || pairs.open_old().next().is_none() {
        return pairs;
    }
    let old_boxes: BTreeMap<&str, usize> =
        old.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), i)).collect();
    let new_boxes: BTreeMap<&str, usize> =
        new.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), i)).collect();
    let old_box = |part: &Part| {
        let paired = new_boxes.get(part.box_path.as_str()).and_then(|i| boxes.old.get(*i).copied().flatten());
        paired.map(|p| p.0)
    };
    for n in pairs.open_new().collect::<Vec<_>>() {
        let part = &new.parts[n];
        let own = part.path.strip_prefix(part.box_path.as_str()).and_then(|r| r.strip_prefix('.'));
        let beside = old_box(part).and_then(|o| old.boxes.get(o)).map(|b| b.path.as_str());
        let said = part.was.as_deref().map(|w| earlier(w, &part.path, beside));
        if let Some(o) = said.into_iter().flatten().find_map(|w| paths.get(w.as_str()).copied())
            && pairs.join(o, n, Pairing::Was)
        {
            continue;
        }
        let with = beside.zip(own).map(|(b, own)| format!("{b}.{own}"));
        if let Some(o) = with.and_then(|w| paths.get(w.as_str()).copied()) {
            pairs.join(o, n, Pairing::WithBox);
        }
    }
    // The same wood in the same box, then in the same place of a root, then anywhere.
    let keys = |wood: &mut Wood, classes: &[usize], open: Vec<usize>| -> BTreeMap<usize, Rc<Key>> {
        open.into_iter().filter_map(|i| Some((i, wood.key(*classes.get(i)?)))).collect()
    };
    let (old_classes, new_classes) = (wood.old.clone(), wood.new.clone());
    let old_keys = keys(wood, &old_classes, pairs.open_old().collect());
    let new_keys = keys(wood, &new_classes, pairs.open_new().collect());
    let (old_places, new_places) = (&wood.old_places, &wood.new_places);
    pairs.join_unique(
        Pairing::SamePlace,
        |i| {
            Some((
                old_keys.get(&i)?.clone(),
                old_boxes.get(old.parts[i].box_path.as_str()).copied()?,
                old_places.get(i)?,
            ))
        },
        |i| Some((new_keys.get(&i)?.clone(), old_box(&new.parts[i])?, new_places.get(i)?)),
    );
    pairs.join_unique(
        Pairing::SamePlace,
        |i| Some((old_keys.get(&i)?.clone(), &old.parts[i].root, Block::of(&old.parts[i].place))),
        |i| Some((new_keys.get(&i)?.clone(), &new.parts[i].root, Block::of(&new.parts[i].place))),
    );
    pairs.join_unique(Pairing::SameWood, |i| old_keys.get(&i).cloned(), |i| new_keys.get(&i).cloned());
    pairs
}

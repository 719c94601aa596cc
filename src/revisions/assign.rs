//! Which old piece becomes which new part, each piece being promised once.
//!
//! A part keeps its own piece where that needs no work. A piece that its own part cannot use goes, as it is, to a
//! part that is equal to it; and a part that would have to rework its own piece takes an equal one that is free,
//! which frees its own in turn. Then own pieces are reworked; what is left over is offered to parts that would
//! have to be made new, the least waste first.

use super::pairing::Pairs;
use super::piece::Tick;
use super::rework::{Fault, Fit};
use super::wood::{Class, Key, Wood};
use std::collections::{BTreeMap, VecDeque};
use std::rc::Rc;

/// Leftover pieces looked at for one distinct part: the smallest that are large enough.
const CANDIDATES: usize = 8;
/// Leftover pieces looked at in all, so that a large design that changes throughout stays quick.
const ALL_CANDIDATES: usize = 4000;
/// A leftover piece that takes longer than this, in minutes, is no offer: a new piece is made sooner. Our
/// judgement, no source.
const MOST_EFFORT: u32 = 60;

/// What a new part is made of.
#[derive(Clone, Debug)]
pub(super) enum Source {
    /// Its own old piece, or an equal one of another part.
    Piece(usize, Rc<Result<Fit, Vec<Fault>>>),
    /// Cut anew; its own old piece will not do.
    Remake(Rc<Result<Fit, Vec<Fault>>>),
    /// Its own piece is not cut yet.
    Uncut,
    /// There was no such part.
    New,
}

#[derive(Debug)]
pub(super) struct Assigned {
    /// For each new part.
    pub sources: Vec<Source>,
    /// A leftover piece that it could be made of.
    pub offers: Vec<Option<(usize, Rc<Fit>)>>,
    /// For each old part: the new part that uses its piece.
    pub goes: Vec<Option<usize>>,
}

fn fit_of(outcome: &Result<Fit, Vec<Fault>>) -> Option<&Fit> {
    outcome.as_ref().ok()
}

fn is_idle(outcome: &Result<Fit, Vec<Fault>>) -> bool {
    fit_of(outcome).is_some_and(|f| f.tasks.is_empty())
}

/// Works it out. `cut` says of each old part whether it is cut.
pub(super) fn assign(pairs: &Pairs, cut: &[bool], wood: &mut Wood) -> Assigned {
    let (olds, news) = (pairs.new.len(), pairs.old.len());
    let is_cut = |o: usize| cut.get(o).copied().unwrap_or(false);
    let mut done =
        Assigned { sources: vec![Source::New; news], offers: vec![None; news], goes: vec![None; olds] };
    // Of each new part that does not keep its piece as it is: how much it wants another, 0 the most.
    let mut wants: Vec<(u8, usize)> = Vec::new();
    let mut free: Vec<usize> = (0..olds).filter(|o| pairs.new[*o].is_none() && is_cut(*o)).collect();
    for n in 0..news {
        match pairs.old[n] {
            None => wants.push((0, n)),
            Some((o, _)) if !is_cut(o) => {
                done.sources[n] = Source::Uncut;
                wants.push((2, n));
            }
            Some((o, _)) => {
                let outcome = wood.outcome(wood.old[o], wood.new[n]);
                if fit_of(&outcome).is_some() {
                    if !is_idle(&outcome) {
                        wants.push((1, n));
                    }
                    done.goes[o] = Some(n);
                    done.sources[n] = Source::Piece(o, outcome);
                } else {
                    done.sources[n] = Source::Remake(outcome);
                    wants.push((0, n));
                    free.push(o);
                }
            }
        }
    }
    free.sort_unstable();
    wants.sort_unstable();
    if free.is_empty() || wants.is_empty() {
        return done;
    }
    let free = exchange(free, &wants, &mut done, wood);
    let open: Vec<usize> = wants
        .into_iter()
        .map(|w| w.1)
        .filter(|n| !matches!(done.sources[*n], Source::Piece(..)))
        // What is not cut yet and stays as it is needs no other piece.
        .filter(|n| match (&done.sources[*n], pairs.old[*n]) {
            (Source::Uncut, Some((o, _))) => !is_idle(&wood.outcome(wood.old[o], wood.new[*n])),
            _ => true,
        })
        .collect();
    offer(free, open, &mut done, wood);
    done
}

/// Equal pieces to who needs them; what is free after that.
fn exchange(free: Vec<usize>, wants: &[(u8, usize)], done: &mut Assigned, wood: &mut Wood) -> Vec<usize> {
    let mut waiting: BTreeMap<Rc<Key>, VecDeque<usize>> = BTreeMap::new();
    for (_, n) in wants {
        waiting.entry(wood.key(wood.new[*n])).or_default().push_back(*n);
    }
    let mut left = Vec::new();
    let mut released: VecDeque<usize> = free.into();
    while let Some(o) = released.pop_front() {
        let key = wood.key(wood.old[o]);
        let mut taken = false;
        if let Some(list) = waiting.get_mut(&key)
            && let Some(n) = list.front().copied()
        {
            let outcome = wood.outcome(wood.old[o], wood.new[n]);
            if is_idle(&outcome) {
                list.pop_front();
                if let Source::Piece(own, _) = done.sources[n] {
                    done.goes[own] = None;
                    released.push_back(own);
                }
                done.goes[o] = Some(n);
                done.sources[n] = Source::Piece(o, outcome);
                taken = true;
            }
        }
        if !taken {
            left.push(o);
        }
    }
    left.sort_unstable();
    left
}

/// Leftover pieces to parts that would be made new.
fn offer(free: Vec<usize>, open: Vec<usize>, done: &mut Assigned, wood: &mut Wood) {
    let mut stock: BTreeMap<Class, VecDeque<usize>> = BTreeMap::new();
    for o in free {
        stock.entry(wood.old[o]).or_default().push_back(o);
    }
    let mut needed: BTreeMap<Class, VecDeque<usize>> = BTreeMap::new();
    for n in open {
        needed.entry(wood.new[n]).or_default().push_back(n);
    }
    let surface = |wood: &Wood, class: Class| -> i128 {
        let Some(p) = wood.pieces.get(class) else { return 0 };
        let [l, w, _] = p.axes;
        i128::from(p.size[l]) * i128::from(p.size[w])
    };
    let mut by_size: BTreeMap<(u32, usize), Vec<(i128, Class)>> = BTreeMap::new();
    let board = |wood: &Wood, class: Class| wood.pieces.get(class).map_or((0, 0), |p| (p.board.0, 0));
    for class in stock.keys() {
        by_size.entry(board(wood, *class)).or_default().push((surface(wood, *class), *class));
    }
    for list in by_size.values_mut() {
        list.sort_unstable();
    }
    let mut tried = 0;
    let mut ways: Vec<(i128, u32, usize, usize, Class, Class)> = Vec::new();
    let mut fits: BTreeMap<(Class, Class), Rc<Fit>> = BTreeMap::new();
    let mut classes: Vec<(i128, Class)> = needed.keys().map(|c| (surface(wood, *c), *c)).collect();
    classes.sort_unstable_by(|a, b| b.cmp(a));
    for (size, to) in classes {
        let Some(list) = by_size.get(&board(wood, to)) else { continue };
        // Half a per cent less, for bands that make a part larger than its wood.
        let start = list.partition_point(|l| l.0 < size - size / 200);
        let mut looked = 0;
        for (_, from) in list[start..].iter() {
            if looked == CANDIDATES || tried == ALL_CANDIDATES {
                break;
            }
            if !large_enough(wood, *from, to) {
                continue;
            }
            looked += 1;
            tried += 1;
            if let Some(fit) = wood.quick(*from, to, MOST_EFFORT) {
                let first = |map: &BTreeMap<Class, VecDeque<usize>>, c: Class| {
                    map.get(&c).and_then(|l| l.front().copied())
                };
                if let (Some(n), Some(o)) = (first(&needed, to), first(&stock, *from)) {
                    ways.push((fit.waste, fit.effort, n, o, to, *from));
                    fits.insert((*from, to), Rc::new(fit));
                }
            }
        }
    }
    ways.sort_unstable();
    for (_, _, _, _, to, from) in ways {
        while let (Some(list), Some(pieces)) = (needed.get_mut(&to), stock.get_mut(&from)) {
            let (Some(n), Some(o)) = (list.front().copied(), pieces.front().copied()) else { break };
            list.pop_front();
            pieces.pop_front();
            done.goes[o] = Some(n);
            done.offers[n] = fits.get(&(from, to)).map(|fit| (o, fit.clone()));
        }
    }
}

/// A quick look before all else: neither side is shorter by more than bands could make up.
fn large_enough(wood: &Wood, from: Class, to: Class) -> bool {
    const BANDS: Tick = 10 * super::piece::MM;
    let (Some(a), Some(b)) = (wood.pieces.get(from), wood.pieces.get(to)) else { return false };
    let of = |p: &super::piece::Piece| [p.size[p.axes[0]], p.size[p.axes[1]]];
    let (mut a_size, mut b_size) = (of(a), of(b));
    if !b.grain {
        a_size.sort_unstable();
        b_size.sort_unstable();
    }
    a_size[0] + BANDS >= b_size[0] && a_size[1] + BANDS >= b_size[1]
}

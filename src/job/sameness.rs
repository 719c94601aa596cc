//! Which parts are one and the same piece, and which are each other's mirror image.
//!
//! A part is written as a list of its features in a frame of its own (length, width, thickness, of
//! the same hand as the job's). Every rotation that lays its cuboid onto itself gives the list another
//! order and other figures; the least of these lists is the part's key. Parts with equal keys are the
//! same; where the least list over the reflections equals another's key, the two are a pair.

use super::{Axis, Bored, Cuboid, Face, Grain, Part};
use crate::values::Rational;
use num_integer::Integer;
use std::collections::{BTreeMap, BTreeSet};

/// Parts put together by sameness. Numbers index the parts handed in.
#[derive(Debug, Default)]
pub struct Groups {
    /// Each with its parts in the order of their paths; the groups in the order of their first.
    pub groups: Vec<Vec<usize>>,
    /// Groups that are each other's mirror image, the one with the earlier path first.
    pub pairs: Vec<(usize, usize)>,
}

/// Puts equal parts together. Cuts, bevels, bench holes, bands, grain and good face count; bores in
/// place, purposes, names of joints and the face of a plain through hole do not.
pub fn group(parts: &[Part]) -> Groups {
    let mut order: Vec<usize> = (0..parts.len()).collect();
    order.sort_by(|a, b| super::path_order(&parts[*a].path, &parts[*b].path));
    let words = Words::of(parts);

    let mut out = Groups::default();
    let mut by_key: BTreeMap<Key, usize> = BTreeMap::new();
    let mut shapes: Vec<Option<Solid>> = Vec::new();
    for index in order {
        let solid = Solid::of(&parts[index], &words);
        let key = solid.as_ref().map(|s| s.key(&ROTATIONS));
        let known = key.as_ref().and_then(|k| by_key.get(k).copied());
        match known {
            Some(group) => out.groups[group].push(index),
            None => {
                if let Some(key) = key {
                    by_key.insert(key, out.groups.len());
                }
                out.groups.push(vec![index]);
                shapes.push(solid);
            }
        }
    }
    for (group, solid) in shapes.iter().enumerate() {
        let mirror = solid.as_ref().and_then(|s| by_key.get(&s.key(&REFLECTIONS)).copied());
        // Each pair is met twice, and a part with a symmetry of its own is its own mirror image.
        if let Some(other) = mirror.filter(|other| *other > group) {
            out.pairs.push((group, other));
        }
    }
    out
}

/// Numbers for the names of boards and bands.
struct Words<'a>(BTreeMap<&'a str, i64>);

impl<'a> Words<'a> {
    fn of(parts: &'a [Part]) -> Words<'a> {
        let names: BTreeSet<&str> = parts
            .iter()
            .flat_map(|p| p.bands.values().map(String::as_str).chain([p.board.as_str()]))
            .collect();
        Words(names.into_iter().zip(0..).collect())
    }

    fn number(&self, name: &str) -> i64 {
        self.0.get(name).copied().unwrap_or(-1)
    }
}

/// Swap length and width, then turn some axes round.
struct Turn {
    swap: bool,
    flip: [bool; 3],
}

const fn turn(swap: bool, l: bool, w: bool, t: bool) -> Turn {
    Turn { swap, flip: [l, w, t] }
}

/// The first four lay any board onto itself, all eight a square one without grain.
const ROTATIONS: [Turn; 8] = [
    turn(false, false, false, false),
    turn(false, false, true, true),
    turn(false, true, false, true),
    turn(false, true, true, false),
    turn(true, true, false, false),
    turn(true, false, true, false),
    turn(true, false, false, true),
    turn(true, true, true, true),
];

/// The same, seen in a mirror.
const REFLECTIONS: [Turn; 8] = [
    turn(false, true, false, false),
    turn(false, false, true, false),
    turn(false, false, false, true),
    turn(false, true, true, true),
    turn(true, false, false, false),
    turn(true, true, true, false),
    turn(true, true, false, true),
    turn(true, false, true, true),
];

/// A face (axis × 2, one more at the high end), an axis (6 + axis), or nothing.
type Side = u8;
const NOWHERE: Side = 9;

#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
enum What {
    Hole,
    Step,
    Cut,
    Bevel,
    Band,
    GoodFace,
}

/// One thing about a part, with its extents on length, width and thickness.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Feature {
    what: What,
    face: Side,
    other: Side,
    /// The number of a band; 1 for a hole that goes through.
    word: i64,
    spans: [(i64, i64); 3],
    figures: [i64; 3],
}

impl Feature {
    fn turned(&self, turn: &Turn, sizes: &[i64; 3]) -> Feature {
        let from = if turn.swap { [1, 0, 2] } else { [0, 1, 2] };
        let mut spans = self.spans;
        for (axis, span) in spans.iter_mut().enumerate() {
            let (lo, hi) = self.spans[from[axis]];
            let size = sizes[from[axis]];
            *span = if turn.flip[axis] { (size - hi, size - lo) } else { (lo, hi) };
        }
        Feature { face: side(self.face, turn), other: side(self.other, turn), spans, ..*self }
    }
}

fn side(side: Side, turn: &Turn) -> Side {
    // Length and width change places; the thickness stays.
    let swapped = |axis: Side| if turn.swap && axis < 2 { 1 - axis } else { axis };
    match side {
        0..=5 => {
            let axis = swapped(side / 2);
            axis * 2 + ((side % 2) ^ Side::from(turn.flip[axis as usize]))
        }
        6..=8 => 6 + swapped(side - 6),
        _ => side,
    }
}

#[derive(PartialEq, Eq, PartialOrd, Ord, Debug)]
struct Key {
    head: [i64; 6],
    features: Vec<Feature>,
}

/// A part in whole ticks of one unit.
struct Solid {
    head: [i64; 6],
    sizes: [i64; 3],
    features: Vec<Feature>,
    turns: usize,
}

impl Solid {
    /// `None` where the figures are too large to write so; such a part is equal to itself only.
    fn of(part: &Part, words: &Words<'_>) -> Option<Solid> {
        let mut axes = part.axes;
        // Without grain, length is only the longer side.
        if part.grain == Grain::None && part.length < part.width {
            axes.swap(0, 1);
        }
        let unit = denominator(part)?;
        let frame = Frame { own: &part.own, axes, unit };
        let sizes = [0, 1, 2].map(|i| frame.tick(part.size(axes[i])));
        let mut sizes = [sizes[0]?, sizes[1]?, sizes[2]?];
        let mut features = frame.features(part, &sizes, words)?;

        // The finest unit that the figures need, wherever in its box the part lies.
        let mut common = unit;
        let figures = features
            .iter_mut()
            .flat_map(|f| f.spans.iter_mut().flat_map(|(a, b)| [a, b]).chain(&mut f.figures));
        let all: Vec<&mut i64> = sizes.iter_mut().chain(figures).collect();
        for value in &all {
            if common == 1 {
                break;
            }
            common = common.gcd(value);
        }
        if common > 1 {
            for value in all {
                *value /= common;
            }
        }
        // The frame (length, width, thickness) must be of the same hand as (x, y, z).
        if is_odd(axes) {
            let turn = turn(false, false, false, true);
            features = features.iter().map(|f| f.turned(&turn, &sizes)).collect();
        }
        let grain = part.grain != Grain::None;
        let turns = if !grain && sizes[0] == sizes[1] { 8 } else { 4 };
        let head = [
            words.number(&part.board),
            sizes[0],
            sizes[1],
            sizes[2],
            unit / common,
            i64::from(grain) + 2 * i64::from(part.grain == Grain::Width),
        ];
        Some(Solid { head, sizes, features, turns })
    }

    fn key(&self, turns: &[Turn; 8]) -> Key {
        let mut least: Option<Vec<Feature>> = None;
        for turn in &turns[..self.turns] {
            let mut list: Vec<Feature> = self.features.iter().map(|f| f.turned(turn, &self.sizes)).collect();
            list.sort_unstable();
            if least.as_ref().is_none_or(|l| list < *l) {
                least = Some(list);
            }
        }
        Key { head: self.head, features: least.unwrap_or_default() }
    }
}

fn is_odd(axes: [Axis; 3]) -> bool {
    matches!(axes, [Axis::X, Axis::Z, Axis::Y] | [Axis::Z, Axis::Y, Axis::X] | [Axis::Y, Axis::X, Axis::Z])
}

/// The least common denominator of every figure of a part that counts.
fn denominator(part: &Part) -> Option<i64> {
    let mut unit: i64 = 1;
    let mut take = |value: Rational| -> Option<()> {
        let d = i64::try_from(value.denominator()).ok()?;
        if unit % d != 0 {
            unit = unit.checked_mul(d / unit.gcd(&d))?;
        }
        Some(())
    };
    let cuboid = |c: &Cuboid| [c.x.lo, c.x.hi, c.y.lo, c.y.hi, c.z.lo, c.z.hi];
    for value in cuboid(&part.own) {
        take(value)?;
    }
    for value in [part.length.0, part.width.0, part.thickness.0] {
        take(value)?;
    }
    for cut in &part.cuts {
        for value in cuboid(&cut.cuboid).into_iter().chain(cut.dia.map(|d| d.0)) {
            take(value)?;
        }
    }
    for hole in &part.holes {
        let steps = hole.profile.iter().flat_map(|s| [s.dia.0, s.end_dia.0, s.depth.0]);
        for value in [hole.at.mm[0].0, hole.at.mm[1].0, hole.dia.0, hole.depth.0].into_iter().chain(steps) {
            take(value)?;
        }
    }
    for bevel in &part.bevels {
        take(bevel.rise.0)?;
        take(bevel.run.0)?;
    }
    Some(unit)
}

struct Frame<'a> {
    own: &'a Cuboid,
    axes: [Axis; 3],
    unit: i64,
}

impl Frame<'_> {
    fn tick(&self, value: Rational) -> Option<i64> {
        let scale = i128::from(self.unit) / value.denominator();
        let ticks = i64::try_from(value.numerator().checked_mul(scale)?).ok()?;
        // Room for the sums and differences that follow.
        (ticks.abs() < i64::MAX / 8).then_some(ticks)
    }

    fn index(&self, axis: Axis) -> usize {
        self.axes.iter().position(|a| *a == axis).unwrap_or(2)
    }

    fn face(&self, face: Face) -> Side {
        self.index(face.axis()) as Side * 2 + Side::from(face.is_high())
    }

    fn features(&self, part: &Part, sizes: &[i64; 3], words: &Words<'_>) -> Option<Vec<Feature>> {
        let whole = sizes.map(|s| (0, s));
        let mut out = Vec::with_capacity(part.holes.len() + part.cuts.len() + 4);
        for hole in part.holes.iter().filter(|h| h.bored == Bored::Bench) {
            let mut spans = whole;
            for (edge, mm) in hole.at.from.iter().zip(hole.at.mm) {
                let axis = self.index(edge.axis());
                let mm = self.tick(mm.0)?;
                let at = if edge.is_high() { sizes[axis] - mm } else { mm };
                spans[axis] = (at, at);
            }
            let plain = hole.through && hole.profile.is_empty();
            let face = if plain { 6 + self.index(hole.face.axis()) as Side } else { self.face(hole.face) };
            let depth = if hole.through { 0 } else { self.tick(hole.depth.0)? };
            let figures = [self.tick(hole.dia.0)?, depth, 0];
            let word = i64::from(hole.through);
            out.push(Feature { what: What::Hole, face, other: NOWHERE, word, spans, figures });
            for step in &hole.profile {
                let figures = [self.tick(step.dia.0)?, self.tick(step.end_dia.0)?, self.tick(step.depth.0)?];
                out.push(Feature { what: What::Step, face, other: NOWHERE, word: 0, spans, figures });
            }
        }
        for cut in &part.cuts {
            let mut spans = whole;
            for (axis, span) in self.axes.into_iter().zip(&mut spans) {
                let (own, cut) = (self.own.on(axis), cut.cuboid.on(axis));
                let lo = self.tick(cut.lo.max(own.lo))? - self.tick(own.lo)?;
                let hi = self.tick(cut.hi.min(own.hi))? - self.tick(own.lo)?;
                *span = (lo, hi);
            }
            let axis = self.index(cut.face.axis());
            // What goes right through looks the same from either face.
            let face = if spans[axis] == whole[axis] { 6 + axis as Side } else { self.face(cut.face) };
            let other = cut.along.map_or(NOWHERE, |a| 6 + self.index(a) as Side);
            let dia = match cut.dia {
                Some(dia) => self.tick(dia.0)?,
                None => 0,
            };
            out.push(Feature { what: What::Cut, face, other, word: 0, spans, figures: [dia, 0, 0] });
        }
        for bevel in &part.bevels {
            let figures = [self.tick(bevel.rise.0)?, self.tick(bevel.run.0)?, 0];
            let (face, other) = (self.face(bevel.face), self.face(bevel.long_side));
            out.push(Feature { what: What::Bevel, face, other, word: 0, spans: whole, figures });
        }
        for (edge, band) in &part.bands {
            let (face, word) = (self.face(*edge), words.number(band));
            out.push(Feature { what: What::Band, face, other: NOWHERE, word, spans: whole, figures: [0; 3] });
        }
        if let Some(face) = part.good_face {
            let (face, what) = (self.face(face), What::GoodFace);
            out.push(Feature { what, face, other: NOWHERE, word: 0, spans: whole, figures: [0; 3] });
        }
        Some(out)
    }
}

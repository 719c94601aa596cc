//! Which figure stands on which chain, and which holes a centre line joins.

use super::bench::Side;
use super::cuts::CutTick;
use super::entry::from_low;
use super::view::Page;
use crate::geometry::Axis;
use crate::job::{Hole, Numbered};
use crate::outputs::drawing::chain::{Run, Tick};
use crate::outputs::drawing::symbol::Symbol;
use crate::values::Rational;
use std::collections::{BTreeMap, BTreeSet};

/// Between a symbol or the outline and its extension line, in mm.
const OFF: f64 = 0.8;

/// What is to be measured on a page.
pub struct Ground<'g, 'a> {
    pub page: &'g Page<'a>,
    pub size: (f64, f64),
    pub points: Vec<(&'a Hole, Symbol, Option<Side>)>,
    pub cut_ticks: &'g [CutTick],
    /// Paper place of distances from the low ends of the two axes.
    pub place: &'g dyn Fn(f64, f64) -> (f64, f64),
}

/// Centre lines, and for each side its ticks and dense rows.
#[derive(Default)]
pub struct Planned {
    pub centre_lines: Vec<((f64, f64), (f64, f64))>,
    pub sides: Vec<(Side, Vec<Tick>, Vec<Run>)>,
}

/// One measured place on a chain before ticks are made: extent of the symbols that share it, across.
#[derive(Clone, Debug)]
struct Mark {
    at: f64,
    lo: f64,
    hi: f64,
    reach: f64,
    outline: bool,
}

type Marks = BTreeMap<Rational, Mark>;

fn add(marks: &mut Marks, value: Rational, at: f64, across: (f64, f64), outline: bool) {
    let (position, reach) = across;
    let mark = marks.entry(value).or_insert(Mark { at, lo: position, hi: position, reach, outline });
    if mark.outline && !outline {
        // A hole is nearer to what is measured than the outline.
        *mark = Mark { at, lo: position, hi: position, reach, outline };
    } else if mark.outline == outline {
        mark.lo = mark.lo.min(position);
        mark.hi = mark.hi.max(position);
        mark.reach = mark.reach.max(reach);
    }
}

/// True where a hole's figure along an axis stands inside a dense row, which has its own.
fn inside_row(page: &Page, hole: &Hole, axis: Axis) -> bool {
    let all = page.own.iter().chain(page.folded.iter().flat_map(|(_, e)| e));
    all.filter(|e| e.row.is_some_and(|(running, _)| runs_along(e, running) == Some(axis))).any(|e| {
        let end = |h: Option<&Hole>| h.is_some_and(|h| h.id == hole.id);
        !end(e.first()) && !end(e.last()) && e.holes.iter().any(|h| h.id == hole.id)
    })
}

fn runs_along(entry: &Numbered, running: usize) -> Option<Axis> {
    entry.first().and_then(|h| h.at.from.get(running)).map(|edge| edge.axis())
}

fn value(page: &Page, hole: &Hole, axis: Axis) -> Option<Rational> {
    from_low(page.part, hole).iter().find(|(a, _)| *a == axis).map(|(_, mm)| *mm)
}

/// Plans chains and centre lines of a page.
pub fn plan(ground: &Ground) -> Planned {
    let mut planned = Planned::default();
    let page = ground.page;
    let (width, depth) = ground.size;
    let bench = &page.bench;
    let datum_side = if bench.turned { Side::Right } else { Side::Left };
    let far_upright = if bench.turned { Side::Left } else { Side::Right };

    // Rows across the paper are measured on the upright chain.
    let mut upright: BTreeMap<Side, Marks> = BTreeMap::new();
    let mut level: BTreeMap<Side, Marks> = BTreeMap::new();
    let mut beyond: Vec<(Rational, f64, (f64, f64))> = Vec::new();
    for (hole, symbol, edge) in &ground.points {
        if !edge.is_some_and(|s| !s.is_upright())
            && let Some(v) = value(page, hole, bench.away)
            && !inside_row(page, hole, bench.away)
        {
            let across = (symbol.x, symbol.reach());
            if *edge == Some(far_upright) {
                beyond.push((v, symbol.y, across));
            } else {
                add(upright.entry(datum_side).or_default(), v, symbol.y, across, false);
            }
        }
        if !edge.is_some_and(Side::is_upright)
            && let Some(u) = value(page, hole, bench.across)
            && !inside_row(page, hole, bench.across)
        {
            let side = edge.unwrap_or_else(|| side_of(ground, hole, symbol, depth));
            add(level.entry(side).or_default(), u, symbol.x, (symbol.y, symbol.reach()), false);
        }
    }
    // Edges on the far side need a chain of their own only where the near one lacks a figure.
    let known: BTreeSet<Rational> =
        upright.get(&datum_side).map(|m| m.keys().copied().collect()).unwrap_or_default();
    if beyond.iter().any(|(v, _, _)| !known.contains(v)) {
        for (v, at, across) in beyond {
            add(upright.entry(far_upright).or_default(), v, at, across, false);
        }
    }
    for marks in upright.values() {
        for mark in marks.values() {
            if mark.hi - mark.lo > mark.reach {
                planned.centre_lines.push(((mark.lo, mark.at), (mark.hi, mark.at)));
            }
        }
    }
    for marks in level.values() {
        for mark in marks.values() {
            if mark.hi - mark.lo > mark.reach {
                planned.centre_lines.push(((mark.at, mark.lo), (mark.at, mark.hi)));
            }
        }
    }
    planned.centre_lines.extend(row_lines(ground));

    // Cuts, then overall sizes.
    let fewer = |level: &BTreeMap<Side, Marks>| {
        let count = |s| level.get(&s).map_or(0, Marks::len);
        if count(Side::Far) > 0 && count(Side::Far) < count(Side::Near) { Side::Far } else { Side::Near }
    };
    for tick in ground.cut_ticks {
        let (x, y) = (ground.place)(tick.low, tick.low);
        if tick.axis == bench.away {
            let marks = upright.entry(datum_side).or_default();
            add(marks, tick.value, y, (if bench.turned { width } else { 0.0 }, 0.0), true);
        } else {
            let side = fewer(&level);
            let edge = if side == Side::Near { depth } else { 0.0 };
            add(level.entry(side).or_default(), tick.value, x, (edge, 0.0), true);
        }
    }
    let part = page.part;
    let whole = |axis| part.size(axis);
    let (x, y) = (ground.place)(bench.width, bench.depth);
    add(
        upright.entry(datum_side).or_default(),
        whole(bench.away),
        y,
        (if bench.turned { width } else { 0.0 }, 0.0),
        true,
    );
    add(level.entry(Side::Near).or_default(), whole(bench.across), x, (depth, 0.0), true);

    for (side, marks) in upright.into_iter().chain(level) {
        let axis = if side.is_upright() { bench.away } else { bench.across };
        let ticks: Vec<Tick> = marks
            .iter()
            .filter(|(value, _)| !value.is_zero())
            .map(|(value, mark)| tick(page, side, *value, mark))
            .collect();
        let runs = runs(ground, side, axis, &marks);
        planned.sides.push((side, ticks, runs));
    }
    planned
}

fn tick(page: &Page, side: Side, value: Rational, mark: &Mark) -> Tick {
    let off = if mark.outline { OFF } else { mark.reach + OFF - 0.2 };
    let from = match side {
        Side::Left | Side::Far => mark.lo - off,
        Side::Right | Side::Near => mark.hi + off,
    };
    Tick { at: mark.at, figure: page.style.figure(value), from }
}

/// Near or far: the chain nearer to the hole, or to the end of the column it stands in.
fn side_of(ground: &Ground, hole: &Hole, symbol: &Symbol, depth: f64) -> Side {
    let page = ground.page;
    let key = |h: &Hole| (value(page, h, page.bench.across), h.dia.0, h.purposes.clone());
    let mine = key(hole);
    let mut column: Vec<f64> = ground
        .points
        .iter()
        .filter(|(h, _, edge)| edge.is_none() && key(h) == mine)
        .map(|(_, s, _)| s.y)
        .collect();
    column.sort_by(f64::total_cmp);
    // A column that is broken by a wide gap is two, each measured from its own edge.
    let wide = depth * 0.45;
    let mut group = vec![];
    for y in column {
        if let Some(last) = group.last()
            && y - last > wide
        {
            if symbol.y <= *last {
                break;
            }
            group.clear();
        }
        group.push(y);
    }
    let (lo, hi) = (group.first().copied().unwrap_or(symbol.y), group.last().copied().unwrap_or(symbol.y));
    if lo < depth - hi - 1e-6 { Side::Far } else { Side::Near }
}

/// Centre lines along dense rows.
fn row_lines(ground: &Ground) -> Vec<((f64, f64), (f64, f64))> {
    let page = ground.page;
    let all = page.own.iter().chain(page.folded.iter().flat_map(|(_, e)| e)).filter(|e| e.row.is_some());
    all.filter_map(|e| {
        let at = |h: &Hole| ground.points.iter().find(|(p, _, _)| p.id == h.id).map(|(_, s, _)| (s.x, s.y));
        Some((at(e.first()?)?, at(e.last()?)?))
    })
    .collect()
}

/// Dense rows whose ends are ticks of this chain.
fn runs(ground: &Ground, side: Side, axis: Axis, marks: &Marks) -> Vec<Run> {
    let page = ground.page;
    let mut seen: BTreeMap<(Rational, Rational), Run> = BTreeMap::new();
    for entry in page.own.iter().chain(page.folded.iter().flat_map(|(_, e)| e)) {
        let Some((running, pitch)) = entry.row else { continue };
        if runs_along(entry, running) != Some(axis) {
            continue;
        }
        let at = |h: &Hole| {
            ground
                .points
                .iter()
                .find(|(p, _, _)| p.id == h.id)
                .map(|(_, s, _)| if side.is_upright() { s.y } else { s.x })
        };
        let (Some(first), Some(last)) = (entry.first(), entry.last()) else { continue };
        let (Some(a), Some(b)) = (value(page, first, axis), value(page, last, axis)) else { continue };
        if !marks.contains_key(&a) || !marks.contains_key(&b) {
            continue;
        }
        let (Some(from), Some(to)) = (at(first), at(last)) else { continue };
        let steps = entry.holes.len().saturating_sub(1);
        let span = b.sub(a).and_then(Rational::abs).unwrap_or(b);
        let text = pitch_words(page, steps, pitch, span);
        let inner = entry.holes.iter().skip(1).take(steps.saturating_sub(1));
        let between = inner.filter_map(|h| at(h)).collect();
        seen.entry((a, b)).or_insert(Run { from, to, text, between });
    }
    seen.into_values().collect()
}

/// `14 × 32 = 448`; where the printed pitch would not add up to the printed span, `14 equal steps = …`.
fn pitch_words(page: &Page, steps: usize, pitch: Rational, span: Rational) -> String {
    let style = page.style;
    let count = i64::try_from(steps).map_or(Rational::ZERO, Rational::int);
    let adds_up = style.round(pitch).and_then(|p| p.mul(count)).ok() == style.round(span).ok();
    if adds_up {
        format!("{steps} × {} = {}", style.figure(pitch), style.figure(span))
    } else {
        format!("{steps} equal steps = {}", style.figure(span))
    }
}

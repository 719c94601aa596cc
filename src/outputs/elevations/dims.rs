//! Overall and opening dimensions of the three views.

use super::solid::{SAME, Solid};
use super::view::View;
use crate::geometry::Axis;
use crate::job::BoxEntry;
use crate::outputs::drawing::canvas::Canvas;
use crate::outputs::drawing::chain::{Chain, Clear, Tick};
use crate::outputs::drawing::float;
use crate::values::{Rational, Style};
use std::collections::BTreeSet;

/// Between the outline and the lines of openings and of running dimensions, in mm.
const FIRST: f64 = 6.0;
const SECOND: f64 = 12.0;
/// Between the outline and an extension line.
const OFF: f64 = 0.8;

/// Where the section cuts: the middle, unless an upright part stands there or close by.
pub fn plane(entry: &BoxEntry, solids: &[Solid]) -> f64 {
    let (lo, hi) = (float(entry.place.x.lo), float(entry.place.x.hi));
    let width = hi - lo;
    let upright: Vec<(f64, f64)> =
        solids.iter().filter(|s| s.own && s.thin() == Axis::X).map(|s| s.on(Axis::X)).collect();
    let clear = |x: f64| upright.iter().all(|(a, b)| x < *a - SAME || x > *b + SAME);
    // Between two fronts a section would cut nothing.
    let near_end = |x: f64| {
        solids.iter().any(|s| {
            let (a, b) = s.on(Axis::X);
            (x - a).abs() < 4.0 || (x - b).abs() < 4.0
        })
    };
    let tries = [0.5, 0.45, 0.55, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8];
    let free = tries.iter().map(|t| t * width).find(|x| clear(*x) && !near_end(*x));
    free.or_else(|| tries.iter().map(|t| t * width).find(|x| clear(*x))).unwrap_or(width / 2.0)
}

/// What is free between parts along an axis, on the line through a point.
struct Gaps {
    gaps: Vec<(Rational, Rational)>,
}

/// Distances of a part's ends from the low end of the box, exact.
fn exact(entry: &BoxEntry, solid: &Solid, axis: Axis) -> Option<(Rational, Rational)> {
    let low = entry.place.on(axis).lo;
    let own = solid.part.place.on(axis);
    Some((own.lo.sub(low).ok()?, own.hi.sub(low).ok()?))
}

fn gaps(entry: &BoxEntry, solids: &[Solid], axis: Axis, at: [(Axis, f64); 2]) -> Gaps {
    let crossing = solids.iter().filter(|s| {
        s.own
            && s.thin() == axis
            && at.iter().all(|(a, t)| {
                let (lo, hi) = s.on(*a);
                *t > lo - SAME && *t < hi + SAME
            })
    });
    let mut taken: Vec<(Rational, Rational)> = crossing.filter_map(|s| exact(entry, s, axis)).collect();
    taken.sort();
    let whole = entry.place.on(axis).size().unwrap_or(Rational::ZERO);
    let mut gaps = Vec::new();
    let mut start = Rational::ZERO;
    for (lo, hi) in taken {
        if lo > start {
            gaps.push((start, lo));
        }
        start = start.max(hi);
    }
    if whole > start && !start.is_zero() {
        gaps.push((start, whole));
    }
    Gaps { gaps }
}

impl Gaps {
    fn largest(&self) -> Option<(f64, f64)> {
        let sizes = self.gaps.iter().map(|(a, b)| (float(*a), float(*b)));
        sizes.reduce(|a, b| if b.1 - b.0 > a.1 - a.0 + SAME { b } else { a })
    }
}

/// What the dimensions are drawn from.
pub struct Dims<'d, 'a> {
    pub entry: &'d BoxEntry,
    pub solids: &'d [Solid<'a>],
    pub style: Style,
    pub plane: f64,
}

impl Dims<'_, '_> {
    /// Draws the dimensions of the front, of the section and of the plan.
    pub fn draw(&self, canvas: &mut Canvas, front: &View, section: &View, plan: &View) {
        let size = |axis: Axis| self.entry.place.on(axis).size().unwrap_or(Rational::ZERO);
        let half = |axis: Axis| float(size(axis)) / 2.0;
        let heights =
            gaps(self.entry, self.solids, Axis::Y, [(Axis::X, self.plane), (Axis::Z, half(Axis::Z))]);
        let heights = if heights.gaps.is_empty() {
            gaps(self.entry, self.solids, Axis::Y, [(Axis::X, self.plane), (Axis::Z, 10.0)])
        } else {
            heights
        };
        let level = heights.largest().map_or(half(Axis::Y), |(a, b)| (a + b) / 2.0);
        let widths = gaps(self.entry, self.solids, Axis::X, [(Axis::Y, level), (Axis::Z, half(Axis::Z))]);
        let depths = gaps(self.entry, self.solids, Axis::Z, [(Axis::X, self.plane), (Axis::Y, level)]);

        self.clears(canvas, front, Axis::X, &widths);
        self.clears(canvas, front, Axis::Y, &heights);
        self.clears(canvas, section, Axis::Z, &depths);
        self.running(canvas, front, Axis::X, &[Axis::X], "from the LEFT");
        self.running(canvas, front, Axis::Y, &[Axis::Y], "from the BOTTOM");
        self.running(canvas, section, Axis::Z, &[Axis::Z, Axis::Y], "from the FRONT");
        let area = plan.envelope();
        Clear {
            level: false,
            line: area.x0 - FIRST,
            lo: area.y0,
            hi: area.y1,
            text: self.style.figure(size(Axis::Z)),
            from: area.x0 - OFF,
            outward: -1.0,
        }
        .draw(canvas);
    }

    fn clears(&self, canvas: &mut Canvas, view: &View, axis: Axis, gaps: &Gaps) {
        let whole = self.entry.place.on(axis).size().unwrap_or(Rational::ZERO);
        let level = axis != Axis::Y;
        let area = view.envelope();
        for (a, b) in &gaps.gaps {
            let Ok(size) = b.sub(*a) else { continue };
            if size == whole {
                continue;
            }
            let place = |mm: Rational| if level { view.x(float(mm)) } else { view.y(float(mm)) };
            let (p, q) = (place(*a), place(*b));
            let mut clear = Clear {
                level,
                line: if level { area.y1 + FIRST } else { area.x0 - FIRST },
                lo: p.min(q),
                hi: p.max(q),
                text: format!("{} clear", self.style.figure(size)),
                from: if level { area.y1 + OFF } else { area.x0 - OFF },
                outward: if level { 1.0 } else { -1.0 },
            };
            if !clear.draw(canvas) {
                clear.text = self.style.figure(size);
                clear.draw(canvas);
            }
        }
    }

    /// Running dimensions of the ends of parts that are thin along some axes.
    fn running(&self, canvas: &mut Canvas, view: &View, axis: Axis, thin: &[Axis], name: &str) {
        let mut values: BTreeSet<Rational> = BTreeSet::new();
        for solid in self.solids.iter().filter(|s| s.own && thin.contains(&s.thin())) {
            let (lo, hi) = solid.on(Axis::X);
            // In the section only what it cuts.
            if axis == Axis::Z && (self.plane < lo || self.plane > hi) {
                continue;
            }
            values.extend(exact(self.entry, solid, axis).iter().flat_map(|(a, b)| [*a, *b]));
        }
        values.extend(self.entry.place.on(axis).size().ok());
        values.remove(&Rational::ZERO);
        let level = axis != Axis::Y;
        let area = view.envelope();
        let place = |mm: Rational| if level { view.x(float(mm)) } else { view.y(float(mm)) };
        let mut ticks: Vec<Tick> = Vec::new();
        for value in values {
            let figure = self.style.figure(value);
            if ticks.last().is_some_and(|t| t.figure == figure) {
                continue;
            }
            let from = if level { area.y1 + OFF } else { area.x0 - OFF };
            ticks.push(Tick { at: place(value), figure, from });
        }
        let chain = Chain {
            level,
            line: if level { area.y1 + SECOND } else { area.x0 - SECOND },
            outward: if level { 1.0 } else { -1.0 },
            origin: place(Rational::ZERO),
            edge: if level { area.y1 + OFF } else { area.x0 - OFF },
            ticks,
            runs: Vec::new(),
            name: name.to_string(),
        };
        chain.draw(canvas);
    }
}

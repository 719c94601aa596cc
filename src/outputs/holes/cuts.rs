//! Grooves, rebates, housings, notches, slots and bevels on a face.

use super::bench::{Bench, Side};
use super::view::{STRIP, Scales};
use crate::geometry::{Axis, Face, Interval};
use crate::job::{Cut, Part, Shape};
use crate::outputs::drawing::canvas::{
    Area, Canvas, Dash, Drawn, Fill, Ink, Shape as Outline, Text, height, weight,
};
use crate::outputs::drawing::{float, font};
use crate::values::{Rational, Style};
use std::collections::BTreeMap;

/// Where cuts are drawn.
pub struct Frame<'f> {
    pub part: &'f Part,
    pub bench: &'f Bench,
    pub scales: Scales,
    pub size: (f64, f64),
    pub style: Style,
    pub strips: &'f BTreeMap<Side, f64>,
}

/// A figure that a cut needs on a chain: its distance from the low end of an axis.
#[derive(Clone, Copy, Debug)]
pub struct CutTick {
    pub axis: Axis,
    pub value: Rational,
    pub low: f64,
}

/// What cuts ask of the rest of the drawing.
#[derive(Default)]
pub struct Marks {
    pub ticks: Vec<CutTick>,
    /// For each label, the places where it may stand, best first.
    pub labels: Vec<Vec<Text>>,
}

/// A cut on the two axes of the bench, from the low ends, in mm.
#[derive(Clone, Copy, Debug)]
pub struct Extent {
    pub across: (f64, f64),
    pub away: (f64, f64),
}

/// Distances of a cut from the low end of the part on an axis.
pub fn span(part: &Part, cut: &Cut, axis: Axis) -> Option<(Rational, Rational)> {
    let (whole, own) = (part.own.on(axis), cut.cuboid.on(axis));
    let common = Interval::new(own.lo.max(whole.lo), own.hi.min(whole.hi));
    Some((common.lo.sub(whole.lo).ok()?, common.hi.sub(whole.lo).ok()?))
}

/// How deep a cut goes into the face it is worked from.
pub fn depth(part: &Part, cut: &Cut) -> Option<Rational> {
    let (lo, hi) = span(part, cut, cut.face.axis())?;
    hi.sub(lo).ok()
}

/// True where it goes right through the part.
pub fn is_through(part: &Part, cut: &Cut) -> bool {
    matches!(cut.shape, Shape::Notch | Shape::Slot) && depth(part, cut) == Some(part.size(cut.face.axis()))
}

fn extent(part: &Part, bench: &Bench, cut: &Cut) -> Option<Extent> {
    let pair = |axis| span(part, cut, axis).map(|(a, b)| (float(a), float(b)));
    Some(Extent { across: pair(bench.across)?, away: pair(bench.away)? })
}

/// The notches of a part: they change its outline.
pub fn notches(part: &Part, bench: &Bench) -> Vec<Extent> {
    let through = |c: &&Cut| c.shape == Shape::Notch && part.is_wide(c.face) && is_through(part, c);
    part.cuts.iter().filter(through).filter_map(|c| extent(part, bench, c)).collect()
}

type Stroke = ((f64, f64), (f64, f64));

/// The outline of a rectangle from (0, 0) less notches at its sides.
pub fn outline((w, d): (f64, f64), notches: &[Area]) -> Vec<Stroke> {
    let mut strokes = Vec::new();
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let mut side = |level: bool, at: f64, length: f64| {
        let touched = notches.iter().filter(|n| {
            let (lo, hi) = if level { (n.y0, n.y1) } else { (n.x0, n.x1) };
            near(lo, at) || near(hi, at)
        });
        let mut gaps: Vec<(f64, f64)> =
            touched.map(|n| if level { (n.x0, n.x1) } else { (n.y0, n.y1) }).collect();
        gaps.sort_by(|a, b| a.0.total_cmp(&b.0));
        gaps.push((length, length));
        let mut start = 0.0;
        for (lo, hi) in gaps {
            if lo - start > 1e-6 {
                strokes.push(if level { ((start, at), (lo, at)) } else { ((at, start), (at, lo)) });
            }
            start = hi.max(start);
        }
    };
    side(true, 0.0, w);
    side(true, d, w);
    side(false, 0.0, d);
    side(false, w, d);
    for n in notches {
        let corners = [(n.x0, n.y0), (n.x1, n.y0), (n.x1, n.y1), (n.x0, n.y1), (n.x0, n.y0)];
        for (a, b) in corners.iter().zip(corners.iter().skip(1)) {
            let at_edge = (near(a.0, b.0) && (near(a.0, 0.0) || near(a.0, w)))
                || (near(a.1, b.1) && (near(a.1, 0.0) || near(a.1, d)));
            if !at_edge {
                strokes.push((*a, *b));
            }
        }
    }
    strokes
}

/// Draws the cuts and bevels of a page.
pub fn draw(frame: &Frame, canvas: &mut Canvas) -> Marks {
    let mut marks = Marks::default();
    for cut in &frame.part.cuts {
        if frame.part.is_wide(cut.face) {
            on_face(frame, canvas, cut, &mut marks);
        } else {
            on_edge(frame, canvas, cut);
        }
    }
    for bevel in &frame.part.bevels {
        let Some(side) = frame.bench.side(bevel.face) else { continue };
        let axis = bevel.face.axis();
        let scale = if side.is_upright() { frame.scales.across } else { frame.scales.away };
        let rise = scale.paper(float(bevel.rise.0));
        let (w, d) = frame.size;
        let (from, to) = match side {
            Side::Left => ((rise, 0.0), (rise, d)),
            Side::Right => ((w - rise, 0.0), (w - rise, d)),
            Side::Near => ((0.0, d - rise), (w, d - rise)),
            Side::Far => ((0.0, rise), (w, rise)),
        };
        if bevel.long_side == frame.bench.face {
            canvas.stroke(from, to, weight::INNER, Ink::Black, Dash::Hidden);
            continue;
        }
        let edge = match side {
            Side::Left => (0.0, d),
            Side::Right => (w, 0.0),
            Side::Near => (w, d),
            Side::Far => (0.0, 0.0),
        };
        canvas.fill(
            Area::new(from.0, from.1, to.0, to.1).union(&Area::new(edge.0, edge.1, edge.0, edge.1)),
            Fill::Tint,
        );
        canvas.stroke(from, to, weight::OUTLINE, Ink::Accent, Dash::Solid);
        let size = frame.part.size(axis);
        let value = if bevel.face.is_high() { size.sub(bevel.rise.0).unwrap_or(size) } else { bevel.rise.0 };
        marks.ticks.push(CutTick { axis, value, low: float(value) });
        let area = Area::new(from.0, from.1, to.0, to.1);
        marks.labels.push(along_labels(
            &area,
            frame.size,
            side.is_upright(),
            &bevel_words(frame.style, bevel),
        ));
    }
    marks
}

/// A bevel in words, as a label.
fn bevel_words(style: Style, bevel: &crate::job::Bevel) -> String {
    format!("bevel {}, {} on this face", angle(bevel), style.figure(bevel.rise.0))
}

/// The angle of a bevel from the square edge, to half a degree: rounded so far that no machine's last
/// bit can show.
#[allow(clippy::disallowed_methods)]
pub fn angle(bevel: &crate::job::Bevel) -> String {
    let degrees = float(bevel.rise.0).atan2(float(bevel.run.0)).to_degrees();
    format!("{}°", (degrees * 2.0).round() / 2.0)
}

fn on_face(frame: &Frame, canvas: &mut Canvas, cut: &Cut, marks: &mut Marks) {
    let here = cut.face == frame.bench.face;
    let through = is_through(frame.part, cut);
    if !here && !through {
        return;
    }
    let Some(extent) = extent(frame.part, frame.bench, cut) else { return };
    let x = |across: f64| frame.scales.across.paper(frame.bench.place(across, 0.0).0);
    let y = |away: f64| frame.size.1 - frame.scales.away.paper(away);
    let mut area = Area::new(x(extent.across.0), y(extent.away.0), x(extent.across.1), y(extent.away.1));
    let ink = if here { Ink::Accent } else { Ink::Grey };
    match cut.shape {
        Shape::Notch => {
            if here {
                canvas.fill(area, Fill::Tint);
            }
        }
        Shape::Slot => {
            let round = cut.dia.map_or(0.0, |_| area.width().min(area.height()) / 2.0);
            let points = vec![(area.x0, area.y0), (area.x1, area.y0), (area.x1, area.y1), (area.x0, area.y1)];
            let fill = if here { Fill::Tint } else { Fill::White };
            canvas.drawn.push(Drawn::Shape(Outline {
                points,
                round,
                fill,
                stroke: Some((weight::OUTLINE, ink)),
            }));
        }
        _ => {
            let narrow = area.width().min(area.height());
            if narrow < 1.6 {
                let grow = (0.7 - narrow).max(0.0) / 2.0;
                if area.width() < area.height() {
                    area = Area::new(area.x0 - grow, area.y0, area.x1 + grow, area.y1);
                } else {
                    area = Area::new(area.x0, area.y0 - grow, area.x1, area.y1 + grow);
                }
                canvas.fill(area, Fill::Accent);
            } else {
                canvas.fill(area, Fill::Tint);
                for (from, to) in inner_sides(&area, frame.size) {
                    canvas.stroke(from, to, weight::OUTLINE, Ink::Accent, Dash::Solid);
                }
            }
        }
    }
    if !here {
        return;
    }
    marks.ticks.extend(ticks(frame, cut));
    let upright = area.height() > area.width();
    marks.labels.push(along_labels(&area, frame.size, upright, &label(frame.style, frame.part, cut)));
}

/// The sides of an area that do not lie on the outline.
fn inner_sides(area: &Area, (w, d): (f64, f64)) -> Vec<Stroke> {
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let mut sides = Vec::new();
    for x in [area.x0, area.x1] {
        if !near(x, 0.0) && !near(x, w) {
            sides.push(((x, area.y0), (x, area.y1)));
        }
    }
    for y in [area.y0, area.y1] {
        if !near(y, 0.0) && !near(y, d) {
            sides.push(((area.x0, y), (area.x1, y)));
        }
    }
    sides
}

/// The datum-side edge of the cut, and the ends where it stops.
fn ticks(frame: &Frame, cut: &Cut) -> Vec<CutTick> {
    let mut ticks = Vec::new();
    let both = [frame.bench.across, frame.bench.away];
    for axis in both {
        let Some((lo, hi)) = span(frame.part, cut, axis) else { continue };
        let whole = frame.part.size(axis);
        let mut add = |value: Rational| ticks.push(CutTick { axis, value, low: float(value) });
        let slot = cut.shape == Shape::Slot;
        if let (true, Some(dia)) = (slot, cut.dia) {
            // A round-ended slot is set out by the middles of its ends.
            let half = dia.0.half().unwrap_or(dia.0);
            let (a, b) = (lo.add(half).unwrap_or(lo), hi.sub(half).unwrap_or(hi));
            add(a);
            if b > a {
                add(b);
            }
            continue;
        }
        if axis == cut.runs || slot || cut.shape == Shape::Notch {
            [lo, hi].into_iter().filter(|v| !v.is_zero() && *v != whole).for_each(&mut add);
        } else {
            add(if lo.is_zero() { hi } else { lo });
        }
    }
    ticks
}

/// The places along a cut where its label may stand.
fn along_labels(area: &Area, (w, d): (f64, f64), upright: bool, words: &str) -> Vec<Text> {
    let mut candidates = Vec::new();
    let (up, down) = (height::TEXT * font::ABOVE, height::TEXT * font::BELOW);
    let base = Text::new(0.0, 0.0, words).middle().ink(Ink::Accent).class("cut");
    for gap in [0.8, 1.6, 2.8, 4.2] {
        for t in [0.5, 0.38, 0.62, 0.26, 0.74, 0.3, 0.7] {
            let (x, y) = (area.x0 + area.width() * t, area.y0 + area.height() * t);
            let at = |x: f64, y: f64| {
                let text = Text { x, y, ..base.clone() };
                if upright { text.turned() } else { text }
            };
            let sides = if upright {
                // Inside the part first, on the side with more room.
                let before = at(area.x0 - gap - down, y);
                let after = at(area.x1 + gap + up, y);
                if area.x0 > w - area.x1 { [before, after] } else { [after, before] }
            } else {
                let over = at(x, area.y0 - gap - down);
                let under = at(x, area.y1 + gap + up);
                if area.y0 > d - area.y1 { [over, under] } else { [under, over] }
            };
            let part = Area::new(0.0, 0.0, w, d);
            candidates.extend(sides.into_iter().filter(|t| part.holds(&t.area())));
        }
    }
    candidates
}

/// A cut in a few words: `groove 3.2 wide, 8 deep, right through`.
pub fn label(style: Style, part: &Part, cut: &Cut) -> String {
    let deep = cut.face.axis();
    let across = Axis::ALL.into_iter().find(|a| *a != deep && *a != cut.runs).unwrap_or(deep);
    let size = |axis| {
        span(part, cut, axis).and_then(|(a, b)| b.sub(a).ok()).map_or(String::new(), |s| style.figure(s))
    };
    let word = cut.shape.word();
    let deep = depth(part, cut).map_or(String::new(), |d| style.figure(d));
    match cut.shape {
        Shape::Notch => format!("notch {} × {}", size(cut.runs), size(across)),
        Shape::Slot => match cut.dia {
            Some(dia) => {
                let depth = if is_through(part, cut) { "through".into() } else { format!("{deep} deep") };
                format!("slot, cutter Ø{}, {depth}", style.figure(dia.0))
            }
            None => format!("slot {} × {}", size(cut.runs), size(across)),
        },
        _ => format!("{word} {} wide, {deep} deep, {}", size(across), run_words(style, part, cut)),
    }
}

/// How far a cut runs: `right through`, `from the front edge to 540`.
fn run_words(style: Style, part: &Part, cut: &Cut) -> String {
    let axis = cut.runs;
    let Some((lo, hi)) = span(part, cut, axis) else { return String::new() };
    let whole = part.size(axis);
    let edge = |high| Face::of(axis, high).word();
    match (lo.is_zero(), hi == whole) {
        (true, true) => "right through".to_string(),
        (true, false) => format!("STOPS at {} from the {}", style.figure(hi), edge(false)),
        (false, true) => format!("STOPS at {} from the {}", style.figure(lo), edge(false)),
        (false, false) => {
            format!("STOPS at {} and {} from the {}", style.figure(lo), style.figure(hi), edge(false))
        }
    }
}

/// A cut in a sentence: with where it lies, from the datum edge.
pub fn sentence(style: Style, part: &Part, cut: &Cut) -> String {
    let deep = cut.face.axis();
    let across = Axis::ALL.into_iter().find(|a| *a != deep && *a != cut.runs).unwrap_or(deep);
    let mut text = label(style, part, cut);
    if let Some((lo, _)) = span(part, cut, across)
        && !matches!(cut.shape, Shape::Notch | Shape::Slot)
    {
        let edge = Face::of(across, false).word();
        text += &if lo.is_zero() {
            format!("; along the {edge} edge")
        } else {
            format!("; starts {} from the {edge} edge", style.figure(lo))
        };
    }
    let mut chars = text.chars();
    match chars.next() {
        Some(first) => first.to_uppercase().collect::<String>() + chars.as_str() + ".",
        None => text,
    }
}

/// A cut into an edge, on the strip that is folded out.
fn on_edge(frame: &Frame, canvas: &mut Canvas, cut: &Cut) {
    let Some(side) = frame.bench.side(cut.face) else { return };
    let Some(start) = frame.strips.get(&side).copied() else { return };
    let thick = frame.bench.face.axis();
    let whole = float(frame.part.size(thick)).max(1e-9);
    let along = if side.is_upright() { frame.bench.away } else { frame.bench.across };
    let (Some((a, b)), Some((lo, hi))) = (span(frame.part, cut, thick), span(frame.part, cut, along)) else {
        return;
    };
    let from_up = |v: Rational| if frame.bench.face.is_high() { whole - float(v) } else { float(v) };
    let (near, far) = (start + STRIP * from_up(a) / whole, start + STRIP * from_up(b) / whole);
    let x = |v: Rational| frame.scales.across.paper(frame.bench.place(float(v), 0.0).0);
    let y = |v: Rational| frame.size.1 - frame.scales.away.paper(float(v));
    let (w, d) = frame.size;
    let area = match side {
        Side::Left => Area::new(-near, y(lo), -far, y(hi)),
        Side::Right => Area::new(w + near, y(lo), w + far, y(hi)),
        Side::Near => Area::new(x(lo), d + near, x(hi), d + far),
        Side::Far => Area::new(x(lo), -near, x(hi), -far),
    };
    canvas.fill(area, Fill::Tint);
    canvas.frame(area, weight::DATUM, Ink::Accent, Dash::Solid);
}

//! Front, side and plan of both revisions, with their overall dimensions and the marks of what changes.

use super::lines;
use super::subject::Subject;
use super::words::Row;
use crate::geometry::Axis;
use crate::outputs::drawing::canvas::{Area, Canvas, Dash, Drawn, Ink, Text, height};
use crate::outputs::drawing::chain::Clear;
use crate::outputs::drawing::mark::{Leaders, Mark};
use crate::outputs::drawing::paper::Scale;
use crate::outputs::drawing::place;
use crate::outputs::elevations::marks::Scene;
use crate::outputs::elevations::page::{Drawing, texts_meet};
use crate::outputs::elevations::solid::{Look, Solid};
use crate::outputs::elevations::view::View;

/// Between the front and the side, and between the front and the plan.
const BESIDE: [f64; 3] = [21.0, 28.0, 36.0];
const ABOVE: f64 = 13.0;
/// Between the outline and the lines of the new and of the old dimension.
const FIRST: f64 = 6.0;
const SECOND: f64 = 11.5;
const OFF: f64 = 0.8;

/// The three views; the low corner of the front lies at (0, 0).
pub fn draw(subject: &Subject, rows: &[Row], scale: Scale) -> Drawing {
    let [first, more @ ..] = BESIDE;
    let mut drawing = draw_apart(subject, rows, scale, first);
    for beside in more {
        if !texts_meet(&drawing.canvas) {
            break;
        }
        drawing = draw_apart(subject, rows, scale, beside);
    }
    drawing
}

fn draw_apart(subject: &Subject, rows: &[Row], scale: Scale, beside: f64) -> Drawing {
    let (x, y, z) = (subject.extent(Axis::X), subject.extent(Axis::Y), subject.extent(Axis::Z));
    let paper = |mm: f64| scale.paper(mm);
    let look = |across, up, away, from_high| Look { across, up, away, from_high, cut: None };
    let front =
        View { look: look(Axis::X, Axis::Y, Axis::Z, false), scale, origin: (0.0, 0.0), extent: (x, y) };
    let (right, top) = (paper(x.1) + beside, -paper(y.1) - ABOVE);
    let side = View {
        look: look(Axis::Z, Axis::Y, Axis::X, true),
        scale,
        origin: (right - paper(z.0), 0.0),
        extent: (z, y),
    };
    let plan = View {
        look: look(Axis::X, Axis::Z, Axis::Y, true),
        scale,
        origin: (0.0, top + paper(z.0)),
        extent: (x, z),
    };
    let mut canvas = Canvas::new();
    for view in [&front, &side, &plan] {
        lines::draw(&mut canvas, view, &subject.new, &subject.old);
    }
    overall(subject, &mut canvas, &front, Axis::X, true);
    overall(subject, &mut canvas, &front, Axis::Y, false);
    overall(subject, &mut canvas, &side, Axis::Z, true);
    titles(&mut canvas, [&front, &side, &plan]);
    let unplaced = marks(subject, rows, &mut canvas, [&front, &side, &plan]);
    let depth = paper(z.1 - z.0);
    let quarter = Area::new(right, top - depth, right + depth, top + 5.0);
    Drawing { canvas, quarter, unplaced }
}

/// The overall dimension of the new box, and beyond it that of the old one where it differs.
fn overall(subject: &Subject, canvas: &mut Canvas, view: &View, axis: Axis, level: bool) {
    let style = subject.job().house.style();
    let area = view.envelope();
    let [old, new] = subject.size(axis);
    let figure = |r| style.figure(r);
    let mut line = FIRST;
    for (size, past) in [(new, false), (old, true)] {
        let Some(size) = size else { continue };
        if past && new.is_some_and(|n| figure(n) == figure(size)) {
            continue;
        }
        let end = crate::outputs::drawing::float(size);
        let (a, b) = if level { (view.x(0.0), view.x(end)) } else { (view.y(end), view.y(0.0)) };
        let words = if past { format!("(was {})", figure(size)) } else { figure(size) };
        let mut clear = Clear {
            level,
            line: if level { area.y1 + line } else { area.x0 - line },
            lo: a,
            hi: b,
            text: words,
            from: if level { area.y1 + OFF } else { area.x0 - OFF },
            outward: if level { 1.0 } else { -1.0 },
        };
        let before = canvas.drawn.len();
        if !clear.draw(canvas) && past {
            clear.text = format!("({})", figure(size));
            clear.draw(canvas);
        }
        if past {
            in_past(canvas, before);
        }
        line = SECOND;
    }
}

/// Makes all that was drawn from a place on look as what was.
pub fn in_past(canvas: &mut Canvas, from: usize) {
    for drawn in canvas.drawn.iter_mut().skip(from) {
        match drawn {
            Drawn::Line(l) if l.is_thin() => (l.ink, l.dash) = (Ink::Past, Dash::Hidden),
            Drawn::Line(l) => l.ink = Ink::Past,
            Drawn::Text(t) => t.ink = Ink::Past,
            _ => {}
        }
    }
}

fn titles(canvas: &mut Canvas, views: [&View; 3]) {
    let narrow = views[1].envelope().width() < 36.0;
    let side = if narrow { "From the right" } else { "Seen from the right" };
    for (view, words) in views.into_iter().zip(["Front", side, "Plan, seen from above"]) {
        let area = view.envelope();
        let text = Text::new(area.x0, area.y0 - 2.2, words).bold().class("view");
        let lifts = [0.0, 1.5, 3.0, 4.5, 6.0];
        let candidates = lifts.into_iter().flat_map(|l| {
            let text = text.clone();
            [0.0, -4.0, -8.0, -14.0].map(move |s| Text { x: text.x + s, y: text.y - l, ..text.clone() })
        });
        if let Some(found) = place::best(canvas, candidates.collect::<Vec<_>>()) {
            canvas.text(found);
        }
    }
}

/// Marks one piece of every row of the table, and more of them where that needs no leader. Gives how many rows
/// found no room.
fn marks(subject: &Subject, rows: &[Row], canvas: &mut Canvas, views: [&View; 3]) -> usize {
    // Behind what stays a changed part shows all the same.
    let fresh: Vec<Solid> = subject.new.iter().filter(|s| s.own).cloned().collect();
    let seen = [views.map(|v| v.look.see(&subject.old)), views.map(|v| v.look.see(&fresh))];
    let all = views.map(|v| v.look.see(&subject.new));
    let scenes = |side: usize| -> Vec<Scene> {
        let seen = seen.get(side).into_iter().flatten();
        views.iter().zip(seen).map(|(view, seen)| Scene { view, seen }).collect()
    };
    let sides = [scenes(0), scenes(1)];
    let whole: Vec<Scene> = views.iter().zip(&all).map(|(view, seen)| Scene { view, seen }).collect();
    let solids = [&subject.old, &fresh];
    let mut leaders = Leaders::default();
    let mut waiting = Vec::new();
    for row in rows {
        let beside = if row.side == 0 { "old" } else { "" };
        let mark = Mark { text: row.mark.clone(), beside: beside.into(), pill: true };
        let pieces: Vec<(&Solid, &[Scene])> = row
            .paths
            .iter()
            .filter_map(|path| {
                let find = |list: &'_ [Solid<'_>]| list.iter().position(|s| s.part.path == *path);
                let drawn = solids.get(row.side).and_then(|l| Some((l.get(find(l)?)?, sides.get(row.side)?)));
                // What is only renamed is drawn as what stays.
                let plain = || Some((subject.new.get(find(&subject.new)?)?, &whole));
                drawn.or_else(plain).map(|(solid, scenes)| (solid, scenes.as_slice()))
            })
            .collect();
        let mut placed = false;
        for (solid, scenes) in &pieces {
            placed |= scenes.iter().any(|s| s.inside(canvas, solid, &mark));
        }
        if !placed && !pieces.is_empty() {
            waiting.push((mark, pieces));
        }
    }
    let mut unplaced = 0;
    for (mark, pieces) in waiting {
        let mut try_all = |mark: &Mark, hidden: bool| {
            pieces.iter().take(6).any(|(solid, scenes)| {
                let order = [0usize, 1, 2].into_iter().filter_map(|i| scenes.get(i));
                order.into_iter().any(|s| s.led(canvas, &mut leaders, solid, mark, hidden))
            })
        };
        // What no view shows is pointed at where it is, and said to be inside.
        let beside = if mark.beside.is_empty() { "inside" } else { "old, inside" };
        let inside = Mark { beside: beside.to_string(), ..mark.clone() };
        unplaced += usize::from(!try_all(&mark, false) && !try_all(&inside, true));
    }
    unplaced
}

/// Samples of the kinds of lines, with their words.
pub fn legend(kinds: &[(&str, f64, Ink, Dash, bool)]) -> Canvas {
    use crate::outputs::drawing::canvas::Fill;
    let mut canvas = Canvas::new();
    for (n, (words, width, ink, dash, filled)) in kinds.iter().enumerate() {
        let y = 1.3 + 4.4 * n as f64;
        if *filled {
            let area = Area::new(0.0, y - 1.2, 9.0, y + 1.2);
            canvas.fill(area, Fill::Tint);
            canvas.frame(area, *width, *ink, *dash);
        } else {
            canvas.stroke((0.0, y), (9.0, y), *width, *ink, *dash);
        }
        canvas.text(Text::new(11.0, y + height::TEXT / 2.0, *words));
    }
    canvas
}

//! The sheet of one box: scale, views, marks, words and the table of its parts.

use super::dims::{Dims, plane};
use super::marks::Scene;
use super::solid::{self, Look, Solid};
use super::view::View;
use super::words::{sentences, table, words};
use crate::geometry::Axis;
use crate::job::{BoxEntry, Job, Part, path_names};
use crate::outputs::drawing::arrange;
use crate::outputs::drawing::canvas::{Area, Canvas, Dash, Drawn, Fill, Ink, Shape, Text, height, weight};
use crate::outputs::drawing::collision::TEXT_GAP;
use crate::outputs::drawing::column::{self, Block};
use crate::outputs::drawing::mark::{Leaders, Mark};
use crate::outputs::drawing::paper::{Paper, Scale};
use crate::outputs::drawing::place;
use crate::outputs::drawing::strip::Strip;
use crate::outputs::drawing::table::Table;
use crate::outputs::drawing::{Sheet, file_stem, float};
use std::collections::BTreeSet;

const GAP: f64 = 6.0;
/// A part narrower than this on paper looks like a line, in mm.
const LEAST_WIDTH: f64 = 1.5;
/// Between the front and the section, and between the front and the plan.
const BESIDE: [f64; 3] = [17.0, 24.0, 32.0];
const ABOVE: f64 = 13.0;

/// A box to be drawn, and those that are equal to it.
pub struct Subject<'a> {
    pub job: &'a Job,
    pub entry: &'a BoxEntry,
    pub alike: Vec<&'a BoxEntry>,
    /// Paths of the boxes that nothing holds to a wall.
    pub free: &'a BTreeSet<&'a str>,
}

/// Low and high ends on x, y and z.
pub type Ends = [(f64, f64); 3];

/// Views that stand as first-angle views do, before they are laid on a page.
pub struct Drawing {
    pub canvas: Canvas,
    /// The free quarter at the right of the plan.
    pub quarter: Area,
    /// How many marks found no room.
    pub unplaced: usize,
}

/// The last name of a path, in words.
pub fn name_of(path: &str) -> String {
    path_names(path).last().copied().unwrap_or(path).replace('_', " ")
}

/// The sheets of one box: one, and more where its table runs over.
pub fn sheets(subject: &Subject) -> Vec<Sheet> {
    let solids = solid::of(subject.job, subject.entry);
    let table = table(subject, &solids);
    let blocks = words(subject, &solids);
    let mut found: Option<(Scale, Paper, Canvas, usize)> = None;
    let mut lost = usize::MAX;
    // Parts as wide as can be told from a line first, even where the table then has its own sheet.
    let board = solids.iter().filter(|s| s.own).map(|s| float(s.part.thickness.0)).filter(|t| *t > 8.0);
    let thinnest = board.fold(f64::MAX, f64::min);
    let plain = |s: &Scale| s.paper(thinnest) >= LEAST_WIDTH;
    let scales = Scale::ALL.into_iter().filter(plain).flat_map(|s| [(s, false), (s, true)]);
    let scales =
        scales.chain(Scale::ALL.into_iter().filter(|s| !plain(s)).flat_map(|s| [(s, false), (s, true)]));
    // Short of room, the description of the type is the first to go.
    let short: Vec<Block> =
        blocks.iter().enumerate().filter(|(n, _)| *n != 1).map(|(_, b)| b.clone()).collect();
    let described = subject.entry.description.as_deref().and_then(sentences).is_some();
    let variants: &[&[Block]] = if described { &[&blocks, &short] } else { &[&blocks] };
    'scales: for (scale, overflow) in scales {
        let drawing = draw(subject, &solids, scale);
        for (paper, blocks) in
            variants.iter().flat_map(|b| [Paper::Portrait, Paper::Landscape].map(|p| (p, *b)))
        {
            if drawing.unplaced < lost
                && let Some((canvas, rows)) = compose(paper, &drawing, blocks, &table, overflow)
            {
                lost = drawing.unplaced;
                found = Some((scale, paper, canvas, rows));
                if lost == 0 {
                    break 'scales;
                }
            }
        }
    }
    let Some((scale, paper, canvas, from)) = found else { return Vec::new() };
    let mut laid = vec![(paper, canvas)];
    laid.extend(rest(&table, from));
    let name = name_of(&subject.entry.path);
    let initials: String =
        name.split([' ', '[']).filter_map(|w| w.chars().next()).map(|c| c.to_ascii_uppercase()).collect();
    let count = laid.len();
    let finish = |(n, (paper, canvas)): (usize, (Paper, Canvas))| {
        let strip = Strip {
            mark: initials.clone(),
            title: format!("Elevations, {name}"),
            path: subject.entry.path.clone(),
            scale: scale.words(),
            lengths: Strip::lengths_of(subject.job),
            made_from: Strip::source_of(subject.job),
            sheet: (n + 1, count),
        };
        let stem = file_stem(&subject.entry.path);
        let name = if n == 0 { stem } else { format!("{stem}-{}", n + 1) };
        Sheet::finish(name, canvas, paper, &strip)
    };
    laid.into_iter().enumerate().map(finish).collect()
}

/// The rows of a table from one on, over as many sheets as they take.
pub fn rest(table: &Table, mut from: usize) -> Vec<(Paper, Canvas)> {
    let mut laid = Vec::new();
    while from < table.rows.len() {
        // A table alone wants height.
        let field = Paper::Portrait.field();
        let fitted = table.fit(field.width());
        let count = fitted.rows_in(from, field.height()).max(1);
        let mut canvas = Canvas::new();
        fitted.draw(&mut canvas, (field.x0, field.y0), (from, from + count), &mut 0);
        laid.push((Paper::Portrait, canvas));
        from += count;
    }
    laid
}

/// The views alone, as large as a room of this width and height takes them.
pub fn picture(subject: &Subject, room: (f64, f64)) -> Option<Canvas> {
    let solids = solid::of(subject.job, subject.entry);
    let mut best: Option<(usize, Canvas)> = None;
    let size = |axis| subject.entry.place.on(axis).size().map_or(0.0, float);
    let (wide, tall) = (size(Axis::X) + size(Axis::Z), size(Axis::Y) + size(Axis::Z));
    for scale in Scale::FREE {
        if scale.paper(wide) + BESIDE[0] > room.0 || scale.paper(tall) + ABOVE > room.1 {
            continue;
        }
        let drawing = draw(subject, &solids, scale);
        let fits = drawing.canvas.area().is_some_and(|a| a.width() <= room.0 && a.height() <= room.1);
        if !fits {
            continue;
        }
        if best.as_ref().is_none_or(|(least, _)| drawing.unplaced < *least) {
            best = Some((drawing.unplaced, drawing.canvas));
        }
        let small = scale.paper(wide) < room.0 / 3.0 && scale.paper(tall) < room.1 / 3.0;
        if small || best.as_ref().is_some_and(|(least, _)| *least == 0) {
            break;
        }
    }
    best.map(|(_, canvas)| canvas)
}

/// The three views with their dimensions and marks; the front's low left corner lies at (0, 0).
fn draw(subject: &Subject, solids: &[Solid], scale: Scale) -> Drawing {
    let [first, more @ ..] = BESIDE;
    let mut drawing = draw_apart(subject, solids, scale, first);
    // Figures at the ends of two chains may meet; then the views stand further apart.
    for beside in more {
        if !texts_meet(&drawing.canvas) {
            break;
        }
        drawing = draw_apart(subject, solids, scale, beside);
    }
    drawing
}

/// True where two texts of a drawing meet.
pub fn texts_meet(canvas: &Canvas) -> bool {
    let areas: Vec<Area> = canvas.texts().map(Text::area).collect();
    areas.iter().enumerate().any(|(n, a)| areas.iter().skip(n + 1).any(|b| a.gap(b) < TEXT_GAP))
}

fn draw_apart(subject: &Subject, solids: &[Solid], scale: Scale, beside: f64) -> Drawing {
    let entry = subject.entry;
    // Parts may stand proud of their box.
    let extent = |axis: Axis| {
        let own = (0.0f64, entry.place.on(axis).size().map_or(0.0, float));
        solids.iter().map(|s| s.on(axis)).fold(own, |a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    let (x, y, z) = (extent(Axis::X), extent(Axis::Y), extent(Axis::Z));
    let paper = |mm: f64| scale.paper(mm);
    let cut = plane(entry, solids);
    let look = |across, up, away, from_high, cut| Look { across, up, away, from_high, cut };
    let front = View {
        look: look(Axis::X, Axis::Y, Axis::Z, false, None),
        scale,
        origin: (0.0, 0.0),
        extent: (x, y),
    };
    let (right, top) = (paper(x.1) + beside, -paper(y.1) - ABOVE);
    let section = View {
        look: look(Axis::Z, Axis::Y, Axis::X, true, Some(cut)),
        scale,
        origin: (right - paper(z.0), 0.0),
        extent: (z, y),
    };
    let plan = View {
        look: look(Axis::X, Axis::Z, Axis::Y, true, None),
        scale,
        origin: (0.0, top + paper(z.0)),
        extent: (x, z),
    };
    let within = boxes_within(subject, solids);
    let envelopes: Vec<_> = within.iter().map(|(_, ends)| *ends).collect();
    let mut canvas = Canvas::new();
    for view in [&front, &section, &plan] {
        view.draw(&mut canvas, solids, &envelopes);
    }
    cutting_line(&mut canvas, &front, cut);
    let dims = Dims { entry, solids, style: subject.job.house.style(), plane: cut };
    dims.draw(&mut canvas, &front, &section, &plan);
    titles(&mut canvas, [&front, &section, &plan]);
    let unplaced = marks(subject, solids, &mut canvas, [&front, &section, &plan]);
    names(&mut canvas, &within, [&front, &section]);
    let depth = paper(z.1 - z.0);
    let quarter = Area::new(right, top - depth, right + depth, top + 5.0);
    Drawing { canvas, quarter, unplaced }
}

/// The chain line through the front where the section cuts, with an arrow the way one looks.
fn cutting_line(canvas: &mut Canvas, front: &View, cut: f64) {
    let area = front.envelope();
    let x = front.x(cut);
    canvas.stroke((x, area.y0 - 5.0), (x, area.y1 + 4.2), weight::HAIR, Ink::Black, Dash::Centre);
    for y in [area.y0 - 4.0, area.y1 + 3.4] {
        canvas.line((x, y), (x - 3.2, y), weight::DATUM);
        let head = vec![(x - 4.6, y), (x - 2.6, y - 0.7), (x - 2.6, y + 0.7)];
        canvas.drawn.push(Drawn::Shape(Shape { points: head, round: 0.0, fill: Fill::Black, stroke: None }));
        let below = y > area.y0;
        if !below {
            canvas.text(Text::new(x + 1.2, y + 1.6, "A").tall(height::HEADING).bold().class("cut"));
        }
    }
}

fn titles(canvas: &mut Canvas, [front, section, plan]: [&View; 3]) {
    let title = |view: &View, words: &str| {
        let area = view.envelope();
        Text::new(area.x0, area.y0 - 2.2, words).bold().class("view")
    };
    // Over a narrow section a long title would make the sheet wider than its drawing.
    let narrow = section.envelope().width() < 50.0;
    let section_title =
        if narrow { "Section A–A, from right" } else { "Section A–A, seen from the right" };
    for (view, words) in [(front, "Front"), (section, section_title), (plan, "Plan, seen from above")] {
        let text = title(view, words);
        let lifts = [0.0, 1.5, 3.0, 4.5, 6.0];
        let shifts = [0.0, -4.0, -8.0, -14.0, -20.0];
        let candidates = lifts.iter().flat_map(|l| {
            let text = text.clone();
            shifts.iter().map(move |s| Text { x: text.x + s, y: text.y - l, ..text.clone() })
        });
        if let Some(found) = place::best(canvas, candidates.collect::<Vec<_>>()) {
            canvas.text(found);
        }
    }
}

/// Marks every part of the box once, inside where it fits, and again inside in the other views.
fn marks(subject: &Subject, solids: &[Solid], canvas: &mut Canvas, views: [&View; 3]) -> usize {
    let seen = views.map(|v| v.look.see(solids));
    let scenes: Vec<Scene> = views.iter().zip(&seen).map(|(view, seen)| Scene { view, seen }).collect();
    let mut leaders = Leaders::default();
    let mut unplaced = 0;
    let mut waiting = Vec::new();
    for solid in solids.iter().filter(|s| s.own) {
        let mark = mark_of(subject, solid.part);
        if !scenes.iter().any(|s| s.inside(canvas, solid, &mark)) {
            waiting.push((solid, mark));
        }
    }
    for (solid, mark) in waiting {
        // A section shows best what it cuts; then the front, then the plan.
        let order = [1usize, 0, 2];
        let placed = order
            .iter()
            .filter_map(|i| scenes.get(*i))
            .any(|scene| scene.led(canvas, &mut leaders, solid, &mark, false));
        // What no view shows is marked where its hidden edges are.
        let placed = placed
            || [0usize, 2]
                .iter()
                .filter_map(|i| scenes.get(*i))
                .any(|scene| scene.led(canvas, &mut leaders, solid, &mark, true));
        unplaced += usize::from(!placed);
    }
    unplaced
}

fn mark_of(subject: &Subject, part: &Part) -> Mark {
    let same = subject.job.same.iter().find(|s| s.mark == part.mark);
    let several = same.is_some_and(|s| s.pieces.len() > 1) && subject.alike.len() < 2;
    let beside = if several { format!("piece {}", part.piece) } else { String::new() };
    Mark { text: part.mark.clone(), beside, pill: true }
}

/// Boxes with parts of their own that stand in the one shown: their names from it on, and the extent
/// of their parts.
pub fn boxes_within(subject: &Subject, solids: &[Solid]) -> Vec<(String, Ends)> {
    let within = format!("{}.", subject.entry.path);
    let inner = subject.job.boxes.iter().filter_map(|b| b.path.strip_prefix(&within).map(|rest| (b, rest)));
    inner
        .filter_map(|(b, rest)| {
            let parts = solids.iter().filter(|s| s.part.box_path == b.path).map(|s| s.ends);
            let join = |a: Ends, b: Ends| {
                let mut ends = a;
                for (end, other) in ends.iter_mut().zip(b) {
                    *end = (end.0.min(other.0), end.1.max(other.1));
                }
                ends
            };
            let words = path_names(rest).join(" ").replace('_', " ");
            Some((words, parts.reduce(join)?))
        })
        .collect()
}

/// Names of the boxes within, in the middle of each.
fn names(canvas: &mut Canvas, within: &[(String, Ends)], views: [&View; 2]) {
    for (name, [across, up, away]) in within {
        for view in views {
            let (x, y) = (if view.look.across == Axis::X { across } else { away }, up);
            let at = |tx: f64, ty: f64| {
                let (px, py) = (view.x(x.0 + (x.1 - x.0) * tx), view.y(y.0 + (y.1 - y.0) * ty));
                Text::new(px, py + height::TEXT / 2.0, name.as_str()).middle().class("box")
            };
            let spots = [(0.5, 0.5), (0.3, 0.5), (0.7, 0.5), (0.5, 0.3), (0.5, 0.7), (0.3, 0.3), (0.7, 0.7)];
            if let Some(text) = place::best(canvas, spots.map(|(a, b)| at(a, b))) {
                canvas.text(text);
            }
        }
    }
}

/// Words placed about a drawing: columns with their places, in the drawing's own coordinates.
struct Around {
    columns: Vec<(Canvas, (f64, f64))>,
    /// The box of drawing and words.
    whole: Area,
}

/// Places words in the free quarter over the section, at the right, or under the drawing.
fn around(field: Area, drawing: &Drawing, drawn: Area, blocks: &[Block]) -> Vec<Around> {
    let mut found = Vec::new();
    let (quarter, spare) = (drawing.quarter, field.width() - drawn.width());
    let wide = (drawn.x1.max(quarter.x1) - quarter.x0 + spare).min(72.0);
    if wide >= 40.0 {
        let mut words = Canvas::new();
        let tall = column::draw(&mut words, blocks, wide);
        let at = (quarter.x0, (quarter.y1 - tall).min(quarter.y0));
        let whole = drawn.union(&Area::new(at.0, at.1, at.0 + wide, at.1 + tall));
        let taken = Area::new(at.0, at.1, at.0 + wide, at.1 + tall);
        if at.1 + tall <= quarter.y1 + 0.1 && arrange::free(&drawing.canvas, &taken.grown(0.5)) {
            found.push(Around { columns: vec![(words, at)], whole });
        }
    }
    let wide = (spare - GAP).min(62.0);
    if wide >= 38.0 {
        let mut words = Canvas::new();
        let tall = column::draw(&mut words, blocks, wide);
        let at = (drawn.x1 + GAP, drawn.y0);
        let whole = drawn.union(&Area::new(at.0, at.1, at.0 + wide, at.1 + tall));
        found.push(Around { columns: vec![(words, at)], whole });
    }
    let count = if field.width() > 200.0 { 3 } else { 2 };
    let wide = (field.width() - GAP * (count - 1) as f64) / count as f64;
    if let Some((columns, tall)) = column::balanced(blocks, wide, field.height(), count) {
        let left = (drawn.x0 + drawn.x1 - field.width()) / 2.0;
        let top = drawn.y1 + GAP;
        let whole = drawn.union(&Area::new(left, top, left + field.width(), top + tall));
        let place = |(n, c): (usize, Canvas)| (c, (left + n as f64 * (wide + GAP), top));
        found.push(Around { columns: columns.into_iter().enumerate().map(place).collect(), whole });
    }
    found
}

/// Words and table both in the free quarter over the section, where that is wide and tall enough.
fn all_in_quarter(
    field: Area,
    drawing: &Drawing,
    drawn: Area,
    blocks: &[Block],
    table: &Table,
) -> Option<Canvas> {
    let quarter = drawing.quarter;
    let wide = drawn.x1.max(quarter.x1) - quarter.x0 + field.width() - drawn.width();
    if table.least_width() > wide {
        return None;
    }
    let mut words = Canvas::new();
    let tall = column::draw(&mut words, blocks, wide.min(90.0));
    let fitted = table.fit(wide.min(130.0));
    let height = tall + GAP + fitted.height(0, fitted.len());
    let top = (quarter.y1 - height).min(quarter.y0);
    let taken = Area::new(quarter.x0, top, quarter.x0 + wide.min(130.0), top + height);
    if !arrange::free(&drawing.canvas, &taken.grown(1.0)) {
        return None;
    }
    let whole = drawn.union(&taken);
    if whole.height() > field.height() || whole.width() > field.width() + 1e-6 {
        return None;
    }
    let dx = field.x0 + (field.width() - whole.width()) / 2.0 - whole.x0;
    let dy = field.y0 + (field.height() - whole.height()) / 2.0 - whole.y0;
    let mut canvas = Canvas::new();
    canvas.place(&drawing.canvas, dx, dy);
    canvas.place(&words, quarter.x0 + dx, top + dy);
    fitted.draw(&mut canvas, (quarter.x0 + dx, top + tall + GAP + dy), (0, fitted.len()), &mut 0);
    Some(canvas)
}

/// Drawing, words and table on a page, and how many rows it took; `None` where they do not fit.
pub fn compose(
    paper: Paper,
    drawing: &Drawing,
    blocks: &[Block],
    table: &Table,
    overflow: bool,
) -> Option<(Canvas, usize)> {
    let field = paper.field();
    let drawn = drawing.canvas.area()?;
    if drawn.width() > field.width() || drawn.height() > field.height() {
        return None;
    }
    if let Some(canvas) = all_in_quarter(field, drawing, drawn, blocks, table) {
        return Some((canvas, table.rows.len()));
    }
    let fitted = table.fit(field.width());
    for around in around(field, drawing, drawn, blocks) {
        let whole = around.whole;
        if whole.width() > field.width() + 1e-6 || whole.height() > field.height() + 1e-6 {
            continue;
        }
        let room = field.height() - whole.height() - GAP;
        let all = fitted.height(0, fitted.len());
        let rows = match (all <= room, overflow) {
            (true, _) => fitted.len(),
            (false, false) => continue,
            // A few rows alone are better on the next sheet with the rest.
            (false, true) => Some(fitted.rows_in(0, room)).filter(|n| *n >= 4).unwrap_or(0),
        };
        let top = if rows > 0 { field.y1 - fitted.height(0, rows) - GAP } else { field.y1 };
        let dx = field.x0 + (field.width() - whole.width()) / 2.0 - whole.x0;
        let dy = field.y0 + (top - field.y0 - whole.height()) / 2.0 - whole.y0;
        let mut canvas = Canvas::new();
        canvas.place(&drawing.canvas, dx, dy);
        for (words, (x, y)) in &around.columns {
            canvas.place(words, x + dx, y + dy);
        }
        if rows > 0 {
            fitted.draw(&mut canvas, (field.x0, top + GAP), (0, rows), &mut 0);
        }
        return Some((canvas, rows));
    }
    None
}

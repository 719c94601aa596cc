//! One part's map: its pages, the scale and place of everything on them.

use super::bench::Bench;
use super::rows;
use super::view::{CROWDED, Page, Scales, View};
use super::words::{self, About};
use crate::geometry::Face;
use crate::job::{Bored, Job, Numbered, Part, face_order, numbered};
use crate::outputs::drawing::canvas::{Area, Canvas};
use crate::outputs::drawing::column::{self, Block};
use crate::outputs::drawing::paper::{Paper, Scale};
use crate::outputs::drawing::strip::Strip;
use crate::outputs::drawing::table::{Fitted, Table};
use crate::outputs::drawing::{Sheet, file_stem};
use crate::outputs::parts::Distinct;
use crate::outputs::words::listed;
use crate::values::Rational;

/// Between drawing, words and table, in mm.
const GAP: f64 = 6.0;
/// Narrowest and widest column of words.
const WORDS: (f64, f64) = (33.0, 62.0);
/// Between the drawing and words beside it.
const BESIDE: f64 = 4.4;

/// A sheet before its number is known.
struct Laid {
    name: String,
    canvas: Canvas,
    paper: Paper,
    scale: String,
}

/// The sheets of one distinct part; none where nothing is worked.
pub fn sheets(job: &Job, distinct: &Distinct, diameters: &[Rational]) -> Vec<Sheet> {
    let part = distinct.part;
    let pages = pages(job, part, diameters);
    // Where each face starts is known only once those before it are laid out.
    let mut faces: Vec<(Face, usize)> = pages.iter().zip(1..).map(|(p, n)| (p.bench.face, n)).collect();
    let mut laid = Vec::new();
    for _ in 0..3 {
        laid.clear();
        let mut starts = Vec::new();
        for (number, page) in pages.iter().enumerate() {
            starts.push((page.bench.face, laid.len() + 1));
            let about = About {
                job,
                pieces: &distinct.pieces,
                mirror: distinct.mirror,
                faces: &faces,
                number,
                sparse: false,
                labelled: &[],
                uneven: None,
            };
            lay_out(page, &about, &mut laid);
        }
        if starts == faces {
            break;
        }
        faces = starts;
    }
    let count = laid.len();
    let names: Vec<String> = distinct.name().split(", ").map(|n| n.replace('_', " ")).collect();
    let title = format!("Hole map, {} of {}", listed(&names), part.box_path.replace('_', " "));
    laid.into_iter()
        .enumerate()
        .map(|(n, sheet)| {
            let strip = Strip {
                mark: part.mark.clone(),
                title: title.clone(),
                path: part.path.clone(),
                scale: sheet.scale,
                lengths: Strip::lengths_of(job),
                made_from: Strip::source_of(job),
                sheet: (n + 1, count),
            };
            Sheet::finish(sheet.name, sheet.canvas, sheet.paper, &strip)
        })
        .collect()
}

/// The faces that are worked; where only edges are, the first face carries them.
fn pages<'a>(job: &'a Job, part: &'a Part, diameters: &'a [Rational]) -> Vec<Page<'a>> {
    let all = numbered(part);
    let entries = |face: Face| all.iter().find(|(f, _)| *f == face).map_or(Vec::new(), |(_, e)| e.clone());
    let order: Vec<Face> = face_order(part).into_iter().filter(|f| part.is_wide(*f)).collect();
    let edges: Vec<(Face, Vec<Numbered>)> = Face::ALL
        .into_iter()
        .filter(|f| !part.is_wide(*f))
        .map(|f| (f, entries(f)))
        .filter(|(f, e)| !e.is_empty() || part.cuts.iter().any(|c| c.face == *f))
        .collect();
    let worked = |face: Face| {
        part.holes.iter().any(|h| h.face == face)
            || part.cuts.iter().any(|c| c.face == face)
            || part.bevels.iter().any(|b| b.long_side != face)
    };
    let mut faces: Vec<Face> = order.iter().copied().filter(|f| worked(*f)).collect();
    if faces.is_empty() && !edges.is_empty() {
        faces.extend(order.first());
    }
    faces
        .iter()
        .enumerate()
        .map(|(n, face)| Page {
            part,
            bench: Bench::new(part, *face),
            style: job.house.style(),
            own: entries(*face),
            folded: if n == 0 { edges.clone() } else { Vec::new() },
            other: part
                .holes
                .iter()
                .filter(|h| h.through && h.face == face.opposite() && h.bored == Bored::Bench)
                .collect(),
            diameters,
        })
        .collect()
}

/// How a page is divided.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
enum Plan {
    /// Words at the right, the table under both.
    TableBelow,
    /// Words at the right, the table under the words.
    TableRight,
    /// The drawing over the whole width; words and table side by side below.
    AllBelow,
    /// The drawing over the whole width, words in columns under it, then the table.
    WordsBelow,
}

const PLANS: [(Paper, Plan); 8] = [
    (Paper::Portrait, Plan::TableBelow),
    (Paper::Portrait, Plan::TableRight),
    (Paper::Portrait, Plan::AllBelow),
    (Paper::Portrait, Plan::WordsBelow),
    (Paper::Landscape, Plan::TableRight),
    (Paper::Landscape, Plan::TableBelow),
    (Paper::Landscape, Plan::AllBelow),
    (Paper::Landscape, Plan::WordsBelow),
];

/// A table of a page, by its place among them, set in a width, and the first row not yet drawn.
type Left = (usize, Fitted, usize);

/// Everything placed on a page, and the rows that are left for the next.
struct Placed {
    canvas: Canvas,
    rest: Vec<Left>,
    unplaced: usize,
}

fn lay_out(page: &Page, about: &About, laid: &mut Vec<Laid>) {
    let tables = rows::tables(page);
    let name = format!("{}-{}", file_stem(&page.part.mark), words::face_word(page.part, page.bench.face));
    let mut best: Option<(Scales, Paper, Placed)> = None;
    // Where a chain cannot hold so many figures, they stand in the table alone.
    'found: for sparse in [false, true] {
        if best.is_some() {
            break;
        }
        for scale in Scale::ALL {
            let scales = uneven(page, scale);
            let (w, d) = (scales.across.paper(page.bench.width), scales.away.paper(page.bench.depth));
            if w.max(d) > Paper::Landscape.field().width() {
                continue;
            }
            let view = page.draw(scales, sparse);
            let about =
                About { uneven: uneven_words(page, scales), labelled: &view.labelled, sparse, ..*about };
            let blocks = words::column(page, &about);
            for overflow in [false, true] {
                // A table may run over where a smaller scale would crowd the holes.
                let next = Scale::ALL.iter().find(|s| **s > scale).copied().unwrap_or(scale);
                let shrink = f64::from(scale.0) / f64::from(next.0);
                if overflow && view.closest * shrink >= CROWDED && scale != next && !sparse {
                    continue;
                }
                for (paper, plan) in PLANS {
                    let Some(placed) = place(paper, plan, &view, &blocks, &tables, overflow) else {
                        continue;
                    };
                    let sound = placed.unplaced == 0;
                    if best.as_ref().is_none_or(|(_, _, b)| placed.unplaced < b.unplaced) {
                        best = Some((scales, paper, placed));
                    }
                    if sound {
                        break 'found;
                    }
                }
            }
        }
    }
    let Some((scales, paper, placed)) = best else { return };
    laid.push(Laid { name: name.clone(), canvas: placed.canvas, paper, scale: scale_words(page, scales) });
    let mut rest = placed.rest;
    let mut more = 2;
    while !rest.is_empty() {
        // A table alone wants height.
        let paper = Paper::Portrait;
        let field = paper.field();
        let mut canvas = Canvas::new();
        let heading = format!("{}, continued", words::heading(page.part, page.bench.face));
        let mut used = column::draw(&mut canvas, &[Block::Heading(heading)], field.width()) + 3.0;
        let mut id = 1;
        let refit = |(n, set, from): Left| (n, tables.get(n).map_or(set, |t| t.fit(field.width())), from);
        let rest_here = rest.into_iter().map(refit).collect();
        let (drawn, left) = draw_tables(&mut canvas, (0.0, used), field.height() - used, rest_here, &mut id);
        used += drawn;
        let mut whole = Canvas::new();
        whole.place(&canvas, field.x0, field.y0);
        let name = format!("{name}-{more}");
        laid.push(Laid { name, canvas: whole, paper, scale: scale_words(page, scales) });
        more += 1;
        rest = if used > 8.0 { left } else { Vec::new() };
    }
}

/// One scale for both axes, but a larger one across a part so slender that it would be a line.
fn uneven(page: &Page, scale: Scale) -> Scales {
    let wide = |mm: f64| {
        let narrow = scale.paper(mm) < 10.0;
        let larger = Scale::ALL.iter().find(|s| s.paper(mm) < 30.0).copied().unwrap_or(scale);
        if narrow && larger < scale { larger } else { scale }
    };
    let (w, d) = (page.bench.width, page.bench.depth);
    if w < d { Scales { across: wide(w), away: scale } } else { Scales { across: scale, away: wide(d) } }
}

fn scale_words(page: &Page, scales: Scales) -> String {
    if scales.across == scales.away {
        return scales.across.words();
    }
    let (along, across) = along_across(page, scales);
    format!("{}, {} wide", along.words(), across.words())
}

fn along_across(page: &Page, scales: Scales) -> (Scale, Scale) {
    if page.bench.width < page.bench.depth {
        (scales.away, scales.across)
    } else {
        (scales.across, scales.away)
    }
}

fn uneven_words(page: &Page, scales: Scales) -> Option<String> {
    let (along, across) = along_across(page, scales);
    (along != across)
        .then(|| format!("Drawn wider than it is: {} along, {} across.", along.words(), across.words()))
}

/// Draws tables under each other in a height; gives the height used and what is left.
fn draw_tables(
    canvas: &mut Canvas,
    at: (f64, f64),
    room: f64,
    tables: Vec<Left>,
    id: &mut u32,
) -> (f64, Vec<Left>) {
    let mut used = 0.0;
    let mut rest = Vec::new();
    for (index, table, from) in tables {
        let count = if rest.is_empty() { table.rows_in(from, room - used) } else { 0 };
        if count > 0 {
            table.draw(canvas, (at.0, at.1 + used), (from, from + count), id);
            used += table.height(from, from + count) + 4.0;
        }
        if from + count < table.len() {
            rest.push((index, table, from + count));
        }
    }
    ((used - 4.0).max(0.0), rest)
}

/// How much of a table's height a page takes: all, or what there is room for where the rest may run
/// over; a few rows alone go with the rest. `None` where it does not fit.
fn height_in(height: f64, room: f64, overflow: bool) -> Option<f64> {
    match (height <= room + 1e-6, overflow) {
        (true, _) => Some(height),
        (false, false) => None,
        (false, true) => Some(if room < 30.0 { 0.0 } else { room }),
    }
}

fn tables_height(tables: &[Left]) -> f64 {
    let all: f64 = tables.iter().map(|(_, t, from)| t.height(*from, t.len()) + 4.0).sum();
    (all - 4.0).max(0.0)
}

/// Sets tables in a width; `None` where one does not fit in it.
fn fitted(tables: &[Table], width: f64) -> Option<Vec<Left>> {
    let fits = tables.iter().all(|t| t.least_width() <= width);
    fits.then(|| tables.iter().enumerate().map(|(n, t)| (n, t.fit(width), 0)).collect())
}

/// Places view, words and tables on a page; `None` where they do not fit.
fn place(
    paper: Paper,
    plan: Plan,
    view: &View,
    blocks: &[Block],
    tables: &[Table],
    overflow: bool,
) -> Option<Placed> {
    let field = paper.field();
    let drawn = view.canvas.area()?;
    let mut canvas = Canvas::new();
    let mut id = 0;
    let put = |canvas: &mut Canvas, area: Area| {
        // The drawing stands in the middle of its room.
        let dx = area.x0 + (area.width() - drawn.width()) / 2.0 - drawn.x0;
        let dy = area.y0 + (area.height() - drawn.height()) / 2.0 - drawn.y0;
        canvas.place(&view.canvas, dx, dy);
    };
    let finish = |canvas, rest| Some(Placed { canvas, rest, unplaced: view.unplaced });
    match plan {
        Plan::TableBelow => {
            let words_width = (field.width() - drawn.width() - BESIDE).min(WORDS.1);
            if words_width < WORDS.0 {
                return None;
            }
            let mut words = Canvas::new();
            let words_height = column::draw(&mut words, blocks, words_width);
            let top = drawn.height().max(words_height);
            let room = field.height() - top - GAP;
            let columns = two_columns(tables, field.width());
            let set = fitted(tables, field.width());
            let single = set.as_deref().map_or(f64::MAX, tables_height);
            let long = tables.iter().any(|t| t.rows.len() > 9);
            let (height, pieces) = match (&columns, set) {
                // Two columns above nine rows, and where one would not fit.
                (Some((height, _)), _) if *height <= room && (long || single > room) => (*height, None),
                (_, set) => (single, Some(set?)),
            };
            if top > field.height() {
                return None;
            }
            let height = height_in(height, room, overflow)?;
            let table_top = field.y1 - height;
            let between = if height > 0.0 { GAP } else { 0.0 };
            put(
                &mut canvas,
                Area::new(field.x0, field.y0, field.x1 - words_width - BESIDE, table_top - between),
            );
            canvas.place(&words, field.x1 - words_width, field.y0);
            let rest = match (pieces, columns) {
                (Some(set), _) => draw_tables(&mut canvas, (field.x0, table_top), height, set, &mut id).1,
                (None, Some((_, halves))) => {
                    for (table, (from, to), x) in &halves {
                        table.draw(&mut canvas, (field.x0 + x, table_top), (*from, *to), &mut id);
                    }
                    Vec::new()
                }
                (None, None) => Vec::new(),
            };
            finish(canvas, rest)
        }
        Plan::TableRight => {
            let right = field.width() - drawn.width() - GAP;
            let least = tables.iter().map(Table::least_width).fold(WORDS.0, f64::max);
            if right < least || drawn.height() > field.height() {
                return None;
            }
            let right = right.min(least.max(WORDS.1) + 20.0);
            let mut words = Canvas::new();
            let words_height = column::draw(&mut words, blocks, right.min(WORDS.1 + 20.0));
            let set = fitted(tables, right)?;
            let room = field.height() - words_height - GAP;
            let height = tables_height(&set);
            if words_height > field.height() {
                return None;
            }
            let room = height_in(height, room, overflow)?;
            put(&mut canvas, Area::new(field.x0, field.y0, field.x1 - right - GAP, field.y1));
            canvas.place(&words, field.x1 - right, field.y0);
            let top = field.y0 + words_height + GAP;
            let rest = draw_tables(&mut canvas, (field.x1 - right, top), room, set, &mut id).1;
            finish(canvas, rest)
        }
        Plan::WordsBelow => words_below(paper, view, drawn, blocks, tables, overflow),
        Plan::AllBelow => {
            if drawn.width() > field.width() {
                return None;
            }
            let below = field.height() - drawn.height() - GAP;
            let mut words_width = field.width().min(WORDS.1);
            let least = tables.iter().map(Table::least_width).fold(0.0, f64::max);
            if !tables.is_empty() {
                words_width = words_width.min(field.width() - least - GAP);
            }
            if words_width < WORDS.0 {
                return None;
            }
            let mut words = Canvas::new();
            let words_height = column::draw(&mut words, blocks, words_width);
            let table_width = field.width() - words_width - GAP;
            let set = if tables.is_empty() { Vec::new() } else { fitted(tables, table_width)? };
            let height = tables_height(&set);
            if words_height > below {
                return None;
            }
            let height = height_in(height, below, overflow)?;
            let top = field.y1 - words_height.max(height);
            put(&mut canvas, Area::new(field.x0, field.y0, field.x1, top - GAP));
            canvas.place(&words, field.x0, top);
            let at = (field.x0 + words_width + GAP, top);
            let rest = draw_tables(&mut canvas, at, height, set, &mut id).1;
            finish(canvas, rest)
        }
    }
}

/// Words in columns under the drawing, then the tables over the whole width.
fn words_below(
    paper: Paper,
    view: &View,
    drawn: Area,
    blocks: &[Block],
    tables: &[Table],
    overflow: bool,
) -> Option<Placed> {
    let field = paper.field();
    if drawn.width() > field.width() {
        return None;
    }
    let set = fitted(tables, field.width())?;
    let single = tables_height(&set);
    let count = if paper == Paper::Portrait { 3 } else { 4 };
    let wide = (field.width() - GAP * (count - 1) as f64) / count as f64;
    let room = field.height() - drawn.height() - GAP - if single > 0.0 { GAP } else { 0.0 };
    let (words, tall) = column::balanced(blocks, wide, room, count)?;
    // Two columns where one would not fit.
    let columns = two_columns(tables, field.width()).filter(|(h, _)| *h < single && single > room - tall);
    let height = columns.as_ref().map_or(single, |(height, _)| *height);
    let left = room - tall;
    let whole = height <= left + 1e-6;
    let height = height_in(height, left, overflow)?;
    let table_top = field.y1 - height;
    let words_top = table_top - tall - if height > 0.0 { GAP } else { 0.0 };
    let mut canvas = Canvas::new();
    let dx = field.x0 + (field.width() - drawn.width()) / 2.0 - drawn.x0;
    let dy = field.y0 + (words_top - GAP - field.y0 - drawn.height()) / 2.0 - drawn.y0;
    canvas.place(&view.canvas, dx, dy);
    for (n, column) in words.iter().enumerate() {
        canvas.place(column, field.x0 + n as f64 * (wide + GAP), words_top);
    }
    let mut id = 0;
    let rest = match columns {
        Some((_, halves)) if whole => {
            for (table, (from, to), x) in &halves {
                table.draw(&mut canvas, (field.x0 + x, table_top), (*from, *to), &mut id);
            }
            Vec::new()
        }
        _ => draw_tables(&mut canvas, (field.x0, table_top), height, set, &mut id).1,
    };
    Some(Placed { canvas, rest, unplaced: view.unplaced })
}

type Halves = (f64, Vec<(Fitted, (usize, usize), f64)>);

/// One table in two columns, where its cells fit so.
fn two_columns(tables: &[Table], width: f64) -> Option<Halves> {
    let [table] = tables else { return None };
    let half = (width - 4.0) / 2.0;
    if table.rows.len() < 4 || table.least_width() > half {
        return None;
    }
    let fitted = table.fit(half);
    let count = fitted.len();
    let middle = count.div_ceil(2);
    let height = fitted.height(0, middle).max(fitted.height(middle, count));
    Some((height, vec![(fitted.clone(), (0, middle), 0.0), (fitted, (middle, count), half + 4.0)]))
}

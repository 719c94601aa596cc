//! The sheet of one box taken apart: scale, marks, and the words and key about the drawing.

use super::draw::Picture;
use super::iso::{Body, Point, ends_on, on, with};
use super::spread::{apart, points};
use super::units::{self, Subject, Unit, name_of, name_within};
use super::words::{key, words};
use crate::geometry::Axis;
use crate::outputs::drawing::arrange;
use crate::outputs::drawing::canvas::{Area, Canvas, length};
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::mark::{Dot, Leaders, Mark};
use crate::outputs::drawing::paper::{Paper, Scale};
use crate::outputs::drawing::place;
use crate::outputs::drawing::strip::Strip;
use crate::outputs::drawing::table::Table;
use crate::outputs::drawing::{Sheet, file_stem};
use std::collections::BTreeSet;

/// The sheets of one box: one, and more where its key runs over; none for a single part.
pub fn sheets(subject: &Subject) -> Vec<Sheet> {
    let mut units = units::of(subject);
    if units.len() < 2 {
        return Vec::new();
    }
    let fixes = fixes(subject, &units);
    let table = key(subject, &units);
    let blocks = words(subject, &units);
    // Short of room, the description of the type is the first to go.
    let short: Vec<Block> =
        blocks.iter().enumerate().filter(|(n, _)| *n != 1).map(|(_, b)| b.clone()).collect();
    let spreads = IN_SIGHT.map(|wanted| {
        apart(&mut units, wanted);
        units.iter().map(|u| u.shift).collect::<Vec<Point>>()
    });
    let [wide, close] = &spreads;
    let mut best: Option<(usize, Scale, Laid)> = None;
    'scales: for scale in Scale::ALL {
        for (shifts, overflow) in [(wide, false), (close, false), (close, true)] {
            // A key on a sheet of its own is better than a drawing that nobody can read, and worse
            // than a small one.
            if overflow && scale.0 < 20 {
                continue;
            }
            units.iter_mut().zip(shifts).for_each(|(u, shift)| u.shift = *shift);
            let (unplaced, laid) = at_scale(subject, &units, &fixes, scale, |paper, canvas| {
                [&blocks, &short].into_iter().find_map(|b| compose(paper, canvas, b, &table, overflow))
            });
            let Some(laid) = laid else { continue };
            if best.as_ref().is_none_or(|(least, _, _)| unplaced < *least) {
                best = Some((unplaced, scale, laid));
            }
            if unplaced == 0 {
                break 'scales;
            }
        }
    }
    best.map_or(Vec::new(), |(_, scale, laid)| finish(subject, scale, laid, &table))
}

/// More equal pieces than this on one sheet bear one mark together.
const MOST_MARKS: usize = 5;

/// How much of each part is to be in sight, the best first.
const IN_SIGHT: [f64; 2] = [0.58, 0.46];

/// The units drawn at a scale and laid out: how many marks found no room, and the page if all fits.
fn at_scale(
    subject: &Subject,
    units: &[Unit],
    fixes: &[(usize, usize)],
    scale: Scale,
    lay_out: impl Fn(Paper, &Canvas) -> Option<Laid>,
) -> (usize, Option<Laid>) {
    let bodies: Vec<Vec<Body>> =
        units.iter().map(|u| u.pieces.iter().map(|p| p.body.moved(u.shift)).collect()).collect();
    let picture = Picture { units, bodies: &bodies, scale };
    let bare = bounds(&picture);
    let fits = |p: &Paper| bare.width() <= p.field().width() && bare.height() <= p.field().height() - 14.0;
    let papers: Vec<Paper> = [Paper::Portrait, Paper::Landscape].into_iter().filter(fits).collect();
    if papers.is_empty() {
        return (0, None);
    }
    let mut canvas = Canvas::new();
    picture.draw(&mut canvas, fixes);
    let unplaced = marks(subject, &picture, &mut canvas);
    (unplaced, papers.into_iter().find_map(|p| lay_out(p, &canvas)))
}

/// The drawing alone, as large as a room of this width and height takes it; none for a single part.
pub fn picture(subject: &Subject, room: (f64, f64)) -> Option<Canvas> {
    let mut units = units::of(subject);
    if units.len() < 2 {
        return None;
    }
    let fixes = fixes(subject, &units);
    let mut best: Option<(usize, Canvas)> = None;
    for (scale, wanted) in Scale::FREE.iter().flat_map(|s| IN_SIGHT.map(|w| (*s, w))) {
        apart(&mut units, wanted);
        let bodies: Vec<Vec<Body>> =
            units.iter().map(|u| u.pieces.iter().map(|p| p.body.moved(u.shift)).collect()).collect();
        let picture = Picture { units: &units, bodies: &bodies, scale };
        let bare = bounds(&picture);
        if bare.width() > room.0 || bare.height() > room.1 {
            continue;
        }
        let mut canvas = Canvas::new();
        picture.draw(&mut canvas, &fixes);
        let unplaced = marks(subject, &picture, &mut canvas);
        let fits = canvas.area().is_some_and(|a| a.width() <= room.0 + 12.0 && a.height() <= room.1 + 12.0);
        if best.as_ref().is_none_or(|(least, _)| unplaced < *least) && fits {
            best = Some((unplaced, canvas));
        }
        // Smaller than half of what the room takes nothing is easier to read.
        let small = bare.width() < room.0 / 2.0 && bare.height() < room.1 / 2.0;
        if small || best.as_ref().is_some_and(|(least, _)| *least == 0) {
            break;
        }
    }
    best.map(|(_, canvas)| canvas)
}

/// A page before its number is known, and how many rows of the key it holds.
struct Laid {
    paper: Paper,
    canvas: Canvas,
    rows: usize,
}

fn finish(subject: &Subject, scale: Scale, first: Laid, table: &Table) -> Vec<Sheet> {
    let mut from = first.rows;
    let mut pages = vec![(first.paper, first.canvas)];
    while from < table.rows.len() {
        // A table alone wants height.
        let field = Paper::Portrait.field();
        let fitted = table.fit(field.width());
        let count = fitted.rows_in(from, field.height()).max(1);
        let mut canvas = Canvas::new();
        fitted.draw(&mut canvas, (field.x0, field.y0), (from, from + count), &mut 0);
        pages.push((Paper::Portrait, canvas));
        from += count;
    }
    let name = name_of(&subject.entry.path);
    let initials: String =
        name.split([' ', '[']).filter_map(|w| w.chars().next()).map(|c| c.to_ascii_uppercase()).collect();
    let count = pages.len();
    let one = |(n, (paper, canvas)): (usize, (Paper, Canvas))| {
        let strip = Strip {
            mark: initials.clone(),
            title: format!("Taken apart, {name}"),
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
    pages.into_iter().enumerate().map(one).collect()
}

/// Pairs of units that a joint holds or lets into each other.
fn fixes(subject: &Subject, units: &[Unit]) -> Vec<(usize, usize)> {
    let unit_of = |path: &str| {
        let of_box = |u: &Unit| u.group.as_ref().is_some_and(|g| g.entry.path == path);
        units.iter().position(|u| u.holds(path) || of_box(u))
    };
    let mut found: BTreeSet<(usize, usize)> = BTreeSet::new();
    let mut add = |a: &str, b: &str| {
        if let (Some(a), Some(b)) = (unit_of(a), unit_of(b))
            && a != b
        {
            found.insert((a.min(b), a.max(b)));
        }
    };
    let own = format!("{}.", subject.entry.path);
    for fix in subject.job.fixes.iter().filter(|f| f.a.starts_with(&own) && f.b.starts_with(&own)) {
        add(&fix.a, &fix.b);
    }
    for part in units.iter().flat_map(|u| u.pieces.iter().map(|p| p.part)) {
        for by in part.cuts.iter().filter_map(|c| c.by.as_deref()) {
            add(by, &part.path);
        }
    }
    found.into_iter().collect()
}

fn bounds(picture: &Picture) -> Area {
    let scale = picture.scale;
    let corners = picture.bodies.iter().flatten().flat_map(Body::corners);
    let areas =
        corners.map(|(x, y)| Area::new(scale.paper(x), scale.paper(y), scale.paper(x), scale.paper(y)));
    areas.reduce(|a, b| a.union(&b)).unwrap_or(Area::new(0.0, 0.0, 0.0, 0.0))
}

/// Marks every unit; gives how many found no room.
fn marks(subject: &Subject, picture: &Picture, canvas: &mut Canvas) -> usize {
    let mut waiting = Vec::new();
    let mark_on =
        |u: &Unit| if u.group.is_none() { u.pieces.first().map(|p| p.part.mark.clone()) } else { None };
    let mut counted: BTreeSet<String> = BTreeSet::new();
    for (n, unit) in picture.units.iter().enumerate() {
        let mut mark = mark_of(subject, unit);
        // Very many equal pieces are marked once.
        if let Some(own) = mark_on(unit) {
            let equal = picture.units.iter().filter(|u| mark_on(u).as_ref() == Some(&own)).count();
            if equal > MOST_MARKS {
                if !counted.insert(own) {
                    continue;
                }
                mark.beside = format!("× {equal}");
            }
        }
        if unit.group.is_some() || !inside(picture, canvas, n, &mark) {
            waiting.push((n, mark));
        }
    }
    let mut leaders = Leaders::default();
    let mut unplaced = 0;
    for (n, mark) in waiting {
        let dots = dots(picture, n);
        if !leaders.lead(canvas, &dots, &mark, |_| 0.0) {
            unplaced += 1;
        }
    }
    unplaced
}

fn mark_of(subject: &Subject, unit: &Unit) -> Mark {
    if let Some(group) = &unit.group {
        let times = if group.count > 1 { format!("× {}", group.count) } else { String::new() };
        return Mark {
            text: name_within(&group.entry.path, &subject.entry.path),
            beside: times,
            pill: false,
        };
    }
    let part = unit.pieces.first().map(|p| p.part);
    let several = part.is_some_and(|part| {
        let same = subject.job.same.iter().find(|s| s.mark == part.mark);
        same.is_some_and(|s| s.pieces.len() > 1) && subject.alike.len() < 2
    });
    let piece = part.map_or(0, |p| p.piece);
    let beside = if several { format!("piece {piece}") } else { String::new() };
    Mark { text: part.map_or(String::new(), |p| p.mark.clone()), beside, pill: true }
}

/// True where another unit hides a point of one.
fn hidden(picture: &Picture, unit: usize, p: Point) -> bool {
    let others = picture.bodies.iter().enumerate().filter(|(m, _)| *m != unit);
    others.flat_map(|(_, b)| b).any(|b| b.covers(p))
}

/// Sets a mark on the face of its part; false where it does not fit.
fn inside(picture: &Picture, canvas: &mut Canvas, n: usize, mark: &Mark) -> bool {
    let Some(unit) = picture.units.get(n) else { return false };
    let all = points(unit, 17);
    let Some(middle) = all.get(all.len() / 2).map(|p| picture.paper(*p)) else { return false };
    let level = all.first().map_or(0.0, |p| on(*p, unit.axis));
    let mut best: Option<(f64, (f64, f64))> = None;
    for p in &all {
        let at = picture.paper(*p);
        let area = mark.area(at);
        let far = length(at.0 - middle.0, at.1 - middle.1);
        if best.is_some_and(|(least, _)| far * 0.1 >= least) {
            continue;
        }
        let rim = area.grown(0.8);
        let xs = [rim.x0, (rim.x0 + rim.x1) / 2.0, rim.x1];
        let ys = [rim.y0, (rim.y0 + rim.y1) / 2.0, rim.y1];
        let spots = xs.iter().flat_map(|x| ys.iter().map(move |y| (*x, *y)));
        let free = |spot: (f64, f64)| {
            let p = lift(picture.scale, spot, unit.axis, level);
            let on_it = unit.axis.others().iter().all(|axis| {
                let (lo, hi) = ends_on(&unit.ends, *axis);
                let at = on(p, *axis) - on(unit.shift, *axis);
                at > lo && at < hi
            });
            on_it && !hidden(picture, n, p)
        };
        if !spots.into_iter().all(free) {
            continue;
        }
        let Some(crossed) = place::cost(canvas, &area.grown(0.3)) else { continue };
        let cost = f64::from(crossed) + far * 0.1;
        if best.is_none_or(|(least, _)| cost < least) {
            best = Some((cost, at));
        }
    }
    let Some((_, at)) = best else { return false };
    mark.draw(canvas, at);
    true
}

/// The point of a plane across an axis that lies at a point of the paper.
fn lift(scale: Scale, (x, y): (f64, f64), axis: Axis, level: f64) -> Point {
    let full = f64::from(scale.0);
    let (across, down) = (x * full / 0.866_025_403_784_438_6, y * full);
    // across = x + z, down = (x - z) / 2 - y
    let p = with([0.0; 3], axis, level);
    match axis {
        Axis::X => {
            let z = across - level;
            [level, (level - z) / 2.0 - down, z]
        }
        Axis::Y => {
            let apart = (down + level) * 2.0;
            [(across + apart) / 2.0, p[1], (across - apart) / 2.0]
        }
        Axis::Z => {
            let x = across - level;
            [x, (x - level) / 2.0 - down, level]
        }
    }
}

/// Points in sight that a leader may show.
fn dots(picture: &Picture, n: usize) -> Vec<Dot> {
    let Some(unit) = picture.units.get(n) else { return Vec::new() };
    let all: Vec<Point> = if unit.group.is_some() { of_group(picture, n) } else { points(unit, 9) };
    let middle = picture.paper(all.get(all.len() / 2).copied().unwrap_or_default());
    let [a, b] = unit.axis.others().map(|a| ends_on(&unit.ends, a));
    let wide = picture.scale.paper((a.1 - a.0).min(b.1 - b.0)) > 4.0;
    let seen = all.iter().filter(|p| !hidden(picture, n, **p));
    seen.map(|p| {
        let at = picture.paper(*p);
        Dot { at, cost: length(at.0 - middle.0, at.1 - middle.1) * 0.15, wide }
    })
    .collect()
}

/// Points on the faces of a box's pieces that nothing hides, its own pieces included.
fn of_group(picture: &Picture, n: usize) -> Vec<Point> {
    let bodies = picture.bodies.get(n).map(Vec::as_slice).unwrap_or_default();
    let mut all = Vec::new();
    for (m, body) in bodies.iter().enumerate() {
        for side in body.sides().iter().filter(|s| s.seen) {
            let count = side.corners.len().max(1) as f64;
            let sum = side.corners.iter().fold([0.0; 3], |s, p| [s[0] + p[0], s[1] + p[1], s[2] + p[2]]);
            let middle = sum.map(|v| v / count);
            let spots = side.corners.iter().map(|c| super::iso::between(middle, *c, 0.5)).chain([middle]);
            all.extend(spots.filter(|p| !bodies.iter().enumerate().any(|(o, b)| o != m && b.covers(*p))));
        }
    }
    all
}

/// Drawing, words and key on a page; `None` where they do not fit.
fn compose(paper: Paper, drawing: &Canvas, blocks: &[Block], table: &Table, overflow: bool) -> Option<Laid> {
    let fitted = table.fit(paper.field().width());
    let rows = if overflow { 0 } else { fitted.len() };
    let canvas = arrange::about(paper, drawing, blocks, (rows > 0).then_some(&fitted))?;
    Some(Laid { paper, canvas, rows })
}

//! A wall whose rows differ: both rows seen from the room, marked out from the left end.

use super::lines::Layers;
use super::views::{in_past, legend};
use crate::geometry::{Axis, Cuboid};
use crate::job::{Job, Wall};
use crate::outputs::drawing::canvas::{Canvas, Dash, Fill, Ink, Text, height, weight};
use crate::outputs::drawing::chain::{Chain, Tick};
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::paper::{Paper, Scale};
use crate::outputs::drawing::strip::Strip;
use crate::outputs::drawing::table::{Align, Table};
use crate::outputs::drawing::{Sheet, arrange, file_stem, float, place};
use crate::outputs::elevations::page::{name_of, rest};
use crate::outputs::elevations::solid::{Edge, Look, SAME};
use crate::outputs::elevations::view::View;
use crate::revisions::Comparison;
use crate::values::{Rational, Style};
use std::collections::{BTreeMap, BTreeSet};

/// Between the wall and the first chain, and between chains, in mm.
const FIRST: f64 = 5.0;
const NEXT: f64 = 3.5;
const OFF: f64 = 0.8;

/// A box or gap of a row in both revisions.
struct Member {
    name: String,
    gap: bool,
    old: Option<Cuboid>,
    new: Option<Cuboid>,
    changed: bool,
}

/// A row by its name, with the places along the wall that a chain measures.
struct Line {
    name: String,
    old: Vec<Rational>,
    new: Vec<Rational>,
    high: bool,
}

struct Site<'a> {
    wall: &'a Wall,
    was: &'a Wall,
    members: Vec<Member>,
    lines: Vec<Line>,
    style: Style,
}

/// The sheets of the walls whose rows differ.
pub fn sheets(old: &Job, new: &Job, comparison: &Comparison, made_from: &str) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    for wall in &new.walls {
        let Some(was) = old.walls.iter().find(|w| w.path == wall.path) else { continue };
        let site = site((old, was), (new, wall), comparison);
        if site.members.iter().any(|m| m.changed) {
            sheets.extend(of_wall(&site, new, made_from));
        }
    }
    sheets
}

fn site<'a>(
    (old, was): (&'a Job, &'a Wall),
    (new, wall): (&'a Job, &'a Wall),
    comparison: &Comparison,
) -> Site<'a> {
    let renamed: BTreeMap<&str, Option<&str>> =
        comparison.boxes.iter().filter_map(|c| Some((c.new.as_deref()?, c.old.as_deref()))).collect();
    let tolerance = float(comparison.tolerance.0) + SAME;
    let near = |a: &Cuboid, b: &Cuboid| {
        [Axis::X, Axis::Y].iter().all(|axis| {
            let (a, b) = (a.on(*axis), b.on(*axis));
            (float(a.lo) - float(b.lo)).abs() <= tolerance && (float(a.hi) - float(b.hi)).abs() <= tolerance
        })
    };
    let rows = |job: &'a Job, wall: &'a Wall| job.rows.iter().filter(|r| r.wall == wall.path);
    let mut olds: BTreeMap<&str, (bool, Cuboid)> = BTreeMap::new();
    for row in rows(old, was) {
        olds.extend(row.members.iter().map(|m| (m.path.as_str(), (m.gap, m.place))));
    }
    let mut members = Vec::new();
    for member in rows(new, wall).flat_map(|r| &r.members) {
        let path = renamed.get(member.path.as_str()).copied().unwrap_or(Some(member.path.as_str()));
        let old = path.and_then(|p| olds.remove(p)).map(|(_, place)| place);
        let changed = old.is_none_or(|o| !near(&o, &member.place));
        let name = name_of(&member.path);
        members.push(Member { name, gap: member.gap, old, new: Some(member.place), changed });
    }
    for (path, (gap, place)) in olds {
        members.push(Member { name: name_of(path), gap, old: Some(place), new: None, changed: true });
    }
    let half = float(wall.place.y.hi) / 2.0;
    let ends = |job: &'a Job, wall: &'a Wall, path: &str| -> Vec<Rational> {
        let row = rows(job, wall).find(|r| r.path == path);
        let ends = row.into_iter().flat_map(|r| &r.members).flat_map(|m| [m.place.x.lo, m.place.x.hi]);
        ends.filter(|x| !x.is_zero()).collect::<BTreeSet<Rational>>().into_iter().collect()
    };
    let paths: BTreeMap<&str, f64> =
        rows(old, was).chain(rows(new, wall)).map(|r| (r.path.as_str(), float(r.place.y.lo))).collect();
    let lines = paths.into_iter().map(|(path, y)| Line {
        name: name_of(path),
        old: ends(old, was, path),
        new: ends(new, wall, path),
        high: y >= half,
    });
    Site { wall, was, members, lines: lines.collect(), style: new.house.style() }
}

fn view(site: &Site, scale: Scale) -> View {
    let on = |axis| {
        let all = site.members.iter().flat_map(|m| [m.old, m.new]).flatten();
        let all = all
            .chain([site.wall.place, site.was.place])
            .map(|c| (float(c.on(axis).lo), float(c.on(axis).hi)));
        all.fold((0.0f64, 0.0f64), |a, b| (a.0.min(b.0), a.1.max(b.1)))
    };
    let look = Look { across: Axis::X, up: Axis::Y, away: Axis::Z, from_high: false, cut: None };
    View { look, scale, origin: (0.0, 0.0), extent: (on(Axis::X), on(Axis::Y)) }
}

fn draw(site: &Site, scale: Scale) -> Canvas {
    let view = view(site, scale);
    let mut canvas = Canvas::new();
    let area = |c: &Cuboid| {
        let (x, y) = (c.on(Axis::X), c.on(Axis::Y));
        crate::outputs::drawing::canvas::Area::new(
            view.x(float(x.lo)),
            view.y(float(y.lo)),
            view.x(float(x.hi)),
            view.y(float(y.hi)),
        )
    };
    for obstacle in &site.wall.obstacles {
        canvas.fill(area(&obstacle.place), Fill::Shade);
    }
    let boxes = || site.members.iter().filter(|m| !m.gap);
    for member in boxes() {
        if let Some(place) = &member.new {
            canvas.fill(area(place), if member.changed { Fill::Tint } else { Fill::White });
        }
    }
    let heavy = boxes().filter(|m| m.changed).filter_map(|m| m.new.as_ref()).flat_map(sides);
    let past = boxes().filter(|m| m.changed).filter_map(|m| m.old.as_ref()).flat_map(sides);
    let faint = boxes().filter(|m| !m.changed).filter_map(|m| m.new.as_ref()).flat_map(sides);
    let changed = |o: &&crate::job::Obstacle| {
        !site.wall.obstacles.iter().any(|n| n.path == o.path && n.place == o.place)
    };
    let past = past.chain(site.was.obstacles.iter().filter(changed).flat_map(|o| sides(&o.place)));
    Layers { heavy: heavy.collect(), past: past.collect(), faint: faint.collect() }.draw(&mut canvas, &view);
    let wall = area(&site.wall.place);
    canvas.line((wall.x0, wall.y0), (wall.x1, wall.y0), weight::DATUM);
    for x in [wall.x0, wall.x1] {
        canvas.line((x, wall.y0), (x, wall.y1), weight::INNER);
    }
    canvas.line((wall.x0 - 3.0, wall.y1), (wall.x1 + 3.0, wall.y1), 0.7);
    let edges = view.envelope();
    for high in [false, true] {
        let outward = if high { -1.0 } else { 1.0 };
        let edge = if high { edges.y0 } else { edges.y1 + 0.35 };
        let mut line = edge + FIRST * outward;
        let mut first = true;
        for row in site.lines.iter().filter(|l| l.high == high) {
            for past in [false, true] {
                let places = if past { &row.old } else { &row.new };
                if places.is_empty() || past && figures(site, &row.old) == figures(site, &row.new) {
                    continue;
                }
                let before = canvas.drawn.len();
                let tick = |x: &Rational| Tick {
                    at: view.x(float(*x)),
                    figure: site.style.figure(*x),
                    from: if first { edge + OFF * outward } else { line - 2.0 * outward },
                };
                let chain = Chain {
                    level: true,
                    line,
                    outward,
                    origin: 0.0,
                    edge: if first { edge + OFF * outward } else { line },
                    ticks: places.iter().map(tick).collect(),
                    runs: Vec::new(),
                    name: format!("{} row{}, from the LEFT", row.name, if past { " as it was" } else { "" }),
                };
                line = chain.draw(&mut canvas) + NEXT * outward;
                if past {
                    in_past(&mut canvas, before);
                }
                first = false;
            }
        }
    }
    for member in &site.members {
        let Some(place) = member.new.or(member.old) else { continue };
        let room = area(&place);
        let words = if member.new.is_none() { format!("{} gone", member.name) } else { member.name.clone() };
        let spots = [0.5, 0.35, 0.65, 0.2, 0.8].map(|t| {
            let (x, y) = ((room.x0 + room.x1) / 2.0, room.y0 + room.height() * t + height::TEXT / 2.0);
            let text = Text::new(x, y, words.as_str()).middle().class("box");
            let text = if member.gap { text } else { text.bold() };
            if text.length() + 1.5 > room.width() {
                Text { x: x + height::TEXT / 2.0, ..text }.turned()
            } else {
                text
            }
        });
        // What finds no room stands in the table where it differs.
        let fits = spots.into_iter().filter(|t| room.grown(-0.5).holds(&t.area()));
        if let Some(text) = place::best(&canvas, fits.collect::<Vec<_>>()) {
            canvas.text(text);
        }
    }
    canvas
}

fn figures(site: &Site, places: &[Rational]) -> Vec<String> {
    places.iter().map(|x| site.style.figure(*x)).collect()
}

fn sides(place: &Cuboid) -> [Edge; 4] {
    let on = |axis| (float(place.on(axis).lo), float(place.on(axis).hi));
    let (x, y) = (on(Axis::X), on(Axis::Y));
    let edge = |level, at, (from, to)| Edge {
        level,
        at,
        from,
        to,
        hidden: false,
        near: on(Axis::Z).0,
        own: true,
        cut: false,
    };
    [edge(true, y.0, x), edge(true, y.1, x), edge(false, x.0, y), edge(false, x.1, y)]
}

fn table(site: &Site) -> Table {
    let head = ["box", "old from LEFT", "new from LEFT", "old width", "new width"].map(|h| (h, Align::Right));
    let mut head: Vec<(String, Align)> = head.into_iter().map(|(h, a)| (h.to_string(), a)).collect();
    if let Some(first) = head.first_mut() {
        first.1 = Align::Left;
    }
    head.push(("what becomes of it".to_string(), Align::Left));
    let style = &site.style;
    let figure = |c: &Option<Cuboid>, f: &dyn Fn(&Cuboid) -> Option<Rational>| {
        c.as_ref().and_then(f).map_or(String::new(), |r| style.figure(r))
    };
    let row = |m: &Member| {
        let from = |c: &Cuboid| Some(c.x.lo);
        let width = |c: &Cuboid| c.x.size().ok();
        let mut words = vec![m.name.clone() + if m.gap { ", gap" } else { "" }];
        words.extend([figure(&m.old, &from), figure(&m.new, &from)]);
        words.extend([figure(&m.old, &width), figure(&m.new, &width)]);
        words.push(match (&m.old, &m.new) {
            (Some(old), Some(new)) => became(old, new, style),
            (None, _) => "new".to_string(),
            (_, None) => "gone".to_string(),
        });
        words
    };
    let rows: Vec<Vec<String>> = site.members.iter().filter(|m| m.changed).map(row).collect();
    Table { head, grey: vec![false; rows.len()], rows }
}

/// `moved 40 to the left, 40 wider`
fn became(old: &Cuboid, new: &Cuboid, style: &Style) -> String {
    let mut words = Vec::new();
    let mut say = |before: &str, by: Option<Rational>, [less, more]: [&str; 2]| {
        let Some(by) = by else { return };
        let size = style.figure(by.abs().unwrap_or(by));
        if size != "0" {
            words.push(format!("{before}{size} {}", if by.is_negative() { less } else { more }));
        }
    };
    let by = |a: Option<Rational>, b: Option<Rational>| b?.sub(a?).ok();
    say("moved ", by(Some(old.x.lo), Some(new.x.lo)), ["to the left", "to the right"]);
    say("moved ", by(Some(old.y.lo), Some(new.y.lo)), ["down", "up"]);
    say("", by(old.x.size().ok(), new.x.size().ok()), ["narrower", "wider"]);
    say("", by(old.y.size().ok(), new.y.size().ok()), ["lower", "higher"]);
    words.join(", ")
}

fn of_wall(site: &Site, job: &Job, made_from: &str) -> Vec<Sheet> {
    let table = table(site);
    let name = name_of(&site.wall.path);
    let mut kinds = vec![("new, and changes", weight::OUTLINE, Ink::Black, Dash::Solid, true)];
    kinds.push(("as it was", weight::INNER, Ink::Past, Dash::Hidden, false));
    if site.members.iter().any(|m| !m.changed) {
        kinds.push(("stays", weight::HAIR, Ink::Faint, Dash::Solid, false));
    }
    let blocks = [
        Block::Heading(format!("Wall {name}")),
        Block::Paragraph("Boxes of rows, seen from the room.".into()),
        Block::Picture(legend(&kinds)),
    ];
    let scales = [8, 10, 12, 14, 16, 20, 24, 28, 34, 40, 50, 100, 200].map(Scale);
    let tries = scales.into_iter().flat_map(|s| [(s, true), (s, false)]);
    // The table on the page first, at any scale that still reads.
    let (near, far): (Vec<_>, Vec<_>) = tries.partition(|(s, whole)| *whole && s.0 <= 28);
    let found = near.into_iter().chain(far).find_map(|(scale, whole)| {
        let drawing = draw(site, scale);
        let laid = |paper: Paper| {
            let fitted = table.fit(paper.field().width());
            let canvas = arrange::about(paper, &drawing, &blocks, whole.then_some(&fitted))?;
            Some((scale, paper, canvas, if whole { table.rows.len() } else { 0 }))
        };
        [Paper::Landscape, Paper::Portrait].into_iter().find_map(laid)
    });
    let Some((scale, paper, canvas, taken)) = found else { return Vec::new() };
    let mut laid = vec![(paper, canvas)];
    laid.extend(rest(&table, taken));
    let initials: String =
        name.split(' ').filter_map(|w| w.chars().next()).map(|c| c.to_ascii_uppercase()).collect();
    let stem = file_stem(&site.wall.path);
    let count = laid.len();
    let finish = |(n, (paper, canvas)): (usize, (Paper, Canvas))| {
        let strip = Strip {
            mark: initials.clone(),
            title: format!("Old and new, wall {name}"),
            path: site.wall.path.clone(),
            scale: scale.words(),
            lengths: Strip::lengths_of(job),
            made_from: made_from.to_string(),
            sheet: (n + 1, count),
        };
        let name = if n == 0 { stem.clone() } else { format!("{stem}-{}", n + 1) };
        Sheet::finish(name, canvas, paper, &strip)
    };
    laid.into_iter().enumerate().map(finish).collect()
}

//! The sheets of a wall: its elevation, then its plan with the table of its boxes.

use super::front::Front;
use super::site::{Site, name_of};
use super::words::{plan_words, table, words};
use super::{heights, plan};
use crate::outputs::drawing::canvas::Canvas;
use crate::outputs::drawing::paper::{Paper, Scale};
use crate::outputs::drawing::strip::Strip;
use crate::outputs::drawing::table::Table;
use crate::outputs::drawing::{Sheet, arrange, file_stem};

const PAPERS: [Paper; 2] = [Paper::Landscape, Paper::Portrait];

/// A page before its number is known.
struct Laid {
    name: String,
    title: String,
    scale: Scale,
    paper: Paper,
    canvas: Canvas,
}

/// The sheets of one wall.
pub fn sheets(site: &Site) -> Vec<Sheet> {
    let name = name_of(&site.wall.path);
    let stem = file_stem(&site.wall.path);
    let mut pages: Vec<Laid> = Vec::new();
    if let Some((scale, paper, canvas)) = elevation(site) {
        pages.push(Laid {
            name: stem.clone(),
            title: format!("Wall elevation, {name}"),
            scale,
            paper,
            canvas,
        });
    }
    pages.extend(plan_pages(site, &stem, &name));
    let initials: String =
        name.split(' ').filter_map(|w| w.chars().next()).map(|c| c.to_ascii_uppercase()).collect();
    let count = pages.len();
    let finish = |(n, page): (usize, Laid)| {
        let strip = Strip {
            mark: initials.clone(),
            title: page.title,
            path: site.wall.path.clone(),
            scale: page.scale.words(),
            lengths: Strip::lengths_of(site.job),
            made_from: Strip::source_of(site.job),
            sheet: (n + 1, count),
        };
        Sheet::finish(page.name, page.canvas, page.paper, &strip)
    };
    pages.into_iter().enumerate().map(finish).collect()
}

/// The elevation alone, as large as a room of this width and height takes it.
pub fn picture(site: &Site, room: (f64, f64)) -> Option<Canvas> {
    let mut best: Option<(usize, Canvas)> = None;
    for scale in Scale::FREE {
        let front = Front::new(site, scale);
        let bare = front.envelope();
        if bare.width() > room.0 || bare.height() > room.1 {
            continue;
        }
        let mut canvas = Canvas::new();
        let lost = front.draw(&mut canvas);
        if canvas.area().is_some_and(|a| a.width() > room.0 + 15.0 || a.height() > room.1 + 40.0) {
            continue;
        }
        let found = best.is_some();
        if best.as_ref().is_none_or(|(least, _)| lost < *least) {
            best = Some((lost, canvas));
        }
        // A second try is enough: a name without room stands in the words beside.
        if lost == 0 || found {
            break;
        }
    }
    best.map(|(_, canvas)| canvas)
}

fn elevation(site: &Site) -> Option<(Scale, Paper, Canvas)> {
    let blocks = words(site, &heights::levels(site));
    let mut best: Option<(usize, (Scale, Paper, Canvas))> = None;
    for scale in Scale::ALL {
        let front = Front::new(site, scale);
        let bare = front.envelope();
        let fits = |p: &Paper| bare.width() < p.field().width() && bare.height() < p.field().height();
        if !PAPERS.iter().any(fits) {
            continue;
        }
        let mut canvas = Canvas::new();
        let lost = front.draw(&mut canvas);
        let page = PAPERS.into_iter().find_map(|p| Some((p, arrange::about(p, &canvas, &blocks, None)?)));
        let Some((paper, page)) = page else { continue };
        if best.as_ref().is_none_or(|(least, _)| lost < *least) {
            best = Some((lost, (scale, paper, page)));
        }
        // A name that finds no room stands in the table of the plan all the same.
        if lost == 0 || scale.0 >= 20 {
            break;
        }
    }
    best.map(|(_, page)| page)
}

/// The plan with its table, which may run over.
fn plan_pages(site: &Site, stem: &str, name: &str) -> Vec<Laid> {
    let blocks = plan_words(site);
    let table = table(site);
    let title = format!("Wall plan, {name}");
    let page = |n: usize| if n == 0 { format!("{stem}-plan") } else { format!("{stem}-plan-{}", n + 1) };
    for scale in Scale::ALL {
        let mut canvas = Canvas::new();
        plan::draw(site, scale, &mut canvas);
        // Where plan and table do not go together, the table has a sheet of its own.
        for (whole, paper) in [(true, PAPERS[0]), (true, PAPERS[1]), (false, PAPERS[0]), (false, PAPERS[1])] {
            let fitted = table.fit(paper.field().width());
            let Some(canvas) = arrange::about(paper, &canvas, &blocks, whole.then_some(&fitted)) else {
                continue;
            };
            let mut pages = vec![Laid { name: page(0), title: title.clone(), scale, paper, canvas }];
            if !whole {
                let title = format!("Boxes at wall {name}");
                let rest = rest(&table).into_iter().zip(1..);
                pages.extend(rest.map(|(canvas, n)| Laid {
                    name: page(n),
                    title: title.clone(),
                    scale,
                    paper: Paper::Portrait,
                    canvas,
                }));
            }
            return pages;
        }
    }
    Vec::new()
}

/// A table over as many sheets as it takes.
fn rest(table: &Table) -> Vec<Canvas> {
    let field = Paper::Portrait.field();
    let fitted = table.fit(field.width());
    let mut from = 0;
    let mut pages = Vec::new();
    while from < table.rows.len() {
        let count = fitted.rows_in(from, field.height()).max(1);
        let mut canvas = Canvas::new();
        fitted.draw(&mut canvas, (field.x0, field.y0), (from, from + count), &mut 0);
        pages.push(canvas);
        from += count;
    }
    pages
}

//! A drawing on a page with its words in a free corner and its table below.

use super::canvas::{Area, Canvas, Drawn};
use super::column::{self, Block};
use super::paper::Paper;
use super::table::Fitted;

/// Between a drawing and its table, in mm.
const GAP: f64 = 5.0;
/// Widths of the column of words, the best first.
const WIDE: [f64; 7] = [62.0, 72.0, 54.0, 90.0, 46.0, 40.0, 120.0];

/// The page; `None` where it has no room for all of them.
pub fn about(paper: Paper, drawing: &Canvas, blocks: &[Block], table: Option<&Fitted>) -> Option<Canvas> {
    let field = paper.field();
    let drawn = drawing.area()?;
    let bottom = table.map_or(field.y1, |t| field.y1 - t.height(0, t.len()) - GAP);
    let room = Area::new(field.x0, field.y0, field.x1, bottom);
    if bottom - field.y0 < 40.0 || drawn.width() > room.width() || drawn.height() > room.height() {
        return None;
    }
    let (spare_x, spare_y) = (room.width() - drawn.width(), room.height() - drawn.height());
    for wide in WIDE {
        let mut column = Canvas::new();
        let high = column::draw(&mut column, blocks, wide);
        if high > room.height() || wide > room.width() {
            continue;
        }
        // Where the words stand, and how the drawing makes way for them.
        for (right, below) in [(true, false), (false, false), (true, true), (false, true)] {
            let at =
                (if right { room.x1 - wide } else { room.x0 }, if below { room.y1 - high } else { room.y0 });
            let (aside, away) = (if right { 0.0 } else { 1.0 }, if below { 0.0 } else { 1.0 });
            // Half way between the words and the far edge looks better than hard at the edge.
            let beside = (spare_x - wide - 6.0).max(0.0) / spare_x.max(1e-6) / 2.0;
            let beside = if right { beside } else { 1.0 - beside };
            for (tx, ty) in [(0.5, 0.5), (beside, 0.5), (aside, 0.5), (0.5, away), (aside, away)] {
                let by = (room.x0 + spare_x * tx - drawn.x0, room.y0 + spare_y * ty - drawn.y0);
                let words = Area::new(at.0 - by.0, at.1 - by.1, at.0 + wide - by.0, at.1 + high - by.1);
                if !free(drawing, &words.grown(4.0)) {
                    continue;
                }
                let mut canvas = Canvas::new();
                canvas.place(drawing, by.0, by.1);
                canvas.place(&column, at.0, at.1);
                if let Some(table) = table {
                    table.draw(&mut canvas, (field.x0, bottom + GAP), (0, table.len()), &mut 0);
                }
                return Some(canvas);
            }
        }
    }
    None
}

/// True where nothing is drawn in an area.
pub fn free(canvas: &Canvas, area: &Area) -> bool {
    !canvas.drawn.iter().any(|d| match d {
        Drawn::Line(l) => area.clip(l).is_some(),
        // Its edges are lines of their own; what remains is words wholly on one face.
        Drawn::Shape(s) if s.round == 0.0 => holds(&s.points, (area.x0, area.y0)),
        other => other.area().is_some_and(|a| a.gap(area) <= 0.0),
    })
}

/// True where a convex polygon holds a point.
fn holds(points: &[(f64, f64)], (x, y): (f64, f64)) -> bool {
    let ends = points.iter().zip(points.iter().cycle().skip(1));
    let sides: Vec<f64> = ends.map(|(a, b)| (b.0 - a.0) * (y - a.1) - (b.1 - a.1) * (x - a.0)).collect();
    sides.iter().all(|s| *s > 0.0) || sides.iter().all(|s| *s < 0.0)
}

//! Running dimensions along a wall from its left end: rows, and fixings.

use super::front::{FIXING, Front, distinct};
use super::sight::What;
use super::site::plain_name;
use crate::job::Row;
use crate::outputs::drawing::canvas::{Canvas, Ink, Text, height};
use crate::outputs::drawing::chain::{Chain, Tick};
use crate::outputs::drawing::{float, font, place};
use crate::values::Rational;

/// Between the wall and the first chain, and between chains, in mm.
const FIRST: f64 = 5.0;
const NEXT: f64 = 3.5;
const OFF: f64 = 0.8;
/// A chain within the elevation needs so much free height.
const BAND: f64 = 27.0;

/// What one chain measures, from low to high, and its name.
struct Measured {
    /// Each with how high the extension line starts, in mm over the floor.
    places: Vec<(Rational, Option<f64>)>,
    name: String,
}

/// Draws the chains: those of low rows and fixings under the floor, the others over the ceiling.
pub fn draw(front: &Front, canvas: &mut Canvas) {
    let wall = &front.site.wall.place;
    let half = float(wall.y.hi) / 2.0;
    let (mut low, mut high): (Vec<Measured>, Vec<Measured>) = (Vec::new(), Vec::new());
    for row in &front.site.rows {
        let chain = of_row(front, row);
        if float(row.place.y.lo) < half { low.push(chain) } else { high.push(chain) }
    }
    if low.is_empty() && high.is_empty() {
        let places = vec![(wall.x.hi, None)];
        low.push(Measured { places, name: "from the LEFT end".to_string() });
    }
    let mut used: Vec<(f64, f64)> = Vec::new();
    for upper in [false, true] {
        let fixings: Vec<_> = front.site.fixings.iter().filter(|f| (float(f.y) >= half) == upper).collect();
        let Some(lowest) = fixings.iter().map(|f| float(f.y)).min_by(f64::total_cmp) else { continue };
        let band = band(front, lowest, &used);
        used.extend(band.map(|line| {
            let full = f64::from(front.scale.0);
            (-(line + BAND) * full, -(line - 4.5) * full)
        }));
        let down = band.is_some() || !upper;
        let start = |x: Rational| {
            let own = fixings.iter().filter(|f| f.x == x).map(|f| float(f.y));
            if down { own.fold(f64::MAX, f64::min) } else { own.fold(f64::MIN, f64::max) }
        };
        let places = distinct(fixings.iter().map(|f| f.x)).into_iter().map(|x| (x, Some(start(x)))).collect();
        let chain = Measured { places, name: "fixings, from the LEFT".to_string() };
        match band {
            Some(line) => {
                one(front, canvas, &chain, (line, line, 1.0));
            }
            None if upper => high.insert(0, chain),
            None => low.insert(0, chain),
        }
    }
    // The lowest of the high rows stands furthest out.
    stack(front, canvas, &low, 1.0);
    stack(front, canvas, &high, -1.0);
}

fn of_row(front: &Front, row: &Row) -> Measured {
    let wall = &front.site.wall.place;
    let ends = row.members.iter().flat_map(|m| [m.place.x.lo, m.place.x.hi]);
    let places = distinct(ends.chain([wall.x.hi])).into_iter().filter(|x| !x.is_zero());
    Measured {
        places: places.map(|x| (x, None)).collect(),
        name: format!("{} row, from the LEFT", plain_name(&row.path)),
    }
}

/// Where a chain under some fixings finds the wall free over its whole length.
fn band(front: &Front, lowest: f64, used: &[(f64, f64)]) -> Option<f64> {
    let taken = front.flats.iter().filter(|f| f.what != What::Obstacle);
    let mut taken: Vec<(f64, f64)> =
        taken.map(|f| f.y).chain([(-1.0, 0.0)]).chain(used.iter().copied()).collect();
    taken.sort_by(|a, b| b.1.total_cmp(&a.1));
    // Downwards from the fixings: what reaches up to where the free room would end.
    let mut low = lowest;
    for (from, to) in taken {
        if to < low && front.scale.paper(low - to) >= BAND {
            return Some(front.y(low) + 4.5);
        }
        if from < low {
            low = low.min(from);
        }
    }
    None
}

/// Draws chains outwards from the floor (down) or from the ceiling (up).
fn stack(front: &Front, canvas: &mut Canvas, chains: &[Measured], outward: f64) {
    let area = front.envelope();
    let edge = if outward > 0.0 { area.y1.max(0.0) + 0.35 } else { area.y0 };
    let mut line = edge + FIRST * outward;
    for (n, chain) in chains.iter().enumerate() {
        // Only the first is tied to the wall: the next one's tie would run through its figures.
        let tie = if n == 0 { edge + OFF * outward } else { line };
        let reach = one(front, canvas, chain, (line, tie, outward));
        line = reach + NEXT * outward;
    }
}

/// Draws one chain: where its line lies, what it is tied to, and which way its figures stand.
fn one(front: &Front, canvas: &mut Canvas, chain: &Measured, (line, edge, outward): (f64, f64, f64)) -> f64 {
    let style = front.site.job.house.style();
    let area = front.envelope();
    let wall = if outward > 0.0 { area.y1.max(0.0) + 0.35 } else { area.y0 } + OFF * outward;
    let mut ticks: Vec<Tick> = Vec::new();
    for (x, start) in &chain.places {
        let figure = style.figure(*x);
        if ticks.last().is_some_and(|t| t.figure == figure) {
            continue;
        }
        let from = start.map_or(wall, |y| front.y(y) + (FIXING + 1.2) * outward);
        ticks.push(Tick { at: front.x(float(*x)), figure, from });
    }
    let last = ticks.last().map_or((0.0, 0.0), |t| (t.at, font::width(&t.figure, height::TEXT, false)));
    let (level, origin, runs, name) = (true, 0.0, Vec::new(), String::new());
    let reach = Chain { level, line, outward, origin, edge, ticks, runs, name }.draw(canvas);
    // The name beside the last figure saves height; where that is taken, further out.
    let name = Text::new(0.0, 0.0, chain.name.as_str()).bold().ink(Ink::Accent).class("datum");
    let (up, down) = (height::TEXT * font::ABOVE, height::TEXT * font::BELOW);
    let beside = if outward > 0.0 { reach - 0.2 } else { reach + up };
    let beyond = if outward > 0.0 { reach + 1.3 + up } else { reach - 1.3 - down };
    let middle = (area.x0 + area.x1 - name.length()) / 2.0;
    let start = area.x1.max(last.0 + last.1 / 2.0) + 4.0;
    let places = [
        (start, beside),
        (middle, beyond),
        (middle + 20.0, beyond),
        (middle - 20.0, beyond),
        (middle + 40.0, beyond),
        (middle, beyond + 3.5 * outward),
    ];
    let free = |(x, y): &(f64, f64)| {
        place::cost(canvas, &Text { x: *x, y: *y, ..name.clone() }.area()).is_some_and(|crossed| crossed < 3)
    };
    // Within the elevation there is no room further out.
    let most = if (edge - line).abs() < 1e-9 { 1 } else { places.len() };
    let Some((x, y)) = places.into_iter().take(most).find(free) else { return reach };
    let text = Text { x, y, ..name };
    let area = text.area();
    canvas.text(text);
    if (y - beside).abs() < 1e-9 {
        reach
    } else if outward > 0.0 {
        reach.max(area.y1)
    } else {
        reach.min(area.y0)
    }
}

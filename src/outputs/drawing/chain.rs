//! Running dimensions: one origin, ticks, figures that keep clear of each other, dense rows in one.

use super::canvas::{Area, Canvas, Dash, Ink, Text, height, weight};
use super::font;
use super::place;
use super::symbol::{Making, Shape, Symbol};

/// Extension lines pass the dimension line by this much, in mm.
pub const PASS: f64 = 1.2;
const LEADER: f64 = 2.6;
const STUB: f64 = 0.4;

/// A measured place.
#[derive(Clone, Debug)]
pub struct Tick {
    /// Along the chain, on paper.
    pub at: f64,
    pub figure: String,
    /// Across the chain: where its extension line starts.
    pub from: f64,
}

/// Places at one pitch between two ticks.
#[derive(Clone, Debug)]
pub struct Run {
    pub from: f64,
    pub to: f64,
    /// `14 × 32 = 448`
    pub text: String,
    /// The places between, which get bare ticks.
    pub between: Vec<f64>,
}

/// A chain of running dimensions along one edge.
#[derive(Clone, Debug)]
pub struct Chain {
    /// True where it runs along x.
    pub level: bool,
    /// Across: where the dimension line lies.
    pub line: f64,
    /// Across: +1 where the figures stand to the right or below, -1 otherwise.
    pub outward: f64,
    /// Along: the datum edge.
    pub origin: f64,
    /// Across: the outline that the origin is tied to.
    pub edge: f64,
    pub ticks: Vec<Tick>,
    pub runs: Vec<Run>,
    /// `from the FRONT edge`; empty for none.
    pub name: String,
}

/// Places as near as can be to the wanted ones, in order, each at least `least` from the next: the
/// least sum of squared shifts, by pooling adjacent violators. `wanted` ascends; `least` has one
/// entry fewer.
pub fn spread_figures(wanted: &[f64], least: &[f64]) -> Vec<f64> {
    let mut offsets = vec![0.0];
    let mut sum = 0.0;
    for gap in least {
        sum += gap;
        offsets.push(sum);
    }
    // Blocks of equal places once the least distances are taken off: sum and count.
    let mut blocks: Vec<(f64, usize)> = Vec::new();
    for (place, offset) in wanted.iter().zip(&offsets) {
        let mut block = (place - offset, 1usize);
        while let Some(&(total, count)) = blocks.last() {
            if total / count as f64 <= block.0 / block.1 as f64 {
                break;
            }
            blocks.pop();
            block = (block.0 + total, block.1 + count);
        }
        blocks.push(block);
    }
    let flat = blocks.iter().flat_map(|(total, count)| std::iter::repeat_n(total / *count as f64, *count));
    flat.zip(&offsets).map(|(place, offset)| place + offset).collect()
}

impl Chain {
    fn point(&self, along: f64, across: f64) -> (f64, f64) {
        if self.level { (along, across) } else { (across, along) }
    }

    fn stroke(&self, canvas: &mut Canvas, from: (f64, f64), to: (f64, f64), width: f64) {
        canvas.line(self.point(from.0, from.1), self.point(to.0, to.1), width);
    }

    /// Draws the chain; gives how far out its ink reaches, across.
    pub fn draw(&self, canvas: &mut Canvas) -> f64 {
        let ends = self.ticks.iter().map(|t| t.at).chain([self.origin]);
        let (lo, hi) = ends.fold((f64::MAX, f64::MIN), |(a, b), t| (a.min(t), b.max(t)));
        self.stroke(canvas, (lo, self.line), (hi, self.line), weight::HAIR);
        for tick in &self.ticks {
            self.stroke(
                canvas,
                (tick.at, tick.from),
                (tick.at, self.line + PASS * self.outward),
                weight::HAIR,
            );
            let (x, y) = self.point(tick.at, self.line);
            canvas.line((x - 0.64, y + 0.64), (x + 0.64, y - 0.64), weight::DATUM);
        }
        let (x, y) = self.point(self.origin, self.line);
        let tie = self.point(self.origin, self.edge);
        canvas.stroke(tie, (x, y), weight::DATUM, Ink::Accent, Dash::Solid);
        canvas.symbol(Symbol {
            x,
            y,
            radius: Shape::Origin.radius(),
            shape: Shape::Origin,
            through: false,
            making: Making::Bench,
        });
        let beside = self.pitches(canvas);
        let reach = self.figures(canvas, &beside);
        self.name(canvas, (lo, hi), reach)
    }

    /// Bare ticks and pitch texts; gives the texts that found no room in the line.
    fn pitches(&self, canvas: &mut Canvas) -> Vec<(f64, String)> {
        let mut beside = Vec::new();
        for run in &self.runs {
            for at in &run.between {
                self.stroke(canvas, (*at, self.line - 0.7), (*at, self.line + 0.7), weight::HAIR);
            }
            let length = font::width(&run.text, height::TEXT, false);
            let (lo, hi) = (run.from.min(run.to), run.from.max(run.to));
            let places = [0.72, 0.5, 0.28, 0.6, 0.4, 0.8, 0.2];
            let room = places.iter().map(|t| lo + (hi - lo) * t).find_map(|middle| {
                let fits = middle - length / 2.0 > lo + 1.4 && middle + length / 2.0 < hi - 1.4;
                let clear = self.ticks.iter().all(|t| (t.at - middle).abs() > length / 2.0 + 1.2);
                let (x, y) = self.point(middle, self.line);
                let text = if self.level {
                    Text::new(x, y + height::TEXT / 2.0, run.text.as_str()).middle()
                } else {
                    Text::new(x + height::TEXT / 2.0, y, run.text.as_str()).middle().turned()
                };
                (fits && clear && place::cost(canvas, &text.area()).is_some()).then_some(text)
            });
            match room {
                Some(text) => canvas.text(text.class("pitch")),
                None => beside.push(((lo + hi) / 2.0, run.text.clone())),
            }
        }
        beside
    }

    fn figures(&self, canvas: &mut Canvas, beside: &[(f64, String)]) -> f64 {
        let mut items: Vec<(f64, String, &'static str)> =
            self.ticks.iter().map(|t| (t.at, t.figure.clone(), "figure")).collect();
        items.push((self.origin, "0".to_string(), "figure"));
        items.extend(beside.iter().map(|(at, text)| (*at, text.clone(), "pitch")));
        items.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
        let wanted: Vec<f64> = items.iter().map(|(at, _, _)| *at).collect();
        let widths: Vec<f64> = items.iter().map(|(_, t, _)| font::width(t, height::TEXT, false)).collect();
        // Fractions reach below the line.
        let low = items.iter().any(|(_, t, _)| font::descends(t));
        let down = if low { height::TEXT * font::BELOW } else { 0.0 };
        let pitch = (height::TEXT + 1.1).max(height::TEXT * font::ABOVE + down + 0.4);
        let tight = vec![pitch; items.len().saturating_sub(1)];
        let mut turned = false;
        let mut places = if self.level {
            let least: Vec<f64> =
                widths.iter().zip(widths.iter().skip(1)).map(|(a, b)| (a + b) / 2.0 + 1.6).collect();
            spread_figures(&wanted, &least)
        } else {
            spread_figures(&wanted, &tight)
        };
        let shift =
            |places: &[f64]| places.iter().zip(&wanted).map(|(p, w)| (p - w).abs()).fold(0.0, f64::max);
        if self.level && shift(&places) > 6.0 {
            turned = true;
            places = spread_figures(&wanted, &tight);
        }
        let leaders = shift(&places) > 0.3 || !beside.is_empty();
        let start = self.line + PASS * self.outward;
        let base = if leaders { start + (STUB + LEADER) * self.outward } else { start } + 0.5 * self.outward;
        let mut reach = base;
        for ((((at, figure, class), place), width), _) in items.iter().zip(&places).zip(&widths).zip(0usize..)
        {
            if leaders {
                let bend = start + STUB * self.outward;
                // The origin's leader starts at its ring.
                let from = if (at - self.origin).abs() < 1e-6 { self.line } else { start };
                self.stroke(canvas, (*at, from), (*at, bend), weight::HAIR);
                self.stroke(canvas, (*at, bend), (*place, bend + LEADER * self.outward), weight::HAIR);
            }
            let out = self.outward > 0.0;
            let text = match (self.level, turned) {
                (true, false) => {
                    let y = if out { base + height::TEXT * font::ABOVE } else { base - down };
                    Text::new(*place, y, figure.as_str()).middle()
                }
                (true, true) => {
                    let text = Text::new(*place + height::TEXT / 2.0, base, figure.as_str()).turned();
                    if out { text.end() } else { text }
                }
                (false, _) => {
                    let text = Text::new(base, *place + height::TEXT / 2.0, figure.as_str());
                    if out { text } else { text.end() }
                }
            };
            let across = if self.level && !turned { height::TEXT * font::ABOVE + down } else { *width };
            let end = base + across * self.outward;
            reach = if out { reach.max(end) } else { reach.min(end) };
            canvas.text(text.class(class));
        }
        reach
    }

    fn name(&self, canvas: &mut Canvas, (lo, hi): (f64, f64), reach: f64) -> f64 {
        if self.name.is_empty() {
            return reach;
        }
        let base = reach + 1.3 * self.outward;
        let out = self.outward > 0.0;
        let up = height::TEXT * font::ABOVE;
        let down = height::TEXT * font::BELOW;
        let middle = (lo + hi) / 2.0;
        let text = if self.level {
            let y = if out { base + up } else { base - down };
            Text::new(middle, y, self.name.as_str())
        } else {
            let x = if out { base + up } else { base - down };
            Text::new(x, middle, self.name.as_str()).turned()
        };
        canvas.text(text.middle().bold().ink(Ink::Accent).class("datum"));
        base + (up + down) * self.outward
    }
}

/// A clear dimension: a line between two places with its figure in it, for openings.
#[derive(Clone, Debug)]
pub struct Clear {
    pub level: bool,
    /// Across: where the dimension line lies.
    pub line: f64,
    pub lo: f64,
    pub hi: f64,
    pub text: String,
    /// Across: where the extension lines start.
    pub from: f64,
    pub outward: f64,
}

impl Clear {
    /// Draws it; the figure slides along until it stands free. False where no place was free: then
    /// nothing is drawn.
    pub fn draw(&self, canvas: &mut Canvas) -> bool {
        let length = font::width(&self.text, height::TEXT, false);
        let room = self.hi - self.lo;
        let places = [0.5, 0.26, 0.74, 0.38, 0.62];
        let off = -0.8;
        let candidate = |t: f64| {
            let middle = self.lo + room * t;
            if self.level {
                Text::new(middle, self.line + off, self.text.as_str()).middle()
            } else {
                Text::new(self.line + off, middle, self.text.as_str()).middle().turned()
            }
        };
        let inside = |area: &Area| {
            let (lo, hi) = if self.level { (area.x0, area.x1) } else { (area.y0, area.y1) };
            lo > self.lo + 1.1 && hi < self.hi - 1.1
        };
        let mut found: Option<(u32, Text)> = None;
        for t in places {
            let text = candidate(t);
            let area = text.area();
            if length + 2.2 > room || !inside(&area) {
                continue;
            }
            if let Some(cost) = place::cost(canvas, &area)
                && found.as_ref().is_none_or(|(least, _)| cost < *least)
            {
                found = Some((cost, text));
            }
        }
        let Some((_, text)) = found else { return false };
        let point = |along: f64, across: f64| if self.level { (along, across) } else { (across, along) };
        canvas.line(point(self.lo, self.line), point(self.hi, self.line), weight::HAIR);
        for end in [self.lo, self.hi] {
            canvas.line(point(end, self.from), point(end, self.line + PASS * self.outward), weight::HAIR);
            let (x, y) = point(end, self.line);
            canvas.line((x - 0.64, y + 0.64), (x + 0.64, y - 0.64), weight::DATUM);
        }
        canvas.text(text.class("clear"));
        true
    }
}

//! Tables: a heading, rows with hair lines, as many rows as fit.

use super::canvas::{Canvas, Ink, Text, height, weight};
use super::font;

/// Height of a row of one line.
pub const ROW: f64 = 4.9;
const LINE: f64 = 4.1;
const GAP: f64 = 2.4;

/// How the cells of a column stand.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Align {
    Left,
    Right,
}

/// A table; the last column takes what width is left and wraps.
#[derive(Clone, Debug)]
pub struct Table {
    pub head: Vec<(String, Align)>,
    pub rows: Vec<Vec<String>>,
    /// Rows that are not done on this page stand in grey.
    pub grey: Vec<bool>,
}

/// Widths of columns found for a given whole width, and rows ready to draw.
#[derive(Clone, Debug)]
pub struct Fitted {
    head: Vec<(Vec<String>, Align)>,
    widths: Vec<f64>,
    rows: Vec<(Vec<Vec<String>>, bool)>,
    width: f64,
}

impl Table {
    /// The least width at which no cell but those of the last column wraps, and that one keeps 18 mm.
    pub fn least_width(&self) -> f64 {
        let last = self.head.len().saturating_sub(1);
        let fixed: f64 = (0..last).map(|i| self.natural(i) + GAP).sum();
        fixed + self.natural(last).min(18.0).max(self.longest_word(last)) + 1.5
    }

    /// Width of a column by its cells and the words of its heading.
    fn natural(&self, column: usize) -> f64 {
        let cells = self.rows.iter().filter_map(|r| r.get(column));
        let widest = cells.map(|c| font::width(c, height::TEXT, false)).fold(0.0, f64::max);
        let head = self.head.get(column).map_or("", |(h, _)| h.as_str());
        // `length × width` stays in one line.
        let whole = if head.contains('×') { vec![head] } else { head.split(' ').collect() };
        let words = whole.into_iter().map(|w| font::width(w, height::TEXT, false) + 0.2).fold(0.0, f64::max);
        widest.max(words)
    }

    fn longest_word(&self, column: usize) -> f64 {
        let cells = self.rows.iter().filter_map(|r| r.get(column));
        cells
            .flat_map(|c| c.split(' '))
            .map(|w| font::width(w, height::TEXT, false))
            .fold(0.0, f64::max)
            .min(30.0)
    }

    /// The table set in a width.
    pub fn fit(&self, width: f64) -> Fitted {
        let last = self.head.len().saturating_sub(1);
        let mut widths: Vec<f64> = (0..last).map(|i| self.natural(i) + GAP).collect();
        // Where they are too wide together, columns of words wrap, the widest first.
        let least_last = self.longest_word(last).max(12.0) + 1.5;
        let mut order: Vec<usize> = (0..last).collect();
        order.sort_by(|a, b| self.natural(*b).total_cmp(&self.natural(*a)));
        for i in order {
            let over = widths.iter().sum::<f64>() + least_last - width;
            if over > 0.0
                && let Some(w) = widths.get_mut(i)
            {
                *w = (*w - over).max(self.longest_word(i) + GAP);
            }
        }
        let fixed: f64 = widths.iter().sum();
        let rest = (width - fixed - 1.5).max(8.0);
        // What is left over goes half into the columns, so that the table does not crowd at the left.
        let spare = (rest - self.natural(last) - 4.0).max(0.0) / 2.0;
        let each = (spare / (last.max(1)) as f64).min(8.0);
        widths.iter_mut().for_each(|w| *w += each);
        let rest = rest - each * last as f64;
        let head = self
            .head
            .iter()
            .enumerate()
            .map(|(i, (text, align))| {
                let room = widths.get(i).map_or(rest, |w| w - GAP);
                (font::wrap(text, height::TEXT, false, room), *align)
            })
            .collect();
        widths.push(rest);
        let rows = self
            .rows
            .iter()
            .enumerate()
            .map(|(n, cells)| {
                let cells = cells
                    .iter()
                    .enumerate()
                    .map(|(i, c)| {
                        let own = widths.get(i).map_or(rest, |w| w - GAP + 0.01);
                        let room = if i == last { rest } else { own };
                        font::wrap(&font::printable(c), height::TEXT, false, room)
                    })
                    .collect();
                (cells, self.grey.get(n).copied().unwrap_or(false))
            })
            .collect();
        Fitted { head, widths, rows, width }
    }
}

impl Fitted {
    pub fn len(&self) -> usize {
        self.rows.len()
    }

    pub fn is_empty(&self) -> bool {
        self.rows.is_empty()
    }

    fn head_height(&self) -> f64 {
        let lines = self.head.iter().map(|(l, _)| l.len()).max().unwrap_or(1).max(1);
        ROW + LINE * (lines - 1) as f64
    }

    fn row_height(&self, n: usize) -> f64 {
        let lines =
            self.rows.get(n).map_or(1, |(cells, _)| cells.iter().map(Vec::len).max().unwrap_or(1).max(1));
        ROW + LINE * (lines - 1) as f64
    }

    /// Height of the heading and some rows.
    pub fn height(&self, from: usize, to: usize) -> f64 {
        self.head_height() + (from..to).map(|n| self.row_height(n)).sum::<f64>()
    }

    /// How many rows from one on fit in a height, under a heading.
    pub fn rows_in(&self, from: usize, room: f64) -> usize {
        let mut used = self.head_height();
        let mut count = 0;
        for n in from..self.rows.len() {
            used += self.row_height(n);
            if used > room + 1e-6 {
                break;
            }
            count += 1;
        }
        count
    }

    /// Draws some rows under a heading, the top left corner at a point. `id` makes rows apart.
    pub fn draw(&self, canvas: &mut Canvas, at: (f64, f64), (from, to): (usize, usize), id: &mut u32) {
        let (x, mut y) = at;
        let right = x + self.width;
        canvas.line((x, y), (right, y), weight::DATUM);
        let head: Vec<_> = self.head.iter().map(|(l, a)| (l.clone(), *a)).collect();
        let aligns: Vec<Align> = head.iter().map(|(_, a)| *a).collect();
        let cells: Vec<Vec<String>> = head.into_iter().map(|(l, _)| l).collect();
        *id += 1;
        self.cells(canvas, (x, y), &cells, &aligns, (Ink::Grey, "head", *id));
        y += self.head_height();
        canvas.line((x, y), (right, y), weight::INNER);
        for n in from..to {
            if let Some((cells, grey)) = self.rows.get(n) {
                *id += 1;
                let ink = if *grey { Ink::Grey } else { Ink::Black };
                self.cells(canvas, (x, y), cells, &aligns, (ink, "cell", *id));
                y += self.row_height(n);
                let heavy = if n + 1 == to { weight::DATUM } else { weight::HAIR };
                canvas.line((x, y), (right, y), heavy);
            }
        }
    }

    fn cells(
        &self,
        canvas: &mut Canvas,
        (x, y): (f64, f64),
        cells: &[Vec<String>],
        aligns: &[Align],
        (ink, class, row): (Ink, &'static str, u32),
    ) {
        let mut left = x + 0.8;
        for ((lines, align), width) in cells.iter().zip(aligns).zip(&self.widths) {
            for (i, line) in lines.iter().enumerate() {
                let baseline = y + 3.55 + LINE * i as f64;
                let text = match align {
                    Align::Left => Text::new(left, baseline, line.clone()),
                    Align::Right => Text::new(left + width - GAP, baseline, line.clone()).end(),
                };
                let class = if i == 0 { class } else { "more" };
                let mut text = text.ink(ink).class(class);
                text.row = Some(row);
                canvas.text(text);
            }
            left += width;
        }
    }
}

//! Tables for a terminal: columns that wrap so that the whole stays within a width.

use crate::diagnostics::visible;
use unicode_width::{UnicodeWidthChar, UnicodeWidthStr};

/// How a column is laid out.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Align {
    /// Words, which may wrap.
    Left,
    /// Figures, which never do.
    Right,
}

/// Rows of cells under headings.
pub struct Table {
    columns: Vec<(String, Align)>,
    rows: Vec<Vec<String>>,
}

const GAP: usize = 2;
/// No column of words is made narrower than this.
const LEAST: usize = 6;

impl Table {
    /// A table with these columns.
    pub fn new(columns: &[(&str, Align)]) -> Table {
        Table { columns: columns.iter().map(|(h, a)| ((*h).to_string(), *a)).collect(), rows: Vec::new() }
    }

    /// Adds a row; cells beyond the columns are dropped.
    pub fn row(&mut self, cells: Vec<String>) {
        self.rows.push(cells.iter().map(|cell| visible(cell).into_owned()).collect());
    }

    /// Leaves out a column whose cells are all empty.
    pub fn without_empty_columns(mut self) -> Table {
        let keep: Vec<bool> = (0..self.columns.len())
            .map(|i| self.rows.iter().any(|r| r.get(i).is_some_and(|c| !c.is_empty())))
            .collect();
        let kept = |i: usize| keep.get(i).copied().unwrap_or(false);
        self.columns =
            self.columns.into_iter().enumerate().filter(|(i, _)| kept(*i)).map(|(_, c)| c).collect();
        for row in &mut self.rows {
            let cells = std::mem::take(row);
            *row = cells.into_iter().enumerate().filter(|(i, _)| kept(*i)).map(|(_, c)| c).collect();
        }
        self
    }

    /// The widest each column would be.
    pub fn natural_widths(&self) -> Vec<usize> {
        self.columns
            .iter()
            .enumerate()
            .map(|(i, (heading, _))| {
                let cells = self.rows.iter().filter_map(|r| r.get(i)).map(|c| c.width());
                cells.chain([heading.width()]).max().unwrap_or(0)
            })
            .collect()
    }

    /// Widths that fit: the widest columns of words give way first, then figures break at their spaces.
    pub fn fitted(&self, natural: &[usize], width: usize) -> Vec<usize> {
        let mut widths = natural.to_vec();
        let gaps = GAP * widths.len().saturating_sub(1);
        let mut over = (widths.iter().sum::<usize>() + gaps).saturating_sub(width);
        let unbroken = self.widest_words();
        for figures in [false, true] {
            let least = |i: usize| if figures { unbroken[i].min(LEAST) } else { LEAST };
            while over > 0 {
                let may = |i: &usize| figures || self.columns[*i].1 == Align::Left;
                let widest = (0..widths.len()).filter(may).max_by_key(|i| (widths[*i], *i));
                match widest {
                    Some(i) if widths[i] > least(i) => widths[i] -= 1,
                    _ => break,
                }
                over -= 1;
            }
        }
        widths
    }

    fn widest_words(&self) -> Vec<usize> {
        let widest = |text: &str| text.split(' ').map(|w| w.width()).max().unwrap_or(0);
        let column = |i: usize| self.rows.iter().filter_map(move |r| r.get(i)).map(|c| widest(c)).max();
        (0..self.columns.len()).map(|i| column(i).unwrap_or(0).max(widest(&self.columns[i].0))).collect()
    }

    /// The lines of the table with these column widths, each ended by a newline.
    pub fn print(&self, widths: &[usize], indent: &str) -> String {
        let mut out = String::new();
        let headings: Vec<String> = self.columns.iter().map(|(h, _)| h.clone()).collect();
        self.print_row(&headings, widths, indent, &mut out);
        for row in &self.rows {
            self.print_row(row, widths, indent, &mut out);
        }
        out
    }

    fn print_row(&self, cells: &[String], widths: &[usize], indent: &str, out: &mut String) {
        let wrapped: Vec<Vec<String>> =
            cells.iter().zip(widths).map(|(cell, width)| wrap(cell, *width)).collect();
        let lines = wrapped.iter().map(Vec::len).max().unwrap_or(0).max(1);
        for line in 0..lines {
            let mut text = indent.to_string();
            for ((cell, width), (_, align)) in wrapped.iter().zip(widths).zip(&self.columns) {
                let piece = cell.get(line).map_or("", String::as_str);
                let pad = " ".repeat(width.saturating_sub(piece.width()));
                match align {
                    Align::Left => {
                        text.push_str(piece);
                        text.push_str(&pad);
                    }
                    Align::Right => {
                        text.push_str(&pad);
                        text.push_str(piece);
                    }
                }
                text.push_str(&" ".repeat(GAP));
            }
            out.push_str(text.trim_end());
            out.push('\n');
        }
    }
}

/// Breaks text into lines no wider than `width` columns, at spaces where it can.
pub fn wrap(text: &str, width: usize) -> Vec<String> {
    let width = width.max(1);
    let mut lines = Vec::new();
    for paragraph in text.split('\n') {
        let mut line = String::new();
        let mut used = 0;
        for word in paragraph.split(' ') {
            let mut word = word;
            let mut wide = word.width();
            let gap = usize::from(used > 0);
            if used + gap + wide > width && used > 0 {
                lines.push(std::mem::take(&mut line));
                used = 0;
            }
            while wide > width {
                let at = fits(word, width);
                lines.push(word[..at].to_string());
                word = &word[at..];
                wide = word.width();
            }
            if used > 0 {
                line.push(' ');
                used += 1;
            }
            line.push_str(word);
            used += wide;
        }
        lines.push(line);
    }
    lines
}

/// The most bytes of a word that fit, at least one character; after a stop or an underscore if it can.
fn fits(word: &str, width: usize) -> usize {
    let (mut used, mut end, mut joint) = (0, 0, 0);
    for (at, c) in word.char_indices() {
        used += c.width().unwrap_or(0);
        if used > width && at > 0 {
            break;
        }
        end = at + c.len_utf8();
        if matches!(c, '.' | '_' | '/' | '-') {
            joint = end;
        }
    }
    if joint > 0 && end < word.len() { joint } else { end }
}

/// Text wrapped with one indent before its first line and another before the rest.
pub fn indented(text: &str, width: usize, first: &str, rest: &str) -> String {
    let room = width.saturating_sub(first.width().max(rest.width())).max(20);
    let mut out = String::new();
    for (i, line) in wrap(text, room).iter().enumerate() {
        out.push_str(if i == 0 { first } else { rest });
        out.push_str(line);
        out.push('\n');
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_and_long_ones_break() {
        assert_eq!(wrap("front, rear and top", 11), ["front, rear", "and top"]);
        assert_eq!(wrap("floor.tools.left", 9), ["floor.", "tools.", "left"]);
        assert_eq!(wrap("abcdef", 4), ["abcd", "ef"]);
        assert_eq!(wrap("", 4), [""]);
    }

    #[test]
    fn no_line_is_wider_than_asked() {
        let mut table = Table::new(&[("mark", Align::Left), ("size", Align::Right), ("boxes", Align::Left)]);
        table.row(vec!["CL".into(), "720 × 560".into(), "floor.clay, floor.glaze, floor.tools".into()]);
        let widths = table.fitted(&table.natural_widths(), 40);
        assert!(table.print(&widths, "").lines().all(|l| l.width() <= 40));
    }
}

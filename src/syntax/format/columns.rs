//! Columns of neighbouring lines, and the comments at their ends.

use super::hints::column;
use super::write::{Line, Point};
use super::{WIDTH, width};

/// Comments of a run stand in one column, but for those behind lines so much longer than the shortest.
const APART: usize = 28;

/// The text of all lines.
pub(super) fn text(mut lines: Vec<Line>) -> String {
    let mut from = 0;
    while let Some(line) = lines.get(from) {
        let section = line.section;
        let mut to = from + 1;
        while section.is_some() && lines.get(to).is_some_and(|l| l.section == section) {
            to += 1;
        }
        if let Some(rows) = lines.get_mut(from..to).filter(|rows| rows.len() > 1) {
            align(rows);
        }
        from = to;
    }
    let mut out = String::with_capacity(lines.iter().map(|l| l.text.len() + l.comment.len() + 8).sum());
    let ends = comment_columns(&lines);
    for (line, end) in lines.iter().zip(ends) {
        out.push_str(line.text.trim_end());
        if !line.comment.is_empty() {
            out.extend(std::iter::repeat_n(' ', end.saturating_sub(width(&line.text))));
            out.push_str(line.comment);
        }
        out.push('\n');
    }
    out
}

/// Where the comment of each line starts.
fn comment_columns(lines: &[Line]) -> Vec<usize> {
    let mut out = vec![0; lines.len()];
    let mut from = 0;
    while from < lines.len() {
        let run = lines.get(from).map(|l| l.run);
        let mut to = from;
        while lines.get(to).map(|l| l.run) == run && to < lines.len() {
            to += 1;
        }
        let beside =
            lines.get(from..to).unwrap_or(&[]).iter().map(|l| (width(&l.text), !l.comment.is_empty()));
        let widths = || beside.clone().filter(|(_, comment)| *comment).map(|(wide, _)| wide);
        let most = widths().min().unwrap_or(0) + APART;
        let column = widths().filter(|wide| *wide <= most).max().unwrap_or(0);
        for ((wide, _), end) in beside.zip(out.iter_mut().skip(from)) {
            *end = wide.max(column) + 2;
        }
        from = to;
    }
    out
}

/// A line joins a column that its own text would push no further than this.
const STRETCH: usize = 16;

/// Columns that have not settled after so many rounds are none.
const ROUNDS: usize = 50;

/// One line's place for a column.
struct Cell {
    /// The line and its point.
    line: usize,
    point: usize,
    /// Where it stands with no more blanks than need be.
    least: usize,
    was: Option<usize>,
    wide: bool,
    /// How much of the line stands before it in blanks, and after it.
    rest: usize,
    /// It stands in no column: its line would be too long.
    barred: bool,
}

/// Sets neighbouring statements in the columns that their maker gave them.
fn align(rows: &mut [Line]) {
    if !rows.iter().any(|r| r.points.iter().any(|p| p.wide)) {
        return;
    }
    let mut all: Vec<u8> = rows.iter().flat_map(|r| r.points.iter().map(|p| p.column)).collect();
    all.sort_unstable();
    all.dedup();
    for column in all {
        let mut cells: Vec<Cell> = Vec::new();
        let mut key = ("", "");
        for line in 0..rows.len() {
            let Some(row) = rows.get(line).filter(|r| r.first) else { continue };
            let found = Some(row).and_then(|r| {
                let point = r.points.iter().position(|p| p.column == column)?;
                let p = r.points.get(point)?;
                let before = r.text.get(..p.at)?;
                let indent = before.len() - before.trim_start().len();
                let least = width(before) - indent;
                let rest = width(&r.text) - least;
                Some((Cell { line, point, least, was: p.was, wide: p.wide, rest, barred: false }, p.key))
            });
            if found.as_ref().is_none_or(|(_, k)| *k != key) {
                shift(rows, std::mem::take(&mut cells));
            }
            if let Some((cell, k)) = found {
                key = k;
                cells.push(cell);
            }
        }
        shift(rows, cells);
    }
}

/// Moves the points of neighbouring lines to where their columns are.
fn shift(rows: &mut [Line], mut cells: Vec<Cell>) {
    // What is moved may come to stand under a neighbour, so until nothing changes.
    let mut settled = false;
    for _ in 0..ROUNDS {
        let columns = targets(&cells);
        settled = true;
        for (cell, column) in cells.iter_mut().zip(columns) {
            if column > cell.least && column + cell.rest > WIDTH {
                (cell.barred, settled) = (true, false);
            }
            let column = if cell.barred { cell.least } else { column };
            settled &= cell.was == Some(column) && cell.wide == (column > cell.least);
            (cell.was, cell.wide) = (Some(column), column > cell.least);
        }
        if settled {
            break;
        }
    }
    if !settled {
        return;
    }
    for cell in cells {
        let more = cell.was.unwrap_or(cell.least).saturating_sub(cell.least);
        let Some((line, after)) = rows.get_mut(cell.line..).and_then(|rows| rows.split_first_mut()) else {
            continue;
        };
        let Some(at) = line.points.get(cell.point).map(|p| p.at) else { continue };
        let column = line.text.get(..at).map_or(0, width);
        for next in after.iter_mut().take_while(|l| !l.first).filter(|l| l.anchor > column) {
            next.text.insert_str(0, &" ".repeat(more));
            next.anchor += more;
        }
        line.text.insert_str(at, &" ".repeat(more));
        let later = |p: &&mut Point| p.at >= at;
        line.points.iter_mut().filter(later).for_each(|p| p.at += more);
    }
}

/// The column of each line: lines that stood under each other, one of them with blanks to do so, stay under
/// each other, and lines beside them that stood alone join them.
fn targets(cells: &[Cell]) -> Vec<usize> {
    let mut groups: Vec<(std::ops::Range<usize>, bool, bool)> = Vec::new();
    let mut from = 0;
    while let Some(cell) = cells.get(from) {
        let same = |c: &&Cell| c.was.is_some() && c.was == cell.was && !c.barred && !cell.barred;
        let count = cells.iter().skip(from).take_while(same).count().max(1);
        let meant = count > 1 && cells.iter().skip(from).take(count).any(|c| c.wide);
        groups.push((from..from + count, meant, count == 1));
        from += count;
    }
    let mut out: Vec<usize> = cells.iter().map(|c| c.least).collect();
    let mut free = 0;
    let mut at = 0;
    while let Some((range, meant, _)) = groups.get(at) {
        let (mut from, mut to) = (range.start, range.end);
        at += 1;
        if !meant {
            if range.len() > 1 {
                free = to;
            }
            continue;
        }
        let members = cells.get(from..to).unwrap_or(&[]);
        let mut most = members.iter().map(|c| c.least).max().unwrap_or(0);
        let mut rest = members.iter().map(|c| c.rest).max().unwrap_or(0);
        // None joins that is too far off, or that would make a line too long.
        let mut joins = |i: usize| {
            let one = cells.get(i).filter(|c| !c.barred && c.least <= most + STRETCH);
            let fits = one.is_some_and(|one| match one.least > most {
                true => one.least + rest <= WIDTH,
                false => one.least == most || most + one.rest <= WIDTH,
            });
            if let Some(one) = one.filter(|_| fits) {
                (most, rest) = (most.max(one.least), rest.max(one.rest));
            }
            fits
        };
        while groups.get(at).is_some_and(|g| g.2) && joins(to) {
            (to, at) = (to + 1, at + 1);
        }
        while from > free && joins(from - 1) {
            from -= 1;
        }
        if let Some(all) = out.get_mut(from..to) {
            all.fill(most);
        }
        free = to;
    }
    out
}

/// Arguments and fields share a column only under the same label.
pub(super) fn labelled(column: u8) -> bool {
    (column::ARGUMENT..column::ELSE).contains(&column) || column >= column::FIELD
}

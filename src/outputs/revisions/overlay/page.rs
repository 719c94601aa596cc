//! A box in both revisions on a page: scale, views, words and table.

use super::subject::Subject;
use super::views;
use super::words::{rows, table, words};
use crate::geometry::Axis;
use crate::job::Job;
use crate::outputs::drawing::canvas::Canvas;
use crate::outputs::drawing::paper::{Paper, Scale};
use crate::outputs::drawing::strip::Strip;
use crate::outputs::drawing::{Sheet, file_stem};
use crate::outputs::elevations::page::{compose, name_of, rest};

/// Scales that are tried with the whole table on the page, then those with the table running over. Figures stand in
/// the table, so that a scale between those of a rule is better than a table on a page of its own.
const WHOLE: [Scale; 7] = [Scale(2), Scale(5), Scale(8), Scale(10), Scale(12), Scale(14), Scale(16)];
const OVER: [Scale; 4] = [Scale(2), Scale(5), Scale(10), Scale(14)];
const FAR: [Scale; 6] = [Scale(20), Scale(34), Scale(50), Scale(100), Scale(200), Scale(500)];

/// The sheets of one box: one, and more where its table runs over.
pub fn sheets(subject: &Subject, names: [&str; 2]) -> Vec<Sheet> {
    let Some(entry) = subject.entry() else { return Vec::new() };
    let rows = rows(subject);
    let table = table(&rows);
    let blocks = words(subject, names);
    let mut found: Option<(usize, Scale, Paper, Canvas, usize)> = None;
    // One box at half its size says no more than at a fifth of it.
    let small = Axis::ALL.iter().all(|a| subject.extent(*a).1 < 150.0);
    let scales = WHOLE.map(|s| (s, false)).into_iter().chain(OVER.map(|s| (s, true)));
    let scales = scales.chain(FAR.into_iter().flat_map(|s| [(s, false), (s, true)]));
    'scales: for (scale, overflow) in scales.filter(|(s, _)| small || s.0 > 2) {
        let drawing = views::draw(subject, &rows, scale);
        for paper in [Paper::Landscape, Paper::Portrait] {
            let better = found.as_ref().is_none_or(|(lost, ..)| drawing.unplaced < *lost);
            if better && let Some((canvas, taken)) = compose(paper, &drawing, &blocks, &table, overflow) {
                found = Some((drawing.unplaced, scale, paper, canvas, taken));
                if drawing.unplaced == 0 {
                    break 'scales;
                }
            }
        }
        // Marks that found no room at a large scale find less at a small one.
        if found.is_some() && scale.0 >= 20 {
            break;
        }
    }
    let Some((_, scale, paper, canvas, taken)) = found else { return Vec::new() };
    let mut laid = vec![(paper, canvas)];
    laid.extend(rest(&table, taken));
    let name = name_of(&entry.path);
    let initials: String =
        name.split([' ', '[']).filter_map(|w| w.chars().next()).map(|c| c.to_ascii_uppercase()).collect();
    let stem = file_stem(&entry.path) + if subject.is_gone() { "-gone" } else { "" };
    let count = laid.len();
    let finish = |(n, (paper, canvas)): (usize, (Paper, Canvas))| {
        let strip = Strip {
            mark: initials.clone(),
            title: format!("Old and new, {name}"),
            path: entry.path.clone(),
            scale: scale.words(),
            lengths: Strip::lengths_of(subject.job()),
            made_from: made_from(subject.job(), names),
            sheet: (n + 1, count),
        };
        let name = if n == 0 { stem.clone() } else { format!("{stem}-{}", n + 1) };
        Sheet::finish(name, canvas, paper, &strip)
    };
    laid.into_iter().enumerate().map(finish).collect()
}

/// Both revisions by their names, else the source of the new one.
pub fn made_from(job: &Job, [old, new]: [&str; 2]) -> String {
    match (old, new) {
        ("", "") => Strip::source_of(job),
        ("", name) | (name, "") => name.to_string(),
        (old, new) => format!("{new}, was {old}"),
    }
}

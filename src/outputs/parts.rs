//! The parts list: a row for each distinct part, as a table, CSV or JSON.

use super::csv;
use super::table::{Align, Table, indented};
use super::words::{self, a_few, count};
use crate::job::{CutSize, Job, Mm, Part, name_and_index, path_order};
use crate::values::Style;
use serde::Serialize;
use std::collections::BTreeMap;

/// A distinct part: the first piece, and what is said of all.
pub struct Distinct<'a> {
    /// The piece whose faces and edges stand for all.
    pub part: &'a Part,
    /// Every piece, in order.
    pub pieces: Vec<&'a Part>,
    /// The mark of its mirror image, if it has one.
    pub mirror: Option<&'a str>,
}

impl Distinct<'_> {
    /// What the pieces are called: `left`, `shelf`, `bottom, top`.
    pub fn name(&self) -> String {
        if let [only] = self.pieces[..] {
            return only.name().to_string();
        }
        let mut names: Vec<&str> = Vec::new();
        for piece in &self.pieces {
            let (name, _) = name_and_index(piece.name());
            if !names.contains(&name) {
                names.push(name);
            }
        }
        names.join(", ")
    }

    /// The boxes that its pieces belong to, in order, each once.
    pub fn boxes(&self) -> Vec<&str> {
        let mut boxes: Vec<&str> = self.pieces.iter().map(|p| p.box_path.as_str()).collect();
        boxes.sort_by(|a, b| path_order(a, b));
        boxes.dedup();
        boxes
    }
}

/// The distinct parts of a job: by board, then in the order of their first paths.
pub fn distinct(job: &Job) -> Vec<Distinct<'_>> {
    let by_path: BTreeMap<&str, &Part> = job.parts.iter().map(|p| (p.path.as_str(), p)).collect();
    let mut mirrors: BTreeMap<&str, &str> = BTreeMap::new();
    for (a, b) in &job.pairs {
        mirrors.insert(a, b);
        mirrors.insert(b, a);
    }
    // Thick boards first: the carcass before its back.
    let mut order: Vec<_> = job.boards.iter().collect();
    order.sort_by_key(|b| std::cmp::Reverse(b.thickness));
    let boards: BTreeMap<&str, usize> = order.iter().zip(0..).map(|(b, i)| (b.name.as_str(), i)).collect();
    let mut out: Vec<Distinct> = job
        .same
        .iter()
        .filter_map(|same| {
            let pieces: Vec<&Part> =
                same.pieces.iter().filter_map(|p| by_path.get(p.as_str()).copied()).collect();
            let part = *pieces.first()?;
            Some(Distinct { part, pieces, mirror: mirrors.get(same.mark.as_str()).copied() })
        })
        .collect();
    // Stable: within a board the order of `same` stays, which is that of first paths.
    out.sort_by_key(|d| boards.get(d.part.board.as_str()).copied().unwrap_or(usize::MAX));
    out
}

/// `720 × 560`
pub fn two_sizes(style: Style, length: Mm, width: Mm) -> String {
    format!("{} × {}", style.figure(length.0), style.figure(width.0))
}

/// The parts list for a terminal of this width.
pub fn table(job: &Job, width: usize) -> String {
    let style = job.house.style();
    let all = distinct(job);
    let mut out = indented(
        &format!("Parts. Sizes are along the grain × across. {}", words::heading(&job.house)),
        width,
        "",
        "",
    );
    for line in band_lines(job) {
        out.push_str(&indented(&line, width, "", "  "));
    }
    let columns = [
        ("mark", Align::Left),
        ("qty", Align::Right),
        ("part", Align::Left),
        ("finished", Align::Right),
        ("cut", Align::Right),
        ("bands", Align::Left),
        ("pair", Align::Left),
        ("box", Align::Left),
    ];
    let mut boards: Vec<(&str, Table)> = Vec::new();
    for d in &all {
        let part = d.part;
        if boards.last().is_none_or(|(name, _)| *name != part.board) {
            boards.push((&part.board, Table::new(&columns)));
        }
        if let Some((_, table)) = boards.last_mut() {
            table.row(vec![
                part.mark.clone(),
                d.pieces.len().to_string(),
                d.name(),
                two_sizes(style, part.length, part.width),
                two_sizes(style, part.cut.length, part.cut.width),
                bands(job, part),
                d.mirror.unwrap_or("").to_string(),
                a_few(&d.boxes(), 3),
            ]);
        }
    }
    // One set of widths for all boards, so that the columns stand under each other.
    let mut natural = vec![0; columns.len()];
    for (_, table) in &boards {
        for (all, one) in natural.iter_mut().zip(table.natural_widths()) {
            *all = one.max(*all);
        }
    }
    for (name, table) in &boards {
        out.push('\n');
        out.push_str(&indented(&board_line(job, name), width, "", "  "));
        out.push_str(&table.print(&table.fitted(&natural, width), ""));
    }
    let pieces: usize = all.iter().map(|d| d.pieces.len()).sum();
    out.push_str(&format!(
        "\n{} of {}.\n",
        count(pieces, "piece", "pieces"),
        count(all.len(), "distinct part", "distinct parts")
    ));
    if all.iter().any(|d| d.mirror.is_some()) {
        out.push_str(&indented(
            "Parts of a pair are mirror images: never work one from the other's map.",
            width,
            "",
            "",
        ));
    }
    out.push_str(&super::cautions::closing(job, &all, width));
    out
}

/// What the bands are: `Band edging, 1 thick, is taken off the cut size.`
fn band_lines(job: &Job) -> Vec<String> {
    let style = job.house.style();
    let used = |name: &str| job.parts.iter().any(|p| p.bands.values().any(|b| b == name));
    job.bands
        .iter()
        .filter(|b| used(&b.name))
        .map(|b| {
            let deduct = if b.deduct { "taken off the cut size" } else { "not taken off the cut size" };
            format!("Band {}, {} thick, {deduct}.", b.name, style.figure(b.thickness.0))
        })
        .collect()
}

/// The banded edges, with the band's name where the job has several.
fn bands(job: &Job, part: &Part) -> String {
    let names = band_names(part);
    if job.bands.len() < 2 || names.is_empty() {
        return words::banded(part);
    }
    match names[..] {
        [name] => format!("{} ({name})", words::banded(part)),
        _ => {
            let each = part.bands.iter().map(|(edge, band)| format!("{} ({band})", edge.word()));
            each.collect::<Vec<_>>().join(", ")
        }
    }
}

/// `white16, 16.2 thick, with grain`
fn board_line(job: &Job, name: &str) -> String {
    let style = job.house.style();
    match job.boards.iter().find(|b| b.name == name) {
        Some(board) => {
            let words = board.description.as_deref().map(|d| format!(", {d}")).unwrap_or_default();
            let grain = if board.grain { "with grain" } else { "no grain" };
            format!("{name}{words}, {} thick, {grain}", style.figure(board.thickness.0))
        }
        None => name.to_string(),
    }
}

/// The parts list as CSV: lengths in the house's unit, rounded as printed.
pub fn as_csv(job: &Job) -> String {
    let style = job.house.style();
    let unit = |heading: &str| words::with_unit(style, heading);
    let mut rows = vec![vec![
        "mark".to_string(),
        "name".to_string(),
        "quantity".to_string(),
        "board".to_string(),
        unit("length"),
        unit("width"),
        unit("thickness"),
        unit("cut_length"),
        unit("cut_width"),
        "bands".to_string(),
        "band".to_string(),
        "grain".to_string(),
        "pair".to_string(),
        "belongs_to".to_string(),
    ]];
    for d in distinct(job) {
        let part = d.part;
        rows.push(vec![
            part.mark.clone(),
            d.name(),
            d.pieces.len().to_string(),
            part.board.clone(),
            words::plain(style, part.length),
            words::plain(style, part.width),
            words::plain(style, part.thickness),
            words::plain(style, part.cut.length),
            words::plain(style, part.cut.width),
            words::banded(part),
            band_names(part).join("; "),
            words::grain(part).to_string(),
            d.mirror.unwrap_or("").to_string(),
            d.boxes().join("; "),
        ]);
    }
    csv::write(rows)
}

fn band_names(part: &Part) -> Vec<&str> {
    let mut names: Vec<&str> = part.bands.values().map(String::as_str).collect();
    names.sort_unstable();
    names.dedup();
    names
}

#[derive(Serialize)]
struct List<'a> {
    format: &'static str,
    units: &'static str,
    parts: Vec<Row<'a>>,
    totals: Totals,
}

#[derive(Serialize)]
struct Row<'a> {
    mark: &'a str,
    name: String,
    quantity: usize,
    board: &'a str,
    length: Mm,
    width: Mm,
    thickness: Mm,
    cut: CutSize,
    bands: BTreeMap<&'static str, &'a str>,
    grain: &'static str,
    pair: Option<&'a str>,
    boxes: Vec<&'a str>,
    pieces: Vec<&'a str>,
}

#[derive(Serialize)]
struct Totals {
    pieces: usize,
    distinct: usize,
}

/// The parts list as JSON: lengths are exact numbers in mm.
pub fn as_json(job: &Job) -> String {
    let all = distinct(job);
    let totals = Totals { pieces: all.iter().map(|d| d.pieces.len()).sum(), distinct: all.len() };
    let parts = all
        .iter()
        .map(|d| Row {
            mark: &d.part.mark,
            name: d.name(),
            quantity: d.pieces.len(),
            board: &d.part.board,
            length: d.part.length,
            width: d.part.width,
            thickness: d.part.thickness,
            cut: d.part.cut,
            bands: d.part.bands.iter().map(|(edge, band)| (edge.word(), band.as_str())).collect(),
            grain: words::grain(d.part),
            pair: d.mirror,
            boxes: d.boxes(),
            pieces: d.pieces.iter().map(|p| p.path.as_str()).collect(),
        })
        .collect();
    super::json::text(&List { format: "aumbry-parts/1", units: "mm", parts, totals })
}

//! Holes, cuts and bevels of each distinct part, as a table, CSV or JSON.

use super::csv;
use super::parts::{Distinct, distinct, two_sizes};
use super::table::{Align, Table, indented};
use super::words::{self, a_few, count, side};
use crate::diagnostics::visible;
use crate::job::{Axis, Bored, Cut, Face, Hole, Job, Mm, Part, Run, Shape, Step};
use crate::job::{Numbered, numbered, numbered_holes};
use crate::values::{Overflow, Rational, Style};
use serde::Serialize;

/// A stretch measured from an edge.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Stretch {
    pub edge: Face,
    pub from: Mm,
    pub to: Mm,
}

impl Stretch {
    fn size(&self) -> Rational {
        self.to.0.sub(self.from.0).unwrap_or(Rational::ZERO)
    }
}

/// A cut as it is set out on its face.
#[derive(Clone, Copy, Debug)]
pub struct SetOut {
    /// The side it is wide on.
    pub across: Stretch,
    /// The side it runs along.
    pub along: Stretch,
    pub depth: Mm,
    /// Right through the part.
    pub through: bool,
}

/// Measures a cut from the datum edges of the face it is worked from.
pub fn set_out(part: &Part, cut: &Cut) -> Result<SetOut, Overflow> {
    let deep = cut.face.axis();
    let across = Axis::ALL.into_iter().find(|a| *a != deep && *a != cut.runs).unwrap_or(deep);
    let stretch = |axis: Axis| -> Result<Stretch, Overflow> {
        let (own, cut) = (part.own.on(axis), cut.cuboid.on(axis));
        Ok(Stretch {
            edge: Face::of(axis, false),
            from: Mm(cut.lo.max(own.lo).sub(own.lo)?),
            to: Mm(cut.hi.min(own.hi).sub(own.lo)?),
        })
    };
    let depth = stretch(deep)?;
    let through = depth.size() == part.own.on(deep).size()?;
    Ok(SetOut { across: stretch(across)?, along: stretch(cut.runs)?, depth: Mm(depth.size()), through })
}

/// The shape of a cut in a word.
pub fn shape(cut: &Cut) -> &'static str {
    cut.shape.word()
}

/// `through`, `stopped` or `blind`.
fn run(run: Run) -> &'static str {
    match run {
        Run::Through => "through",
        Run::Stopped => "stopped",
        Run::Blind => "blind",
    }
}

/// The head of a hole in words: `10 wide, 3 deep`, `9 narrowing to 4.5, 2.3 deep`.
pub fn head(style: Style, profile: &[Step]) -> String {
    let f = |mm: Mm| style.figure(mm.0);
    let steps: Vec<String> = profile
        .iter()
        .map(|s| {
            if s.dia == s.end_dia {
                format!("{} wide, {} deep", f(s.dia), f(s.depth))
            } else {
                format!("{} narrowing to {}, {} deep", f(s.dia), f(s.end_dia), f(s.depth))
            }
        })
        .collect();
    steps.join(", then ")
}

/// A face in words, with the side of the box it lies on: `right face (inner)`.
pub fn face_words(part: &Part, face: Face) -> String {
    match (part.is_wide(face), side(part, face)) {
        (true, "") => format!("{} face", face.word()),
        (true, side) => format!("{} face ({side})", face.word()),
        (false, _) => format!("{} edge", face.word()),
    }
}

fn worked<'a>(job: &'a Job) -> impl Iterator<Item = Distinct<'a>> {
    distinct(job)
        .into_iter()
        .filter(|d| !(d.part.holes.is_empty() && d.part.cuts.is_empty() && d.part.bevels.is_empty()))
}

/// Holes and cuts for a terminal of this width.
pub fn table(job: &Job, width: usize) -> String {
    let style = job.house.style();
    let heading = format!(
        "Holes, grooves and other cuts. {} Measured from the finished edges; depths \
         from the face. Bored at the bench unless it says in place.",
        words::heading(&job.house)
    );
    let mut out = indented(&heading, width, "", "");
    let mut some = false;
    for d in worked(job) {
        some = true;
        let part = d.part;
        let pieces = count(d.pieces.len(), "piece", "pieces");
        let mirror = d.mirror.map(|m| format!(", mirror image of {m}")).unwrap_or_default();
        // Pieces of another name may lie turned round; the faces are those of the first.
        let lie = match d.pieces[..] {
            [first, .., last] if first.name() != last.name() => format!("; faces as in {}", part.path),
            _ => String::new(),
        };
        let line = format!(
            "{}  {} of {}, {}, {pieces}{mirror}{lie}",
            part.mark,
            d.name(),
            a_few(&d.boxes(), 3),
            two_sizes(style, part.length, part.width)
        );
        out.push('\n');
        out.push_str(&indented(&line, width, "", "    "));
        out.push_str(&part_table(style, part, width));
    }
    if !some {
        out.push_str("\nNo part has a hole or a cut.\n");
    }
    out
}

fn part_table(style: Style, part: &Part, width: usize) -> String {
    let mut out = String::new();
    for (face, holes) in numbered(part) {
        let cuts: Vec<&Cut> = part.cuts.iter().filter(|c| c.face == face).collect();
        let bevels: Vec<_> = part.bevels.iter().filter(|b| b.face == face).collect();
        if holes.is_empty() && cuts.is_empty() && bevels.is_empty() {
            continue;
        }
        out.push_str(&format!("  {}\n", face_words(part, face)));
        if let Some(first) = holes.first().and_then(Numbered::first) {
            let edges = first.at.from.map(|e| format!("from {}", e.word()));
            let mut table = Table::new(&[
                ("no", Align::Right),
                (&edges[0], Align::Right),
                (&edges[1], Align::Right),
                ("dia", Align::Right),
                ("depth", Align::Right),
                ("head", Align::Left),
                ("bored", Align::Left),
                ("for", Align::Left),
            ]);
            for row in &holes {
                let Some(hole) = row.first() else { continue };
                let depth = if hole.through { "through".to_string() } else { style.figure(hole.depth.0) };
                let bored = if hole.bored == Bored::InPlace { "in place" } else { "" };
                let [u, v] = [0, 1].map(|which| place(style, row, which));
                table.row(vec![
                    numbers(row),
                    u,
                    v,
                    style.figure(hole.dia.0),
                    depth,
                    head(style, &hole.profile),
                    bored.to_string(),
                    hole.purposes.join(", "),
                ]);
            }
            let table = table.without_empty_columns();
            let widths = table.fitted(&table.natural_widths(), width.saturating_sub(4));
            out.push_str(&table.print(&widths, "    "));
        }
        for cut in cuts {
            out.push_str(&indented(&visible(&cut_words(style, part, cut)), width, "    ", "      "));
        }
        for bevel in bevels {
            let text = format!(
                "bevel, {} of the edge's height over {} of the thickness; the {} face keeps its full size",
                style.figure(bevel.rise.0),
                style.figure(bevel.run.0),
                bevel.long_side.word()
            );
            out.push_str(&indented(&text, width, "    ", "      "));
        }
    }
    out
}

/// `7`, or `5 to 41` for a row of holes.
fn numbers(row: &Numbered<'_>) -> String {
    match row.holes.len() {
        0 | 1 => row.number.to_string(),
        n => format!("{} to {}", row.number, row.number + n - 1),
    }
}

/// One of the two distances: `37`, or `124 to 1276: 37 every 32` for the one that a row runs along.
fn place(style: Style, row: &Numbered<'_>, which: usize) -> String {
    let at = |hole: Option<&Hole>| hole.map_or(Rational::ZERO, |h| h.at.mm[which].0);
    let first = style.figure(at(row.first()));
    match row.row {
        Some((running, pitch)) if running == which => {
            let last = style.figure(at(row.last()));
            format!("{first} to {last}: {} every {}", row.holes.len(), style.figure(pitch))
        }
        _ => first,
    }
}

/// A cut in words: `groove 3.2 wide, 8 deep; 530.8 to 534 from the front; right through; for rear`.
pub fn cut_words(style: Style, part: &Part, cut: &Cut) -> String {
    let Ok(at) = set_out(part, cut) else {
        return shape(cut).to_string();
    };
    let f = |value: Rational| style.figure(value);
    let between = |s: &Stretch| format!("{} to {} from the {}", f(s.from.0), f(s.to.0), s.edge.word());
    let depth = if at.through { "through the part".to_string() } else { format!("{} deep", f(at.depth.0)) };
    let mut text = match cut.dia {
        Some(dia) => format!("round-ended slot {} wide, {} long, {depth}", f(dia.0), f(at.along.size())),
        None => format!("{} {} wide, {depth}", shape(cut), f(at.across.size())),
    };
    text.push_str(&format!("; {}", between(&at.across)));
    match cut.run {
        Run::Through => text.push_str(&format!("; right through, {}", ends(cut.runs))),
        Run::Stopped => text.push_str(&format!("; stopped at one end, {}", between(&at.along))),
        Run::Blind => text.push_str(&format!("; stopped at both ends, {}", between(&at.along))),
    }
    if let Some(by) = &cut.by {
        text.push_str(&format!("; for {by}"));
    }
    text
}

fn ends(axis: Axis) -> &'static str {
    match axis {
        Axis::X => "left to right",
        Axis::Y => "bottom to top",
        Axis::Z => "front to rear",
    }
}

/// Holes, cuts and bevels as CSV: lengths in the house's unit, rounded as printed.
pub fn as_csv(job: &Job) -> String {
    let style = job.house.style();
    let unit = |heading: &str| words::with_unit(style, heading);
    let f = |mm: Mm| words::plain(style, mm);
    let mut rows = vec![
        vec!["mark", "name", "quantity", "kind", "no", "face", "side", "edge_1"]
            .into_iter()
            .map(str::to_string)
            .chain([unit("from_1"), unit("to_1"), "edge_2".to_string(), unit("from_2"), unit("to_2")])
            .chain([unit("dia"), unit("depth"), "through".to_string(), "head".to_string(), "run".to_string()])
            .chain(["bored", "what_for", "long_side"].map(str::to_string))
            .chain([unit("rise"), unit("bevel_run")])
            .collect(),
    ];
    let none = String::new;
    for d in worked(job) {
        let part = d.part;
        let lead = |kind: &str, no: String, face: Face| {
            vec![
                part.mark.clone(),
                d.name(),
                d.pieces.len().to_string(),
                kind.to_string(),
                no,
                face.word().to_string(),
                side(part, face).to_string(),
            ]
        };
        for (no, hole) in numbered_holes(part).into_iter().zip(1..).map(|(h, n)| (n, h)) {
            let mut row = lead("hole", no.to_string(), hole.face);
            row.extend([hole.at.from[0].word().to_string(), f(hole.at.mm[0]), none()]);
            row.extend([hole.at.from[1].word().to_string(), f(hole.at.mm[1]), none()]);
            row.extend([f(hole.dia), f(hole.depth), yes(hole.through), head(style, &hole.profile), none()]);
            row.extend([bored(hole.bored).to_string(), hole.purposes.join("; "), none(), none(), none()]);
            rows.push(row);
        }
        for cut in &part.cuts {
            let Ok(at) = set_out(part, cut) else { continue };
            let mut row = lead(shape(cut), none(), cut.face);
            for s in [at.across, at.along] {
                row.extend([s.edge.word().to_string(), f(s.from), f(s.to)]);
            }
            row.extend([cut.dia.map_or_else(none, f), f(at.depth), yes(at.through), none()]);
            row.extend([run(cut.run).to_string(), none(), cut.by.clone().unwrap_or_default()]);
            row.extend([none(), none(), none()]);
            rows.push(row);
        }
        for bevel in &part.bevels {
            let mut row = lead("bevel", none(), bevel.face);
            row.extend(std::iter::repeat_with(none).take(13));
            row.extend([bevel.long_side.word().to_string(), f(bevel.rise), f(bevel.run)]);
            rows.push(row);
        }
    }
    csv::write(rows)
}

fn yes(value: bool) -> String {
    if value { "yes" } else { "no" }.to_string()
}

fn bored(bored: Bored) -> &'static str {
    match bored {
        Bored::Bench => "bench",
        Bored::InPlace => "in place",
    }
}

#[derive(Serialize)]
struct List<'a> {
    format: &'static str,
    units: &'static str,
    parts: Vec<PartHoles<'a>>,
}

#[derive(Serialize)]
struct PartHoles<'a> {
    mark: &'a str,
    name: String,
    pieces: Vec<&'a str>,
    pair: Option<&'a str>,
    length: Mm,
    width: Mm,
    thickness: Mm,
    inner: Option<Face>,
    outer: Option<Face>,
    holes: Vec<HoleRow<'a>>,
    cuts: Vec<CutRow<'a>>,
    bevels: Vec<BevelRow>,
}

#[derive(Serialize)]
struct HoleRow<'a> {
    no: usize,
    id: &'a str,
    face: Face,
    from: [Face; 2],
    mm: [Mm; 2],
    dia: Mm,
    depth: Mm,
    through: bool,
    head: &'a [Step],
    bored: Bored,
    what_for: &'a [String],
}

#[derive(Serialize)]
struct CutRow<'a> {
    shape: Shape,
    face: Face,
    across: Stretch,
    along: Stretch,
    depth: Mm,
    through: bool,
    run: Run,
    dia: Option<Mm>,
    by: Option<&'a str>,
    joint: &'a str,
}

#[derive(Serialize)]
struct BevelRow {
    face: Face,
    rise: Mm,
    run: Mm,
    long_side: Face,
}

/// Holes, cuts and bevels as JSON: lengths are exact numbers in mm.
pub fn as_json(job: &Job) -> String {
    let all: Vec<Distinct<'_>> = worked(job).collect();
    let parts = all.iter().map(part_json).collect();
    super::json::text(&List { format: "aumbry-holes/1", units: "mm", parts })
}

fn part_json<'a>(d: &'a Distinct<'a>) -> PartHoles<'a> {
    let part = d.part;
    let hole = |(no, hole): (usize, &'a Hole)| HoleRow {
        no: no + 1,
        id: &hole.id,
        face: hole.face,
        from: hole.at.from,
        mm: hole.at.mm,
        dia: hole.dia,
        depth: hole.depth,
        through: hole.through,
        head: &hole.profile,
        bored: hole.bored,
        what_for: &hole.purposes,
    };
    let cut = |cut: &'a Cut| {
        let at = set_out(part, cut).ok()?;
        Some(CutRow {
            shape: cut.shape,
            face: cut.face,
            across: at.across,
            along: at.along,
            depth: at.depth,
            through: at.through,
            run: cut.run,
            dia: cut.dia,
            by: cut.by.as_deref(),
            joint: &cut.joint,
        })
    };
    PartHoles {
        mark: &part.mark,
        name: d.name(),
        pieces: d.pieces.iter().map(|p| p.path.as_str()).collect(),
        pair: d.mirror,
        length: part.length,
        width: part.width,
        thickness: part.thickness,
        inner: part.inner,
        outer: part.outer,
        holes: numbered_holes(part).into_iter().enumerate().map(hole).collect(),
        cuts: part.cuts.iter().filter_map(cut).collect(),
        bevels: part
            .bevels
            .iter()
            .map(|b| BevelRow { face: b.face, rise: b.rise, run: b.run, long_side: b.long_side })
            .collect(),
    }
}

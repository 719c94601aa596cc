//! What a sheet of two revisions says: what became of the box, the kinds of lines, the table of what changes.

use super::subject::{Changed, Subject};
use super::views::legend;
use crate::geometry::Axis;
use crate::job::path_names;
use crate::outputs::drawing::canvas::{Dash, Ink, weight};
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::table::{Align, Table};
use crate::outputs::elevations::page::name_of;
use crate::outputs::words::{a_few, count, listed};
use crate::revisions::{BoxChange, Pairing, PartRef, Verdict, Work};
use crate::values::{Mm, Style};

/// A row of the table: parts of one mark of which the same becomes.
pub struct Row {
    pub mark: String,
    /// 0 where the mark and the paths are those of the old job.
    pub side: usize,
    pub paths: Vec<String>,
    names: Vec<String>,
    sizes: [String; 2],
    todo: String,
}

/// The rows of the table, in the order of the comparison.
pub fn rows(subject: &Subject) -> Vec<Row> {
    let style = subject.job().house.style();
    let mut rows: Vec<Row> = Vec::new();
    for changed in &subject.parts {
        let side = usize::from(changed.change.new.is_some() && !changed.leaves);
        let Some(part) = reference(changed, side) else { continue };
        let size = |side: usize| reference(changed, side).map_or(String::new(), |p| sizes(p, &style));
        let mut sizes = [size(0), if changed.leaves { String::new() } else { size(1) }];
        if sizes[0] == sizes[1] {
            sizes[0] = "same".into();
        }
        let row = Row {
            mark: part.mark.clone(),
            side,
            paths: vec![part.path.clone()],
            names: vec![name(subject, side, &part.path)],
            sizes,
            todo: todo(changed, &style),
        };
        let alike = |r: &&mut Row| {
            (&r.mark, r.side, &r.sizes, &r.todo) == (&row.mark, row.side, &row.sizes, &row.todo)
        };
        match rows.iter_mut().find(alike) {
            Some(known) => {
                known.paths.extend(row.paths);
                if !known.names.contains(&row.names[0]) {
                    known.names.extend(row.names);
                }
            }
            None => rows.push(row),
        }
    }
    rows
}

fn reference<'a>(changed: &Changed<'a>, side: usize) -> Option<&'a PartRef> {
    if side == 0 { changed.change.old.as_ref() } else { changed.change.new.as_ref() }
}

/// The name of a part from its outermost box on, without numbers.
fn name(subject: &Subject, side: usize, path: &str) -> String {
    let from = subject.entries[side].map_or(0, |e| e.path.len() + 1);
    let names = path_names(path.get(from..).unwrap_or(path));
    let plain: Vec<&str> = names.iter().map(|n| n.split('[').next().unwrap_or(n)).collect();
    plain.join(" ").replace('_', " ")
}

fn sizes(part: &PartRef, style: &Style) -> String {
    let [a, b, c] = part.size;
    format!("{} × {} × {}", style.figure(a.0), style.figure(b.0), style.figure(c.0))
}

/// What to do with a part, in a few words.
fn todo(changed: &Changed, style: &Style) -> String {
    let change = changed.change;
    if changed.leaves {
        let to = change.new.as_ref().map_or("", |p| p.path.as_str());
        return format!("goes elsewhere: {to}");
    }
    let works = change.rework.as_ref().map_or(Vec::new(), |r| short(&r.works, style));
    let of_other = change.rework.as_ref().filter(|r| change.old.as_ref().is_none_or(|o| o.path != r.of));
    let mut words = match change.verdict {
        Verdict::Unchanged => Vec::new(),
        Verdict::Moved => Vec::new(),
        Verdict::Renamed => vec!["new label only".to_string()],
        Verdict::Exchanged => vec!["use another piece".to_string()],
        Verdict::Rework => Vec::new(),
        Verdict::CutAsDrawn => vec!["not cut yet: cut as drawn now".to_string()],
        Verdict::Remake => {
            let why = change.reasons.first().map_or(String::new(), |r| format!(": {}", r.text));
            vec![format!("remake{why}")]
        }
        Verdict::New => vec!["new".to_string()],
        Verdict::Gone => vec!["gone".to_string()],
    };
    if let Some(rework) = of_other {
        words.push(format!("take {}, {}", rework.mark, rework.of));
    }
    words.extend(works);
    if let Some(offer) = &change.offer {
        words.push(format!("or make it of {}, {}", offer.mark, offer.of));
    } else if let Some(to) = &change.becomes {
        words.push(format!("its piece becomes {to}"));
    }
    let label = change.old.as_ref().zip(change.new.as_ref()).filter(|(a, b)| a.mark != b.mark);
    if let Some((old, _)) = label
        && !matches!(change.verdict, Verdict::Remake | Verdict::CutAsDrawn)
        && of_other.is_none()
    {
        words.push(format!("it was {}", old.mark));
    }
    if let Some(moved) = &change.moved {
        words.push(shift(moved, style));
    }
    if change.verdict == Verdict::Moved {
        words.push("no work".to_string());
    }
    words.join("; ")
}

/// `moved 30 up and 12 to the right`
fn shift(moved: &[Mm; 3], style: &Style) -> String {
    let ways = [["to the left", "to the right"], ["down", "up"], ["forward", "back"]];
    let mut words = Vec::new();
    for (by, [low, high]) in moved.iter().zip(ways) {
        let size = by.0.abs().unwrap_or(by.0);
        if size.is_zero() || style.figure(size) == "0" {
            continue;
        }
        let way = if by.0.is_negative() { low } else { high };
        words.push(format!("{} {way}", style.figure(size)));
    }
    match words.is_empty() {
        true => "moved by less than a step".to_string(),
        false => format!("moved {}", listed(&words)),
    }
}

/// Works in a few words, holes and cuts counted.
fn short(works: &[Work], style: &Style) -> Vec<String> {
    let mut words = Vec::new();
    let (mut bands, mut plugs, mut drills, mut cuts, mut bevels) = (Vec::new(), 0, 0, 0, 0);
    for work in works {
        match work {
            Work::Trim { face, off, .. } => {
                words.push(format!("trim {} off the {} edge", style.figure(off.0), face.word()));
            }
            Work::Strip { face, .. } => words.push(format!("take the {} band off", face.word())),
            Work::Band { face, again, .. } => {
                bands.push(format!("{}{}", face.word(), if *again { " again" } else { "" }));
            }
            Work::Plug { .. } => plugs += 1,
            Work::Drill { .. } => drills += 1,
            Work::Cut { .. } => cuts += 1,
            Work::Bevel { .. } => bevels += 1,
        }
    }
    if plugs > 0 && drills > 0 {
        words.push(format!("plug {plugs} and drill {}", count(drills, "hole", "holes")));
    } else if plugs > 0 {
        words.push(format!("plug {}", count(plugs, "hole", "holes")));
    }
    if !bands.is_empty() {
        words.push(format!("band {}", listed(&bands)));
    }
    if drills > 0 && plugs == 0 {
        words.push(format!("drill {}", count(drills, "hole", "holes")));
    }
    if cuts > 0 {
        words.push(format!("make {}", count(cuts, "cut", "cuts")));
    }
    if bevels > 0 {
        words.push("bevel".to_string());
    }
    words
}

/// The table of what changes.
pub fn table(rows: &[Row]) -> Table {
    let head = vec![
        ("mark".to_string(), Align::Left),
        ("part".to_string(), Align::Left),
        ("pieces".to_string(), Align::Right),
        ("old size".to_string(), Align::Left),
        ("new size".to_string(), Align::Left),
        ("what to do".to_string(), Align::Left),
    ];
    let cells = |r: &Row| {
        vec![
            r.mark.clone(),
            a_few(&r.names, 2),
            r.paths.len().to_string(),
            r.sizes[0].clone(),
            r.sizes[1].clone(),
            r.todo.clone(),
        ]
    };
    Table { head, rows: rows.iter().map(cells).collect(), grey: vec![false; rows.len()] }
}

/// The column of words.
pub fn words(subject: &Subject, names: [&str; 2]) -> Vec<Block> {
    let Some(entry) = subject.entry() else { return Vec::new() };
    let style = subject.job().house.style();
    let mut blocks = vec![Block::Heading(name_of(&entry.path))];
    let mut said = Vec::new();
    let sized = |side: usize| {
        let figure = |axis| subject.size(axis)[side].map_or(String::new(), |s| style.figure(s));
        format!("{} wide, {} high, {} deep", figure(Axis::X), figure(Axis::Y), figure(Axis::Z))
    };
    if subject.is_new() {
        said.push(format!("A new box, {}.", sized(1)));
    } else if subject.is_gone() {
        said.push(format!("This box is gone. It was {}.", sized(0)));
    } else {
        said.push(format!("{}.", sized(1)));
        let was: Vec<String> = [(Axis::X, "wide"), (Axis::Y, "high"), (Axis::Z, "deep")]
            .into_iter()
            .filter_map(|(axis, word)| {
                let [old, new] = subject.size(axis).map(|s| s.map(|s| style.figure(s)));
                old.filter(|o| Some(o) != new.as_ref()).map(|o| format!("{o} {word}"))
            })
            .collect();
        if !was.is_empty() {
            said.push(format!("It was {}.", listed(&was)));
        }
    }
    if let Some(change) = subject.change {
        said.extend(changes(change, &style));
    }
    blocks.push(Block::Paragraph(said.join(" ")));
    if let Some(text) = inside(subject) {
        blocks.push(Block::Paragraph(text));
    }
    blocks.push(Block::Picture(legend(&kinds(subject))));
    let both = !subject.is_new() && !subject.is_gone();
    if both && !subject.old.is_empty() {
        blocks.push(Block::Paragraph(
            "Low left front corners lie on each other. An old line close to a new one is left out.".into(),
        ));
    }
    let [old, new] = names;
    if !old.is_empty() || !new.is_empty() {
        blocks.push(Block::Paragraph(format!("Old: {old}. New: {new}.")));
    }
    blocks
}

/// What the picture shows, each kind that is there.
fn kinds(subject: &Subject) -> Vec<(&'static str, f64, Ink, Dash, bool)> {
    let mut kinds = Vec::new();
    if subject.new.iter().any(|s| s.own) {
        kinds.push(("new, and changes", weight::OUTLINE, Ink::Black, Dash::Solid, true));
    }
    if !subject.old.is_empty() {
        kinds.push(("as it was", weight::INNER, Ink::Past, Dash::Hidden, false));
    }
    if subject.new.iter().any(|s| !s.own) {
        kinds.push(("stays", weight::HAIR, Ink::Faint, Dash::Solid, false));
    }
    kinds
}

/// What became of the box itself.
fn changes(change: &BoxChange, style: &Style) -> Vec<String> {
    let mut said = Vec::new();
    if let (Some(old), Some(new)) = (&change.old, &change.new)
        && old != new
    {
        let guess = change.pairing.is_some_and(Pairing::is_guess);
        said.push(match guess {
            true => format!("It seems to be what was {old}."),
            false => format!("It was called {old}."),
        });
    }
    if let Some([old, new]) = &change.retyped {
        said.push(format!("Its type was {old} and is {new}."));
    }
    if change.mirrored {
        said.push("It is the other way round now.".to_string());
    }
    if let Some([old, new]) = &change.stands {
        let place = |p: &Option<String>| p.clone().unwrap_or("nothing".to_string());
        said.push(format!("It stood in {} and stands in {}.", place(old), place(new)));
    }
    if let Some(moved) = &change.moved {
        let text = shift(moved, style);
        said.push(format!("The box has {text}; that is not drawn here."));
    }
    said
}

/// The boxes within that are new, gone or renamed.
fn inside(subject: &Subject) -> Option<String> {
    let mut said: Vec<String> = Vec::new();
    for (word, of) in [("new", 1), ("gone", 0)] {
        let mut names: Vec<String> = Vec::new();
        for change in &subject.inner {
            let (has, not) = if of == 1 { (&change.new, &change.old) } else { (&change.old, &change.new) };
            if let (Some(path), None) = (has, not) {
                let from = subject.entries[of].map_or(0, |e| e.path.len() + 1);
                names.push(path_names(path.get(from..).unwrap_or(path)).join(" ").replace('_', " "));
            }
        }
        if !names.is_empty() && !subject.is_new() && !subject.is_gone() {
            said.push(format!("{word}: {}", a_few(&names, 4)));
        }
    }
    (!said.is_empty()).then(|| format!("Boxes inside that are {}.", said.join("; ")))
}

//! What a hole map says in words: which face, how it lies, what to make, what to mind.

use super::bench::Side;
use super::cuts;
use super::look;
use super::rows;
use super::view::Page;
use crate::geometry::{Axis, Face};
use crate::job::{Bored, Cut, Grain, Hole, Job, Part, Shape as CutShape};
use crate::outputs::drawing::column::Block;
use crate::outputs::drawing::font;
use crate::outputs::drawing::paper::Scale;
use crate::outputs::drawing::symbol::{Making, Shape};
use crate::outputs::words::{a_few, listed};
use crate::values::Rational;
use std::collections::BTreeMap;

/// What the words need beside the page.
pub struct About<'a> {
    pub job: &'a Job,
    pub pieces: &'a [&'a Part],
    pub mirror: Option<&'a str>,
    /// Faces that have a page, in order, and the sheet that each starts on.
    pub faces: &'a [(Face, usize)],
    /// Which of them this page shows.
    pub number: usize,
    /// Figures of holes stand in the table only.
    pub sparse: bool,
    /// Labels of cuts that stand in the drawing.
    pub labelled: &'a [String],
    /// Said where the two axes have different scales.
    pub uneven: Option<String>,
}

/// `INNER FACE UP`
pub fn heading(part: &Part, face: Face) -> String {
    format!("{} FACE UP", face_word(part, face).to_uppercase())
}

/// `inner` or `outer` for an upright side, else where the face lies.
pub fn face_word(part: &Part, face: Face) -> &'static str {
    if face.axis() == Axis::X && part.inner == Some(face) {
        "inner"
    } else if face.axis() == Axis::X && part.outer == Some(face) {
        "outer"
    } else {
        face.word()
    }
}

/// The column of words.
pub fn column(page: &Page, about: &About) -> Vec<Block> {
    let (part, bench) = (page.part, &page.bench);
    let face = bench.face;
    let mut blocks = vec![Block::Heading(heading(part, face))];
    let mut say = |text: String| blocks.push(Block::Paragraph(text));
    say(looks(part, face));
    say(edge_words(page, bench.key(), true));
    if bench.key() != Face::Bottom && bench.side(Face::Bottom).is_some() {
        say(edge_words(page, Face::Bottom, false));
    } else {
        // The second datum edge of a level part, and of one that faces the front.
        say(edge_words(page, Face::Left, false));
    }
    let figure = |mm: Rational| page.style.figure(mm);
    say(format!(
        "Size {} × {} × {}. {}",
        figure(part.length.0),
        figure(part.width.0),
        figure(part.thickness.0),
        grain(page)
    ));
    if about.pieces.len() > 1 {
        let names: Vec<&str> = about.pieces.iter().map(|p| p.path.as_str()).collect();
        say(format!("{} pieces, alike: {}.", names.len(), a_few(&names, 3)));
        let called = |p: &&Part| p.name().split('[').next().unwrap_or_default().to_string();
        if about.pieces.iter().any(|p| called(p) != called(&part)) {
            say(format!("Faces and edges are named as in {}.", part.path));
        }
    }
    if let Some(good) = part.good_face.filter(|f| part.is_wide(*f)) {
        say(if good == face { "Good face: up.".into() } else { "Good face: down, on the bench.".into() });
    }
    if about.number > 0 {
        say(turned(page, about));
    }
    say(edges_words(page));
    if about.sparse {
        blocks.push(Block::Warning(
            "Too many places to write on the drawing: take them from the table.".into(),
        ));
    }
    if let Some(uneven) = &about.uneven {
        blocks.push(Block::Warning(uneven.clone()));
    }
    let mut cut_words: Vec<String> = Vec::new();
    for cut in shown_cuts(page) {
        let label = font::printable(&cuts::label(page.style, part, cut));
        if !about.labelled.contains(&label) {
            cut_words.push(cuts::sentence(page.style, part, cut));
        }
    }
    for bevel in part.bevels.iter().filter(|b| bench.side(b.face).is_some()) {
        let which = if bevel.long_side == face {
            "on the other face; this face keeps its full size"
        } else {
            "on this face; the other face keeps its full size"
        };
        cut_words.push(format!(
            "{} edge bevelled {}, {} {which}.",
            capital(bevel.face.word()),
            cuts::angle(bevel),
            figure(bevel.rise.0)
        ));
    }
    cut_words.dedup();
    for words in cut_words {
        blocks.push(Block::Paragraph(words));
    }
    for bevel in part.bevels.iter().filter(|b| bench.side(b.face).is_some()) {
        let thick = crate::outputs::drawing::float(part.thickness.0);
        blocks.push(Block::Picture(look::profile(bevel, face, thick)));
    }
    blocks.extend(legend(page, about));
    if let Some(mirror) = about.mirror {
        blocks.push(Block::Subheading("The pair".into()));
        let named = |mark: &str| {
            let path = about.job.parts.iter().find(|p| p.mark == mark).map_or("", |p| p.path.as_str());
            format!("{mark} is {path}")
        };
        blocks.push(Block::Paragraph(format!(
            "{}. {}: the mirror image, with its own map.",
            named(&part.mark),
            named(mirror)
        )));
        blocks.push(Block::Warning(format!("Never bore {mirror} from this page.")));
    }
    blocks.extend(cautions(page));
    if let Some(entry) = about.job.boxes.iter().find(|b| b.path == part.box_path) {
        blocks.push(Block::Picture(look::picture(&entry.place, &part.place, face)));
    }
    blocks
}

fn capital(word: &str) -> String {
    let mut chars = word.chars();
    chars.next().map_or(String::new(), |c| c.to_uppercase().collect::<String>() + chars.as_str())
}

fn looks(part: &Part, face: Face) -> String {
    if part.inner == Some(face) {
        format!("The {} face: it looks into the box.", face.word())
    } else if part.outer == Some(face) {
        format!("The {} face: it looks out of the box.", face.word())
    } else {
        let towards = match face {
            Face::Left => "to the left",
            Face::Right => "to the right",
            Face::Bottom => "down",
            Face::Top => "up",
            Face::Front => "to the front",
            Face::Rear => "to the rear",
        };
        format!("The {} face: in the box it looks {towards}.", face.word())
    }
}

fn edge_words(page: &Page, edge: Face, heavy: bool) -> String {
    let side = page.bench.side(edge).map_or("", Side::words);
    let mut text = format!("{} edge: {side}", capital(edge.word()));
    if heavy {
        text += ", the heavy line";
    }
    text += ".";
    if page.part.bands.contains_key(&edge) {
        text += " Banded; sizes count the band.";
    }
    text
}

fn grain(page: &Page) -> String {
    match page.part.grain {
        Grain::None => "No grain.".into(),
        _ => {
            let [length, width, _] = page.part.axes;
            let along = if page.part.grain == Grain::Width { width } else { length };
            if along == page.bench.away {
                "Grain runs away from you.".into()
            } else {
                "Grain runs left to right.".into()
            }
        }
    }
}

/// How the panel was turned since the page before.
fn turned(page: &Page, about: &About) -> String {
    let before = about.number.checked_sub(1).and_then(|n| about.faces.get(n)).map_or(1, |(_, sheet)| *sheet);
    let edge = page.bench.edge(Side::Left);
    let stays = page.bench.edge(Side::Near);
    format!(
        "Turn the panel over, left to right: sheet {} had the {} edge on your right. The {} edge stays \
         towards you.",
        before,
        edge.word(),
        stays.word()
    )
}

fn edges_words(page: &Page) -> String {
    if page.folded.is_empty() {
        let bored = page.part.holes.iter().any(|h| !page.part.is_wide(h.face));
        return if bored { "Bored edges: see sheet 1.".into() } else { "Edges: none bored.".into() };
    }
    let names: Vec<&str> = page.folded.iter().map(|(f, _)| f.word()).collect();
    let what = if names.len() == 1 { "edge is" } else { "edges are" };
    let mut text =
        format!("{} {what} folded out flat: true along, widened across.", capital(&listed(&names)));
    let thick = page.bench.face.axis();
    let half = part_half(page);
    let from: Vec<Rational> = page
        .folded
        .iter()
        .flat_map(|(_, entries)| entries.iter().flat_map(|e| e.holes.iter()))
        .flat_map(|h| h.at.from.iter().zip(h.at.mm).filter(|(f, _)| f.axis() == thick).map(|(_, mm)| mm.0))
        .collect();
    match from.first() {
        Some(first) if from.iter().all(|v| v == first) => {
            let at = page.style.figure(*first);
            text += &if half == Some(*first) {
                format!(" All holes at half the thickness, {at}.")
            } else {
                format!(" All holes {at} from the {} face.", Face::of(thick, false).word())
            };
        }
        _ => {}
    }
    if from.iter().any(|v| half != Some(*v)) || page.part.cuts.iter().any(|c| !page.part.is_wide(c.face)) {
        text += " The side of a strip next to the drawing belongs to the face that is up.";
    }
    text
}

fn part_half(page: &Page) -> Option<Rational> {
    page.part.thickness.0.half().ok()
}

fn shown_cuts<'p>(page: &Page<'p>) -> Vec<&'p Cut> {
    let folded = |face: Face| page.folded.iter().any(|(f, _)| *f == face);
    page.part.cuts.iter().filter(|c| c.face == page.bench.face || folded(c.face)).collect()
}

/// Each kind of hole with its symbol.
fn legend(page: &Page, about: &About) -> Vec<Block> {
    let mut kinds: BTreeMap<(bool, Rational, bool, Rational, String), &Hole> = BTreeMap::new();
    let entries = page.own.iter().chain(page.folded.iter().flat_map(|(_, e)| e));
    for hole in entries.filter_map(|e| e.first()) {
        let mouth = rows::mouth(page.style, &hole.profile);
        let key = (hole.bored == Bored::InPlace, hole.dia.0, hole.through, hole.depth.0, mouth);
        kinds.entry(key).or_insert(hole);
    }
    let mut blocks: Vec<Block> = kinds
        .iter()
        .map(|((in_place, _, _, _, mouth), hole)| {
            let mut symbol = page.symbol_of(hole, Scale(500), (0.0, 0.0));
            symbol.radius = symbol.shape.radius();
            let mut text = format!("Ø{}", page.style.figure(hole.dia.0));
            text += &if hole.through {
                " through".to_string()
            } else {
                format!(", {} deep", page.style.figure(hole.depth.0))
            };
            if !mouth.is_empty() {
                text += &format!("; {mouth} on this face");
            }
            if *in_place {
                text += "; IN PLACE";
            }
            Block::Legend(symbol, text)
        })
        .collect();
    if kinds.keys().any(|(in_place, ..)| *in_place) {
        blocks.push(Block::Paragraph(
            "IN PLACE: bored through the other part once the box is tacked; never at the drill press.".into(),
        ));
    }
    if let Some(hole) = page.other.first() {
        let mut symbol = page.symbol_of(hole, Scale(500), (0.0, 0.0));
        symbol.shape = Shape::DoubleRing;
        symbol.radius = symbol.shape.radius();
        symbol.making = Making::Otherwise;
        let from = hole.face;
        let text = match about.faces.iter().find(|(f, _)| *f == from) {
            Some((_, sheet)) => format!("bored from sheet {sheet}; do not bore here"),
            None => "bored from the other face; do not bore here".to_string(),
        };
        blocks.push(Block::Legend(symbol, text));
    }
    blocks
}

/// Cautions that travel with a map, short.
fn cautions(page: &Page) -> Vec<Block> {
    let mut blocks = Vec::new();
    let open = |c: &&Cut| matches!(c.shape, CutShape::Groove | CutShape::Housing | CutShape::Rebate);
    let cuts = shown_cuts(page);
    if cuts.iter().any(open) {
        blocks.push(Block::Paragraph(
            "Grooving: crown guard off, riving knife below the blade's top. Push blocks; guard back on at once."
                .into(),
        ));
    }
    if !cuts.is_empty() || !page.own.is_empty() {
        blocks.push(Block::Paragraph("Dust: extraction on, mask on.".into()));
    }
    blocks
}

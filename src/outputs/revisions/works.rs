//! Work on a piece in words. Names stand between ticks.

use crate::geometry::{Axis, Face, Run};
use crate::job::{At, Bored, Step};
use crate::outputs::words::{count, listed};
use crate::revisions::{Laid, Work};
use crate::values::{Mm, Rational, Style};
use std::collections::BTreeMap;

/// Everything that is done to a piece, a line for each.
pub fn lines(works: &[Work], style: &Style) -> Vec<String> {
    let mut lines = Vec::new();
    let mut plugs: Holes = BTreeMap::new();
    let mut drills: Holes = BTreeMap::new();
    for work in works {
        match work {
            Work::Plug { face, at, dia, depth, through, profile, .. } => {
                let wide = profile.iter().fold(dia.0, |w, s| w.max(s.dia.0).max(s.end_dia.0));
                let deep = depth_words(style, *depth, *through);
                holes(&mut plugs, *face, format!("{} wide, {deep}", style.length(wide)), at);
            }
            Work::Drill { face, at, dia, depth, through, profile, bored, over, .. } => {
                let deep = depth_words(style, *depth, *through);
                let mut words = format!("Ø {}{}, {deep}", style.length(dia.0), steps(style, profile));
                if *bored == Bored::InPlace {
                    words.push_str(", in place through the part it is joined to");
                }
                if over.is_some() {
                    words.push_str(", over the hole that is there");
                }
                holes(&mut drills, *face, words, at);
            }
            other => lines.push(other_line(other, style)),
        }
    }
    let said = |verb: &str, all: Holes, lines: &mut Vec<String>| {
        for ((face, words), places) in all {
            lines.push(hole_line(verb, face, &words, &places, style));
        }
    };
    let mut plugged = Vec::new();
    said("plug", plugs, &mut plugged);
    said("drill", drills, &mut plugged);
    lines.extend(plugged);
    lines
}

/// Places by face and by what else is said of the holes there.
type Holes = BTreeMap<(Face, String), Vec<At>>;

fn holes(all: &mut Holes, face: Face, words: String, at: &At) {
    all.entry((face, words)).or_default().push(*at);
}

fn depth_words(style: &Style, depth: Mm, through: bool) -> String {
    if through { "through".to_string() } else { format!("{} deep", style.length(depth.0)) }
}

fn steps(style: &Style, profile: &[Step]) -> String {
    profile
        .iter()
        .map(|s| format!(", head Ø {} {} deep", style.length(s.dia.0), style.length(s.depth.0)))
        .collect()
}

fn hole_line(verb: &str, face: Face, words: &str, places: &[At], style: &Style) -> String {
    let from = places.first().map_or(face.datum_edges(), |a| a.from);
    let list = places_line(places, style);
    format!(
        "{verb} {} in the {} face, {words}, from {} and {}: {}",
        count(places.len(), "hole", "holes"),
        face.word(),
        from[0].word(),
        from[1].word(),
        list
    )
}

/// Places of holes in words, rows of equal steps in one: `37 × 96 to 576 (16 every 32)`.
fn places_line(places: &[At], style: &Style) -> String {
    let [across, up] = [0, 1].map(|i| rows(places, i));
    let mut list = Vec::new();
    let (rows, first) = if up.len() < across.len() { (up, 1) } else { (across, 0) };
    for (fixed, along) in rows {
        let fixed = style.figure(fixed);
        let figure = |r: &Rational| style.figure(*r);
        let place =
            |run: String| if first == 0 { format!("{fixed}×{run}") } else { format!("{run}×{fixed}") };
        match (&along[..], step(&along)) {
            ([lo, .., hi], Some(step)) if along.len() >= LEAST_ROW => list.push(place(format!(
                "({} to {}, {} every {})",
                figure(lo),
                figure(hi),
                along.len(),
                figure(&step)
            ))),
            _ => list.extend(along.iter().map(|a| place(figure(a)))),
        }
    }
    list.join("; ")
}

/// Fewer holes than this are given one by one.
const LEAST_ROW: usize = 4;

/// Places that share one of their two figures, with the others in order.
fn rows(places: &[At], fixed: usize) -> Vec<(Rational, Vec<Rational>)> {
    let mut rows: BTreeMap<Rational, Vec<Rational>> = BTreeMap::new();
    for at in places {
        let [a, b] = at.mm.map(|m| m.0);
        let (key, along) = if fixed == 0 { (a, b) } else { (b, a) };
        rows.entry(key).or_default().push(along);
    }
    rows.values_mut().for_each(|row| row.sort_unstable());
    // A row of unequal steps reads as single places.
    rows.into_iter().collect()
}

/// The distance from each to the next, where it is the same all along.
fn step(along: &[Rational]) -> Option<Rational> {
    let mut steps = along.windows(2).filter_map(|w| w[1].sub(w[0]).ok());
    let first = steps.next()?;
    steps.all(|s| s == first).then_some(first)
}

/// How a piece is to be laid where it does not lie as it did; figures are those of the new part.
pub fn turned(laid: &Laid) -> Option<String> {
    let ways: Vec<String> = [Face::Left, Face::Bottom, Face::Front]
        .into_iter()
        .filter(|old| laid.face(*old) != *old)
        .map(|old| format!("its {} becomes the {}", old.word(), laid.face(old).word()))
        .collect();
    let said = format!("turn the piece: {}; figures are those of the new part", listed(&ways));
    (!ways.is_empty()).then_some(said)
}

fn other_line(work: &Work, style: &Style) -> String {
    match work {
        Work::Trim { face, old_face, off, shorter, band, there, .. } => {
            let mut words = format!("trim {} off {}", style.length(off.0), edge(*face, *old_face));
            if shorter.0 != off.0 {
                words.push_str(&match shorter.0.is_zero() {
                    true => ", to make room for a band".to_string(),
                    false => format!(", {} of it in the finished size", style.length(shorter.0)),
                });
            }
            let gone: Vec<String> = there
                .iter()
                .map(|t| match (t.as_str(), band) {
                    ("band", Some(band)) => format!("its band `{band}`"),
                    ("holes", _) => "holes there".to_string(),
                    (cut, _) => format!("the {cut} there"),
                })
                .collect();
            if !gone.is_empty() {
                words.push_str(&format!("; {} {} with it", listed(&gone), goes(&gone)));
            }
            words
        }
        Work::Strip { face, old_face, band, .. } => {
            format!("take the band `{band}` off {}", edge(*face, *old_face))
        }
        Work::Band { face, band, again, .. } => {
            format!("band the {} edge{} with `{band}`", face.word(), if *again { " again" } else { "" })
        }
        Work::Cut { shape, face, cuboid, runs, run, more, .. } => {
            let size = |axis: Axis| cuboid.on(axis).size().map(|s| style.length(s)).unwrap_or_default();
            let deep = face.axis();
            let wide = Axis::ALL.into_iter().find(|a| *a != deep && a != runs).unwrap_or(deep);
            let lo = style.length(cuboid.on(wide).lo);
            let shape = shape.word();
            let stopped = match run {
                Run::Through => "",
                _ => ", stopped: by router",
            };
            format!(
                "{} a {shape} in the {} face: {} wide, {} deep, {} long, its {} side {lo} from the {} edge{stopped}",
                if *more { "widen, deepen or run on" } else { "cut" },
                face.word(),
                size(wide),
                size(deep),
                size(*runs),
                Face::of(wide, false).word(),
                Face::of(wide, false).word(),
            )
        }
        Work::Bevel { face, rise, run, long_side } => format!(
            "bevel the {} edge, {} along it and {} into the thickness, the {} face stays long",
            face.word(),
            style.length(rise.0),
            style.length(run.0),
            long_side.word()
        ),
        Work::Plug { .. } | Work::Drill { .. } => String::new(),
    }
}

/// An edge as it is in the new part, and as it was in the piece where that differs.
fn edge(face: Face, old: Face) -> String {
    match face == old {
        true => format!("the {} edge", face.word()),
        false => format!("what was its {} edge, the {} edge of the new part", old.word(), face.word()),
    }
}

fn goes(things: &[String]) -> &'static str {
    let many = things.len() > 1 || things.first().is_some_and(|t| t.starts_with("holes"));
    if many { "go" } else { "goes" }
}

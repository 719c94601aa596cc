//! A definition as it is made once: its drawing, its parts, what it works and buys.

use crate::diagnostics::visible;
use crate::job::described::{How, Instance};
use crate::job::{Bored, Hole, Job, Part};
use crate::outputs::hole_list::cut_words;
use crate::outputs::parts::{Distinct, distinct, two_sizes};
use crate::outputs::{apart, elevations, walls, words};
use maud::{Markup, PreEscaped, html};
use std::collections::BTreeMap;

/// The room of a picture among text, in mm.
const ROOM: (f64, f64) = (150.0, 120.0);

/// In what use it is shown, in a sentence.
pub fn how(instance: &Instance) -> Markup {
    let apart = !instance.seen.joins && instance.seen.around.as_deref() != Some(instance.seen.path.as_str());
    html! {
        @match &instance.how {
            How::Defaults { given, tried } => {
                "Made with its default values"
                @if !given.is_empty() { " and " (visible(&given.join(", "))) }
                @if *tried { ", the first figures that would do" }
                "."
            },
            How::Test { file, name, line } => {
                "As the test “" (visible(name)) "” makes it (" (file) ":" (line) ")"
                @if apart { ", with what stands around it" }
                "."
            },
            How::File { file } => {
                "As " (visible(file)) " makes it: " code { (visible(&instance.seen.path)) } "."
            },
        }
    }
}

/// The drawings of a use.
pub fn drawings(instance: &Instance) -> Markup {
    let job = &instance.job;
    let around = instance.seen.around.as_deref();
    let exploded = around.and_then(|path| apart::picture(job, path, ROOM));
    let views = around.and_then(|path| elevations::picture(job, path, ROOM));
    html! {
        @if let Some(svg) = wall(instance) {
            figure { div.sheet { (PreEscaped(svg)) } figcaption { (how(instance)) } }
        } @else if exploded.is_none() && views.is_none() {
            p.note { "There is nothing to draw: it has no parts of its own." }
        }
        @if let Some(svg) = exploded {
            figure { div.sheet { (PreEscaped(svg)) } figcaption { "Taken apart. " (how(instance)) } }
        }
        @if let Some(svg) = views {
            figure {
                div.sheet { (PreEscaped(svg)) }
                figcaption { "Front, section from the right, and plan. Lengths in " (unit(job)) "." }
            }
        }
    }
}

fn unit(job: &Job) -> &'static str {
    if job.house.style().inches { "inches" } else { "mm" }
}

/// The wall that a wall, row or obstacle is or stands at, if that is what is shown.
fn wall(instance: &Instance) -> Option<String> {
    let (job, path) = (&instance.job, instance.seen.path.as_str());
    let row = job.rows.iter().find(|r| r.path == path).map(|r| r.wall.as_str());
    let obstacle = || job.walls.iter().find(|w| w.obstacles.iter().any(|o| o.path == path));
    let itself = || job.walls.iter().find(|w| w.path == path);
    let wall = row.or_else(|| obstacle().or_else(itself).map(|w| w.path.as_str()))?;
    walls::picture(job, wall, ROOM)
}

/// The parts that a use has made or was given, with their sizes.
pub fn parts(instance: &Instance) -> Markup {
    let job = &instance.job;
    let lead = format!("{}.", instance.seen.path);
    let own = |p: &&Part| {
        if instance.seen.parts.is_empty() {
            p.path.starts_with(&lead)
        } else {
            instance.seen.parts.contains(&p.path)
        }
    };
    let rows: Vec<Distinct> = distinct(job)
        .into_iter()
        .filter_map(|d| {
            let pieces: Vec<&Part> = d.pieces.into_iter().filter(own).collect();
            let part = *pieces.first()?;
            Some(Distinct { part, pieces, mirror: d.mirror })
        })
        .collect();
    if rows.is_empty() {
        return html! {};
    }
    let style = job.house.style();
    let given = !instance.seen.parts.is_empty();
    html! {
        section {
            h2 id="parts" { @if given { "Its parts in the drawing" } @else { "Parts it makes" } }
            div.wide { table {
                thead { tr {
                    th { "mark" } th { "part" } th.n { "pieces" } th.n { "length × width × thick" }
                    th { "board" } th { "band on" }
                } }
                tbody {
                    @for d in &rows {
                        tr {
                            td { (d.part.mark) }
                            td { code { (d.name()) } }
                            td.n { (d.pieces.len()) }
                            td.n { (two_sizes(style, d.part.length, d.part.width)) " × " (style.figure(d.part.thickness.0)) }
                            td { (d.part.board) }
                            td { (words::banded(d.part)) }
                        }
                    }
                }
            } }
            p.note { "Finished sizes in " (unit(job)) ", along the grain first, of what is drawn above." }
        }
    }
}

/// What a joint or fitting works into its parts, in this use.
pub fn work(instance: &Instance) -> Markup {
    let job = &instance.job;
    let path = &instance.seen.path;
    let lead = format!("{path}.");
    let of = |joint: &str| joint == path || joint.starts_with(&lead);
    let style = job.house.style();
    let mut rows: Vec<(String, String, String)> = Vec::new();
    for part in &job.parts {
        let mut holes: BTreeMap<(String, String, String), usize> = BTreeMap::new();
        for hole in part.holes.iter().filter(|h| h.joints.iter().any(|j| of(j))) {
            let depth = depth(hole, &|mm| style.figure(mm));
            let what = format!("{}, {depth}", style.figure(hole.dia.0));
            let place = match hole.bored {
                Bored::Bench => String::new(),
                Bored::InPlace => ", bored in place".to_string(),
            };
            let face = format!("{} face", hole.face.word());
            let key = (face, format!("{what}{place}"), hole.purposes.join(", "));
            *holes.entry(key).or_default() += 1;
        }
        for ((face, what, purpose), count) in holes {
            let holes = words::count(count, "hole", "holes");
            rows.push((format!("{}, {face}", part.name()), format!("{holes} ⌀ {what}"), purpose));
        }
        for cut in part.cuts.iter().filter(|c| of(&c.joint)) {
            let place = format!("{}, {} face", part.name(), cut.face.word());
            let by = cut
                .by
                .as_deref()
                .map_or(String::new(), |by| format!("takes in {}", by.rsplit('.').next().unwrap_or(by)));
            // The path it is for stands in the last column in short.
            let words = cut_words(style, part, cut);
            let what = words.split("; for ").next().unwrap_or(&words);
            rows.push((place, what.to_string(), by));
        }
    }
    if rows.is_empty() {
        return html! {};
    }
    html! {
        section {
            h2 id="work" { "What it works" }
            div.wide { table {
                thead { tr { th { "where" } th { "what" } th { "what for" } } }
                tbody {
                    @for (place, what, purpose) in rows {
                        tr { td { (visible(&place)) } td { (what) } td { (visible(&purpose)) } }
                    }
                }
            } }
            p.note { "Lengths in " (unit(job)) "." }
        }
    }
}

fn depth(hole: &Hole, figure: &dyn Fn(crate::values::Rational) -> String) -> String {
    if hole.through { "through".to_string() } else { format!("{} deep", figure(hole.depth.0)) }
}

/// What a use buys.
pub fn bought(instance: &Instance) -> Vec<(u64, String, String)> {
    let path = &instance.seen.path;
    let lead = format!("{path}.");
    // A joint of several parts is named with them.
    let of = |u: &str| u == path || u.starts_with(&lead);
    let mut rows = Vec::new();
    for item in &instance.job.items {
        let count: u64 = item.uses.iter().filter(|u| of(&u.path)).map(|u| u.quantity).sum();
        if count > 0 {
            rows.push((count, item.name.clone(), item.description.clone().unwrap_or_default()));
        }
    }
    rows
}

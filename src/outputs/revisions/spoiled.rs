//! What a spoiled part can still become, in words and for programs.

use super::words::{area, size};
use super::{escaped, plain, works};
use crate::outputs::{json as to_json, table::indented, words::a_few};
use crate::revisions::{PartRef, Rework, Spoiled};
use crate::values::Style;
use serde::Serialize;

/// A heading, and lines with what belongs to each.
type Said = (String, Vec<(String, Vec<String>)>);

fn said(s: &Spoiled, style: &Style) -> Vec<Said> {
    let mut becomes: Vec<(String, Vec<String>)> = Vec::new();
    for (mark, paths, rework, part) in
        alike(s.becomes.iter().map(|b| (b.part.mark.as_str(), b.part.path.as_str(), &b.rework, &b.part)))
    {
        let text =
            format!("{mark}, {} ({}), {} goes to waste", size(part, style), paths, area(rework.waste.0));
        becomes.push((text, worked(rework, style)));
    }
    let mut replaced: Vec<(String, Vec<String>)> = Vec::new();
    let cut = s.replaced_by.iter().map(|r| (r.mark.as_str(), r.of.as_str(), r, &s.part));
    for (mark, paths, rework, _) in alike(cut) {
        let idle = if rework.is_idle() { ", as it is" } else { "" };
        replaced.push((format!("{mark} ({paths}){idle}"), worked(rework, style)));
    }
    let part =
        format!("`{}`, {} of `{}` (`{}`)", s.part.mark, size(&s.part, style), s.part.board, s.part.path);
    let none = |title: &str, list: Vec<(String, Vec<String>)>, otherwise: &str| match list.is_empty() {
        true => (otherwise.to_string(), Vec::new()),
        false => (title.to_string(), list),
    };
    vec![
        (format!("Spoiled: {part}."), Vec::new()),
        none(
            "What can stand in for it, of what is cut already:",
            replaced,
            "Nothing that is known to be cut can stand in for it: make it anew.",
        ),
        none(
            "What it can still become, where the damage goes with what is cut off or does no harm:",
            becomes,
            "It can become no other part of this design that is not cut yet.",
        ),
    ]
}

/// A mark with how many, the paths, and the work and part of the first.
type Alike<'a> = (String, String, &'a Rework, &'a PartRef);

/// Pieces of one mark that take the same work are told together.
fn alike<'a>(all: impl Iterator<Item = (&'a str, &'a str, &'a Rework, &'a PartRef)>) -> Vec<Alike<'a>> {
    let mut groups: Vec<(&str, Vec<String>, &Rework, &PartRef)> = Vec::new();
    for (mark, path, rework, part) in all {
        let same = |r: &Rework| r.effort == rework.effort && r.waste == rework.waste;
        match groups.iter_mut().find(|(m, _, r, _)| *m == mark && same(r)) {
            Some((_, paths, ..)) => paths.push(path.to_string()),
            None => groups.push((mark, vec![path.to_string()], rework, part)),
        }
    }
    let told = |(mark, paths, rework, part): (&str, Vec<String>, &'a Rework, &'a PartRef)| {
        let many = if paths.len() > 1 { format!("{} × ", paths.len()) } else { String::new() };
        let named: Vec<String> = paths.iter().map(|p| format!("`{p}`")).collect();
        (format!("{many}`{mark}`"), a_few(&named, 4), rework, part)
    };
    groups.into_iter().map(told).collect()
}

fn worked(rework: &Rework, style: &Style) -> Vec<String> {
    works::turned(&rework.laid).into_iter().chain(works::lines(&rework.works, style)).collect()
}

/// For a terminal of this width.
pub fn spoiled_table(s: &Spoiled, style: Style, width: usize) -> String {
    let mut out = String::new();
    for (title, lines) in said(s, &style) {
        out.push_str(&indented(&plain(&title), width, "", "  "));
        for (line, more) in lines {
            out.push_str(&indented(&plain(&line), width, "  ", "    "));
            for more in more {
                out.push_str(&indented(&plain(&more), width, "      ", "        "));
            }
        }
    }
    out
}

/// As Markdown.
pub fn spoiled_markdown(s: &Spoiled, style: Style) -> String {
    let mut out = String::new();
    for (title, lines) in said(s, &style) {
        out.push_str(&format!("{}\n\n", escaped(&title)));
        for (line, more) in &lines {
            out.push_str(&format!("- {}\n", escaped(line)));
            for more in more {
                out.push_str(&format!("  - {}\n", escaped(more)));
            }
        }
        if !lines.is_empty() {
            out.push('\n');
        }
    }
    out
}

/// For programs.
pub fn spoiled_json(s: &Spoiled) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        format: &'static str,
        #[serde(flatten)]
        spoiled: &'a Spoiled,
    }
    to_json::text(&Document { format: "aumbry-spoiled/1", spoiled: s })
}

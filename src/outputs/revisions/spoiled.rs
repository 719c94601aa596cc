//! What a spoiled part can still become, in words and for programs.

use super::words::{area, size};
use super::{escaped, plain, works};
use crate::outputs::{json as to_json, table::indented};
use crate::revisions::{Rework, Spoiled};
use crate::values::Style;
use serde::Serialize;

/// A heading, and lines with what belongs to each.
type Said = (String, Vec<(String, Vec<String>)>);

fn said(s: &Spoiled, style: &Style) -> Vec<Said> {
    let becomes: Vec<_> = s
        .becomes
        .iter()
        .map(|b| {
            let text = format!(
                "`{}`, {} (`{}`), {} goes to waste",
                b.part.mark,
                size(&b.part, style),
                b.part.path,
                area(b.rework.waste.0)
            );
            (text, works::lines(&b.rework.works, style))
        })
        .collect();
    let from = |r: &Rework| {
        let idle = if r.is_idle() { ", as it is" } else { "" };
        (format!("`{}` (`{}`){idle}", r.mark, r.of), works::lines(&r.works, style))
    };
    let replaced: Vec<_> = s.replaced_by.iter().map(from).collect();
    let part =
        format!("`{}`, {} of `{}` (`{}`)", s.part.mark, size(&s.part, style), s.part.board, s.part.path);
    let none = |title: &str, list: Vec<(String, Vec<String>)>, otherwise: &str| match list.is_empty() {
        true => (otherwise.to_string(), Vec::new()),
        false => (title.to_string(), list),
    };
    vec![
        (format!("Spoiled: {part}."), Vec::new()),
        none(
            "What it can still become, where the damage goes with what is cut off or does no harm:",
            becomes,
            "It can become no other part of this design that is not cut yet.",
        ),
        none(
            "What can stand in for it, of what is cut already:",
            replaced,
            "Nothing that is known to be cut can stand in for it: make it anew.",
        ),
    ]
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

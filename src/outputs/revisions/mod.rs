//! What a change means in the shop: a table for the terminal, Markdown for a review, JSON.

mod acts;
pub mod overlay;
mod spoiled;
mod words;
mod works;

use crate::job::Job;
use crate::outputs::{json as to_json, table::indented, words::count};
use crate::revisions::Comparison;
use crate::values::Style;
use serde::Serialize;
pub use spoiled::{spoiled_json, spoiled_markdown, spoiled_table};
pub use words::{Section, sections};

/// Two sides of a comparison, each a design or a folder of them.
#[derive(Clone, Debug, Default)]
pub struct Compared {
    /// As they were named.
    pub old: String,
    pub new: String,
    /// Designs that stand on both sides.
    pub pairs: Vec<Pair>,
    /// Names of designs that stand on one side only.
    pub only_old: Vec<String>,
    pub only_new: Vec<String>,
}

/// A design in both revisions.
#[derive(Clone, Debug)]
pub struct Pair {
    pub name: String,
    /// What messages call its text on each side.
    pub old: String,
    pub new: String,
    /// How lengths are printed: the new house's way.
    pub style: Style,
    pub comparison: Comparison,
}

impl Compared {
    /// True where nothing differs in any of them.
    pub fn is_same(&self) -> bool {
        self.only_old.is_empty()
            && self.only_new.is_empty()
            && self.pairs.iter().all(|p| p.comparison.is_same())
    }
}

/// The comparison for a terminal of this width.
pub fn table(compared: &Compared, width: usize) -> String {
    let mut out = String::new();
    for line in alone(compared) {
        out.push_str(&indented(&plain(&line), width, "", "  "));
    }
    for pair in &compared.pairs {
        if !out.is_empty() {
            out.push('\n');
        }
        if compared.pairs.len() > 1 || !alone(compared).is_empty() {
            out.push_str(&format!("{}\n", pair.name));
        }
        for (i, section) in sections(&pair.comparison, &pair.style).iter().enumerate() {
            if i > 0 {
                out.push('\n');
            }
            out.push_str(&indented(&plain(&section.title), width, "", "  "));
            for line in &section.lines {
                out.push_str(&indented(&plain(&line.text), width, "  ", "    "));
                for more in &line.more {
                    out.push_str(&indented(&plain(more), width, "      ", "        "));
                }
            }
        }
    }
    out
}

/// The comparison as Markdown, for a comment on a change.
pub fn markdown(compared: &Compared) -> String {
    let mut out = format!("## `{}` → `{}`\n", tick_free(&compared.old), tick_free(&compared.new));
    for line in alone(compared) {
        out.push_str(&format!("\n{}\n", escaped(&line)));
    }
    for pair in &compared.pairs {
        if compared.pairs.len() > 1 || !alone(compared).is_empty() {
            out.push_str(&format!("\n### `{}`\n", tick_free(&pair.name)));
        }
        for section in sections(&pair.comparison, &pair.style) {
            let long = section.lines.iter().map(|l| 1 + l.more.len()).sum::<usize>() > FOLDED;
            if section.lines.is_empty() {
                out.push_str(&format!("\n{}\n", escaped(&section.title)));
                continue;
            }
            if long {
                // A title in HTML is not read as Markdown.
                let title = html(&plain(&section.title));
                out.push_str(&format!("\n<details><summary><b>{title}</b></summary>\n\n"));
            } else {
                out.push_str(&format!("\n**{}**\n\n", escaped(&section.title)));
            }
            for line in &section.lines {
                out.push_str(&format!("- {}\n", escaped(&line.text)));
                for more in &line.more {
                    out.push_str(&format!("  - {}\n", escaped(more)));
                }
            }
            if long {
                out.push_str("\n</details>\n");
            }
        }
    }
    out
}

/// Longer sections are folded in Markdown.
const FOLDED: usize = 14;

/// The comparison for programs.
pub fn json(compared: &Compared) -> String {
    #[derive(Serialize)]
    struct Document<'a> {
        format: &'static str,
        same: bool,
        old: &'a str,
        new: &'a str,
        designs: Vec<Design<'a>>,
        only_old: &'a [String],
        only_new: &'a [String],
    }
    #[derive(Serialize)]
    struct Design<'a> {
        name: &'a str,
        old: &'a str,
        new: &'a str,
        comparison: &'a Comparison,
    }
    to_json::text(&Document {
        format: "aumbry-diff/1",
        same: compared.is_same(),
        old: &compared.old,
        new: &compared.new,
        designs: compared
            .pairs
            .iter()
            .map(|p| Design { name: &p.name, old: &p.old, new: &p.new, comparison: &p.comparison })
            .collect(),
        only_old: &compared.only_old,
        only_new: &compared.only_new,
    })
}

/// How much there is of a design: `4 boxes, 31 parts`.
pub fn summary(job: &Job) -> String {
    format!("{}, {}", count(job.boxes.len(), "box", "boxes"), count(job.parts.len(), "part", "parts"))
}

/// Designs that stand on one side only.
fn alone(compared: &Compared) -> Vec<String> {
    let line = |name: &String, what: &str| format!("`{name}` {what}.");
    let gone = compared.only_old.iter().map(|n| line(n, "is gone"));
    let new = compared.only_new.iter().map(|n| line(n, "is a new design: all of it is to be made"));
    gone.chain(new).collect()
}

/// Without the ticks that set names apart.
fn plain(text: &str) -> String {
    crate::diagnostics::visible(text).replace('`', "")
}

fn tick_free(text: &str) -> String {
    crate::diagnostics::visible(text).replace('`', "'")
}

/// What stands outside ticks means itself in Markdown.
fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for (i, piece) in crate::diagnostics::visible(text).split('`').enumerate() {
        if i % 2 == 1 {
            out.push_str(&format!("`{piece}`"));
            continue;
        }
        for c in piece.chars() {
            if matches!(c, '*' | '_' | '[' | ']' | '<' | '>' | '|' | '\\' | '#') {
                out.push('\\');
            }
            out.push(c);
        }
    }
    out
}

fn html(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;")
}

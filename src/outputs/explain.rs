//! What a code means, for a terminal and as JSON: the page of a code of the compiler, or the rule written
//! in the language.

use super::json;
use super::table::{indented, wrap};
use super::words::count;
use crate::diagnostics::pages::{Block, Example, Group, Page};
use crate::diagnostics::visible;
use crate::job::described::{Asks, Described, Rule};
use serde::Serialize;
use std::fmt::Write as _;

/// What a code stands for.
pub enum Meaning<'a> {
    Page(Page),
    /// The rules of this code; a file may use one in several definitions.
    Rules(Vec<&'a Rule>),
}

/// Every rule of some files, by file and in the order of the text.
pub fn rules(files: &[Described]) -> Vec<&Rule> {
    files.iter().flat_map(|f| f.rules.iter().chain(f.definitions.iter().flat_map(|d| &d.rules))).collect()
}

/// What a code means, for a terminal of this width.
pub fn meaning(meaning: &Meaning, width: usize) -> String {
    match meaning {
        Meaning::Page(page) => of_page(page, width),
        Meaning::Rules(rules) => {
            let each: Vec<String> = rules.iter().map(|r| of_rule(r, width)).collect();
            each.join("\n")
        }
    }
}

fn of_page(page: &Page, width: usize) -> String {
    let severity = if page.warns { "a warning" } else { "an error" };
    let mut out = format!("{}: {severity} of the compiler\n", page.code);
    for block in &page.blocks {
        out.push('\n');
        match block {
            Block::Words(words) => out.push_str(&indented(words, width, "", "")),
            Block::Example { kind, text } => {
                match kind {
                    Example::Fails => out.push_str("This fails:\n\n"),
                    Example::Passes => out.push_str("This passes:\n\n"),
                    Example::File(name) => out.push_str(&format!("With a file {name}:\n\n")),
                    Example::Plain => {}
                }
                out.push_str(&code(text));
            }
        }
    }
    out
}

/// Lines of code, indented; they never wrap.
fn code(text: &str) -> String {
    let lines = text.lines().map(|l| if l.is_empty() { "\n".to_string() } else { format!("    {l}\n") });
    visible(&lines.collect::<String>()).into_owned()
}

/// What a rule asks for, in words before its condition.
pub fn asks(rule: &Rule) -> &'static str {
    match rule.asks {
        Asks::Require => "It must hold that",
        Asks::Warn => "It should hold that",
        Asks::Choice => "This must not be empty",
    }
}

fn of_rule(rule: &Rule, width: usize) -> String {
    let article = if rule.severity() == "error" { "an" } else { "a" };
    let home = match &rule.within {
        Some((kind, name)) => format!(" of {kind} {name}"),
        None => String::new(),
    };
    let head =
        format!("{}: {article} {}, a rule{home} ({}:{})", rule.code, rule.severity(), rule.file, rule.line);
    let mut out = indented(&visible(&head), width, "", "  ");
    out.push('\n');
    out.push_str(&indented(&visible(&format!("\"{}\"", rule.message)), width, "    ", "    "));
    let _ = writeln!(out, "\n{}:\n", asks(rule));
    out.push_str(&indented(&visible(&rule.condition), width, "    ", "      "));
    if !rule.when.is_empty() {
        out.push_str("\nIt is asked only where:\n\n");
        for when in &rule.when {
            out.push_str(&indented(&visible(when), width, "    ", "      "));
        }
    }
    if let Some((kind, name)) = &rule.within
        && !rule.doc.is_empty()
    {
        let _ = writeln!(out, "\nThe {kind} {name}:\n");
        for words in paragraphs(&rule.doc) {
            out.push_str(&indented(&visible(&words), width, "    ", "    "));
        }
    }
    out
}

/// Doc lines as paragraphs.
pub fn paragraphs(lines: &[String]) -> Vec<String> {
    let mut found: Vec<Vec<&str>> = vec![Vec::new()];
    for line in lines {
        match (line.trim(), found.last_mut()) {
            ("", _) => found.push(Vec::new()),
            (line, Some(last)) => last.push(line),
            (_, None) => {}
        }
    }
    found.retain(|p| !p.is_empty());
    found.iter().map(|p| p.join(" ")).collect()
}

/// A code in a list.
#[derive(Serialize)]
struct Line {
    code: String,
    severity: &'static str,
    group: String,
    summary: String,
}

/// Every code with one line on it: those of the compiler by what they are about, then the rules by file.
fn lines(pages: &[Page], files: &[Described]) -> Vec<Line> {
    let mut found: Vec<Line> = Vec::new();
    for group in Group::ALL {
        found.extend(pages.iter().filter(|p| p.group() == group).map(|p| Line {
            code: p.code.to_string(),
            severity: if p.warns { "warning" } else { "error" },
            group: group.words().to_string(),
            summary: p.summary(),
        }));
    }
    for file in files {
        let all = rules(std::slice::from_ref(file));
        let mut listed: Vec<&str> = Vec::new();
        for rule in &all {
            if listed.contains(&rule.code.as_str()) {
                continue;
            }
            listed.push(&rule.code);
            let more = all.iter().filter(|r| r.code == rule.code).count() - 1;
            let more = if more > 0 { format!(" (and {more} more)") } else { String::new() };
            found.push(Line {
                code: rule.code.clone(),
                severity: rule.severity(),
                group: format!("Rules of {}", file.name),
                summary: format!("{}{more}", rule.message),
            });
        }
    }
    found
}

/// The list of all codes, one line each.
pub fn list(pages: &[Page], files: &[Described], width: usize) -> String {
    let lines = lines(pages, files);
    let mut out = String::new();
    let mut group = "";
    for line in &lines {
        if line.group != group {
            // The widest code of a group sets its column.
            let gap = if group.is_empty() { "" } else { "\n" };
            let _ = writeln!(out, "{gap}{}\n", visible(&line.group));
            group = &line.group;
        }
        let warns = line.severity == "warning" && group != Group::Doubts.words();
        let summary = if warns { format!("(warns) {}", line.summary) } else { line.summary.clone() };
        let wide = lines.iter().filter(|l| l.group == line.group).map(|l| l.code.chars().count()).max();
        let wide = wide.unwrap_or(0).min(36);
        let lead = format!("  {:wide$}  ", line.code);
        out.push_str(&visible(&cut(&lead, &summary, width)));
        out.push('\n');
    }
    let _ = writeln!(
        out,
        "\n{}. `aumbry explain CODE` tells more of one; `--in FILE` adds the rules of your own files.",
        count(lines.len(), "code", "codes")
    );
    out
}

/// A line no wider than `width`, cut at a word with `…` behind it.
fn cut(lead: &str, summary: &str, width: usize) -> String {
    let summary = summary.replace('\n', " ");
    let room = width.saturating_sub(lead.chars().count()).max(20);
    match &wrap(&summary, room)[..] {
        [] | [_] => format!("{lead}{summary}"),
        _ => {
            let first = wrap(&summary, room.saturating_sub(2)).into_iter().next().unwrap_or_default();
            format!("{lead}{} …", first.trim_end_matches([',', ';', ':']))
        }
    }
}

#[derive(Serialize)]
struct ListJson {
    format: &'static str,
    codes: Vec<Line>,
}

/// The list as JSON.
pub fn list_json(pages: &[Page], files: &[Described]) -> String {
    json::text(&ListJson { format: "aumbry-explain/1", codes: lines(pages, files) })
}

#[derive(Serialize)]
struct MeaningJson<'a> {
    format: &'static str,
    code: &'a str,
    /// `compiler` or `rule`.
    kind: &'static str,
    severity: &'static str,
    text: Vec<&'a str>,
    examples: Vec<ExampleJson<'a>>,
    rules: &'a [&'a Rule],
}

#[derive(Serialize)]
struct ExampleJson<'a> {
    /// `fails`, `passes`, `file` or `plain`.
    kind: &'static str,
    file: Option<&'a str>,
    text: &'a str,
}

/// What a code means as JSON.
pub fn meaning_json(meaning: &Meaning) -> String {
    let format = "aumbry-explain/1";
    match meaning {
        Meaning::Page(page) => {
            let mut text = Vec::new();
            let mut examples = Vec::new();
            for block in &page.blocks {
                match block {
                    Block::Words(words) => text.push(words.as_str()),
                    Block::Example { kind, text } => {
                        let (kind, file) = match kind {
                            Example::Fails => ("fails", None),
                            Example::Passes => ("passes", None),
                            Example::File(name) => ("file", Some(name.as_str())),
                            Example::Plain => ("plain", None),
                        };
                        examples.push(ExampleJson { kind, file, text });
                    }
                }
            }
            let severity = if page.warns { "warning" } else { "error" };
            json::text(&MeaningJson {
                format,
                code: page.code,
                kind: "compiler",
                severity,
                text,
                examples,
                rules: &[],
            })
        }
        Meaning::Rules(rules) => json::text(&MeaningJson {
            format,
            code: rules.first().map_or("", |r| r.code.as_str()),
            kind: "rule",
            severity: rules.first().map_or("error", |r| r.severity()),
            text: rules.iter().map(|r| r.message.as_str()).collect(),
            examples: Vec::new(),
            rules,
        }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::pages::pages;

    #[test]
    fn every_page_is_told_whole_within_its_width() {
        for page in pages() {
            let blocks = page.blocks.clone();
            let code = page.code;
            let told = meaning(&Meaning::Page(page), 60);
            for line in told.lines().filter(|l| !l.starts_with("    ")) {
                assert!(line.chars().count() <= 60, "{code}: {line}");
            }
            for block in blocks {
                match block {
                    Block::Words(words) => {
                        let flat = told.split_whitespace().collect::<Vec<_>>().join(" ");
                        assert!(flat.contains(&words), "{code}: {words}");
                    }
                    Block::Example { text, .. } => {
                        for line in text.lines().filter(|l| !l.is_empty()) {
                            let shown = visible(line).into_owned();
                            assert!(told.contains(&format!("    {shown}\n")), "{code}: {line}");
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn lines_of_the_list_are_cut_at_a_word() {
        assert_eq!(cut("  a  ", "one two", 40), "  a  one two");
        assert_eq!(cut("  a  ", "one two, three four five", 25), "  a  one two, three …");
        assert_eq!(cut("  a  ", "one two three, four five", 25), "  a  one two three …");
    }
}

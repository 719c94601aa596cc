//! What the shape of the code promises, read from its own text.

#[path = "common/rust_text.rs"]
mod rust_text;

use rust_text::{Kind, Token, tokens};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// Which folders of `src` each may use. The order is the pipeline's; every arrow points up.
const ARROWS: &[(&str, &[&str])] = &[
    ("sources", &[]),
    ("values", &[]),
    ("diagnostics", &["sources", "values"]),
    ("syntax", &["sources", "diagnostics", "values"]),
    ("geometry", &["values"]),
    ("evaluation", &["sources", "diagnostics", "values", "syntax", "geometry"]),
    ("job", &["sources", "diagnostics", "values", "syntax", "geometry", "evaluation"]),
    ("checks", &["sources", "diagnostics", "values", "syntax", "geometry", "evaluation", "job"]),
    ("planning", &["values", "geometry", "job", "checks"]),
    ("revisions", &["values", "geometry", "job", "checks", "planning"]),
    // Outputs read the job, an estimate (`checks`) or a plan made from it, and nothing else;
    // `diagnostics` only makes hidden characters visible.
    ("outputs", &["diagnostics", "values", "geometry", "job", "checks", "planning", "revisions"]),
    (
        "commands",
        &[
            "sources",
            "diagnostics",
            "values",
            "syntax",
            "geometry",
            "evaluation",
            "job",
            "checks",
            "planning",
            "revisions",
            "outputs",
        ],
    ),
];

/// Dimensions are exact there.
const EXACT: &[&str] = &["syntax", "values", "geometry", "evaluation", "job"];

/// No file of the compiler is longer than this.
const MOST_LINES: usize = 600;

/// All that stands at the top of the project, besides names that start with a dot.
const TOP: &[&str] = &[
    "Cargo.lock",
    "Cargo.toml",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "examples",
    "grammar",
    "src",
    "stdlib",
    "tests",
];

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

fn walk(folder: &Path, found: &mut Vec<PathBuf>) {
    let mut entries: Vec<PathBuf> =
        fs::read_dir(folder).expect("a folder").map(|e| e.expect("an entry").path()).collect();
    entries.sort();
    for path in entries {
        if path.is_dir() {
            walk(&path, found);
        } else {
            found.push(path);
        }
    }
}

/// A file with its name relative to the project.
struct Text {
    name: String,
    text: String,
}

fn files(folder: &str, ending: &str) -> Vec<Text> {
    let mut paths = Vec::new();
    walk(&root().join(folder), &mut paths);
    let texts = paths.into_iter().filter(|p| p.to_string_lossy().ends_with(ending)).map(|p| Text {
        name: p.strip_prefix(root()).expect("below the project").to_string_lossy().replace('\\', "/"),
        text: fs::read_to_string(&p).expect("UTF-8"),
    });
    texts.collect()
}

/// The folder of `src` that a file stands in.
fn stage(name: &str) -> Option<&str> {
    let (folder, rest) = name.strip_prefix("src/")?.split_once('/')?;
    (!rest.is_empty()).then_some(folder)
}

/// The folders of `src` that a file reaches: every `crate::X`, also in braces, with its line. A path of
/// `super` that climbs to the root of the crate is given as `super`.
fn reached(name: &str, all: &[Token]) -> Vec<(String, usize)> {
    let mut found = Vec::new();
    let text = |i: usize| all.get(i).filter(|t| t.kind != Kind::Text).map_or("", |t| t.text.as_str());
    // How far a file's own module lies below the root.
    let own =
        name.trim_start_matches("src/").trim_end_matches(".rs").trim_end_matches("/mod").split('/').count();
    let (mut depth, mut inner): (usize, Vec<usize>) = (0, Vec::new());
    let mut i = 0;
    while i < all.len() {
        match text(i) {
            "{" => {
                if i >= 2 && text(i - 2) == "mod" {
                    inner.push(depth);
                }
                depth += 1;
            }
            "}" => {
                depth -= 1;
                if inner.last() == Some(&depth) {
                    inner.pop();
                }
            }
            "crate" if text(i + 1) == "::" && text(i + 2) == "{" => {
                let (mut level, mut at) = (1, i + 3);
                while level > 0 && at < all.len() {
                    match text(at) {
                        "{" => level += 1,
                        "}" => level -= 1,
                        word if level == 1
                            && all[at].kind == Kind::Word
                            && text(at - 1) != "::"
                            && text(at - 1) != "as" =>
                        {
                            found.push((word.to_string(), all[at].line));
                        }
                        _ => {}
                    }
                    at += 1;
                }
                i = at;
                continue;
            }
            "crate" if text(i + 1) == "::" => found.push((text(i + 2).to_string(), all[i].line)),
            "super" if i == 0 || text(i - 1) != "::" => {
                let climbs = (0..).take_while(|n| text(i + 2 * n) == "super").count();
                if climbs >= own + inner.len() {
                    found.push(("super".to_string(), all[i].line));
                }
            }
            _ => {}
        }
        i += 1;
    }
    found
}

#[test]
fn arrows_between_folders_run_one_way() {
    let allowed: BTreeMap<&str, &[&str]> = ARROWS.iter().copied().collect();
    let mut faults = Vec::new();
    let mut seen = BTreeSet::new();
    for file in files("src", ".rs") {
        let Some(from) = stage(&file.name) else { continue };
        seen.insert(from.to_string());
        let Some(may) = allowed.get(from) else {
            faults.push(format!("{}: `{from}` is not one of the pipeline's folders", file.name));
            continue;
        };
        for (to, line) in reached(&file.name, &tokens(&file.text)) {
            if to == "super" {
                faults.push(format!("{}:{line}: write `crate::` instead of climbing to the root", file.name));
            } else if to != from && !may.contains(&to.as_str()) {
                faults.push(format!("{}:{line}: `{from}` may not use `{to}`", file.name));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    let agreed: BTreeSet<String> = ARROWS.iter().map(|(name, _)| (*name).to_string()).collect();
    assert_eq!(seen, agreed, "the folders of src");
    // The table itself has no circle: each folder uses only those above it.
    for (i, (name, uses)) in ARROWS.iter().enumerate() {
        for used in *uses {
            assert!(ARROWS[..i].iter().any(|(above, _)| above == used), "{name} uses {used}");
        }
    }
}

#[test]
fn paths_are_found_however_they_are_written() {
    let text = "use crate::{job::{Job, Part}, values};\nmod tests { use super::x; use crate::checks as c; }\n\
                // crate::comment\nfn f() { let _ = \"crate::text\"; super::super::sources::x(); }";
    let found: Vec<String> =
        reached("src/outputs/parts.rs", &tokens(text)).into_iter().map(|f| f.0).collect();
    assert_eq!(found, ["job", "values", "checks", "super"]);
}

/// Words of the language or of geometry, which a library may use as a name.
const LANGUAGE: &[&str] = &["along", "solid"];

/// The names that the library defines, with the file of each.
fn library_names() -> BTreeMap<String, String> {
    let mut names = BTreeMap::new();
    for file in files("stdlib", ".aum") {
        for line in file.text.lines() {
            let mut words =
                line.split(|c: char| !(c.is_alphanumeric() || c == '_')).filter(|w| !w.is_empty());
            if words.next() == Some("def") && line.starts_with("def ") {
                let name = words.nth(1).expect("def KIND NAME");
                if LANGUAGE.contains(&name) {
                    continue;
                }
                names.insert(name.to_string(), file.name.clone());
            }
        }
    }
    names
}

#[test]
fn the_trade_stays_out_of_rust() {
    let names = library_names();
    assert!(names.len() >= 30, "{names:?}");
    assert!(names.contains_key("floor_box") && names.contains_key("white18"));
    let mut faults = Vec::new();
    for file in files("src", ".rs") {
        for token in tokens(&file.text) {
            if matches!(token.kind, Kind::Word | Kind::Text)
                && let Some(library) = names.get(token.text.trim())
            {
                faults
                    .push(format!("{}:{}: `{}` is defined in {library}", file.name, token.line, token.text));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn dimensions_are_exact() {
    let mut faults = Vec::new();
    for file in files("src", ".rs") {
        if !stage(&file.name).is_some_and(|s| EXACT.contains(&s)) {
            continue;
        }
        for token in tokens(&file.text) {
            let float = match token.kind {
                Kind::Word => ["f32", "f64"].contains(&token.text.as_str()),
                Kind::Number => is_float(&token.text),
                _ => false,
            };
            if float {
                faults.push(format!("{}:{}: {}", file.name, token.line, token.text));
            }
        }
    }
    assert!(faults.is_empty(), "floats where sizes are exact:\n{}", faults.join("\n"));
}

fn is_float(number: &str) -> bool {
    let hex = number.starts_with("0x");
    number.contains('.') || number.ends_with("f32") && !hex || number.ends_with("f64") && !hex
}

#[test]
fn files_stay_short() {
    let mut faults = Vec::new();
    for file in files("src", ".rs") {
        let lines = file.text.lines().count();
        if lines > MOST_LINES {
            faults.push(format!("{} has {lines} lines, {MOST_LINES} at most", file.name));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn nothing_else_stands_at_the_top() {
    let mut names: Vec<String> = fs::read_dir(root())
        .expect("the project")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|n| !n.starts_with('.') && n != "target")
        .collect();
    names.sort();
    assert_eq!(names, TOP);
}

#[test]
fn nothing_is_left_for_later_and_no_path_is_of_one_machine() {
    // In pieces, so that this file does not find itself.
    let never: Vec<String> =
        [["/ho", "me/"], ["/Us", "ers/"], ["/ro", "ot/"], ["/wo", "rk/"], ["C:", "\\\\"], ["FIX", "ME"]]
            .map(|p| p.concat())
            .to_vec();
    let mut faults = Vec::new();
    for folder in ["src", "stdlib", "examples", "grammar", "tests"] {
        let mut paths = Vec::new();
        walk(&root().join(folder), &mut paths);
        for path in paths {
            // Pictures and fonts are not text.
            let Ok(text) = fs::read_to_string(&path) else { continue };
            for (number, line) in text.lines().enumerate() {
                if let Some(found) = never.iter().find(|n| line.contains(n.as_str())) {
                    faults.push(format!("{}:{}: {found}", path.display(), number + 1));
                }
            }
        }
    }
    for file in files("src", ".rs") {
        let all = tokens(&file.text);
        for pair in all.windows(2) {
            if ["todo", "unimplemented", "dbg"].contains(&pair[0].text.as_str()) && pair[1].text == "!" {
                faults.push(format!("{}:{}: {}!", file.name, pair[0].line, pair[0].text));
            }
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Reading, writing and the world outside belong to two places only; clocks to none.
#[test]
fn the_compiler_itself_does_no_input_or_output() {
    let mut faults = Vec::new();
    for file in files("src", ".rs") {
        let outside = file.name == "src/sources/files.rs" || stage(&file.name) == Some("commands");
        let all = tokens(&file.text);
        for (i, token) in all.iter().enumerate() {
            let next = |n: usize| all.get(i + n).map_or("", |t| t.text.as_str());
            let std_path = token.text == "std" && next(1) == "::";
            if std_path && ["fs", "env", "net", "process", "io"].contains(&next(2)) && !outside {
                faults.push(format!("{}:{}: std::{}", file.name, token.line, next(2)));
            }
            let clock =
                std_path && next(2) == "time" || ["Instant", "SystemTime"].contains(&token.text.as_str());
            if clock && token.kind == Kind::Word {
                faults.push(format!("{}:{}: a clock", file.name, token.line));
            }
        }
    }
    // `main.rs` hands its exit status on.
    faults.retain(|f| !f.starts_with("src/main.rs"));
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

#[test]
fn public_items_are_explained() {
    let opens = [
        "pub fn ",
        "pub struct ",
        "pub enum ",
        "pub trait ",
        "pub const ",
        "pub type ",
        "pub static ",
        "pub const fn ",
    ];
    let mut faults = Vec::new();
    for file in files("src", ".rs") {
        if file.name.ends_with("testing.rs") && !file.name.starts_with("src/evaluation") {
            // Support of unit tests.
            continue;
        }
        // Methods such as `width` may speak for themselves; what stands by itself may not.
        let lines: Vec<&str> = file.text.lines().map(str::trim_end).collect();
        for (i, line) in lines.iter().enumerate() {
            if line.contains("$name") || !opens.iter().any(|o| line.starts_with(o)) {
                continue;
            }
            // Attributes may stand between, over several lines.
            let above = lines[..i].iter().rev().find(|l| {
                !(l.starts_with("#[")
                    || l.ends_with(")]") && !l.starts_with("///")
                    || l.ends_with(',') && !l.starts_with("///"))
            });
            if !above.is_some_and(|l| l.starts_with("///")) {
                faults.push(format!("{}:{}: {line}", file.name, i + 1));
            }
        }
        if !lines.first().is_some_and(|l| l.starts_with("//!")) && file.name.ends_with("mod.rs") {
            faults.push(format!("{}:1: no //! line", file.name));
        }
    }
    assert!(faults.is_empty(), "without a docstring:\n{}", faults.join("\n"));
}

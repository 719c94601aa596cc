//! Every message has a page under grammar/errors with an example that raises it and one that does not.

use aumbry::commands::compile;
use aumbry::sources::{Files, MemoryFiles, ReadFault};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// The name a page's examples are compiled under.
const ROOT: &str = "page.aum";

fn project() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// A fenced block: what stands behind the fence, and its lines.
struct Block {
    info: String,
    text: String,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut blocks = Vec::new();
    let mut open: Option<Block> = None;
    for line in page.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (None, Some(info)) => open = Some(Block { info: info.to_string(), text: String::new() }),
            (Some(_), Some("")) => blocks.extend(open.take()),
            (Some(block), _) => block.text += &format!("{line}\n"),
            _ => {}
        }
    }
    assert!(open.is_none(), "an unclosed block");
    blocks
}

/// The pages by code.
fn pages() -> BTreeMap<String, String> {
    let mut pages = BTreeMap::new();
    for entry in std::fs::read_dir(project().join("grammar/errors")).unwrap() {
        let path = entry.unwrap().path();
        let code = path.file_stem().unwrap().to_str().unwrap().to_string();
        pages.insert(code, std::fs::read_to_string(&path).unwrap());
    }
    pages
}

/// Runs with the stack that the command line gives the compiler.
fn with_stack(run: fn()) {
    std::thread::Builder::new().stack_size(256 << 20).spawn(run).unwrap().join().unwrap();
}

fn codes(files: &dyn Files) -> Vec<String> {
    let compiled = compile(files, ROOT, None);
    let mut codes = Vec::new();
    // What is answered is no matter of the page, but for the page on answers.
    let open = |d: &&aumbry::diagnostics::Diagnostic| d.accepted.is_none() || d.code == "accepted-error";
    for d in compiled.diagnostics.iter().filter(open) {
        codes.push(format!("{} ({}: {})", d.code, compiled.sources.place(d.span()), d.message));
    }
    codes
}

/// Faults of files, which no text can show.
struct Unreadable(ReadFault);

impl Files for Unreadable {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        if path == ROOT {
            Ok("aumbry 1\nuse \"trays.aum\" (tray)\n".to_string())
        } else {
            Err(self.0.clone())
        }
    }
}

fn unreadable(code: &str) -> Option<Unreadable> {
    Some(Unreadable(match code {
        "file-too-large" => ReadFault::TooLarge(16),
        "folder-for-file" => ReadFault::Folder,
        "not-text" => ReadFault::NotText(7),
        "unreadable-file" => ReadFault::Other("permission denied".to_string()),
        _ => return None,
    }))
}

#[test]
fn the_failing_example_raises_that_code_once_and_the_passing_one_nothing() {
    with_stack(examples);
}

fn examples() {
    let mut wrong = Vec::new();
    for (code, page) in pages() {
        let blocks = blocks(&page);
        let mut files = MemoryFiles::new();
        for block in &blocks {
            if let Some(name) = block.info.strip_prefix("aumbry file ") {
                files = files.with(name, &block.text);
            }
        }
        let example = |kind: &str| blocks.iter().find(|b| b.info == format!("aumbry {kind}"));
        let raised = match (example("fails"), unreadable(&code)) {
            (Some(block), None) => {
                files = files.with(ROOT, &block.text);
                codes(&files)
            }
            (None, Some(unreadable)) => codes(&unreadable),
            _ => panic!("{code}: one failing example"),
        };
        // An error that is accepted is told beside the error itself.
        let beside = usize::from(code == "accepted-error");
        if raised.len() != 1 + beside || !raised.iter().any(|r| r.starts_with(&format!("{code} ("))) {
            wrong.push(format!("{code}: the failing example raises {raised:#?}"));
        }
        if let Some(block) = example("passes") {
            let raised = codes(&files.with(ROOT, &block.text));
            if !raised.is_empty() {
                wrong.push(format!("{code}: the passing example raises {raised:#?}"));
            }
        } else if unreadable(&code).is_none() {
            wrong.push(format!("{code}: no passing example"));
        }
    }
    assert!(wrong.is_empty(), "{} pages are wrong:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn a_page_starts_with_its_code_and_a_sentence() {
    for (code, page) in pages() {
        let mut lines = page.lines().filter(|l| !l.is_empty());
        assert_eq!(lines.next(), Some(format!("# {code}").as_str()));
        let sentence = lines.next().unwrap();
        assert!(
            sentence.ends_with('.') && !sentence.starts_with('`') || sentence.len() > 20,
            "{code}: {sentence}"
        );
    }
}

/// String literals of the compiler's stages that read as a code, and the first literal given to what
/// makes a message. Tests are left out.
fn codes_in_source() -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for stage in ["syntax", "evaluation", "checks"] {
        visit(&project().join("src").join(stage), &mut |text| {
            let text = text.split("#[cfg(test)]\nmod tests {").next().unwrap_or(text);
            for line in text.lines().filter(|l| !l.trim_start().starts_with("//")) {
                let literals: Vec<&str> = line.split('"').skip(1).step_by(2).collect();
                for literal in literals {
                    let plain = literal.chars().all(|c| c.is_ascii_lowercase() || c == '-');
                    let ends = literal.starts_with('-') || literal.ends_with('-');
                    if plain && !ends && literal.contains('-') {
                        found.insert(literal.to_string());
                    }
                }
            }
            for maker in ["Diagnostic::error(", "Diagnostic::warning(", "error_at(", ".fault("] {
                for after in text.split(maker).skip(1) {
                    let Some((before, rest)) = after.split_once('"') else { continue };
                    let literal = rest.split('"').next().unwrap_or("");
                    let is_code =
                        !literal.is_empty() && literal.chars().all(|c| c.is_ascii_lowercase() || c == '-');
                    if is_code && !before.contains(['(', ';', '{']) {
                        found.insert(literal.to_string());
                    }
                }
            }
        });
    }
    found
}

fn visit(folder: &Path, see: &mut dyn FnMut(&str)) {
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let is_test = path.file_name().is_some_and(|n| n == "tests.rs" || n == "testing.rs");
        if path.is_dir() {
            visit(&path, see);
        } else if path.extension().is_some_and(|e| e == "rs") && !is_test {
            see(&std::fs::read_to_string(&path).unwrap());
        }
    }
}

#[test]
fn every_code_has_a_page_and_every_page_a_code() {
    let source = codes_in_source();
    let pages: BTreeSet<String> = pages().into_keys().collect();
    let without_page: Vec<_> = source.difference(&pages).collect();
    let without_code: Vec<_> = pages.difference(&source).collect();
    assert!(
        without_page.is_empty() && without_code.is_empty(),
        "codes without a page: {without_page:?}\npages without a code: {without_code:?}"
    );
}

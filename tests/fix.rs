//! Offered figures: each makes the design compile, is the least that does, is the maker's own and no measured
//! fact, and changes nothing else in the file.

use aumbry::commands::{Mended, check, mended};
use aumbry::diagnostics::Diagnostic;
use aumbry::sources::MemoryFiles;
use std::fmt::Write;
use std::path::PathBuf;

type Key = (String, Vec<String>);

fn errors(files: &MemoryFiles, root: &str) -> Vec<Key> {
    let all = check(files, root).diagnostics;
    all.iter().filter(|d| d.is_error()).map(key).collect()
}

fn key(d: &Diagnostic) -> Key {
    (d.code.to_string(), d.boxes.clone())
}

fn found(mended: &Mended) -> String {
    let mut text = String::new();
    for d in mended.diagnostics.iter().filter(|d| d.is_error()) {
        let _ = writeln!(text, "{}: {}", d.code, d.message);
    }
    for (i, o) in mended.found.offers.iter().enumerate() {
        let name = o.name.as_deref().unwrap_or("-");
        let _ = writeln!(text, "{} {} {name}: {} -> {}", i + 1, mended.sources.place(o.span), o.old, o.new);
    }
    let _ = writeln!(text, "{} tried, {} measured", mended.found.tried, mended.found.facts);
    text
}

/// Applies every offer and gives what is wrong with any of them.
fn faults(root: &str, text: &str, others: &[(String, String)]) -> (Mended, Vec<String>) {
    let with = |text: &str| {
        others.iter().fold(MemoryFiles::new(), |files, (n, t)| files.with(n, t)).with(root, text)
    };
    let files = with(text);
    let all = mended(&files, root);
    let before: Vec<Key> = all.diagnostics.iter().filter(|d| d.is_error()).map(key).collect();
    let mut wrong = Vec::new();
    for o in &all.found.offers {
        let file = all.sources.file(o.span.file);
        let what = format!("{}: {} -> {}", all.sources.place(o.span), o.old, o.new);
        if file.library || file.name != root {
            wrong.push(format!("{what}: not in the maker's own file"));
            continue;
        }
        let (start, end) = (o.span.start as usize, o.span.end as usize);
        if text[start..end] != o.old {
            wrong.push(format!("{what}: `{}` stands there", &text[start..end]));
        }
        let other = |figure: &str| {
            let mut changed = text.to_string();
            changed.replace_range(start..end, figure);
            errors(&with(&changed), root)
        };
        let after = other(&o.new);
        let due: Vec<&Key> = match o.error {
            None => before.iter().collect(),
            Some(e) => vec![&before[all.diagnostics[..e].iter().filter(|d| d.is_error()).count()]],
        };
        if after.iter().any(|k| due.contains(&k) || !before.contains(k)) {
            wrong.push(format!("{what}: leaves {after:?}"));
        }
        if let Some(nearer) = &o.nearer {
            let less = other(nearer);
            if !less.iter().any(|k| due.contains(&k) || !before.contains(k)) {
                wrong.push(format!("{what}: {nearer} would do"));
            }
        }
        let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let statement = text[line..].trim_start();
        if ["wall ", "obstacle ", "def board "].iter().any(|k| statement.starts_with(k)) {
            wrong.push(format!("{what}: a measured fact"));
        }
    }
    (all, wrong)
}

/// The blocks of a page whose fence says this, with what it says besides.
fn blocks(page: &str, fence: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let Some(info) = line.strip_prefix("```").filter(|i| !i.is_empty()) else { continue };
        let text: String = lines.by_ref().take_while(|l| *l != "```").map(|l| format!("{l}\n")).collect();
        if let Some(rest) = info.strip_prefix(fence) {
            found.push((rest.to_string(), text));
        }
    }
    found
}

#[test]
fn offers_for_the_wrong_designs() {
    insta::glob!("wrong/*.aum", |path| {
        let text = std::fs::read_to_string(path).unwrap();
        let (all, wrong) = faults("a.aum", &text, &[]);
        assert!(wrong.is_empty(), "{}:\n{}", path.display(), wrong.join("\n"));
        assert!(!all.found.stopped, "{}", path.display());
        insta::assert_snapshot!(found(&all));
    });
}

#[test]
fn offers_for_the_pages_of_errors() {
    let work = std::thread::Builder::new().stack_size(256 << 20).spawn(pages_of_errors);
    work.unwrap().join().unwrap();
}

fn pages_of_errors() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("grammar/errors");
    let (mut wrong, mut told) = (Vec::new(), String::new());
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let code = path.file_stem().unwrap().to_string_lossy().into_owned();
        let page = std::fs::read_to_string(&path).unwrap();
        let files = blocks(&page, "aumbry file ");
        for (_, text) in blocks(&page, "aumbry fails") {
            let (all, faults) = faults("page.aum", &text, &files);
            wrong.extend(faults.into_iter().map(|f| format!("{code}: {f}")));
            if all.found.tried > 0 {
                let _ = writeln!(told, "{}", found(&all));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    insta::assert_snapshot!(told);
}

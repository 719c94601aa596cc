//! Wrong designs: one message each, at the place a maker would mend, with a way out.

use aumbry::commands::compile;
use aumbry::diagnostics::Diagnostic;
use aumbry::sources::{MemoryFiles, Sources};
use std::fmt::Write;

fn told(sources: &Sources, d: &Diagnostic) -> String {
    let mut text = format!("{}: {}\n", d.code, d.message);
    for l in &d.labels {
        let quoted = sources.text(l.span).lines().next().unwrap_or("");
        // Lines of the library move; its name and what is quoted do.
        let file = sources.file(l.span.file);
        let place = if file.library { file.name.clone() } else { sources.place(l.span) };
        let _ = writeln!(text, "  {place} `{quoted}` {}", l.text);
    }
    for n in &d.notes {
        let _ = writeln!(text, "  note: {n}");
    }
    for h in &d.help {
        let _ = writeln!(text, "  help: {h}");
    }
    if d.boxes.len() > 1 {
        let _ = writeln!(text, "  in {} boxes", d.boxes.len());
    }
    text
}

#[test]
fn each_wrong_design_has_one_message_in_the_makers_own_file() {
    insta::glob!("wrong/*.aum", |path| {
        let text = std::fs::read_to_string(path).unwrap();
        let compiled = compile(&MemoryFiles::new().with("a.aum", &text), "a.aum", None);
        let all: String = compiled.diagnostics.iter().map(|d| told(&compiled.sources, d)).collect();
        insta::assert_snapshot!(all);
        assert_eq!(compiled.diagnostics.len(), 1, "{}\n{all}", path.display());
        let d = &compiled.diagnostics[0];
        assert!(compiled.sources.place(d.span()).starts_with("a.aum:"), "{}\n{all}", path.display());
        // A rule of a library says in its own words what would do.
        assert!(!d.help.is_empty() || d.code.contains('.'), "{}: no way out\n{all}", path.display());
        assert!(compiled.job.is_none());
    });
}

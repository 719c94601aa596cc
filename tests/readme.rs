//! The README's failing design says what the README says it says.

use aumbry::commands::{Look, compile, human};
use aumbry::sources::MemoryFiles;

/// The lines of the block behind a fence.
fn block<'a>(text: &'a str, fence: &str) -> &'a str {
    let start = text.find(fence).expect("the fence") + fence.len();
    let rest = &text[start..];
    let rest = &rest[rest.find('\n').expect("a line") + 1..];
    &rest[..rest.find("```").expect("the end of the block")]
}

#[test]
fn the_failing_design_says_what_the_readme_says() {
    let readme = include_str!("../README.md");
    let design = block(readme, "```aumbry fails");
    let compiled = compile(&MemoryFiles::new().with("glazes.aum", design), "glazes.aum", None);
    let said = human(&compiled.sources, &compiled.diagnostics, Look::plain());
    let trimmed = |text: &str| text.lines().map(str::trim_end).collect::<Vec<_>>().join("\n");
    assert!(
        trimmed(&said).starts_with(trimmed(block(readme, "```text")).trim_end()),
        "the README is to say:\n{said}"
    );
}

#[test]
fn the_pictures_are_those_that_build_writes() {
    let folder = aumbry::sources::DiskFiles::new(std::path::Path::new(concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/examples"
    )));
    let job = compile(&folder, "floor_box.aum", None).job.expect("a job");
    let mut sheets = aumbry::outputs::elevations::sheets(&job);
    sheets.extend(aumbry::outputs::holes::sheets(&job));
    let studio = compile(&folder, "studio.aum", None).job.expect("a job");
    sheets.extend(aumbry::outputs::walls::sheets(&studio));
    for picture in [
        include_str!("../grammar/pictures/elevation.svg"),
        include_str!("../grammar/pictures/hole-map.svg"),
        include_str!("../grammar/pictures/wall.svg"),
    ] {
        assert!(
            sheets.iter().any(|s| s.svg.trim() == picture.trim()),
            "write it again: aumbry build examples/floor_box.aum, elevations/tools.svg and holes/TL-inner.svg; \
             aumbry build examples/studio.aum, walls/north.svg"
        );
    }
}

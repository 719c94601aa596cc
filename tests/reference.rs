//! Every block of the language reference is a file that compiles, or fails with the code it names.

use aumbry::commands::{compile, run_tests};
use aumbry::sources::MemoryFiles;

/// A fenced block: what stands after the fence, its text, and the line it starts on.
struct Block {
    mark: String,
    text: String,
    line: usize,
}

fn blocks(page: &str) -> Vec<Block> {
    let mut all = Vec::new();
    let mut open: Option<Block> = None;
    for (i, line) in page.lines().enumerate() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(mark), None) => {
                open = Some(Block { mark: mark.trim().to_string(), text: String::new(), line: i + 1 })
            }
            (Some(_), Some(_)) => all.extend(open.take()),
            (None, Some(block)) => {
                block.text.push_str(line);
                block.text.push('\n');
            }
            (None, None) => {}
        }
    }
    assert!(open.is_none(), "a fence is not closed");
    all
}

#[test]
fn every_block_compiles_or_fails_as_it_says() {
    let page = include_str!("../grammar/reference.md");
    let mut faults = Vec::new();
    let mut seen = 0;
    for block in blocks(page) {
        let Some(rest) = block.mark.strip_prefix("aumbry") else { continue };
        seen += 1;
        let files = MemoryFiles::new().with("block.aum", &block.text);
        let found = compile(&files, "block.aum", None);
        let codes: Vec<String> = found.diagnostics.iter().map(|d| d.code.to_string()).collect();
        let expected: Vec<String> =
            rest.trim().strip_prefix("fails ").map(|c| c.trim().to_string()).into_iter().collect();
        let accepted = found.diagnostics.iter().all(|d| d.accepted.is_some());
        if codes != expected && !(expected.is_empty() && accepted) {
            let said: Vec<&str> = found.diagnostics.iter().map(|d| d.message.as_str()).collect();
            faults.push(format!("line {}: expected {expected:?}, found {codes:?} {said:?}", block.line));
        }
        let tests = run_tests(&files, "block.aum");
        for test in tests.tests.iter().filter(|t| !t.passed) {
            faults.push(format!("line {}: the test `{}` fails", block.line, test.name));
        }
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
    assert!(seen >= 20, "only {seen} blocks");
}

#[test]
fn the_lists_of_words_are_those_of_the_compiler() {
    let page = include_str!("../grammar/reference.md");
    for word in aumbry::evaluation::FUNCTIONS.iter().chain(aumbry::evaluation::VERBS) {
        assert!(page.contains(&format!("`{word}(")), "`{word}` is missing in the reference");
    }
    for word in aumbry::evaluation::TYPES {
        let planned = ["wall", "row", "obstacle"].contains(word);
        assert!(
            planned || page.contains(&format!("`{word}`")),
            "the type `{word}` is missing in the reference"
        );
    }
    for unit in aumbry::values::UNITS {
        assert!(
            page.contains(&format!("`{}`", unit.name)),
            "the unit `{}` is missing in the reference",
            unit.name
        );
    }
}

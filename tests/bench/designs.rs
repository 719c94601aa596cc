//! Designs as text for the benches, the same on every run.

use std::fmt::Write as _;

/// So many floor boxes with two shelves, each of another width.
pub fn floor_boxes(n: usize) -> String {
    let mut text = String::from("aumbry 1\nuse std.boxes (floor_box)\n");
    for i in 0..n {
        let _ = writeln!(
            text,
            "box b{} = floor_box(width: {}.{}mm, shelves: 2)",
            i + 1,
            400 + i / 2,
            5 * (i % 2)
        );
    }
    text
}

/// A file of so many lines, each with a figure that reads the one before.
pub fn lines(n: usize) -> String {
    let mut text = String::from("aumbry 1\nlet a0 = 1mm // the first\n");
    for i in 1..n.saturating_sub(1) {
        let _ = writeln!(text, "let a{i} = min(a{} + 1/2in, 1000mm) // line {i}", i - i % 50);
    }
    text
}

/// A file of at least so many lines: the box types of an example over and over.
pub fn types(n: usize) -> String {
    let types = include_str!("../../examples/own_types.aum");
    let body: String =
        types.lines().skip_while(|l| !l.starts_with("///")).map(|l| format!("{l}\n")).collect();
    let mut text = String::from("aumbry 1\n");
    let lines = body.lines().count().max(1);
    for _ in 0..n.div_ceil(lines) {
        text.push_str(&body);
    }
    text
}

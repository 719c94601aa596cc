//! Orders that every output shares: of paths, and of the holes of a part.

use super::{Axis, Hole};
use std::cmp::Ordering;

/// Compares two paths so that a number counts by its size: `shelf[2]` before `shelf[10]`.
pub fn path_order(a: &str, b: &str) -> Ordering {
    let (mut left, mut right) = (a.as_bytes(), b.as_bytes());
    loop {
        match (left.first(), right.first()) {
            (Some(x), Some(y)) if x.is_ascii_digit() && y.is_ascii_digit() => {
                let (m, rest_left) = number(left);
                let (n, rest_right) = number(right);
                match m.len().cmp(&n.len()).then_with(|| m.cmp(n)) {
                    Ordering::Equal => (left, right) = (rest_left, rest_right),
                    other => return other,
                }
            }
            (Some(x), Some(y)) if x == y => (left, right) = (&left[1..], &right[1..]),
            (x, y) => {
                // Equal but for leading noughts: the text decides, so that only equal paths tie.
                return x.cmp(&y).then_with(|| a.cmp(b));
            }
        }
    }
}

/// The digits at the start without leading noughts, and what follows them.
fn number(bytes: &[u8]) -> (&[u8], &[u8]) {
    let end = bytes.iter().position(|b| !b.is_ascii_digit()).unwrap_or(bytes.len());
    let (digits, rest) = bytes.split_at(end);
    let noughts = digits.iter().take_while(|b| **b == b'0').count();
    (&digits[noughts..], rest)
}

/// The names of a path; a stop within brackets (`cleat[floor.clay]`) does not part them.
pub fn path_names(path: &str) -> Vec<&str> {
    let (mut names, mut start, mut depth) = (Vec::new(), 0, 0usize);
    for (at, byte) in path.bytes().enumerate() {
        match byte {
            b'[' => depth += 1,
            b']' => depth = depth.saturating_sub(1),
            b'.' if depth == 0 => {
                names.push(&path[start..at]);
                start = at + 1;
            }
            _ => {}
        }
    }
    names.push(&path[start..]);
    names
}

/// A name without its index, and the index without its brackets: `front[3]` is `front` and `3`.
pub fn name_and_index(name: &str) -> (&str, Option<&str>) {
    match name.split_once('[') {
        Some((name, index)) => (name, Some(index.strip_suffix(']').unwrap_or(index))),
        None => (name, None),
    }
}

/// The axes that the two distances of a hole run along.
pub fn hole_axes(hole: &Hole) -> [Axis; 2] {
    hole.at.from.map(|edge| edge.axis())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_paths_count_by_size() {
        let mut paths =
            vec!["b.shelf[10]", "b.shelf[2]", "b.shelf", "b[12].left", "b[3].left", "a.z", "b.shelf[02]"];
        paths.sort_by(|a, b| path_order(a, b));
        assert_eq!(
            paths,
            ["a.z", "b.shelf", "b.shelf[02]", "b.shelf[2]", "b.shelf[10]", "b[3].left", "b[12].left"]
        );
        assert_eq!(path_order("a[2].x", "a[2].x"), Ordering::Equal);
    }

    #[test]
    fn stops_in_brackets_do_not_part_names() {
        assert_eq!(path_names("rails.cleat[floor.clay].left"), ["rails", "cleat[floor.clay]", "left"]);
        assert_eq!(path_names(""), [""]);
        assert_eq!(name_and_index("cleat[upper[1]]"), ("cleat", Some("upper[1]")));
        assert_eq!(name_and_index("left"), ("left", None));
    }
}

//! The words of a question.

use crate::geometry::Axis;

/// Words behind a name, in small letters: `cut_width`, `.cut.width` and `cut width` are the same.
pub(super) struct Words(Vec<String>);

impl Words {
    pub(super) fn of(rest: &str) -> Words {
        let plain = |c: char| c.is_whitespace() || matches!(c, '.' | '_' | ',' | ':');
        let words = rest.split(plain).filter(|w| !w.is_empty()).map(str::to_lowercase);
        let skipped = |w: &String| matches!(w.as_str(), "finished" | "the" | "of" | "mm" | "in" | "number");
        Words(words.filter(|w| !skipped(w)).collect())
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    pub(super) fn text(&self) -> String {
        self.0.join(" ")
    }

    pub(super) fn first(&self) -> Option<&str> {
        self.0.first().map(String::as_str)
    }

    /// Without the first.
    pub(super) fn rest(&self) -> Words {
        Words(self.0.iter().skip(1).cloned().collect())
    }

    /// A number at the start, and what follows.
    pub(super) fn number(&self) -> Option<(usize, Words)> {
        let n = self.first()?.trim_start_matches('#').parse().ok()?;
        Some((n, self.rest()))
    }

    /// `x start`, `y end`.
    pub(super) fn axis_end(&self) -> Option<(Axis, bool)> {
        let [axis, end] = self.0.as_slice() else { return None };
        let axis = match axis.as_str() {
            "x" => Axis::X,
            "y" => Axis::Y,
            "z" => Axis::Z,
            _ => return None,
        };
        match end.as_str() {
            "start" => Some((axis, false)),
            "end" => Some((axis, true)),
            _ => None,
        }
    }
}

/// `count of NAME` without its first words.
pub(super) fn without_count(what: &str) -> &str {
    const BEFORE: [&str; 4] = ["count of ", "number of ", "quantity of ", "weight of "];
    BEFORE.iter().find_map(|w| what.strip_prefix(w)).unwrap_or(what).trim()
}

pub(super) fn axis(axis: Axis) -> &'static str {
    ["x", "y", "z"][axis as usize]
}

/// The text without what parts it from the name before.
pub(super) fn after(rest: &str) -> &str {
    rest.trim_start_matches(['.', ' ', '/', ':']).trim()
}

/// A question as a name and what follows it, the longest name first. Stops and blanks in brackets part
/// nothing.
pub(super) fn splits(what: &str) -> Vec<(&str, &str)> {
    let (mut ends, mut depth) = (vec![what.len()], 0usize);
    for (at, byte) in what.bytes().enumerate() {
        match byte {
            b'[' | b'(' => depth += 1,
            b']' | b')' => depth = depth.saturating_sub(1),
            b'.' | b' ' | b'/' | b':' if depth == 0 => ends.push(at),
            _ => {}
        }
    }
    ends.sort_unstable_by(|a, b| b.cmp(a));
    ends.into_iter().filter_map(|end| Some((what.get(..end)?.trim(), what.get(end..)?))).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_tried_from_the_longest() {
        let heads: Vec<&str> = splits("a.b[c.d] cut width").into_iter().map(|s| s.0).collect();
        assert_eq!(heads, ["a.b[c.d] cut width", "a.b[c.d] cut", "a.b[c.d]", "a"]);
        assert_eq!(Words::of(".cut_width mm").text(), "cut width");
        assert_eq!(Words::of(" 12 dia").number().map(|(n, w)| (n, w.text())), Some((12, "dia".to_string())));
    }
}

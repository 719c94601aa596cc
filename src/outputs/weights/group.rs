//! Rows that say the same are one row, and long words stand below a table under a number.

use super::super::table::indented;
use super::super::words::a_few;

/// Rows by what they say, in the order of their first, each with the paths it is said of.
#[derive(Default)]
pub struct Rows {
    rows: Vec<(Vec<String>, Vec<String>)>,
}

impl Rows {
    /// Adds a path to the row that says this.
    pub fn add(&mut self, path: String, cells: Vec<String>) {
        match self.rows.iter_mut().find(|(said, _)| *said == cells) {
            Some((_, paths)) => paths.push(path),
            None => self.rows.push((cells, vec![path])),
        }
    }

    /// The rows with their paths.
    pub fn all(self) -> impl Iterator<Item = (Vec<String>, Vec<String>)> {
        self.rows.into_iter()
    }
}

/// Words under numbers.
#[derive(Default)]
pub struct Notes {
    all: Vec<String>,
}

impl Notes {
    /// The number of these words.
    pub fn number(&mut self, words: &str) -> String {
        let at = self.all.iter().position(|w| w == words).unwrap_or_else(|| {
            self.all.push(words.to_string());
            self.all.len() - 1
        });
        format!("({})", at + 1)
    }

    /// The list below the table.
    pub fn print(&self, width: usize, out: &mut String) {
        for (i, words) in self.all.iter().enumerate() {
            let words = crate::diagnostics::visible(words);
            out.push_str(&indented(&format!("({}) {words}", i + 1), width, "", "    "));
        }
    }
}

/// Things that are borne together: `clay.drawers: front + tray`.
pub fn together(all: &[String]) -> String {
    joined(all, " + ")
}

/// Paths that are told in one row: what stands in one box is named with it once, `hung: left, right`.
pub fn paths(all: &[String]) -> String {
    match all.iter().any(|p| p.contains(" + ")) {
        true => all.join("; "),
        false => joined(all, ", "),
    }
}

fn joined(all: &[String], between: &str) -> String {
    let split: Vec<(&str, &str)> = all.iter().map(|p| p.rsplit_once('.').unwrap_or(("", p))).collect();
    match split.as_slice() {
        [(of, first), rest @ ..]
            if !of.is_empty() && !rest.is_empty() && rest.iter().all(|(o, _)| o == of) =>
        {
            let names: Vec<&str> = [*first].into_iter().chain(rest.iter().map(|(_, n)| *n)).collect();
            format!("{of}: {}", a_few(&names, 8).replace(", ", between))
        }
        _ => a_few(all, 4).replace(", ", between),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_in_one_box_is_named_with_it_once() {
        let of = |all: &[&str]| paths(&all.iter().map(|p| p.to_string()).collect::<Vec<_>>());
        assert_eq!(of(&["a.b.c"]), "a.b.c");
        assert_eq!(of(&["a.b.c", "a.b.d"]), "a.b: c, d");
        assert_eq!(of(&["a.b", "c.d"]), "a.b, c.d");
        assert_eq!(of(&["a", "b"]), "a, b");
        assert_eq!(together(&["a.b".into(), "a.c".into()]), "a: b + c");
        assert_eq!(of(&["a: b + c", "a: d + e"]), "a: b + c; a: d + e");
    }

    #[test]
    fn equal_rows_and_words_are_told_once() {
        let mut rows = Rows::default();
        for (path, cell) in [("a", "1"), ("b", "2"), ("c", "1")] {
            rows.add(path.into(), vec![cell.into()]);
        }
        let all: Vec<_> = rows.all().collect();
        assert_eq!(all.len(), 2);
        assert_eq!(all[0].1, ["a", "c"]);
        let mut notes = Notes::default();
        assert_eq!([notes.number("x"), notes.number("y"), notes.number("x")], ["(1)", "(2)", "(1)"]);
    }
}

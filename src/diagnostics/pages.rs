//! The pages of the compiler's own codes, embedded from `grammar/errors`.

use include_dir::{Dir, include_dir};

static FOLDER: Dir<'_> = include_dir!("$CARGO_MANIFEST_DIR/grammar/errors");

/// The page of a code.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    pub code: &'static str,
    /// True where it warns.
    pub warns: bool,
    pub blocks: Vec<Block>,
}

/// A piece of a page.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Block {
    Words(String),
    Example { kind: Example, text: String },
}

/// What an example is.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Example {
    /// It raises the code.
    Fails,
    Passes,
    /// Another file that the examples bring in, by its name.
    File(String),
    Plain,
}

/// What codes are about, in the order of a list.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub enum Group {
    Writing,
    Meaning,
    Building,
    Doubts,
}

impl Group {
    /// All of them.
    pub const ALL: [Group; 4] = [Group::Writing, Group::Meaning, Group::Building, Group::Doubts];

    /// Its heading.
    pub fn words(self) -> &'static str {
        match self {
            Group::Writing => "Reading the text and its files",
            Group::Meaning => "Names, figures and types",
            Group::Building => "What cannot be built",
            Group::Doubts => "Warnings",
        }
    }
}

/// Codes about the text as it is written.
const WRITING: &[&str] = &[
    "bad-character",
    "conflict-marker",
    "count-first",
    "declared-twice",
    "empty-file",
    "file-too-large",
    "folder-for-file",
    "foot-mark",
    "hidden-character",
    "house-not-in-root",
    "house-twice",
    "imports-itself",
    "inch-mark",
    "misplaced",
    "missing-unit",
    "missing-version",
    "nesting-too-deep",
    "no-such-file",
    "not-text",
    "outside-root",
    "space-before-unit",
    "stray-brace",
    "syntax",
    "unclosed-brace",
    "unclosed-text",
    "unknown-import",
    "unknown-library",
    "unknown-unit",
    "unreadable-file",
    "wrong-version",
];

/// Codes about what the words and figures mean.
const MEANING: &[&str] = &[
    "accepted-error",
    "ambiguous-name",
    "argument-twice",
    "bad-angle",
    "call-it",
    "contains-itself",
    "depends-too-deep",
    "division-by-zero",
    "empty-list",
    "envelope-twice",
    "left-out",
    "length-needs-unit",
    "loop",
    "missing-argument",
    "missing-axis",
    "name-twice",
    "no-axis",
    "no-base",
    "no-bound",
    "no-corner",
    "no-density",
    "no-end-space",
    "no-envelope",
    "no-inner-face",
    "no-place",
    "no-self",
    "no-such-number",
    "no-thickness",
    "not-a-value",
    "number-too-large",
    "place-in-row",
    "private-name",
    "row-without-wall",
    "share-in-arithmetic",
    "too-many",
    "two-roots",
    "unknown-argument",
    "unknown-house-field",
    "unknown-member",
    "unknown-name",
    "unknown-type",
    "unknown-type-name",
    "unknown-verb",
    "unknown-word",
    "unlike",
    "which-face",
    "wrong-axis",
    "wrong-ends",
    "wrong-kind",
    "wrong-type-kind",
];

impl Page {
    /// What it is about.
    pub fn group(&self) -> Group {
        if self.warns {
            Group::Doubts
        } else if WRITING.contains(&self.code) {
            Group::Writing
        } else if MEANING.contains(&self.code) {
            Group::Meaning
        } else {
            Group::Building
        }
    }

    /// Its first sentence, without the word that says it warns.
    pub fn summary(&self) -> String {
        let words = self.blocks.iter().find_map(|b| match b {
            Block::Words(words) => Some(words.as_str()),
            Block::Example { .. } => None,
        });
        let words = words.unwrap_or("");
        let rest = words.strip_prefix(WARNS).map_or(words, str::trim_start);
        let end = rest.find(". ").map_or(rest.len(), |at| at + 1);
        let mut sentence = rest.get(..end).unwrap_or(rest).to_string();
        if let Some(first) = sentence.get(..1) {
            let capital = first.to_uppercase();
            sentence.replace_range(..1, &capital);
        }
        sentence
    }
}

const WARNS: &str = "A warning:";

/// The page of a code, if the compiler has such a code.
pub fn page(code: &str) -> Option<Page> {
    let file = FOLDER.files().find(|f| f.path().file_stem().is_some_and(|s| s == code))?;
    Some(read(file.path().file_stem()?.to_str()?, file.contents_utf8()?))
}

/// Every page, in the order of the codes.
pub fn pages() -> Vec<Page> {
    let files = FOLDER.files().filter(|f| f.path().extension().is_some_and(|e| e == "md"));
    let mut all: Vec<Page> =
        files.filter_map(|f| Some(read(f.path().file_stem()?.to_str()?, f.contents_utf8()?))).collect();
    all.sort_by_key(|p| p.code);
    all
}

fn read(code: &'static str, text: &str) -> Page {
    let mut blocks = Vec::new();
    let mut words: Vec<&str> = Vec::new();
    let mut open: Option<(Example, String)> = None;
    for line in text.lines() {
        match (&mut open, line.strip_prefix("```")) {
            (Some((_, example)), None) => {
                example.push_str(line);
                example.push('\n');
            }
            (Some(_), Some(_)) => {
                blocks.extend(open.take().map(|(kind, text)| Block::Example { kind, text }));
            }
            (None, Some(info)) => {
                end(&mut words, &mut blocks);
                open = Some((kind(info), String::new()));
            }
            (None, None) if line.trim().is_empty() || line.starts_with("# ") => {
                end(&mut words, &mut blocks);
            }
            (None, None) => words.push(line.trim()),
        }
    }
    end(&mut words, &mut blocks);
    let warns =
        matches!(blocks.first(), Some(Block::Words(w)) if w.starts_with(WARNS) || w.contains("This warns"));
    Page { code, warns, blocks }
}

fn end(words: &mut Vec<&str>, blocks: &mut Vec<Block>) {
    if !words.is_empty() {
        blocks.push(Block::Words(words.join(" ")));
        words.clear();
    }
}

fn kind(info: &str) -> Example {
    match info.strip_prefix("aumbry file ") {
        Some(name) => Example::File(name.to_string()),
        None if info == "aumbry fails" => Example::Fails,
        None if info == "aumbry passes" => Example::Passes,
        None => Example::Plain,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pages_are_read() {
        let all = pages();
        assert!(all.len() > 120 && all.is_sorted_by_key(|p| p.code));
        let page = page("sag").expect("a page");
        assert!(page.warns && page.group() == Group::Doubts);
        assert!(page.summary().starts_with("A part that spans"), "{}", page.summary());
        let kinds = page.blocks.iter().filter_map(|b| match b {
            Block::Example { kind, .. } => Some(kind.clone()),
            Block::Words(_) => None,
        });
        assert_eq!(kinds.collect::<Vec<_>>(), [Example::Fails, Example::Passes]);
        assert!(super::page("no-such-code").is_none());
        for page in all {
            assert!(page.summary().ends_with('.'), "{}: {}", page.code, page.summary());
        }
    }
}

//! Pages about the definitions of some files: static HTML that needs no server, network or script.

mod codes;
mod definition;
mod index;
mod links;
mod made;
mod module;
mod prose;
mod shell;
mod source;

use super::drawing;
use crate::job::described::{Definition, Described, Reference, Shown};
use links::Links;
use std::collections::BTreeMap;

/// All that the pages are made of.
pub struct Book {
    pub title: String,
    /// The files that are described.
    pub files: Vec<Described>,
    /// Every file that these may name.
    pub others: Vec<Described>,
    pub shown: Shown,
    /// Whether the codes of the compiler have a page as well.
    pub codes: bool,
}

/// A file of the folder.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Page {
    pub path: String,
    pub text: String,
}

/// The name of the style sheet.
pub const STYLE_FILE: &str = "style.css";

/// What every page reads.
struct Desk<'a> {
    book: &'a Book,
    links: Links,
    /// The definitions that name each definition.
    used_by: BTreeMap<Reference, Vec<Reference>>,
    kinds: BTreeMap<Reference, &'static str>,
}

impl<'a> Desk<'a> {
    fn new(book: &'a Book) -> Desk<'a> {
        let mut used_by: BTreeMap<Reference, Vec<Reference>> = BTreeMap::new();
        let mut kinds = BTreeMap::new();
        for file in book.others.iter().chain(&book.files) {
            for d in &file.definitions {
                kinds.insert(refer(file, d), d.kind);
            }
        }
        for file in &book.files {
            for d in &file.definitions {
                for used in &d.uses {
                    used_by.entry(used.clone()).or_default().push(refer(file, d));
                }
            }
        }
        Desk { book, links: Links::of(book), used_by, kinds }
    }

    /// What a field of the house is: what the file itself sets, else what it is by default. One that is
    /// another field is followed.
    fn house(&self, field: &str) -> Option<&str> {
        let mut found = self.house_value(field)?;
        for _ in 0..MOST_FOLLOWED {
            let Some(next) = found.strip_prefix("house.").and_then(|f| self.house_value(f)) else { break };
            found = next;
        }
        Some(found)
    }

    fn house_value(&self, field: &str) -> Option<&str> {
        let set = self.book.files.iter().flat_map(|f| &f.sets).find(|(name, _)| name == field);
        let declared = || {
            let mut all = self.book.others.iter().chain(&self.book.files).flat_map(|f| &f.house);
            all.find(|h| h.name == field).and_then(|h| h.default.as_deref())
        };
        set.map(|(_, value)| value.as_str()).or_else(declared)
    }
}

/// How many fields of the house are followed from one to the next.
const MOST_FOLLOWED: usize = 8;

/// A definition as others name it.
fn refer(file: &Described, d: &Definition) -> Reference {
    Reference { module: file.name.clone(), name: d.name.clone() }
}

/// Kinds whose definitions have a page of their own; the others stand on the page of their file.
fn has_page(kind: &str) -> bool {
    matches!(kind, "box" | "joint" | "fitting" | "wall" | "row" | "obstacle")
}

/// What definitions of a kind are called together, in the order of a page.
const KINDS: [(&str, &str); 10] = [
    ("box", "Boxes"),
    ("joint", "Joints"),
    ("fitting", "Fittings"),
    ("wall", "Walls"),
    ("row", "Rows"),
    ("obstacle", "Obstacles"),
    ("board", "Boards"),
    ("band", "Bands"),
    ("item", "Items"),
    ("fn", "Functions"),
];

/// What a definition of a kind is.
fn kind_words(kind: &str) -> &str {
    match kind {
        "box" => "box type",
        "joint" => "joint",
        "fitting" => "fitting",
        "wall" => "type of wall",
        "row" => "type of row",
        "obstacle" => "type of obstacle",
        "fn" => "function",
        other => other,
    }
}

/// Every file of the folder, the index first.
pub fn pages(book: &Book) -> Vec<Page> {
    let desk = Desk::new(book);
    let mut pages = vec![index::page(&desk)];
    for file in &book.files {
        pages.push(module::page(&desk, file));
        for d in file.definitions.iter().filter(|d| has_page(d.kind)) {
            pages.push(definition::page(&desk, file, d));
        }
    }
    if book.codes {
        pages.push(codes::page(&desk));
    }
    pages.push(Page { path: STYLE_FILE.to_string(), text: shell::style(&drawing::font_css()) });
    pages
}

//! Where each thing stands: names of files and anchors.

use super::{Book, has_page, refer};
use crate::job::described::Reference;
use std::collections::{BTreeMap, BTreeSet};

/// The page of the compiler's codes.
pub const CODES: &str = "codes.html";
/// The first page.
pub const INDEX: &str = "index.html";

/// Names of pages.
pub struct Links {
    modules: BTreeMap<String, String>,
    definitions: BTreeMap<Reference, String>,
}

impl Links {
    /// Those of a book; no two pages share a name, letters alike or not.
    pub fn of(book: &Book) -> Links {
        let mut taken: BTreeSet<String> = [INDEX, CODES].map(str::to_string).into();
        let mut name = |wanted: &str| {
            let stem: String = wanted.chars().map(|c| if plain(c) { c } else { '-' }).collect();
            let stem = stem.trim_matches(['.', '-']);
            let stem = if stem.is_empty() { "page" } else { stem };
            let mut name = format!("{stem}.html");
            let mut count = 1;
            while !taken.insert(name.to_lowercase()) {
                count += 1;
                name = format!("{stem}-{count}.html");
            }
            name
        };
        let mut links = Links { modules: BTreeMap::new(), definitions: BTreeMap::new() };
        for file in &book.files {
            let stem = stem_of(&file.name);
            links.modules.insert(file.name.clone(), name(&stem));
        }
        for file in &book.files {
            for d in &file.definitions {
                let place = if has_page(d.kind) {
                    name(&format!("{}.{}", stem_of(&file.name), d.name))
                } else {
                    let page = links.modules.get(&file.name).map_or("", String::as_str);
                    format!("{page}#{}", anchor(d.kind, &d.name))
                };
                links.definitions.insert(refer(file, d), place);
            }
        }
        links
    }

    /// The page of a file.
    pub fn module(&self, name: &str) -> Option<&str> {
        self.modules.get(name).map(String::as_str)
    }

    /// Where a definition stands.
    pub fn definition(&self, of: &Reference) -> Option<&str> {
        self.definitions.get(of).map(String::as_str)
    }
}

/// Characters of a name that every disk takes.
fn plain(c: char) -> bool {
    c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.')
}

fn stem_of(name: &str) -> String {
    name.strip_suffix(".aum").unwrap_or(name).replace('/', ".")
}

/// The anchor of a definition on the page of its file.
pub fn anchor(kind: &str, name: &str) -> String {
    format!("{kind}-{name}")
}

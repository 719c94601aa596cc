//! A library file seen from afar: where its items stand and what they are called, so that only those
//! that a design names are read.
//!
//! It relies on how the library is laid out: an item starts at the start of a line, and every other
//! line of it is indented or starts with a bracket. A test holds the library to that.

use std::collections::BTreeMap;
use std::ops::Range;

/// What holds for a whole file whether it is named or not, and the rest.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Kind {
    Use,
    House,
    Other,
}

/// One item of a library file.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(super) struct Sketched {
    /// Its bytes, with the doc comment above it.
    pub bytes: Range<usize>,
    /// What it defines.
    pub name: Option<&'static str>,
    pub kind: Kind,
    taken: bool,
}

/// The items of a library file.
pub(super) struct Sketch {
    text: &'static str,
    pub items: Vec<Sketched>,
    by_name: BTreeMap<&'static str, usize>,
}

impl Sketch {
    /// Finds the items of a library text.
    pub fn of(text: &'static str) -> Sketch {
        let mut items: Vec<Sketched> = Vec::new();
        let (mut at, mut doc) = (0, None);
        for line in text.split_inclusive('\n') {
            if line.starts_with("//") {
                doc.get_or_insert(at);
            } else if line.starts_with(|c: char| c.is_ascii_lowercase()) && at > 0 {
                let start = doc.take().unwrap_or(at);
                if let Some(last) = items.last_mut() {
                    last.bytes.end = start;
                }
                items.push(sketched(line, start..text.len()));
            } else {
                doc = None;
            }
            at += line.len();
        }
        let by_name = items.iter().zip(0..).filter_map(|(item, i)| Some((item.name?, i))).collect();
        Sketch { text, items, by_name }
    }

    /// The names it defines.
    pub fn names(&self) -> impl Iterator<Item = &'static str> {
        self.by_name.keys().copied()
    }

    /// True where it defines a name.
    pub fn defines(&self, name: &str) -> bool {
        self.by_name.contains_key(name)
    }

    /// Marks the item with a name as needed and gives the words in it; nothing the second time.
    pub fn take(&mut self, name: &str) -> Option<impl Iterator<Item = &'static str> + use<>> {
        let item = self.items.get_mut(*self.by_name.get(name)?)?;
        if std::mem::replace(&mut item.taken, true) {
            return None;
        }
        Some(words(self.text.get(item.bytes.clone()).unwrap_or("")))
    }

    /// The bytes of its `use` lines.
    pub fn uses(&self) -> Vec<Range<usize>> {
        self.bytes(|item| item.kind == Kind::Use)
    }

    /// The words of what it adds to the house.
    pub fn house_words(&self) -> impl Iterator<Item = &'static str> + use<> {
        let text = self.text;
        let house = self.bytes(|item| item.kind == Kind::House).into_iter();
        house.flat_map(|bytes| words(text.get(bytes).unwrap_or("")))
    }

    /// The bytes of all that is to be read, in their order.
    pub fn wanted(&self) -> Vec<Range<usize>> {
        self.bytes(|item| item.taken || item.kind != Kind::Other)
    }

    fn bytes(&self, test: impl Fn(&Sketched) -> bool) -> Vec<Range<usize>> {
        self.items.iter().filter(|item| test(item)).map(|item| item.bytes.clone()).collect()
    }
}

/// What the first line of an item says.
fn sketched(line: &'static str, bytes: Range<usize>) -> Sketched {
    let mut words = words(line);
    let (name, kind) = match words.next() {
        Some("def") => (words.nth(1), Kind::Other),
        Some("let") => (words.next(), Kind::Other),
        Some("use") => (None, Kind::Use),
        Some("house") => (None, Kind::House),
        _ => (None, Kind::Other),
    };
    Sketched { bytes, name, kind, taken: false }
}

fn words(text: &'static str) -> impl Iterator<Item = &'static str> + use<> {
    text.split(|c: char| !(c.is_ascii_alphanumeric() || c == '_')).filter(|word| !word.is_empty())
}

#[cfg(test)]
mod tests {
    use super::super::library;
    use super::*;
    use crate::sources::Sources;
    use crate::syntax::tree::StmtKind;

    #[test]
    fn the_library_is_laid_out_as_sketches_need_it() {
        for module in library::modules() {
            let text = library::text(module).expect("a library text");
            let mut sources = Sources::new();
            let file = sources.add(module, text, true);
            let (tree, messages) = crate::syntax::parse(&sources, file);
            assert_eq!(messages, [], "{module}");
            let sketch = Sketch::of(text);
            assert_eq!(sketch.items.len(), tree.items.len(), "{module}");
            for (item, read) in sketch.items.iter().zip(&tree.items) {
                let span = read.span.start as usize..read.span.end as usize;
                let seen = &text[item.bytes.clone()];
                assert!(item.bytes.start <= span.start && span.end <= item.bytes.end, "{module}: {seen}");
                let (name, kind) = match &read.kind {
                    StmtKind::Def(def) => (Some(def.name.name.as_str()), Kind::Other),
                    StmtKind::Let(l) => (Some(l.name.name.as_str()), Kind::Other),
                    StmtKind::Use(_) => (None, Kind::Use),
                    StmtKind::House(_) | StmtKind::HouseField(_) => (None, Kind::House),
                    _ => (None, Kind::Other),
                };
                assert_eq!((item.name, item.kind), (name, kind), "{module}: {seen}");
                let (some, messages) =
                    crate::syntax::parse_some(&sources, file, std::slice::from_ref(&item.bytes));
                assert_eq!(messages, []);
                let docs: Vec<_> = some.items.iter().map(|i| (i.span, i.doc.clone())).collect();
                assert_eq!(docs, [(read.span, read.doc.clone())], "{module}");
            }
        }
    }

    #[test]
    fn an_item_is_taken_once_with_its_words() {
        let mut sketch =
            Sketch::of("aumbry 1\nuse std.boards (a)\n/// Doc.\ndef fn f(x: length) =\n  g(x)\nlet g = 1\n");
        assert_eq!(sketch.names().collect::<Vec<_>>(), ["f", "g"]);
        let words: Vec<_> = sketch.take("f").expect("first time").collect();
        assert!(words.contains(&"g") && words.contains(&"length"), "{words:?}");
        assert!(sketch.take("f").is_none() && sketch.take("h").is_none());
        assert_eq!((sketch.uses().len(), sketch.wanted().len()), (1, 2));
    }
}

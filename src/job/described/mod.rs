//! The definitions of a file as its reader meets them, read from its tree: pages and explanations are
//! made of this.

mod bodies;
mod instance;
mod model;
mod notes;
mod walk;

pub use instance::{How, Instance, Shown, Sighting, sightings};
pub use model::*;

use crate::sources::Sources;
use crate::syntax::Name;
use crate::syntax::tree::{self, Def, DefBody, Stmt, StmtKind, UseFrom};
use notes::Notes;
use std::collections::HashMap;

/// What a file defines. `name` is that of a library module or the path of a file; `prefix` stands before
/// its codes.
pub fn describe(sources: &Sources, tree: &tree::File, name: &str, prefix: &str) -> Described {
    let reader = Reader::new(sources, tree, name, prefix);
    let mut found = Described {
        name: name.to_string(),
        prefix: prefix.to_string(),
        library: reader.file.library,
        doc: tree.doc.clone(),
        ..Described::default()
    };
    for item in &tree.items {
        match &item.kind {
            StmtKind::Def(def) => found.definitions.push(reader.definition(def, item)),
            StmtKind::HouseField(field) => found.house.push(HouseField {
                name: field.name.name.to_string(),
                doc: item.doc.clone(),
                ty: reader.plain(field.ty.span),
                default: field.default.as_ref().map(|d| reader.plain(d.span)),
                note: reader.notes.beside(item.span.end, u32::MAX),
                line: reader.line(item.span.start),
            }),
            StmtKind::House(fields) => {
                let sets = fields.iter().map(|f| (f.label.name.to_string(), reader.plain(f.value.span)));
                found.sets.extend(sets);
            }
            StmtKind::Test(_) => {}
            _ => found.rules.extend(reader.rules_of(item, None)),
        }
    }
    let tested = reader.tests();
    add_tests(std::slice::from_mut(&mut found), &tested);
    found
}

/// A test with the definitions that it names.
pub type NamedIn = (Vec<Reference>, Tested);

/// The tests of a file.
pub fn tests(sources: &Sources, tree: &tree::File, name: &str) -> Vec<NamedIn> {
    Reader::new(sources, tree, name, "").tests()
}

/// Hands tests to the definitions that they name.
pub fn add_tests(files: &mut [Described], tests: &[NamedIn]) {
    for file in files {
        for definition in &mut file.definitions {
            let named = |r: &Reference| r.module == file.name && r.name == definition.name;
            let of = tests.iter().filter(|(uses, _)| uses.iter().any(named));
            definition.tests.extend(of.map(|(_, t)| t.clone()));
        }
    }
}

/// The names that a file brings in, and where each is defined.
fn imports(tree: &tree::File, name: &str) -> HashMap<Name, Reference> {
    let mut found = HashMap::new();
    for item in &tree.items {
        let StmtKind::Use(u) = &item.kind else { continue };
        let module = match &u.from {
            UseFrom::Library(library, _) => library.clone(),
            UseFrom::Path(path, _) => relative(name, path),
        };
        for n in &u.names {
            let here = n.alias.unwrap_or(n.name).name;
            found.insert(here, Reference { module: module.clone(), name: n.name.name.to_string() });
        }
    }
    found
}

/// A path as written in a file, from the root folder on.
fn relative(from: &str, path: &str) -> String {
    let mut folder: Vec<&str> = from.split('/').collect();
    folder.pop();
    for step in path.split(['/', '\\']) {
        match step {
            "" | "." => {}
            ".." => {
                folder.pop();
            }
            other => folder.push(other),
        }
    }
    folder.join("/")
}

/// A file being read.
struct Reader<'a> {
    text: &'a str,
    file: &'a crate::sources::SourceFile,
    tree: &'a tree::File,
    name: &'a str,
    prefix: &'a str,
    imports: HashMap<Name, Reference>,
    notes: Notes<'a>,
}

impl<'a> Reader<'a> {
    fn new(sources: &'a Sources, tree: &'a tree::File, name: &'a str, prefix: &'a str) -> Reader<'a> {
        let file = sources.file(tree.id);
        let text = file.text.as_ref();
        Reader { text, file, tree, name, prefix, imports: imports(tree, name), notes: Notes::of(tree, text) }
    }

    fn line(&self, byte: u32) -> usize {
        self.file.line_column(byte).0
    }

    fn slice(&self, span: crate::sources::Span) -> &str {
        self.text.get(span.start as usize..span.end as usize).unwrap_or("")
    }

    /// Text on one line, without its comments.
    fn plain(&self, span: crate::sources::Span) -> String {
        self.notes.without(span).split_whitespace().collect::<Vec<_>>().join(" ")
    }

    /// The definition that a name means in this file.
    fn refer(&self, name: Name) -> Option<Reference> {
        let own = self.tree.items.iter().any(|i| matches!(&i.kind, StmtKind::Def(d) if d.name.name == name));
        if own {
            return Some(Reference { module: self.name.to_string(), name: name.to_string() });
        }
        self.imports.get(&name).cloned()
    }

    fn definition(&self, def: &Def, item: &Stmt) -> Definition {
        let (gives, value) = match &def.body {
            DefBody::Value(ty, value) => {
                (ty.as_ref().map(|t| self.plain(t.span)), Some(self.laid_out(value.span)))
            }
            _ => (None, None),
        };
        let base = match &def.body {
            DefBody::Derived(call, _) => {
                let known = self.refer(call.name.name);
                let base = known.unwrap_or_else(|| Reference {
                    module: self.name.to_string(),
                    name: call.name.name.to_string(),
                });
                Some((base, self.plain(call.span)))
            }
            _ => None,
        };
        let start = self.notes.above(item.span.start);
        Definition {
            kind: def.kind.word(),
            name: def.name.name.to_string(),
            doc: item.doc.clone(),
            params: self.params(def),
            base,
            gives,
            value,
            fields: self.fields(def),
            rules: self.rules_of(item, Some((def.kind.word(), def.name.name, &item.doc))),
            buys: self.buys(def),
            uses: self.uses(item, def.name.name),
            tests: Vec::new(),
            source: self.text.get(start..item.span.end as usize).unwrap_or("").to_string(),
            line: self.line(start as u32),
            defined: self.line(item.span.start),
        }
    }

    /// A text over several lines with the indent that they share taken off.
    fn laid_out(&self, span: crate::sources::Span) -> String {
        let text = self.slice(span);
        let rest = text.lines().skip(1).filter(|l| !l.trim().is_empty());
        let indent = rest.map(|l| l.len() - l.trim_start().len()).min().unwrap_or(0);
        let lines = text.lines().enumerate().map(|(n, l)| {
            if n == 0 { l.to_string() } else { format!("  {}", l.get(indent..).unwrap_or(l.trim_start())) }
        });
        lines.collect::<Vec<_>>().join("\n")
    }
}

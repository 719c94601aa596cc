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
use std::collections::{HashMap, HashSet};

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
    /// The names that it defines itself.
    own: HashSet<Name>,
    imports: HashMap<Name, Reference>,
    notes: Notes<'a>,
}

impl<'a> Reader<'a> {
    fn new(sources: &'a Sources, tree: &'a tree::File, name: &'a str, prefix: &'a str) -> Reader<'a> {
        let file = sources.file(tree.id);
        let text = file.text.as_ref();
        let defined = tree.items.iter().filter_map(|i| match &i.kind {
            StmtKind::Def(d) => Some(d.name.name),
            _ => None,
        });
        Reader {
            text,
            file,
            tree,
            name,
            prefix,
            own: defined.collect(),
            imports: imports(tree, name),
            notes: Notes::of(tree, text),
        }
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
        if self.own.contains(&name) {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::syntax::parse;

    const TEXT: &str = "aumbry 1
//! What holds jars.
use std.joints (bolted as held)
use \"../own/lips.aum\" (lip)

house { board: birch }

/// A rack.
// copied from the old one
def box rack(width: length,          // over all
             // seen from the front
             depth: length = house.depth / 2, lip: item or none) {
  envelope (width, 100mm, depth)
  require width >= 200mm else too-narrow \"{width} is \\\"narrow\\\"\"
  if lip != none {
    warn depth < 3 * 100mm else deep \"{depth}\"
    buy(lip, quantity: 2)
  } else { buy(peg) }
  let fits = [p for p in [peg] where p.dia < 5mm] else no-peg \"none of {width}\"
  joint held([a], through: b)
}
def item peg(dia: length = 4mm) { name: \"peg {dia}\"  pack: 4 }   // oak
for w in [300mm, 400mm] { for d in [1, 2, 3] {
  test \"racks\" { box r = rack(width: w)  expect warning deep }
} }
require 1 < 2 else odd \"odd\"
";

    fn described(text: &str) -> Described {
        let mut sources = Sources::new();
        let file = sources.add("shop/racks.aum", text, false);
        let (tree, _) = parse(&sources, file);
        describe(&sources, &tree, "shop/racks.aum", "shop.racks")
    }

    #[test]
    fn a_definition_is_told_with_all_that_stands_in_it() {
        let found = described(TEXT);
        assert_eq!(found.doc, ["What holds jars."]);
        assert_eq!(found.sets, [("board".to_string(), "birch".to_string())]);
        let rack = &found.definitions[0];
        assert_eq!((rack.kind, rack.name.as_str(), rack.line, rack.defined), ("box", "rack", 8, 10));
        assert_eq!(rack.doc, ["A rack."]);
        let params: Vec<(&str, Option<&str>, &str, bool)> = rack
            .params
            .iter()
            .map(|p| (p.name.as_str(), p.default.as_deref(), p.note.as_str(), p.optional))
            .collect();
        assert_eq!(
            params,
            [
                ("width", None, "over all", false),
                ("depth", Some("house.depth / 2"), "seen from the front", false),
                ("lip", None, "", true)
            ]
        );
        assert_eq!(rack.params[1].reads, ["depth"]);
        let rules: Vec<(&str, Asks, &str, &str)> = rack
            .rules
            .iter()
            .map(|r| (r.code.as_str(), r.asks, r.message.as_str(), r.condition.as_str()))
            .collect();
        assert_eq!(
            rules,
            [
                ("shop.racks.too-narrow", Asks::Require, "{width} is \"narrow\"", "width >= 200mm"),
                ("shop.racks.deep", Asks::Warn, "{depth}", "depth < 3 * 100mm"),
                (
                    "shop.racks.no-peg",
                    Asks::Choice,
                    "none of {width}",
                    "[p for p in [peg] where p.dia < 5mm]"
                )
            ]
        );
        assert_eq!(rack.rules[1].when, ["lip != none"]);
        assert_eq!(rack.rules[0].line, 14);
        let buys: Vec<(&str, Option<&str>, &[String])> =
            rack.buys.iter().map(|b| (b.item.as_str(), b.quantity.as_deref(), b.when.as_slice())).collect();
        assert_eq!(
            buys,
            [
                ("lip", Some("2"), &["lip != none".to_string()][..]),
                ("peg", None, &["not (lip != none)".to_string()][..])
            ]
        );
        let uses: Vec<(&str, &str)> =
            rack.uses.iter().map(|r| (r.module.as_str(), r.name.as_str())).collect();
        assert_eq!(uses, [("own/lips.aum", "lip"), ("shop/racks.aum", "peg"), ("std.joints", "bolted")]);
        assert_eq!(found.rules.iter().map(Rule::word).collect::<Vec<_>>(), ["odd"]);
    }

    #[test]
    fn tests_go_to_what_they_name() {
        let found = described(TEXT);
        let [test] = &found.definitions[0].tests[..] else { panic!("one test") };
        assert_eq!((test.runs, test.expects.as_slice()), (Some(6), &["deep".to_string()][..]));
        assert_eq!(test.over[0], ("w".to_string(), "[300mm, 400mm]".to_string()));
        let peg = &found.definitions[1];
        assert!(peg.tests.is_empty());
        let fields: Vec<(&str, &str, bool)> =
            peg.fields.iter().map(|f| (f.name.as_str(), f.value.as_str(), f.worked)).collect();
        assert_eq!(fields, [("name", "\"peg {dia}\"", true), ("pack", "4", false)]);
        assert_eq!(peg.fields[1].note, "oak");
    }

    #[test]
    fn a_torn_text_is_described_as_far_as_it_reads() {
        for end in (0..TEXT.len()).filter(|n| TEXT.is_char_boundary(*n)) {
            described(&TEXT[..end]);
        }
    }
}

//! A design's files, read and resolved: modules, their definitions and what they bring in.

use super::library;
use super::sketch::Sketch;
use crate::diagnostics::{Diagnostic, nearest};
use crate::sources::{FileId, Files, ReadFault, Sources, Span};
use crate::syntax::tree::{self, Def, StmtKind, UseFrom};
use crate::syntax::{self, Name};
use indexmap::IndexMap;
use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

/// Index of a module of the program; 0 is the root file.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Debug)]
pub struct ModuleId(pub u32);

/// One file with its names.
#[derive(Debug)]
pub struct Module {
    pub tree: Arc<tree::File>,
    /// Prefix of its codes: `std.boxes`, `own`; empty for the root file.
    pub prefix: String,
    /// Path relative to the root folder, or the library name.
    pub path: String,
    pub library: bool,
    /// Definitions, by name: index of the item.
    pub defs: IndexMap<Name, usize>,
    /// `let`s, by name: index of the item.
    pub lets: IndexMap<Name, usize>,
    /// Names brought in: where they are defined and what they are called there.
    pub imports: IndexMap<Name, (ModuleId, Name, Span)>,
    /// Names that a `use` was to bring in whose file could not be read; that has been said.
    pub lost: Vec<Name>,
}

impl Module {
    /// A definition of this file.
    pub fn def(&self, name: Name) -> Option<&Def> {
        match &self.tree.items.get(*self.defs.get(&name)?)?.kind {
            StmtKind::Def(def) => Some(def),
            _ => None,
        }
    }

    /// The first sentence of a definition's doc comment.
    pub fn doc(&self, name: Name) -> Option<String> {
        let item = self.tree.items.get(*self.defs.get(&name)?)?;
        let lines: Vec<&str> = item.doc.iter().map(|l| l.trim()).take_while(|l| !l.is_empty()).collect();
        let text = lines.join(" ");
        let end = text.find(". ").map_or(text.len(), |at| at + 1);
        (end > 0).then(|| text[..end].to_string())
    }
}

/// Every file of a design.
#[derive(Debug)]
pub struct Program {
    pub sources: Sources,
    pub modules: Vec<Module>,
    /// House fields: where each is declared.
    pub house_fields: IndexMap<Name, (ModuleId, usize)>,
    /// False where a file could not be read or parsed as a whole.
    pub complete: bool,
}

impl Program {
    /// The module with this id.
    pub fn module(&self, id: ModuleId) -> &Module {
        &self.modules[id.0 as usize]
    }

    /// The module of a file.
    pub fn module_of(&self, file: FileId) -> Option<ModuleId> {
        self.modules.iter().position(|m| m.tree.id == file).map(|i| ModuleId(i as u32))
    }

    /// A definition as seen from a module: its own, or one it brings in.
    pub fn find_def(&self, module: ModuleId, name: Name) -> Option<(ModuleId, &Def)> {
        let own = self.module(module);
        if let Some(def) = own.def(name) {
            return Some((module, def));
        }
        let (other, there, _) = own.imports.get(&name)?;
        self.module(*other).def(*there).map(|def| (*other, def))
    }
}

/// A file as it was read: name, text, tree and messages.
type Read = (String, Arc<str>, Arc<tree::File>, Vec<Diagnostic>);

/// A library file as far as it was read: its name and the stretches.
type Stretches = (FileId, &'static str, Vec<Range<usize>>);

/// Files that have been read once and need not be read again while their text is the same.
#[derive(Default)]
pub struct Trees {
    read: HashMap<FileId, Read>,
    library: HashMap<Stretches, Arc<tree::File>>,
}

struct Loader<'f> {
    files: &'f dyn Files,
    trees: &'f mut Trees,
    program: Program,
    by_path: HashMap<String, ModuleId>,
    /// The library modules, which are read as far as they are named.
    sketches: IndexMap<ModuleId, Sketch>,
    diagnostics: Vec<Diagnostic>,
}

/// Reads the root file and all it needs. The messages are those of reading, not of meaning.
pub fn load(files: &dyn Files, root: &str) -> (Program, Vec<Diagnostic>) {
    load_again(files, root, &mut Trees::default())
}

/// The same, with what an earlier reading has kept.
pub fn load_again(files: &dyn Files, root: &str, trees: &mut Trees) -> (Program, Vec<Diagnostic>) {
    let program = Program {
        sources: Sources::new(),
        modules: Vec::new(),
        house_fields: IndexMap::new(),
        complete: true,
    };
    let mut loader = Loader {
        files,
        trees,
        program,
        by_path: HashMap::new(),
        sketches: IndexMap::new(),
        diagnostics: Vec::new(),
    };
    match files.read(root) {
        Ok(text) => {
            loader.add(root, &text, false);
        }
        Err(fault) => {
            let file = loader.program.sources.add(root, "", false);
            let span = Span::new(file, 0, 0);
            loader.diagnostics.push(unreadable(root, &fault, span));
            loader.program.complete = false;
        }
    }
    loader.library(library::HOUSE, None);
    loader.resolve();
    (loader.program, loader.diagnostics)
}

fn unreadable(path: &str, fault: &ReadFault, span: Span) -> Diagnostic {
    let code = match fault {
        ReadFault::NotText(_) => "not-text",
        ReadFault::OutsideRoot => "outside-root",
        ReadFault::Missing => "no-such-file",
        ReadFault::Folder => "folder-for-file",
        ReadFault::TooLarge(_) => "file-too-large",
        ReadFault::Other(_) => "unreadable-file",
    };
    let help = match fault {
        ReadFault::NotText(_) => "Save the file as UTF-8 text.",
        ReadFault::OutsideRoot => {
            "Put the file in the folder of the file named on the command line, or in a folder below it."
        }
        ReadFault::Folder => "Name a file that ends in .aum.",
        _ => "Check the name and the folder.",
    };
    Diagnostic::error(code, format!("`{path}` cannot be read: {fault}."), span, "named here").help(help)
}

impl Loader<'_> {
    fn add(&mut self, path: &str, text: &str, is_library: bool) -> ModuleId {
        let file = self.program.sources.add(path, text, is_library);
        let (tree, messages) = match self.trees.read.get(&file) {
            Some((name, kept, tree, messages)) if name == path && kept.as_ref() == text => {
                (tree.clone(), messages.clone())
            }
            _ => {
                let (tree, messages) = syntax::parse(&self.program.sources, file);
                let tree = Arc::new(tree);
                let kept = (path.to_string(), text.into(), tree.clone(), messages.clone());
                self.trees.read.insert(file, kept);
                (tree, messages)
            }
        };
        self.program.complete &= messages.is_empty();
        self.diagnostics.extend(messages);
        let id = self.enter(path, tree, is_library);
        self.register(id);
        id
    }

    /// Adds a module; its names are not registered yet.
    fn enter(&mut self, path: &str, tree: Arc<tree::File>, is_library: bool) -> ModuleId {
        let id = ModuleId(self.program.modules.len() as u32);
        let prefix = match (id.0, is_library) {
            (0, _) => String::new(),
            (_, true) => path.to_string(),
            _ => path.strip_suffix(".aum").unwrap_or(path).replace('/', "."),
        };
        let module = Module {
            tree,
            prefix,
            path: path.to_string(),
            library: is_library,
            defs: IndexMap::new(),
            lets: IndexMap::new(),
            imports: IndexMap::new(),
            lost: Vec::new(),
        };
        self.by_path.insert(path.to_string(), id);
        self.program.modules.push(module);
        id
    }

    /// Enters the names that a module defines.
    fn register(&mut self, id: ModuleId) {
        let tree = self.program.module(id).tree.clone();
        let (mut defs, mut lets) = (IndexMap::new(), IndexMap::new());
        let mut spans: HashMap<Name, Span> = HashMap::new();
        for (index, item) in tree.items.iter().enumerate() {
            let (ident, table) = match &item.kind {
                StmtKind::Def(def) => (def.name, &mut defs),
                StmtKind::Let(l) => (l.name, &mut lets),
                StmtKind::HouseField(field) => {
                    if let Some((other, at)) = self.program.house_fields.get(&field.name.name) {
                        let first = house_field_span(&self.program, *other, *at);
                        let mut d = Diagnostic::error(
                            "declared-twice",
                            format!("The house field `{}` is declared twice.", field.name.name),
                            field.name.span,
                            "declared again here",
                        )
                        .help("Give one of them another name.");
                        if let Some(span) = first {
                            d = d.label(span, "first declared here");
                        }
                        self.diagnostics.push(d);
                    } else {
                        self.program.house_fields.insert(field.name.name, (id, index));
                    }
                    continue;
                }
                _ => continue,
            };
            if table.contains_key(&ident.name) {
                let d = Diagnostic::error(
                    "name-twice",
                    format!("`{}` is defined twice in this file.", ident.name),
                    ident.span,
                    "defined again here",
                )
                .help("Give one of them another name.");
                self.diagnostics.push(match spans.get(&ident.name) {
                    Some(first) => d.label(*first, "first defined here"),
                    None => d,
                });
                continue;
            }
            spans.insert(ident.name, ident.span);
            table.insert(ident.name, index);
        }
        if let Some(module) = self.program.modules.get_mut(id.0 as usize) {
            (module.defs, module.lets) = (defs, lets);
        }
    }

    fn library(&mut self, name: &str, from: Option<Span>) -> Option<ModuleId> {
        if let Some(id) = self.by_path.get(name) {
            return Some(*id);
        }
        if let Some(text) = library::text(name) {
            let file = self.program.sources.add(name, text, true);
            let sketch = Sketch::of(text);
            let tree = self.stretches(file, name, sketch.uses());
            let id = self.enter(name, tree, true);
            self.sketches.insert(id, sketch);
            return Some(id);
        }
        if let Some(span) = from {
            let names: Vec<&str> = library::modules().collect();
            let mut d = Diagnostic::error(
                "unknown-library",
                format!("There is no library `{name}`."),
                span,
                "not a library",
            );
            if let Some(near) = nearest(name, names.iter().copied()) {
                d = d.help(format!("Did you mean `{near}`?")).edit(span, near);
            }
            self.diagnostics.push(d.note(format!("The libraries: {}.", names.join(", "))));
        }
        None
    }

    /// Some stretches of a library file.
    fn stretches(&mut self, file: FileId, name: &str, stretches: Vec<Range<usize>>) -> Arc<tree::File> {
        let key = (file, library::modules().find(|m| *m == name).unwrap_or_default(), stretches);
        if let Some(tree) = self.trees.library.get(&key) {
            return tree.clone();
        }
        let (tree, messages) = syntax::parse_some(&self.program.sources, file, &key.2);
        self.program.complete &= messages.is_empty();
        self.diagnostics.extend(messages);
        let tree = Arc::new(tree);
        self.trees.library.insert(key, tree.clone());
        tree
    }

    /// Reads of the library what the design names, and what that names in turn.
    fn read_named(&mut self) {
        let mut open: Vec<(ModuleId, &'static str)> = Vec::new();
        for (id, module) in self.program.modules.iter().enumerate() {
            match self.sketches.get(&ModuleId(id as u32)) {
                Some(sketch) => open.extend(sketch.house_words().map(|w| (ModuleId(id as u32), w))),
                None => open.extend(module.imports.values().map(|(to, name, _)| (*to, name.as_str()))),
            }
        }
        while let Some((id, word)) = open.pop() {
            let Some(sketch) = self.sketches.get_mut(&id) else { continue };
            if sketch.defines(word) {
                open.extend(sketch.take(word).into_iter().flatten().map(|w| (id, w)));
            } else if let Some((to, name, _)) = self.program.module(id).imports.get(&Name::new(word))
                && self.sketches.get(to).is_some_and(|there| there.defines(name.as_str()))
            {
                open.push((*to, name.as_str()));
            }
        }
        let wanted: Vec<_> = self.sketches.iter().map(|(id, sketch)| (*id, sketch.wanted())).collect();
        for (id, wanted) in wanted {
            let (file, path) = (self.program.module(id).tree.id, self.program.module(id).path.clone());
            let tree = self.stretches(file, &path, wanted);
            if let Some(module) = self.program.modules.get_mut(id.0 as usize) {
                module.tree = tree;
            }
            self.register(id);
        }
    }

    /// Follows the `use` lines of every module; modules grow while this runs.
    fn resolve(&mut self) {
        let mut next = 0;
        while next < self.program.modules.len() {
            let id = ModuleId(next as u32);
            for item in 0..self.program.modules[next].tree.items.len() {
                self.resolve_use(id, item);
            }
            next += 1;
        }
        self.read_named();
        for id in 0..self.program.modules.len() {
            self.check_imports(ModuleId(id as u32));
        }
    }

    fn resolve_use(&mut self, id: ModuleId, item: usize) {
        let module = self.program.module(id);
        let StmtKind::Use(u) = &module.tree.items[item].kind else { return };
        let names: Vec<_> = u.names.iter().map(|n| (n.name, n.alias.unwrap_or(n.name))).collect();
        let target = match &u.from {
            UseFrom::Library(name, span) => {
                let (name, span) = (name.clone(), *span);
                self.library(&name, Some(span))
            }
            UseFrom::Path(path, span) => {
                let (from, path, span) = (module.path.clone(), path.clone(), *span);
                self.relative(&from, &path, span)
            }
        };
        let Some(target) = target else {
            self.program.complete = false;
            let module = &mut self.program.modules[id.0 as usize];
            module.lost.extend(names.iter().map(|(_, here)| here.name));
            return;
        };
        let mut entries = Vec::new();
        for (there, here) in names {
            entries.push((here.name, (target, there.name, there.span)));
        }
        for (here, entry) in entries {
            let span = entry.2;
            let module = &mut self.program.modules[id.0 as usize];
            if let Some((_, _, first)) = module.imports.get(&here) {
                let first = *first;
                self.diagnostics.push(
                    Diagnostic::error(
                        "name-twice",
                        format!("`{here}` is brought in twice."),
                        span,
                        "brought in again here",
                    )
                    .label(first, "first brought in here")
                    .help(format!("Rename one of them: `({here} as other_{here})`.")),
                );
                continue;
            }
            module.imports.insert(here, entry);
        }
    }

    fn relative(&mut self, from: &str, path: &str, span: Span) -> Option<ModuleId> {
        let mut folder: Vec<&str> = from.split('/').collect();
        folder.pop();
        for step in path.split(['/', '\\']) {
            match step {
                "" | "." => {}
                ".." => {
                    if folder.pop().is_none() {
                        self.diagnostics.push(unreadable(path, &ReadFault::OutsideRoot, span));
                        return None;
                    }
                }
                other => folder.push(other),
            }
        }
        if path.starts_with(['/', '\\']) || path.contains(':') {
            self.diagnostics.push(unreadable(path, &ReadFault::OutsideRoot, span));
            return None;
        }
        let full = folder.join("/");
        if full == from {
            self.diagnostics.push(
                Diagnostic::error(
                    "imports-itself",
                    format!("`{full}` brings in itself."),
                    span,
                    "this very file",
                )
                .help("Remove the line: a file sees its own names."),
            );
            return None;
        }
        if let Some(id) = self.by_path.get(&full) {
            return Some(*id);
        }
        match self.files.read(&full) {
            Ok(text) => Some(self.add(&full, &text, false)),
            Err(fault) => {
                self.diagnostics.push(unreadable(path, &fault, span));
                None
            }
        }
    }

    fn check_imports(&mut self, id: ModuleId) {
        let module = self.program.module(id);
        let mut found = Vec::new();
        for (here, (target, there, span)) in &module.imports {
            let other = self.program.module(*target);
            let sketch = self.sketches.get(target);
            let known = match sketch {
                Some(sketch) => sketch.defines(there.as_str()),
                None => other.defs.contains_key(there) || other.lets.contains_key(there),
            };
            if !known {
                if !other.tree.items.iter().any(|i| matches!(i.kind, StmtKind::Broken)) {
                    let mut sorted: Vec<&str> = match sketch {
                        Some(sketch) => sketch.names().collect(),
                        None => other.defs.keys().chain(other.lets.keys()).map(|n| n.as_str()).collect(),
                    };
                    sorted.sort_unstable();
                    let mut d = Diagnostic::error(
                        "unknown-import",
                        format!("`{}` has no `{there}`.", other.path),
                        *span,
                        "not defined there",
                    );
                    if let Some(near) = nearest(there.as_str(), sorted.iter().copied()) {
                        d = d.help(format!("Did you mean `{near}`?")).edit(*span, near);
                    }
                    found.push(d.note(format!("It defines: {}.", sorted.join(", "))));
                }
            } else if let Some(index) = module.defs.get(here).or_else(|| module.lets.get(here)) {
                found.push(
                    Diagnostic::error(
                        "name-twice",
                        format!("`{here}` is brought in and defined here as well."),
                        *span,
                        "brought in here",
                    )
                    .label(module.tree.items[*index].span, "defined here")
                    .help(format!("Rename it as it comes in: `({there} as other_{there})`.")),
                );
            }
        }
        self.diagnostics.extend(found);
    }
}

fn house_field_span(program: &Program, module: ModuleId, item: usize) -> Option<Span> {
    program.modules.get(module.0 as usize).and_then(|m| m.tree.items.get(item)).map(|i| i.span)
}

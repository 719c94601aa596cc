//! Scopes and what a name means in them.

use super::machine::{Evaluation, Failed, Res};
use super::program::ModuleId;
use super::scope::*;
use super::value::{Thing, Value};
use crate::diagnostics::{Diagnostic, nearest};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Def, Ident, Kind, StmtKind};
use std::rc::Rc;

impl<'p> Evaluation<'p> {
    /// A new block inside another; it inherits whose text it is.
    pub(super) fn inner_scope(&mut self, parent: ScopeId) -> ScopeId {
        let around = &self.scopes[parent.0 as usize];
        let scope = Scope {
            parent: Some(parent),
            module: around.module,
            extras_of: None,
            owner: around.owner,
            frame: around.frame,
            corner: around.corner,
            site: around.site,
            entries: Vec::new(),
            index: None,
            loops: Vec::new(),
            ifs: Vec::new(),
            maker: around.maker,
            indices: around.indices.clone(),
        };
        self.push_scope(scope)
    }

    pub(super) fn push_scope(&mut self, scope: Scope) -> ScopeId {
        self.scopes.push(scope);
        ScopeId(self.scopes.len() as u32 - 1)
    }

    /// The scope of a file, with its `let`s; what the root file places is added when it is run.
    pub fn file_scope(&mut self, module: ModuleId) -> ScopeId {
        if let Some(id) = self.file_scopes.get(&module) {
            return *id;
        }
        let id = self.push_scope(Scope {
            parent: None,
            module,
            extras_of: None,
            owner: None,
            frame: SITE,
            corner: false,
            site: None,
            entries: Vec::new(),
            index: Some(Default::default()),
            loops: Vec::new(),
            ifs: Vec::new(),
            maker: None,
            indices: Vec::new(),
        });
        self.file_scopes.insert(module, id);
        let program = self.program;
        for item in &program.module(module).tree.items {
            if let StmtKind::Let(l) = &item.kind {
                let slot = self.slot(Work::Expr(&l.value, id));
                let scope = &mut self.scopes[id.0 as usize];
                if let Some(index) = &mut scope.index {
                    index.entry(l.name.name).or_insert(scope.entries.len());
                }
                scope.entries.push(Entry {
                    name: l.name.name,
                    slot,
                    reach: Reach::Private,
                    span: l.name.span,
                });
            }
        }
        id
    }

    /// Adds a name to a scope; a name that is there already, here or in the definition around, is an
    /// error.
    pub(super) fn enter(&mut self, scope: ScopeId, ident: Ident, slot: SlotId, reach: Reach) {
        let mut at = Some(scope);
        let mut first = None;
        while let Some(id) = at {
            let record = &self.scopes[id.0 as usize];
            if record.index.is_some() && id != scope {
                break;
            }
            if let Some(entry) = find(record, ident.name) {
                first = Some(entry.span);
                break;
            }
            if let Some((b, layers)) = record.extras_of {
                first = self.member_slot(b, layers, ident.name, false).map(|(_, span)| span);
                break;
            }
            at = record.parent;
        }
        if let Some(first) = first {
            let d = Diagnostic::error(
                "name-twice",
                format!("`{}` is the name of two things here.", ident.name),
                ident.span,
                "named again here",
            )
            .label(first, "first named here")
            .help("Give one of them another name.");
            self.push(scope, d);
            return;
        }
        let record = &mut self.scopes[scope.0 as usize];
        if let Some(index) = &mut record.index {
            index.insert(ident.name, record.entries.len());
        }
        record.entries.push(Entry { name: ident.name, slot, reach, span: ident.span });
    }

    /// The slot of a name as seen from a scope: its block and outwards, the type's names in extras,
    /// the definition's parameters, the file, what the file brings in.
    pub(super) fn lookup(&mut self, scope: ScopeId, ident: Ident) -> Res<Option<SlotId>> {
        let mut at = scope;
        loop {
            let record = &self.scopes[at.0 as usize];
            if let Some(entry) = find(record, ident.name) {
                return Ok(Some(entry.slot));
            }
            let parent = record.parent;
            if let Some((b, layers)) = record.extras_of {
                if let Some((slot, span)) = self.member_slot(b, layers, ident.name, false) {
                    if let Some(up) = parent {
                        self.refuse_ambiguous(scope, ident, up, span, b)?;
                    }
                    return Ok(Some(slot));
                }
            }
            match parent {
                Some(up) => at = up,
                None => break,
            }
        }
        let module = self.scopes[at.0 as usize].module;
        if let Some((other, there, _)) = self.program.module(module).imports.get(&ident.name) {
            let (other, there) = (*other, *there);
            let file = self.file_scope(other);
            return Ok(find(&self.scopes[file.0 as usize], there).map(|e| e.slot));
        }
        Ok(None)
    }

    fn refuse_ambiguous(
        &mut self,
        scope: ScopeId,
        ident: Ident,
        from: ScopeId,
        inside: Span,
        b: BoxId,
    ) -> Res<()> {
        let mut at = Some(from);
        while let Some(id) = at {
            let record = &self.scopes[id.0 as usize];
            if let Some(entry) = find(record, ident.name) {
                let name = ident.name;
                let type_name = self.boxes[b.0 as usize].def.name.name;
                let d = Diagnostic::error(
                    "ambiguous-name",
                    format!("`{name}` means two things here."),
                    ident.span,
                    "which one?",
                )
                .label(entry.span, "this one, of the text around")
                .label(inside, format!("or this one, of `{type_name}`"))
                .help(format!("Write `self.{name}` for the one of `{type_name}`, or rename yours."));
                return Err(self.say(scope, d));
            }
            at = record.parent;
        }
        Ok(())
    }

    /// A public name of a box, or any name for the type's own text; later layers first.
    pub(super) fn member_slot(
        &self,
        b: BoxId,
        layers: usize,
        name: Name,
        private: bool,
    ) -> Option<(SlotId, Span)> {
        let record = &self.boxes[b.0 as usize];
        for scope in record.layers[..layers.min(record.layers.len())].iter().rev() {
            if let Some(entry) = find(&self.scopes[scope.0 as usize], name) {
                if private || entry.reach == Reach::Public {
                    return Some((entry.slot, entry.span));
                }
            }
        }
        None
    }

    /// Every name that can be seen from a scope, for suggestions.
    pub(super) fn visible_names(&self, scope: ScopeId) -> Vec<&'static str> {
        let mut names = Vec::new();
        let mut at = Some(scope);
        let mut module = None;
        while let Some(id) = at {
            let record = &self.scopes[id.0 as usize];
            names.extend(record.entries.iter().map(|e| e.name.as_str()));
            if let Some((b, layers)) = record.extras_of {
                for layer in self.boxes[b.0 as usize].layers.iter().take(layers) {
                    names.extend(
                        self.scopes[layer.0 as usize]
                            .entries
                            .iter()
                            .filter(|e| e.reach == Reach::Public)
                            .map(|e| e.name.as_str()),
                    );
                }
            }
            module = Some(record.module);
            at = record.parent;
        }
        if let Some(module) = module {
            let module = self.program.module(module);
            names.extend(module.imports.keys().map(|n| n.as_str()));
            names.extend(module.defs.keys().map(|n| n.as_str()));
        }
        names.sort_unstable();
        names.dedup();
        names
    }

    /// The value of a bare name.
    pub(super) fn name(&mut self, ident: Ident, scope: ScopeId) -> Res<Value<'p>> {
        if let Some(slot) = self.lookup(scope, ident)? {
            return self.force(slot);
        }
        if ident.name.as_str() == "self" {
            return match self.owner(scope) {
                Some(b) => Ok(Value::Box(b)),
                None => Err(self.error_at(
                    scope,
                    "no-self",
                    "`self` is the box whose text this is; here is no box.",
                    ident.span,
                    "outside a box",
                )),
            };
        }
        let module = self.scopes[scope.0 as usize].module;
        let program = self.program;
        if let Some((home, def)) = program.find_def(module, ident.name) {
            return match def.kind {
                Kind::Board | Kind::Band | Kind::Item => self.default_thing(home, def, ident.span, scope),
                Kind::Fn => Err(self.error_at(
                    scope,
                    "call-it",
                    format!("`{}` is a function.", ident.name),
                    ident.span,
                    "needs its arguments in brackets",
                )),
                kind => Err(self.not_a_value(scope, ident, kind)),
            };
        }
        Err(self.unknown_name(scope, ident, "There is no"))
    }

    pub(super) fn not_a_value(&mut self, scope: ScopeId, ident: Ident, kind: Kind) -> Failed {
        let word = kind.word();
        let d = Diagnostic::error(
            "not-a-value",
            format!("`{}` is a {word} type; it makes a {word} and is no value.", ident.name),
            ident.span,
            format!("a {word} type"),
        )
        .help(format!("Write `{word} NAME = {}(…)` as a statement of its own.", ident.name));
        self.say(scope, d)
    }

    pub(super) fn unknown_name(&mut self, scope: ScopeId, ident: Ident, lead: &str) -> Failed {
        let module = self.scopes[scope.0 as usize].module;
        // A name that a broken statement or a lost file was to define has had its message.
        if self.program.module(module).lost.contains(&ident.name) {
            return Failed;
        }
        // Nobody reads the suggestions of the hundredth message, and each looks at every name.
        let names = if self.diagnostics.len() < 100 { self.visible_names(scope) } else { Vec::new() };
        let mut d = Diagnostic::error(
            "unknown-name",
            format!("{lead} `{}` here.", ident.name),
            ident.span,
            "not known here",
        );
        if let Some(near) = nearest(ident.name.as_str(), names.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(ident.span, near);
        } else if let Some(module) = self.library_with(ident.name) {
            d = d.help(format!("Bring it in at the top of the file: `use {module} ({})`.", ident.name));
        }
        self.say(scope, d)
    }

    /// A library module that is already read or embedded and defines a name.
    pub(super) fn library_with(&self, name: Name) -> Option<String> {
        super::library::modules()
            .find(|m| {
                super::library::text(m).is_some_and(|text| {
                    text.lines().any(|line| {
                        let mut words = line.split([' ', '(']).filter(|w| !w.is_empty());
                        words.next() == Some("def")
                            && words.next().is_some()
                            && words.next() == Some(name.as_str())
                    })
                })
            })
            .map(str::to_string)
    }

    /// A board, band or item with all its defaults.
    fn default_thing(&mut self, home: ModuleId, def: &'p Def, span: Span, user: ScopeId) -> Res<Value<'p>> {
        if let Some(value) = self.things.get(&(home, def.name.name)) {
            return Ok(value.clone());
        }
        let args = vec![None; def.params.len()];
        self.check_missing(def, &args, span, user)?;
        let value = self.make_thing(home, def, &args, span, user);
        self.things.insert((home, def.name.name), value.clone());
        Ok(value)
    }

    /// A board, band or item from its arguments.
    pub(super) fn make_thing(
        &mut self,
        home: ModuleId,
        def: &'p Def,
        args: &[Option<super::args::Source<'p>>],
        span: Span,
        user: ScopeId,
    ) -> Value<'p> {
        let scope = self.definition_scope(home, span, user);
        self.enter_params(def, args, scope);
        if let crate::syntax::tree::DefBody::Block(block) = &def.body {
            for stmt in &block.stmts {
                match &stmt.kind {
                    StmtKind::Field(field) => {
                        let slot = self.slot(Work::Expr(&field.value, scope));
                        self.enter(scope, field.label, slot, Reach::Public);
                    }
                    StmtKind::Let(l) => {
                        let slot = self.slot(Work::Expr(&l.value, scope));
                        self.enter(scope, l.name, slot, Reach::Private);
                    }
                    _ => {}
                }
            }
        }
        Value::Thing(Rc::new(Thing { module: home, def, scope }))
    }

    /// The scope of a definition's own text, used at `span` in `user`.
    pub(super) fn definition_scope(&mut self, home: ModuleId, span: Span, user: ScopeId) -> ScopeId {
        let file = self.file_scope(home);
        let around = &self.scopes[user.0 as usize];
        let scope = Scope {
            parent: Some(file),
            module: home,
            extras_of: None,
            owner: around.owner,
            frame: around.frame,
            corner: false,
            site: Some((span, user)),
            entries: Vec::new(),
            index: None,
            loops: Vec::new(),
            ifs: Vec::new(),
            maker: around.maker,
            indices: Vec::new(),
        };
        self.push_scope(scope)
    }
}

/// The entry of a name in one scope.
pub(super) fn find(scope: &Scope, name: Name) -> Option<&Entry> {
    match &scope.index {
        Some(index) => index.get(&name).and_then(|i| scope.entries.get(*i)),
        None => scope.entries.iter().find(|e| e.name == name),
    }
}

/// The entry of a name by its text, in a scope with few names.
pub(super) fn find_text<'s>(scope: &'s Scope, text: &str) -> Option<&'s Entry> {
    scope.entries.iter().find(|e| e.name.as_str() == text)
}

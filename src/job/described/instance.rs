//! Uses of definitions in a design that has been worked out, for a page to show.

use super::Reference;
use crate::evaluation::{BoxId, Evaluation, ModuleId, PartId, ScopeId};
use crate::job::Job;
use crate::syntax::tree::{Def, Param};
use std::collections::BTreeMap;
use std::rc::Rc;

/// A use of a definition, made for a page to show.
#[derive(Clone, Debug)]
pub struct Instance {
    pub seen: Sighting,
    pub how: How,
    /// The design it stands in.
    pub job: Rc<Job>,
}

/// Where a use comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum How {
    /// Every parameter has its default but those that must be given; `tried` where nobody gives figures for
    /// these and the first that did were taken.
    Defaults { given: Vec<String>, tried: bool },
    /// A test: the file, its name, and its line.
    Test { file: String, name: String, line: usize },
    /// The boxes of the file itself.
    File { file: String },
}

/// A definition as it is used once.
#[derive(Clone, Debug)]
pub struct Sighting {
    pub of: Reference,
    /// Of a box or what stands at a site its path; of a joint or fitting what its holes and purchases name.
    pub path: String,
    /// The box to draw; none where nothing stands around it.
    pub around: Option<String>,
    /// Whether it is a joint or fitting.
    pub joins: bool,
    /// Of a joint or fitting: the paths of the parts it was given.
    pub parts: Vec<String>,
    /// Its parameters with their values in words.
    pub values: Vec<(String, String)>,
}

/// Every use of a definition in a worked-out design. `name` gives the name of a module's file.
pub fn sightings(e: &mut Evaluation<'_>, name: &dyn Fn(ModuleId) -> String) -> Vec<Sighting> {
    let mut found = Vec::new();
    for i in 0..e.boxes.len() {
        let record = &e.boxes[i];
        let (def, module, path) = (record.def, record.module, record.path.clone());
        let scopes: Vec<ScopeId> = record.layers.clone();
        let outer = outermost(e, BoxId(i as u32));
        let around = if needs_surroundings(def) { outer } else { path.clone() };
        found.push(Sighting {
            of: Reference { module: name(module), name: def.name.name.to_string() },
            path,
            around: Some(around),
            joins: false,
            parts: Vec::new(),
            values: values(e, &scopes, &def.params),
        });
    }
    let mut made: Vec<Option<ScopeId>> = vec![None; e.records.makers.len()];
    for (n, scope) in e.scopes.iter().enumerate() {
        if let Some(slot) = scope.maker.and_then(|m| made.get_mut(m as usize)) {
            slot.get_or_insert(ScopeId(n as u32));
        }
    }
    for (n, scope) in made.into_iter().enumerate() {
        let Some(scope) = scope else { continue };
        let module = e.scopes[scope.0 as usize].module;
        let maker = &e.records.makers[n];
        let (type_name, parts, owner, label) =
            (maker.type_name, maker.parts.clone(), maker.owner, maker.label.clone());
        let Some(def) = e.program.module(module).def(type_name) else { continue };
        let owned = owner.map(|b| e.boxes[b.0 as usize].path.clone());
        let path = match &owned {
            Some(owner) => format!("{owner}.{label}"),
            None => label,
        };
        found.push(Sighting {
            of: Reference { module: name(module), name: type_name.to_string() },
            path,
            around: around(e, owned, &parts),
            joins: true,
            parts: parts.iter().map(|p| e.parts[p.0 as usize].path.clone()).collect(),
            values: values(e, &[scope], &def.params),
        });
    }
    found
}

/// True where a type makes sense only among the parts of another.
fn needs_surroundings(def: &Def) -> bool {
    use crate::syntax::tree::{Type, TypeKind};
    fn around(ty: &Type) -> bool {
        match &ty.kind {
            TypeKind::Name(name) => matches!(name.as_str(), "space" | "part" | "face" | "range" | "place"),
            TypeKind::List(of) => around(of),
            TypeKind::Choice(_) | TypeKind::OrNone(_) => false,
        }
    }
    def.params.iter().any(|p| p.default.is_none() && around(&p.ty))
}

/// The path of the outermost box that a box stands in.
fn outermost(e: &Evaluation<'_>, b: BoxId) -> String {
    let mut at = b;
    while let Some(within) = e.boxes.get(at.0 as usize).and_then(|b| b.within) {
        at = within;
    }
    e.boxes[at.0 as usize].path.clone()
}

/// The smallest box that holds all parts of a joint.
fn around(e: &Evaluation<'_>, owner: Option<String>, parts: &[PartId]) -> Option<String> {
    let inside = |path: &str| {
        let lead = format!("{path}.");
        parts.iter().all(|p| e.parts[p.0 as usize].path.starts_with(&lead))
    };
    match owner {
        Some(owner) if inside(&owner) => Some(owner),
        _ => parts.first().map(|p| outermost(e, e.parts[p.0 as usize].owner)),
    }
}

fn values(e: &mut Evaluation<'_>, scopes: &[ScopeId], params: &[Param]) -> Vec<(String, String)> {
    let mut found = Vec::new();
    for param in params {
        let mut entries = scopes.iter().flat_map(|s| &e.scopes[s.0 as usize].entries);
        let slot = entries.find(|n| n.name == param.name.name && n.span == param.name.span).map(|n| n.slot);
        if let Some(value) = slot.and_then(|s| e.force(s).ok()) {
            found.push((param.name.name.to_string(), e.words(&value)));
        }
    }
    found
}

/// What the pages of some files show beside their text.
#[derive(Clone, Debug, Default)]
pub struct Shown {
    pub instances: BTreeMap<Reference, Instance>,
    /// The types that fail where every parameter has its default, with the message.
    pub faults: BTreeMap<Reference, String>,
    /// Fields and parameters of boards, bands and items that are worked out, in words.
    pub worth: BTreeMap<(Reference, String), String>,
}

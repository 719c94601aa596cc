//! Joints and fittings: made once for each pairing of the parts they are given.

use super::args::Source;
use super::machine::{Evaluation, Res};
use super::records::Maker;
use super::scope::{PartId, ScopeId};
use super::types::is_named;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::syntax::tree::{Def, DefBody, Expr, Kind, PlaceStmt};

impl<'p> Evaluation<'p> {
    /// Makes a joint or fitting from its use.
    pub(super) fn run_joint(&mut self, place: &'p PlaceStmt, user: ScopeId) -> Res<()> {
        let (home, def) = self.definition(&place.call, place.kind, user)?;
        let args = self.sort_args(def, &place.call, user)?;
        self.check_missing(def, &args, place.call.span, user)?;
        let pairings = match place.kind {
            Kind::Joint => self.pairings(def, args)?,
            _ => vec![args],
        };
        let several = pairings.len() > 1;
        let mut failed = false;
        for pairing in pairings {
            failed |= self.make_joint(place, home, def, pairing, user, several).is_err();
        }
        if !place.extras.stmts.is_empty() {
            let extras = self.inner_scope(user);
            self.declare(&place.extras, extras);
            self.run(&place.extras, extras);
        }
        if failed { Err(super::machine::Failed) } else { Ok(()) }
    }

    /// One list of arguments for each pairing of what was given as a list where one part is due.
    fn pairings(&mut self, def: &'p Def, args: Vec<Option<Source<'p>>>) -> Res<Vec<Vec<Option<Source<'p>>>>> {
        let mut all = vec![Vec::new()];
        for (param, arg) in def.params.iter().zip(args) {
            let one = is_named(&param.ty, "part") || is_named(&param.ty, "face");
            let choices = match (&arg, one) {
                (Some(Source::Expr(e, scope)), true) => self.one_or_many(e, *scope)?,
                _ => None,
            };
            let choices = choices.unwrap_or_else(|| vec![arg]);
            let mut next = Vec::with_capacity(all.len() * choices.len());
            for row in &all {
                for choice in &choices {
                    let mut row: Vec<Option<Source<'p>>> = row.clone();
                    row.push(choice.clone());
                    next.push(row);
                }
            }
            all = next;
        }
        Ok(all)
    }

    fn one_or_many(&mut self, e: &'p Expr, scope: ScopeId) -> Res<Option<Vec<Option<Source<'p>>>>> {
        match self.eval(e, scope)? {
            Value::List(list) => {
                let mut choices = Vec::with_capacity(list.len());
                for value in list.iter() {
                    match value {
                        Value::Part(_) | Value::Face(..) => {
                            choices.push(Some(Source::Value(value.clone(), e, scope)));
                        }
                        other => {
                            let other = other.clone();
                            return Err(self.wrong_kind(scope, e, &other, "a part, or a list of parts"));
                        }
                    }
                }
                Ok(Some(choices))
            }
            _ => Ok(None),
        }
    }

    fn make_joint(
        &mut self,
        place: &'p PlaceStmt,
        home: super::program::ModuleId,
        def: &'p Def,
        args: Vec<Option<Source<'p>>>,
        user: ScopeId,
        several: bool,
    ) -> Res<()> {
        let scope = self.definition_scope(home, place.call.span, user);
        self.enter_params(def, &args, scope);
        let mut parts: Vec<PartId> = Vec::new();
        let mut failed = false;
        for i in 0..self.scopes[scope.0 as usize].entries.len() {
            let slot = self.scopes[scope.0 as usize].entries[i].slot;
            match self.force(slot) {
                Ok(value) => gather_parts(&value, &mut parts),
                Err(_) => failed = true,
            }
        }
        if failed {
            self.link_all(&parts);
            return Err(super::machine::Failed);
        }
        let owner = self.owner(user);
        let label = self.joint_label(place, def, &parts, owner, several, user);
        let before = self.diagnostics.len();
        if let Some(first) = self.records.labels.get(&(owner, label.clone())).copied() {
            self.joined_twice(place, first, user);
            return Err(super::machine::Failed);
        }
        let id = self.records.makers.len() as u32;
        self.records.labels.insert((owner, label.clone()), id as usize);
        self.records.makers.push(Maker {
            label,
            type_name: def.name.name,
            parts: parts.clone(),
            owner,
            site: place.call.span,
            user,
        });
        self.scopes[scope.0 as usize].maker = Some(id);
        if let DefBody::Block(block) = &def.body {
            self.declare(block, scope);
            if !self.run(block, scope) {
                self.refused_boxes.extend(owner);
            }
        }
        if self.diagnostics[before..].iter().any(|d| d.is_error()) {
            // A joint that failed counts as made, so that one fault gives one message.
            self.link_all(&parts);
            self.explain_all(&parts);
            return Err(super::machine::Failed);
        }
        Ok(())
    }

    pub(super) fn joined_twice(&mut self, place: &'p PlaceStmt, first: usize, user: ScopeId) {
        let maker = &self.records.makers[first];
        let (label, site) = (maker.label.clone(), maker.site);
        let d = Diagnostic::error(
            "joined-twice",
            format!("`{label}` is made twice."),
            place.call.span,
            "made again here",
        )
        .label(site, "made here already")
        .help(format!(
            "Remove one of them, or name this one if both are meant: `{} NAME = {}(…)`.",
            place.kind.word(),
            place.call.name.name
        ));
        self.push(user, d);
    }

    fn joint_label(
        &self,
        place: &'p PlaceStmt,
        def: &'p Def,
        parts: &[PartId],
        owner: Option<super::scope::BoxId>,
        several: bool,
        user: ScopeId,
    ) -> String {
        let prefix = owner.map(|b| format!("{}.", self.boxes[b.0 as usize].path)).unwrap_or_default();
        let names: Vec<&str> = parts
            .iter()
            .map(|p| {
                let path = self.parts[p.0 as usize].path.as_str();
                path.strip_prefix(&prefix).unwrap_or(path)
            })
            .collect();
        let names = names.join(",");
        match place.name {
            Some(name) => {
                let mut label = name.name.to_string();
                for i in &self.scopes[user.0 as usize].indices {
                    label.push_str(&format!("[{i}]"));
                }
                if several {
                    label.push_str(&format!("({names})"));
                }
                label
            }
            None => format!("{}({names})", def.name.name),
        }
    }

    fn link_all(&mut self, parts: &[PartId]) {
        for pair in parts.windows(2) {
            self.records.links.push((pair[0], pair[1]));
        }
    }

    fn explain_all(&mut self, parts: &[PartId]) {
        for (i, a) in parts.iter().enumerate() {
            for b in &parts[i + 1..] {
                self.records.explained.push((*a, *b));
            }
        }
    }
}

fn gather_parts(value: &Value<'_>, parts: &mut Vec<PartId>) {
    let mut add = |p: PartId| {
        if !parts.contains(&p) {
            parts.push(p);
        }
    };
    match value {
        Value::Part(p) | Value::Face(p, _) => add(*p),
        Value::List(list) => {
            for v in list.iter() {
                gather_parts(v, parts);
            }
        }
        _ => {}
    }
}

//! The house: the workshop's own standard choices.

use super::machine::{Evaluation, Res};
use super::scope::{ScopeId, SlotId, Work};
use super::value::Value;
use crate::diagnostics::{Diagnostic, nearest};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{HouseField, Ident, StmtKind};
use crate::values::{Dimension, Rational, Style};

impl<'p> Evaluation<'p> {
    fn house_declaration(&self, name: Name) -> Option<(super::program::ModuleId, &'p HouseField)> {
        let (module, index) = self.program.house_fields.get(&name)?;
        match &self.program.module(*module).tree.items.get(*index)?.kind {
            StmtKind::HouseField(field) => Some((*module, field)),
            _ => None,
        }
    }

    /// Where a house field is set, or declared.
    pub(super) fn house_site(&self, name: Name) -> (Span, ScopeId) {
        if let Some(field) = self.house.and_then(|h| h.iter().find(|f| f.label.name == name)) {
            return (field.value.span, ScopeId(0));
        }
        match self.house_declaration(name) {
            Some((_, field)) => (field.default.as_ref().map_or(field.name.span, |d| d.span), ScopeId(0)),
            None => (Span::new(crate::sources::FileId(0), 0, 0), ScopeId(0)),
        }
    }

    /// The slot of a house field.
    pub fn house_slot(&mut self, name: Name) -> Option<SlotId> {
        if let Some(slot) = self.house_slots.get(&name) {
            return Some(*slot);
        }
        self.house_declaration(name)?;
        let slot = self.slot(Work::House(name));
        self.house_slots.insert(name, slot);
        Some(slot)
    }

    /// Where the value of a house field is written and the scope it is read in.
    pub fn house_source(&mut self, name: Name) -> Option<(&'p crate::syntax::tree::Expr, ScopeId)> {
        if let Some(field) = self.house.and_then(|h| h.iter().find(|f| f.label.name == name)) {
            let root = match self.house_scope {
                Some(scope) => scope,
                None => self.file_scope(super::program::ModuleId(0)),
            };
            return Some((&field.value, root));
        }
        let (module, declared) = self.house_declaration(name)?;
        let scope = self.file_scope(module);
        declared.default.as_ref().map(|d| (d, scope))
    }

    pub(super) fn house_field(&mut self, name: Name) -> Res<Value<'p>> {
        let Some((_, declared)) = self.house_declaration(name) else { return Err(super::machine::Failed) };
        match self.house_source(name) {
            Some((e, scope)) => self.eval_as(e, scope, &declared.ty, Some((name, declared.name.span))),
            None => Ok(Value::None),
        }
    }

    pub(super) fn house_member(&mut self, name: Ident, scope: ScopeId) -> Res<Value<'p>> {
        if let Some(slot) = self.house_slot(name.name) {
            return self.force(slot);
        }
        Err(self.unknown_house_field(name, scope))
    }

    pub(super) fn unknown_house_field(&mut self, name: Ident, scope: ScopeId) -> super::machine::Failed {
        let names: Vec<&str> = self.program.house_fields.keys().map(|n| n.as_str()).collect();
        let mut d = Diagnostic::error(
            "unknown-house-field",
            format!("The house has no `{}`.", name.name),
            name.span,
            "not a field of the house",
        );
        if let Some(near) = nearest(name.name.as_str(), names.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(name.span, near);
        }
        let list = names.join(", ");
        self.say(scope, d.note(format!("It has: {list}.")))
    }

    /// Reads the house block: every field must be declared, given once, and of its type.
    pub(super) fn check_house(&mut self, scope: ScopeId) {
        let Some(fields) = self.house else { return };
        for (i, field) in fields.iter().enumerate() {
            if let Some(first) = fields[..i].iter().find(|f| f.label.name == field.label.name) {
                let d = Diagnostic::error(
                    "name-twice",
                    format!("The house gives `{}` twice.", field.label.name),
                    field.label.span,
                    "given again here",
                )
                .label(first.label.span, "first given here")
                .help("Keep one of them.");
                self.push(scope, d);
            }
            match self.house_slot(field.label.name) {
                Some(slot) => {
                    let _ = self.force(slot);
                }
                None => {
                    self.unknown_house_field(field.label, scope);
                }
            }
        }
    }

    /// A length of the house, where it is declared and could be worked out, in mm.
    pub fn house_length(&mut self, word: &str) -> Option<Rational> {
        let slot = self.house_slot(Name::new(word))?;
        match self.force(slot) {
            Ok(Value::Quantity(q)) if q.dimension == Dimension::LENGTH => Some(q.value),
            _ => None,
        }
    }

    /// How lengths are printed, as the house says.
    pub(super) fn read_style(&mut self) {
        let inches = match self.house_slot(Name::new("units")).map(|s| self.force(s)) {
            Some(Ok(Value::Word(word, _))) => word.as_str() == "in",
            _ => false,
        };
        let base = if inches { Style::imperial() } else { Style::metric() };
        let step = self.house_length("print").filter(|s| s.is_positive()).unwrap_or(base.step);
        self.style = Style { step, ..base };
    }
}

//! Values of a declared type.

use super::machine::{Evaluation, Res, axis_of};
use super::scope::ScopeId;
use super::value::Value;
use crate::diagnostics::{Diagnostic, nearest};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Expr, ExprKind, Ident, Kind, Type, TypeKind};
use crate::values::Dimension;
use std::rc::Rc;

/// The words that name a type.
pub const TYPES: &[&str] = &[
    "length", "place", "angle", "mass", "force", "pressure", "density", "area", "volume", "money", "number",
    "count", "text", "flag", "range", "portion", "point", "seam", "part", "box", "space", "face", "axis",
    "board", "band", "item", "wall", "row", "obstacle", "height",
];

impl<'p> Evaluation<'p> {
    /// The value of an expression where a value of a type is due; `declared` is the parameter.
    pub(super) fn eval_as(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        ty: &'p Type,
        declared: Option<(Name, Span)>,
    ) -> Res<Value<'p>> {
        if let ExprKind::If(c, a, b) = &e.kind {
            let branch = if self.flag(c, scope)? { a } else { b };
            return self.eval_as(branch, scope, ty, declared);
        }
        if let Some(words) = choice_words(ty) {
            if matches!(e.kind, ExprKind::None) && matches!(ty.kind, TypeKind::OrNone(_)) {
                return Ok(Value::None);
            }
            return self.choice(e, scope, words, declared, matches!(ty.kind, TypeKind::OrNone(_)));
        }
        if let (ExprKind::Name(name), true) = (&e.kind, is_named(ty, "axis")) {
            if axis_of(name.as_str()).is_some() {
                return Ok(Value::Word(*name, ["x", "y", "z"].map(Name::new).into()));
            }
        }
        // A portion is the one place where a share may stand by itself.
        let value = self.eval(e, scope)?;
        match self.fits(&value, ty) {
            Some(true) => Ok(value),
            Some(false) => {
                let due = describe(ty);
                let mut d = self.wrong_kind_message(e, &value, &due);
                if let Some((name, span)) = declared {
                    d = d.label(span, format!("`{name}` is declared here"));
                }
                Err(self.say(scope, d))
            }
            None => Err(self.unknown_type(ty, scope)),
        }
    }

    fn choice(
        &mut self,
        e: &'p Expr,
        scope: ScopeId,
        words: &'p [Ident],
        declared: Option<(Name, Span)>,
        or_none: bool,
    ) -> Res<Value<'p>> {
        let list: Rc<[Name]> = words.iter().map(|w| w.name).collect::<Vec<_>>().into();
        if let ExprKind::Name(name) = &e.kind {
            if list.contains(name) {
                return Ok(Value::Word(*name, list));
            }
        }
        let found = match &e.kind {
            ExprKind::Name(name) => match self.lookup(scope, Ident { name: *name, span: e.span })? {
                Some(slot) => Some(self.force(slot)?),
                None => None,
            },
            _ => Some(self.eval(e, scope)?),
        };
        match &found {
            Some(Value::Word(name, _)) if list.contains(name) => return Ok(Value::Word(*name, list)),
            Some(Value::None) if or_none => return Ok(Value::None),
            _ => {}
        }
        let all = list.iter().map(|n| n.as_str()).collect::<Vec<_>>().join(", ");
        let text = match &found {
            Some(value) => format!("Here one of a few words is due, and this is {}.", value.kind()),
            None => format!("`{}` is not one of the choices.", self.source(e)),
        };
        let mut d = Diagnostic::error("unknown-word", text, e.span, "not one of the choices");
        if let Some((name, span)) = declared {
            d = d.label(span, format!("`{name}` is declared here"));
        }
        let written = self.source(e);
        d = match nearest(&written, list.iter().map(|n| n.as_str())) {
            Some(near) => d.help(format!("Did you mean `{near}`? The choices: {all}.")).edit(e.span, near),
            None => d.help(format!("Write one of: {all}.")),
        };
        Err(self.say(scope, d))
    }

    /// Whether a value is of a type; `None` where there is no such type.
    fn fits(&self, value: &Value<'p>, ty: &Type) -> Option<bool> {
        match &ty.kind {
            TypeKind::OrNone(inner) => match value {
                Value::None => Some(true),
                _ => self.fits(value, inner),
            },
            TypeKind::List(inner) => match value {
                Value::List(list) => {
                    for v in list.iter() {
                        if !self.fits(v, inner)? {
                            return Some(false);
                        }
                    }
                    Some(true)
                }
                _ => Some(false),
            },
            TypeKind::Choice(words) => match value {
                Value::Word(name, _) => Some(words.iter().any(|w| w.name == *name)),
                _ => Some(false),
            },
            TypeKind::Name(name) => match (value, placed_kind(name.as_str())) {
                (Value::Box(b), Some(kind)) => Some(self.boxes[b.0 as usize].def.kind == kind),
                _ => fits_name(value, name.as_str()),
            },
        }
    }

    fn unknown_type(&mut self, ty: &'p Type, scope: ScopeId) -> super::machine::Failed {
        let written = match &ty.kind {
            TypeKind::Name(name) => name.to_string(),
            TypeKind::List(inner) | TypeKind::OrNone(inner) => return self.unknown_type(inner, scope),
            TypeKind::Choice(_) => String::new(),
        };
        let mut d = Diagnostic::error(
            "unknown-type",
            format!("There is no type `{written}`."),
            ty.span,
            "not a type",
        );
        if let Some(near) = nearest(&written, TYPES.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(ty.span, near);
        }
        self.say(scope, d.note(format!("The types: {}.", TYPES.join(", "))))
    }
}

/// The kind of what stands somewhere, by its word.
fn placed_kind(word: &str) -> Option<Kind> {
    [Kind::Box, Kind::Wall, Kind::Row, Kind::Obstacle].into_iter().find(|k| k.word() == word)
}

fn choice_words(ty: &Type) -> Option<&[Ident]> {
    match &ty.kind {
        TypeKind::Choice(words) => Some(words),
        TypeKind::OrNone(inner) => choice_words(inner),
        _ => None,
    }
}

/// True where a type is this word, or this word or none.
pub(super) fn is_named(ty: &Type, word: &str) -> bool {
    match &ty.kind {
        TypeKind::Name(name) => name.as_str() == word,
        TypeKind::OrNone(inner) => is_named(inner, word),
        _ => false,
    }
}

fn fits_name(value: &Value<'_>, name: &str) -> Option<bool> {
    let dimension = |d: Dimension| matches!(value, Value::Quantity(q) if q.dimension == d);
    let kind = |k: Kind| matches!(value, Value::Thing(t) if t.def.kind == k);
    Some(match name {
        "length" => dimension(Dimension::LENGTH),
        "angle" => dimension(Dimension::ANGLE),
        "mass" => dimension(Dimension::MASS),
        "force" => dimension(Dimension::FORCE),
        "pressure" => dimension(Dimension::PRESSURE),
        "density" => dimension(Dimension::DENSITY),
        "area" => dimension(Dimension::AREA),
        "volume" => dimension(Dimension::VOLUME),
        "number" => dimension(Dimension::NUMBER),
        "money" => matches!(value, Value::Quantity(q) if q.dimension.money.is_some()),
        "count" => {
            matches!(value, Value::Quantity(q) if q.dimension == Dimension::NUMBER
                && q.value.is_integer() && !q.value.is_negative())
        }
        "portion" => dimension(Dimension::LENGTH) || matches!(value, Value::Share(_)),
        "place" => matches!(value, Value::Place(_)),
        "text" => matches!(value, Value::Text(_)),
        "flag" => matches!(value, Value::Flag(_)),
        "range" => matches!(value, Value::Range(_)),
        "point" => matches!(value, Value::Point(_)),
        "seam" => matches!(value, Value::Seam(_)),
        "part" => matches!(value, Value::Part(_)),
        "height" => {
            dimension(Dimension::LENGTH)
                || matches!(value, Value::Place(p) if p.axis == crate::geometry::Axis::Y)
        }
        "space" => matches!(value, Value::Space(_)),
        "face" => matches!(value, Value::Face(..)),
        "axis" => matches!(value, Value::Word(name, _) if axis_of(name.as_str()).is_some()),
        "board" => kind(Kind::Board),
        "band" => kind(Kind::Band),
        "item" => kind(Kind::Item),
        "box" | "wall" | "row" | "obstacle" => false,
        _ => return None,
    })
}

/// A type in words: `a length`, `a list of parts`.
pub(super) fn describe(ty: &Type) -> String {
    match &ty.kind {
        TypeKind::Name(name) => match name.as_str() {
            "count" => "a whole number".to_string(),
            "flag" => "yes or no".to_string(),
            "text" => "text in quotes".to_string(),
            "number" => "a plain number".to_string(),
            "money" => "money".to_string(),
            "portion" => "a length or a share".to_string(),
            "height" => "a length from the floor or a place on y".to_string(),
            word if word.starts_with(['a', 'e', 'i', 'o', 'u']) => format!("an {word}"),
            word => format!("a {word}"),
        },
        TypeKind::List(inner) => {
            let one = describe(inner);
            let one = one.trim_start_matches("a ").trim_start_matches("an ").to_string();
            format!("a list, each {one}")
        }
        TypeKind::Choice(words) => {
            let all: Vec<&str> = words.iter().map(|w| w.name.as_str()).collect();
            format!("one of {}", all.join(", "))
        }
        TypeKind::OrNone(inner) => format!("{} or none", describe(inner)),
    }
}

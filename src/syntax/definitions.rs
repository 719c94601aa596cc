//! From pest's pairs to `use`, `house` and `def`, with parameters and types.

use super::Name;
use super::build::{Builder, kind_of};
use super::grammar::Rule;
use super::tree::*;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use pest::iterators::Pair;

impl Builder<'_> {
    /// `use … (names)`.
    pub fn use_(&mut self, pair: Pair<Rule>) -> Option<Use> {
        let mut from = None;
        let mut names = Vec::new();
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::library => from = Some(UseFrom::Library(p.as_str().to_string(), self.token(&p))),
                Rule::text => from = Some(UseFrom::Path(self.plain_text(&p), self.token(&p))),
                Rule::use_names => {
                    for n in p.into_inner().filter(|n| n.as_rule() == Rule::use_name) {
                        let mut both = n.into_inner().filter(|n| n.as_rule() == Rule::name);
                        if let Some(name) = both.next().map(|n| self.ident(&n)) {
                            let alias = both.next().map(|n| self.ident(&n));
                            names.push(UseName { name, alias });
                        }
                    }
                }
                _ => {}
            }
        }
        Some(Use { from: from?, names })
    }

    /// `house { … }` or `house field …`.
    pub fn house(&mut self, pair: Pair<Rule>) -> Option<StmtKind> {
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::fields => return Some(StmtKind::House(self.fields(p).0)),
                Rule::house_field => {
                    let p = self.param(p)?;
                    let (name, ty, default) = (p.name, p.ty, p.default);
                    return Some(StmtKind::HouseField(HouseField { name, ty, default }));
                }
                _ => {}
            }
        }
        None
    }

    /// `def KIND NAME …`.
    pub fn def(&mut self, pair: Pair<Rule>, span: Span) -> Option<StmtKind> {
        let (mut kind, mut name, mut params) = (None, None, Vec::new());
        let (mut ty, mut value, mut block) = (None, None, None);
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::kind => kind = kind_of(p.as_str()),
                Rule::name => name = Some(self.ident(&p)),
                Rule::params => {
                    let each = p.into_inner().filter(|p| p.as_rule() == Rule::param);
                    params = each.filter_map(|p| self.param(p)).collect();
                }
                Rule::fn_type => {
                    ty = p.into_inner().find(|p| p.as_rule() == Rule::type_).and_then(|p| self.ty(p));
                }
                Rule::expression => value = Some(self.expression(p)),
                Rule::block => block = Some(self.block(p)),
                _ => {}
            }
        }
        let (kind, name) = (kind?, name?);
        let body = match (kind, ty, value, block) {
            (Kind::Fn, ty, Some(value), None) => DefBody::Value(ty, value),
            (Kind::Fn, ..) => {
                let say = Diagnostic::error("syntax", "A `fn` is one value.", span, "this `fn` has braces");
                self.messages.push(say.help(format!("Write `def fn {}(…): TYPE = value`.", name.name)));
                return None;
            }
            (_, None, None, Some(block)) => DefBody::Block(block),
            (_, None, Some(Expr { kind: ExprKind::Call(base), .. }), block) => {
                DefBody::Derived(base, block.unwrap_or_default())
            }
            (_, None, Some(Expr { kind: ExprKind::Broken, .. }), _) => return None,
            (_, None, Some(value), _) => {
                let word = kind.word();
                self.messages.push(
                    Diagnostic::error(
                        "syntax",
                        format!("After `=` comes the {word} that this one is made from, with its brackets."),
                        value.span,
                        "this is no such use",
                    )
                    .help(format!("Write `def {word} {}(…) = BASE(…) {{ … }}`.", name.name)),
                );
                return None;
            }
            (_, Some(ty), ..) => {
                let word = kind.word();
                self.messages.push(
                    Diagnostic::error(
                        "syntax",
                        format!("Only a `fn` has a type of its own; `{}` is a {word}.", name.name),
                        ty.span,
                        "leave this out",
                    )
                    .help("Delete the colon and the type."),
                );
                return None;
            }
            _ => return None,
        };
        Some(StmtKind::Def(Def { kind, name, params, body }))
    }

    fn param(&mut self, pair: Pair<Rule>) -> Option<Param> {
        let span = self.span(&pair);
        let (mut name, mut ty, mut default) = (None, None, None);
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::name => name = Some(self.ident(&p)),
                Rule::type_ => ty = self.ty(p),
                Rule::default => {
                    let value = p.into_inner().find(|p| p.as_rule() == Rule::expression);
                    default = value.map(|p| self.expression(p));
                }
                _ => {}
            }
        }
        Some(Param { name: name?, ty: ty?, default, span })
    }

    fn ty(&mut self, pair: Pair<Rule>) -> Option<Type> {
        let span = self.span(&pair);
        let mut ty = None;
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::or_none => {
                    ty = ty.map(|t| Type { kind: TypeKind::OrNone(Box::new(t)), span });
                }
                _ => ty = self.bare_type(p),
            }
        }
        ty
    }

    fn bare_type(&mut self, pair: Pair<Rule>) -> Option<Type> {
        let span = self.span(&pair);
        let kind = match pair.as_rule() {
            Rule::type_name => TypeKind::Name(Name::new(pair.as_str())),
            Rule::choice => {
                let words = pair.into_inner().filter(|p| p.as_rule() == Rule::label);
                TypeKind::Choice(words.map(|p| self.ident(&p)).collect())
            }
            Rule::list_of => {
                // `list of list of …` nests without brackets.
                self.depth += 1;
                let of = pair.into_inner().find(|p| {
                    matches!(p.as_rule(), Rule::list_of | Rule::choice | Rule::type_name | Rule::grouped)
                });
                let inner = match of {
                    Some(of) if of.as_rule() == Rule::grouped && self.depth <= super::NESTING + 1 => {
                        of.into_inner().find(|p| p.as_rule() == Rule::type_).and_then(|t| self.ty(t))
                    }
                    Some(of) if self.depth <= super::NESTING + 1 => self.bare_type(of),
                    _ => {
                        self.too_deep(span);
                        None
                    }
                };
                self.depth -= 1;
                TypeKind::List(Box::new(inner?))
            }
            _ => return None,
        };
        Some(Type { kind, span })
    }
}

//! Arguments: which goes to which parameter, of definitions and of the kernel's own words.

use super::machine::{Evaluation, Failed, Res};
use super::scope::{Reach, ScopeId, Work};
use super::value::Value;
use crate::diagnostics::{Diagnostic, nearest};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Arg, Call, Def, Expr, Param, TypeKind};

/// Where the value of a parameter comes from.
#[derive(Clone, Debug)]
pub enum Source<'p> {
    /// An argument, resolved where it is written.
    Expr(&'p Expr, ScopeId),
    /// One value of a list that was given where one part is due.
    Value(Value<'p>, &'p Expr, ScopeId),
}

impl<'p> Evaluation<'p> {
    /// Sorts the arguments of a call by the parameters of a definition.
    pub(super) fn sort_args(
        &mut self,
        def: &'p Def,
        call: &'p Call,
        user: ScopeId,
    ) -> Res<Vec<Option<Source<'p>>>> {
        let names: Vec<&str> = def.params.iter().map(|p| p.name.name.as_str()).collect();
        let sorted = self.sort(&names, names.len(), call, user, def.name.name)?;
        Ok(sorted.into_iter().map(|e| e.map(|e| Source::Expr(e, user))).collect())
    }

    /// Sorts the arguments of a kernel word; the first `unnamed` may stand without a label.
    pub(super) fn kernel_args(
        &mut self,
        call: &'p Call,
        names: &[&str],
        unnamed: usize,
        user: ScopeId,
    ) -> Res<Vec<Option<&'p Expr>>> {
        self.sort(names, unnamed, call, user, call.name.name)
    }

    fn sort(
        &mut self,
        names: &[&str],
        unnamed: usize,
        call: &'p Call,
        user: ScopeId,
        callee: Name,
    ) -> Res<Vec<Option<&'p Expr>>> {
        let mut sorted: Vec<Option<&'p Expr>> = vec![None; names.len()];
        let mut next = 0;
        let mut failed = false;
        for arg in &call.args {
            let index = match arg.label {
                Some(label) => match names.iter().position(|n| *n == label.name.as_str()) {
                    Some(i) => i,
                    None => {
                        self.unknown_argument(names, label, callee, user);
                        failed = true;
                        continue;
                    }
                },
                None if next < unnamed.min(names.len()) => {
                    next += 1;
                    next - 1
                }
                None => {
                    self.unlabelled(names, arg, callee, user);
                    failed = true;
                    continue;
                }
            };
            if let Some(first) = sorted[index] {
                let d = Diagnostic::error(
                    "argument-twice",
                    format!("`{}` is given twice.", names[index]),
                    arg.value.span,
                    "given again here",
                )
                .label(first.span, "first given here")
                .help("Keep one of them.");
                self.push(user, d);
                failed = true;
                continue;
            }
            sorted[index] = Some(&arg.value);
        }
        if failed { Err(Failed) } else { Ok(sorted) }
    }

    fn unlabelled(&mut self, names: &[&str], arg: &Arg, callee: Name, user: ScopeId) {
        let list = names.join(", ");
        let d = Diagnostic::error(
            "unknown-argument",
            format!("`{callee}` has no use for one more argument."),
            arg.value.span,
            "say which one it is",
        )
        .help(format!("It takes {list}. Write `NAME: value`."));
        self.push(user, d);
    }

    fn unknown_argument(
        &mut self,
        names: &[&str],
        label: crate::syntax::tree::Ident,
        callee: Name,
        user: ScopeId,
    ) {
        let list = names.join(", ");
        let mut d = Diagnostic::error(
            "unknown-argument",
            format!("`{callee}` takes no `{}`.", label.name),
            label.span,
            "not one of its parameters",
        );
        if let Some(near) = nearest(label.name.as_str(), names.iter().copied()) {
            d = d.help(format!("Did you mean `{near}`?")).edit(label.span, near);
        }
        let module = self.scopes[user.0 as usize].module;
        let what = label.name.as_str();
        let is_box = self
            .program
            .find_def(module, callee)
            .is_some_and(|(_, def)| def.kind == crate::syntax::tree::Kind::Box);
        if is_box {
            d = d.help(format!(
                "What a type does not offer is added in braces after the use: `{callee}(…) {{ box {what} = … }}`."
            ));
        }
        self.push(user, d.note(format!("It takes {list}.")));
    }

    /// Says which parameters have neither argument nor default.
    pub(super) fn check_missing(
        &mut self,
        def: &'p Def,
        args: &[Option<Source<'p>>],
        span: Span,
        user: ScopeId,
    ) -> Res<()> {
        let missing: Vec<&Param> = def
            .params
            .iter()
            .zip(args)
            .filter(|(p, a)| a.is_none() && p.default.is_none() && !matches!(p.ty.kind, TypeKind::OrNone(_)))
            .map(|(p, _)| p)
            .collect();
        if missing.is_empty() {
            return Ok(());
        }
        let names: Vec<String> = missing.iter().map(|p| format!("`{}`", p.name.name)).collect();
        let mut d = Diagnostic::error(
            "missing-argument",
            format!("`{}` needs {}.", def.name.name, names.join(" and ")),
            span,
            format!("give {}", names.join(" and ")),
        );
        for p in &missing {
            d = d.label(p.span, "needed here");
        }
        let example = missing.iter().map(|p| format!("{}: …", p.name.name)).collect::<Vec<_>>().join(", ");
        Err(self.say(user, d.help(format!("Write `{}({example})`.", def.name.name))))
    }

    /// Enters the parameters of a definition in its scope, each with its argument or default.
    pub(super) fn enter_params(&mut self, def: &'p Def, args: &[Option<Source<'p>>], scope: ScopeId) {
        for (param, arg) in def.params.iter().zip(args) {
            let slot = match arg {
                Some(Source::Expr(e, user)) => self.slot(Work::Param(param, Some((e, *user)), scope)),
                Some(Source::Value(value, e, user)) => {
                    let slot = self.given(value.clone());
                    self.slots[slot.0 as usize].work = Work::Element(e, *user, None);
                    slot
                }
                None => self.slot(Work::Param(param, None, scope)),
            };
            self.enter(scope, param.name, slot, Reach::Public);
        }
    }

    /// The value of a parameter, of its declared type.
    pub(super) fn param(
        &mut self,
        param: &'p Param,
        arg: Option<(&'p Expr, ScopeId)>,
        own: ScopeId,
    ) -> Res<Value<'p>> {
        let (expr, scope) = match (arg, &param.default) {
            (Some(given), _) => given,
            (None, Some(default)) => (default, own),
            (None, None) => return Ok(Value::None),
        };
        if super::types::is_named(&param.ty, "length") {
            if let Some(width) = self.share_of_row(param, own)? {
                return Ok(Value::mm(width));
            }
        }
        self.eval_as(expr, scope, &param.ty, Some((param.name.name, param.span)))
    }
}

//! The figures of a message, and where each comes from.

use super::{Asker, Found, Unknown};
use crate::diagnostics::Diagnostic;
use crate::evaluation::Cause;
use crate::evaluation::reasons::{OfCut, OfHole, Pick, StepId, figure};
use crate::evaluation::{ScopeId, Value};
use crate::geometry::Axis;
use crate::job::Origin;
use crate::syntax::tree::{Expr, ExprKind};

/// How many figures of one message are told.
const MOST_TOLD: usize = 12;

impl<'p> Asker<'_, '_, 'p> {
    /// The message that `what` asks for: `message 2`, a code, or a code and its number; none where it names
    /// no message.
    pub fn message_asked<'d>(&self, what: &str, all: &'d [Diagnostic]) -> Option<&'d Diagnostic> {
        let words: Vec<&str> = what.split_whitespace().collect();
        let (name, n) = match words[..] {
            ["message"] => ("message", 1),
            [name] => (name, 1),
            [name, n] => (name, n.parse::<usize>().ok()?),
            _ => return None,
        };
        let named =
            |d: &&Diagnostic| name == "message" || d.code == name || d.code.rsplit('.').next() == Some(name);
        all.iter().filter(named).nth(n.checked_sub(1)?)
    }

    /// The figures of a message as steps.
    pub fn of_message(&mut self, d: &Diagnostic) -> Found {
        let causes = self.causes_of(d);
        let mut steps: Vec<StepId> = Vec::new();
        for cause in causes {
            match cause {
                Cause::Expr(e, scope) => self.of_expression(e, scope, &mut steps),
                Cause::Part(part) => steps.extend(self.graph.ends_of_part(part)),
                Cause::Count(list, scope) => {
                    let name = format!("count of {}", self.graph.written_as(list));
                    steps.push(self.graph.expression(list, scope, &[Pick::Count], name));
                }
                Cause::Row(row) => steps.push(self.graph.left_of_row(row)),
            }
        }
        if steps.is_empty() {
            for origin in d.origins.iter().take(4) {
                self.of_origin(Origin(*origin), &mut steps);
            }
        }
        let mut seen: Vec<(String, Option<crate::values::Rational>)> = Vec::new();
        let graph = &self.graph;
        steps.retain(|s| {
            let key = (graph.steps[*s].name.clone(), graph.exact(*s));
            let new = key.1.is_some() && !seen.contains(&key);
            seen.push(key);
            new
        });
        steps.truncate(MOST_TOLD);
        let about = format!("{}: {}", d.code, d.message);
        if steps.is_empty() {
            return Err(Unknown {
                message: format!("the message `{}` is made from no figure", d.code),
                near: None,
                known: Vec::new(),
            });
        }
        Ok((about, steps))
    }

    fn causes_of(&mut self, d: &Diagnostic) -> Vec<Cause<'p>> {
        let all = &self.graph.evaluation().causes;
        let here = all.iter().find(|c| {
            c.code == d.code
                && c.span == d.span()
                && (d.boxes.is_empty() || c.boxes.iter().any(|b| d.boxes.contains(b)))
        });
        here.map(|c| c.causes.clone()).unwrap_or_default()
    }

    fn of_expression(&mut self, e: &'p Expr, scope: ScopeId, steps: &mut Vec<StepId>) {
        let graph = &mut self.graph;
        let name = graph.written_as(e);
        match graph.value(e, scope) {
            Some(value) if figure(&value).is_some() => {
                steps.push(graph.expression(e, scope, &[], name));
            }
            Some(Value::Range(_)) => {
                for (pick, word) in [(Pick::Low, "start"), (Pick::High, "end")] {
                    let name = if name.contains(' ') {
                        format!("{word} of {name}")
                    } else {
                        format!("{name}.{word}")
                    };
                    steps.push(graph.expression(e, scope, &[pick], name));
                }
            }
            Some(Value::List(list)) if list.len() <= 4 => {
                for (i, one) in list.iter().enumerate() {
                    let name = match name.contains(' ') {
                        true => format!("number {} of {name}", i + 1),
                        false => format!("{name}[{}]", i + 1),
                    };
                    let Value::List(inner) = one else {
                        steps.push(graph.expression(e, scope, &[Pick::Item(i)], name));
                        continue;
                    };
                    for j in 0..inner.len() {
                        let path = [Pick::Item(i), Pick::Item(j)];
                        let name = match name.contains(' ') {
                            true => format!("figure {} of {name}", j + 1),
                            false => format!("{name}[{}]", j + 1),
                        };
                        steps.push(graph.expression(e, scope, &path, name));
                    }
                }
            }
            Some(Value::Flag(_)) => match &e.kind {
                ExprKind::Binary(_, a, b) => {
                    self.of_expression(a, scope, steps);
                    self.of_expression(b, scope, steps);
                }
                ExprKind::Not(a) => self.of_expression(a, scope, steps),
                _ => {}
            },
            // It failed: its ends may be known all the same.
            None | Some(Value::None) => match &e.kind {
                ExprKind::Range(..) | ExprKind::After(..) | ExprKind::Before(..) => {
                    steps.extend(graph.ends_of_failed(e, scope, &name));
                }
                ExprKind::Binary(_, a, b) => {
                    self.of_expression(a, scope, steps);
                    self.of_expression(b, scope, steps);
                }
                ExprKind::Call(call) => {
                    for arg in &call.args {
                        self.of_expression(&arg.value, scope, steps);
                    }
                }
                _ => {}
            },
            Some(_) => {}
        }
    }

    /// The figures behind a place in the job.
    fn of_origin(&mut self, origin: Origin, steps: &mut Vec<StepId>) {
        let origins = self.origins;
        if let Some(part) = origins.part_of(origin) {
            return steps.extend(self.graph.ends_of_part(part));
        }
        if let Some(b) = origins.box_of(origin) {
            return steps.extend(Axis::ALL.iter().filter_map(|a| self.graph.size_of_box(b, *a)));
        }
        if let Some((part, axis)) = origins.range_of(origin) {
            return steps.extend(self.graph.ends_of_range(part, axis));
        }
        let Some(index) = origins.record_of(origin) else { return };
        match origins.kind_of(origin) {
            "hole" => {
                for axis in Axis::ALL {
                    let word = crate::geometry::Face::of(axis, false).word();
                    steps.extend(self.graph.hole(index, OfHole::At(axis), format!("hole from the {word}")));
                }
                steps.extend(self.graph.hole(index, OfHole::Dia, "hole dia".to_string()));
                steps.extend(self.graph.hole(index, OfHole::Depth, "hole depth".to_string()));
            }
            "cut" => {
                for axis in Axis::ALL {
                    for (high, word) in [(false, "from"), (true, "to")] {
                        let edge = crate::geometry::Face::of(axis, false).word();
                        let name = format!("cut {word}, from the {edge}");
                        steps.extend(self.graph.cut(index, OfCut::End(axis, high), name));
                    }
                }
            }
            "bevel" => {
                steps.extend(self.graph.bevel(index, true, "bevel rise".to_string()));
                steps.extend(self.graph.bevel(index, false, "bevel run".to_string()));
            }
            "move" => steps.extend(self.graph.travel(index)),
            _ => steps.extend(self.graph.arguments_of_verb(origins.verb_of(origin), index)),
        }
    }
}

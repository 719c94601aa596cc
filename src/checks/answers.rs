//! `accept(CODE, because: …)`: answers to warnings.

use crate::diagnostics::{Diagnostic, Severity};
use crate::evaluation::Evaluation;

/// Marks the warnings that are answered, and warns of answers to nothing.
pub fn answer(diagnostics: &mut Vec<Diagnostic>, e: &Evaluation<'_>) {
    let mut unused = Vec::new();
    for accept in &e.records.accepts {
        let mut used = false;
        for d in diagnostics.iter_mut() {
            let code = d.code.as_ref();
            let named = code == accept.code || code.rsplit('.').next() == Some(accept.code.as_str());
            if !named || d.severity == Severity::Error {
                continue;
            }
            let below = match accept.owner {
                None => true,
                Some(b) => {
                    let path = e.boxes[b.0 as usize].path.as_str();
                    !d.boxes.is_empty()
                        && d.boxes.iter().all(|at| {
                            at == path || at.strip_prefix(path).is_some_and(|rest| rest.starts_with('.'))
                        })
                }
            };
            if below {
                used = true;
                d.accepted.get_or_insert_with(|| accept.because.clone());
            }
        }
        let is_error = diagnostics.iter().any(|d| {
            d.severity == Severity::Error
                && (d.code == accept.code || d.code.rsplit('.').next() == Some(accept.code.as_str()))
        });
        if is_error && !used {
            unused.push(
                Diagnostic::error(
                    "accepted-error",
                    format!("`{}` is an error, and an error cannot be accepted.", accept.code),
                    accept.span,
                    "answers an error",
                )
                .help("Mend the design and remove this line."),
            );
        } else if !used {
            unused.push(
                Diagnostic::warning(
                    "accept-unused",
                    format!("Nothing warns of `{}` here.", accept.code),
                    accept.span,
                    "answers nothing",
                )
                .help("Remove this line, or check the code's spelling."),
            );
        }
    }
    diagnostics.extend(unused);
}

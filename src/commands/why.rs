//! `aumbry why`: where a figure comes from.

use super::Failure;
use super::cli::WhyForm;
use super::compile::finish;
use super::run::{DESIGN_HAS_ERRORS, FINE, Pages, Session, open, stdout_width, to_stdout};
use crate::checks::estimates::why_estimate;
use crate::diagnostics::{Diagnostic, gather};
use crate::evaluation::{self, Evaluation, Program};
use crate::job::{Answer, Asker, Job, KeptMarks, QUESTION, Telling, Unknown};
use crate::outputs;
use crate::sources::{Files, Sources};
use crate::syntax::tree::{Expr, File, StmtKind};
use std::path::Path;

/// What came of some questions.
pub struct Asked {
    pub sources: Sources,
    pub diagnostics: Vec<Diagnostic>,
    pub job: Job,
    /// One for each question.
    pub answers: Vec<Result<Answer, Unknown>>,
    /// What could be asked, by example.
    pub examples: Vec<(String, &'static str)>,
}

/// Answers questions about the design in `root`, all over one evaluation of it.
pub fn why(
    files: &dyn Files,
    root: &str,
    marks: Option<&KeptMarks>,
    questions: &[&str],
    telling: Telling,
) -> Asked {
    let (mut program, mut diagnostics) = evaluation::load(files, root);
    // What is asked may be an expression of the language.
    let trees: Vec<Option<File>> = questions.iter().map(|q| read(&mut program, q)).collect();
    let (job, answers, examples) = {
        let mut e = Evaluation::new(&program);
        e.run_root();
        diagnostics.append(&mut e.diagnostics);
        let (job, origins) = finish(&mut e, &mut diagnostics, marks);
        let found = gather(std::mem::take(&mut diagnostics));
        let mut asker = Asker::new(&job, &origins, &mut e);
        let answers = questions
            .iter()
            .zip(&trees)
            .map(|(q, tree)| {
                if let Some(d) = asker.message_asked(q, &found) {
                    let (about, steps) = asker.of_message(d)?;
                    return Ok(asker.told(about, &steps, telling));
                }
                match why_estimate(&mut asker, q, telling) {
                    Some(answer) => answer,
                    None => asker.answer(q, tree.as_ref().and_then(asked_for), telling),
                }
            })
            .collect();
        diagnostics = found;
        let examples = asker.examples();
        (job, answers, examples)
    };
    Asked { sources: program.sources, diagnostics, job, answers, examples }
}

/// A question read as an expression of the language, where it is one.
fn read(program: &mut Program, question: &str) -> Option<File> {
    let text = format!("aumbry 1\nlet asked = {question}\n");
    let file = program.sources.add(QUESTION, &text, false);
    let (tree, messages) = crate::syntax::parse(&program.sources, file);
    (messages.is_empty() && tree.items.len() == 1).then_some(tree)
}

fn asked_for(tree: &File) -> Option<&Expr> {
    match &tree.items.first()?.kind {
        StmtKind::Let(l) => Some(&l.value),
        _ => None,
    }
}

/// Carries out `aumbry why FILE WHAT`.
pub(super) fn run(
    session: &Session,
    file: &Path,
    what: &[String],
    form: WhyForm,
    library: bool,
) -> Result<u8, Failure> {
    let (folder, name) = open(file)?;
    let what = what.join(" ");
    let questions = if what.trim().is_empty() { Vec::new() } else { vec![what.as_str()] };
    let asked = why(&folder, &name, session.marks.as_ref(), &questions, Telling { library });
    let mut pages = Pages::new(session.messages);
    pages.add(&asked.sources, &asked.diagnostics);
    let code = if pages.tally.errors > 0 { DESIGN_HAS_ERRORS } else { FINE };
    pages.finish(false);
    let Some(answer) = asked.answers.first() else {
        to_stdout(&examples(&asked.examples))?;
        return Ok(code);
    };
    match answer {
        Ok(answer) => {
            to_stdout(&match form {
                WhyForm::Text => outputs::why::text(answer, stdout_width()),
                WhyForm::Json => outputs::why::json(&what, answer),
            })?;
            Ok(code)
        }
        Err(unknown) => Err(refusal(unknown)),
    }
}

fn refusal(unknown: &Unknown) -> Failure {
    let mut failure = Failure::usage(unknown.message.clone());
    failure.code = "unknown-figure";
    if let Some(near) = &unknown.near {
        failure = failure.help(format!("did you mean `{near}`?"));
    }
    if !unknown.known.is_empty() {
        failure = failure.help(format!("there is: {}", unknown.known.join(", ")));
    }
    failure.help("`aumbry why FILE` alone lists what can be asked")
}

fn examples(list: &[(String, &'static str)]) -> String {
    let mut out = "What can be asked, by example:\n\n".to_string();
    let width = list.iter().map(|(what, _)| what.len()).max().unwrap_or(0);
    for (what, words) in list {
        out.push_str(&format!("  {what:width$}  {words}\n"));
    }
    out
}

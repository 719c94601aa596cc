//! `fix`: the numbers whose change makes a design compile, and putting one of them into its file.

use super::compile::{Mended, check, mended};
use super::run::{DESIGN_HAS_ERRORS, FINE, Pages, open, to_stderr, to_stdout};
use super::writing;
use super::{Failure, cli::FixForm, cli::Messages};
use crate::checks::Offer;
use crate::diagnostics::{Diagnostic, Edit, visible};
use crate::outputs::json;
use crate::outputs::words::count;
use crate::sources::{Sources, Span};
use serde::Serialize;
use std::path::Path;

/// Offers, or with `apply` puts the offer of that number into the text.
pub(super) fn run(
    messages: Messages,
    file: &Path,
    form: FixForm,
    apply: Option<usize>,
) -> Result<u8, Failure> {
    let (folder, name) = open(file)?;
    let mut mended = mended(&folder, &name);
    let errors = mended.diagnostics.iter().filter(|d| d.is_error()).count();
    if let Some(number) = apply {
        return put(messages, file, form, &mended, errors, number);
    }
    offer_edits(&mut mended);
    if errors > 1 && messages == Messages::Human {
        to_stderr(&briefly(&mended, file));
    } else {
        let mut pages = Pages::new(messages);
        pages.add(&mended.sources, &mended.diagnostics);
        pages.finish(false);
    }
    to_stdout(&match form {
        FixForm::Text => text(file, &mended, errors),
        FixForm::Json => as_json(&mended, errors, None),
    })?;
    Ok(if errors > 0 { DESIGN_HAS_ERRORS } else { FINE })
}

/// The offers stand in the messages as well, for those who read these.
fn offer_edits(mended: &mut Mended) {
    for (i, o) in mended.found.offers.iter().enumerate() {
        let edit = Edit { span: o.span, text: o.new.clone(), offer: Some(i + 1) };
        let due = mended.diagnostics.iter_mut().enumerate().filter(|(_, d)| d.is_error());
        for (_, d) in due.filter(|(n, _)| o.error.is_none_or(|e| e == *n)) {
            d.edits.push(edit.clone());
        }
    }
}

/// `row-too-long: …`, the sentence of an error on one line.
fn headline(d: &Diagnostic) -> String {
    visible(&format!("{}: {}", d.code, d.message)).replace('\n', " ")
}

/// Several errors on one line each; `check` shows all of them.
fn briefly(mended: &Mended, file: &Path) -> String {
    let errors: Vec<&Diagnostic> = mended.diagnostics.iter().filter(|d| d.is_error()).collect();
    let mut out = String::new();
    for d in &errors {
        out.push_str(&format!("error: {}: {}\n", mended.sources.place(d.span()), headline(d)));
    }
    let file = visible(&file.display().to_string()).into_owned();
    out + &format!("{}; in full: aumbry check {file}\n\n", count(errors.len(), "error", "errors"))
}

/// Why a change is as large as it is, and where it is so large that another meaning is likely.
fn remarks(o: &Offer) -> String {
    let mut all = Vec::new();
    if !o.also.is_empty() {
        let codes: Vec<String> = o.also.iter().map(|c| format!("`{c}`")).collect();
        all.push(format!("also for {}", codes.join(", ")));
    }
    if o.is_far() {
        all.push("more than tenfold: look whether it is this figure".to_string());
    }
    if all.is_empty() { String::new() } else { format!("  ({})", all.join("; ")) }
}

/// The whole line a place stands in, without the blanks before it.
fn line(sources: &Sources, span: Span) -> String {
    let text = &sources.file(span.file).text;
    let start = text.get(..span.start as usize).and_then(|t| t.rfind('\n')).map_or(0, |at| at + 1);
    let line = text.get(start..).and_then(|t| t.lines().next()).unwrap_or("").trim();
    let short: String = line.chars().take(LONGEST).collect();
    let more = if short.len() < line.len() { " …" } else { "" };
    visible(&format!("{short}{more}")).into_owned()
}

/// Characters of a line that are shown.
const LONGEST: usize = 110;

/// The list for people.
fn text(file: &Path, mended: &Mended, errors: usize) -> String {
    if errors == 0 {
        return "nothing to fix\n".to_string();
    }
    let (found, sources) = (&mended.found, &mended.sources);
    let mut out = String::new();
    let mut of = None;
    for (i, o) in found.offers.iter().enumerate() {
        if errors > 1 && of != Some(o.error) {
            of = Some(o.error);
            match o.error.and_then(|e| mended.diagnostics.get(e)) {
                Some(d) => out.push_str(&format!("for {}\n\n", headline(d))),
                None => out.push_str(&format!("for all {errors} errors\n\n")),
            }
        }
        let name = o.name.as_ref().map(|n| format!("  `{n}`")).unwrap_or_default();
        let place = sources.place(o.span);
        let lead = format!("{}  ", i + 1);
        out.push_str(&format!("{lead}{place}{name}  {} -> {}{}\n", o.old, o.new, remarks(o)));
        out.push_str(&format!("{}{}\n\n", " ".repeat(lead.len()), line(sources, o.span)));
    }
    out.push_str(&conclusion(mended, errors));
    if !found.offers.is_empty() {
        out.push_str(&format!("apply one: aumbry fix {} --apply N\n", visible(&file.display().to_string())));
    }
    out
}

/// What was tried, and what that says.
fn conclusion(mended: &Mended, errors: usize) -> String {
    let found = &mended.found;
    let tried = count(found.tried, "figure", "figures");
    let mut out = String::new();
    let all = found.offers.iter().any(|o| o.error.is_none()) || errors == 1;
    match found.offers.len() {
        0 if found.tried == 0 => {
            out.push_str("no figure of your own text leads to this: mend it as the message says\n");
        }
        0 => out.push_str(&format!("no single figure would do: {tried} tried\n")),
        _ if all => out.push_str(&format!("{tried} tried; each of these alone makes the design compile\n")),
        _ => out.push_str(&format!(
            "{tried} tried; no single figure mends all {errors} errors: each of these mends the one above it\n"
        )),
    }
    if found.offers.is_empty() && !found.next.is_empty() {
        let next: Vec<&str> = found.next.iter().map(String::as_str).collect();
        out.push_str(&format!("where the fault went, others came: {}\n", next.join(", ")));
    }
    if found.facts > 0 {
        let facts = count(found.facts, "measured figure", "measured figures");
        out.push_str(&format!("left alone: {facts}\n"));
    }
    if found.stopped {
        out.push_str("the search stopped at its bound on work; there may be more\n");
    }
    out
}

/// Puts one offer into its file and says what is left.
fn put(
    messages: Messages,
    file: &Path,
    form: FixForm,
    mended: &Mended,
    errors: usize,
    number: usize,
) -> Result<u8, Failure> {
    let offers = &mended.found.offers;
    let Some(offer) = number.checked_sub(1).and_then(|i| offers.get(i)) else {
        return Err(match (errors, offers.len()) {
            (0, _) => Failure::usage("there is nothing to fix, so nothing to apply"),
            (_, 0) => Failure::usage("no single figure would do, so there is nothing to apply"),
            (_, 1) => Failure::usage(format!("there is one offer, and no number {number}")),
            (_, n) => Failure::usage(format!("there are {n} offers, and no number {number}")),
        }
        .help(format!("`aumbry fix {}` lists them", file.display())));
    };
    let source = mended.sources.file(offer.span.file);
    let root = match file.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    };
    let path = root.join(&source.name);
    let mut changed = source.text.to_string();
    changed.replace_range(offer.span.start as usize..offer.span.end as usize, &offer.new);
    writing::replace(&path, &source.text, &changed)?;
    let (folder, name) = open(file)?;
    let after = check(&folder, &name);
    let left = after.diagnostics.iter().filter(|d| d.is_error()).count();
    let mut pages = Pages::new(messages);
    pages.add(&after.sources, &after.diagnostics);
    pages.finish(false);
    match form {
        FixForm::Json => to_stdout(&as_json(mended, errors, Some((number, left))))?,
        FixForm::Text => {
            let place = mended.sources.place(offer.span);
            let done = format!("{place}: {} is now {}\n", offer.old, offer.new);
            let rest = match left {
                0 => "the design compiles\n".to_string(),
                n => format!("{} left\n", count(n, "error is", "errors are")),
            };
            to_stdout(&(done + &rest))?
        }
    };
    Ok(if left > 0 { DESIGN_HAS_ERRORS } else { FINE })
}

#[derive(Serialize)]
struct FixJson {
    format: &'static str,
    errors: usize,
    /// Numbers of the text that were tried.
    tried: usize,
    /// Numbers behind the faults that are measured or bought, and were left as they are.
    measured: usize,
    /// The bound on work ended the search.
    stopped: bool,
    offers: Vec<OfferJson>,
    #[serde(skip_serializing_if = "Option::is_none")]
    applied: Option<AppliedJson>,
}

#[derive(Serialize)]
struct OfferJson {
    number: usize,
    /// The code of the error it mends; null where it mends all of several.
    code: Option<String>,
    /// True where the design compiles with it.
    compiles: bool,
    name: Option<String>,
    file: String,
    line: usize,
    column: usize,
    bytes: [u32; 2],
    old: String,
    new: String,
    /// Codes of the faults that the figure one step nearer would bring.
    also: Vec<String>,
    /// The change is more than tenfold.
    far: bool,
}

#[derive(Serialize)]
struct AppliedJson {
    number: usize,
    /// Errors that are left.
    errors: usize,
}

fn as_json(mended: &Mended, errors: usize, applied: Option<(usize, usize)>) -> String {
    let offer = |(i, o): (usize, &Offer)| {
        let file = mended.sources.file(o.span.file);
        let (line, column) = file.line_column(o.span.start);
        let code = o.error.and_then(|e| mended.diagnostics.get(e)).map(|d| d.code.to_string());
        OfferJson {
            number: i + 1,
            code,
            compiles: o.error.is_none() || errors == 1,
            name: o.name.clone(),
            file: file.name.clone(),
            line,
            column,
            bytes: [o.span.start, o.span.end],
            old: o.old.clone(),
            new: o.new.clone(),
            also: o.also.iter().cloned().collect(),
            far: o.is_far(),
        }
    };
    json::text(&FixJson {
        format: "aumbry-fix/1",
        errors,
        tried: mended.found.tried,
        measured: mended.found.facts,
        stopped: mended.found.stopped,
        offers: mended.found.offers.iter().enumerate().map(offer).collect(),
        applied: applied.map(|(number, errors)| AppliedJson { number, errors }),
    })
}

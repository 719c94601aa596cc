//! Figures that messages offer (`136mm instead of 30mm would do`), on the failing example of every page:
//! the one number changed to the figure makes the design compile, and one step short of it does not. The
//! same for up to five variants of each example, in which that number is wrong by other amounts.

use aumbry::commands::compile;
use aumbry::diagnostics::{Diagnostic, Edit};
use aumbry::sources::MemoryFiles;
use aumbry::values::{Quantity, Rational, decimal};

const ROOT: &str = "page.aum";
const VARIANTS: usize = 5;

fn messages(text: &str) -> Vec<Diagnostic> {
    compile(&MemoryFiles::new().with(ROOT, text), ROOT, None).diagnostics
}

fn errors(text: &str) -> Vec<String> {
    messages(text).into_iter().filter(|d| d.is_error()).map(|d| d.code.to_string()).collect()
}

/// The failing block of a page.
fn failing(page: &str) -> Option<&str> {
    let start = page.find("```aumbry fails\n")? + "```aumbry fails\n".len();
    let end = page[start..].find("```")?;
    Some(&page[start..start + end])
}

/// A number with a unit (`30mm`, `3/4in`, `4`), as value and unit.
fn number(text: &str) -> Option<(Rational, String)> {
    let at = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let (figure, unit) = text.split_at(at);
    let mut value = Rational::ZERO;
    for piece in figure.split(' ') {
        let piece = match piece.split_once('/') {
            Some((a, b)) => Rational::parse_decimal(a)?.div(Rational::parse_decimal(b)?)?.ok()?,
            None => Rational::parse_decimal(piece)?,
        };
        value = value.add(piece).ok()?;
    }
    Quantity::written(value, unit)?.ok()?;
    Some((value, unit.to_string()))
}

fn replaced(text: &str, edit: &Edit, by: &str) -> String {
    let mut out = text.to_string();
    out.replace_range(edit.span.start as usize..edit.span.end as usize, by);
    out
}

/// Every edit of an error that puts one number for another.
fn offers(text: &str) -> Vec<(String, Edit)> {
    let mut found = Vec::new();
    for d in messages(text).into_iter().filter(|d| d.is_error()) {
        for edit in &d.edits {
            let old = &text[edit.span.start as usize..edit.span.end as usize];
            if number(old).is_some() && number(&edit.text).is_some() {
                found.push((d.code.to_string(), edit.clone()));
            }
        }
    }
    found
}

/// Checks one offer; gives the written number, the figure and the unit of the figure.
fn check(page: &str, text: &str, code: &str, edit: &Edit) {
    let old = &text[edit.span.start as usize..edit.span.end as usize];
    let (figure, unit) = number(&edit.text).unwrap();
    let left: Vec<String> = errors(&replaced(text, edit, &edit.text));
    assert!(!left.contains(&code.to_string()), "{page}: {} for {old} leaves {left:?}", edit.text);
    let was = Quantity::written(number(old).unwrap().0, &number(old).unwrap().1).unwrap().unwrap();
    let is = Quantity::written(figure, &unit).unwrap().unwrap();
    let step = match unit.as_str() {
        "in" => Rational::ratio(1, 16),
        _ => Rational::ONE,
    };
    let short = if is.value > was.value { figure.sub(step) } else { figure.add(step) }.unwrap();
    let short_mm = Quantity::written(short, &unit).unwrap().unwrap().value;
    // A step short of the figure lies between the wrong number and it, else the wrong number is that near.
    let beyond = (short_mm >= was.value) != (is.value > was.value) && short_mm != was.value;
    if beyond || short.is_negative() || unit == "in" {
        return;
    }
    let found = errors(&replaced(text, edit, &format!("{}{unit}", decimal(short, 3))));
    assert!(!found.is_empty(), "{page}: one step short of {} for {old} compiles as well", edit.text);
}

#[test]
fn every_figure_offered_compiles_and_one_step_less_does_not() {
    // The stack that the command line gives the compiler.
    let run = std::thread::Builder::new().stack_size(256 << 20).spawn(all_pages).unwrap();
    run.join().unwrap();
}

fn all_pages() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/errors");
    let (mut figures, mut variants) = (0, 0);
    let mut pages: Vec<_> = std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    pages.sort();
    for path in pages {
        let page = path.file_stem().unwrap().to_str().unwrap().to_string();
        let content = std::fs::read_to_string(&path).unwrap();
        let Some(text) = failing(&content) else { continue };
        for (code, edit) in offers(text) {
            check(&page, text, &code, &edit);
            figures += 1;
            let old = &text[edit.span.start as usize..edit.span.end as usize];
            let (value, unit) = number(old).unwrap();
            let mut tried = 0;
            for by in [1, 2, 3, 5, 7, -1, -2, -3, -5, -7] {
                let other = value.add(Rational::int(by)).unwrap();
                if tried == VARIANTS || other.is_negative() || unit == "in" {
                    continue;
                }
                let written = format!("{}{unit}", decimal(other, 3));
                let variant = replaced(text, &edit, &written);
                let again: Vec<_> = offers(&variant)
                    .into_iter()
                    .filter(|(c, e)| *c == code && e.span.start == edit.span.start)
                    .collect();
                for (code, edit) in again {
                    check(&page, &variant, &code, &edit);
                    tried += 1;
                }
            }
            println!("{page}: {old} -> {} ({tried} variants)", edit.text);
            variants += tried;
        }
    }
    println!("{figures} figures, {variants} variants");
    assert!(figures >= 20, "only {figures} figures were offered");
    assert!(variants >= 3 * figures, "only {variants} variants for {figures} figures");
}

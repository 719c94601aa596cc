//! `aumbry doc`: the definitions of a file or of the library as a folder of pages.

mod instances;

use super::Failure;
use super::explain::library_described;
use super::run::{DESIGN_HAS_ERRORS, FINE, Pages, Session, open, to_stderr};
use super::writing::{self, OutFile};
use crate::diagnostics::nearest;
use crate::evaluation::{self, library};
use crate::job::described::{Described, Shown, add_tests, describe, tests};
use crate::outputs::doc::{self, Book};
use crate::outputs::words::count;
use crate::sources::{Files, MemoryFiles, Sources};
use crate::syntax;
use instances::Bench;
use std::path::Path;

/// Writes the pages of a file, of a module of the library, or of the whole library.
pub(super) fn run(session: &Session, what: &Path, out: &Path) -> Result<u8, Failure> {
    let word = what.to_str().unwrap_or("");
    let is_library = word == LIBRARY || word.starts_with("std.") && !word.ends_with(".aum");
    let book = if is_library {
        of_library(word)?
    } else {
        match of_file(session, what)? {
            Some(book) => book,
            None => return Ok(DESIGN_HAS_ERRORS),
        }
    };
    if book.files.iter().all(|f| f.definitions.is_empty() && f.house.is_empty()) {
        let why = format!("`{}` defines nothing, so there is nothing to describe", what.display());
        let help = "a definition starts with `def`; `aumbry doc std` describes the library";
        return Err(Failure::usage(why).help(help));
    }
    let pages = doc::pages(&book);
    let number = pages.len();
    writing::folder(out, is_ours, |take| {
        pages.into_iter().try_for_each(|p| take(OutFile { path: p.path, text: p.text }))
    })?;
    to_stderr(&format!(
        "wrote {} to {}; open {}\n",
        count(number, "file", "files"),
        out.display(),
        out.join("index.html").display()
    ));
    Ok(FINE)
}

/// The word for the whole library.
const LIBRARY: &str = "std";

fn is_ours(path: &str) -> bool {
    !path.contains('/') && (path.ends_with(".html") || path == doc::STYLE_FILE)
}

fn of_library(word: &str) -> Result<Book, Failure> {
    let names: Vec<&str> = library::modules().collect();
    if word != LIBRARY && !names.contains(&word) {
        let mut failure = Failure::usage(format!("there is no library `{word}`"));
        if let Some(near) = nearest(word, names.iter().copied()) {
            failure = failure.help(format!("did you mean `{near}`?"));
        }
        return Err(failure.help(format!("the libraries: {}; `std` is all of them", names.join(", "))));
    }
    let mut all = library_described();
    let beside = library::tests();
    let mut sources = Sources::new();
    for (name, text) in &beside {
        let file = sources.add(name, text, true);
        let (tree, _) = syntax::parse(&sources, file);
        add_tests(&mut all, &tests(&sources, &tree, &format!("tests/language/{name}")));
    }
    let mut shown = Shown::default();
    let chosen = |name: &str| word == LIBRARY || name == word;
    let text_of = |name: &str| {
        let root = format!("{}.aum", name.trim_start_matches("std."));
        let files = MemoryFiles::new().with(&root, library::text(name).unwrap_or(""));
        (root, files)
    };
    // `std.house` is always read beside the root file, so it is never the root; it defines nothing else.
    let roots = all.iter().filter(|d| d.name != library::HOUSE);
    let (own, others): (Vec<&Described>, Vec<&Described>) = roots.partition(|d| chosen(&d.name));
    for described in &own {
        let (root, files) = text_of(&described.name);
        let bench = Bench { files: &files, root: &root, name: &described.name };
        bench.worth(described, &mut shown);
        bench.tests(&mut shown, &|r| r.module == described.name);
        bench.defaults(described, &mut shown);
    }
    for (name, text) in &beside {
        let files = MemoryFiles::new().with(name, text);
        let bench = Bench { files: &files, root: name, name: &format!("tests/language/{name}") };
        bench.tests(&mut shown, &|r| chosen(&r.module));
    }
    // What no test of its own makes may stand in a box of another module.
    for described in own.iter().chain(&others) {
        if missing(&own, &shown) {
            let (root, files) = text_of(&described.name);
            let bench = Bench { files: &files, root: &root, name: &described.name };
            bench.tests(&mut shown, &|r| chosen(&r.module));
        }
    }
    let title = if word == LIBRARY { "The library of Aumbry".to_string() } else { word.to_string() };
    let files: Vec<Described> = all.iter().filter(|d| chosen(&d.name)).cloned().collect();
    Ok(Book { title, files, others: all, shown, codes: word == LIBRARY })
}

/// True where some box, joint or fitting has nothing to show.
fn missing(files: &[&Described], shown: &Shown) -> bool {
    files.iter().any(|f| {
        f.definitions.iter().any(|d| {
            let of = crate::job::described::Reference { module: f.name.clone(), name: d.name.clone() };
            matches!(d.kind, "box" | "joint" | "fitting")
                && !shown.instances.contains_key(&of)
                && !shown.faults.contains_key(&of)
        })
    })
}

/// The pages of a file; nothing where it has errors, which have been told.
fn of_file(session: &Session, file: &Path) -> Result<Option<Book>, Failure> {
    let compiled = session.compile(file)?;
    let mut told = Pages::new(session.messages);
    told.add(&compiled.sources, &compiled.diagnostics);
    let sound = told.tally.errors == 0;
    told.finish(false);
    if !sound {
        return Ok(None);
    }
    let (folder, root) = open(file)?;
    let (program, _) = evaluation::load(&folder, &root);
    let own: Vec<Described> = program
        .modules
        .iter()
        .filter(|m| !m.library)
        .map(|m| describe(&program.sources, &m.tree, &m.path, &m.prefix))
        .collect();
    let mut shown = Shown::default();
    let files: &dyn Files = &folder;
    for described in &own {
        let bench = Bench { files, root: &described.name, name: &described.name };
        bench.worth(described, &mut shown);
        bench.tests(&mut shown, &|r| r.module == described.name);
    }
    Bench { files, root: &root, name: &root }.own(&mut shown);
    for described in &own {
        Bench { files, root: &described.name, name: &described.name }.defaults(described, &mut shown);
    }
    let mut others = own.clone();
    others.extend(library_described());
    Ok(Some(Book { title: root, files: own, others, shown, codes: false }))
}

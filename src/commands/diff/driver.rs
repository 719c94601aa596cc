//! `aumbry diff --git`: what git runs for each changed file, where a design is set up to be shown by it.

use super::git::{self, GitFiles, Tree};
use super::side::{self, Design, Made};
use super::{Asked, Failure, Session};
use crate::commands::cli::DiffForm;
use crate::commands::run::{self, FINE, to_stdout};
use crate::commands::{Look, human};
use crate::job::Job;
use crate::outputs::revisions::{self, Compared, Pair};
use crate::revisions::{Options, compare};
use crate::sources::{DiskFiles, Files, ReadFault};
use std::path::Path;

/// The file that stands for one that is not there.
const NOTHING: &str = "/dev/null";

/// One side as git hands it over.
struct Handed {
    /// Its text, in a file of git's own or in the working tree; none where it is not there.
    text: Option<String>,
    /// The name of its contents, where git knows it.
    blob: String,
}

/// Shows one file's change; git expects the status 0 whatever there is to show.
pub fn run(session: &Session, asked: &Asked) -> Result<u8, Failure> {
    let words: Vec<String> = asked.words.iter().map(|w| w.to_string_lossy().into_owned()).collect();
    let (path, old, new) = match &words[..] {
        // A file that is not merged yet.
        [path] => return said(&format!("{path} is not merged yet\n")),
        [path, old, old_blob, _, new, new_blob, _, ..] => {
            (path, Handed::read(old, old_blob)?, Handed::read(new, new_blob)?)
        }
        _ => {
            return Err(Failure::usage(
                "--git is what git runs: path, old file, its name and mode, new file, its name and mode",
            )
            .help("set it up by `git config diff.aumbry.command \"aumbry diff --git\"`"));
        }
    };
    let new_path = words.get(7).unwrap_or(path);
    let mut head = format!("{path}: {} → {}\n", old.short(), new.short());
    if new_path != path {
        head = format!("{path} → {new_path}: {} → {}\n", old.short(), new.short());
    }
    let a = old.made(session, path)?;
    let b = new.made(session, new_path)?;
    let text = match (a, b) {
        (Side::Job(a, read), Side::Job(b, _)) => {
            if a.parts.is_empty() && b.parts.is_empty() {
                return said(&format!(
                    "{head}It builds no box itself; compare the designs that bring it in.\n"
                ));
            }
            let comparison = compare(&a, &b, &Options { cut: None, tolerance: Some(super::tolerance(&b)) });
            let style = b.house.style();
            let pair = Pair { name: path.clone(), old: old.short(), new: new.short(), style, comparison };
            let compared = Compared {
                old: path.clone(),
                new: new_path.clone(),
                pairs: vec![pair],
                ..Compared::default()
            };
            let shown = match asked.form {
                DiffForm::Json => return to_stdout(&revisions::json(&compared)),
                DiffForm::Md => revisions::markdown(&compared),
                _ => revisions::table(&compared, run::PAGE),
            };
            format!("{}{shown}", read.map(|r| format!("{r}\n")).unwrap_or_default())
        }
        (Side::Missing, Side::Job(job, _)) => format!("A new design: {}.\n", revisions::summary(&job)),
        (Side::Job(job, _), Side::Missing) => format!("The design is gone: {}.\n", revisions::summary(&job)),
        (a, b) => [("old", a), ("new", b)].into_iter().filter_map(|(which, s)| s.failed(which)).collect(),
    };
    said(&format!("{head}{text}"))
}

fn said(text: &str) -> Result<u8, Failure> {
    to_stdout(text).map(|_| FINE)
}

/// A side worked out.
enum Side {
    Missing,
    /// With where the files it brings in were read from, if it brings in any.
    Job(Box<Job>, Option<String>),
    Failed(String),
}

impl Side {
    fn failed(self, which: &str) -> Option<String> {
        match self {
            Side::Failed(text) => {
                Some(format!("The {which} revision does not compile, so parts cannot be compared:\n{text}"))
            }
            _ => None,
        }
    }
}

impl Handed {
    fn read(file: &str, blob: &str) -> Result<Handed, Failure> {
        let text = match file {
            NOTHING => None,
            file => Some(
                std::fs::read(file)
                    .map_err(|e| run::plain_kind(&e))
                    .and_then(|b| String::from_utf8(b).map_err(|_| "it is not UTF-8 text".to_string()))
                    .map_err(|why| Failure::new("not-read", format!("`{file}` could not be read: {why}")))?,
            ),
        };
        Ok(Handed { text, blob: blob.to_string() })
    }

    /// `a1b2c3d`, or what it is where git has no name for it.
    fn short(&self) -> String {
        match &self.text {
            None => "nothing".to_string(),
            Some(_) if self.blob.chars().all(|c| matches!(c, '0' | '.')) => "working tree".to_string(),
            Some(_) => self.blob.chars().take(7).collect(),
        }
    }

    fn made(&self, session: &Session, path: &str) -> Result<Side, Failure> {
        let Some(text) = &self.text else { return Ok(Side::Missing) };
        let (folder, root) = path.rsplit_once('/').unwrap_or(("", path));
        let (beside, words) = self.beside(path, folder);
        let brings_in = !side::uses(root, text).is_empty();
        let files = Handing { root: root.to_string(), text: text.clone(), beside };
        match Design::among(Box::new(files), root, path.to_string()).make(session.marks.as_ref())? {
            Made::Job(job) => {
                let read = brings_in
                    .then(|| format!("The files that {} brings in are read from {words}.", self.short()));
                Ok(Side::Job(job, read))
            }
            Made::Failed(compiled) => {
                let errors: Vec<_> = compiled.diagnostics.iter().filter(|d| d.is_error()).cloned().collect();
                Ok(Side::Failed(human(&compiled.sources, &errors, Look::plain())))
            }
        }
    }

    /// Where the files are that it brings in: the revision that holds it, as far as that can be known.
    fn beside(&self, path: &str, folder: &str) -> (Box<dyn Files + Send + Sync>, &'static str) {
        let places = [("HEAD", "HEAD"), ("", "what is staged"), ("HEAD~1", "HEAD~1")];
        for (revision, words) in places {
            let Ok(tree) = Tree::of(revision) else { continue };
            let holds = tree
                .blob(path)
                .ok()
                .flatten()
                .is_some_and(|b| !self.blob.is_empty() && b.starts_with(self.blob.trim_end_matches('.')));
            if holds {
                return (Box::new(GitFiles { tree, folder: folder.to_string() }), words);
            }
        }
        // Git runs its driver at the top of the working tree.
        let top = git::top().unwrap_or_default();
        (Box::new(DiskFiles::new(&Path::new(&top).join(folder))), "the working tree")
    }
}

/// One text as git hands it over, and the files beside it.
struct Handing {
    root: String,
    text: String,
    beside: Box<dyn Files + Send + Sync>,
}

impl Files for Handing {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        if path == self.root { Ok(self.text.clone()) } else { self.beside.read(path) }
    }
}

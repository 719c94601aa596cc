//! The two sides of a comparison: what OLD and NEW name, and the designs found there.

use super::super::compile::{Compiled, compile};
use super::super::{Failure, run};
use super::git::{self, GitFiles, Kind, Tree};
use crate::job::{self, Job, KeptMarks};
use crate::sources::{DiskFiles, Files, ReadFault, Sources};
use crate::syntax::{
    self,
    tree::{StmtKind, UseFrom},
};
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

/// What is named on the command line, with the designs in it.
pub struct Side {
    /// As it was named.
    pub named: String,
    /// A folder, not one file.
    pub is_folder: bool,
    /// In the order of their names.
    pub designs: Vec<Design>,
}

/// A design that has not been worked out yet.
pub struct Design {
    /// From the folder that was named; of a file its own name.
    pub name: String,
    /// How messages name it: `HEAD~1:wall.aum`.
    pub shown: String,
    text: Text,
}

enum Text {
    /// A root file and the folder that all its files lie in.
    Source { files: Box<dyn Files + Send + Sync>, root: String },
    /// The text of a job.json.
    Job(String),
}

/// A design worked out.
pub enum Made {
    Job(Box<Job>),
    /// It does not compile.
    Failed(Box<Compiled>),
}

impl Design {
    /// Works it out. Messages name its files as the command line does.
    ///
    /// # Errors
    /// `not-a-job` where a job.json cannot be read.
    pub fn make(&self, marks: Option<&KeptMarks>) -> Result<Made, Failure> {
        match &self.text {
            Text::Job(text) => match job::read(text) {
                Ok(job) => Ok(Made::Job(Box::new(job))),
                Err(why) => {
                    Err(Failure::new("not-a-job", format!("`{}` could not be read: {why}", self.shown))
                        .help("`aumbry job FILE` and `aumbry build` write a job.json"))
                }
            },
            Text::Source { files, root } => {
                let mut compiled = compile(files.as_ref(), root, marks);
                match compiled.job.take() {
                    Some(job) => {
                        // Its texts and trees are not given back piece by piece.
                        std::mem::forget(compiled);
                        Ok(Made::Job(Box::new(job)))
                    }
                    None => {
                        let lead = self.shown.strip_suffix(root.as_str()).unwrap_or_default();
                        compiled.sources.lead(lead);
                        Ok(Made::Failed(Box::new(compiled)))
                    }
                }
            }
        }
    }

    /// A file on disk, by the folder and name it is read by.
    pub fn on_disk(path: &Path, shown: &str) -> Result<Design, Failure> {
        let (files, root) = run::open(path)?;
        let text = Text::Source { files: Box::new(files), root: root.clone() };
        Ok(Design { name: root, shown: shown.to_string(), text })
    }

    /// A root file among some files.
    pub fn among(files: Box<dyn Files + Send + Sync>, root: &str, shown: String) -> Design {
        Design { name: root.to_string(), shown, text: Text::Source { files, root: root.to_string() } }
    }
}

impl Side {
    /// Finds what a word of the command line names: a file or folder on disk, else `REV:PATH`.
    ///
    /// # Errors
    /// In words, where it names nothing, or a folder without designs.
    pub fn find(word: &Path) -> Result<Side, Failure> {
        let shown = word.display().to_string();
        // What is there on disk is meant, also where its name holds a colon.
        if let Ok(meta) = std::fs::metadata(word) {
            return if meta.is_dir() { on_disk(word, &shown) } else { file(word, &shown) };
        }
        match word.to_str().and_then(git::split) {
            Some((revision, path)) => in_revision(&shown, revision, path),
            None => {
                Err(Failure::new("not-read", format!("`{shown}` could not be read: there is no such file"))
                    .help(format!(
                        "a file of an earlier revision is written REV:FILE, `HEAD~1:{}`",
                        last(&shown)
                    )))
            }
        }
    }
}

fn last(path: &str) -> &str {
    path.rsplit(['/', '\\']).next().filter(|n| n.ends_with(".aum")).unwrap_or("wall.aum")
}

fn one(shown: &str, design: Design) -> Side {
    Side { named: shown.to_string(), is_folder: false, designs: vec![design] }
}

fn is_job(name: &str, text: &str) -> bool {
    Path::new(name).extension().is_some_and(|e| e.eq_ignore_ascii_case("json"))
        || text.trim_start().starts_with('{')
}

/// A file on disk.
fn file(path: &Path, shown: &str) -> Result<Side, Failure> {
    if std::fs::metadata(path).is_ok_and(|m| m.len() > MOST_JOB) {
        return Err(Failure::new(
            "not-read",
            format!("`{shown}` could not be read: it is larger than 1 GiB"),
        ));
    }
    let json = path.extension().is_some_and(|e| e.eq_ignore_ascii_case("json"));
    if !json {
        let (files, name) = run::open(path)?;
        let is_source = files.read(&name).is_ok_and(|text| !is_job(&name, &text));
        if is_source {
            return Ok(one(shown, Design::on_disk(path, shown)?));
        }
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    let text = job_text(path, shown)?;
    Ok(one(shown, Design { name, shown: shown.to_string(), text: Text::Job(text) }))
}

/// The most that is read of a job.json, in bytes.
const MOST_JOB: u64 = 1 << 30;

/// The text of a job.json, which may be larger than a design's text.
fn job_text(path: &Path, shown: &str) -> Result<String, Failure> {
    std::fs::read(path)
        .map_err(|e| run::plain_kind(&e))
        .and_then(|b| String::from_utf8(b).map_err(|_| "it is not UTF-8 text".to_string()))
        .map_err(|why| Failure::new("not-read", format!("`{shown}` could not be read: {why}")))
}

/// The designs of a folder on disk.
fn on_disk(folder: &Path, shown: &str) -> Result<Side, Failure> {
    let names = walk(folder).map_err(|(path, e)| {
        Failure::new("not-read", format!("`{}` could not be read: {}", path.display(), e.kind()))
    })?;
    let files =
        |below: &str| -> Box<dyn Files + Send + Sync> { Box::new(DiskFiles::new(&folder.join(below))) };
    let lead = format!("{}/", shown.trim_end_matches('/'));
    let job = |name: &str| job_text(&folder.join(name), &format!("{lead}{name}"));
    designs(shown, &lead, &names, &files, &job)
}

/// The files below a folder, with forward slashes, in order. Hidden folders are no part of a design, and
/// links to folders are not followed, for they may lead round.
fn walk(folder: &Path) -> Result<Vec<String>, (PathBuf, std::io::Error)> {
    let mut open = vec![(folder.to_path_buf(), String::new())];
    let mut found = Vec::new();
    while let Some((folder, lead)) = open.pop() {
        let entries = std::fs::read_dir(&folder).map_err(|e| (folder.clone(), e))?;
        for entry in entries {
            let entry = entry.map_err(|e| (folder.clone(), e))?;
            let Ok(name) = entry.file_name().into_string() else { continue };
            if name.starts_with('.') {
                continue;
            }
            let kind = entry.file_type().map_err(|e| (entry.path(), e))?;
            if kind.is_dir() {
                open.push((entry.path(), format!("{lead}{name}/")));
            } else {
                found.push(format!("{lead}{name}"));
            }
        }
    }
    found.sort();
    Ok(found)
}

/// What `REV:PATH` names.
fn in_revision(shown: &str, revision: &str, path: &str) -> Result<Side, Failure> {
    let tree = Tree::of(revision).map_err(|f| match f.code {
        // The word may just as well be a file that is not there.
        "no-repository" | "no-git" => f.help(format!("on disk there is no file `{shown}` either")),
        _ => f,
    })?;
    let top = git::from_top(path)?;
    match tree.kind(&top)? {
        Some(Kind::Folder) => {
            let lead =
                if path.is_empty() { shown.to_string() } else { format!("{}/", shown.trim_end_matches('/')) };
            let names = tree.list(&top)?;
            let files = |below: &str| -> Box<dyn Files + Send + Sync> {
                let folder = [top.as_str(), below.trim_end_matches('/')];
                let folder = folder.into_iter().filter(|f| !f.is_empty()).collect::<Vec<_>>().join("/");
                Box::new(GitFiles { tree: tree.clone(), folder })
            };
            let job = |name: &str| files("").read(name).map_err(|f| not_read(&format!("{lead}{name}"), &f));
            designs(shown, &lead, &names, &files, &job)
        }
        Some(Kind::File) => {
            let (folder, name) = top.rsplit_once('/').unwrap_or(("", &top));
            let files = GitFiles { tree, folder: folder.to_string() };
            let text = files.read(name).map_err(|f| not_read(shown, &f))?;
            if is_job(name, &text) {
                return Ok(one(
                    shown,
                    Design { name: name.to_string(), shown: shown.to_string(), text: Text::Job(text) },
                ));
            }
            Ok(one(shown, Design::among(Box::new(files), name, shown.to_string())))
        }
        None => Err(not_there(shown, revision, &tree, &top)),
    }
}

fn not_read(shown: &str, fault: &ReadFault) -> Failure {
    Failure::new("not-read", format!("`{shown}` could not be read: {fault}"))
}

fn not_there(shown: &str, revision: &str, tree: &Tree, top: &str) -> Failure {
    let at =
        if revision.is_empty() { "what is staged".to_string() } else { format!("revision `{revision}`") };
    let failure =
        Failure::new("not-in-revision", format!("`{shown}` could not be read: there is no `{top}` in {at}"));
    let beside = git::prefix().map(|p| format!("{p}{top}"));
    match beside {
        Ok(beside) if beside != top && matches!(tree.kind(&beside), Ok(Some(_))) => failure.help(format!(
            "git counts paths from the top of the repository; write `{revision}:./{top}` for `{beside}`"
        )),
        _ => failure.help(format!("`git log --oneline --all -- {top}` lists the revisions that changed it")),
    }
}

/// The designs among some files: those that no other file brings in. `files` gives the files below a folder,
/// `job` the text of a job.json.
fn designs(
    shown: &str,
    lead: &str,
    names: &[String],
    files: &dyn Fn(&str) -> Box<dyn Files + Send + Sync>,
    job: &dyn Fn(&str) -> Result<String, Failure>,
) -> Result<Side, Failure> {
    let all = files("");
    let sources: Vec<&String> = names.iter().filter(|n| n.ends_with(".aum")).collect();
    let mut brought_in: BTreeSet<String> = BTreeSet::new();
    for name in &sources {
        let text = all.read(name).map_err(|f| not_read(&format!("{lead}{name}"), &f))?;
        brought_in.extend(uses(name, &text).into_iter().filter(|used| used != *name));
    }
    let mut roots: Vec<&String> = sources.iter().copied().filter(|n| !brought_in.contains(*n)).collect();
    if roots.is_empty() {
        // Files that bring each other in.
        roots.clone_from(&sources);
    }
    let mut designs: Vec<Design> = roots
        .into_iter()
        .map(|name| {
            let (folder, root) = name.rsplit_once('/').unwrap_or(("", name));
            let text = Text::Source { files: files(folder), root: root.to_string() };
            Design { name: name.clone(), shown: format!("{lead}{name}"), text }
        })
        .collect();
    if sources.is_empty() {
        // What `build` writes is a design as well.
        for name in names.iter().filter(|n| *n == "job.json" || n.ends_with("/job.json")) {
            let text = job(name)?;
            designs.push(Design {
                name: name.clone(),
                shown: format!("{lead}{name}"),
                text: Text::Job(text),
            });
        }
    }
    if designs.is_empty() {
        return Err(Failure::new(
            "no-design",
            format!(
                "the folder `{shown}` holds no design: no file in it ends in .aum, and none is a job.json"
            ),
        ));
    }
    Ok(Side { named: shown.to_string(), is_folder: true, designs })
}

/// The files of one's own that a text brings in, by their paths from the folder that `name` counts from.
pub fn uses(name: &str, text: &str) -> Vec<String> {
    let mut sources = Sources::new();
    let file = sources.add(name, text, false);
    let (tree, _) = syntax::parse(&sources, file);
    let folder: Vec<&str> = name.split('/').collect();
    let folder = folder.split_last().map_or(&[][..], |(_, f)| f);
    let paths = tree.items.iter().filter_map(|item| match &item.kind {
        StmtKind::Use(u) => match &u.from {
            UseFrom::Path(path, _) => Some(path),
            UseFrom::Library(..) => None,
        },
        _ => None,
    });
    paths
        .filter_map(|path| {
            let mut steps: Vec<&str> = folder.to_vec();
            for step in path.split(['/', '\\']) {
                match step {
                    "" | "." => {}
                    ".." => {
                        steps.pop()?;
                    }
                    step => steps.push(step),
                }
            }
            Some(steps.join("/"))
        })
        .collect()
}

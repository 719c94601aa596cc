//! `aumbry diff`: two revisions of a design, and what the change means in the shop.

mod driver;
mod git;
mod side;

use super::cli::DiffForm;
use super::run::{self, DESIGN_HAS_ERRORS, FINE, Pages, STACKS, Session, to_stdout};
use super::{Failure, writing};
use crate::job::{Job, Part};
use crate::outputs::revisions::{self, Compared, Pair};
use crate::revisions::{Options, compare, spoiled};
use crate::values::{Dimension, Mm, Quantity, Rational};
use side::{Design, Made, Side};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

/// What is asked on the command line.
pub(super) struct Asked<'a> {
    /// OLD and NEW, or what git hands its driver.
    pub words: &'a [PathBuf],
    pub form: DiffForm,
    pub out: Option<&'a Path>,
    pub cut: Option<&'a Path>,
    pub spoiled: Option<&'a str>,
    pub git: bool,
    /// Differences up to this are left as they are.
    pub within: Option<&'a str>,
}

/// Compares what is named; the status is 1 where the models differ.
///
/// # Errors
/// Where a side names nothing that can be read, or the words do not go together.
pub(super) fn run(session: &Session, asked: &Asked) -> Result<u8, Failure> {
    if (asked.form == DiffForm::Svg) != asked.out.is_some() {
        return Err(Failure::usage("--as svg and --out FOLDER go together: a file for each sheet"));
    }
    if asked.git {
        if asked.spoiled.is_some() || asked.form == DiffForm::Svg {
            return Err(Failure::usage("--git is for git itself and takes no --spoiled, and no --as svg"));
        }
        return driver::run(session, asked);
    }
    match (asked.words, asked.spoiled) {
        ([old, new], None) => between(session, asked, old, new),
        ([file], Some(path)) => spoil(session, asked, file, path),
        ([_, new], Some(path)) => spoil(session, asked, new, path),
        ([_], None) => Err(Failure::usage("two sides are compared: `aumbry diff OLD NEW`")
            .help("an earlier revision is written REV:FILE, `aumbry diff HEAD:wall.aum wall.aum`")),
        _ => Err(Failure::usage("two sides are compared, not more: `aumbry diff OLD NEW`")),
    }
}

fn between(session: &Session, asked: &Asked, old: &Path, new: &Path) -> Result<u8, Failure> {
    let (old, new) = (Side::find(old)?, Side::find(new)?);
    if old.is_folder != new.is_folder {
        let (folder, file) = if old.is_folder { (&old, &new) } else { (&new, &old) };
        return Err(Failure::usage(format!(
            "`{}` is a folder and `{}` is not: compare two folders or two designs",
            folder.named, file.named
        )));
    }
    let cut = asked.cut.map(Cut::read).transpose()?;
    let within = asked.within.map(length).transpose()?;
    let mut pages = Pages::new(session.messages);
    let mut compared = Compared { old: old.named.clone(), new: new.named.clone(), ..Compared::default() };
    let mut used = BTreeSet::new();
    // Jobs stay for the drawings.
    let mut jobs: Vec<(Job, Job)> = Vec::new();
    for (a, b) in matched(&old, &new, &mut compared) {
        let Some((a_job, b_job)) = both(session, &mut pages, a, b)? else { continue };
        if let Some(cut) = &cut {
            cut.fits(&a_job)?;
        }
        let options = Options {
            cut: cut.as_ref().map(|c| c.paths(&a_job, &mut used)),
            tolerance: Some(within.unwrap_or_else(|| tolerance(&b_job))),
        };
        let comparison = compare(&a_job, &b_job, &options);
        let (name, old, new) = (b.name.clone(), a.shown.clone(), b.shown.clone());
        compared.pairs.push(Pair { name, old, new, style: b_job.house.style(), comparison });
        jobs.push((a_job, b_job));
    }
    let broken = pages.tally.errors > 0;
    pages.finish(false);
    if broken {
        return Ok(DESIGN_HAS_ERRORS);
    }
    if let Some(cut) = &cut {
        cut.all_known(&used)?;
    }
    match asked.form {
        DiffForm::Svg => {
            if let Some(out) = asked.out {
                overlaid(&compared, &jobs, out)?;
            }
        }
        DiffForm::Json => drop(to_stdout(&revisions::json(&compared))?),
        DiffForm::Md => drop(to_stdout(&revisions::markdown(&compared))?),
        DiffForm::Table => drop(to_stdout(&revisions::table(&compared, run::stdout_width()))?),
    }
    let same = compared.is_same();
    // The process ends next; large jobs are not given back piece by piece.
    std::mem::forget((jobs, compared));
    Ok(if same { FINE } else { DESIGN_HAS_ERRORS })
}

/// Writes the sheets on which both revisions lie one over the other.
fn overlaid(compared: &Compared, jobs: &[(Job, Job)], out: &Path) -> Result<(), Failure> {
    let mut taken = BTreeSet::new();
    let ours = |path: &str| !path.contains('/') && path.ends_with(".svg");
    writing::folder(out, ours, |take| {
        for (pair, (old, new)) in compared.pairs.iter().zip(jobs) {
            let lead = if compared.pairs.len() > 1 { format!("{}-", pair.name) } else { String::new() };
            let names = [pair.old.as_str(), pair.new.as_str()];
            let mut done = Ok(());
            revisions::overlay::each(old, new, &pair.comparison, names, &mut |sheet| {
                if done.is_ok() {
                    let path = run::free_name(&format!("{lead}{}", sheet.name), &mut taken);
                    done = take(writing::OutFile { path: format!("{path}.svg"), text: sheet.svg });
                }
            });
            done?;
        }
        Ok(())
    })?;
    let sheets = crate::outputs::words::count(taken.len(), "sheet", "sheets");
    run::to_stderr(&format!("wrote {sheets} to {}\n", out.display()));
    Ok(())
}

/// Less than half a millimetre nobody trims off or drills again: common practice, no source.
fn tolerance(job: &Job) -> Mm {
    Mm(job.house.print.0.max(Rational::ratio(1, 2)))
}

/// A length as the language writes it: `0.2mm`, `1/64in`.
fn length(text: &str) -> Result<Mm, Failure> {
    let digits = text.find(|c: char| c.is_ascii_alphabetic()).unwrap_or(text.len());
    let (number, unit) = text.split_at(digits);
    let number = match number.split_once('/') {
        Some((a, b)) => Rational::parse_decimal(a.trim())
            .zip(Rational::parse_decimal(b.trim()))
            .and_then(|(a, b)| a.div(b)?.ok()),
        None => Rational::parse_decimal(number.trim()),
    };
    let value = number.and_then(|n| Quantity::written(n, unit)?.ok());
    match value.filter(|v| v.dimension == Dimension::LENGTH) {
        // A wider limit would take one hole for another and a shallow groove for none.
        Some(length) if length.value > Rational::ONE => {
            Err(Failure::usage(format!("`{}` is too wide a limit", crate::diagnostics::visible(text)))
                .help("at most 1mm, `--within 1mm` or `--within 1/32in`"))
        }
        Some(length) => Ok(Mm(length.value)),
        None => Err(Failure::usage(format!("`{}` is no length", crate::diagnostics::visible(text)))
            .help("write `--within 0.2mm` or `--within 1/64in`")),
    }
}

/// The designs of two sides by name. What stands on one side only is noted in `compared`.
fn matched<'s>(old: &'s Side, new: &'s Side, compared: &mut Compared) -> Vec<(&'s Design, &'s Design)> {
    if let ([a], [b]) = (&old.designs[..], &new.designs[..])
        && (!old.is_folder || a.name == b.name)
    {
        return vec![(a, b)];
    }
    let find = |side: &'s Side, name: &str| side.designs.iter().find(|d| d.name == name);
    let only = |one: &Side, other: &Side| -> Vec<String> {
        let gone = one.designs.iter().filter(|d| !other.designs.iter().any(|o| o.name == d.name));
        gone.map(|d| d.name.clone()).collect()
    };
    compared.only_old = only(old, new);
    compared.only_new = only(new, old);
    new.designs.iter().filter_map(|b| Some((find(old, &b.name)?, b))).collect()
}

/// Works out both sides at once; where one does not compile its messages are told.
fn both(session: &Session, pages: &mut Pages, a: &Design, b: &Design) -> Result<Option<(Job, Job)>, Failure> {
    let marks = session.marks.as_ref();
    let (old, new) = std::thread::scope(|scope| {
        let beside = STACKS.into_iter().find_map(|stack| {
            std::thread::Builder::new().stack_size(stack).spawn_scoped(scope, || a.make(marks)).ok()
        });
        let new = b.make(marks);
        let old = match beside.map(std::thread::ScopedJoinHandle::join) {
            Some(Ok(old)) => old,
            Some(Err(fault)) => std::panic::resume_unwind(fault),
            None => a.make(marks),
        };
        (old, new)
    });
    let told = |made: Made, pages: &mut Pages| match made {
        Made::Job(job) => Some(*job),
        Made::Failed(compiled) => {
            pages.add(&compiled.sources, &compiled.diagnostics);
            None
        }
    };
    let (old, new) = (told(old?, pages), told(new?, pages));
    Ok(old.zip(new))
}

/// What a spoiled part can still become.
fn spoil(session: &Session, asked: &Asked, file: &Path, path: &str) -> Result<u8, Failure> {
    if asked.form == DiffForm::Svg {
        return Err(Failure::usage("--spoiled gives words and figures: --as table, json or md"));
    }
    let side = Side::find(file)?;
    let [design] = &side.designs[..] else {
        return Err(Failure::usage(format!(
            "`{}` is a folder: name the design of the spoiled part",
            side.named
        )));
    };
    let mut pages = Pages::new(session.messages);
    let job = match design.make(session.marks.as_ref())? {
        Made::Job(job) => job,
        Made::Failed(compiled) => {
            pages.add(&compiled.sources, &compiled.diagnostics);
            pages.finish(false);
            return Ok(DESIGN_HAS_ERRORS);
        }
    };
    let cut = match asked.cut.map(Cut::read).transpose()? {
        Some(cut) => {
            let mut used = BTreeSet::new();
            let paths = cut.paths(&job, &mut used);
            cut.all_known(&used)?;
            paths
        }
        None => BTreeSet::new(),
    };
    let path = path_of(&job, path)?;
    let Some(found) = spoiled(&job, &path, &cut) else { return Err(no_part(&job, &path)) };
    let style = job.house.style();
    to_stdout(&match asked.form {
        DiffForm::Json => revisions::spoiled_json(&found),
        DiffForm::Md => revisions::spoiled_markdown(&found, style),
        _ => revisions::spoiled_table(&found, style, run::stdout_width()),
    })
}

/// The path of a part that is named by its path, or by its mark and, of several pieces, its number: `CL 2`.
fn path_of(job: &Job, word: &str) -> Result<String, Failure> {
    let word = word.trim();
    if job.parts.iter().any(|p| p.path == word) {
        return Ok(word.to_string());
    }
    let (mark, piece) = match word.rsplit_once([' ', '/']) {
        Some((mark, n)) => (mark.trim(), n.parse::<u32>().ok()),
        None => (word, None),
    };
    let all: Vec<_> = job.parts.iter().filter(|p| p.mark == mark).collect();
    let found = all.iter().find(|p| piece.is_none_or(|n| p.piece == n));
    found.map(|p| p.path.clone()).ok_or_else(|| no_part(job, word))
}

fn no_part(job: &Job, word: &str) -> Failure {
    let near = job
        .parts
        .iter()
        .map(|p| (strsim::damerau_levenshtein(&p.path, word), &p.path))
        .min()
        .filter(|(far, path)| *far * 2 <= path.chars().count());
    let failure = Failure::usage(format!("there is no part `{}`", crate::diagnostics::visible(word)));
    match near {
        Some((_, path)) => failure.help(format!("did you mean `{path}`?")),
        None => failure.help("`aumbry parts FILE` lists the marks; a part is named by its path or its mark"),
    }
}

/// A list of parts that are cut already.
struct Cut {
    named: String,
    /// Paths or marks, as they are written.
    words: Vec<String>,
    /// Where a whole job.json was given: that job.
    job: Option<Box<Job>>,
}

impl Cut {
    /// A job.json, of which every part counts as cut, or lines of paths and marks; `#` starts a remark.
    fn read(path: &Path) -> Result<Cut, Failure> {
        let named = path.display().to_string();
        let fail = |why: String| {
            Failure::new("cut-not-read", format!("`{named}` could not be read: {why}"))
                .help("--cut takes a job.json, or a text with a path or a mark on each line")
        };
        let text = std::fs::read(path)
            .map_err(|e| fail(run::plain_kind(&e)))
            .and_then(|b| String::from_utf8(b).map_err(|_| fail("it is not UTF-8 text".to_string())))?;
        let mut job = None;
        let words = if text.trim_start().starts_with('{') {
            job = crate::job::read(&text).ok().map(Box::new);
            #[derive(serde::Deserialize)]
            struct Listed {
                parts: Vec<Named>,
            }
            #[derive(serde::Deserialize)]
            struct Named {
                path: String,
            }
            let listed: Listed = serde_json::from_str(&text).map_err(|e| fail(e.to_string()))?;
            listed.parts.into_iter().map(|p| p.path).collect()
        } else {
            let plain = text.lines().map(|l| l.split('#').next().unwrap_or("").trim());
            plain.filter(|l| !l.is_empty()).map(str::to_string).collect()
        };
        Ok(Cut { named, words, job })
    }

    /// The parts of a job that are meant; words that name some are kept in `used`. A mark means all its pieces.
    fn paths(&self, job: &Job, used: &mut BTreeSet<String>) -> BTreeSet<String> {
        let mut paths = BTreeSet::new();
        for word in &self.words {
            let meant = |p: &&Part| {
                p.path == *word
                    || p.mark == *word
                    || word
                        .strip_prefix(&p.mark)
                        .is_some_and(|n| n.trim() == p.piece.to_string() && !n.is_empty())
            };
            let before = paths.len();
            paths.extend(job.parts.iter().filter(meant).map(|p| p.path.clone()));
            if paths.len() > before || job.parts.iter().any(|p| meant(&p)) {
                used.insert(word.clone());
            }
        }
        paths
    }

    /// Pieces that were cut to other sizes than OLD has are not its wood.
    fn fits(&self, old: &Job) -> Result<(), Failure> {
        let Some(job) = &self.job else { return Ok(()) };
        let sizes: BTreeMap<&str, &Part> = old.parts.iter().map(|p| (p.path.as_str(), p)).collect();
        for part in &job.parts {
            let Some(there) = sizes.get(part.path.as_str()) else { continue };
            let differ =
                |a: Mm, b: Mm| a.0.sub(b.0).and_then(Rational::abs).is_ok_and(|d| d > tolerance(old).0);
            if differ(part.length, there.length) || differ(part.width, there.width) {
                let style = old.house.style();
                let size = |p: &Part| format!("{} × {}", style.figure(p.length.0), style.length(p.width.0));
                return Err(Failure::new(
                    "cut-not-old",
                    format!(
                        "`{}` was cut as {} by `{}`, and is {} in the old revision",
                        part.path,
                        size(part),
                        self.named,
                        size(there)
                    ),
                )
                .help("compare with the revision that the parts were cut from"));
            }
        }
        Ok(())
    }

    /// Every word names a part of the old revision, or nobody knows what is cut.
    fn all_known(&self, used: &BTreeSet<String>) -> Result<(), Failure> {
        match self.words.iter().find(|w| !used.contains(*w)) {
            None => Ok(()),
            Some(word) => Err(Failure::new(
                "cut-not-known",
                format!(
                    "`{}` says that `{}` is cut, and there is no such part in the old revision",
                    self.named,
                    crate::diagnostics::visible(word)
                ),
            )
            .help("name it by its path or its mark there; `aumbry parts OLD` lists them")),
        }
    }
}

//! Uses of definitions to show on their pages: with default values, or out of the tests.

use super::super::compile::finish;
use crate::diagnostics::gather;
use crate::evaluation::{self, Evaluation, ModuleId, Program, TestCase, Trees};
use crate::job::Job;
use crate::job::described::{
    Definition, Described, How, Instance, Parameter, Reference, Shown, Sighting, sightings,
};
use crate::sources::{Files, ReadFault};
use crate::syntax::tree::{Expect, StmtKind, Test};
use std::rc::Rc;

/// One file among others reads otherwise.
struct With<'a> {
    files: &'a dyn Files,
    name: &'a str,
    text: String,
}

impl Files for With<'_> {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        if path == self.name { Ok(self.text.clone()) } else { self.files.read(path) }
    }
}

/// A file whose definitions are tried: where it stands, and what it is called on pages.
pub struct Bench<'a> {
    pub files: &'a dyn Files,
    /// Its path among the files.
    pub root: &'a str,
    /// What it is called: `std.boxes`, or the path itself.
    pub name: &'a str,
}

impl Bench<'_> {
    fn name_of(&self, program: &Program, id: ModuleId) -> String {
        if id.0 == 0 { self.name.to_string() } else { program.module(id).path.clone() }
    }

    /// The text with nothing but its definitions, `let`s, house and what it brings in; every line stays
    /// where it is.
    fn definitions(&self) -> String {
        let (program, _) = evaluation::load(self.files, self.root);
        let Some(module) = program.modules.first() else { return String::new() };
        let file = program.sources.file(module.tree.id);
        let mut text = file.text.as_bytes().to_vec();
        for item in &module.tree.items {
            let kept = matches!(
                item.kind,
                StmtKind::Use(_)
                    | StmtKind::House(_)
                    | StmtKind::HouseField(_)
                    | StmtKind::Def(_)
                    | StmtKind::Let(_)
            );
            if !kept && let Some(bytes) = text.get_mut(item.span.start as usize..item.span.end as usize) {
                bytes.iter_mut().filter(|b| **b != b'\n').for_each(|b| *b = b' ');
            }
        }
        String::from_utf8(text).unwrap_or_default()
    }

    /// Makes a box of every type that stands by itself: with its defaults alone, or with the figures that a
    /// test or the file gives for what must be given, or with the first sizes that do.
    pub fn defaults(&self, described: &Described, shown: &mut Shown) {
        let mut text = None;
        let mut trees = Trees::default();
        for d in described.definitions.iter().filter(|d| d.kind == "box") {
            let of = Reference { module: self.name.to_string(), name: d.name.clone() };
            let known = shown.instances.get(&of);
            let told = known.is_some();
            let tried = match given(d, known) {
                Some(given) => vec![given],
                None if known.is_none() => guesses(d),
                None => Vec::new(),
            };
            for given in tried {
                let text = text.get_or_insert_with(|| self.definitions());
                let made = format!("{text}\nbox {0} = {0}({1})\n", d.name, given.join(", "));
                match self.alone(&made, &of, &mut trees) {
                    Ok(Some((seen, job))) => {
                        let how = How::Defaults { tried: !told && !given.is_empty(), given };
                        shown.instances.insert(of, Instance { seen, how, job: Rc::new(job) });
                        break;
                    }
                    Err(fault) if given.is_empty() => {
                        shown.faults.insert(of.clone(), fault);
                    }
                    _ => {}
                }
            }
        }
    }

    /// The use of a type in a text of its own, or the first error.
    fn alone(
        &self,
        text: &str,
        of: &Reference,
        trees: &mut Trees,
    ) -> Result<Option<(Sighting, Job)>, String> {
        let with = With { files: self.files, name: self.root, text: text.to_string() };
        let (program, mut found) = evaluation::load_again(&with, self.root, trees);
        let mut e = Evaluation::new(&program);
        e.run_root();
        found.append(&mut e.diagnostics);
        let (job, _) = finish(&mut e, &mut found, None);
        if let Some(fault) = gather(found).iter().find(|d| d.is_error()) {
            return Err(fault.message.clone());
        }
        let all = sightings(&mut e, &|id| self.name_of(&program, id));
        Ok(all.into_iter().find(|s| s.of == *of).map(|seen| (seen, job)))
    }

    /// Works out the fields of boards, bands and items that are not just written.
    pub fn worth(&self, described: &Described, shown: &mut Shown) {
        let mut asked: Vec<(Reference, String)> = Vec::new();
        let mut text = self.definitions();
        for d in &described.definitions {
            let free = d.params.iter().all(|p| p.default.is_some() || p.optional);
            if !free || !matches!(d.kind, "board" | "band" | "item") {
                continue;
            }
            let of = Reference { module: self.name.to_string(), name: d.name.clone() };
            let worked = d.fields.iter().filter(|f| f.worked).map(|f| f.name.as_str());
            for field in worked.chain(d.params.iter().map(|p| p.name.as_str())) {
                text.push_str(&format!("\nlet worth_{} = {}.{field}\n", asked.len(), d.name));
                asked.push((of.clone(), field.to_string()));
            }
        }
        if asked.is_empty() {
            return;
        }
        let with = With { files: self.files, name: self.root, text };
        let (program, _) = evaluation::load(&with, self.root);
        let mut e = Evaluation::new(&program);
        e.run_root();
        let scope = e.file_scope(ModuleId(0));
        for (n, key) in asked.into_iter().enumerate() {
            let name = format!("worth_{n}");
            let entries = &e.scopes[scope.0 as usize].entries;
            let slot = entries.iter().find(|entry| entry.name.as_str() == name).map(|entry| entry.slot);
            if let Some(value) = slot.and_then(|s| e.force(s).ok()) {
                shown.worth.insert(key, e.words(&value));
            }
        }
    }

    /// The boxes of the file itself.
    pub fn own(&self, shown: &mut Shown) {
        let (program, mut found) = evaluation::load(self.files, self.root);
        let mut e = Evaluation::new(&program);
        e.run_root();
        found.append(&mut e.diagnostics);
        let (job, _) = finish(&mut e, &mut found, None);
        let all = sightings(&mut e, &|id| self.name_of(&program, id));
        keep(shown, all, &How::File { file: self.name.to_string() }, job, &|_| true);
    }

    /// Runs the tests of the file, each once at the middle of its loops, and keeps the first use of each
    /// definition that `wanted` names.
    pub fn tests(&self, shown: &mut Shown, wanted: &dyn Fn(&Reference) -> bool) {
        let (program, _) = evaluation::load(self.files, self.root);
        // What it does not bring in none of its tests can use.
        let mut defined = (0u32..).zip(&program.modules).flat_map(|(n, module)| {
            let home = self.name_of(&program, ModuleId(n));
            module.defs.keys().map(move |name| Reference { module: home.clone(), name: name.to_string() })
        });
        if !defined.any(|r| wanted(&r)) {
            return;
        }
        let (cases, _) = evaluation::test_cases(&program);
        let mut chosen: Vec<&TestCase<'_>> = Vec::new();
        for of in groups(&cases) {
            let Some(first) = of.first() else { continue };
            // A test of a fault makes nothing; one of a warning comes last.
            if expects(first.test).contains(&true) {
                continue;
            }
            let mut most = first.rounds();
            for rounds in of.iter().map(|c| c.rounds()) {
                most.iter_mut().zip(rounds).for_each(|(most, round)| *most = (*most).max(round));
            }
            let middle: Vec<usize> = most.iter().map(|m| m / 2).collect();
            chosen.extend(of.iter().find(|c| c.rounds() == middle).or(of.first()).copied());
        }
        chosen.sort_by_key(|case| !expects(case.test).is_empty());
        for case in chosen {
            let mut e = Evaluation::new(&program);
            let Some(scope) = e.run_test(case) else { continue };
            let mut found = std::mem::take(&mut e.diagnostics);
            let (job, _) = finish(&mut e, &mut found, None);
            let found = gather(found);
            if !e.unmet(case, scope, &found).is_empty() {
                continue;
            }
            let all = sightings(&mut e, &|id| self.name_of(&program, id));
            let line = case.test.body.span.map_or(0, |s| program.sources.file(s.file).line_column(s.start).0);
            let how = How::Test { file: self.name.to_string(), name: case.name.clone(), line };
            keep(shown, all, &how, job, wanted);
        }
    }
}

/// The arguments that make a box of a type with as many defaults as there can be; none where a parameter
/// must be given that is no figure or word, or whose figure nobody knows.
fn given(d: &Definition, known: Option<&Instance>) -> Option<Vec<String>> {
    let each = needed(d).map(|p| {
        let value = known?.seen.values.iter().find(|(name, _)| *name == p.name)?;
        sample(p, LENGTHS[0]).map(|_| format!("{}: {}", p.name, value.1))
    });
    each.collect()
}

fn needed(d: &Definition) -> impl Iterator<Item = &Parameter> {
    d.params.iter().filter(|p| p.default.is_none() && !p.optional)
}

/// Lengths to try, one after another, where nobody says any.
const LENGTHS: [&str; 6] = ["600mm", "400mm", "900mm", "300mm", "1200mm", "200mm"];

/// Arguments to try for what must be given.
fn guesses(d: &Definition) -> Vec<Vec<String>> {
    let of = |length: &&str| {
        let each = needed(d).map(|p| Some(format!("{}: {}", p.name, sample(p, length)?)));
        each.collect::<Option<Vec<String>>>()
    };
    LENGTHS.iter().filter_map(of).collect()
}

/// A value for a parameter, where it is a figure or a word.
fn sample(p: &Parameter, length: &str) -> Option<String> {
    let value = match p.ty.as_str() {
        "length" => length,
        "count" | "number" => "1",
        "mass" => "5kg",
        "flag" => "no",
        ty => ty.strip_prefix("choice of (")?.split([',', ')']).next()?,
    };
    Some(value.to_string())
}

/// The codes that a test expects: true for an error, false for a warning.
fn expects(test: &Test) -> Vec<bool> {
    let each = test.body.stmts.iter().filter_map(|s| match &s.kind {
        StmtKind::Expect(Expect::Error(..)) => Some(true),
        StmtKind::Expect(Expect::Warning(..)) => Some(false),
        _ => None,
    });
    each.collect()
}

/// The cases of each test, in the order of the text.
fn groups<'c, 'p>(cases: &'c [TestCase<'p>]) -> Vec<Vec<&'c TestCase<'p>>> {
    let mut groups: Vec<Vec<&TestCase<'p>>> = Vec::new();
    for case in cases {
        let same = |g: &&mut Vec<&TestCase<'p>>| g.first().is_some_and(|f| std::ptr::eq(f.test, case.test));
        match groups.iter_mut().find(same) {
            Some(group) => group.push(case),
            None => groups.push(vec![case]),
        }
    }
    groups
}

/// Keeps the first use of each definition; of a joint or fitting the one in the smallest box.
fn keep(shown: &mut Shown, all: Vec<Sighting>, how: &How, job: Job, wanted: &dyn Fn(&Reference) -> bool) {
    let job = Rc::new(job);
    for seen in all.into_iter().filter(|s| wanted(&s.of)) {
        let better = match shown.instances.get(&seen.of) {
            None => true,
            Some(known) => seen.joins && size(&seen, &job) < size(&known.seen, &known.job),
        };
        if better {
            let (of, how, job) = (seen.of.clone(), how.clone(), Rc::clone(&job));
            shown.instances.insert(of, Instance { seen, how, job });
        }
    }
}

/// How many parts stand in what would be drawn of a use.
fn size(seen: &Sighting, job: &Job) -> usize {
    let Some(around) = &seen.around else { return usize::MAX };
    let lead = format!("{around}.");
    match job.parts.iter().filter(|p| p.path.starts_with(&lead)).count() {
        0 => usize::MAX,
        count => count,
    }
}

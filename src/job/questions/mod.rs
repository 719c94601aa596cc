//! Figures asked for by their names, as outputs print them, and where each comes from.

mod holes;
mod items;
mod messages;
mod names;
mod parts;

use super::{Job, Origins};
use crate::diagnostics::nearest;
use crate::evaluation::reasons::{Graph, Reason, StepId, Telling, figure};
use crate::evaluation::{BoxId, Evaluation, Value};
use crate::geometry::Axis;
use crate::syntax::tree::Expr;
use names::{Words, after};
use std::collections::BTreeSet;

/// What was asked, and where each of its figures comes from.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Answer {
    /// The thing asked about, in full: `floor.clay.left (mark CL, 2 pieces)`.
    pub about: String,
    /// What else is to be said of these figures.
    pub note: Option<&'static str>,
    pub reasons: Vec<Reason>,
}

/// A name that no figure has.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Unknown {
    pub message: String,
    /// The nearest name, if one is near.
    pub near: Option<String>,
    /// What can be asked there.
    pub known: Vec<String>,
}

impl Unknown {
    fn figure(thing: &str, word: &str, known: &[&str]) -> Unknown {
        Unknown {
            message: format!("`{thing}` has no figure `{word}`"),
            near: nearest(word, known.iter().copied()).map(|n| format!("{thing} {n}")),
            known: known.iter().map(|k| (*k).to_string()).collect(),
        }
    }
}

/// Figures found, each as a step, and what they are of.
pub type Found = Result<(String, Vec<StepId>), Unknown>;

/// Answers questions about one design.
pub struct Asker<'a, 'e, 'p> {
    job: &'a Job,
    origins: &'a Origins,
    graph: Graph<'e, 'p>,
    /// How this question is told.
    telling: Telling,
}

impl<'a, 'e, 'p> Asker<'a, 'e, 'p> {
    /// For a job and the evaluation that it was built from.
    pub fn new(job: &'a Job, origins: &'a Origins, e: &'e mut Evaluation<'p>) -> Asker<'a, 'e, 'p> {
        Asker { job, origins, graph: Graph::of(e), telling: Telling::default() }
    }

    /// The job that is asked about.
    pub fn job(&self) -> &'a Job {
        self.job
    }

    /// The graph of figures, for those who add to it.
    pub fn graph(&mut self) -> &mut Graph<'e, 'p> {
        &mut self.graph
    }

    /// Where what `what` names comes from. `asked` is the same text read as an expression of the language,
    /// where it is one.
    pub fn answer(
        &mut self,
        what: &str,
        asked: Option<&'p Expr>,
        telling: Telling,
    ) -> Result<Answer, Unknown> {
        self.graph.next_question();
        self.telling = telling;
        let (about, steps) = self.find(what.trim(), asked)?;
        Ok(self.told(about, &steps, telling))
    }

    /// The trees of some steps as one answer: what was told once is only referred to later.
    pub fn told(&mut self, about: String, steps: &[StepId], telling: Telling) -> Answer {
        let mut told = BTreeSet::new();
        self.graph.ask(steps);
        let reasons = steps.iter().map(|s| self.graph.tell(*s, telling, &mut told)).collect();
        Answer { about, note: None, reasons }
    }

    /// The figures that the verb behind a place in the job was given.
    pub fn given_to(&mut self, origin: super::Origin, telling: Telling) -> Vec<Reason> {
        let verb = self.origins.verb_of(origin);
        let steps = match self.origins.record_of(origin) {
            Some(index) => self.graph.arguments_of_verb(verb, index),
            None => Vec::new(),
        };
        self.told(String::new(), &steps, telling).reasons
    }

    /// A figure that the board of a part states.
    pub fn of_board(&mut self, part: &str, word: &str, telling: Telling) -> Vec<Reason> {
        let index = self.job.parts.binary_search_by(|p| super::path_order(&p.path, part)).ok();
        let id = index.and_then(|i| self.origins.part_of(self.job.parts[i].origin));
        let step = id.and_then(|id| self.graph.board_figure(id, word));
        let steps: Vec<StepId> = step.into_iter().collect();
        self.told(String::new(), &steps, telling).reasons
    }

    fn find(&mut self, what: &str, asked: Option<&'p Expr>) -> Found {
        if let Some(found) = self.hole_id(what) {
            return found;
        }
        if let Some(found) = self.bought(what) {
            return found;
        }
        // A name that is as long as can be, then a figure of what it names.
        let mut refused = None;
        for (head, rest) in names::splits(what) {
            let found = match self.thing(head) {
                Some(Thing::Part(i)) => self.of_part(i, &Words::of(rest)),
                Some(Thing::Box(b)) => self.of_box(b, head, rest),
                None => continue,
            };
            match found {
                Ok(found) => return Ok(found),
                Err(unknown) => {
                    refused.get_or_insert(unknown);
                }
            }
        }
        if let Some(found) = asked.and_then(|e| self.expression(e, what)) {
            return Ok(found);
        }
        Err(refused.unwrap_or_else(|| self.nothing(what)))
    }

    /// The part or box of a path, or the first part of a mark.
    fn thing(&self, name: &str) -> Option<Thing> {
        if let Ok(i) = self.job.parts.binary_search_by(|p| super::path_order(&p.path, name)) {
            return Some(Thing::Part(i));
        }
        if let Some(b) = self.box_of(name) {
            return Some(Thing::Box(b));
        }
        let mark = self.job.parts.iter().position(|p| p.mark == name && p.piece == 1);
        mark.map(Thing::Part)
    }

    /// A box, wall, row or obstacle by its path.
    fn box_of(&self, name: &str) -> Option<BoxId> {
        let entry = self.job.boxes.iter().find(|b| b.path == name).map(|b| b.origin);
        let wall = || self.job.walls.iter().find(|w| w.path == name).map(|w| w.origin);
        let obstacle = || {
            let all = self.job.walls.iter().flat_map(|w| &w.obstacles);
            all.clone().find(|o| o.path == name).map(|o| o.origin)
        };
        if let Some(origin) = entry.or_else(wall).or_else(obstacle) {
            return self.origins.box_of(origin);
        }
        self.job.rows.iter().any(|r| r.path == name).then(|| self.graph.row_called(name)).flatten()
    }

    fn of_box(&mut self, b: BoxId, path: &str, rest: &str) -> Found {
        let words = Words::of(rest);
        let graph = &mut self.graph;
        let about = path.to_string();
        let size = |word: &str| match word {
            "width" => Some(Axis::X),
            "height" => Some(Axis::Y),
            "depth" => Some(Axis::Z),
            _ => None,
        };
        if words.is_empty() {
            let mut steps: Vec<StepId> = Axis::ALL.iter().filter_map(|a| graph.size_of_box(b, *a)).collect();
            for name in graph.figures_of(b) {
                if size(name).is_none() {
                    steps.extend(graph.named(b, name));
                }
            }
            let mut seen = BTreeSet::new();
            steps.retain(|s| seen.insert(*s));
            return Ok((about, steps));
        }
        if let Some(step) = words.axis_end().and_then(|(axis, high)| {
            let end = if high { "end" } else { "start" };
            let name = format!("{path}.{}.{end}", names::axis(axis));
            graph.box_place(b, axis, high, name)
        }) {
            return Ok((about, vec![step]));
        }
        let row = self.job.rows.iter().any(|r| r.path == path);
        match words.text().as_str() {
            "travel" | "moves by" | "opens" | "opens by" => {
                return self.moves(path).ok_or_else(|| Unknown::figure(path, "travel", &["place"]));
            }
            "load" => {
                if let Some(found) = self.load_on(path) {
                    return Ok(found);
                }
            }
            "share" | "unit" | "one share" if row && !graph.row_has_shares(b) => {
                return Err(Unknown {
                    message: format!(
                        "no share in row `{path}`: all its boxes and gaps have widths of their own"
                    ),
                    near: Some(format!("{path} right end")),
                    known: ["left end", "right end", "place", "width"].map(str::to_string).to_vec(),
                });
            }
            "share" | "unit" | "one share" if row => return Ok((about, vec![graph.share_of_row(b)])),
            "left end" | "right end" if row => {
                let right = words.text().starts_with('r');
                return Ok((about, vec![graph.end_of_row(b, right)]));
            }
            "place" => {
                let mut steps = Vec::new();
                for axis in Axis::ALL {
                    for (high, end) in [(false, "start"), (true, "end")] {
                        let name = format!("{path}.{}.{end}", names::axis(axis));
                        steps.extend(graph.box_place(b, axis, high, name));
                    }
                }
                return Ok((about, steps));
            }
            _ => {}
        }
        let graph = &mut self.graph;
        let word = after(rest);
        if let Some(step) = graph.named(b, word) {
            return Ok((about, vec![step]));
        }
        if let Some(step) = size(word).and_then(|a| graph.size_of_box(b, a)) {
            return Ok((about, vec![step]));
        }
        let mut known = graph.figures_of(b);
        let start = format!("{path}.");
        let inside = self.job.parts.iter().map(|p| p.path.as_str());
        let inside = inside.chain(self.job.boxes.iter().map(|b| b.path.as_str()));
        let inside: Vec<&str> = inside.filter_map(|p| p.strip_prefix(&start)).collect();
        let near = nearest(word, inside.iter().copied()).map(|n| format!("{path}.{n}"));
        known.extend(["width", "height", "depth", "place", "weight"]);
        if row {
            known.extend(["share", "left end", "right end"]);
        }
        known.sort_unstable();
        known.dedup();
        let mut unknown = Unknown::figure(path, word, &known);
        unknown.near = near.or(unknown.near);
        Err(unknown)
    }

    /// How far a part or box slides or swings.
    fn moves(&mut self, path: &str) -> Option<(String, Vec<StepId>)> {
        use super::Move;
        let origin = self.job.moves.iter().find_map(|m| match m {
            Move::Slides { thing, guide, .. } | Move::Swings { thing, guide, .. } => {
                (thing == path).then_some(guide.origin)
            }
        })?;
        let index = self.origins.record_of(origin)?;
        Some((path.to_string(), vec![self.graph.travel(index)?]))
    }

    /// The load that a thing is stated to bear.
    fn load_on(&mut self, path: &str) -> Option<(String, Vec<StepId>)> {
        let origins: Vec<_> = self.job.loads.iter().filter(|l| l.thing == path).map(|l| l.origin).collect();
        let mut steps = Vec::new();
        for origin in origins {
            let index = self.origins.record_of(origin)?;
            steps.extend(self.graph.arguments_of_verb("carries", index));
        }
        (!steps.is_empty()).then(|| (path.to_string(), steps))
    }

    /// An expression of the language, read in the root file.
    fn expression(&mut self, e: &'p Expr, what: &str) -> Option<(String, Vec<StepId>)> {
        let graph = &mut self.graph;
        let scope = graph.root_scope();
        let value = graph.value(e, scope)?;
        let name = what.split_whitespace().collect::<Vec<_>>().join(" ");
        use crate::evaluation::reasons::Pick;
        let steps = match &value {
            value if figure(value).is_some() => vec![graph.expression(e, scope, &[], name.clone())],
            Value::Range(_) => [(Pick::Low, "start"), (Pick::High, "end"), (Pick::Size, "size")]
                .map(|(pick, word)| graph.expression(e, scope, &[pick], format!("{name}.{word}")))
                .to_vec(),
            Value::List(list) if !list.is_empty() && list.iter().all(|v| figure(v).is_some()) => (0..list
                .len())
                .map(|i| graph.expression(e, scope, &[Pick::Item(i)], format!("{name}[{}]", i + 1)))
                .collect(),
            Value::Space(space) => graph.sizes_of_space(*space),
            Value::Thing(_) => {
                let words = graph.figures_of_thing(&value);
                words.into_iter().filter_map(|w| graph.of_thing(&value, w)).collect()
            }
            Value::Flag(_) | Value::Word(..) => vec![graph.expression(e, scope, &[], name.clone())],
            Value::Box(b) => {
                let path = graph.path_of(*b);
                return self.of_box(*b, &path, "").ok();
            }
            _ => return None,
        };
        (!steps.is_empty()).then_some((name, steps))
    }

    fn nothing(&self, what: &str) -> Unknown {
        let names = self.all_names();
        let what = names::without_count(what);
        let head = what.split_whitespace().next().unwrap_or(what);
        let near = nearest(what, names.iter().map(String::as_str))
            .or_else(|| nearest(head, names.iter().map(String::as_str)))
            .map(str::to_string)
            .or_else(|| self.path_ending_in(head));
        // The last name may be the one that is wrong: what stands beside it.
        let known = match head.rsplit_once('.') {
            Some((before, _)) => {
                let start = format!("{before}.");
                names.iter().filter(|n| n.starts_with(&start)).take(24).cloned().collect()
            }
            None => Vec::new(),
        };
        Unknown { message: format!("nothing here is called `{what}`"), near, known }
    }

    /// The first path whose last name, without its number, is this.
    fn path_ending_in(&self, name: &str) -> Option<String> {
        let boxes = self.job.boxes.iter().map(|b| &b.path);
        let mut paths = boxes.chain(self.job.parts.iter().map(|p| &p.path));
        let last = |path: &str| {
            let last = super::path_names(path).last().map(|n| super::name_and_index(n).0.to_string());
            last.is_some_and(|l| l == name)
        };
        paths.find(|p| last(p)).cloned()
    }

    /// Paths of parts and boxes, marks and items.
    fn all_names(&self) -> Vec<String> {
        let mut names: Vec<String> = self.job.parts.iter().map(|p| p.path.clone()).collect();
        names.extend(self.job.boxes.iter().map(|b| b.path.clone()));
        names.extend(self.job.rows.iter().map(|r| r.path.clone()));
        names.extend(self.job.walls.iter().map(|w| w.path.clone()));
        names.extend(self.job.same.iter().map(|s| s.mark.clone()));
        names.extend(self.job.items.iter().map(|i| i.name.clone()));
        names
    }

    /// What can be asked of this design, by example.
    pub fn examples(&self) -> Vec<(String, &'static str)> {
        let mut list = Vec::new();
        let job = self.job;
        if let Some(part) = job.parts.iter().find(|p| !p.bands.is_empty()).or(job.parts.first()) {
            list.push((part.path.clone(), "all figures of a part"));
            list.push((format!("{} cut width", part.path), "one of them"));
            list.push((format!("{} length", part.mark), "by the mark on the wood"));
            list.push((format!("{} quantity", part.mark), "how many pieces"));
            list.push((format!("{}.x.start", part.path), "where it lies"));
        }
        if let Some(part) = job.parts.iter().find(|p| !p.holes.is_empty()) {
            if let Some(hole) = part.holes.first() {
                list.push((hole.id.clone(), "a hole: place, diameter, depth"));
            }
            list.push((format!("{} hole 1 depth", part.mark), "a hole by its number on the map"));
        }
        if let Some(part) = job.parts.iter().find(|p| !p.cuts.is_empty()) {
            list.push((format!("{} cut 1", part.mark), "a groove, housing, rebate, notch or slot"));
        }
        if let Some(b) = job.boxes.first() {
            list.push((b.path.clone(), "sizes and parameters of a box"));
            list.push((format!("{} weight", b.path), "an estimate"));
        }
        if let Some(row) = job.rows.first() {
            list.push((format!("{} share", row.path), "one share of a row"));
        }
        if let Some(item) = job.items.first() {
            list.push((format!("count of {}", item.name), "how many of what is bought"));
        }
        if let Some(b) = job.boxes.first() {
            list.push((format!("{}.width - 20mm", b.path), "any expression of the language"));
        }
        list
    }
}

/// What a name can be of.
enum Thing {
    /// Its number in the job.
    Part(usize),
    Box(BoxId),
}

//! Figures that mend: for an error, the least change of one number in the text that makes the whole design
//! compile. Candidates are the numbers that the graph reaches behind the fault; how its shortfall moves with
//! each says where to look, and compiling proves it.

mod facts;
mod figure;
mod search;

pub use facts::Facts;

use crate::diagnostics::{Diagnostic, Edit, Label};
use crate::sources::{FileId, Sources, Span};
use crate::values::Rational;
use figure::Figure;
use search::{Came, Seek};
use std::collections::{BTreeMap, BTreeSet};

/// How many errors get figures in a plain check; the rest is mended on the next run.
const MOST_ERRORS: usize = 3;
/// How many numbers are tried for one error there.
const MOST_LITERALS: usize = 10;
/// How many figures one message offers.
const MOST_OFFERS: usize = 3;
/// How many numbers one message may have tried without any shortfall to go by.
const MOST_GALLOPS: usize = 10;

/// Compiles the design with one stretch of text replaced; nothing where no more may be tried.
pub type Again<'a> = dyn FnMut(Span, &str) -> Option<Vec<Diagnostic>> + 'a;

/// What the search reads.
pub struct Design<'a> {
    pub sources: &'a Sources,
    pub facts: &'a Facts,
    /// The house's whole step, in mm.
    pub step: Rational,
}

/// One figure that would do.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Offer {
    /// The error it mends, as an index; nothing where it mends all of several.
    pub error: Option<usize>,
    pub span: Span,
    /// What the figure is called, where it has a name.
    pub name: Option<String>,
    pub old: String,
    pub new: String,
    /// The figure one step nearer to the written one, which does not do; nothing where that is the written one.
    pub nearer: Option<String>,
    /// Codes of the faults that the figure one step nearer would bring, where it mends this one: why it is no nearer.
    pub also: BTreeSet<String>,
    /// The change as a portion of the written figure, where that is not nought.
    pub relative: Option<Rational>,
    tenfold: bool,
    /// It stands in the statement at fault.
    near: bool,
}

impl Offer {
    /// The change is more than tenfold, up or down.
    pub fn is_far(&self) -> bool {
        self.tenfold
    }
}

/// What a search has come to.
#[derive(Clone, PartialEq, Eq, Debug, Default)]
pub struct Found {
    /// Least relative change first.
    pub offers: Vec<Offer>,
    /// How many numbers of the text were tried.
    pub tried: usize,
    /// How often the design was compiled.
    pub compiled: usize,
    /// How many numbers behind the faults are measured or bought and were left as they are.
    pub facts: usize,
    /// The bound on work ended the search.
    pub stopped: bool,
    /// Codes of faults that came in place of one that was mended.
    pub next: BTreeSet<String>,
}

/// Adds to errors what one number would have to be, at most three for each and with little work.
pub fn mend(errors: &mut [Diagnostic], design: &Design<'_>, again: &mut Again<'_>) {
    let all = errors.to_vec();
    for (index, d) in errors.iter_mut().enumerate().filter(|(_, d)| d.is_error()).take(MOST_ERRORS) {
        let mut search = Search::new(design, &all, Some(index));
        search.run(again, MOST_LITERALS, MOST_GALLOPS);
        for o in search.sorted().into_iter().take(MOST_OFFERS) {
            let what = o.name.map(|n| format!("`{n}`: ")).unwrap_or_default();
            d.help.push(format!("{what}{} instead of {} would do.", o.new, o.old));
            d.edits.push(Edit { span: o.span, text: o.new, offer: None });
        }
    }
}

/// Every number whose change makes the design compile, with the least change that does. Where several errors
/// have none that mends all, those that mend one of them.
pub fn offers(all: &[Diagnostic], design: &Design<'_>, again: &mut Again<'_>) -> Found {
    let errors: Vec<usize> = all.iter().enumerate().filter(|(_, d)| d.is_error()).map(|(i, _)| i).collect();
    let mut found = Found::default();
    let mut passes: Vec<Option<usize>> = errors.iter().copied().map(Some).collect();
    if passes.len() > 1 {
        passes.insert(0, None);
    }
    let mut kept = Kept { again, known: BTreeMap::new() };
    let again = &mut |span: Span, text: &str| kept.with(span, text);
    let (mut tried, mut facts) = (BTreeSet::new(), BTreeSet::new());
    for pass in passes {
        let mut search = Search::new(design, all, pass);
        search.run(again, usize::MAX, usize::MAX);
        found.stopped |= search.stopped;
        tried.append(&mut search.tried);
        facts.append(&mut search.left);
        found.next.append(&mut search.next);
        found.offers.extend(search.sorted());
        if pass.is_none() && !found.offers.is_empty() {
            break;
        }
    }
    // What mends one error may mend all of them, or do so further on.
    if errors.len() > 1 && found.offers.iter().all(|o| o.error.is_some()) {
        let mut search = Search::new(design, all, None);
        search.candidates = Search::of(design, all, &found.offers);
        search.run_evenly(again);
        found.stopped |= search.stopped;
        let of_all = search.sorted();
        if !of_all.is_empty() {
            found.offers = of_all;
        }
    }
    found.compiled = kept.known.len();
    (found.tried, found.facts) = (tried.len(), facts.len());
    found
}

/// What came of figures before: errors share what was compiled.
struct Kept<'k, 'a> {
    again: &'k mut Again<'a>,
    known: BTreeMap<(Span, String), Vec<Diagnostic>>,
}

impl Kept<'_, '_> {
    fn with(&mut self, span: Span, text: &str) -> Option<Vec<Diagnostic>> {
        let key = (span, text.to_string());
        if let Some(known) = self.known.get(&key) {
            return Some(known.clone());
        }
        let mut found = (self.again)(span, text)?;
        found.retain(Diagnostic::is_error);
        self.known.insert(key, found.clone());
        Some(found)
    }
}

/// A number that may be changed.
struct Candidate {
    label: Label,
    figure: Figure,
    near: bool,
    labelled: bool,
    /// Bytes from the fault.
    far: u32,
    /// 0 for a figure of the design, 1 for one in a rule's own condition, 2 for a nought.
    rank: u8,
}

/// How other values of a number are looked for.
#[derive(Clone, Copy, PartialEq, Eq)]
enum How {
    Root,
    PastRoot,
    Gallop,
}

struct Search<'s> {
    design: &'s Design<'s>,
    error: Option<usize>,
    /// The errors to be mended, and those that may stay.
    due: Vec<Key>,
    others: Vec<Key>,
    misses: Vec<Rational>,
    candidates: Vec<Candidate>,
    offers: Vec<Offer>,
    tried: BTreeSet<Span>,
    left: BTreeSet<Span>,
    next: BTreeSet<String>,
    /// What came, at other figures of the number that is sought, where the fault went.
    came: BTreeMap<Rational, BTreeSet<String>>,
    stopped: bool,
}

/// A fault, to be known again: its code and boxes, and its place in the text as it is written.
#[derive(Clone, PartialEq, Eq, Debug)]
struct Key {
    code: String,
    boxes: Vec<String>,
    file: FileId,
    start: i64,
}

fn key(d: &Diagnostic) -> Key {
    let at = d.span();
    Key { code: d.code.to_string(), boxes: d.boxes.clone(), file: at.file, start: i64::from(at.start) }
}

impl Key {
    /// The fault of a text in which one stretch has become longer or shorter.
    fn before(mut self, span: Span, new: &str) -> Key {
        if self.file == span.file && self.start > i64::from(span.start) {
            self.start -= new.len() as i64 - i64::from(span.end - span.start);
        }
        self
    }

    /// The same fault, wherever it is shown now.
    fn is_like(&self, other: &Key) -> bool {
        self.code == other.code && self.boxes == other.boxes
    }
}

/// A name that is unknown is no matter of figures.
fn is_of_figures(d: &Diagnostic) -> bool {
    !d.misses.is_empty() || !d.origins.is_empty() || d.labels.iter().any(|l| l.literal)
}

impl<'s> Search<'s> {
    /// For one error, or for all together: then a number must stand behind each of them.
    fn new(design: &'s Design<'s>, all: &[Diagnostic], error: Option<usize>) -> Search<'s> {
        let errors: Vec<(usize, &Diagnostic)> =
            all.iter().enumerate().filter(|(_, d)| d.is_error()).collect();
        let due: Vec<Key> =
            errors.iter().filter(|(i, _)| error.is_none_or(|e| e == *i)).map(|(_, d)| key(d)).collect();
        let of: Vec<&Diagnostic> =
            errors.iter().filter(|(i, _)| error.is_none_or(|e| e == *i)).map(|(_, d)| *d).collect();
        let others = errors.iter().map(|(_, d)| key(d)).filter(|k| !due.contains(k)).collect();
        let mut search = Search {
            design,
            error,
            misses: of.iter().flat_map(|d| d.misses.iter().copied()).collect(),
            due,
            others,
            candidates: Vec::new(),
            offers: Vec::new(),
            tried: BTreeSet::new(),
            left: BTreeSet::new(),
            next: BTreeSet::new(),
            came: BTreeMap::new(),
            stopped: false,
        };
        let mut seen = BTreeSet::new();
        for d in of.iter().filter(|d| is_of_figures(d)) {
            let behind: BTreeSet<Span> = d.behind.iter().map(|l| l.span).collect();
            for label in d.behind.iter().filter(|l| seen.insert(l.span)) {
                search.add(d, label);
            }
            if error.is_none() {
                search.candidates.retain(|c| behind.contains(&c.label.span));
            }
        }
        // Numbers of the statement at fault first, then by how near they stand to it.
        search.candidates.sort_by_key(|c| (c.rank, !c.labelled, !c.near, c.far, c.label.span));
        search
    }

    fn add(&mut self, d: &Diagnostic, label: &Label) {
        let (sources, facts, span) = (self.design.sources, self.design.facts, label.span);
        if sources.file(span.file).library {
            return;
        }
        if facts.measured(span) {
            self.left.insert(span);
            return;
        }
        // Another thing in its place is no other size, but where there is no such thing.
        if facts.choosing(span) && d.span() != span {
            return;
        }
        let Some(figure) = Figure::read(sources.text(span), self.design.step) else { return };
        let at = d.span();
        let rank = match () {
            // A nought is where something starts.
            () if figure.is_nought() => 2,
            () if facts.ruled(span) => 1,
            () => 0,
        };
        self.candidates.push(Candidate {
            near: at.file == span.file && at.start <= span.start && span.end <= at.end,
            far: if at.file == span.file { span.start.abs_diff(at.start) } else { u32::MAX },
            labelled: d.labels.iter().any(|l| l.span == span),
            label: label.clone(),
            figure,
            rank,
        });
    }

    /// The numbers of these offers.
    fn of(design: &'s Design<'s>, all: &[Diagnostic], offers: &[Offer]) -> Vec<Candidate> {
        let mut due: BTreeSet<Span> = offers.iter().map(|o| o.span).collect();
        let mut candidates = Vec::new();
        for (index, _) in all.iter().enumerate().filter(|(_, d)| d.is_error()) {
            let mut search = Search::new(design, all, Some(index));
            candidates.extend(search.candidates.drain(..).filter(|c| due.remove(&c.label.span)));
        }
        candidates
    }

    /// Tries all candidates, each by the shortfalls and past them.
    fn run_evenly(&mut self, again: &mut Again<'_>) {
        for c in std::mem::take(&mut self.candidates) {
            let before = self.offers.len();
            self.seek(&c, again, How::PastRoot);
            if self.offers.len() == before {
                self.seek(&c, again, How::Gallop);
            }
        }
    }

    /// Tries the candidates, the lower ranks only where nothing else would do; the most that are tried, and
    /// the most of them without any shortfall to go by.
    fn run(&mut self, again: &mut Again<'_>, most: usize, gallops: usize) {
        let candidates = std::mem::take(&mut self.candidates);
        for rank in 0..=2 {
            let ranked: Vec<&Candidate> = candidates.iter().filter(|c| c.rank == rank).collect();
            for c in ranked.iter().take(if self.misses.is_empty() { 0 } else { most }) {
                self.seek(c, again, How::Root);
            }
            // Where no figure says which way, or none of them leads anywhere. How many there are of a thing
            // seldom moves a shortfall evenly.
            let (none, thorough) = (self.offers.is_empty(), gallops == usize::MAX);
            let mended: BTreeSet<Span> = self.offers.iter().map(|o| o.span).collect();
            let open: Vec<&&Candidate> =
                ranked.iter().filter(|c| !mended.contains(&c.label.span)).take(most.min(gallops)).collect();
            if !self.misses.is_empty() && (none || thorough) {
                for c in &open {
                    self.seek(c, again, How::PastRoot);
                }
            }
            let mended: BTreeSet<Span> = self.offers.iter().map(|o| o.span).collect();
            let none = mended.is_empty();
            let due = |c: &&&&Candidate| {
                !mended.contains(&c.label.span) && (none || thorough && c.figure.is_count())
            };
            for c in open.iter().filter(due) {
                self.seek(c, again, How::Gallop);
            }
            if !self.offers.is_empty() {
                return;
            }
        }
    }

    fn seek(&mut self, c: &Candidate, again: &mut Again<'_>, how: How) {
        if self.stopped {
            return;
        }
        let (span, figure, misses) = (c.label.span, &c.figure, self.misses.clone());
        self.tried.insert(span);
        self.came.clear();
        let mut probe = |value: Rational| self.come(again, span, figure, value, how);
        let mut seek = Seek::new(figure, &misses, &mut probe);
        let Some(value) = (match how {
            How::Root => seek.by_root(),
            How::PastRoot => seek.past_root(),
            How::Gallop => seek.by_gallop(),
        }) else {
            return;
        };
        let Some(new) = figure.write(value) else { return };
        let text = &c.label.text;
        let nearer = figure.nearer(value);
        let also = nearer.and_then(|v| self.came.remove(&v)).unwrap_or_default();
        self.offers.push(Offer {
            error: self.error,
            span,
            name: text.strip_prefix('`').and_then(|t| t.split_once('`')).map(|(n, _)| n.to_string()),
            old: self.design.sources.text(span).to_string(),
            new,
            nearer: nearer.and_then(|v| figure.write(v)),
            also,
            tenfold: figure.is_tenfold(value),
            relative: figure.relative(value),
            near: c.near,
        });
    }

    /// What comes of another value.
    fn come(
        &mut self,
        again: &mut Again<'_>,
        span: Span,
        figure: &Figure,
        value: Rational,
        how: How,
    ) -> Came {
        let Some(text) = figure.write(value) else { return Came::Otherwise };
        if self.stopped {
            return Came::Otherwise;
        }
        let Some(found) = again(span, &text) else {
            self.stopped = true;
            return Came::Otherwise;
        };
        let mut misses = Vec::new();
        let (mut due, mut new, mut left) = (false, BTreeSet::new(), self.others.len());
        for d in found.iter().filter(|d| d.is_error()) {
            let key = key(d).before(span, &text);
            let like = |k: &&Key| k.is_like(&key);
            let stays = self.others.contains(&key);
            if self.due.contains(&key) || !stays && self.due.iter().any(|k| like(&k)) {
                due = true;
                misses.extend(d.misses.iter().copied());
                continue;
            }
            // No more of a kind may be left than there were.
            let room = left > 0;
            left = left.saturating_sub(1);
            if !room || !stays && !self.others.iter().any(|k| like(&k)) {
                new.insert(d.code.to_string());
            }
        }
        match (due, new.is_empty()) {
            (true, _) => Came::Misses(misses),
            (false, true) => Came::Does,
            (false, false) => {
                self.came.insert(value, new.clone());
                // Near the written figure this is what would have to be mended next.
                if how == How::Root {
                    self.next.append(&mut new);
                }
                Came::Otherwise
            }
        }
    }

    /// Least relative change first; of two alike the one in the statement at fault.
    fn sorted(&mut self) -> Vec<Offer> {
        let mut offers = std::mem::take(&mut self.offers);
        let rank = |o: &Offer| (o.tenfold, o.relative.is_none(), o.relative, !o.near, o.span);
        offers.sort_by_key(rank);
        offers
    }
}

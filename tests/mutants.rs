//! Texts that are nearly right: every example, with one thing wrong in it. Each gives a clean compile or a
//! message that stands somewhere in the text; none is a fault of the compiler's own, and none takes long.
//!
//! A thousand in all are tried; `MUTANTS=500 cargo test --test mutants` tries 500 of each example.

#[allow(dead_code)]
#[path = "common/tree_text.rs"]
mod tree_text;

use aumbry::commands::{Compiled, compile};
use aumbry::evaluation::{Evaluation, load};
use aumbry::outputs;
use aumbry::planning::assembly::plan;
use aumbry::sources::{MemoryFiles, Span};
use std::collections::BTreeMap;
use std::fs;
use std::ops::Range;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use tree_text::token_ranges;

/// All examples together, where nobody asks for more.
const IN_ALL: usize = 1000;
/// Figures, ranges and things that one text may have to work out. The demo wall has 7,000.
const MOST_STEPS: usize = 1_000_000;
/// For the whole of one text, with its figures that mend, on a busy machine and without optimisation.
const LONGEST: Duration = Duration::from_secs(60);

/// Texts that take longer than this are told, with `--nocapture`.
const SLOW: Duration = Duration::from_secs(2);

/// Numbers that a seed sets (xorshift, Marsaglia 2003).
struct Random(u64);

impl Random {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }

    fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }
}

fn examples() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut all: Vec<(String, String)> = fs::read_dir(folder)
        .expect("examples")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "aum"))
        .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), fs::read_to_string(&p).unwrap()))
        .collect();
    all.sort();
    assert!(all.len() >= 7);
    all
}

/// The letters at the end of a figure.
fn unit_of(token: &str) -> Option<(&str, &str)> {
    let at = token.find(|c: char| c.is_ascii_alphabetic())?;
    let (figure, unit) = token.split_at(at);
    figure.starts_with(|c: char| c.is_ascii_digit()).then_some((figure, unit))
}

/// One thing changed, and what it was.
fn mutant(text: &str, tokens: &[Range<usize>], random: &mut Random) -> (String, String) {
    let figures: Vec<&Range<usize>> =
        tokens.iter().filter(|r| text[(*r).clone()].starts_with(|c: char| c.is_ascii_digit())).collect();
    let lengths: Vec<&Range<usize>> =
        figures.iter().copied().filter(|r| unit_of(&text[(*r).clone()]).is_some()).collect();
    let mut out = text.to_string();
    let kind = random.below(6);
    match kind {
        0 => {
            let range = random.of(tokens).clone();
            let was = text[range.clone()].to_string();
            out.replace_range(range, "");
            (out, format!("without `{was}`"))
        }
        1 => {
            let i = random.below(tokens.len() - 1);
            let (a, b) = (tokens[i].clone(), tokens[i + 1].clone());
            let (first, second) = (text[a.clone()].to_string(), text[b.clone()].to_string());
            out.replace_range(b, &first);
            out.replace_range(a, &second);
            (out, format!("`{first}` and `{second}` swapped"))
        }
        2 => {
            // One letter of a word mistyped.
            let range = random.of(tokens).clone();
            let was = text[range.clone()].to_string();
            let mut letters: Vec<char> = was.chars().collect();
            let at = random.below(letters.len());
            letters[at] = *random.of(&['a', 'x', '_', '7', '(', '"', '.', 'é']);
            let now: String = letters.into_iter().collect();
            out.replace_range(range, &now);
            (out, format!("`{was}` typed `{now}`"))
        }
        3 => {
            // Another word of the same text in its place.
            let range = random.of(tokens).clone();
            let now = text[random.of(tokens).clone()].to_string();
            let was = text[range.clone()].to_string();
            out.replace_range(range, &now);
            (out, format!("`{now}` for `{was}`"))
        }
        4 if !lengths.is_empty() => {
            let range = (*random.of(&lengths)).clone();
            let was = text[range.clone()].to_string();
            let (figure, _) = unit_of(&was).expect("a unit");
            let unit = random.of(&["mm", "cm", "m", "in", "kg", "N", "deg", "mm2", "EUR", "furlong", ""]);
            let now = format!("{figure}{unit}");
            out.replace_range(range, &now);
            (out, format!("`{now}` for `{was}`"))
        }
        _ if !figures.is_empty() => {
            let range = (*random.of(&figures)).clone();
            let was = text[range.clone()].to_string();
            let end = was.find(|c: char| !c.is_ascii_digit()).unwrap_or(was.len());
            let (figure, rest) = was.split_at(end);
            let figure: u64 = figure.parse().unwrap_or(1);
            let figure = match random.below(7) {
                0 => 0,
                1 => figure / 2,
                2 => figure + 1,
                3 => figure * 2,
                4 => figure * 10,
                5 => figure * 1000,
                _ => figure.saturating_mul(1_000_000_000_000),
            };
            let now = format!("{figure}{rest}");
            out.replace_range(range, &now);
            (out, format!("`{now}` for `{was}`"))
        }
        _ => {
            out.push('}');
            (out, "a brace more".to_string())
        }
    }
}

/// What is wrong with what came of a text.
fn fault(name: &str, files: &MemoryFiles) -> Option<String> {
    let start = Instant::now();
    let compiled: Compiled = match catch_unwind(AssertUnwindSafe(|| compile(files, name, None))) {
        Ok(compiled) => compiled,
        Err(_) => return Some("a fault of the compiler's own".to_string()),
    };
    let errors: Vec<_> = compiled.diagnostics.iter().filter(|d| d.is_error()).collect();
    if errors.is_empty() != compiled.job.is_some() {
        return Some(format!("{} errors, and a job: {}", errors.len(), compiled.job.is_some()));
    }
    for d in &compiled.diagnostics {
        let span: Span = d.span();
        let file = compiled.sources.file(span.file);
        let sound = span.start <= span.end && span.end as usize <= file.text.len();
        if !sound || d.message.trim().is_empty() || d.code.is_empty() {
            return Some(format!("{}: a message without a place: {}", d.code, d.message));
        }
        // What is wrong is in the maker's own text, and that is where it is shown.
        let own = d.labels.iter().any(|l| !compiled.sources.file(l.span.file).name.starts_with("std."));
        if d.is_error() && !own {
            return Some(format!("{}: shown in the library only: {}", d.code, d.message));
        }
        if d.code == "internal" {
            return Some(d.message.clone());
        }
    }
    if let Some(job) = &compiled.job {
        let written = catch_unwind(AssertUnwindSafe(|| {
            let lists = outputs::parts::table(job, 100) + &outputs::hole_list::table(job, 100);
            let steps = plan(job).stages.iter().map(|s| s.steps.len()).sum::<usize>();
            lists.len() + steps + outputs::assembly::as_json(job).len() + outputs::json::job(job).len()
        }));
        if written.is_err() {
            return Some("an output that cannot be written".to_string());
        }
    }
    let took = start.elapsed();
    if took > LONGEST {
        return Some(format!("{took:?}"));
    }
    let (program, _) = load(files, name);
    let mut evaluation = Evaluation::new(&program);
    evaluation.run_root();
    let steps = evaluation.slots.len();
    (steps > MOST_STEPS).then(|| format!("{steps} steps"))
}

#[test]
fn texts_with_one_thing_wrong() {
    let all = examples();
    let each = std::env::var("MUTANTS").ok().and_then(|n| n.parse().ok());
    let each: usize = each.unwrap_or(IN_ALL.div_ceil(all.len()));
    // A panic is told by its text, not by a page for each.
    std::panic::set_hook(Box::new(|_| {}));
    let next = AtomicUsize::new(0);
    let work = || {
        let mut found = Vec::new();
        let mut clean: BTreeMap<String, usize> = BTreeMap::new();
        loop {
            let n = next.fetch_add(1, Ordering::Relaxed);
            let Some((name, text)) = all.get(n / each.max(1)).filter(|_| each > 0) else { break };
            let tokens = token_ranges(text);
            // The first number of a seed is poor; each mutant has a seed of its own.
            let mut random = Random((n as u64 + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
            random.below(2);
            let (changed, what) = mutant(text, &tokens, &mut random);
            let files = all.iter().fold(MemoryFiles::new(), |files, (other, own)| {
                files.with(other, if other == name { &changed } else { own })
            });
            let start = Instant::now();
            let came = fault(name, &files);
            if start.elapsed() > SLOW {
                eprintln!("{name}, mutant {n}, {what}: {:?}", start.elapsed());
            }
            match came {
                Some(fault) => found.push(format!("{name}, mutant {n}, {what}: {fault}")),
                None => *clean.entry(name.clone()).or_default() += 1,
            }
        }
        (found, clean)
    };
    let (mut found, mut sound) = (Vec::new(), 0);
    std::thread::scope(|scope| {
        let threads: Vec<_> = (0..2)
            .map(|_| std::thread::Builder::new().stack_size(512 << 20).spawn_scoped(scope, work).unwrap())
            .collect();
        for thread in threads {
            let (faults, clean) = thread.join().expect("the test itself is sound");
            found.extend(faults);
            sound += clean.values().sum::<usize>();
        }
    });
    let _ = std::panic::take_hook();
    found.sort();
    assert!(found.is_empty(), "{} of {}:\n{}", found.len(), found.len() + sound, found.join("\n"));
    assert_eq!(sound, each * all.len());
}

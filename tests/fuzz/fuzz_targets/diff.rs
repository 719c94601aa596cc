//! Two revisions of an example with figures changed are compared: no panic, nothing promised twice, and a design is
//! the same as itself.
#![no_main]

use aumbry::commands::compile;
use aumbry::job::{Job, Mm};
use aumbry::revisions::{Comparison, Options, Verdict, compare, spoiled};
use aumbry::sources::MemoryFiles;
use aumbry::values::Rational;
use libfuzzer_sys::fuzz_target;
use std::collections::{BTreeMap, BTreeSet};

const EXAMPLES: &[&str] = &[
    include_str!("../../../examples/bookcase.aum"),
    include_str!("../../../examples/bookcase_inch.aum"),
    include_str!("../../../examples/divided_box.aum"),
    include_str!("../../../examples/drawer.aum"),
    include_str!("../../../examples/drawer_bank.aum"),
    include_str!("../../../examples/floor_box.aum"),
    include_str!("../../../examples/hung_box.aum"),
    include_str!("../../../examples/pigeonhole.aum"),
    include_str!("../../../examples/tall_box.aum"),
];

/// Figures of a text changed, three bytes for each change: which, how, and by how much.
fn changed(text: &str, how: &[u8]) -> String {
    let mut out = text.to_string();
    for change in how.chunks_exact(3) {
        let mut figures = Vec::new();
        let mut start = None;
        for (at, c) in out.char_indices().chain([(out.len(), ' ')]) {
            match (start, c.is_ascii_digit()) {
                (None, true) => start = Some(at),
                (Some(from), false) => {
                    figures.push(from..at);
                    start = None;
                }
                _ => {}
            }
        }
        let Some(range) = figures.get(change[0] as usize % figures.len().max(1)).cloned() else { break };
        let n: i64 = out[range.clone()].parse().unwrap_or(1);
        let by = i64::from(change[2]);
        let n = match change[1] % 8 {
            0 => n.saturating_add(by),
            1 => n.saturating_sub(by).max(0),
            2 => n.saturating_mul(by) / 100,
            3 => by,
            4 => n.saturating_mul(1000 + by),
            5 => n / by.max(1),
            6 => n.saturating_add(32),
            _ => n.saturating_add(1),
        };
        out.replace_range(range, &n.to_string());
    }
    out
}

fn job(text: &str) -> Option<Job> {
    compile(&MemoryFiles::new().with("fuzz.aum", text), "fuzz.aum", None).job
}

fn sound(c: &Comparison, old: &Job, new: &Job) {
    let mut promised = BTreeSet::new();
    for part in &c.parts {
        let rework = part.rework.as_ref().or(part.offer.as_ref());
        let of = match part.verdict {
            Verdict::Unchanged | Verdict::Moved | Verdict::Renamed if rework.is_none() && part.cut => {
                part.old.as_ref().map(|o| o.path.clone())
            }
            _ => rework.map(|r| r.of.clone()),
        };
        if let Some(of) = of {
            assert!(promised.insert(of.clone()), "{of} twice");
        }
        let idle = part.rework.as_ref().is_none_or(|r| r.is_idle());
        assert_eq!(part.verdict == Verdict::Rework, !idle, "{part:?}");
        assert_eq!(part.verdict == Verdict::Remake, !part.reasons.is_empty(), "{part:?}");
    }
    assert_eq!(c.parts.iter().filter(|p| p.new.is_some()).count(), new.parts.len());
    assert_eq!(c.parts.iter().filter(|p| p.old.is_some()).count(), old.parts.len());
    let counted: BTreeMap<Verdict, usize> = c.parts.iter().fold(BTreeMap::new(), |mut all, p| {
        *all.entry(p.verdict).or_default() += 1;
        all
    });
    assert_eq!(counted, c.counts);
    assert!(!serde_json::to_string(c).expect("plain data").is_empty());
}

fuzz_target!(|data: &[u8]| {
    let [which, tolerance, split, rest @ ..] = data else { return };
    let text = EXAMPLES[*which as usize % EXAMPLES.len()];
    let (a, b) = rest.split_at((*split as usize).min(rest.len()));
    let texts = [changed(text, a), changed(text, b)];
    let tolerance = Mm(Rational::ratio(i128::from(*tolerance), 64));
    let run = move || {
        let (Some(a), Some(b)) = (job(&texts[0]), job(&texts[1])) else { return };
        let same = compare(&a, &a, &Options::default());
        assert!(same.is_same() && same.acts.is_empty(), "not the same as itself");
        for (old, new) in [(&a, &b), (&b, &a)] {
            sound(&compare(old, new, &Options::default()), old, new);
            let cut: BTreeSet<String> = old.parts.iter().step_by(2).map(|p| p.path.clone()).collect();
            if let Some(part) = old.parts.last() {
                assert!(spoiled(old, &part.path, &cut).is_some());
            }
            let options = Options { cut: Some(cut), tolerance: Some(tolerance) };
            sound(&compare(old, new, &options), old, new);
        }
    };
    // As much stack as the command gives the compiler.
    let worker = std::thread::Builder::new().stack_size(512 << 20).spawn(run).expect("a thread");
    worker.join().expect("no panic");
});

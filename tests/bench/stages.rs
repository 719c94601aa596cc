//! How long the compiler takes: `cargo bench --bench stages`.

mod designs;

use aumbry::commands::compile;
use aumbry::outputs::json;
use aumbry::revisions::{Options, compare};
use aumbry::sources::{MemoryFiles, Sources};
use criterion::{Criterion, criterion_group, criterion_main};
use std::hint::black_box;
use std::time::Duration;

fn check(c: &mut Criterion) {
    let files = MemoryFiles::new().with("a.aum", include_str!("../../examples/bookcase.aum"));
    c.bench_function("check the bookcase", |b| {
        b.iter(|| black_box(compile(&files, "a.aum", None).job.is_some()))
    });
}

fn jobs(c: &mut Criterion) {
    let mut group = c.benchmark_group("floor boxes to job.json");
    group.sample_size(10).measurement_time(Duration::from_secs(12));
    for n in [100, 1000] {
        let files = MemoryFiles::new().with("a.aum", &designs::floor_boxes(n));
        group.bench_function(n.to_string(), |b| {
            b.iter(|| black_box(compile(&files, "a.aum", None).job.map(|job| json::job(&job).len())));
        });
    }
    group.finish();
}

fn parse(c: &mut Criterion) {
    let text = designs::lines(10_000);
    let mut group = c.benchmark_group("10,000 lines");
    group.sample_size(10);
    group.bench_function("read", |b| {
        b.iter(|| {
            let mut sources = Sources::new();
            let file = sources.add("a.aum", &text, false);
            black_box(aumbry::syntax::parse(&sources, file).0.items.len())
        });
    });
    group.bench_function("format", |b| b.iter(|| black_box(aumbry::syntax::format(&text).text.len())));
    let files = MemoryFiles::new().with("a.aum", &text);
    group.bench_function("check", |b| b.iter(|| black_box(compile(&files, "a.aum", None).diagnostics.len())));
    group.finish();
}

/// The same for lines as makers write them: `fmt` takes at most three times what reading takes.
fn format(c: &mut Criterion) {
    let text = designs::types(10_000);
    let mut group = c.benchmark_group("10,000 lines of box types");
    group.sample_size(10);
    group.bench_function("read", |b| {
        b.iter(|| {
            let mut sources = Sources::new();
            let file = sources.add("a.aum", &text, false);
            black_box(aumbry::syntax::parse(&sources, file).0.items.len())
        });
    });
    group.bench_function("format", |b| b.iter(|| black_box(aumbry::syntax::format(&text).text.len())));
    group.finish();
}

/// Beside one build of the same boxes: compared with themselves, and with boxes 10 mm less deep, of which every
/// part but the shelves' pins has to be worked.
fn revisions(c: &mut Criterion) {
    let text = designs::floor_boxes(1000);
    let built =
        |text: &str| compile(&MemoryFiles::new().with("a.aum", text), "a.aum", None).job.expect("a job");
    let (old, new) = (built(&text), built(&text.replace("shelves: 2", "depth: 550mm, shelves: 2")));
    let mut group = c.benchmark_group("1,000 floor boxes");
    group.sample_size(10).measurement_time(Duration::from_secs(12));
    group.bench_function("built", |b| b.iter(|| black_box(built(&text).parts.len())));
    for (name, new) in [("compared with themselves", &old), ("compared with less deep ones", &new)] {
        group.bench_function(name, |b| {
            b.iter(|| black_box(compare(&old, new, &Options::default()).parts.len()))
        });
    }
    group.finish();
}

criterion_group!(benches, check, revisions, jobs, parse, format);
criterion_main!(benches);

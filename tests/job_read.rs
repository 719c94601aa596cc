//! A job.json that is read back is the job it was written from.

use aumbry::commands::compile;
use aumbry::job::{self, Job};
use aumbry::outputs::json;
use aumbry::sources::DiskFiles;
use std::path::Path;

fn examples() -> Vec<(String, Job)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut names: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().file_name().into_string().unwrap())
        .filter(|n| n.ends_with(".aum"))
        .collect();
    names.sort();
    let files = DiskFiles::new(&folder);
    names.into_iter().map(|n| (n.clone(), compile(&files, &n, None).job.unwrap())).collect()
}

fn on_a_large_stack(work: fn()) {
    std::thread::Builder::new().stack_size(256 << 20).spawn(work).unwrap().join().unwrap();
}

#[test]
fn every_example_is_read_back() {
    on_a_large_stack(|| {
        for (name, job) in examples() {
            let text = json::job(&job);
            let again = job::read(&text).unwrap_or_else(|why| panic!("{name}: {why}"));
            assert_eq!(json::job(&again), text, "{name}");
            for (a, b) in job.parts.iter().zip(&again.parts) {
                // Thirds are written rounded; what is worked out from them may miss as much.
                let near = |a: job::Interval, b: job::Interval| {
                    let off = |a: aumbry::values::Rational, b: aumbry::values::Rational| {
                        a.sub(b).unwrap().abs().unwrap() <= aumbry::values::Rational::ratio(1, 1_000_000)
                    };
                    off(a.lo, b.lo) && off(a.hi, b.hi)
                };
                for axis in job::Axis::ALL {
                    assert!(near(a.own.on(axis), b.own.on(axis)), "{name}: {}", a.path);
                }
            }
        }
    });
}

/// Whatever is cut off, struck out or put in, it is read or told in words.
#[test]
fn a_broken_job_is_told() {
    on_a_large_stack(|| {
        let files = DiskFiles::new(&Path::new(env!("CARGO_MANIFEST_DIR")).join("examples"));
        let text = json::job(&compile(&files, "bookcase.aum", None).job.unwrap());
        assert!(text.is_ascii());
        for at in (0..text.len() - 2).step_by(97) {
            let why = job::read(&text[..at]).expect_err("cut short");
            assert!(why.contains("cut short") || why.contains("not JSON"), "{at}: {why}");
            for put in ["-", "\"", "null,", "9", "{", "]"] {
                let changed = format!("{}{put}{}", &text[..at], &text[at + 1..]);
                if let Err(why) = job::read(&changed) {
                    assert!(!why.is_empty() && why.len() < 400, "{why}");
                }
            }
        }
    });
}

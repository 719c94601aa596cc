//! Whatever text has errors, each figure offered mends what it says it mends and brings nothing new.
#![no_main]

use aumbry::commands::mended_within;
use aumbry::diagnostics::Diagnostic;
use aumbry::sources::MemoryFiles;
use libfuzzer_sys::fuzz_target;

/// Little work for each text, so that many are seen.
const STEPS: usize = 30_000;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data).into_owned();
    // As much stack as the command gives the compiler.
    let run = move || {
        let all = mended_within(&MemoryFiles::new().with("fuzz.aum", &text), "fuzz.aum", STEPS);
        let errors = |all: &[Diagnostic]| all.iter().filter(|d| d.is_error()).count();
        let before = errors(&all.diagnostics);
        assert!(before > 0 || all.found.offers.is_empty(), "an offer and no error");
        for offer in all.found.offers.iter().take(3) {
            let range = offer.span.start as usize..offer.span.end as usize;
            assert_eq!(text[range.clone()], offer.old);
            let mut changed = text.clone();
            changed.replace_range(range, &offer.new);
            let after = mended_within(&MemoryFiles::new().with("fuzz.aum", &changed), "fuzz.aum", 0);
            let left = errors(&after.diagnostics);
            let most = if offer.error.is_some() { before - 1 } else { 0 };
            assert!(left <= most, "{} -> {} leaves {left} of {before}", offer.old, offer.new);
        }
    };
    let worker = std::thread::Builder::new().stack_size(512 << 20).spawn(run).expect("a thread");
    worker.join().expect("no panic");
});

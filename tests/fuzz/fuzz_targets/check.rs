//! Any text is worked out, or refused with messages that can be printed.
#![no_main]

use aumbry::commands::{Look, compile, human};
use aumbry::sources::MemoryFiles;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data).into_owned();
    // As much stack as the command gives the compiler.
    let run = move || {
        let files = MemoryFiles::new().with("fuzz.aum", &text);
        let done = compile(&files, "fuzz.aum", None);
        let errors = done.diagnostics.iter().any(|d| d.is_error());
        assert!(done.job.is_some() != errors, "a job and errors, or neither");
        human(&done.sources, &done.diagnostics, Look::plain());
    };
    let worker = std::thread::Builder::new().stack_size(512 << 20).spawn(run).expect("a thread");
    worker.join().expect("no panic");
});

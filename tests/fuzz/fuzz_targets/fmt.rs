//! Any text is formatted: nothing is lost, twice is as once, and what is sound stays so.
#![no_main]

use aumbry::sources::Sources;
use aumbry::syntax::{format, parse};
use libfuzzer_sys::fuzz_target;

/// All that is seen of a text. Some commas may go, and a mark at its start.
fn seen(text: &str) -> String {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    text.chars().filter(|c| !matches!(c, ' ' | '\t' | '\r' | '\n' | ',')).collect()
}

fn codes(text: &str) -> Vec<String> {
    let mut sources = Sources::new();
    let id = sources.add("fuzz.aum", text, false);
    parse(&sources, id).1.into_iter().map(|m| m.code.into_owned()).collect()
}

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data).into_owned();
    // As much stack as the command gives the compiler.
    let run = move || {
        let once = format(&text);
        assert_eq!(seen(&text), seen(&once.text), "something is lost");
        assert_eq!(format(&once.text).text, once.text, "twice is not as once");
        assert_eq!(codes(&text), codes(&once.text), "it is read otherwise");
    };
    let worker = std::thread::Builder::new().stack_size(512 << 20).spawn(run).expect("a thread");
    worker.join().expect("no panic");
});

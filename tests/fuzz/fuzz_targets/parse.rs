//! Any bytes are read: no panic, spans within the text, and nothing broken without a message.
#![no_main]

use aumbry::sources::Sources;
use aumbry::syntax::parse;
use aumbry::syntax::tree::StmtKind;
use libfuzzer_sys::fuzz_target;

fuzz_target!(|data: &[u8]| {
    let text = String::from_utf8_lossy(data);
    let mut sources = Sources::new();
    let id = sources.add("fuzz.aum", &text, false);
    let (file, messages) = parse(&sources, id);
    for d in &messages {
        for span in d.labels.iter().map(|l| l.span).chain(d.edits.iter().map(|e| e.span)) {
            assert!(text.get(span.start as usize..span.end as usize).is_some(), "{span:?}");
        }
        sources.place(d.span());
    }
    let broken = file.items.iter().any(|i| matches!(i.kind, StmtKind::Broken));
    assert!(!broken || !messages.is_empty(), "broken without a message");
});

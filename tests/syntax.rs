//! Reading: trees of valid files, messages of broken ones, and what no damage may change.

#[path = "syntax/show.rs"]
mod show;

use aumbry::diagnostics::Diagnostic;
use aumbry::sources::Sources;
use aumbry::syntax::{parse, tree};
use proptest::prelude::*;
use std::time::{Duration, Instant};

fn read(text: &str) -> (Sources, tree::File, Vec<Diagnostic>) {
    let mut sources = Sources::new();
    let id = sources.add("case.aum", text, false);
    let (file, messages) = parse(&sources, id);
    (sources, file, messages)
}

fn told(sources: &Sources, messages: &[Diagnostic]) -> String {
    let mut out = String::new();
    for d in messages {
        out.push_str(&format!("{} {}: {}\n", sources.place(d.span()), d.code, d.message));
        for l in &d.labels {
            out.push_str(&format!(
                "    at {}: `{}` {}\n",
                sources.place(l.span),
                sources.text(l.span),
                l.text
            ));
        }
        for h in &d.help {
            out.push_str(&format!("    help: {h}\n"));
        }
        for e in &d.edits {
            out.push_str(&format!("    edit: `{}` to `{}`\n", sources.text(e.span), e.text));
        }
    }
    out
}

/// Each file under `valid/` reads without a message, into the tree of its snapshot.
#[test]
fn valid_files_give_their_tree() {
    insta::glob!("cases/syntax/valid/*.aum", |path| {
        let (sources, file, messages) = read(&std::fs::read_to_string(path).unwrap());
        assert_eq!(told(&sources, &messages), "", "{}", path.display());
        insta::assert_snapshot!(show::file(&file));
    });
}

/// Each file under `wrong/` gives the messages of its snapshot; everything else in it is read.
#[test]
fn wrong_files_give_their_messages() {
    insta::glob!("cases/syntax/wrong/*.aum", |path| {
        let (sources, file, messages) = read(&std::fs::read_to_string(path).unwrap());
        assert!(!messages.is_empty(), "{}", path.display());
        insta::assert_snapshot!(format!("{}\n{}", told(&sources, &messages), show::file(&file)));
    });
}

/// Every edit offered by a message, made in the text, silences that message.
#[test]
fn edits_mend_what_they_are_offered_for() {
    let mut tried = 0;
    insta::glob!("cases/syntax/wrong/*.aum", |path| {
        let text = std::fs::read_to_string(path).unwrap();
        let (_, _, messages) = read(&text);
        for d in messages.iter().filter(|d| !d.edits.is_empty()) {
            let mut mended = text.clone();
            for e in &d.edits {
                mended.replace_range(e.span.start as usize..e.span.end as usize, &e.text);
            }
            let (_, _, left) = read(&mended);
            assert_eq!(left.len() + 1, messages.len(), "{}: {}", path.display(), d.message);
            tried += 1;
        }
    });
    assert!(tried >= 10, "only {tried} edits were tried");
}

/// Byte ranges of the tokens of a text without interpolated quotes.
fn tokens(text: &str) -> Vec<std::ops::Range<usize>> {
    let bytes = text.as_bytes();
    let mut out = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        let word = |b: u8| b.is_ascii_alphanumeric() || b == b'_';
        match bytes[at] {
            b' ' | b'\n' | b'\r' | b'\t' => {
                at += 1;
                continue;
            }
            b'/' if bytes.get(at + 1) == Some(&b'/') => {
                while at < bytes.len() && bytes[at] != b'\n' {
                    at += 1;
                }
                continue;
            }
            b'"' => {
                at += 1;
                while bytes[at] != b'"' {
                    at += if bytes[at] == b'\\' { 2 } else { 1 };
                }
                at += 1;
            }
            b if word(b) => {
                while at < bytes.len() && word(bytes[at]) {
                    at += 1;
                }
            }
            _ => at += 1,
        }
        out.push(start..at);
    }
    out
}

/// A text with two faults of syntax set into it: one within the first definition of a box, one
/// between two items.
fn planted(text: &str) -> (String, [&'static str; 2]) {
    const INNER: &str = "let planted_inner = (1mm + ";
    const OUTER: &str = "let planted_outer 5mm";
    let mut out = String::new();
    let (mut inner, mut outer) = (false, false);
    let items = text.lines().filter(|l| l.starts_with(|c: char| c.is_ascii_lowercase())).count();
    let mut item = 0;
    for line in text.lines() {
        if line.starts_with(|c: char| c.is_ascii_lowercase()) {
            item += 1;
            if item > items / 2 && !outer {
                out.push_str(&format!("{OUTER}\n"));
                outer = true;
            }
        }
        out.push_str(&format!("{line}\n"));
        if line.trim_start().starts_with("envelope (") && !inner {
            out.push_str(&format!("  {INNER}\n"));
            inner = true;
        }
    }
    if !inner {
        out.push_str(&format!("def box last(w: length) {{\n  envelope (w, w, w)\n  {INNER}\n}}\n"));
    }
    assert!(outer);
    (out, [INNER, OUTER])
}

/// Deleting any one token never silences the messages of two faults planted in other statements.
fn nothing_is_silenced(name: &str) {
    let text = std::fs::read_to_string(format!("tests/cases/syntax/valid/{name}.aum")).unwrap();
    let (text, faults) = planted(&text);
    let (sources, _, messages) = read(&text);
    assert_eq!(messages.len(), 2, "{}", told(&sources, &messages));
    let mut crowded = 0;
    let mut deleted = 0;
    for token in tokens(&text) {
        let within = |fault: &str| {
            let at = text.find(fault).unwrap();
            token.start >= at && token.end <= at + fault.len()
        };
        if faults.iter().any(|f| within(f)) {
            continue;
        }
        let damaged = format!("{}{}", &text[..token.start], &text[token.end..]);
        let (sources, _, messages) = read(&damaged);
        for fault in faults {
            let at = damaged.find(fault).unwrap();
            let still = messages.iter().any(|d| {
                d.code == "syntax"
                    && d.span().start as usize >= at
                    && d.span().end as usize <= at + fault.len()
            });
            assert!(
                still,
                "without `{}` at {} the fault `{fault}` is silent:\n{}",
                &text[token.clone()],
                sources.place(aumbry::sources::Span::new(
                    aumbry::sources::FileId(0),
                    token.start,
                    token.start
                )),
                told(&sources, &messages)
            );
        }
        deleted += 1;
        if messages.len() > 3 {
            crowded += 1;
        }
    }
    // One fault more is one message more, nearly always.
    assert!(crowded * 20 <= deleted, "{crowded} of {deleted} deletions give several messages");
}

#[test]
fn deleting_a_token_silences_nothing_in_the_studio() {
    nothing_is_silenced("studio");
}

#[test]
fn deleting_a_token_silences_nothing_in_the_kiln_room() {
    nothing_is_silenced("kiln_room");
}

#[test]
fn deleting_a_token_silences_nothing_in_every_form() {
    nothing_is_silenced("every_form");
}

#[test]
fn deleting_a_token_silences_nothing_in_the_boxes() {
    nothing_is_silenced("boxes");
}

/// Newlines mean nothing but the end of a comment: without comments a file on one line is the same.
#[test]
fn one_line_reads_as_many() {
    insta::glob!("cases/syntax/valid/*.aum", |path| {
        let text = std::fs::read_to_string(path).unwrap();
        let bare: String = text
            .lines()
            .map(|l| if l.trim_start().starts_with("//") { "" } else { l.split(" //").next().unwrap() })
            .collect::<Vec<_>>()
            .join("\n");
        let (_, many, none) = read(&bare);
        assert!(none.is_empty());
        for with in [" ", "\r\n", "\n\n\t"] {
            let (_, one, none) = read(&bare.replace('\n', with));
            assert!(none.is_empty(), "{}", path.display());
            assert_eq!(show::file(&one), show::file(&many));
        }
    });
}

#[test]
fn a_byte_order_mark_is_passed_over() {
    let (sources, file, messages) = read("\u{feff}aumbry 1\r\nlet a = 5mm\r\n");
    assert_eq!(told(&sources, &messages), "");
    assert_eq!(sources.place(file.items[0].span), "case.aum:2:1");
}

#[test]
fn comments_and_empty_lines_are_kept() {
    let text = "aumbry 1\n//! file\n\n\n/// doc\nlet a = 5mm // aside\n\n// last\n";
    let (sources, file, _) = read(text);
    let kept: Vec<_> = file.trivia.iter().map(|t| (t.kind, sources.text(t.span))).collect();
    use tree::TriviaKind::*;
    let expected = [
        (FileDoc, "//! file"),
        (Blank, "\n\n"),
        (Doc, "/// doc"),
        (Comment, "// aside"),
        (Blank, "\n"),
        (Comment, "// last"),
    ];
    assert_eq!(kept, expected);
    assert_eq!(file.doc, ["file"]);
    assert_eq!(file.items[0].doc, ["doc"]);
}

fn codes(text: &str) -> Vec<String> {
    let start = Instant::now();
    let (_, _, messages) = read(text);
    assert!(start.elapsed() < Duration::from_secs(1), "{:?}", start.elapsed());
    messages.iter().map(|d| d.code.to_string()).collect()
}

/// Nesting beyond the stated limit is one message, soon, however it is done.
#[test]
fn deep_nesting_is_one_message() {
    let many = 3_000;
    let wrapped = |open: &str, inner: &str, close: &str| {
        let many = if open.ends_with(['(', '[']) { 10_000 } else { many };
        format!("aumbry 1\nlet a = {}{inner}{}\nlet b = 5mm\n", open.repeat(many), close.repeat(many))
    };
    for text in [
        wrapped("(", "1", ")"),
        wrapped("[", "1", "]"),
        wrapped("(", "1", ""),
        wrapped("([", "1", ""),
        wrapped("f(", "1", ")"),
        wrapped("-", "1", ""),
        wrapped("not ", "yes", ""),
        wrapped("after ", "x", ""),
        wrapped("1 + ", "1", ""),
        wrapped("", "x", ".y"),
        wrapped("", "x", "[1]"),
        wrapped("if c then ", "x", " else y"),
        wrapped("if c then x else ", "y", ""),
        format!("aumbry 1\n{} {}", "if c { ".repeat(many), "} ".repeat(many)),
        format!("aumbry 1\nif c {{ }} {}\nlet b = 5mm", "else if c { }".repeat(many)),
        format!("aumbry 1\ndef fn f(a: {} length) = a\n", "list of ".repeat(many)),
    ] {
        assert_eq!(codes(&text), ["nesting-too-deep"], "{}", &text[..40]);
    }
    // Up to the limit there is none.
    let text = format!("aumbry 1\nlet a = {}1{}\n", "(".repeat(200), ")".repeat(200));
    assert_eq!(codes(&text), Vec::<String>::new());
}

/// An unclosed brace in the middle of 500 lines is told once, where it was opened.
#[test]
fn an_unclosed_brace_is_told_where_it_was_opened() {
    let one = |i: usize, close: &str| {
        format!("def box b{i}(w: length) {{\n  envelope (w, w, w)\n  let t = 5mm\n  let u = t\n{close}\n")
    };
    let body: String = (0..100).map(|i| one(i, if i == 50 { "" } else { "}" })).collect();
    let (sources, file, messages) = read(&format!("aumbry 1\n{body}"));
    assert_eq!(messages.len(), 1, "{}", told(&sources, &messages));
    assert_eq!(messages[0].code, "unclosed-brace");
    assert_eq!(sources.place(messages[0].span()), "case.aum:252:24");
    assert_eq!(file.items.len(), 100);
}

#[test]
fn floods_of_faults_end_soon() {
    let text = format!("aumbry 1\n{}", "let = ( } \" ' \u{202e} 5mmm 24\" \0 {\n".repeat(3_000));
    assert!(codes(&text).len() <= 100);
    let text = format!("aumbry 1\n{}", "for x if y for if ".repeat(3_000));
    assert!(codes(&text).len() <= 100);
}

const PIECES: &[&str] = &[
    "aumbry",
    "1",
    "let",
    "part",
    "pair",
    "of",
    "box",
    "def",
    "for",
    "in",
    "if",
    "then",
    "else",
    "x",
    ":",
    "=",
    "==",
    "(",
    ")",
    "[",
    "]",
    "{",
    "}",
    ",",
    "..",
    ".",
    "after",
    "before",
    "5mm",
    "23 7/16in",
    "24\"",
    "6'2\"",
    "3 in",
    "share",
    "\"text {x}\"",
    "\"",
    "\\",
    "not",
    "-",
    "+",
    "/",
    "//",
    "///",
    "\n",
    "\n\n",
    "require",
    "house",
    "field",
    "row",
    "gap",
    "test",
    "expect",
    "error",
    "use",
    "std.boxes",
    "as",
    "\u{202e}",
    "é",
    "½",
    "\0",
    "none",
    "yes",
    "list",
    "choice",
    "or",
    "and",
    "envelope",
    "space",
    "accept",
    "because",
    "joint",
];

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::with_cases(300) })]

    /// No text makes the reader panic, and every span lies in the text on the bounds of characters.
    #[test]
    fn any_text_is_read(text in "\\PC{0,200}") {
        sound(&text);
        sound(&format!("aumbry 1\n{text}"));
    }

    #[test]
    fn any_order_of_tokens_is_read(picks in prop::collection::vec((0..PIECES.len(), any::<bool>()), 0..80)) {
        let text: String =
            picks.iter().map(|(i, gap)| format!("{}{}", PIECES[*i], if *gap { " " } else { "" })).collect();
        sound(&format!("aumbry 1\n{text}"));
    }

    /// A sample with a stretch cut out or doubled is read.
    #[test]
    fn any_damage_is_read(from in 0usize..4000, length in 0usize..60, to in 0usize..4000) {
        let text = include_str!("cases/syntax/valid/every_form.aum");
        let clip = |mut at: usize| {
            at = at.min(text.len());
            while !text.is_char_boundary(at) {
                at -= 1;
            }
            at
        };
        let (a, b, c) = (clip(from), clip(from + length), clip(to));
        sound(&format!("{}{}", &text[..a], &text[b..]));
        sound(&format!("{}{}{}", &text[..c], &text[a..b], &text[c..]));
    }
}

fn sound(text: &str) {
    let (sources, file, messages) = read(text);
    for d in &messages {
        for l in &d.labels {
            assert!(text.get(l.span.start as usize..l.span.end as usize).is_some(), "{l:?} in {text:?}");
        }
        sources.place(d.span());
    }
    let broken = show::file(&file).contains("(broken)");
    assert!(!broken || !messages.is_empty(), "broken without a message: {text:?}");
}

//! Texts to format: those of the project, pieces of them, and the same laid out otherwise or damaged.

use crate::tree_text::token_ranges;
use aumbry::diagnostics::Diagnostic;
use aumbry::sources::Sources;
use aumbry::syntax::parse;
use aumbry::syntax::tree::{Block, DefBody, File, Stmt, StmtKind, TriviaKind};
use std::ops::Range;
use std::path::{Path, PathBuf};

/// A small generator of numbers, so that a count names a text.
pub struct Random(u64);

impl Random {
    pub fn new(seed: u64) -> Random {
        let mut random = Random((seed + 1).wrapping_mul(0x9E37_79B9_7F4A_7C15));
        random.below(2);
        random
    }

    pub fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        ((self.0 >> 11) % n.max(1) as u64) as usize
    }

    pub fn of<'a, T>(&mut self, all: &'a [T]) -> &'a T {
        &all[self.below(all.len())]
    }

    /// One of some words.
    pub fn word<'a>(&mut self, words: &[&'a str]) -> &'a str {
        self.of::<&str>(words)
    }
}

pub fn read(text: &str) -> (File, Vec<Diagnostic>) {
    let mut sources = Sources::new();
    let id = sources.add("text.aum", text, false);
    parse(&sources, id)
}

/// A token or a comment, in the order of a text.
#[derive(PartialEq, Eq, Debug)]
pub enum Thing {
    Token(String),
    /// With whether it stands on the line of what comes before it.
    Comment(String, bool),
}

/// All tokens and comments of a text. Tokens are told apart as a plain reader does, not by the compiler.
pub fn things(text: &str) -> Vec<Thing> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let (mut out, mut rest) = (Vec::new(), text);
    let mut beside = false;
    let word = |c: char| c.is_alphanumeric() || c == '_';
    while let Some(first) = rest.chars().next() {
        let end = match first {
            c if c.is_whitespace() && c.is_ascii() => {
                beside &= c != '\n';
                rest = &rest[1..];
                continue;
            }
            '/' if rest.starts_with("//") => {
                let end = rest.find('\n').unwrap_or(rest.len());
                out.push(Thing::Comment(rest[..end].trim_end().to_string(), beside));
                beside = false;
                rest = &rest[end..];
                continue;
            }
            '"' => {
                let mut escaped = false;
                let close = rest[1..].find(|c| {
                    let ends = c == '\n' || (c == '"' && !escaped);
                    escaped = c == '\\' && !escaped;
                    ends
                });
                match close {
                    Some(n) if rest[n + 1..].starts_with('"') => n + 2,
                    _ => 1,
                }
            }
            c if word(c) => rest.find(|c| !word(c)).unwrap_or(rest.len()),
            '.' | '=' | '!' | '<' | '>' if rest[1..].starts_with(['.', '=']) => 2,
            c => c.len_utf8(),
        };
        out.push(Thing::Token(rest[..end].to_string()));
        beside = true;
        rest = &rest[end..];
    }
    out
}

/// Without commas that mean nothing: before a closing bracket, and between fields.
pub fn bare(things: Vec<Thing>) -> Vec<Thing> {
    let tokens: Vec<usize> =
        things.iter().enumerate().filter(|(_, t)| matches!(t, Thing::Token(_))).map(|(i, _)| i).collect();
    let word = |n: usize| match tokens.get(n).map(|i| &things[*i]) {
        Some(Thing::Token(t)) => t.as_str(),
        _ => "",
    };
    let (mut open, mut idle) = (Vec::new(), Vec::new());
    for (n, at) in tokens.iter().enumerate() {
        match word(n) {
            "{" | "(" | "[" => open.push(word(n)),
            "}" | ")" | "]" => {
                open.pop();
            }
            "," => {
                let closed = ["}", ")", "]"].contains(&word(n + 1));
                if closed || (open.last() == Some(&"{") && word(n + 2) == ":") {
                    idle.push(*at);
                }
            }
            _ => {}
        }
    }
    things.into_iter().enumerate().filter(|(i, _)| !idle.contains(i)).map(|(_, t)| t).collect()
}

fn below(folder: &Path, ends: &[&str], found: &mut Vec<PathBuf>) {
    let mut all: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("a folder").map(|e| e.unwrap().path()).collect();
    all.sort();
    for path in all {
        if path.is_dir() {
            below(&path, ends, found);
        } else if path.extension().is_some_and(|e| ends.iter().any(|end| e == *end)) {
            found.push(path);
        }
    }
}

/// The texts in the language on a page: the blocks marked `aumbry`.
pub fn blocks(page: &str) -> Vec<String> {
    let mut all = Vec::new();
    let mut open: Option<(bool, String)> = None;
    for line in page.lines() {
        match (line.strip_prefix("```"), &mut open) {
            (Some(mark), None) => open = Some((mark.starts_with("aumbry"), String::new())),
            (Some(_), Some(_)) => all.extend(open.take().filter(|o| o.0).map(|o| o.1)),
            (None, Some((_, text))) => *text += &format!("{line}\n"),
            (None, None) => {}
        }
    }
    all
}

/// Every text of the project, with where it stands.
pub fn corpus() -> Vec<(String, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut files = Vec::new();
    for folder in ["stdlib", "examples", "tests", "grammar"] {
        below(&root.join(folder), &["aum", "md"], &mut files);
    }
    files.push(root.join("README.md"));
    let mut out = Vec::new();
    for path in files {
        let name = path.strip_prefix(root).unwrap().display().to_string();
        let Ok(text) = std::fs::read_to_string(&path) else { continue };
        match path.extension().is_some_and(|e| e == "md") {
            true => out.extend(blocks(&text).into_iter().map(|b| (name.clone(), b))),
            false => out.push((name, text)),
        }
    }
    out
}

/// Sound texts of a few statements, cut out of the project's.
pub fn pieces() -> Vec<String> {
    let mut out = Vec::new();
    for (name, text) in corpus() {
        let (file, messages) = read(&text);
        if !messages.is_empty() || name.starts_with("tests/cases/format") {
            continue;
        }
        let mut from = file.version.map_or(0, |(_, span)| span.end as usize);
        for group in file.items.chunks(2) {
            let Some(last) = group.last() else { continue };
            let end = last.span.end as usize;
            let end = end + text[end..].find('\n').unwrap_or(text.len() - end);
            if end < from {
                continue;
            }
            if end - from < 1800 {
                out.push(format!("aumbry 1\n{}\n", text[from..end].trim_start_matches('\n')));
            }
            from = end;
        }
    }
    out.retain(|piece| read(piece).1.is_empty());
    out
}

/// Comments to put anywhere; some are code.
const COMMENTS: [&str; 8] = [
    "// as measured",
    "//",
    "// let spare = 12mm",
    "/// a shelf",
    "// part old of board along x { x: left .. right  y: 0mm .. 18mm  z: 0mm .. 200mm }",
    "//! of the file  \t",
    "// \"a text",
    "// } else {",
];

/// The tokens of a sound text with other blanks between them, and some more comments.
pub fn relaid(text: &str, random: &mut Random) -> String {
    let (file, _) = read(text);
    let comments: Vec<Range<usize>> = file
        .trivia
        .iter()
        .filter(|t| t.kind != TriviaKind::Blank)
        .map(|t| t.span.start as usize..t.span.end as usize)
        .collect();
    let tokens = token_ranges(text);
    let mut all: Vec<(Range<usize>, bool)> = tokens.into_iter().map(|t| (t, false)).collect();
    all.extend(comments.into_iter().map(|c| (c, true)));
    all.sort_by_key(|(r, _)| r.start);
    let style = random.below(8);
    let end = *random.of(&["\n", "\n", "\r\n"]);
    let mut out = String::new();
    if random.below(10) == 0 {
        out.push('\u{feff}');
    }
    let mut before: Option<(Range<usize>, bool)> = None;
    for (range, comment) in all {
        if let Some((last, was_comment)) = before {
            let gap = &text[last.end..range.start];
            // What stood together stays together, and a line ends where a comment does.
            let between = match style {
                _ if was_comment => end.repeat(1 + random.below(3)),
                _ if gap.is_empty() => String::new(),
                0 => gap.replace('\n', &format!("{end}{}", " ".repeat(random.below(7)))),
                // On one line; a comment on a line of its own stays on one.
                1 if comment && gap.contains('\n') => end.to_string(),
                1 => " ".to_string(),
                2 if !comment => end.repeat(1 + random.below(2)),
                3 if gap.contains('\n') => end.repeat(1 + random.below(4)) + &"\t".repeat(random.below(3)),
                4 | 5 if random.below(6) == 0 => format!("{end}{}", " ".repeat(random.below(9))),
                6 => " ".repeat(1 + random.below(3)),
                _ => gap.to_string(),
            };
            // A comment stays on the line it stood on, and off any other.
            let lines = gap.contains('\n');
            out += &match comment {
                true if lines && !between.contains('\n') => end.to_string(),
                true if !lines => "  ".to_string(),
                _ => between,
            };
            if style == 5 && !comment && !gap.is_empty() && random.below(8) == 0 {
                let own = if random.below(2) == 0 { end } else { " " };
                out += &format!("{own}{}{end}", random.of(&COMMENTS));
            }
        }
        out += &text[range.clone()];
        before = Some((range, comment));
    }
    out += &end.repeat(random.below(3));
    out
}

/// A text with one to three things wrong in it.
pub fn damaged(text: &str, random: &mut Random) -> String {
    let mut out = text.to_string();
    for _ in 0..=random.below(3) {
        let bytes: Vec<usize> = out.char_indices().map(|(i, _)| i).collect();
        let words: Vec<Range<usize>> = words(&out);
        if words.is_empty() || bytes.is_empty() {
            continue;
        }
        let word = random.of(&words).clone();
        match random.below(12) {
            0 | 1 => out.replace_range(word, ""),
            2 => {
                let other = out[random.of(&words).clone()].to_string();
                out.replace_range(word, &other);
            }
            3 => {
                let again = format!("{0} {0}", &out[word.clone()]);
                out.replace_range(word, &again);
            }
            4 => out.insert_str(*random.of(&bytes), random.word(&["{", "}", "(", ")", "\"", ",", "[", "]"])),
            5 => out.insert_str(
                *random.of(&bytes),
                random.word(&["\n", "\n\n\n", "é", "“", "\u{200b}", "\t", ";", "\u{a0}"]),
            ),
            6 => {
                let at = *random.of(&bytes);
                out.truncate(at);
            }
            7 => {
                let line = line_start(&out, word.start);
                out.insert_str(
                    line,
                    random.word(&["let = 5\n", "part of board { x: }\n", "foo bar\n", "}\n", "house {\n"]),
                );
            }
            8 => {
                let (a, b) = (line_start(&out, word.start), line_start(&out, *random.of(&bytes)));
                let (a, b) = (a.min(b), a.max(b));
                let ours = out[a..b].to_string();
                out.replace_range(
                    a..b,
                    &format!("<<<<<<< ours\n{ours}=======\nlet theirs = 5mm\n>>>>>>> theirs\n"),
                );
            }
            9 => {
                let line = line_start(&out, word.start);
                out.insert_str(
                    line,
                    random.word(&["=======\n", "<<<<<<< HEAD\n", ">>>>>>> a\n", "||||||| b\n"]),
                );
            }
            10 => out.insert_str(word.end, random.word(&["\"", "'", " mm", "..", " ="])),
            _ => {
                let line = line_start(&out, word.start);
                let end = out[line..].find('\n').map_or(out.len(), |n| line + n + 1);
                out.replace_range(line..end, "");
            }
        }
    }
    out
}

fn words(text: &str) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    let mut at = 0;
    for word in text.split_whitespace() {
        let start = at + text[at..].find(word).unwrap();
        at = start + word.len();
        out.push(start..at);
    }
    out
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |n| n + 1)
}

/// Where the broken statements of a file stand.
pub fn broken(file: &File) -> Vec<Range<usize>> {
    let mut out = Vec::new();
    inside(&file.items, &mut out);
    out
}

fn inside(all: &[Stmt], out: &mut Vec<Range<usize>>) {
    let mut block = |b: &Block| inside(&b.stmts, out);
    for s in all {
        match &s.kind {
            StmtKind::Broken => {}
            StmtKind::Def(d) => match &d.body {
                DefBody::Block(b) | DefBody::Derived(_, b) => block(b),
                DefBody::Value(..) => {}
            },
            StmtKind::Place(p) => block(&p.extras),
            StmtKind::For(f) => block(&f.body),
            StmtKind::Test(t) => block(&t.body),
            StmtKind::If(i) => {
                block(&i.then);
                i.otherwise.iter().for_each(&mut block);
            }
            _ => {}
        }
    }
    let own = all.iter().filter(|s| matches!(s.kind, StmtKind::Broken));
    out.extend(own.map(|s| s.span.start as usize..s.span.end as usize));
}

/// Where statements start beside which a `let` may stand.
pub fn statement_starts(file: &File) -> Vec<usize> {
    fn inside(all: &[Stmt], out: &mut Vec<usize>) {
        for s in all {
            if !matches!(s.kind, StmtKind::Field(_)) {
                out.push(s.span.start as usize);
            }
            match &s.kind {
                StmtKind::Def(d) => match &d.body {
                    DefBody::Block(b) | DefBody::Derived(_, b) => inside(&b.stmts, out),
                    DefBody::Value(..) => {}
                },
                StmtKind::Place(p) => inside(&p.extras.stmts, out),
                StmtKind::For(f) => inside(&f.body.stmts, out),
                StmtKind::Test(t) => inside(&t.body.stmts, out),
                StmtKind::If(i) => inside(&i.then.stmts, out),
                _ => {}
            }
        }
    }
    let mut out = Vec::new();
    inside(&file.items, &mut out);
    out
}

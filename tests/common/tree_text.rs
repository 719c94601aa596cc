//! Texts rewritten by the spans of their tree: statements in another order, without comments, on one
//! line.

use aumbry::sources::{Sources, Span};
use aumbry::syntax::parse;
use aumbry::syntax::tree::{Block, DefBody, Envelope, Field, File, Kind, Stmt, StmtKind};
use std::ops::Range;

fn read(text: &str) -> File {
    let mut sources = Sources::new();
    let id = sources.add("text.aum", text, false);
    let (file, messages) = parse(&sources, id);
    assert_eq!(messages, [], "{text}");
    file
}

/// The text with every comment overwritten by blanks.
pub fn plain(text: &str) -> String {
    let mut bytes = text.as_bytes().to_vec();
    for t in read(text).trivia {
        for byte in &mut bytes[t.span.start as usize..t.span.end as usize] {
            if *byte != b'\n' {
                *byte = b' ';
            }
        }
    }
    String::from_utf8(bytes).expect("whole characters were overwritten")
}

/// The text without comments, on one line.
pub fn joined(text: &str) -> String {
    plain(text).split_whitespace().collect::<Vec<_>>().join(" ")
}

/// The bytes of every token: words, numbers with their units, texts, signs.
pub fn token_ranges(text: &str) -> Vec<Range<usize>> {
    let text = plain(text);
    let bytes = text.as_bytes();
    let run = |mut at: usize, test: &dyn Fn(u8) -> bool| {
        while bytes.get(at).is_some_and(|b| test(*b)) {
            at += 1;
        }
        at
    };
    let (word, digit) = (|b: u8| b.is_ascii_alphanumeric() || b == b'_', |b: u8| b.is_ascii_digit());
    let mut out = Vec::new();
    let mut at = 0;
    while at < bytes.len() {
        let start = at;
        at = match bytes[at] {
            b if b.is_ascii_whitespace() => {
                at += 1;
                continue;
            }
            b'"' => run(at + 1, &|b| b != b'"') + 1,
            b if digit(b) => {
                let mut end = run(at, &digit);
                if bytes.get(end) == Some(&b'.') && bytes.get(end + 1).is_some_and(|b| digit(*b)) {
                    end = run(end + 1, &digit);
                }
                // `23 7/16in`
                if bytes.get(end) == Some(&b' ') && bytes.get(end + 1).is_some_and(|b| digit(*b)) {
                    let whole = run(end + 1, &digit);
                    if bytes.get(whole) == Some(&b'/') {
                        end = whole;
                    }
                }
                if bytes.get(end) == Some(&b'/') && bytes.get(end + 1).is_some_and(|b| digit(*b)) {
                    end = run(end + 1, &digit);
                }
                let unit = run(end, &word);
                // `480kg/m3`, `9000N/mm2`
                let over = bytes.get(unit) == Some(&b'/')
                    && bytes.get(unit + 1).is_some_and(u8::is_ascii_alphabetic);
                if unit > end && over { run(unit + 1, &word) } else { unit }
            }
            b if word(b) => run(at, &word),
            b'.' | b'=' | b'!' | b'<' | b'>' if matches!(bytes.get(at + 1), Some(b'.' | b'=')) => at + 2,
            _ => at + 1,
        };
        out.push(start..at);
    }
    out
}

/// A stretch of text with the lists of statements in it that may be put in another order.
struct Node {
    span: Range<usize>,
    groups: Vec<Vec<Node>>,
}

fn range(span: Span) -> Range<usize> {
    span.start as usize..span.end as usize
}

fn block(b: &Block) -> Vec<Node> {
    b.stmts.iter().map(statement).collect()
}

fn fields(all: &[Field]) -> Vec<Node> {
    let one =
        |f: &Field| Node { span: f.label.span.start as usize..f.value.span.end as usize, groups: Vec::new() };
    all.iter().map(one).collect()
}

fn statement(s: &Stmt) -> Node {
    let groups = match &s.kind {
        StmtKind::House(f) => vec![fields(f)],
        StmtKind::Def(d) => match &d.body {
            DefBody::Block(b) | DefBody::Derived(_, b) => vec![block(b)],
            DefBody::Value(..) => Vec::new(),
        },
        StmtKind::Part(p) => vec![fields(&p.ranges)],
        StmtKind::Pair(p) => vec![fields(&p.first.ranges)],
        StmtKind::Space(p) => vec![fields(&p.ranges)],
        StmtKind::Envelope(Envelope::Ranges(f, _)) => vec![fields(f)],
        // From left to right along a wall: each stays where it is, and may change within.
        StmtKind::Place(p) if p.kind == Kind::Row => block(&p.extras).into_iter().map(|n| vec![n]).collect(),
        StmtKind::Place(p) => vec![block(&p.extras)],
        StmtKind::For(f) => vec![block(&f.body)],
        StmtKind::If(i) => {
            let otherwise = i.otherwise.iter().map(block);
            std::iter::once(block(&i.then)).chain(otherwise).collect()
        }
        StmtKind::Test(t) => vec![block(&t.body)],
        _ => Vec::new(),
    };
    Node { span: range(s.span), groups: groups.into_iter().filter(|g| !g.is_empty()).collect() }
}

/// Numbers in an order that a seed sets (xorshift, Marsaglia 2003).
struct Random(u64);

impl Random {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n as u64) as usize
    }
}

fn rewrite(text: &str, span: Range<usize>, groups: &[Vec<Node>], random: &mut Random, out: &mut String) {
    let mut at = span.start;
    for group in groups {
        let (Some(first), Some(last)) = (group.first(), group.last()) else { continue };
        out.push_str(&text[at..first.span.start]);
        let mut order: Vec<&Node> = group.iter().collect();
        for i in (1..order.len()).rev() {
            order.swap(i, random.below(i + 1));
        }
        for node in order {
            rewrite(text, node.span.clone(), &node.groups, random, out);
            out.push('\n');
        }
        at = last.span.end;
        // A comma may stand after the last of some fields, which is now in their middle.
        let rest = &text[at..span.end.max(at)];
        at += rest.len() - rest.trim_start_matches([',', ' ', '\n']).len();
    }
    out.push_str(&text[at..span.end]);
}

/// The text without comments, its statements in an order that the seed sets, on every level.
pub fn shuffled(text: &str, seed: u64) -> String {
    let text = plain(text);
    let file = read(&text);
    let items: Vec<Node> = file.items.iter().map(statement).collect();
    let mut random = Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
    let mut out = String::new();
    rewrite(&text, 0..text.len(), &[items], &mut random, &mut out);
    out
}

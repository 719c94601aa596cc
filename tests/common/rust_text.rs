//! Tokens of Rust text, as far as the tests of structure need them: comments are left out, a string is
//! one token with its contents.

/// What a token is.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    Word,
    Number,
    /// A string literal; the text is what stands between its quotes.
    Text,
    Sign,
}

/// One token.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Token {
    pub kind: Kind,
    pub text: String,
    /// From 1.
    pub line: usize,
}

/// The tokens of a text.
pub fn tokens(text: &str) -> Vec<Token> {
    let chars: Vec<char> = text.chars().collect();
    let at = |i: usize| chars.get(i).copied().unwrap_or('\0');
    let mut out = Vec::new();
    let (mut i, mut line) = (0, 1);
    while i < chars.len() {
        let start = i;
        let from = line;
        let mut push = |kind, text: String| out.push(Token { kind, text, line: from });
        match at(i) {
            '\n' => {
                line += 1;
                i += 1;
            }
            c if c.is_whitespace() => i += 1,
            '/' if at(i + 1) == '/' => {
                while i < chars.len() && at(i) != '\n' {
                    i += 1;
                }
            }
            '/' if at(i + 1) == '*' => {
                let mut depth = 0;
                loop {
                    match (at(i), at(i + 1)) {
                        ('/', '*') => {
                            depth += 1;
                            i += 2;
                        }
                        ('*', '/') => {
                            depth -= 1;
                            i += 2;
                        }
                        (c, _) => {
                            line += usize::from(c == '\n');
                            i += 1;
                        }
                    }
                    if depth == 0 || i >= chars.len() {
                        break;
                    }
                }
            }
            c if c.is_alphabetic() || c == '_' => {
                while at(i).is_alphanumeric() || at(i) == '_' {
                    i += 1;
                }
                let word: String = chars[start..i].iter().collect();
                let hashes = (i..).take_while(|n| at(*n) == '#').count();
                if ["r", "br", "cr"].contains(&word.as_str()) && at(i + hashes) == '"' {
                    let body = i + hashes + 1;
                    let closes = |n: usize| at(n) == '"' && (1..=hashes).all(|h| at(n + h) == '#');
                    let mut end = body;
                    while end < chars.len() && !closes(end) {
                        line += usize::from(at(end) == '\n');
                        end += 1;
                    }
                    push(Kind::Text, chars[body.min(end)..end].iter().collect());
                    i = end + 1 + hashes;
                } else if !(["b", "c"].contains(&word.as_str()) && at(i) == '"') {
                    push(Kind::Word, word);
                }
            }
            '"' => {
                i += 1;
                while i < chars.len() && at(i) != '"' {
                    i += if at(i) == '\\' { 1 } else { 0 };
                    line += usize::from(at(i) == '\n');
                    i += 1;
                }
                push(Kind::Text, chars[start + 1..i.min(chars.len())].iter().collect());
                i += 1;
            }
            // A character, or a lifetime.
            '\'' if at(i + 1) == '\\' || at(i + 2) == '\'' => {
                i += if at(i + 1) == '\\' { 3 } else { 2 };
                while i < chars.len() && at(i) != '\'' {
                    i += 1;
                }
                i += 1;
            }
            '\'' => i += 1,
            c if c.is_ascii_digit() => {
                while at(i).is_alphanumeric() || at(i) == '_' || at(i) == '.' && at(i + 1).is_ascii_digit() {
                    i += 1;
                }
                // The index of a tuple in a tuple, `a.0.1`, is no float.
                let after_stop = start > 0 && at(start - 1) == '.' && !(start > 1 && at(start - 2) == '.');
                let text: String = chars[start..i].iter().collect();
                push(Kind::Number, if after_stop { text.replace('.', "_") } else { text });
            }
            ':' if at(i + 1) == ':' => {
                i += 2;
                push(Kind::Sign, "::".to_string());
            }
            c => {
                i += 1;
                push(Kind::Sign, c.to_string());
            }
        }
    }
    out
}

#[test]
fn text_and_comments_are_told_apart() {
    let found: Vec<(Kind, String)> = tokens(
        "// a\nlet b = \"c \\\" d\"; /* e /* f */ g */ h('i', '\\'', 'j: &'k str, r#\"l \" m\"#, 0x1f, 2.5, x.0.1, 1..2)",
    )
    .into_iter()
    .map(|t| (t.kind, t.text))
    .filter(|(k, _)| *k != Kind::Sign)
    .collect();
    let expected = [
        (Kind::Word, "let"),
        (Kind::Word, "b"),
        (Kind::Text, "c \\\" d"),
        (Kind::Word, "h"),
        (Kind::Word, "j"),
        (Kind::Word, "k"),
        (Kind::Word, "str"),
        (Kind::Text, "l \" m"),
        (Kind::Number, "0x1f"),
        (Kind::Number, "2.5"),
        (Kind::Word, "x"),
        (Kind::Number, "0_1"),
        (Kind::Number, "1"),
        (Kind::Number, "2"),
    ];
    assert_eq!(found, expected.map(|(k, t)| (k, t.to_string())));
}

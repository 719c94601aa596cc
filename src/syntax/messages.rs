//! From what pest expected to plain words.

use super::grammar::{Fault, Rule};
use super::scan::{Scan, TokenKind};
use super::starts::KINDS;
use crate::diagnostics::{Diagnostic, nearest};
use pest::error::{ErrorVariant, InputLocation};

/// A message about one statement.
pub(super) struct Told {
    pub message: Diagnostic,
    /// The `{` after the head is missing.
    pub wants_brace: bool,
}

/// The words a statement can start with.
const OPENING: [&str; 31] = [
    "use", "house", "def", "let", "part", "pair", "space", "envelope", "gap", "for", "if", "require", "warn",
    "accept", "test", "expect", "proud", "loose", "mirrored", "box", "joint", "fitting", "board", "band",
    "item", "fn", "wall", "row", "obstacle", "drill", "edge",
];

/// How a statement with this first word is written.
fn pattern(word: &str, second: &str) -> Option<String> {
    let fixed = match word {
        "use" => "use std.boxes (NAME, …)",
        "house" if second == "field" => "house field NAME: TYPE = value",
        "house" => "house { label: value }",
        "def" if second == "fn" => "def fn NAME(name: type, …): TYPE = value",
        "def" => "def KIND NAME(name: type, …) { … }",
        "let" => "let NAME = value",
        "gap" => "gap NAME = width",
        "part" | "proud" | "loose" => "part NAME of BOARD { x: … y: … z: … }",
        "pair" => "pair NAME, NAME of BOARD { x: … y: … z: … }",
        "space" => "space NAME { x: … y: … z: … }",
        "envelope" => "envelope (width, height, depth)",
        "for" => "for NAME in LIST { … }",
        "if" => "if CONDITION { … }",
        "require" => "require CONDITION else CODE \"message\"",
        "warn" => "warn CONDITION else CODE \"message\"",
        "accept" => "accept(CODE, because: \"reason\")",
        "test" => "test \"name\" { … }",
        "expect" => "expect CONDITION",
        "joint" => "joint TYPE(…)",
        "mirrored" => "mirrored box NAME = TYPE(…)",
        _ if KINDS.contains(&word) => return Some(format!("{word} NAME = TYPE(…)")),
        _ => return None,
    };
    Some(fixed.to_string())
}

/// What a rule asks for, in words; `None` where it only could go on.
fn wanted(rule: Rule) -> Option<&'static str> {
    Some(match rule {
        Rule::statement => "a statement",
        Rule::expression
        | Rule::value
        | Rule::number
        | Rule::text
        | Rule::named
        | Rule::list
        | Rule::group
        | Rule::constant
        | Rule::if_value
        | Rule::prefix
        | Rule::arg => "a value",
        Rule::name | Rule::use_name | Rule::param => "a name",
        Rule::label | Rule::field | Rule::lone_field => "a label",
        Rule::colon => "`:`",
        Rule::equals => "`=`",
        Rule::comma => "`,`",
        Rule::block | Rule::fields | Rule::open_brace => "`{`",
        Rule::close_brace => "`}`",
        Rule::open_round | Rule::args => "`(`",
        Rule::close_round => "`)`",
        Rule::close_square => "`]`",
        Rule::of_word => "`of`",
        Rule::in_word => "`in`",
        Rule::then_word => "`then`",
        Rule::else_word => "`else`",
        Rule::part_word => "`part`",
        Rule::because_word => "`because:`",
        Rule::none_word => "`none`",
        Rule::list_of | Rule::grouped | Rule::choice | Rule::type_name | Rule::type_ => "a type",
        Rule::kind => "a kind such as `box`",
        Rule::code | Rule::dotted_code => "a code such as `too-narrow`",
        Rule::library => "a library such as `std.boxes`",
        Rule::each => "a name",
        Rule::call => "a type with its brackets",
        Rule::if_ => "`if`",
        _ => return None,
    })
}

/// The message for a statement from token `at` up to `end` that pest could not read; `base` is where
/// the text starts that pest was given.
pub(super) fn explain(scan: &Scan, at: usize, end: usize, fault: &Fault, base: usize, fields: bool) -> Told {
    let (InputLocation::Pos(place) | InputLocation::Span((place, _))) = fault.location;
    let place = base + place;
    let found = scan.token_at(place).min(end);
    let positives = match &fault.variant {
        ErrorVariant::ParsingError { positives, .. } => positives.as_slice(),
        ErrorVariant::CustomError { .. } => {
            let message = Diagnostic::error(
                "nesting-too-deep",
                "What is written here nests too deep.",
                scan.token_span(at),
                "in this statement",
            );
            let help = "Give an inner part a name of its own with `let`.";
            return Told { message: message.help(help), wants_brace: false };
        }
    };
    let at_end = found >= end;
    let wants_brace = positives.iter().any(|r| matches!(r, Rule::block | Rule::fields | Rule::open_brace));
    let context = Context { scan, at, end, found, at_end, positives, fields };
    // `envelope x: …` has been read as the space `x`.
    let fieldless = scan.word(at) == "envelope" && scan.word(found) == ":" && !at_end;
    if fieldless {
        let span = scan.token_span(at);
        let message =
            Diagnostic::error("syntax", "Expected `{` after `envelope`.", span.after(), "`{` belongs here");
        let help = "It is written `envelope { x: … y: … z: … }`.";
        return Told { message: message.help(help), wants_brace: true };
    }
    let message = context.special().unwrap_or_else(|| context.general());
    Told { message, wants_brace }
}

struct Context<'a> {
    scan: &'a Scan,
    at: usize,
    end: usize,
    found: usize,
    at_end: bool,
    positives: &'a [Rule],
    fields: bool,
}

impl Context<'_> {
    fn wants(&self, rule: Rule) -> bool {
        self.positives.contains(&rule)
    }

    fn word(&self, token: usize) -> &str {
        if token < self.end { self.scan.word(token) } else { "" }
    }

    fn before(&self) -> usize {
        self.found.max(self.at + 1) - 1
    }

    /// Faults that have a better message than what was expected.
    fn special(&self) -> Option<Diagnostic> {
        let (at, found) = (self.at, self.found);
        let (word, here) = (self.word(at), self.word(found));
        let span = self.scan.token_span(found);
        let say = |code, message: &str, label: &str, help: &str| {
            Some(Diagnostic::error(code, message, span, label).help(help))
        };
        if KINDS.contains(&word) && self.word(at + 1) == "[" {
            let help = format!("Write `{word} NAME[count] = TYPE(…)`.");
            return say("count-first", "The count stands after the name.", "this is before the name", &help);
        }
        if self.at_end {
            return None;
        }
        let before = self.before();
        let spelt = |right: &str| {
            Some(
                Diagnostic::error(
                    "syntax",
                    format!("`{here}` is written `{right}` here."),
                    span,
                    "this sign",
                )
                .help(format!("Write `{right}`.")),
            )
        };
        match here {
            ";" => {
                return say(
                    "syntax",
                    "No `;` is needed: a statement ends where the next one starts.",
                    "delete this",
                    "Delete it.",
                );
            }
            "&&" | "&" => return spelt("and"),
            "||" | "|" => return spelt("or"),
            "!" => return spelt("not"),
            "'" => {
                return say("syntax", "Text stands in double quotes.", "a single quote", "Write `\"…\"`.");
            }
            "#" => return say("syntax", "A comment starts with `//`.", "not a comment", "Write `// …`."),
            "/" if self.word(found + 1) == "*" => {
                return say(
                    "syntax",
                    "A comment starts with `//`.",
                    "not a comment",
                    "Write `// …` on each line.",
                );
            }
            "=" if self.labelled(before) => {
                let help = format!("Write `{}: …`.", self.scan.word(before));
                return say("syntax", "A label takes a colon, not `=`.", "write `:`", &help);
            }
            "=" if self.wants(Rule::infix) && !self.wants(Rule::close_square) => {
                return self.compared(span);
            }
            "@" | "$" | "%" | "^" | "~" | "`" | "\\" | "?" => {
                let message = format!("`{here}` has no meaning here.");
                return say("bad-character", &message, "this character", "Delete it.");
            }
            ":" if self.wants(Rule::equals) => {
                let help = pattern(word, self.word(at + 1)).unwrap_or("let NAME = value".to_string());
                return say(
                    "syntax",
                    "Here a value is given with `=`, not `:`.",
                    "write `=`",
                    &format!("Write `{help}`."),
                );
            }
            "(" if before > at && matches!(self.word(before - 1), ".") => {
                return say(
                    "syntax",
                    "Only a plain name can have brackets after it.",
                    "these brackets",
                    "What belongs to a thing is read without brackets: `shelf.count`.",
                );
            }
            ")" | "]" if self.ends_nothing(here) => {
                let label = "nothing is open here";
                return say(
                    "syntax",
                    &format!("This `{here}` closes nothing."),
                    label,
                    "Delete it, or look for the opening one that is missing.",
                );
            }
            _ => {}
        }
        let is_word = self.kind(at) == Some(TokenKind::Word);
        if found == at + 1 && !self.fields && is_word && self.wants(Rule::colon) && !OPENING.contains(&word) {
            return Some(self.no_statement(word));
        }
        None
    }

    /// One `=` where two are compared.
    fn compared(&self, span: crate::sources::Span) -> Option<Diagnostic> {
        let message = "One `=` gives a value to a name; two values are compared with `==`.";
        Some(Diagnostic::error("syntax", message, span, "write `==`").help("Write `==` to compare."))
    }

    fn kind(&self, token: usize) -> Option<TokenKind> {
        self.scan.tokens.get(token).map(|t| t.kind)
    }

    /// True for a word where a label may stand: first in a field, or after `(` or `,`.
    fn labelled(&self, token: usize) -> bool {
        let first = self.fields && token == self.at;
        let listed = token > self.at && matches!(self.word(token - 1), "(" | ",");
        self.kind(token) == Some(TokenKind::Word) && (first || (listed && self.in_brackets()))
    }

    /// How the brackets before the fault stand.
    fn in_brackets(&self) -> bool {
        let mut depth = 0i32;
        for t in self.at..self.found {
            match self.word(t) {
                "(" | "[" => depth += 1,
                ")" | "]" => depth -= 1,
                _ => {}
            }
        }
        depth > 0
    }

    fn ends_nothing(&self, close: &str) -> bool {
        let open = if close == ")" { "(" } else { "[" };
        let words = (self.at..self.found).map(|t| self.word(t));
        let mut depth = 0usize;
        for w in words {
            if w == open {
                depth += 1;
            } else if w == close {
                depth = depth.saturating_sub(1);
            }
        }
        depth == 0
    }

    /// A first word that starts no statement.
    fn no_statement(&self, word: &str) -> Diagnostic {
        let span = self.scan.token_span(self.at);
        let say = format!("`{word}` starts no statement.");
        let d = Diagnostic::error("syntax", say, span, "this word");
        if self.word(self.found) == "=" {
            return d.help(format!("To name a value write `let {word} = …`."));
        }
        match nearest(word, OPENING) {
            Some(near) => d.help(format!("Did you mean `{near}`?")),
            None => d.help("A statement starts with a word such as `part`, `box`, `joint` or `let`."),
        }
    }

    fn general(&self) -> Diagnostic {
        let phrases = self.phrases();
        let word = self.word(self.at);
        let before = self.scan.token_span(self.before());
        let shown = |t: usize| match self.scan.tokens.get(t) {
            Some(token) if token.end - token.start > 24 => match token.kind {
                TokenKind::Text => "a text".to_string(),
                _ => "this".to_string(),
            },
            _ => format!("`{}`", self.scan.word(t)),
        };
        let pattern = pattern(word, self.word(self.at + 1)).filter(|_| !self.in_brackets());
        let help = pattern.map(|p| format!("It is written `{p}`."));
        let message = if self.found == self.at && !self.at_end {
            let what = if self.fields { "a label, as in `x: …`" } else { "a word such as `part` or `let`" };
            let say = format!("{} cannot start a statement.", capital(&shown(self.found)));
            let d = Diagnostic::error("syntax", say, self.scan.token_span(self.found), "this");
            return d.help(format!("A statement starts with {what}."));
        } else if phrases.is_empty() {
            let say = if self.at_end {
                format!("This statement breaks off after {}.", shown(self.before()))
            } else {
                format!("{} does not belong here.", capital(&shown(self.found)))
            };
            let span = if self.at_end { before.after() } else { self.scan.token_span(self.found) };
            Diagnostic::error("syntax", say, span, "not expected")
        } else {
            let phrase = either(&phrases);
            let d = Diagnostic::error(
                "syntax",
                format!("Expected {phrase} after {}.", shown(self.before())),
                before.after(),
                format!("{phrase} belongs here"),
            );
            let same_line = self.scan.tokens.get(self.found).is_some_and(|t| !t.first);
            if self.at_end || !same_line {
                d
            } else {
                d.label(self.scan.token_span(self.found), "found this instead")
            }
        };
        match help {
            Some(help) => message.help(help),
            None => message.help(self.hint(&phrases)),
        }
    }

    fn hint(&self, phrases: &[&str]) -> String {
        match phrases {
            [] => "A statement starts with a word such as `part`, or with `label:`.".to_string(),
            [one, ..] => format!("Write {one} there."),
        }
    }

    /// What was expected; what only could go on is left out where something is due.
    fn phrases(&self) -> Vec<&'static str> {
        let goes_on = self.wants(Rule::infix);
        let value = self.wants(Rule::value) || self.wants(Rule::expression) || self.wants(Rule::number);
        let known = !self.fields && pattern(self.word(self.at), "").is_some();
        let bracketed = matches!(self.word(self.at), "envelope" | "accept");
        let nameless = self.word(self.found.max(1) - 1) == "of" && self.found == self.at + 2;
        if nameless && self.wants(Rule::of_word) {
            return vec!["a name"];
        }
        let mut out: Vec<&'static str> = Vec::new();
        for rule in self.positives {
            let due = match rule {
                // `else` is due after the condition of a rule, and after `then`.
                Rule::else_word => matches!(self.word(self.at), "require" | "warn") || self.open_then(),
                // A keyword could have been a label or a verb; nobody meant that.
                Rule::args | Rule::colon if known && self.found == self.at + 1 => false,
                Rule::open_round if known && !bracketed && self.found == self.at + 1 => false,
                Rule::args | Rule::open_square | Rule::open_round => !goes_on && !value,
                Rule::comma => !goes_on || self.in_brackets(),
                Rule::text => !goes_on && !value,
                Rule::name | Rule::use_name => !value,
                _ => true,
            };
            let phrase = if *rule == Rule::text { Some("a text in quotes") } else { wanted(*rule) };
            if let Some(phrase) = phrase.filter(|_| due) {
                let after_point = phrase == "a label" && self.word(self.before()) == ".";
                let phrase = if after_point { "a name" } else { phrase };
                if !out.contains(&phrase) {
                    out.push(phrase);
                }
            }
        }
        // The comma is what is missing between two values; the bracket is what is missing at the end.
        let closing = ["`)`", "`]`", "`{`"];
        if self.at_end && out.iter().any(|p| closing.contains(p)) {
            out.retain(|p| closing.contains(p));
        }
        out.sort_by_key(|p| *p != "`,`");
        out.truncate(4);
        out
    }

    /// True where an `if … then` before the fault has no `else` yet.
    fn open_then(&self) -> bool {
        let words = (self.at..self.found).map(|t| self.word(t));
        let mut open = 0i32;
        for w in words {
            match w {
                "then" => open += 1,
                "else" => open -= 1,
                _ => {}
            }
        }
        open > 0
    }
}

fn either(phrases: &[&str]) -> String {
    match phrases {
        [] => String::new(),
        [one] => (*one).to_string(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    match chars.next() {
        Some(c) => c.to_uppercase().chain(chars).collect(),
        None => String::new(),
    }
}

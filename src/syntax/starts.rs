//! Where statements seem to start, for the recovery only.

use super::scan::{Scan, TokenKind};

/// The words that name a kind.
pub(super) const KINDS: [&str; 10] =
    ["box", "joint", "fitting", "board", "band", "item", "fn", "wall", "row", "obstacle"];

/// Words that go on with what stands before them; none of them is a name after a keyword.
const JOINING: [&str; 19] = [
    "or", "and", "not", "after", "before", "to", "then", "else", "where", "for", "if", "in", "of", "along",
    "at", "was", "as", "share", "is",
];

/// Words that at the start of a line still go on with the line above.
const CONTINUING: [&str; 15] = [
    "or", "and", "after", "before", "to", "then", "else", "where", "of", "along", "in", "at", "was", "as",
    "is",
];

/// Items that are never nested, so that at the start of a line they end whatever is open.
const OUTERMOST: [&str; 5] = ["def", "use", "house", "wall", "row"];

/// How far a look ahead goes, in tokens.
const FAR: usize = 2000;

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Start {
    /// A keyword or kind word before a name, and the like; no expression holds that.
    Statement,
    /// `label:`; in brackets this may be an argument.
    Label,
    /// `name(`; this may be a call.
    Verb,
}

pub(super) struct Starts<'s> {
    scan: &'s Scan,
    /// Tokens that start an item at the start of a line though a brace is open, in order.
    hard: Vec<usize>,
}

impl<'s> Starts<'s> {
    /// Looks for starts in a scanned text.
    pub fn new(scan: &'s Scan) -> Starts<'s> {
        let mut starts = Starts { scan, hard: Vec::new() };
        starts.hard = starts.find_hard();
        starts
    }

    fn kind(&self, at: usize) -> Option<TokenKind> {
        self.scan.tokens.get(at).map(|t| t.kind)
    }

    fn first(&self, at: usize) -> bool {
        self.scan.tokens.get(at).is_some_and(|t| t.first)
    }

    fn column(&self, at: usize) -> usize {
        self.scan.tokens.get(at).map_or(0, |t| t.column)
    }

    /// Where the line of a token starts.
    pub fn line_column(&self, mut at: usize) -> usize {
        while at > 0 && !self.first(at) {
            at -= 1;
        }
        self.column(at)
    }

    /// What seems to start at a token.
    pub fn at(&self, at: usize) -> Option<Start> {
        if self.kind(at) != Some(TokenKind::Word) {
            return None;
        }
        let (word, next) = (self.scan.word(at), self.scan.word(at + 1));
        if next == ":" {
            return Some(Start::Label);
        }
        // `def box` and `proud part` have started before.
        if at > 0 && matches!(self.scan.word(at - 1), "def" | "proud" | "loose" | "mirrored") {
            return None;
        }
        if word == "if" && at > 0 && self.scan.word(at - 1) == "else" {
            return None;
        }
        let named = self.kind(at + 1) == Some(TokenKind::Word) && !JOINING.contains(&next);
        let first = self.first(at);
        let text = self.kind(at + 1) == Some(TokenKind::Text);
        let statement = match word {
            "let" | "space" | "gap" => named || (first && matches!(next, "=" | "{")),
            "part" | "pair" => named || (first && matches!(next, "of" | "," | "[")),
            "proud" | "loose" => matches!(next, "part" | "pair" | "proud" | "loose"),
            "mirrored" => KINDS.contains(&next),
            "use" => named || text,
            "house" => next == "{" || next == "field",
            "def" => named,
            "envelope" => named || matches!(next, "(" | "{"),
            "accept" => next == "(",
            "test" => text || (first && next == "{"),
            "require" | "warn" | "expect" => {
                let value = matches!(self.kind(at + 1), Some(TokenKind::Number | TokenKind::Text));
                value || named || matches!(next, "(" | "-" | "not" | "if")
            }
            "for" => (named || (first && next == "in")) && self.brace_follows(at),
            "if" => self.brace_follows(at),
            word if KINDS.contains(&word) => {
                let third = self.scan.word(at + 2);
                (named && (matches!(third, "=" | "[" | "(") || (first && third != ":")))
                    || (first && matches!(next, "=" | "["))
            }
            _ => false,
        };
        if statement {
            return Some(Start::Statement);
        }
        (next == "(" && !JOINING.contains(&word)).then_some(Start::Verb)
    }

    /// True where `for` or `if` leads to a `{`, as a statement does and an expression does not.
    fn brace_follows(&self, at: usize) -> bool {
        let mut depth = 0i32;
        for t in at + 1..(at + FAR / 10).min(self.scan.tokens.len()) {
            match self.scan.word(t) {
                "{" => return true,
                "}" => return false,
                // Within an `if` statement's condition, `then` belongs to an expression in brackets.
                "then" if depth == 0 => return false,
                "(" | "[" => depth += 1,
                ")" | "]" => {
                    depth -= 1;
                    if depth < 0 {
                        return false;
                    }
                }
                "let" | "part" | "pair" | "def" | "use" if self.first(t) => return false,
                _ => {}
            }
        }
        false
    }

    /// True for an item at the start of a line that ends whatever is open before it.
    pub fn hard(&self, at: usize) -> bool {
        self.hard.binary_search(&at).is_ok()
    }

    /// The next such item after a token.
    pub fn next_hard(&self, at: usize) -> Option<usize> {
        self.hard.get(self.hard.partition_point(|t| *t <= at)).copied()
    }

    fn find_hard(&self) -> Vec<usize> {
        let outermost = |t: usize| {
            self.first(t)
                && self.column(t) == 0
                && OUTERMOST.contains(&self.scan.word(t))
                && self.at(t) == Some(Start::Statement)
        };
        let count = self.scan.tokens.len();
        // Which outer braces are closed before the next outermost item?
        let mut closed = vec![false; count];
        let mut open = Vec::new();
        for t in 0..count {
            if outermost(t) {
                open.clear();
            }
            match self.scan.word(t) {
                "{" => open.push(t),
                "}" => {
                    if let Some(o) = open.pop().and_then(|o| closed.get_mut(o)) {
                        *o = true;
                    }
                }
                _ => {}
            }
        }
        let mut hard = Vec::new();
        open.clear();
        for t in 0..count {
            let in_column = self.first(t) && self.column(t) == 0 && self.at(t) == Some(Start::Statement);
            if in_column {
                let never = open.first().is_some_and(|o| closed.get(*o) == Some(&false));
                if never || outermost(t) {
                    hard.push(t);
                    open.clear();
                }
            }
            match self.scan.word(t) {
                "{" => open.push(t),
                "}" => {
                    open.pop();
                }
                _ => {}
            }
        }
        hard
    }

    /// True for a statement whose braces hold only `label: value`.
    pub fn has_fields(&self, at: usize) -> bool {
        match self.scan.word(at) {
            "part" | "pair" | "space" | "envelope" | "proud" | "loose" => true,
            "house" => self.scan.word(at + 1) == "{",
            _ => false,
        }
    }

    /// True where the round and square brackets after a token match before the next statement that
    /// is surely one.
    pub fn balanced(&self, at: usize) -> bool {
        let mut open = Vec::new();
        for t in at..(at + FAR).min(self.scan.tokens.len()) {
            let sure = t > at && self.at(t) == Some(Start::Statement) && self.apart(t);
            let word = self.scan.word(t);
            if sure || (t > at && matches!(word, "{" | "}")) || (t > at && self.hard(t)) {
                break;
            }
            bracket(&mut open, word);
        }
        open.is_empty()
    }

    /// True where what stands before a token cannot be the list it is part of.
    fn apart(&self, at: usize) -> bool {
        self.first(at) || !matches!(self.scan.word(at.max(1) - 1), "," | "(" | "[")
    }

    /// Where a broken statement ends that starts at `at`, looking from `from` on: at the next
    /// statement, or at a brace.
    pub fn stop(&self, at: usize, from: usize, column: usize, balanced: bool, fields: bool) -> usize {
        let count = self.scan.tokens.len();
        let mut open = Vec::new();
        if from > at {
            for t in at..from.min(count) {
                // What stood in braces before `from` is a statement of its own.
                if matches!(self.scan.word(t), "{" | "}") {
                    open.clear();
                }
                bracket(&mut open, self.scan.word(t));
            }
        }
        for t in from..count {
            let word = self.scan.word(t);
            if matches!(word, "{" | "}") || self.hard(t) {
                return t;
            }
            if t > at {
                let ends = match self.at(t) {
                    Some(start) => self.ends(at, t, start, open.is_empty(), column, balanced, fields),
                    None => self.new_line(t, column) && (open.is_empty() || !balanced),
                };
                if ends {
                    return t;
                }
            }
            bracket(&mut open, word);
        }
        count
    }

    #[allow(clippy::too_many_arguments)]
    fn ends(
        &self,
        at: usize,
        t: usize,
        start: Start,
        outside: bool,
        column: usize,
        balanced: bool,
        fields: bool,
    ) -> bool {
        let first = self.first(t);
        let outdented = first && self.column(t) <= column;
        let before = self.scan.word(t - 1);
        let listed = matches!(before, "," | "(" | "[");
        match start {
            Start::Statement => !listed || outdented,
            // The head of a definition, and `house field NAME: TYPE`, hold no statement.
            Start::Label if outside && matches!(self.scan.word(at), "def" | "house") => outdented,
            Start::Label if outside => !listed && (t != at + 1 || first),
            // In braces of fields a label at the start of a line, or one after another value, is one.
            Start::Label => (!balanced && first && !listed) || (outdented && (fields || !balanced)),
            // A type with its arguments and braces behind it is what a definition is derived from.
            Start::Verb if outside && self.scan.word(at) == "def" && self.has_braces(t) => outdented,
            Start::Verb if outside => {
                let value = matches!(before, ")" | "]" | "}")
                    || matches!(self.kind(t - 1), Some(TokenKind::Number | TokenKind::Text));
                outdented || value || (first && !self.joins(t - 1))
            }
            Start::Verb => !balanced && first && (outdented || !(listed || self.joins(t - 1))),
        }
    }

    /// True for a name with arguments and then a brace.
    fn has_braces(&self, at: usize) -> bool {
        let mut open = Vec::new();
        for t in at + 1..self.scan.tokens.len() {
            bracket(&mut open, self.scan.word(t));
            if open.is_empty() {
                return t > at + 1 && self.scan.word(t + 1) == "{";
            }
            if matches!(self.scan.word(t), "{" | "}") {
                return false;
            }
        }
        false
    }

    /// True for a token that starts a line, no deeper than the statement before it, and does not go
    /// on with the line above: whatever it is, it is something new. One blank more may be left of a
    /// word deleted before it.
    pub fn new_line(&self, t: usize, column: usize) -> bool {
        let kind = self.kind(t);
        self.first(t)
            && self.column(t) <= column + 1
            && kind.is_some_and(|k| k != TokenKind::Sign)
            && !CONTINUING.contains(&self.scan.word(t))
    }

    /// True for a token that asks for more.
    fn joins(&self, at: usize) -> bool {
        match self.kind(at) {
            Some(TokenKind::Word) => JOINING.contains(&self.scan.word(at)),
            Some(TokenKind::Sign) => !matches!(self.scan.word(at), ")" | "]" | "}"),
            _ => false,
        }
    }
}

/// Keeps the stack of open round and square brackets; a closing one without its partner is passed
/// over.
fn bracket<'s>(open: &mut Vec<&'s str>, word: &'s str) {
    let partner = match word {
        "(" | "[" => return open.push(word),
        ")" => "(",
        "]" => "[",
        _ => return,
    };
    if let Some(i) = open.iter().rposition(|o| *o == partner) {
        open.truncate(i);
    }
}

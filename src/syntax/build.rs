//! From pest's pairs to statements of the tree.

use super::Name;
use super::grammar::Rule;
use super::scan::Scan;
use super::tree::*;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use pest::iterators::{Pair, Pairs};
use std::collections::BTreeMap;

/// Builds nodes from pairs of one stretch of a file.
pub(super) struct Builder<'s> {
    pub scan: &'s Scan,
    /// Where in the file the stretch starts that pest was given.
    pub base: usize,
    pub messages: Vec<Diagnostic>,
    /// Statements already read, by the place of the brace that opens them.
    pub bodies: BTreeMap<usize, Block>,
    /// How deep blocks and expressions nest at the place being built.
    pub depth: usize,
    /// That something nests too deep is said once in a file.
    pub deep_told: bool,
}

impl<'s> Builder<'s> {
    /// Builds from one scan.
    /// Builds from a scanned text.
    pub fn new(scan: &'s Scan) -> Builder<'s> {
        let deep_told = scan.too_deep;
        Builder { scan, base: 0, messages: Vec::new(), bodies: BTreeMap::new(), depth: 0, deep_told }
    }

    /// Where a pair starts in the whole text.
    pub fn start(&self, pair: &Pair<Rule>) -> usize {
        self.base + pair.as_span().start()
    }

    /// The span of a pair without the blanks that pest may leave at its end.
    pub fn span(&self, pair: &Pair<Rule>) -> Span {
        let span = pair.as_span();
        let end = self.scan.trimmed(self.base + span.end());
        self.scan.span(self.base + span.start(), end.max(self.base + span.start()))
    }

    /// The span of a pair that is one token.
    pub fn token(&self, pair: &Pair<Rule>) -> Span {
        let span = pair.as_span();
        self.scan.span(self.base + span.start(), self.base + span.end())
    }

    /// A name with its span.
    pub fn ident(&self, pair: &Pair<Rule>) -> Ident {
        Ident { name: Name::new(pair.as_str()), span: self.token(pair) }
    }

    /// The statements among some pairs.
    pub fn statements(&mut self, pairs: Pairs<Rule>) -> Vec<Stmt> {
        let statements = pairs.filter(|p| p.as_rule() == Rule::statement);
        statements.map(|p| self.statement(p)).collect()
    }

    /// A statement, or a field that stands alone.
    pub fn any(&mut self, pair: Pair<Rule>) -> Stmt {
        if pair.as_rule() == Rule::statement {
            return self.statement(pair);
        }
        let span = self.span(&pair);
        let doc = self.scan.doc_above(span.start as usize);
        Stmt { kind: self.field(pair).map_or(StmtKind::Broken, StmtKind::Field), span, doc }
    }

    /// One statement with the doc comment above it.
    pub fn statement(&mut self, pair: Pair<Rule>) -> Stmt {
        let span = self.span(&pair);
        let doc = self.scan.doc_above(span.start as usize);
        let kind = match pair.into_inner().next() {
            Some(inner) => self.statement_kind(inner, span),
            None => None,
        };
        Stmt { kind: kind.unwrap_or(StmtKind::Broken), span, doc }
    }

    fn statement_kind(&mut self, pair: Pair<Rule>, span: Span) -> Option<StmtKind> {
        let rule = pair.as_rule();
        Some(match rule {
            Rule::field => StmtKind::Field(self.field(pair)?),
            Rule::let_ => StmtKind::Let(self.let_(pair)?),
            Rule::gap => StmtKind::Gap(self.let_(pair)?),
            Rule::part => self.part(pair)?,
            Rule::place => StmtKind::Place(self.place(pair)?),
            Rule::use_ => StmtKind::Use(self.use_(pair)?),
            Rule::def => self.def(pair, span)?,
            Rule::house => self.house(pair)?,
            Rule::space => {
                let mut name = None;
                let mut ranges = (Vec::new(), span);
                for p in pair.into_inner() {
                    match p.as_rule() {
                        Rule::name => name = Some(self.ident(&p)),
                        Rule::fields => ranges = self.fields(p),
                        _ => {}
                    }
                }
                StmtKind::Space(SpaceStmt { name: name?, ranges: ranges.0, ranges_span: ranges.1 })
            }
            Rule::envelope => StmtKind::Envelope(self.envelope(pair)?),
            Rule::for_ => {
                let mut each = None;
                let mut body = Block::default();
                for p in pair.into_inner() {
                    match p.as_rule() {
                        Rule::each => each = self.each(p),
                        Rule::block => body = self.block(p),
                        _ => {}
                    }
                }
                StmtKind::For(For { each: each?, body })
            }
            Rule::if_ => StmtKind::If(self.if_(pair)?),
            Rule::require => StmtKind::Require(self.rule(pair)?),
            Rule::warn => StmtKind::Warn(self.rule(pair)?),
            Rule::accept => {
                let mut code = None;
                let mut because = None;
                for p in pair.into_inner() {
                    match p.as_rule() {
                        Rule::dotted_code => code = Some((p.as_str().to_string(), self.token(&p))),
                        Rule::text => because = Some(self.text(&p)),
                        _ => {}
                    }
                }
                StmtKind::Accept(Accept { code: code?, because: because? })
            }
            Rule::test => {
                let mut name = String::new();
                let mut body = Block::default();
                for p in pair.into_inner() {
                    match p.as_rule() {
                        Rule::text => name = self.plain_text(&p),
                        Rule::block => body = self.block(p),
                        _ => {}
                    }
                }
                StmtKind::Test(Test { name, body })
            }
            Rule::expect => StmtKind::Expect(self.expect(pair)?),
            Rule::verb => StmtKind::Verb(Verb { call: self.call(pair)? }),
            _ => return None,
        })
    }

    /// `{ statements }`, or what recovery has already read between these braces.
    pub fn block(&mut self, pair: Pair<Rule>) -> Block {
        let span = self.token(&pair);
        if let Some(body) = self.bodies.remove(&self.start(&pair)) {
            return body;
        }
        self.depth += 1;
        let stmts = if self.depth > super::NESTING + 1 {
            self.too_deep(span);
            Vec::new()
        } else {
            self.statements(pair.into_inner())
        };
        self.depth -= 1;
        Block { stmts, span: Some(span) }
    }

    /// The message for nesting past the limit.
    pub fn too_deep(&mut self, span: Span) {
        let limit = super::NESTING;
        let span = Span { end: span.start.max(span.end.min(span.start + 1)), ..span };
        if std::mem::replace(&mut self.deep_told, true) {
            return;
        }
        self.messages.push(
            Diagnostic::error(
                "nesting-too-deep",
                format!("What is written here nests more than {limit} deep."),
                span,
                "one step too many",
            )
            .help("Give an inner part a name of its own with `let`."),
        );
    }

    /// `{ label: value … }`, or what recovery has already read between these braces.
    pub fn fields(&mut self, pair: Pair<Rule>) -> (Vec<Field>, Span) {
        let mut span = self.token(&pair);
        if let Some(body) = self.bodies.remove(&self.start(&pair)) {
            span = body.span.unwrap_or(span);
            let fields = body.stmts.into_iter().filter_map(|s| match s.kind {
                StmtKind::Field(f) => Some(f),
                _ => None,
            });
            return (fields.collect(), span);
        }
        let fields = pair.into_inner().filter(|p| p.as_rule() == Rule::field);
        (fields.filter_map(|p| self.field(p)).collect(), span)
    }

    fn field(&mut self, pair: Pair<Rule>) -> Option<Field> {
        let mut label = None;
        let mut value = None;
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::label => label = Some(self.ident(&p)),
                Rule::expression => value = Some(self.expression(p)),
                _ => {}
            }
        }
        Some(Field { label: label?, value: value? })
    }

    fn let_(&mut self, pair: Pair<Rule>) -> Option<Let> {
        let mut name = None;
        let mut value = None;
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::name => name = Some(self.ident(&p)),
                Rule::expression => value = Some(self.expression(p)),
                _ => {}
            }
        }
        Some(Let { name: name?, value: value? })
    }

    fn part(&mut self, pair: Pair<Rule>) -> Option<StmtKind> {
        let (mut proud, mut loose) = (false, false);
        let (mut name, mut second, mut count, mut board) = (None, None, None, None);
        let (mut along, mut was, mut ranges) = (None, None, None);
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::modifier if p.as_str() == "proud" => proud = true,
                Rule::modifier => loose = true,
                Rule::name if name.is_none() => name = Some(self.ident(&p)),
                Rule::name => second = Some(self.ident(&p)),
                Rule::count => count = self.inner_expression(p),
                Rule::value => board = Some(self.value(p)),
                Rule::along => {
                    along = p.into_inner().find(|p| p.as_rule() == Rule::label).map(|p| self.ident(&p))
                }
                Rule::was => was = self.was(p),
                Rule::fields => ranges = Some(self.fields(p)),
                _ => {}
            }
        }
        let (ranges, ranges_span) = ranges?;
        let part =
            PartStmt { name: name?, count, board: board?, along, proud, loose, was, ranges, ranges_span };
        Some(match second {
            Some(second) => StmtKind::Pair(PairStmt { first: part, second }),
            None => StmtKind::Part(part),
        })
    }

    fn was(&mut self, pair: Pair<Rule>) -> Option<(String, Span)> {
        let text = pair.into_inner().find(|p| p.as_rule() == Rule::text)?;
        Some((self.plain_text(&text), self.token(&text)))
    }

    fn envelope(&mut self, pair: Pair<Rule>) -> Option<Envelope> {
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::fields => {
                    let (fields, span) = self.fields(p);
                    return Some(Envelope::Ranges(fields, span));
                }
                Rule::value => return Some(Envelope::Space(self.value(p))),
                Rule::sizes => {
                    let each = p.into_inner().filter(|p| p.as_rule() == Rule::expression);
                    let mut each = each.map(|p| self.expression(p));
                    return Some(Envelope::Sizes(each.next()?, each.next()?, each.next()?));
                }
                _ => {}
            }
        }
        None
    }

    fn place(&mut self, pair: Pair<Rule>) -> Option<PlaceStmt> {
        let (mut mirrored, mut kind, mut name, mut count) = (false, None, None, None);
        let (mut call, mut free, mut at, mut was, mut extras) = (None, None, None, None, Block::default());
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::mirrored => mirrored = true,
                Rule::kind => kind = kind_of(p.as_str()),
                Rule::name => name = Some(self.ident(&p)),
                Rule::count => count = self.inner_expression(p),
                Rule::call => call = self.call(p),
                Rule::args => free = Some((self.token(&p), self.args(p))),
                Rule::at => {
                    let span = self.span(&p);
                    let each = p.into_inner().filter(|p| p.as_rule() == Rule::expression);
                    at = Some((each.map(|p| self.expression(p)).collect(), span));
                }
                Rule::was => was = self.was(p),
                Rule::block => extras = self.block(p),
                _ => {}
            }
        }
        let (kind, name) = (kind?, name?);
        let (name, call) = match free {
            Some((span, _)) if kind != Kind::Joint => {
                let word = kind.word();
                let call = self.scan.text.get(name.span.start as usize..span.end as usize).unwrap_or("");
                let shown = if call.len() <= 60 { call } else { "TYPE(…)" };
                self.messages.push(
                    Diagnostic::error(
                        "syntax",
                        format!("A {word} needs a name of its own."),
                        name.span,
                        "this is the type",
                    )
                    .help(format!("Write `{word} NAME = {shown}`.")),
                );
                return None;
            }
            Some((span, args)) => (None, Call { name, args, span: name.span.to(span) }),
            None => (Some(name), call?),
        };
        Some(PlaceStmt { kind, name, count, mirrored, call, at, was, extras })
    }

    fn if_(&mut self, pair: Pair<Rule>) -> Option<If> {
        let (mut condition, mut then, mut otherwise) = (None, Block::default(), None);
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::value => condition = Some(self.value(p)),
                Rule::block => then = self.block(p),
                Rule::else_part => {
                    let Some(p) = p.into_inner().find(|p| matches!(p.as_rule(), Rule::block | Rule::if_))
                    else {
                        continue;
                    };
                    otherwise = Some(match p.as_rule() {
                        Rule::block => self.block(p),
                        _ => self.else_if(p),
                    });
                }
                _ => {}
            }
        }
        Some(If { condition: condition?, then, otherwise })
    }

    /// `else if` is an `if` alone in the block after `else`, which has no braces of its own.
    fn else_if(&mut self, pair: Pair<Rule>) -> Block {
        let span = self.span(&pair);
        self.depth += 1;
        let kind = if self.depth > super::NESTING + 1 {
            self.too_deep(span);
            StmtKind::Broken
        } else {
            self.if_(pair).map_or(StmtKind::Broken, StmtKind::If)
        };
        self.depth -= 1;
        Block { stmts: vec![Stmt { kind, span, doc: Vec::new() }], span: None }
    }

    fn rule(&mut self, pair: Pair<Rule>) -> Option<Rule_> {
        let (mut condition, mut code, mut message) = (None, None, None);
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::value => condition = Some(self.value(p)),
                Rule::code => code = Some(self.ident(&p)),
                Rule::text => message = Some(self.text(&p)),
                _ => {}
            }
        }
        Some(Rule_ { condition: condition?, code: code?, message: message? })
    }

    fn expect(&mut self, pair: Pair<Rule>) -> Option<Expect> {
        let mut warning = false;
        for p in pair.into_inner() {
            match p.as_rule() {
                Rule::severity => warning = p.as_str() == "warning",
                Rule::dotted_code => {
                    let (code, span) = (p.as_str().to_string(), self.token(&p));
                    return Some(if warning {
                        Expect::Warning(code, span)
                    } else {
                        Expect::Error(code, span)
                    });
                }
                Rule::value => return Some(Expect::Holds(self.value(p))),
                _ => {}
            }
        }
        None
    }
}

use super::tree::Rule as Rule_;

/// The kind that a word names.
pub(super) fn kind_of(word: &str) -> Option<Kind> {
    const ALL: [Kind; 10] = [
        Kind::Box,
        Kind::Joint,
        Kind::Fitting,
        Kind::Board,
        Kind::Band,
        Kind::Item,
        Kind::Fn,
        Kind::Wall,
        Kind::Row,
        Kind::Obstacle,
    ];
    ALL.into_iter().find(|k| k.word() == word)
}

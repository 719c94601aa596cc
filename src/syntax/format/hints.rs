//! What the tree says about single tokens: how close they stand, where a line may break, where columns are.

use crate::diagnostics::Diagnostic;
use crate::sources::Span;
use crate::syntax::scan::Scan;
use crate::syntax::tree::*;
use std::ops::Range;

/// Stands against the token before.
pub(super) const TIGHT: u16 = 1;
/// Starts a statement or field.
pub(super) const START: u16 = 1 << 1;
/// A bracket that opens a list.
pub(super) const LIST: u16 = 1 << 2;
/// A minus with one operand.
pub(super) const MINUS: u16 = 1 << 3;
/// No line breaks before it.
pub(super) const JOINED: u16 = 1 << 4;
/// The text of a rule, after its code.
pub(super) const MESSAGE: u16 = 1 << 5;
/// What a function gives, after `=`.
pub(super) const RESULT: u16 = 1 << 6;
/// The `=` before the definition that another is made from, or the `at` of a box.
pub(super) const BASE: u16 = 1 << 7;
/// The value of a name, after `=`.
pub(super) const VALUE: u16 = 1 << 8;
/// A comment stands between it and the token before.
pub(super) const COMMENTED: u16 = 1 << 9;
/// A line ends between it and the token before.
pub(super) const BROKEN: u16 = 1 << 10;
/// A bracket with a comma of its own.
pub(super) const COMMAS: u16 = 1 << 11;

/// Columns that neighbouring lines may share, in the order in which they stand in a line.
pub(super) mod column {
    pub const OF: u8 = 1;
    pub const ALONG: u8 = 2;
    pub const WAS: u8 = 3;
    pub const EQUALS: u8 = 5;
    pub const VALUE: u8 = 6;
    pub const ARGUMENT: u8 = 10;
    pub const ELSE: u8 = 100;
    pub const MESSAGE: u8 = 101;
    pub const BRACE: u8 = 110;
    pub const FIELD: u8 = 120;
    /// So many arguments or fields have columns.
    pub const MOST: usize = 80;
}

/// All that is known of the tokens of a text.
pub(super) struct Hints<'s> {
    scan: &'s Scan,
    pub flags: Vec<u16>,
    /// The column each token may start, 0 for none.
    pub columns: Vec<u8>,
    /// The statements and fields, each before those in it.
    pub extents: Vec<Range<usize>>,
    /// The bytes that hold faults.
    pub faults: Vec<Range<usize>>,
    /// The other bracket of each brace, or the brace itself.
    pub partner: Vec<usize>,
}

/// Faults of the first line, which leave the rest as it is.
const OF_LINE_ONE: [&str; 3] = ["empty-file", "missing-version", "wrong-version"];

impl<'s> Hints<'s> {
    pub fn new(scan: &'s Scan, file: &File, messages: &[Diagnostic]) -> Hints<'s> {
        let count = scan.tokens.len();
        let mut hints = Hints {
            scan,
            flags: vec![0; count],
            columns: vec![0; count],
            extents: Vec::new(),
            faults: Vec::new(),
            partner: (0..count).collect(),
        };
        hints.brackets();
        hints.between(file);
        for s in &file.items {
            hints.statement(s);
        }
        let comment = |at: usize| {
            let next = file.trivia.partition_point(|t| t.span.start as usize <= at);
            let within = |t: &Trivia| t.kind != TriviaKind::Blank && at < t.span.end as usize;
            next.checked_sub(1).and_then(|i| file.trivia.get(i)).is_some_and(within)
        };
        for m in messages.iter().filter(|m| !OF_LINE_ONE.contains(&&*m.code)) {
            let mut span = m.span();
            if m.code == crate::syntax::conflicts::CODE {
                span = m.labels.iter().fold(span, |whole, l| whole.to(l.span));
            }
            if !comment(span.start as usize) {
                hints.faults.push(span.start as usize..span.end as usize);
            }
        }
        hints
    }

    pub fn has(&self, token: usize, flag: u16) -> bool {
        self.flags.get(token).is_some_and(|f| f & flag != 0)
    }

    fn mark(&mut self, token: usize, flag: u16) {
        if let Some(f) = self.flags.get_mut(token) {
            *f |= flag;
        }
    }

    fn column(&mut self, token: usize, column: u8) {
        if let Some(c) = self.columns.get_mut(token) {
            *c = column;
        }
    }

    fn at(&self, span: Span) -> usize {
        self.scan.token_at(span.start as usize)
    }

    /// The token before the one a span starts with.
    fn before(&self, span: Span) -> usize {
        self.at(span).wrapping_sub(1)
    }

    fn after(&self, span: Span) -> usize {
        self.scan.token_at(span.end as usize)
    }

    /// Pairs of braces, and the brackets that hold commas.
    fn brackets(&mut self) {
        let (mut braces, mut open) = (Vec::new(), Vec::new());
        for t in 0..self.scan.tokens.len() {
            match self.scan.word(t) {
                "{" => braces.push((t, std::mem::take(&mut open))),
                "}" => {
                    if let Some((o, outer)) = braces.pop() {
                        open = outer;
                        self.pair(o, t);
                    }
                }
                "(" | "[" => open.push(t),
                ")" | "]" => {
                    open.pop();
                }
                "," => {
                    if let Some(o) = open.last() {
                        self.mark(*o, COMMAS);
                    }
                }
                _ => {}
            }
        }
    }

    fn pair(&mut self, open: usize, close: usize) {
        for (a, b) in [(open, close), (close, open)] {
            if let Some(p) = self.partner.get_mut(a) {
                *p = b;
            }
        }
    }

    /// Comments and ends of lines before tokens.
    fn between(&mut self, file: &File) {
        for t in file.trivia.iter().filter(|t| t.kind != TriviaKind::Blank) {
            let next = self.after(t.span);
            self.mark(next, COMMENTED | BROKEN);
        }
        for (token, flags) in self.scan.tokens.iter().zip(&mut self.flags) {
            if token.first {
                *flags |= BROKEN;
            }
        }
    }

    fn extent(&mut self, start: usize, end: usize) {
        self.mark(start, START);
        if end > start {
            self.extents.push(start..end);
        }
    }

    fn statement(&mut self, s: &Stmt) {
        let (start, end) = (self.at(s.span), self.after(s.span));
        self.extent(start, end);
        self.inside(s, start);
    }

    fn inside(&mut self, s: &Stmt, start: usize) {
        match &s.kind {
            StmtKind::Use(u) => {
                let from = match &u.from {
                    UseFrom::Library(_, span) | UseFrom::Path(_, span) => *span,
                };
                self.solid(from);
                let open = self.after(from);
                self.column(open, column::OF);
            }
            StmtKind::House(fields) => self.fields(fields, false),
            StmtKind::HouseField(h) => {
                self.ty(&h.ty);
                if let Some(default) = &h.default {
                    self.value(default);
                }
            }
            StmtKind::Def(d) => self.def(d),
            StmtKind::Let(l) | StmtKind::Gap(l) => self.value(&l.value),
            StmtKind::Part(p) => self.part(p),
            StmtKind::Pair(p) => self.part(&p.first),
            StmtKind::Space(p) => {
                self.brace(p.ranges_span);
                self.fields(&p.ranges, true);
            }
            StmtKind::Envelope(Envelope::Sizes(a, b, c)) => [a, b, c].into_iter().for_each(|e| self.expr(e)),
            StmtKind::Envelope(Envelope::Space(e)) => self.expr(e),
            StmtKind::Envelope(Envelope::Ranges(fields, _)) => self.fields(fields, true),
            StmtKind::Place(p) => {
                if p.name.is_some() {
                    let equals = self.before(p.call.span);
                    self.column(equals, column::EQUALS);
                    self.mark(equals + 1, VALUE);
                }
                p.count.iter().for_each(|e| self.expr(e));
                self.call(&p.call);
                self.arguments(&p.call);
                if let Some((all, span)) = &p.at {
                    let at = self.at(*span);
                    self.mark(at, BASE);
                    all.iter().for_each(|e| self.expr(e));
                }
                self.block(&p.extras);
            }
            StmtKind::Verb(v) => {
                self.call(&v.call);
                self.arguments(&v.call);
            }
            StmtKind::For(f) => {
                self.each(&f.each);
                self.block(&f.body);
            }
            StmtKind::If(i) => self.if_(i),
            StmtKind::Require(r) | StmtKind::Warn(r) => {
                self.expr(&r.condition);
                self.code(r.code.span, &r.message);
                let (otherwise, text) = (self.before(r.code.span), self.at(r.message.span));
                self.column(otherwise, column::ELSE);
                self.column(text, column::MESSAGE);
            }
            StmtKind::Accept(a) => {
                self.mark(start + 1, TIGHT);
                self.solid(a.code.1);
            }
            StmtKind::Test(t) => self.block(&t.body),
            StmtKind::Expect(Expect::Holds(e)) => self.expr(e),
            StmtKind::Expect(Expect::Error(_, span) | Expect::Warning(_, span)) => self.solid(*span),
            StmtKind::Field(f) => {
                let value = self.at(f.value.span);
                self.column(value, column::VALUE);
                self.expr(&f.value);
            }
            StmtKind::Broken => self.faults.push(s.span.start as usize..s.span.end as usize),
        }
    }

    fn if_(&mut self, i: &If) {
        self.expr(&i.condition);
        self.block(&i.then);
        if let Some(o) = &i.otherwise {
            match (o.span, o.stmts.as_slice()) {
                // `else if` is no statement of its own.
                (None, [only]) => match &only.kind {
                    StmtKind::If(i) => self.if_(i),
                    _ => self.faults.push(only.span.start as usize..only.span.end as usize),
                },
                _ => self.block(o),
            }
        }
    }

    fn def(&mut self, d: &Def) {
        let open = self.after(d.name.span);
        if self.scan.word(open) == "(" {
            self.mark(open, TIGHT);
        }
        for p in &d.params {
            self.ty(&p.ty);
            p.default.iter().for_each(|e| self.expr(e));
        }
        match &d.body {
            DefBody::Block(b) => self.block(b),
            DefBody::Value(ty, e) => {
                ty.iter().for_each(|t| self.ty(t));
                let first = self.at(e.span);
                self.mark(first, RESULT);
                self.column(first.wrapping_sub(1), column::EQUALS);
                self.expr(e);
            }
            DefBody::Derived(call, b) => {
                let equals = self.before(call.span);
                self.mark(equals, BASE);
                self.call(call);
                self.block(b);
            }
        }
    }

    fn part(&mut self, p: &PartStmt) {
        let of = self.before(p.board.span);
        self.column(of, column::OF);
        if let Some(along) = p.along {
            let along = self.before(along.span);
            self.column(along, column::ALONG);
        }
        if let Some((_, span)) = p.was {
            let was = self.before(span);
            self.column(was, column::WAS);
        }
        p.count.iter().for_each(|e| self.expr(e));
        self.expr(&p.board);
        self.brace(p.ranges_span);
        self.fields(&p.ranges, true);
    }

    fn brace(&mut self, span: Span) {
        let brace = self.at(span);
        self.column(brace, column::BRACE);
    }

    /// Fields in braces; those of one line may stand in columns.
    fn fields(&mut self, fields: &[Field], in_line: bool) {
        for (i, f) in fields.iter().enumerate() {
            let start = self.at(f.label.span);
            let mut end = self.after(f.value.span);
            if self.scan.word(end) == "," {
                end += 1;
            }
            self.extent(start, end);
            if in_line && i < column::MOST {
                self.column(start, column::FIELD + i as u8);
            }
            let value = self.at(f.value.span);
            self.column(value, column::VALUE);
            self.expr(&f.value);
        }
    }

    fn block(&mut self, b: &Block) {
        if let Some(span) = b.span {
            self.brace(span);
        }
        for s in &b.stmts {
            self.statement(s);
        }
    }

    /// Columns of the arguments of a statement.
    fn arguments(&mut self, call: &Call) {
        for (i, a) in call.args.iter().enumerate().skip(1).take(column::MOST) {
            let start = self.at(a.label.map_or(a.value.span, |l| l.span));
            self.column(start, column::ARGUMENT + i as u8);
        }
    }

    fn value(&mut self, e: &Expr) {
        let value = self.at(e.span);
        self.mark(value, VALUE);
        self.column(value.wrapping_sub(1), column::EQUALS);
        self.expr(e);
    }

    /// Tokens that stand against each other.
    fn solid(&mut self, span: Span) {
        for t in self.at(span) + 1..self.after(span) {
            self.mark(t, TIGHT);
        }
    }

    fn code(&mut self, code: Span, text: &Text) {
        self.solid(code);
        let (otherwise, text) = (self.before(code), self.at(text.span));
        self.mark(otherwise, JOINED);
        self.mark(text, MESSAGE);
    }

    fn ty(&mut self, ty: &Type) {
        for t in self.at(ty.span)..self.after(ty.span) {
            if self.scan.word(t.wrapping_sub(1)) != "," {
                self.mark(t, JOINED);
            }
        }
    }

    fn each(&mut self, e: &Each) {
        self.expr(&e.list);
        e.condition.iter().for_each(|c| self.expr(c));
    }

    fn call(&mut self, c: &Call) {
        let open = self.after(c.name.span);
        self.mark(open, TIGHT);
        for a in &c.args {
            self.expr(&a.value);
        }
    }

    fn expr(&mut self, e: &Expr) {
        match &e.kind {
            ExprKind::Number(_) | ExprKind::Text(_) | ExprKind::Name(_) => {}
            ExprKind::None | ExprKind::True | ExprKind::False | ExprKind::Share(_) => {}
            ExprKind::Member(a, _) | ExprKind::Not(a) => self.expr(a),
            ExprKind::Negative(a) => {
                let minus = self.at(e.span);
                self.mark(minus, MINUS);
                self.expr(a);
            }
            ExprKind::Call(c) => self.call(c),
            ExprKind::Index(a, b)
            | ExprKind::Binary(_, a, b)
            | ExprKind::Range(a, b)
            | ExprKind::To(a, b)
            | ExprKind::After(Some(a), b)
            | ExprKind::Before(Some(a), b) => {
                self.expr(a);
                self.expr(b);
            }
            ExprKind::After(None, a) | ExprKind::Before(None, a) => self.expr(a),
            ExprKind::If(a, b, c) => [a, b, c].into_iter().for_each(|e| self.expr(e)),
            ExprKind::List(all) => {
                let open = self.at(e.span);
                self.mark(open, LIST);
                all.iter().for_each(|e| self.expr(e));
            }
            ExprKind::Collect(a, each) => {
                let open = self.at(e.span);
                self.mark(open, LIST);
                self.expr(a);
                self.each(each);
            }
            ExprKind::OrFail(a, code, text) => {
                self.expr(a);
                self.code(code.span, text);
            }
            ExprKind::Broken => self.faults.push(e.span.start as usize..e.span.end as usize),
        }
    }
}

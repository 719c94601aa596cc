//! The tree a text is read into. Nodes keep their spans; comments and blank lines are kept beside it.

use super::Name;
use crate::sources::{FileId, Span};
use crate::values::Quantity;

/// A name as it stands at one place.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Ident {
    pub name: Name,
    pub span: Span,
}

/// One file.
#[derive(Debug)]
pub struct File {
    pub id: FileId,
    /// The number on line one, `aumbry 1`, where it could be read.
    pub version: Option<(u32, Span)>,
    /// `//!` lines, without the marks.
    pub doc: Vec<String>,
    pub items: Vec<Stmt>,
    /// Comments and blank lines in order of place, for the formatter.
    pub trivia: Vec<Trivia>,
    /// The names that broken statements would have given a meaning; about these nobody else says
    /// that they are unknown.
    pub broken: Vec<Ident>,
}

/// What the meaning ignores and the formatter keeps.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Trivia {
    pub kind: TriviaKind,
    pub span: Span,
}

/// The kinds of trivia.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum TriviaKind {
    /// `// …`
    Comment,
    /// `/// …`
    Doc,
    /// `//! …`
    FileDoc,
    /// One or more empty lines.
    Blank,
}

/// A statement or item with the doc comment above it.
#[derive(Debug)]
pub struct Stmt {
    pub kind: StmtKind,
    pub span: Span,
    /// `///` lines, without the marks.
    pub doc: Vec<String>,
}

/// The kinds of statement.
#[derive(Debug)]
pub enum StmtKind {
    Use(Use),
    /// `house { label: value … }`
    House(Vec<Field>),
    /// `house field NAME: TYPE = default`
    HouseField(HouseField),
    Def(Def),
    /// `let NAME = value`
    Let(Let),
    Part(PartStmt),
    Pair(PairStmt),
    Space(SpaceStmt),
    Envelope(Envelope),
    Place(PlaceStmt),
    /// `gap NAME = width` in a row.
    Gap(Let),
    Verb(Verb),
    For(For),
    If(If),
    Require(Rule),
    Warn(Rule),
    Accept(Accept),
    Test(Test),
    Expect(Expect),
    /// `label: value` in the braces of a board, band or item.
    Field(Field),
    /// Could not be read; its own message has been given.
    Broken,
}

/// `use std.boxes (open_box, floor_box as base)` or `use "own.aum" (name)`.
#[derive(Debug)]
pub struct Use {
    pub from: UseFrom,
    pub names: Vec<UseName>,
}

/// Where names are brought in from.
#[derive(Debug)]
pub enum UseFrom {
    /// The dotted name, `std.boxes`.
    Library(String, Span),
    /// A relative path in quotes.
    Path(String, Span),
}

/// A name brought in, and what it is called here.
#[derive(Debug)]
pub struct UseName {
    pub name: Ident,
    pub alias: Option<Ident>,
}

/// `label: value`
#[derive(Debug)]
pub struct Field {
    pub label: Ident,
    pub value: Expr,
}

/// A field that the house may set.
#[derive(Debug)]
pub struct HouseField {
    pub name: Ident,
    pub ty: Type,
    pub default: Option<Expr>,
}

/// The kinds of definition and of use.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub enum Kind {
    Box,
    Joint,
    Fitting,
    Board,
    Band,
    Item,
    Fn,
    Wall,
    Row,
    Obstacle,
}

impl Kind {
    /// The word that opens a definition or use of this kind.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Box => "box",
            Kind::Joint => "joint",
            Kind::Fitting => "fitting",
            Kind::Board => "board",
            Kind::Band => "band",
            Kind::Item => "item",
            Kind::Fn => "fn",
            Kind::Wall => "wall",
            Kind::Row => "row",
            Kind::Obstacle => "obstacle",
        }
    }
}

/// `def KIND NAME(parameters) …`
#[derive(Debug)]
pub struct Def {
    pub kind: Kind,
    pub name: Ident,
    pub params: Vec<Param>,
    pub body: DefBody,
}

/// What a definition consists of.
#[derive(Debug)]
pub enum DefBody {
    /// `{ statements }`
    Block(Block),
    /// `: TYPE = value` of a `fn`; the type may be left out.
    Value(Option<Type>, Expr),
    /// `= BASE(arguments) { extras }`
    Derived(Call, Block),
}

/// A parameter, `NAME: TYPE = default`.
#[derive(Debug)]
pub struct Param {
    pub name: Ident,
    pub ty: Type,
    pub default: Option<Expr>,
    pub span: Span,
}

/// A type as it is written.
#[derive(Debug)]
pub struct Type {
    pub kind: TypeKind,
    pub span: Span,
}

/// The forms of a type.
#[derive(Debug)]
pub enum TypeKind {
    /// `length`, `part`, `count` …; which words are types is for evaluation to say.
    Name(Name),
    List(Box<Type>),
    Choice(Vec<Ident>),
    OrNone(Box<Type>),
}

/// A name for a value.
#[derive(Debug)]
pub struct Let {
    pub name: Ident,
    pub value: Expr,
}

/// `{ … }`
#[derive(Debug, Default)]
pub struct Block {
    pub stmts: Vec<Stmt>,
    /// The braces and all between; `None` where none were written.
    pub span: Option<Span>,
}

/// `proud loose part NAME[count] of BOARD along AXIS was "old" { x: … y: … z: … }`
#[derive(Debug)]
pub struct PartStmt {
    pub name: Ident,
    pub count: Option<Expr>,
    pub board: Expr,
    pub along: Option<Ident>,
    pub proud: bool,
    pub loose: bool,
    pub was: Option<(String, Span)>,
    pub ranges: Vec<Field>,
    pub ranges_span: Span,
}

/// `pair A, B of BOARD …`: B is A reflected about the envelope's middle in x.
#[derive(Debug)]
pub struct PairStmt {
    pub first: PartStmt,
    pub second: Ident,
}

/// `space NAME { x: … y: … z: … }`
#[derive(Debug)]
pub struct SpaceStmt {
    pub name: Ident,
    pub ranges: Vec<Field>,
    pub ranges_span: Span,
}

/// The three forms of an envelope.
#[derive(Debug)]
pub enum Envelope {
    /// `envelope (width, height, depth)`
    Sizes(Expr, Expr, Expr),
    /// `envelope SPACE`
    Space(Expr),
    /// `envelope { x: … y: … z: … }` in the user's frame.
    Ranges(Vec<Field>, Span),
}

/// `mirrored KIND NAME[count] = TYPE(arguments) at (x, y, z) was "old" { extras }`
#[derive(Debug)]
pub struct PlaceStmt {
    pub kind: Kind,
    /// Only a joint may leave it out.
    pub name: Option<Ident>,
    pub count: Option<Expr>,
    pub mirrored: bool,
    pub call: Call,
    pub at: Option<(Vec<Expr>, Span)>,
    pub was: Option<(String, Span)>,
    pub extras: Block,
}

/// `NAME(arguments)`
#[derive(Debug)]
pub struct Call {
    pub name: Ident,
    pub args: Vec<Arg>,
    pub span: Span,
}

/// An argument, with its label where one is written.
#[derive(Debug)]
pub struct Arg {
    pub label: Option<Ident>,
    pub value: Expr,
}

/// A verb of the kernel with its arguments: `drill(…)`.
#[derive(Debug)]
pub struct Verb {
    pub call: Call,
}

/// `for NAME number NUMBER in LIST where CONDITION { … }`
#[derive(Debug)]
pub struct For {
    pub each: Each,
    pub body: Block,
}

/// The head that a `for` statement and a list comprehension share.
#[derive(Debug)]
pub struct Each {
    pub name: Ident,
    pub number: Option<Ident>,
    pub list: Expr,
    pub condition: Option<Expr>,
}

/// `if CONDITION { … } else { … }`
#[derive(Debug)]
pub struct If {
    pub condition: Expr,
    pub then: Block,
    pub otherwise: Option<Block>,
}

/// `require CONDITION else CODE "message"`
#[derive(Debug)]
pub struct Rule {
    pub condition: Expr,
    pub code: Ident,
    pub message: Text,
}

/// `accept(CODE, because: "…")`; the code may be prefixed by a module.
#[derive(Debug)]
pub struct Accept {
    pub code: (String, Span),
    pub because: Text,
}

/// `test "name" { … }`
#[derive(Debug)]
pub struct Test {
    pub name: String,
    pub body: Block,
}

/// What a test expects.
#[derive(Debug)]
pub enum Expect {
    /// `expect CONDITION`
    Holds(Expr),
    /// `expect error CODE`
    Error(String, Span),
    /// `expect warning CODE`
    Warning(String, Span),
}

/// An expression.
#[derive(Debug)]
pub struct Expr {
    pub kind: ExprKind,
    pub span: Span,
}

/// Text with `{expressions}` in it.
#[derive(Debug)]
pub struct Text {
    pub pieces: Vec<Piece>,
    pub span: Span,
}

/// A piece of a text.
#[derive(Debug)]
pub enum Piece {
    Plain(String),
    Value(Expr),
}

/// The forms of an expression.
#[derive(Debug)]
pub enum ExprKind {
    /// A number with or without a unit, as one token.
    Number(Quantity),
    Text(Text),
    Name(Name),
    None,
    True,
    False,
    /// `share` or `N share`
    Share(Option<Box<Expr>>),
    Member(Box<Expr>, Ident),
    Index(Box<Expr>, Box<Expr>),
    Call(Call),
    Negative(Box<Expr>),
    Not(Box<Expr>),
    Binary(Operator, Box<Expr>, Box<Expr>),
    /// `a .. b`
    Range(Box<Expr>, Box<Expr>),
    /// `LENGTH after THING`, `after THING`
    After(Option<Box<Expr>>, Box<Expr>),
    /// `LENGTH before THING`, `before THING`
    Before(Option<Box<Expr>>, Box<Expr>),
    /// `1 to n`
    To(Box<Expr>, Box<Expr>),
    /// `if c then a else b`
    If(Box<Expr>, Box<Expr>, Box<Expr>),
    List(Vec<Expr>),
    /// `[e for v in LIST where C]`
    Collect(Box<Expr>, Box<Each>),
    /// `EXPR else CODE "message"`
    OrFail(Box<Expr>, Ident, Text),
    /// Could not be read; its own message has been given.
    Broken,
}

/// The operators that stand between two expressions.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Operator {
    Or,
    And,
    Equal,
    Unequal,
    Less,
    LessEqual,
    Greater,
    GreaterEqual,
    Add,
    Subtract,
    Multiply,
    Divide,
}

impl Operator {
    /// As it is written.
    pub fn sign(self) -> &'static str {
        match self {
            Operator::Or => "or",
            Operator::And => "and",
            Operator::Equal => "==",
            Operator::Unequal => "!=",
            Operator::Less => "<",
            Operator::LessEqual => "<=",
            Operator::Greater => ">",
            Operator::GreaterEqual => ">=",
            Operator::Add => "+",
            Operator::Subtract => "-",
            Operator::Multiply => "*",
            Operator::Divide => "/",
        }
    }
}

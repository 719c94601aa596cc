//! The definitions of a file as plain data: what a reader wants to know of each.

use serde::Serialize;

/// A file of definitions, as its reader meets it.
#[derive(Clone, Debug, Default)]
pub struct Described {
    /// `std.boxes`, or the path of a file.
    pub name: String,
    /// What stands before its codes; empty for the file named on the command line.
    pub prefix: String,
    pub library: bool,
    /// `//!` lines.
    pub doc: Vec<String>,
    pub definitions: Vec<Definition>,
    /// Fields of the house that it declares.
    pub house: Vec<HouseField>,
    /// What its own `house` block sets: field and value as written.
    pub sets: Vec<(String, String)>,
    /// The rules that stand in no definition.
    pub rules: Vec<Rule>,
}

/// A definition.
#[derive(Clone, Debug)]
pub struct Definition {
    /// `box`, `joint`, `board` …
    pub kind: &'static str,
    pub name: String,
    /// `///` lines.
    pub doc: Vec<String>,
    pub params: Vec<Parameter>,
    /// What it is made from, and the arguments given to that.
    pub base: Option<(Reference, String)>,
    /// Of a `fn`: the type it gives, if stated, and its expression.
    pub gives: Option<String>,
    pub value: Option<String>,
    /// Of a board, band or item.
    pub fields: Vec<Field>,
    /// In the order of the text.
    pub rules: Vec<Rule>,
    pub buys: Vec<Bought>,
    /// Other definitions that its text names, each once, in the order of the text.
    pub uses: Vec<Reference>,
    /// The tests that name it.
    pub tests: Vec<Tested>,
    /// Its text, with the comments above it, and the line it starts on.
    pub source: String,
    pub line: usize,
    /// The line of the definition itself, below its comments.
    pub defined: usize,
}

/// A definition as another names it.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub struct Reference {
    /// `std.boxes`, or the path of a file.
    pub module: String,
    pub name: String,
}

/// A parameter.
#[derive(Clone, Debug)]
pub struct Parameter {
    pub name: String,
    /// As written.
    pub ty: String,
    pub default: Option<String>,
    /// The fields of the house that the default reads.
    pub reads: Vec<String>,
    /// The comment beside it.
    pub note: String,
    /// True where it may be left out though it has no default.
    pub optional: bool,
}

/// A field of a board, band or item.
#[derive(Clone, Debug)]
pub struct Field {
    pub name: String,
    pub value: String,
    /// True where the value is worked out and not just written.
    pub worked: bool,
    pub note: String,
}

/// A field of the house.
#[derive(Clone, Debug)]
pub struct HouseField {
    pub name: String,
    pub doc: Vec<String>,
    pub ty: String,
    pub default: Option<String>,
    pub note: String,
    pub line: usize,
}

/// Something that a definition buys, as written.
#[derive(Clone, Debug)]
pub struct Bought {
    pub item: String,
    pub quantity: Option<String>,
    /// The conditions it stands under.
    pub when: Vec<String>,
}

/// What a rule asks for.
#[derive(Clone, Copy, PartialEq, Eq, Debug, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Asks {
    /// The condition must hold.
    Require,
    /// The condition should hold.
    Warn,
    /// The expression must not be `none` or an empty list.
    Choice,
}

/// A rule written in the language: `require`, `warn`, or `EXPR else CODE "…"`.
#[derive(Clone, Debug, Serialize)]
pub struct Rule {
    /// With what stands before it in messages: `std.boxes.too-narrow`.
    pub code: String,
    pub asks: Asks,
    /// With its `{expressions}`.
    pub message: String,
    /// The condition or expression as written.
    pub condition: String,
    /// The conditions it stands under.
    pub when: Vec<String>,
    /// The kind and name of the definition it stands in.
    pub within: Option<(&'static str, String)>,
    /// The words above that definition.
    pub doc: Vec<String>,
    pub file: String,
    pub line: usize,
}

impl Rule {
    /// The code without what stands before it.
    pub fn word(&self) -> &str {
        self.code.rsplit('.').next().unwrap_or(&self.code)
    }

    /// `error` or `warning`.
    pub fn severity(&self) -> &'static str {
        if self.asks == Asks::Warn { "warning" } else { "error" }
    }
}

/// A test that names a definition.
#[derive(Clone, Debug)]
pub struct Tested {
    pub name: String,
    /// The loops around it: name and list as written.
    pub over: Vec<(String, String)>,
    /// How often it runs, where the lists are written out.
    pub runs: Option<usize>,
    /// The codes it expects.
    pub expects: Vec<String>,
    pub file: String,
    pub line: usize,
}

//! Which statements may stand where; the grammar lets any stand anywhere in braces.

use super::tree::*;
use crate::diagnostics::Diagnostic;
use crate::sources::Span;

/// What a statement stands in.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Within {
    /// A file, outside all braces.
    File,
    /// A `for` or `if` of a file.
    FileLoop,
    /// A box's definition.
    Box,
    /// Braces after the use of a box, or of a derived one.
    Extras,
    /// A joint or fitting.
    Joint,
    /// A board, band or item.
    Goods,
    /// A wall, row or obstacle.
    Site,
    Test,
}

/// Turns statements that stand where they mean nothing into `Broken`, with a message each.
pub(super) fn check(items: &mut [Stmt], messages: &mut Vec<Diagnostic>) {
    statements(items, Within::File, messages);
}

/// The message for another statement where only `label: value` may stand.
pub(super) fn not_a_field(word: &str, span: Span) -> Diagnostic {
    Diagnostic::error(
        "misplaced",
        format!("Only `label: value` may stand in these braces, not `{word}`."),
        span,
        "not here",
    )
    .help("Move it out of these braces.")
}

fn block(block: &mut Block, within: Within, messages: &mut Vec<Diagnostic>) {
    statements(&mut block.stmts, within, messages);
}

fn statements(items: &mut [Stmt], within: Within, messages: &mut Vec<Diagnostic>) {
    for s in items {
        if let Some(message) = misplaced(&s.kind, s.span, within) {
            messages.push(message);
            s.kind = StmtKind::Broken;
            continue;
        }
        match &mut s.kind {
            StmtKind::Def(d) => {
                let (DefBody::Block(b) | DefBody::Derived(_, b)) = &mut d.body else { continue };
                block(b, definition(d.kind), messages);
            }
            StmtKind::Place(p) => {
                let inside = match definition(p.kind) {
                    Within::Box => Within::Extras,
                    other => other,
                };
                block(&mut p.extras, inside, messages);
            }
            StmtKind::For(f) => block(&mut f.body, looped(within), messages),
            StmtKind::If(i) => {
                block(&mut i.then, looped(within), messages);
                if let Some(b) = &mut i.otherwise {
                    block(b, looped(within), messages);
                }
            }
            StmtKind::Test(t) => block(&mut t.body, Within::Test, messages),
            _ => {}
        }
    }
}

fn looped(within: Within) -> Within {
    if within == Within::File { Within::FileLoop } else { within }
}

fn definition(kind: Kind) -> Within {
    match kind {
        Kind::Box | Kind::Fn => Within::Box,
        Kind::Joint | Kind::Fitting => Within::Joint,
        Kind::Board | Kind::Band | Kind::Item => Within::Goods,
        Kind::Wall | Kind::Row | Kind::Obstacle => Within::Site,
    }
}

fn misplaced(kind: &StmtKind, span: Span, within: Within) -> Option<Diagnostic> {
    use Within::*;
    let (word, fine, where_) = match kind {
        StmtKind::Broken => return None,
        StmtKind::Field(f) => {
            if matches!(within, Goods | Site) {
                return None;
            }
            let label = f.label;
            let say = format!("`{}: …` is no statement here.", label.name);
            let help = format!("For a value of your own write `let {} = …`.", label.name);
            return Some(Diagnostic::error("misplaced", say, label.span, "a label").help(help));
        }
        _ if within == Goods => {
            return Some(not_a_field(
                opening(kind),
                Span { end: span.start + opening(kind).len() as u32, ..span },
            ));
        }
        StmtKind::Use(_) => ("use", within == File, "at the top of a file, outside all braces"),
        StmtKind::House(_) => ("house", matches!(within, File | Test), "in a file, outside all braces"),
        StmtKind::HouseField(_) => ("house field", within == File, "in a file, outside all braces"),
        StmtKind::Def(_) => ("def", within == File, "in a file, outside all braces"),
        StmtKind::Test(_) => {
            ("test", matches!(within, File | FileLoop), "in a file, outside all braces, or in a `for` there")
        }
        StmtKind::Expect(_) => ("expect", within == Test, "in the braces of a `test`"),
        StmtKind::Gap(_) => ("gap", within == Site, "in the braces of a row"),
        StmtKind::Envelope(_) => {
            ("envelope", matches!(within, Box | Site), "in the definition of a box, wall or obstacle")
        }
        StmtKind::Part(_) => ("part", matches!(within, Box | Extras), "in the braces of a box"),
        StmtKind::Pair(_) => ("pair", matches!(within, Box | Extras), "in the braces of a box"),
        StmtKind::Space(_) => {
            ("space", matches!(within, Box | Extras | Joint | Site), "in the braces of a box")
        }
        StmtKind::Place(p) if matches!(p.kind, Kind::Wall | Kind::Row) => {
            (p.kind.word(), matches!(within, File | FileLoop | Test), "in a file, outside all braces")
        }
        StmtKind::Place(p) if p.kind == Kind::Obstacle => {
            ("obstacle", within == Site, "in the braces of a wall")
        }
        _ => return None,
    };
    if fine {
        return None;
    }
    let at = match kind {
        StmtKind::Part(p) | StmtKind::Pair(PairStmt { first: p, .. }) => {
            Span { end: p.name.span.end, ..span }
        }
        _ => Span { end: (span.start + word.len() as u32).min(span.end), ..span },
    };
    let article = if word.starts_with(['a', 'e', 'i', 'o']) { "An" } else { "A" };
    let say = format!("{article} `{word}` stands only {where_}.");
    Some(Diagnostic::error("misplaced", say, at, "not here").help(format!("Move it: it belongs {where_}.")))
}

/// The word a statement opens with.
fn opening(kind: &StmtKind) -> &'static str {
    match kind {
        StmtKind::Use(_) => "use",
        StmtKind::House(_) | StmtKind::HouseField(_) => "house",
        StmtKind::Def(_) => "def",
        StmtKind::Let(_) => "let",
        StmtKind::Part(_) => "part",
        StmtKind::Pair(_) => "pair",
        StmtKind::Space(_) => "space",
        StmtKind::Envelope(_) => "envelope",
        StmtKind::Place(p) => p.kind.word(),
        StmtKind::Gap(_) => "gap",
        StmtKind::Verb(v) => v.call.name.name.as_str(),
        StmtKind::For(_) => "for",
        StmtKind::If(_) => "if",
        StmtKind::Require(_) => "require",
        StmtKind::Warn(_) => "warn",
        StmtKind::Accept(_) => "accept",
        StmtKind::Test(_) => "test",
        StmtKind::Expect(_) => "expect",
        StmtKind::Field(_) | StmtKind::Broken => "this",
    }
}

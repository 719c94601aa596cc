//! A tree as text: every form in one way, all brackets written, so that a snapshot shows what was
//! read without a span in it.

use aumbry::syntax::tree::*;
use aumbry::values::Quantity;

pub fn file(file: &File) -> String {
    let mut out = String::new();
    for line in &file.doc {
        out.push_str(&format!("//! {line}\n"));
    }
    for s in &file.items {
        stmt(&mut out, s, 0);
    }
    if !file.broken.is_empty() {
        let names: Vec<_> = file.broken.iter().map(|i| i.name.as_str()).collect();
        out.push_str(&format!("(broken names: {})\n", names.join(" ")));
    }
    out
}

fn stmt(out: &mut String, s: &Stmt, depth: usize) {
    let pad = "  ".repeat(depth);
    for line in &s.doc {
        out.push_str(&format!("{pad}/// {line}\n"));
    }
    out.push_str(&pad);
    match &s.kind {
        StmtKind::Use(u) => {
            let from = match &u.from {
                UseFrom::Library(name, _) => name.clone(),
                UseFrom::Path(path, _) => format!("{path:?}"),
            };
            let names = u.names.iter().map(|n| match n.alias {
                Some(a) => format!("{} as {}", n.name.name, a.name),
                None => n.name.name.to_string(),
            });
            out.push_str(&format!("use {from} ({})", names.collect::<Vec<_>>().join(", ")));
        }
        StmtKind::House(fields) => out.push_str(&format!("house {}", ranges(fields))),
        StmtKind::HouseField(f) => {
            out.push_str(&format!("house field {}: {}{}", f.name.name, ty(&f.ty), default(&f.default)));
        }
        StmtKind::Def(d) => {
            let params =
                d.params.iter().map(|p| format!("{}: {}{}", p.name.name, ty(&p.ty), default(&p.default)));
            let params = params.collect::<Vec<_>>().join(", ");
            out.push_str(&format!("def {} {}({params})", d.kind.word(), d.name.name));
            match &d.body {
                DefBody::Block(b) => block(out, b, depth),
                DefBody::Value(t, e) => {
                    let t = t.as_ref().map_or(String::new(), |t| format!(": {}", ty(t)));
                    out.push_str(&format!("{t} = {}", expr(e)));
                }
                DefBody::Derived(c, b) => {
                    out.push_str(&format!(" = {}", call(c)));
                    block(out, b, depth);
                }
            }
        }
        StmtKind::Let(l) => out.push_str(&format!("let {} = {}", l.name.name, expr(&l.value))),
        StmtKind::Gap(l) => out.push_str(&format!("gap {} = {}", l.name.name, expr(&l.value))),
        StmtKind::Part(p) => out.push_str(&part(p, "part", p.name.name.to_string())),
        StmtKind::Pair(p) => {
            let names = format!("{}, {}", p.first.name.name, p.second.name);
            out.push_str(&part(&p.first, "pair", names));
        }
        StmtKind::Space(p) => out.push_str(&format!("space {} {}", p.name.name, ranges(&p.ranges))),
        StmtKind::Envelope(e) => out.push_str(&match e {
            Envelope::Sizes(a, b, c) => format!("envelope ({}, {}, {})", expr(a), expr(b), expr(c)),
            Envelope::Space(e) => format!("envelope {}", expr(e)),
            Envelope::Ranges(f, _) => format!("envelope {}", ranges(f)),
        }),
        StmtKind::Place(p) => {
            let mirrored = if p.mirrored { "mirrored " } else { "" };
            out.push_str(&format!("{mirrored}{} ", p.kind.word()));
            if let Some(name) = p.name {
                let count = p.count.as_ref().map_or(String::new(), |c| format!("[{}]", expr(c)));
                out.push_str(&format!("{}{count} = ", name.name));
            }
            out.push_str(&call(&p.call));
            if let Some((at, _)) = &p.at {
                let at: Vec<_> = at.iter().map(expr).collect();
                out.push_str(&format!(" at ({})", at.join(", ")));
            }
            out.push_str(&was(&p.was));
            if p.extras.span.is_some() {
                block(out, &p.extras, depth);
            }
        }
        StmtKind::Verb(v) => out.push_str(&call(&v.call)),
        StmtKind::For(f) => {
            out.push_str(&format!("for {}", each(&f.each)));
            block(out, &f.body, depth);
        }
        StmtKind::If(i) => {
            out.push_str(&format!("if {}", expr(&i.condition)));
            block(out, &i.then, depth);
            if let Some(o) = &i.otherwise {
                out.push_str(" else");
                block(out, o, depth);
            }
        }
        StmtKind::Require(r) => out.push_str(&format!("require {}", rule(r))),
        StmtKind::Warn(r) => out.push_str(&format!("warn {}", rule(r))),
        StmtKind::Accept(a) => {
            out.push_str(&format!("accept({}, because: {})", a.code.0, text(&a.because)));
        }
        StmtKind::Test(t) => {
            out.push_str(&format!("test {:?}", t.name));
            block(out, &t.body, depth);
        }
        StmtKind::Expect(Expect::Holds(e)) => out.push_str(&format!("expect {}", expr(e))),
        StmtKind::Expect(Expect::Error(c, _)) => out.push_str(&format!("expect error {c}")),
        StmtKind::Expect(Expect::Warning(c, _)) => out.push_str(&format!("expect warning {c}")),
        StmtKind::Field(f) => out.push_str(&field(f)),
        StmtKind::Broken => out.push_str("(broken)"),
    }
    out.push('\n');
}

fn block(out: &mut String, b: &Block, depth: usize) {
    out.push_str(" {\n");
    for s in &b.stmts {
        stmt(out, s, depth + 1);
    }
    out.push_str(&format!("{}}}", "  ".repeat(depth)));
}

fn part(p: &PartStmt, word: &str, names: String) -> String {
    let proud = if p.proud { "proud " } else { "" };
    let loose = if p.loose { "loose " } else { "" };
    let count = p.count.as_ref().map_or(String::new(), |c| format!("[{}]", expr(c)));
    let along = p.along.map_or(String::new(), |a| format!(" along {}", a.name));
    let head = format!("{proud}{loose}{word} {names}{count} of {}{along}{}", expr(&p.board), was(&p.was));
    format!("{head} {}", ranges(&p.ranges))
}

fn was(was: &Option<(String, aumbry::sources::Span)>) -> String {
    was.as_ref().map_or(String::new(), |(text, _)| format!(" was {text:?}"))
}

fn ranges(fields: &[Field]) -> String {
    format!("{{ {} }}", fields.iter().map(field).collect::<Vec<_>>().join("; "))
}

fn field(f: &Field) -> String {
    format!("{}: {}", f.label.name, expr(&f.value))
}

fn rule(r: &Rule) -> String {
    format!("{} else {} {}", expr(&r.condition), r.code.name, text(&r.message))
}

fn ty(t: &Type) -> String {
    match &t.kind {
        TypeKind::Name(n) => n.to_string(),
        TypeKind::List(t) => format!("list of {}", ty(t)),
        TypeKind::Choice(words) => {
            format!("choice of ({})", words.iter().map(|w| w.name.as_str()).collect::<Vec<_>>().join(", "))
        }
        TypeKind::OrNone(t) => format!("({}) or none", ty(t)),
    }
}

fn default(e: &Option<Expr>) -> String {
    e.as_ref().map_or(String::new(), |e| format!(" = {}", expr(e)))
}

fn call(c: &Call) -> String {
    let args = c.args.iter().map(|a| match a.label {
        Some(l) => format!("{}: {}", l.name, expr(&a.value)),
        None => expr(&a.value),
    });
    format!("{}({})", c.name.name, args.collect::<Vec<_>>().join(", "))
}

fn each(e: &Each) -> String {
    let number = e.number.map_or(String::new(), |n| format!(" number {}", n.name));
    let condition = e.condition.as_ref().map_or(String::new(), |c| format!(" where {}", expr(c)));
    format!("{}{number} in {}{condition}", e.name.name, expr(&e.list))
}

fn text(t: &Text) -> String {
    let pieces = t.pieces.iter().map(|p| match p {
        Piece::Plain(s) => s.clone(),
        Piece::Value(e) => format!("⟨{}⟩", expr(e)),
    });
    format!("“{}”", pieces.collect::<String>())
}

fn quantity(q: &Quantity) -> String {
    let dimension = q.dimension.to_string();
    let money = q.dimension.money.map_or(String::new(), |c| String::from_utf8_lossy(&c).into_owned());
    format!("{:?}{money}{}", q.value, dimension.replace(' ', "·"))
}

fn expr(e: &Expr) -> String {
    match &e.kind {
        ExprKind::Number(q) => quantity(q),
        ExprKind::Text(t) => text(t),
        ExprKind::Name(n) => n.to_string(),
        ExprKind::None => "none".to_string(),
        ExprKind::True => "yes".to_string(),
        ExprKind::False => "no".to_string(),
        ExprKind::Share(None) => "(share)".to_string(),
        ExprKind::Share(Some(n)) => format!("({} share)", expr(n)),
        ExprKind::Member(e, m) => format!("{}.{}", expr(e), m.name),
        ExprKind::Index(e, i) => format!("{}[{}]", expr(e), expr(i)),
        ExprKind::Call(c) => call(c),
        ExprKind::Negative(e) => format!("(-{})", expr(e)),
        ExprKind::Not(e) => format!("(not {})", expr(e)),
        ExprKind::Binary(o, a, b) => format!("({} {} {})", expr(a), o.sign(), expr(b)),
        ExprKind::Range(a, b) => format!("({} .. {})", expr(a), expr(b)),
        ExprKind::After(None, b) => format!("(after {})", expr(b)),
        ExprKind::After(Some(a), b) => format!("({} after {})", expr(a), expr(b)),
        ExprKind::Before(None, b) => format!("(before {})", expr(b)),
        ExprKind::Before(Some(a), b) => format!("({} before {})", expr(a), expr(b)),
        ExprKind::To(a, b) => format!("({} to {})", expr(a), expr(b)),
        ExprKind::If(c, a, b) => format!("(if {} then {} else {})", expr(c), expr(a), expr(b)),
        ExprKind::List(all) => format!("[{}]", all.iter().map(expr).collect::<Vec<_>>().join(", ")),
        ExprKind::Collect(v, e) => format!("[{} for {}]", expr(v), each(e)),
        ExprKind::OrFail(e, code, t) => format!("({} else {} {})", expr(e), code.name, text(t)),
        ExprKind::Broken => "(broken)".to_string(),
    }
}

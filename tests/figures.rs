//! The figure in a help line works: put in place of a labelled literal it mends the design, and one step
//! (0.1 mm) short of it does not.

use aumbry::commands::{Compiled, compile};
use aumbry::sources::MemoryFiles;

/// A design with one wrong literal, in several variants. Lengths are in tenths of a millimetre.
struct Case {
    code: &'static str,
    /// What stands in the help beside the figure for this literal.
    about: &'static str,
    /// The design with this literal, for this variant.
    text: fn(usize, i64) -> String,
    wrong: fn(usize) -> i64,
    /// The literal that the help asks for, from the wrong one and the help's figure.
    mend: fn(usize, i64, i64) -> i64,
    /// From the mended literal back towards the wrong one.
    short: i64,
}

fn mm(tenths: i64) -> String {
    let sign = if tenths < 0 { "-" } else { "" };
    format!("{sign}{}.{}mm", tenths.abs() / 10, tenths.abs() % 10)
}

/// A tray with lines of its own in its braces, 18 mm thick.
fn tray(lines: &str) -> String {
    format!(
        "aumbry 1\n\
         def box tray(width: length) {{\n  envelope (width, 100mm, 300mm)\n  \
         part base of house.board {{ x: 0mm .. width  y: 0mm .. 18mm  z: 0mm .. 300mm }}\n}}\n\
         box glazes = tray(width: 400mm) {{\n{lines}\n}}\n"
    )
}

/// A rib upon a base, with lines of its own.
fn bench(lines: &str) -> String {
    format!(
        "aumbry 1\nuse std.joints (screwed)\n\
         def box bench() {{\n  envelope (400mm, 300mm, 300mm)\n  \
         part base of house.board {{ x: 0mm .. 400mm  y: 0mm .. 18mm  z: 0mm .. 300mm }}\n  \
         part rib of house.board {{ x: 100mm .. 118mm  y: 18mm .. 300mm  z: 0mm .. 300mm }}\n  \
         joint screwed(rib, through: base)\n{lines}\n}}\nbox throwing = bench()\n"
    )
}

const CASES: &[Case] = &[
    Case {
        code: "hole-outside",
        about: "centre",
        text: |v, at| {
            let dia = [35, 20, 12, 8, 51, 7][v];
            tray(&format!("drill(base.top, x: {}, z: 150mm, dia: {dia}mm, depth: 10mm)", mm(at)))
        },
        wrong: |v| [100, 20, 59, 1, -10, 30][v],
        mend: |_, _, figure| figure,
        short: -1,
    },
    Case {
        code: "hole-too-deep",
        about: "deep",
        text: |v, deep| {
            let face = ["top", "bottom", "top", "bottom", "top", "bottom"][v];
            tray(&format!("drill(base.{face}, x: 40mm, z: {}mm, dia: 5mm, depth: {})", 40 + v, mm(deep)))
        },
        wrong: |v| [180, 185, 190, 200, 300, 2000][v],
        mend: |_, _, figure| figure,
        short: 1,
    },
    Case {
        code: "hole-meets-hole",
        about: "apart",
        text: |v, at| {
            let dia = [5, 8, 10, 15, 3, 12][v];
            tray(&format!(
                "drill(base.top, x: 40mm, z: 40mm, dia: 5mm, depth: 10mm)\n\
                 drill(base.top, x: {}, z: 40mm, dia: {dia}mm, depth: 12mm)",
                mm(at)
            ))
        },
        wrong: |v| [401, 430, 440, 460, 410, 450][v],
        mend: |_, _, figure| 400 + figure,
        short: -1,
    },
    Case {
        code: "hole-in-groove",
        about: "deep",
        text: |v, deep| {
            let bite = [5, 6, 7, 8, 9, 4][v];
            format!(
                "aumbry 1\nuse std.joints (let_in)\ndef box bench() {{\n  envelope (400mm, 300mm, 300mm)\n  \
                 part base of house.board {{ x: 0mm .. 400mm  y: 0mm .. 18mm  z: 0mm .. 300mm }}\n  \
                 part rear of house.back {{ x: 0mm .. 400mm  y: {}mm .. 300mm  z: 279mm .. 282mm }}\n  \
                 joint let_in(rear, into: base)\n  \
                 drill(base.bottom, x: 40mm, z: 280mm, dia: 5mm, depth: {})\n}}\nbox throwing = bench()\n",
                18 - bite,
                mm(deep)
            )
        },
        wrong: |_| 170,
        mend: |_, _, figure| figure,
        short: 1,
    },
    Case {
        code: "overlap",
        about: "Shorten",
        text: |v, at| {
            let low = [30, 60, 100, 150, 200, 250][v];
            bench(&format!(
                "loose part shelf of house.board {{ x: {} .. 400mm  y: {low}mm .. {}mm  z: 0mm .. 290mm }}",
                mm(at),
                low + 18
            ))
        },
        wrong: |v| [1100, 1179, 1050, 1001, 1175, 1123][v],
        mend: |_, wrong, figure| wrong + figure,
        short: -1,
    },
    Case {
        code: "outside-envelope",
        about: "Bring",
        text: |v, at| {
            let low = [30, 60, 100, 150, 200, 250][v];
            bench(&format!(
                "loose part shelf of house.board {{ x: 118mm .. {}  y: {low}mm .. {}mm  z: 0mm .. 290mm }}",
                mm(at),
                low + 18
            ))
        },
        wrong: |v| [4001, 4010, 4100, 4500, 5000, 4007][v],
        mend: |_, wrong, figure| wrong - figure,
        short: 1,
    },
    Case {
        code: "sheet-too-small",
        about: "At most",
        text: |v, wide| {
            let board = ["white16", "white18", "white19", "ply12", "mdf12", "ply18"][v];
            format!(
                "aumbry 1\nuse std.boards ({board})\ndef box top() {{\n  envelope ({0}, 100mm, 300mm)\n  \
                 part slab of {board} along x {{ x: 0mm .. {0}  y: after 0mm  z: 0mm .. 300mm }}\n}}\nbox wedging = top()\n",
                mm(wide)
            )
        },
        wrong: |_| 30000,
        mend: |_, _, figure| figure,
        short: 1,
    },
];

fn made(text: &str) -> Compiled {
    compile(&MemoryFiles::new().with("a.aum", text), "a.aum", None)
}

fn codes(compiled: &Compiled) -> Vec<&str> {
    compiled.diagnostics.iter().map(|d| d.code.as_ref()).collect()
}

/// The first length of a line, in tenths of a millimetre.
fn figure(help: &str) -> Option<i64> {
    let before = help.split("mm").next()?;
    let digits: String = before.chars().rev().take_while(|c| c.is_ascii_digit() || *c == '.').collect();
    let digits: String = digits.chars().rev().collect();
    let (whole, part) = digits.split_once('.').unwrap_or((&digits, "0"));
    assert_eq!(part.len(), 1, "{help}");
    Some(whole.parse::<i64>().ok()? * 10 + part.parse::<i64>().ok()?)
}

#[test]
fn the_figure_works_and_one_step_short_of_it_does_not() {
    for case in CASES {
        for variant in 0..6 {
            let wrong = (case.wrong)(variant);
            let text = (case.text)(variant, wrong);
            let compiled = made(&text);
            assert_eq!(codes(&compiled), [case.code], "{text}");
            let fault = &compiled.diagnostics[0];
            // Where the help offers two ways, the one about the literal at hand.
            let clauses = fault.help.iter().flat_map(|h| h.split(", or "));
            let help =
                clauses.filter(|c| c.contains(case.about)).find_map(figure).expect("a figure in the help");
            let mended = (case.mend)(variant, wrong, help);
            let labelled = fault.labels.iter().any(|l| compiled.sources.text(l.span).contains(&mm(wrong)));
            assert!(labelled, "{}: the literal is not labelled\n{text}\n{fault:#?}", case.code);
            let text = (case.text)(variant, mended);
            assert_eq!(codes(&made(&text)), [""; 0], "{}: {:?}\n{text}", case.code, fault.help);
            let text = (case.text)(variant, mended + case.short);
            assert_eq!(codes(&made(&text)), [case.code], "{}: a step short\n{text}", case.code);
        }
    }
}

/// The failing example of a page.
fn failing(page: &str) -> Option<&str> {
    page.split_once("```aumbry fails\n").and_then(|(_, rest)| rest.split_once("```")).map(|(text, _)| text)
}

/// The same design with every length from 200 mm on longer by so many millimetres.
fn grown(text: &str, by: i64) -> String {
    let mut out = String::new();
    let mut rest = text;
    while let Some(at) = rest.find(|c: char| c.is_ascii_digit()) {
        out += &rest[..at];
        let end = rest[at..].find(|c: char| !c.is_ascii_digit() && c != '.').map_or(rest.len(), |e| at + e);
        let figure = &rest[at..end];
        let bare = !rest[..at].ends_with(|c: char| c.is_ascii_alphanumeric() || c == '_');
        match figure.parse::<i64>() {
            Ok(n) if n >= 200 && bare && rest[end..].starts_with("mm") => out += &(n + by).to_string(),
            _ => out += figure,
        }
        rest = &rest[end..];
    }
    out + rest
}

/// A number of whole millimetres.
fn whole_mm(text: &str) -> Option<i64> {
    text.strip_suffix("mm")?.parse().ok()
}

/// Every figure that a message offers for a number in whole millimetres is the least that does.
#[test]
fn what_a_message_offers_is_the_least_figure_that_compiles() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("grammar/errors");
    let mut tried = std::collections::BTreeMap::<String, usize>::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        let code = path.file_stem().unwrap().to_str().unwrap().to_string();
        let page = std::fs::read_to_string(&path).unwrap();
        let Some(text) = failing(&page) else { continue };
        // Chains thousands deep take a large stack and offer no figure.
        if code == "depends-too-deep" || code == "nesting-too-deep" {
            continue;
        }
        let mut variants = 0;
        for by in 0..12 {
            let text = grown(text, by);
            let compiled = made(&text);
            let [fault] = &compiled.diagnostics[..] else { continue };
            if fault.code != code || variants == 6 {
                continue;
            }
            let mut offered = false;
            for edit in &fault.edits {
                let written = compiled.sources.text(edit.span);
                let (Some(old), Some(new)) = (whole_mm(written), whole_mm(&edit.text)) else { continue };
                offered = true;
                let with = |n: i64| {
                    let (start, end) = (edit.span.start as usize, edit.span.end as usize);
                    let changed = format!("{}{n}mm{}", &text[..start], &text[end..]);
                    let compiled = made(&changed);
                    compiled.diagnostics.iter().all(|d| !d.is_error())
                };
                assert!(with(new), "{code}: {} does not do\n{text}", edit.text);
                let short = if new > old { new - 1 } else { new + 1 };
                assert!(!with(short), "{code}: {short}mm would do as well as {}\n{text}", edit.text);
            }
            if by == 0 && !offered {
                break;
            }
            variants += usize::from(offered);
        }
        if variants > 0 {
            tried.insert(code, variants);
        }
    }
    println!("{tried:?}");
    assert!(tried.len() >= 16, "only {tried:?}");
    let few: Vec<_> = tried.iter().filter(|(_, n)| **n < 6).collect();
    assert!(few.is_empty(), "fewer than the page and five variants: {few:?}");
}

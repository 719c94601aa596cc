//! Where figures come from: every figure of the lists of every example, and answers as they are printed.

use aumbry::commands::{compile, why};
use aumbry::job::{Answer, Job, Reason, Telling};
use aumbry::outputs;
use aumbry::sources::{DiskFiles, Files, MemoryFiles, Sources};
use aumbry::values::{Rational, Style, decimal};
use std::path::Path;

const FOLDER: &str = concat!(env!("CARGO_MANIFEST_DIR"), "/examples");

fn examples() -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(FOLDER)
        .expect("the examples")
        .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
        .filter(|n| n.ends_with(".aum"))
        .collect();
    names.sort();
    names
}

/// On a thread with a large stack, as the command line does.
fn deep<T: Send>(go: impl FnOnce() -> T + Send) -> T {
    std::thread::scope(|s| {
        let thread = std::thread::Builder::new().stack_size(256 << 20).spawn_scoped(s, go);
        thread.expect("a thread").join().expect("no panic")
    })
}

/// A figure of a list: how it is asked, and how it is printed.
struct Figure {
    question: String,
    printed: String,
    /// A plain number, not a length.
    count: bool,
}

/// Every figure of the parts list, from its CSV.
fn of_parts(job: &Job) -> Vec<Figure> {
    let mut out = Vec::new();
    let text = outputs::parts::as_csv(job);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings: Vec<String> = reader.headers().expect("headings").iter().map(str::to_string).collect();
    for row in reader.records() {
        let row = row.expect("a row");
        for (heading, cell) in headings.iter().zip(row.iter()) {
            let heading = heading.trim_end_matches("_mm").trim_end_matches("_in");
            if matches!(heading, "length" | "width" | "thickness" | "cut_length" | "cut_width" | "quantity") {
                out.push(Figure {
                    question: format!("{} {heading}", &row[0]),
                    printed: cell.to_string(),
                    count: heading == "quantity",
                });
            }
        }
    }
    out
}

/// Every figure of the hole list, from its CSV; the widths and depths of heads from the job.
fn of_holes(job: &Job) -> Vec<Figure> {
    let mut out = Vec::new();
    let text = outputs::hole_list::as_csv(job);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let headings: Vec<String> = reader.headers().expect("headings").iter().map(str::to_string).collect();
    let (mut mark, mut cuts, mut bevels) = (String::new(), 0, 0);
    for row in reader.records() {
        let row = row.expect("a row");
        if row[0] != mark {
            (mark, cuts, bevels) = (row[0].to_string(), 0, 0);
        }
        let name = match &row[3] {
            "hole" => format!("hole {}", &row[4]),
            "bevel" => {
                bevels += 1;
                format!("bevel {bevels}")
            }
            _ => {
                cuts += 1;
                format!("cut {cuts}")
            }
        };
        for (heading, cell) in headings.iter().zip(row.iter()).filter(|(_, cell)| !cell.is_empty()) {
            let heading = heading.trim_end_matches("_mm").trim_end_matches("_in");
            if matches!(
                heading,
                "from_1" | "to_1" | "from_2" | "to_2" | "dia" | "depth" | "rise" | "bevel_run"
            ) {
                let question = format!("{mark} {name} {heading}");
                out.push(Figure { question, printed: cell.to_string(), count: false });
            }
        }
    }
    out
}

fn printed(style: Style, figure: &Figure, exact: Rational) -> String {
    if figure.count {
        return decimal(exact, 6);
    }
    let rounded = style.round(exact).expect("small");
    let unit = if style.inches { Rational::ratio(5, 127) } else { Rational::ONE };
    decimal(rounded.mul(unit).expect("small"), 6)
}

/// The leaves of a tree.
fn leaves<'r>(reason: &'r Reason, out: &mut Vec<&'r Reason>) {
    if reason.reads.is_empty() && !reason.above {
        out.push(reason);
    }
    for read in &reason.reads {
        leaves(read, out);
    }
}

fn lines(answer: &Answer) -> usize {
    outputs::why::text(answer, 100).lines().count()
}

/// True where a text stands at its place.
fn stands(sources: &Sources, stated: &aumbry::job::Stated) -> bool {
    let at = &stated.place;
    let file = sources.iter().find(|(_, f)| f.name == at.file).map(|(_, f)| f.text.clone());
    file.is_some_and(|text| {
        text.lines().nth(at.line - 1).is_some_and(|line| {
            line.chars().skip(at.column - 1).collect::<String>().starts_with(&stated.text)
        })
    })
}

/// True where a formula without a number (`share`) stands where it is said to.
fn stated(sources: &Sources, leaf: &Reason) -> bool {
    let Some(at) = &leaf.place else { return false };
    let text: String = leaf.formula.split_whitespace().next().unwrap_or("").to_string();
    let place = at.clone();
    !text.is_empty() && stands(sources, &aumbry::job::Stated { text, exact: Rational::ZERO, place })
}

#[test]
fn every_figure_of_parts_and_holes_of_every_example_has_its_reason() {
    deep(|| {
        let (mut asked, mut longest, mut faults) = (0, (0, String::new()), Vec::new());
        let mut lengths = Vec::new();
        for name in examples() {
            let files = DiskFiles::new(Path::new(FOLDER));
            let job = compile(&files, &name, None).job.expect("an example compiles");
            let mut figures = of_parts(&job);
            figures.extend(of_holes(&job));
            let questions: Vec<&str> = figures.iter().map(|f| f.question.as_str()).collect();
            let found = why(&files, &name, None, &questions, Telling::default());
            let style = job.house.style();
            for (figure, answer) in figures.iter().zip(&found.answers) {
                asked += 1;
                let what = format!("{name}: {}", figure.question);
                let answer = match answer {
                    Ok(answer) => answer,
                    Err(unknown) => {
                        faults.push(format!("{what}: {}", unknown.message));
                        continue;
                    }
                };
                let [reason] = answer.reasons.as_slice() else {
                    faults.push(format!("{what}: {} figures", answer.reasons.len()));
                    continue;
                };
                match reason.exact {
                    Some(exact) if printed(style, figure, exact) == figure.printed => {}
                    exact => faults.push(format!("{what}: {exact:?} is printed {}", figure.printed)),
                }
                let mut ends = Vec::new();
                leaves(reason, &mut ends);
                for leaf in ends {
                    if let Some(stated) = leaf.literals.iter().find(|l| !stands(&found.sources, l)) {
                        faults.push(format!("{what}: {} does not stand at {:?}", stated.text, stated.place));
                    }
                    let fact = figure.count
                        || leaf.exact.is_some_and(Rational::is_zero)
                        || stated(&found.sources, leaf);
                    if leaf.place.is_none() || (leaf.literals.is_empty() && !fact) {
                        faults.push(format!("{what}: nothing behind {} = {}", leaf.name, leaf.formula));
                    }
                }
                let many = lines(answer);
                lengths.push(many);
                if many > longest.0 {
                    longest = (many, what);
                }
            }
        }
        lengths.sort_unstable();
        println!(
            "{asked} figures; lines: median {}, 90% up to {}, longest {longest:?}",
            lengths[lengths.len() / 2],
            lengths[lengths.len() * 9 / 10]
        );
        let few: Vec<&String> = faults.iter().step_by(1 + faults.len() / 30).collect();
        assert!(faults.is_empty(), "{} faults, such as {few:#?}", faults.len());
        assert!(longest.0 <= 90, "{longest:?}");
        assert!(lengths[lengths.len() * 9 / 10] <= 25, "most answers are short");
    });
}

/// A formula of names with + and -, each with how many times it counts; `floor(…)` of such too. None where it
/// is any other.
fn terms(formula: &str) -> Option<(bool, Vec<(Rational, String)>)> {
    let floored = formula.strip_prefix("floor(").and_then(|f| f.strip_suffix(')'));
    let text = floored.unwrap_or(formula);
    let (mut out, mut depth, mut sign, mut now) = (Vec::new(), 0i32, 1, String::new());
    let mut words = text.split(' ');
    let mut push = |sign: i64, now: &mut String| -> Option<()> {
        let term = std::mem::take(now);
        let (sign, term) = match term.strip_prefix('-') {
            Some(rest) => (-sign, rest.to_string()),
            None => (sign, term),
        };
        let plain = !term.is_empty() && !term.contains(['(', ')', '*', '/', '×', '{', ',', '"']);
        let word =
            !term.split(' ').any(|w| matches!(w, "if" | "then" | "after" | "before" | ".." | "to" | "for"));
        out.push((Rational::int(sign), term));
        (plain && word).then_some(())
    };
    for word in &mut words {
        if depth == 0 && matches!(word, "+" | "-") {
            push(sign, &mut now)?;
            sign = if word == "+" { 1 } else { -1 };
            continue;
        }
        depth += word.matches(['(', '[']).count() as i32 - word.matches([')', ']']).count() as i32;
        if !now.is_empty() {
            now.push(' ');
        }
        now.push_str(word);
    }
    push(sign, &mut now)?;
    (out.len() > 1).then_some((floored.is_some(), out))
}

/// A name without what stands in brackets: an index is told by its number.
fn bare(name: &str) -> String {
    let (mut out, mut depth) = (String::new(), 0);
    for c in name.chars() {
        match c {
            '[' => depth += 1,
            ']' => depth -= 1,
            c if depth == 0 => out.push(c),
            _ => {}
        }
    }
    out
}

/// A length that is written as a figure.
fn written(term: &str) -> Option<Rational> {
    let figure = term.strip_suffix("mm")?;
    let (whole, part) = figure.split_once('.').unwrap_or((figure, ""));
    let digits = format!("{whole}{part}").parse::<i64>().ok()?;
    Some(Rational::ratio(digits.into(), 10i128.pow(part.len() as u32)))
}

/// Adds to `faults` every formula whose figures, as they are shown below it, do not add up to its own.
fn add_up(reason: &Reason, what: &str, seen: &mut usize, faults: &mut Vec<String>) {
    for read in &reason.reads {
        add_up(read, what, seen, faults);
    }
    let (Some(due), Some((floored, terms))) = (reason.exact, terms(&reason.formula)) else { return };
    if reason.above || reason.reads.is_empty() {
        return;
    }
    let mut left: Vec<&Reason> = reason.reads.iter().filter(|r| r.name != "house.step").collect();
    let mut total = Rational::ZERO;
    let mut odd = Vec::new();
    for (times, term) in &terms {
        let fits = |r: &&Reason| {
            let (name, term) = (bare(&r.name), bare(term));
            let name = name.split(" from the ").next().unwrap_or("").to_string();
            name == term || name.ends_with(&format!(".{term}")) || r.name == *term
        };
        let found = match (written(term), left.iter().position(fits)) {
            (Some(figure), _) => figure,
            (None, Some(i)) => left.remove(i).exact.expect("a figure"),
            (None, None) => {
                odd.push(*times);
                continue;
            }
        };
        total = total.add(found.mul(*times).expect("small")).expect("small");
    }
    // A name of the text that stands for something else under its own name: by the order of reading.
    if odd.len() != left.len() {
        return;
    }
    for (times, read) in odd.into_iter().zip(left) {
        let Some(found) = read.exact else { return };
        total = total.add(found.mul(times).expect("small")).expect("small");
    }
    *seen += 1;
    let step = Rational::ratio(254, 10);
    let right = match floored {
        true => due <= total && total < due.add(step).expect("small"),
        false => due == total,
    };
    if !right {
        let of: Vec<String> = reason.reads.iter().map(|r| format!("{} {}", r.name, r.value)).collect();
        faults.push(format!("{what}: {} = {} = {} of {of:?}", reason.name, reason.formula, reason.value));
    }
}

#[test]
fn the_figures_below_a_sum_add_up_to_it() {
    deep(|| {
        let (mut seen, mut faults) = (0, Vec::new());
        for name in examples() {
            let files = DiskFiles::new(Path::new(FOLDER));
            let job = compile(&files, &name, None).job.expect("an example compiles");
            let mut figures = of_parts(&job);
            figures.retain(|f| !f.count);
            figures.extend(of_holes(&job));
            let boxes = job.boxes.iter().map(|b| b.path.as_str());
            let questions = figures.iter().map(|f| f.question.as_str()).chain(boxes);
            let questions: Vec<&str> = questions.collect();
            for library in [false, true] {
                // With every step of the library there is much more to read.
                let every = if library { 7 } else { 1 };
                let questions: Vec<&str> = questions.iter().step_by(every).copied().collect();
                let found = why(&files, &name, None, &questions, Telling { library });
                for (question, answer) in questions.iter().zip(&found.answers) {
                    for reason in answer.iter().flat_map(|a| &a.reasons) {
                        add_up(reason, &format!("{name}: {question}"), &mut seen, &mut faults);
                    }
                }
            }
        }
        println!("{seen} sums");
        assert!(seen >= 1000, "only {seen}");
        let few: Vec<&String> = faults.iter().step_by(1 + faults.len() / 20).collect();
        assert!(faults.is_empty(), "{} of {seen} do not add up, such as {few:#?}", faults.len());
    });
}

/// Answers as they are printed, one after another.
fn answers(files: &dyn Files, name: &str, questions: &[&str], telling: Telling) -> String {
    let found = why(files, name, None, questions, telling);
    let mut out = String::new();
    for (question, answer) in questions.iter().zip(&found.answers) {
        out.push_str(&format!("> {question}\n"));
        match answer {
            Ok(answer) => out.push_str(&outputs::why::text(answer, 100)),
            Err(u) => {
                out.push_str(&format!("{}; near: {:?}; known: {}\n", u.message, u.near, u.known.join(", ")))
            }
        }
        out.push('\n');
    }
    out
}

#[test]
fn answers_on_the_wall_read_well() {
    let questions = [
        "floor.clay.left",
        "CL cut width",
        "floor.clay.bottom.cut_length",
        "floor share",
        "floor right end",
        "floor.clay.left.x.start",
        "floor.clay.drawers.tray[2].left length",
        "side_slide.length",
        "side_slide.rating",
        "count of connector50",
        "CL hole 1",
        "rails.rail/fastened(rails.rail,cleat[upper[1]])#2",
        "CL groove",
        "CL weight",
        "floor.clay weight",
        "bench[1].top[1].y.end - house.board.thickness",
        "floor.clay.drawers.front[1] width",
        "upper",
        "floor.clay.drawers.tray[1] travel",
        "CRF holes",
        "floor.clay.rail_front quantity",
        "rails.rail sag",
        "floor.clay people",
        "count of hinge_plate",
        "house.reveal",
        "floor.roller",
        "north",
    ];
    let text =
        deep(|| answers(&DiskFiles::new(Path::new(FOLDER)), "studio.aum", &questions, Telling::default()));
    steady(|| insta::assert_snapshot!(text));
}

/// Lines of the library and of the example move when they are edited; a test of its own holds that they are right.
fn steady(go: impl FnOnce()) {
    let mut settings = insta::Settings::clone_current();
    settings.add_filter(r"(std\.\w+|studio\.aum):\d+", "$1:LINE");
    settings.bind(go);
}

#[test]
fn library_steps_are_told_one_by_one_where_asked() {
    let questions = ["CB cut length", "CL hole 1 from bottom"];
    let text = deep(|| {
        answers(&DiskFiles::new(Path::new(FOLDER)), "studio.aum", &questions, Telling { library: true })
    });
    steady(|| insta::assert_snapshot!(text));
}

#[test]
fn the_same_tree_as_json() {
    let question = "floor.clay.bottom cut length";
    let text = deep(|| {
        let files = DiskFiles::new(Path::new(FOLDER));
        let found = why(&files, "studio.aum", None, &[question], Telling::default());
        outputs::why::json(question, found.answers[0].as_ref().expect("an answer"))
    });
    let value: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert!(text.starts_with("{\"format\":\"aumbry-why/1\""), "{text}");
    let text = serde_json::to_string_pretty(&value).expect("JSON");
    let text = without_library_lines(&text);
    insta::assert_snapshot!(text);
}

fn one_file(text: &str) -> MemoryFiles {
    MemoryFiles::new().with("a.aum", text)
}

#[test]
fn the_figures_of_a_message_are_asked_by_its_code_or_number() {
    let text = "aumbry 1\nuse std.boxes (open_box)\nlet narrow = 90mm\n\
                box jars = open_box(width: narrow + 10mm, height: 600mm, depth: 250mm)\n\
                box lids = open_box(width: 400mm, height: 600mm, depth: 250mm) {\n  \
                part lip of board along x { x: right .. left  y: 60mm after bottom  z: after 0mm }\n}\n";
    let all = answers(
        &one_file(text),
        "a.aum",
        &["too-narrow", "message 1", "message 2", "empty-range", "message 9"],
        Telling::default(),
    );
    steady(|| insta::assert_snapshot!(all));
}

/// Codes whose message has a figure that is of the text itself, or a bound of the compiler, or that repeat
/// another message.
const OF_NO_FIGURE: [&str; 11] = [
    "accepted-error",
    "depends-too-deep",
    "foot-mark",
    "hidden-character",
    "length-needs-unit",
    "missing-unit",
    "nesting-too-deep",
    "space-before-unit",
    "unknown-unit",
    "wrong-ends",
    "wrong-version",
];

#[test]
fn every_message_with_figures_tells_where_they_come_from() {
    deep(|| {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/grammar/errors");
        let (mut asked, mut silent) = (0, Vec::new());
        for entry in std::fs::read_dir(folder).expect("the pages") {
            let path = entry.expect("a page").path();
            let code = path.file_stem().expect("a name").to_string_lossy().into_owned();
            let page = std::fs::read_to_string(&path).expect("a page");
            let Some((_, rest)) = page.split_once("```aumbry fails\n") else { continue };
            let text = rest.split("```").next().expect("an example");
            let files = one_file(text);
            let found = why(&files, "a.aum", None, &[code.as_str()], Telling::default());
            let Some(d) = found.diagnostics.iter().find(|d| d.code == code) else { continue };
            // Figures in back quotes are words of the text.
            let outside = d.message.split('`').step_by(2).any(|s| s.contains(|c: char| c.is_ascii_digit()));
            if !outside || OF_NO_FIGURE.contains(&code.as_str()) {
                continue;
            }
            asked += 1;
            let full = |a: &Answer| a.reasons.iter().all(|r| r.exact.is_some());
            if !found.answers[0].as_ref().is_ok_and(full) {
                silent.push(format!("{code}: {}", d.message));
            }
        }
        println!("{asked} messages with figures");
        assert!(asked >= 30, "only {asked}");
        assert!(silent.is_empty(), "{silent:#?}");
    });
}

#[test]
fn a_row_that_is_too_long_tells_its_figures() {
    let text = |widths: [&str; 2]| {
        format!(
            "aumbry 1\nuse std.walls (site_wall, along)\nuse std.boxes (floor_box)\n\
             wall north = site_wall(length: [1210mm, 1200mm], height: 2500mm)\n\
             row low = along(north, at: 110mm, ends: [30mm, none]) {{\n  \
             box clay = floor_box(width: {})\n  gap pipe = 40mm\n  box tiles = floor_box(width: {})\n}}\n",
            widths[0], widths[1]
        )
    };
    let ask = |widths| answers(&one_file(&text(widths)), "a.aum", &["row-too-long"], Telling::default());
    let all = format!("{}{}", ask(["600mm", "600mm"]), ask(["1200mm", "share"]));
    let fits =
        answers(&one_file(&text(["500mm", "500mm"])), "a.aum", &["low share", "low"], Telling::default());
    steady(|| insta::assert_snapshot!(format!("{all}{fits}")));
}

#[test]
fn what_cannot_be_asked_is_told_with_what_can() {
    let text = "aumbry 1\nuse std.boxes (open_box)\n\
                box jars = open_box(width: 400mm, height: 600mm, depth: 250mm)\n";
    let questions = [
        "",
        "jars.lefft",
        "jars.left widht",
        "jars.left hole 99",
        "jars.left/nothing#1",
        "JL groove 7",
        "1mm +",
        "jars.left.x",
        "count of nothing",
        "jras",
        "2 + 2",
        "jars.inside",
        "yes",
        "house.kerf",
        "\u{1F600}",
        "jars.left[",
        "..",
        "]",
        "jars . left",
        "jars.left cut",
        "weight of nobody",
    ];
    let all = answers(&one_file(text), "a.aum", &questions, Telling::default());
    steady(|| insta::assert_snapshot!(all));
}

/// A leaf of the maker's own file that a tree says a figure comes from.
fn own_literals(reason: &Reason, out: &mut Vec<aumbry::job::Stated>) {
    out.extend(reason.literals.iter().filter(|l| !l.place.library).cloned());
    for read in &reason.reads {
        own_literals(read, out);
    }
}

/// The byte at which a place begins.
fn byte_of(text: &str, at: &aumbry::job::WrittenAt) -> usize {
    let start: usize = text.split_inclusive('\n').take(at.line - 1).map(str::len).sum();
    start + text[start..].chars().take(at.column - 1).map(char::len_utf8).sum::<usize>()
}

#[test]
fn a_literal_that_a_tree_ends_in_changes_its_figure() {
    deep(|| {
        let (mut tried, mut faults) = (0, Vec::new());
        for name in [
            "studio.aum",
            "divided_box.aum",
            "own_type.aum",
            "tall_box.aum",
            "packing_room.aum",
            "drawer_bank.aum",
        ] {
            let Ok(text) = std::fs::read_to_string(Path::new(FOLDER).join(name)) else { continue };
            let files = DiskFiles::new(Path::new(FOLDER));
            let Some(job) = compile(&files, name, None).job else { continue };
            let mut figures = of_parts(&job);
            figures.retain(|f| !f.count);
            figures.extend(of_holes(&job));
            // A sample: every so many, and by the path of the piece, as marks may change.
            let step = figures.len() / 40 + 1;
            let sample: Vec<String> = figures
                .iter()
                .step_by(step)
                .map(|f| {
                    let (mark, rest) = f.question.split_once(' ').expect("a figure");
                    let part = job.parts.iter().find(|p| p.mark == mark && p.piece == 1).expect("a part");
                    format!("{} {rest}", part.path)
                })
                .collect();
            let questions: Vec<&str> = sample.iter().map(String::as_str).collect();
            let found = why(&files, name, None, &questions, Telling::default());
            for (question, answer) in questions.iter().zip(&found.answers) {
                let Ok(answer) = answer else { continue };
                let [reason] = answer.reasons.as_slice() else { continue };
                let mut literals = Vec::new();
                own_literals(reason, &mut literals);
                // One that is met twice may fall out.
                let once =
                    |l: &aumbry::job::Stated| literals.iter().filter(|o| o.place == l.place).count() == 1;
                let mm =
                    |l: &&aumbry::job::Stated| l.text.ends_with("mm") && l.exact > Rational::ONE && once(l);
                let Some(literal) = literals.iter().find(mm).cloned() else {
                    continue;
                };
                // A tenth: small enough that nothing else is chosen.
                let number: f64 = literal.text.trim_end_matches("mm").parse().expect("a number");
                let changed = format!("{}mm", ((number + 0.1) * 1000.0).round() / 1000.0);
                let at = byte_of(&text, &literal.place);
                if literal.place.file != name
                    || text[at..].get(..literal.text.len()) != Some(literal.text.as_str())
                {
                    continue;
                }
                let mut other = text.clone();
                other.replace_range(at..at + literal.text.len(), &changed);
                let again =
                    why(&MemoryFiles::new().with(name, &other), name, None, &[*question], Telling::default());
                let Some(Ok(new)) = again.answers.first() else { continue };
                let was = reason.exact;
                let now = new.reasons.first().and_then(|r| r.exact);
                tried += 1;
                // Shares and steps go down to whole millimetres, and may stay.
                let stepped = outputs::why::text(answer, 200).contains("whole")
                    || answer_has(answer, "floor(")
                    || answer_has(answer, "longest(");
                // An obstacle is as wide as its range, which counts from its start: one end falls out.
                let obstacle =
                    text.lines().nth(literal.place.line - 1).is_some_and(|l| l.contains("obstacle"));
                if was == now && !stepped && !obstacle {
                    faults.push(format!("{name}: {question}: {} at {:?}", literal.text, literal.place.line));
                }
            }
        }
        println!("{tried} literals changed");
        assert!(tried >= 40, "only {tried}");
        assert!(faults.is_empty(), "{faults:#?}");
    });
}

fn answer_has(answer: &Answer, word: &str) -> bool {
    outputs::why::text(answer, 400).contains(word)
}

#[test]
fn trails_of_messages_reach_the_literals_that_reasons_reach() {
    use aumbry::evaluation::reasons::Graph;
    use aumbry::evaluation::{Evaluation, PartId, load};
    deep(|| {
        let (mut parts, mut missing) = (0, Vec::new());
        for name in examples() {
            let files = DiskFiles::new(Path::new(FOLDER));
            let (program, _) = load(&files, &name);
            let mut e = Evaluation::new(&program);
            e.run_root();
            for i in 0..e.parts.len() {
                let id = PartId(i as u32);
                let path = e.parts[i].path.clone();
                let trail: Vec<_> = e.part_trail(id).iter().map(|l| l.span).collect();
                let mut graph = Graph::of(&mut e);
                graph.ends_of_part(id);
                let reached = graph.literals();
                drop(graph);
                parts += 1;
                for literal in reached {
                    let file = program.sources.file(literal.span.file);
                    if !file.library && !trail.contains(&literal.span) {
                        missing.push(format!(
                            "{path}: {} at {}",
                            program.sources.text(literal.span),
                            program.sources.place(literal.span)
                        ));
                    }
                }
            }
        }
        println!("{parts} parts");
        let few: Vec<&String> = missing.iter().step_by(1 + missing.len() / 20).collect();
        assert!(missing.is_empty(), "{} literals are not reached, such as {few:#?}", missing.len());
    });
}

/// JSON in which the lines of the library are left out: they move when it is edited.
fn without_library_lines(text: &str) -> String {
    let mut in_library = false;
    let mut out = String::new();
    for line in text.lines() {
        let word = line.trim();
        if word.starts_with("\"file\"") {
            in_library = word.contains("std.") || word.contains("studio");
        }
        if !(in_library && (word.starts_with("\"line\"") || word.starts_with("\"column\""))) {
            out.push_str(line);
            out.push('\n');
        }
    }
    out
}

#[test]
fn the_command_answers_on_standard_output_and_says_by_its_status_how_it_went() {
    let folder = std::env::temp_dir().join(format!("aumbry-why-{}", std::process::id()));
    std::fs::create_dir_all(&folder).expect("a folder");
    let write = |name: &str, text: &str| std::fs::write(folder.join(name), text).expect("written");
    write(
        "good.aum",
        "aumbry 1\nuse std.boxes (open_box)\nbox jars = open_box(width: 400mm, height: 600mm, depth: 250mm)\n",
    );
    write(
        "bad.aum",
        "aumbry 1\nuse std.boxes (open_box)\nbox jars = open_box(width: 30mm, height: 600mm, depth: 250mm)\n",
    );
    write("broken.aum", "aumbry 1\nuse std.boxes (open_box)\nbox jars = open_box(width: 4\n<<<<<<< mine\n");
    let run = |args: &[&str]| {
        let done = std::process::Command::new(env!("CARGO_BIN_EXE_aumbry"))
            .arg("why")
            .args(args)
            .current_dir(&folder)
            .output()
            .expect("it runs");
        let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
        (done.status.code(), text(&done.stdout), text(&done.stderr))
    };
    let (code, out, err) = run(&["good.aum", "jars.left", "cut", "width"]);
    assert_eq!((code, err.as_str()), (Some(0), ""), "{out}");
    assert!(out.contains("cut width") && out.contains("good.aum:3"), "{out}");
    let (code, out, _) = run(&["good.aum"]);
    assert!(code == Some(0) && out.contains("jars.bottom"), "{out}");
    let (code, out, _) = run(&["good.aum", "JL length", "--as", "json"]);
    assert!(code == Some(0) && out.starts_with("{\"format\":\"aumbry-why/1\""), "{out}");
    let (code, out, err) = run(&["good.aum", "jars.lefft"]);
    assert!(code == Some(2) && out.is_empty() && err.contains("jars.left"), "{err}");
    let (code, out, err) = run(&["bad.aum", "too-narrow"]);
    assert!(code == Some(1) && out.contains("30mm") && err.contains("too-narrow"), "{out}{err}");
    let (code, _, err) = run(&["broken.aum", "jars.left"]);
    assert!(code == Some(2) && !err.is_empty(), "{err}");
    let (code, _, err) = run(&["none.aum", "x"]);
    assert!(code == Some(3) && err.contains("none.aum"), "{err}");
    std::fs::remove_dir_all(&folder).expect("removed");
}

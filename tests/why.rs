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
        assert!(longest.0 <= 60, "{longest:?}");
    });
}

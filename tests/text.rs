//! Text outputs of jobs built by hand: parts list, holes, `job.json`, messages.

#[path = "common/job_fixture.rs"]
mod job_fixture;

use aumbry::job::{Face, schema};
use aumbry::outputs::{hole_list, json, messages, parts};
use job_fixture::*;
use unicode_width::UnicodeWidthStr;

#[test]
fn parts_list_as_a_table() {
    insta::assert_snapshot!("parts_80", parts::table(&glaze_shelf(), 80));
    insta::assert_snapshot!("holes_100", hole_list::table(&glaze_shelf(), 100));
    insta::assert_snapshot!("messages", messages::text(&glaze_shelf(), 100));
}

#[test]
fn tables_fit_their_width() {
    let mut job = glaze_shelf();
    for part in &mut job.parts {
        part.box_path = format!("floor.{}.a_rather_long_name_of_a_box", part.box_path);
        for hole in &mut part.holes {
            hole.purposes = vec!["a shelf pin for the shelf that holds the test tiles".into()];
        }
    }
    for width in [60, 80, 100, 132] {
        for text in [parts::table(&job, width), hole_list::table(&job, width)] {
            for line in text.lines() {
                assert!(line.width() <= width, "{} columns at {width}: {line}", line.width());
            }
        }
    }
}

#[test]
fn inches_are_printed_as_fractions() {
    let mut job = glaze_shelf();
    job.house.units = "in".into();
    job.house.print.0 = aumbry::values::Style::imperial().step;
    let table = parts::table(&job, 100);
    assert!(table.contains("inches, to the nearest 1/64"), "{table}");
    // 1400 mm = 55.118 in, the nearest 64th is 55 1/8 (55.125) less a 64th: 55 7/64 = 55.109, 55.118
    // lies 0.0085 above it and 0.0068 below 55 1/8.
    assert!(table.contains("55 1/8"), "{table}");
    let csv = parts::as_csv(&job);
    assert!(csv.starts_with("mark,name,quantity,board,length_in,"), "{csv}");
    assert!(csv.contains("55.125"), "{csv}");
}

/// Reads CSV back with the `csv` crate.
fn read(text: &str) -> (Vec<String>, Vec<csv::StringRecord>) {
    assert!(text.lines().count() > 1 && text.ends_with("\r\n"));
    let mut reader = csv::ReaderBuilder::new().flexible(false).from_reader(text.as_bytes());
    let headings = reader.headers().expect("headings").iter().map(String::from).collect();
    (headings, reader.records().map(|r| r.expect("a record of equal length")).collect())
}

#[test]
fn parts_as_csv_read_back() {
    let job = glaze_shelf();
    let (headings, rows) = read(&parts::as_csv(&job));
    let column = |name: &str| headings.iter().position(|h| h == name).expect("a column");
    assert_eq!(rows.len(), job.same.len());
    let total: usize = rows.iter().map(|r| r[column("quantity")].parse::<usize>().expect("a count")).sum();
    assert_eq!(total, job.parts.len());
    let shelf = rows.iter().find(|r| &r[column("name")] == "shelf").expect("shelves are one row");
    assert_eq!(&shelf[column("bands")], "all four");
    assert_eq!(&shelf[column("cut_length_mm")], "764.4");
    let left = rows.iter().find(|r| &r[column("name")] == "left").expect("a left side");
    assert_eq!((&left[column("bands")], &left[column("pair")]), ("front", "GRI"));
    assert_eq!((&left[column("length_mm")], &left[column("width_mm")]), ("1400", "300"));
}

#[test]
fn holes_as_csv_read_back() {
    let job = glaze_shelf();
    let (headings, rows) = read(&hole_list::as_csv(&job));
    let column = |name: &str| headings.iter().position(|h| h == name).expect("a column");
    let holes: Vec<_> = rows.iter().filter(|r| &r[column("kind")] == "hole").collect();
    // Two sides with six holes each; bottom and top are one part with one bore in place.
    assert_eq!(holes.len(), 13);
    let groove = rows.iter().find(|r| &r[column("kind")] == "groove").expect("a groove");
    assert_eq!((&groove[column("from_1_mm")], &groove[column("to_1_mm")]), ("279", "282.2"));
    assert_eq!(&groove[column("depth_mm")], "7");
}

#[test]
fn a_cell_that_would_be_a_formula_is_guarded() {
    let mut job = glaze_shelf();
    for part in &mut job.parts {
        for hole in &mut part.holes {
            hole.purposes = vec!["=HYPERLINK(\"x\")".into()];
        }
    }
    let (headings, rows) = read(&hole_list::as_csv(&job));
    let column = headings.iter().position(|h| h == "what_for").expect("a column");
    let guarded = |cell: &str| !cell.starts_with(['=', '+', '-', '@', '\t', '\r']);
    assert!(rows.iter().all(|r| r.iter().all(guarded)));
    assert!(rows.iter().any(|r| &r[column] == "'=HYPERLINK(\"x\")"));
}

#[test]
fn json_forms_are_json_in_mm() {
    let job = glaze_shelf();
    let list: serde_json::Value = serde_json::from_str(&parts::as_json(&job)).expect("JSON");
    assert_eq!(list["totals"]["pieces"], 7);
    assert_eq!(list["totals"]["distinct"], list["parts"].as_array().expect("parts").len());
    let holes: serde_json::Value = serde_json::from_str(&hole_list::as_json(&job)).expect("JSON");
    let left = holes["parts"].as_array().expect("parts").iter().find(|p| p["mark"] == "GL").expect("GL");
    let numbers: Vec<u64> =
        left["holes"].as_array().expect("holes").iter().filter_map(|h| h["no"].as_u64()).collect();
    assert_eq!(numbers, [1, 2, 3, 4, 5, 6]);
}

#[test]
fn job_json_follows_its_schema() {
    let schema: serde_json::Value = serde_json::from_str(&schema()).expect("the schema is JSON");
    assert_eq!(schema["$schema"], "https://json-schema.org/draft/2020-12/schema");
    let text = json::job(&glaze_shelf());
    assert!(text.ends_with("}\n") && text.lines().count() == 1);
    let mut job: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    let validator = jsonschema::draft202012::new(&schema).expect("a schema");
    let errors: Vec<String> = validator.iter_errors(&job).map(|e| e.to_string()).collect();
    assert!(errors.is_empty(), "{errors:?}");
    // The validator is no rubber stamp.
    job["parts"][0]["length"] = "long".into();
    assert!(!validator.is_valid(&job));
    job["parts"][0]["length"] = 1.into();
    job.as_object_mut().expect("an object").remove("same");
    assert!(!validator.is_valid(&job));
}

#[test]
fn lengths_are_written_exactly() {
    let mut job = glaze_shelf();
    job.parts[0].length = aumbry::values::Mm(aumbry::values::Rational::ratio(1000, 3));
    job.parts[1].length = aumbry::values::Mm(aumbry::values::Rational::ratio(-5, 2_000_000));
    let text = json::job(&job);
    assert!(text.contains("\"length\":333.333333,"), "thirds are rounded to 0.000001");
    assert!(text.contains("\"length\":-0.000003,"), "halves go away from nought");
    let back: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!(back["parts"][0]["length"].as_f64(), Some(333.333333));
}

#[test]
fn numbers_start_on_the_inner_face_and_run_from_the_bottom_then_from_the_front() {
    let job = glaze_shelf();
    let left = job.parts.iter().find(|p| p.name() == "left").expect("a left side");
    let order: Vec<(Face, String, String)> = aumbry::job::numbered_holes(left)
        .iter()
        .map(|h| {
            let style = aumbry::values::Style::metric();
            (h.face, style.figure(h.at.mm[1].0), style.figure(h.at.mm[0].0))
        })
        .collect();
    let short: Vec<String> = order.iter().map(|(f, y, z)| format!("{} {y} {z}", f.word())).collect();
    assert_eq!(
        short,
        ["right 500 37", "right 500 263", "right 532 37", "right 564 37", "left 8 50", "left 8 250"]
    );
}

#[test]
fn the_same_job_gives_the_same_bytes() {
    assert_eq!(json::job(&glaze_shelf()), json::job(&glaze_shelf()));
    assert_eq!(parts::as_csv(&glaze_shelf()), parts::as_csv(&glaze_shelf()));
}

//! Lists as CSV, by the reader of the `csv` crate. RFC 4180, section 2, rules 1 and 4 as read in public
//! copies of its text, rules 5 to 7 as restated in a public source file.

use super::jobs;
use aumbry::outputs::{csv as own, hole_list, parts};
use proptest::prelude::*;

fn read(text: &str) -> Vec<Vec<String>> {
    // Not flexible: a record of another length is an error.
    csv::ReaderBuilder::new()
        .has_headers(false)
        .from_reader(text.as_bytes())
        .records()
        .map(|r| r.unwrap().iter().map(String::from).collect())
        .collect()
}

#[test]
fn records_end_with_crlf_and_are_equally_long() {
    for (name, job) in jobs() {
        for text in [parts::as_csv(&job), hole_list::as_csv(&job)] {
            // Rule 1: records end with CRLF. No field here holds a line break.
            assert!(text.ends_with("\r\n"), "{name}");
            assert_eq!(text.matches('\n').count(), text.matches("\r\n").count());
            assert_eq!(text.matches('\r').count(), text.matches("\r\n").count());
            // Rule 4: the same number of fields on each line.
            let rows = read(&text);
            assert_eq!(rows.len(), text.lines().count());
            assert!(rows.iter().all(|r| r.len() == rows[0].len()), "{name}");
        }
    }
}

#[test]
fn what_was_read_is_written_to_the_same_bytes() {
    for (name, job) in jobs() {
        for text in [parts::as_csv(&job), hole_list::as_csv(&job)] {
            assert_eq!(own::write(read(&text)), text, "{name}");
        }
    }
}

#[test]
fn the_parts_list_holds_every_part_once() {
    for (name, job) in jobs() {
        let rows = read(&parts::as_csv(&job));
        let column = |heading: &str| rows[0].iter().position(|h| h == heading).unwrap();
        let (mark, quantity) = (column("mark"), column("quantity"));
        let pieces: usize = rows[1..].iter().map(|r| r[quantity].parse::<usize>().unwrap()).sum();
        assert_eq!(pieces, job.parts.len(), "{name}");
        for same in &job.same {
            let row = rows[1..].iter().find(|r| r[mark] == same.mark).unwrap();
            assert_eq!(row[quantity], same.pieces.len().to_string(), "{name} {}", same.mark);
        }
    }
}

#[test]
fn quotation_marks_commas_and_line_breaks_are_quoted() {
    // Rules 5 to 7.
    let text =
        own::write([vec!["a, b".into(), "say \"when\"".into(), "two\r\nlines".into(), " kept ".into()]]);
    assert_eq!(text, "\"a, b\",\"say \"\"when\"\"\",\"two\r\nlines\", kept \r\n");
    assert_eq!(read(&text), [["a, b", "say \"when\"", "two\r\nlines", " kept "]]);
}

proptest! {
    #[test]
    fn any_cell_comes_back(rows in prop::collection::vec(prop::collection::vec("[ -~é\r\n\"]{0,8}", 3), 1..6)) {
        // A cell that begins like a formula gets an apostrophe; no other is changed.
        let guarded: Vec<Vec<String>> = rows
            .iter()
            .map(|row| {
                row.iter()
                    .map(|c| match c.chars().next() {
                        Some('=' | '+' | '-' | '@' | '\t' | '\r') => format!("'{c}"),
                        _ => c.clone(),
                    })
                    .collect()
            })
            .collect();
        prop_assert_eq!(read(&own::write(rows)), guarded);
    }
}

//! How messages are printed for people.

use aumbry::commands::{Look, MOST_SHOWN, Tally, human, one};
use aumbry::diagnostics::Diagnostic;
use aumbry::sources::{FileId, Sources, Span};
use unicode_width::UnicodeWidthStr;

const PAGE: &str = "aumbry 1
use std.boxes (open_box)

box glaze = open_box(width: 800mm,
                     height: 1400mm,
                     depth: 12mm)
";

const LIBRARY: &str = "aumbry 1
def box open_box(width: length, height: length, depth: length) {
  envelope (width, height, depth)
  part rear { z: before depth - set_in }
}
";

fn sources() -> (Sources, FileId, FileId) {
    let mut sources = Sources::new();
    let library = sources.add("std.boxes", LIBRARY, true);
    let page = sources.add("glaze.aum", PAGE, false);
    (sources, page, library)
}

fn find(sources: &Sources, file: FileId, text: &str) -> Span {
    let at = sources.file(file).text.find(text).expect("the text is there");
    Span::new(file, at, at + text.len())
}

fn too_thin(sources: &Sources, page: FileId, library: FileId) -> Diagnostic {
    Diagnostic::error(
        "reversed-range",
        "`glaze.rear` would have no thickness: it ends 6mm before it starts",
        find(sources, page, "12mm"),
        "a depth of 12mm leaves no room",
    )
    .label(find(sources, library, "before depth - set_in"), "the back stands 18mm in from the rear")
    .note("the back is 3mm thick and let in 18mm from the rear edge")
    .help("make `depth` at least 21mm")
}

#[test]
fn one_report_labels_two_files() {
    let (sources, page, library) = sources();
    insta::assert_snapshot!(one(&sources, &too_thin(&sources, page, library), Look::plain()));
}

#[test]
fn equal_faults_name_a_few_boxes() {
    let (sources, page, library) = sources();
    let mut d = too_thin(&sources, page, library);
    d.boxes = (1..=5).map(|n| format!("glaze[{n}]")).collect();
    let text = one(&sources, &d, Look::plain());
    assert!(text.contains("in 5 boxes: glaze[1], glaze[2], glaze[3] and 2 more"), "{text}");
}

#[test]
fn lines_far_apart_and_near_are_quoted_once() {
    let (sources, page, _) = sources();
    let d = Diagnostic::error("overlap", "both", find(&sources, page, "800mm"), "this wide")
        .label(find(&sources, page, "12mm"), "this deep")
        .label(find(&sources, page, "aumbry 1"), "the start");
    insta::assert_snapshot!(one(&sources, &d, Look::plain()));
}

#[test]
fn hidden_characters_do_not_reach_the_terminal() {
    let mut sources = Sources::new();
    let text = "aumbry 1\nlet a = 1mm // \u{202E}mm5\u{1b}[31m\u{0}\r\nlet b = c\r\n";
    let file = sources.add("a\u{202E}b.aum", text, false);
    let d = Diagnostic::error(
        "unknown-name",
        "there is no `c\u{1b}]0;x`",
        find(&sources, file, "\u{0}"),
        "\u{202E}here",
    )
    .label(find(&sources, file, "c\r"), "no such name");
    let out = human(&sources, &[d], Look::plain());
    assert!(out.chars().all(|c| c == '\n' || !aumbry::diagnostics::is_hidden(c)), "{out:?}");
    insta::assert_snapshot!(out);
}

#[test]
fn long_lines_are_cut_around_the_label() {
    let mut sources = Sources::new();
    let text = format!("aumbry 1\n{}x{}\n", "[".repeat(10_000), "]".repeat(10_000));
    let file = sources.add("deep.aum", &text, false);
    let d = Diagnostic::error("too-deep", "too deep", find(&sources, file, "x"), "here")
        .label(Span::new(file, 9, 9 + 20_000), "all of this");
    let out = one(&sources, &d, Look::plain());
    assert!(out.lines().all(|l| l.width() < 400), "{out}");
    assert!(out.contains("…[[[") && out.contains("]]]…"), "{out}");
    assert!(out.contains("deep.aum:2:10001]"), "{out}");
}

#[test]
fn odd_places_are_printed_without_a_fault() {
    let mut sources = Sources::new();
    let empty = sources.add("empty.aum", "", false);
    let file = sources.add("a.aum", "aumbry 1\n\nbox é = b(\n", false);
    let end = sources.file(file).text.len();
    let spans = [
        Span::new(empty, 0, 0),
        Span::new(file, end, end),
        Span::new(file, end - 1, end),
        Span::new(file, end + 50, end + 60),
        Span::new(file, 9, 10),
        // Inside the two bytes of é.
        Span::new(file, 15, 15),
        Span::new(file, 0, end),
        Span { file, start: 12, end: 3 },
        Span::new(FileId(9), 0, 4),
    ];
    for a in spans {
        for b in spans {
            let d = Diagnostic::error("odd", "an odd place", a, "here").label(b, "and here");
            let text = human(&sources, &[d], Look::plain());
            assert!(text.contains("an odd place"), "{text}");
        }
    }
    let mut none = Diagnostic::error("odd", "nowhere", spans[0], "");
    none.labels.clear();
    assert!(human(&sources, &[none], Look::plain()).contains("nowhere"));
}

#[test]
fn a_long_statement_is_shown_by_its_first_line() {
    let mut sources = Sources::new();
    let text = format!("aumbry 1\nbox a = b() {{\n{}}}\n", "  part c\n".repeat(500));
    let file = sources.add("a.aum", &text, false);
    let d = Diagnostic::error("odd", "long", Span::new(file, 9, text.len()), "all of it");
    assert!(one(&sources, &d, Look::plain()).lines().count() < 12);
}

#[test]
fn no_more_than_fifty_are_shown() {
    let (sources, page, library) = sources();
    let many = vec![too_thin(&sources, page, library); MOST_SHOWN + 7];
    let text = human(&sources, &many, Look::plain());
    assert_eq!(text.matches("error: reversed-range").count(), MOST_SHOWN);
    assert!(text.contains("7 more messages are not shown; mend these first."), "{text}");
}

#[test]
fn accepted_warnings_are_one_line() {
    let (sources, page, _) = sources();
    let mut d =
        Diagnostic::warning("sag", "`glaze.shelf` sags 3.1mm", find(&sources, page, "glaze"), "this shelf");
    d.accepted = Some("only test tiles stand on it".into());
    d.boxes = vec!["glaze".into()];
    let text = human(&sources, std::slice::from_ref(&d), Look::plain());
    assert_eq!(text, "accepted: sag in glaze at glaze.aum:4:5: only test tiles stand on it\n");
    let tally = Tally::of(&[d]);
    assert_eq!(tally.words(), "no errors, 1 accepted");
    assert_eq!(Tally { errors: 2, warnings: 1, accepted: 0 }.words(), "2 errors, 1 warning");
}

#[test]
fn colour_is_only_for_terminals() {
    let (sources, page, library) = sources();
    let d = too_thin(&sources, page, library);
    assert!(!one(&sources, &d, Look::plain()).contains('\u{1b}'));
    assert!(one(&sources, &d, Look::terminal(80, true)).contains('\u{1b}'));
}

#[test]
fn labels_within_a_label_do_not_hide_each_other() {
    let (sources, page, _) = sources();
    let mut whole = find(&sources, page, "open_box(width: 800mm,");
    whole.end = find(&sources, page, "depth: 12mm)").end;
    let d = Diagnostic::error("overlap", "one in the other", whole, "made here")
        .label(find(&sources, page, "800mm"), "this wide")
        .label(find(&sources, page, "12mm"), "this deep")
        .label(find(&sources, page, "12mm"), "and too thin");
    insta::assert_snapshot!(one(&sources, &d, Look::plain()));
}

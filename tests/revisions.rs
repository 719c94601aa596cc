//! Two revisions compared: the verdict on each part, and what is done to the wood.

use aumbry::commands::compile;
use aumbry::job::{Face, Job};
use aumbry::revisions::*;
use aumbry::sources::MemoryFiles;
use aumbry::values::{Mm, Rational};
use std::collections::BTreeSet;

fn job(text: &str) -> Job {
    let files = MemoryFiles::new().with("a.aum", text);
    let compiled = compile(&files, "a.aum", None);
    compiled.job.unwrap_or_else(|| {
        let said: Vec<_> = compiled.diagnostics.iter().map(|d| d.message.clone()).collect();
        panic!("{said:?}\n{text}")
    })
}

fn diff(old: &str, new: &str) -> Comparison {
    compare(&job(old), &job(new), &Options::default())
}

/// As though only these were cut.
fn diff_cut(old: &str, new: &str, cut: &[&str]) -> Comparison {
    let cut = Some(cut.iter().map(|c| c.to_string()).collect());
    compare(&job(old), &job(new), &Options { cut, ..Options::default() })
}

fn part<'a>(c: &'a Comparison, path: &str) -> &'a PartChange {
    let named = |p: &&PartChange| p.new.as_ref().or(p.old.as_ref()).is_some_and(|r| r.path == path);
    c.parts.iter().find(named).unwrap_or_else(|| panic!("no {path}"))
}

fn works(change: &PartChange) -> &[Work] {
    change.rework.as_ref().map_or(&[], |r| &r.works)
}

fn kinds(change: &PartChange) -> Vec<WorkKind> {
    works(change).iter().map(Work::kind).collect()
}

fn acts(c: &Comparison) -> Vec<ActKind> {
    c.acts.iter().map(|a| a.kind).collect()
}

fn mm(n: i64) -> Mm {
    Mm(Rational::int(n))
}

const CASE: &str = "aumbry 1
use std.boards (white18, white3)
use std.boxes  (open_box)
house { board: white18, back: white3 }
box bookcase = open_box(width: 800mm, height: 1400mm, depth: 300mm, shelves: 4)
";

/// One board in a box of its own, with what stands in the braces after it.
fn board(size: [&str; 3], more: &str) -> String {
    boards(size, "white18", more)
}

fn boards([x, y, z]: [&str; 3], of: &str, more: &str) -> String {
    format!(
        "aumbry 1
use std.boards (white18, white19, ply18, ash27)
use std.bands (edging, edging_thick)
def box one(board: board = {of}) {{
  envelope (1000mm, 1000mm, 100mm)
  loose part a of board along x {{ x: {x}  y: {y}  z: {z} }}
  {more}
}}
box shop = one()
"
    )
}

const FLAT: [&str; 3] = ["0mm .. 600mm", "0mm .. 300mm", "0mm .. 18mm"];

fn flat(more: &str) -> String {
    board(FLAT, more)
}

#[test]
fn a_design_is_the_same_as_itself() {
    let c = diff(CASE, CASE);
    assert!(c.is_same() && c.acts.is_empty() && c.counts.len() == 1, "{c:?}");
    // Comments, order and layout are no difference.
    let text = CASE
        .replace("box bookcase", "// a box\n\nbox bookcase")
        .replace("width: 800mm, height: 1400mm", "height: 140cm, width: 800mm");
    assert!(diff(CASE, &text).is_same());
    // Neither is what a list of cut parts says.
    assert!(diff_cut(CASE, CASE, &["bookcase.left"]).is_same());
    assert!(diff_cut(CASE, CASE, &[]).is_same());
}

#[test]
fn a_job_that_was_read_back_is_the_same() {
    for name in ["studio", "bookcase_inch", "pigeonhole", "hung_box"] {
        let text =
            std::fs::read_to_string(format!("{}/examples/{name}.aum", env!("CARGO_MANIFEST_DIR"))).unwrap();
        let job = job(&text);
        let back: Job = serde_json::from_str(&serde_json::to_string(&job).unwrap()).unwrap();
        for (a, b) in [(&job, &back), (&back, &job)] {
            let c = compare(a, b, &Options::default());
            assert!(c.is_same(), "{name}: {:?} {:?} {:?} {:?}", c.counts, c.notes, c.boards, c.figures);
        }
    }
}

#[test]
fn a_box_less_deep_is_trimmed_where_its_groove_allows() {
    let c = diff(CASE, &CASE.replace("depth: 300mm", "depth: 280mm"));
    let side = part(&c, "bookcase.left");
    assert_eq!(side.verdict, Verdict::Rework);
    let Work::Trim { face, off, line, shorter, band, there, .. } = &works(side)[0] else { panic!() };
    assert_eq!((*face, *off, *line, *shorter), (Face::Front, mm(21), mm(1), mm(20)));
    assert_eq!((band.as_deref(), there[0].as_str()), (Some("edging"), "band"));
    assert_eq!(part(&c, "bookcase.rear").verdict, Verdict::Moved);
    // A loose shelf is trimmed where there is no band.
    let shelf = part(&c, "bookcase.shelf[1]");
    assert_eq!(kinds(shelf), [WorkKind::Trim]);
    assert_eq!(shelf.rework.as_ref().unwrap().survives.bands, [Face::Front]);
    let mut order = acts(&c);
    let all = order.clone();
    order.sort();
    assert_eq!(order, all, "in the order of acting");
}

#[test]
fn a_trimmed_edge_is_banded_again() {
    let c = diff(
        &flat("edge(all, of: [a], band: edging)"),
        &board(["0mm .. 590mm", FLAT[1], FLAT[2]], "edge(all, of: [a], band: edging)"),
    );
    let change = part(&c, "shop.a");
    assert_eq!(kinds(change), [WorkKind::Trim, WorkKind::Band]);
    let Work::Trim { off, shorter, .. } = &works(change)[0] else { panic!() };
    assert_eq!((*off, *shorter), (mm(11), mm(10)));
    let Work::Band { again, thickness, .. } = &works(change)[1] else { panic!() };
    assert!(*again && *thickness == mm(1));
    assert_eq!(change.rework.as_ref().unwrap().survives.bands.len(), 3);
}

#[test]
fn bands_are_put_on_taken_off_and_replaced() {
    let (bare, thin, thick) = (
        flat(""),
        flat("edge(left, of: [a], band: edging)"),
        flat("edge(left, of: [a], band: edging_thick)"),
    );
    // Room is made for the band.
    let c = diff(&bare, &thin);
    assert_eq!(kinds(part(&c, "shop.a")), [WorkKind::Trim, WorkKind::Band]);
    let Work::Trim { off, shorter, .. } = &works(part(&c, "shop.a"))[0] else { panic!() };
    assert_eq!((*off, *shorter), (mm(1), mm(0)));
    // A thicker one takes more wood, a thinner one would have to be pieced out.
    assert_eq!(kinds(part(&diff(&thin, &thick), "shop.a")), [WorkKind::Trim, WorkKind::Band]);
    let c = diff(&thick, &thin);
    assert_eq!(part(&c, "shop.a").reasons[0].code, ReasonCode::Grows, "{c:?}");
    assert_eq!(part(&diff(&thin, &bare), "shop.a").verdict, Verdict::Remake);
    // The band alone makes it longer.
    let longer = board(["0mm .. 601mm", FLAT[1], FLAT[2]], "edge(right, of: [a], band: edging)");
    assert_eq!(kinds(part(&diff(&bare, &longer), "shop.a")), [WorkKind::Band]);
    let back = diff(&longer, &bare);
    assert_eq!(kinds(part(&back, "shop.a")), [WorkKind::Strip]);
}

#[test]
fn holes_are_drilled_plugged_opened_up_and_filled() {
    let hole = |at: i64, dia: i64, depth: &str| {
        flat(&format!(
            "drill(a.front, x: a.x.start + {at}mm, y: a.y.start + 100mm, dia: {dia}mm, depth: {depth}, purpose: \"a pin\")"
        ))
    };
    let none = flat("");
    let one = hole(100, 5, "12mm");
    assert_eq!(kinds(part(&diff(&none, &one), "shop.a")), [WorkKind::Drill]);
    assert_eq!(kinds(part(&diff(&one, &none), "shop.a")), [WorkKind::Plug]);
    let moved = part(&diff(&one, &hole(103, 5, "12mm")), "shop.a").clone();
    assert_eq!(kinds(&moved), [WorkKind::Plug, WorkKind::Drill]);
    assert!(matches!(&works(&moved)[0], Work::Plug { why, again: Some(_), .. } if why == "moved"));
    // Wider or deeper: drilled over. Shallower: filled at its bottom. Narrower: plugged and drilled again.
    let over = |new: &str| {
        let c = diff(&one, new);
        let change = part(&c, "shop.a");
        matches!(works(change), [Work::Drill { over: Some(_), .. }])
    };
    assert!(over(&hole(100, 8, "12mm")) && over(&hole(100, 5, "14mm")) && over(&hole(100, 5, "all")));
    let c = diff(&one, &hole(100, 5, "10mm"));
    assert!(matches!(works(part(&c, "shop.a")), [Work::Plug { why, .. }] if why == "shallower"), "{c:?}");
    assert_eq!(kinds(part(&diff(&one, &hole(100, 3, "12mm")), "shop.a")), [WorkKind::Plug, WorkKind::Drill]);
    // Less than a step of the house is left.
    let near = one.replace("100mm, dia", "100.08mm, dia");
    let c = diff(&one, &near);
    let change = part(&c, "shop.a");
    assert_eq!(change.verdict, Verdict::Unchanged);
    assert_eq!(change.rework.as_ref().unwrap().within.len(), 1);
    assert!(!c.is_same());
}

#[test]
fn a_wide_plug_bears_no_other_hole() {
    // In the middle: turned round, the hole lies where it lay.
    let cup = |at: i64| {
        flat(&format!(
            "drill(a.front, x: a.x.start + {at}mm, y: a.y.start + 150mm, dia: 35mm, depth: 12mm, purpose: \"a cup\")"
        ))
    };
    let c = diff(&cup(300), &cup(310));
    assert_eq!(part(&c, "shop.a").reasons[0].code, ReasonCode::DrillsIntoPlug, "{c:?}");
    assert_eq!(kinds(part(&diff(&cup(300), &cup(360)), "shop.a")), [WorkKind::Plug, WorkKind::Drill]);
}

/// A board with another let into it.
fn grooved(at: i64, deep: i64) -> String {
    flat(&format!(
        "loose part b of board along y {{ x: {at}mm .. {at}mm + 18mm  y: 0mm .. 300mm  z: {}mm .. 100mm }}\n  cut(a, by: b)",
        18 - deep
    ))
}

#[test]
fn cuts_are_run_on_or_in_the_way() {
    let c = diff(
        &flat(""),
        &flat(
            "loose part b of board along y { x: 100mm .. 118mm  y: 0mm .. 300mm  z: 12mm .. 100mm }\n  cut(a, by: b)",
        ),
    );
    assert_eq!(kinds(part(&c, "shop.a")), [WorkKind::Cut]);
    let c = diff(&grooved(100, 6), &grooved(100, 8));
    assert!(matches!(works(part(&c, "shop.a")), [Work::Cut { more: true, .. }]), "{:?}", part(&c, "shop.a"));
    let c = diff(&grooved(100, 8), &grooved(100, 6));
    let change = part(&c, "shop.a");
    assert_eq!((change.verdict, change.reasons[0].code), (Verdict::Remake, ReasonCode::CutInTheWay));
    assert!(change.reasons[0].text.contains("2mm"), "{}", change.reasons[0].text);
    assert_eq!(part(&diff(&grooved(100, 6), &grooved(140, 6)), "shop.a").verdict, Verdict::Remake);
    // Turned round, it is the same board.
    let c = diff(&grooved(100, 6), &grooved(600 - 118, 6));
    let change = part(&c, "shop.a");
    assert_eq!(change.verdict, Verdict::Moved);
    assert!(!change.rework.as_ref().unwrap().laid.is_upright() && works(change).is_empty());
}

#[test]
fn a_board_is_laid_where_its_cut_lies_right() {
    // 40 shorter with the groove 25 nearer the left end: cut from both ends.
    let old = grooved(100, 6);
    let new = grooved(75, 6).replace("0mm .. 600mm", "0mm .. 560mm");
    let c = diff(&old, &new);
    let change = part(&c, "shop.a");
    assert_eq!(kinds(change), [WorkKind::Trim, WorkKind::Trim]);
    let off: Vec<Mm> =
        works(change).iter().map(|w| if let Work::Trim { off, .. } = w { *off } else { mm(0) }).collect();
    assert_eq!(off, [mm(25), mm(15)]);
}

#[test]
fn other_boards_are_made_anew_and_measured_ones_are_not() {
    let c = diff(&flat(""), &boards(FLAT, "ply18", ""));
    assert_eq!(part(&c, "shop.a").reasons[0].code, ReasonCode::Board);
    let c = diff(
        &flat(""),
        &boards(["0mm .. 600mm", "0mm .. 300mm", "0mm .. 16mm"], "white18(thickness: 16mm)", ""),
    );
    assert_eq!(part(&c, "shop.a").reasons[0].code, ReasonCode::Thickness);
    // A side as measured: 18.3 where 18 was believed.
    let c = diff(CASE, &CASE.replace("board: white18", "board: white18(thickness: 18.3mm)"));
    let board = c.boards.iter().find(|b| b.name == "white18").unwrap();
    assert!(board.measured_anew && board.make.0.is_zero() && board.buy() == Some(0));
    let wood: Vec<Verdict> =
        c.parts.iter().filter(|p| p.new.as_ref().unwrap().board == "white18").map(|p| p.verdict).collect();
    assert!(!wood.contains(&Verdict::Remake), "{wood:?}");
    // What lies between the sides is 0.6 too long.
    let bottom = part(&c, "bookcase.bottom");
    assert!(
        matches!(&works(bottom)[0], Work::Trim { shorter, .. } if *shorter == Mm(Rational::ratio(6, 10))),
        "{bottom:?}"
    );
}

#[test]
fn renames_are_found_by_figures_and_by_what_the_text_says() {
    let new = CASE.replace("bookcase", "glazes");
    let c = diff(CASE, &new);
    assert!(c.parts.iter().all(|p| p.verdict == Verdict::Renamed), "{:?}", c.counts);
    assert!(c.boxes.len() == 1 && c.boxes[0].pairing.unwrap().is_guess());
    // Renamed and changed: the text has to say so, or the place does.
    let new =
        new.replace("shelves: 4)", "shelves: 4) was \"bookcase\"").replace("depth: 300mm", "depth: 280mm");
    let c = diff(CASE, &new);
    assert_eq!(c.boxes[0].pairing, Some(Pairing::Was));
    let side = part(&c, "glazes.left");
    assert_eq!((side.verdict, side.pairing), (Verdict::Rework, Some(Pairing::WithBox)));
    // A part by itself.
    let (old, new) = (grooved(100, 6), grooved(100, 6).replace(" b ", " tile ").replace("by: b", "by: tile"));
    let change = part(&diff(&old, &new), "shop.tile").clone();
    assert_eq!((change.verdict, change.pairing), (Verdict::Renamed, Some(Pairing::SamePlace)));
    let said = new
        .replace("tile of board along y {", "tile of board along y was \"shop.b\" {")
        .replace("100mm }", "90mm }");
    let change = part(&diff(&old, &said), "shop.tile").clone();
    assert_eq!((change.verdict, change.pairing), (Verdict::Rework, Some(Pairing::Was)));
}

/// Two boxes beside each other.
fn two(a: i64, b: i64) -> String {
    format!(
        "aumbry 1
use std.boards (white18, white3)
use std.boxes  (open_box)
house {{ board: white18, back: white3 }}
box clay = open_box(width: 500mm, height: 600mm, depth: {a}mm, shelves: 0)
box tools = open_box(width: 500mm, height: 600mm, depth: {b}mm, shelves: 0)
"
    )
}

#[test]
fn equal_pieces_change_places_where_that_saves_work() {
    let c = diff(&two(300, 250), &two(250, 300));
    assert!(
        c.parts.iter().all(|p| matches!(p.verdict, Verdict::Exchanged | Verdict::Unchanged | Verdict::Moved)),
        "{:?}",
        c.counts
    );
    let side = part(&c, "clay.left");
    assert_eq!(side.verdict, Verdict::Exchanged);
    assert_eq!(side.rework.as_ref().unwrap().of, "tools.left");
    assert_eq!(side.becomes.as_deref(), Some("tools.left"));
    assert!(acts(&c).contains(&ActKind::Exchange) && !acts(&c).contains(&ActKind::Make));
    // Nothing is taken from a part that can use its own piece.
    let c = diff(&two(300, 300), &two(280, 300));
    assert_eq!(part(&c, "tools.left").verdict, Verdict::Unchanged);
    assert_eq!(part(&c, "clay.left").verdict, Verdict::Rework);
}

#[test]
fn what_is_left_over_is_offered_once() {
    let old = two(300, 300);
    let new = old.lines().filter(|l| !l.starts_with("box clay")).collect::<Vec<_>>().join("\n")
        + "\nbox glazes = open_box(width: 450mm, height: 500mm, depth: 260mm, shelves: 0)\n";
    // By its place it is not the same box: another name, another size, and nothing said.
    let c = diff(
        &old,
        &new.replace(
            "box glazes",
            "box mugs = open_box(width: 450mm, height: 520mm, depth: 260mm, shelves: 0)\nbox glazes",
        ),
    );
    let promised: Vec<&str> = c
        .parts
        .iter()
        .filter_map(|p| p.offer.as_ref().or(p.rework.as_ref()))
        .map(|r| r.of.as_str())
        .collect();
    let distinct: BTreeSet<&str> = promised.iter().copied().collect();
    assert_eq!(distinct.len(), promised.len());
    assert!(promised.iter().any(|p| p.starts_with("clay.")), "{promised:?}");
    for gone in c.parts.iter().filter(|p| p.verdict == Verdict::Gone) {
        let old = &gone.old.as_ref().unwrap().path;
        assert_eq!(gone.becomes.is_some(), promised.contains(&old.as_str()), "{old}");
    }
}

#[test]
fn only_what_is_cut_is_reworked() {
    let new = CASE.replace("depth: 300mm", "depth: 280mm");
    let c = diff_cut(CASE, &new, &["bookcase.left", "bookcase.rear"]);
    assert_eq!(part(&c, "bookcase.left").verdict, Verdict::Rework);
    assert_eq!(part(&c, "bookcase.right").verdict, Verdict::CutAsDrawn);
    assert_eq!(part(&c, "bookcase.rear").verdict, Verdict::Moved);
    assert!(c.knows_cut && acts(&c).contains(&ActKind::CutAsDrawn));
    let pieces: Vec<&PieceRef> = c.acts.iter().flat_map(|a| &a.pieces).collect();
    assert!(
        pieces
            .iter()
            .all(|p| p.mark.is_none() != ["bookcase.left", "bookcase.rear"].contains(&p.path.as_str()))
    );
}

#[test]
fn items_bands_and_boards_to_buy() {
    let c = diff(CASE, &CASE.replace("shelves: 4", "shelves: 6"));
    let pins = c.items.iter().find(|i| i.old == 16).unwrap();
    assert_eq!((pins.buy(), pins.left_over()), (8, 0));
    assert!(c.boards.iter().any(|b| b.make.0.is_positive() && b.sheets.is_some()));
    assert!(c.bands.iter().any(|b| b.buy.0.is_positive()));
    let c = diff(&CASE.replace("shelves: 4", "shelves: 6"), CASE);
    assert!(acts(&c).contains(&ActKind::Return) && acts(&c).contains(&ActKind::SetAside));
}

#[test]
fn a_spoiled_part_becomes_a_smaller_one() {
    let job = job(&two(300, 250));
    let got = spoiled(&job, "clay.left", &BTreeSet::new()).unwrap();
    assert!(!got.becomes.is_empty() && got.replaced_by.is_empty());
    assert!(got.becomes.windows(2).all(|w| w[0].rework.waste <= w[1].rework.waste));
    assert!(
        got.becomes.iter().all(|b| b.part.path != "clay.right"),
        "the same wood is spoiled in the same place"
    );
    let got =
        spoiled(&job, "tools.left", &BTreeSet::from(["clay.left".into(), "tools.right".into()])).unwrap();
    assert!(got.replaced_by.iter().any(|r| r.of == "clay.left"));
    assert!(spoiled(&job, "nothing.there", &BTreeSet::new()).is_none());
}

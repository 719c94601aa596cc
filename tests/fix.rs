//! Offered figures: each makes the design compile, is the least that does, is the maker's own and no measured
//! fact, and changes nothing else in the file.

#[allow(dead_code)]
#[path = "common/tree_text.rs"]
mod tree_text;

use aumbry::commands::{Mended, check, mended, mended_within};
use aumbry::diagnostics::Diagnostic;
use aumbry::sources::MemoryFiles;
use std::fmt::Write;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

type Key = (String, Vec<String>);

fn errors(files: &MemoryFiles, root: &str) -> Vec<Key> {
    let all = check(files, root).diagnostics;
    all.iter().filter(|d| d.is_error()).map(key).collect()
}

fn key(d: &Diagnostic) -> Key {
    (d.code.to_string(), d.boxes.clone())
}

/// True where the errors that were due are gone, and no new one has come.
fn mends(before: &[Key], due: &[&Key], after: &[Key]) -> bool {
    let count = |k: &Key| before.iter().filter(|b| *b == k).count() - due.iter().filter(|d| **d == k).count();
    after.iter().all(|k| before.contains(k) && after.iter().filter(|a| *a == k).count() <= count(k))
}

fn found(mended: &Mended) -> String {
    let mut text = String::new();
    for d in mended.diagnostics.iter().filter(|d| d.is_error()) {
        let _ = writeln!(text, "{}: {}", d.code, d.message);
    }
    for (i, o) in mended.found.offers.iter().enumerate() {
        let name = o.name.as_deref().unwrap_or("-");
        let _ = writeln!(text, "{} {} {name}: {} -> {}", i + 1, mended.sources.place(o.span), o.old, o.new);
    }
    let _ = writeln!(text, "{} tried, {} measured", mended.found.tried, mended.found.facts);
    text
}

/// Applies every offer and gives what is wrong with any of them.
fn faults(root: &str, text: &str, others: &[(String, String)]) -> (Mended, Vec<String>) {
    let with = |text: &str| {
        others.iter().fold(MemoryFiles::new(), |files, (n, t)| files.with(n, t)).with(root, text)
    };
    let files = with(text);
    let all = mended(&files, root);
    let before: Vec<Key> = all.diagnostics.iter().filter(|d| d.is_error()).map(key).collect();
    let mut wrong = Vec::new();
    for o in &all.found.offers {
        let file = all.sources.file(o.span.file);
        let what = format!("{}: {} -> {}", all.sources.place(o.span), o.old, o.new);
        if file.library || file.name != root {
            wrong.push(format!("{what}: not in the maker's own file"));
            continue;
        }
        let (start, end) = (o.span.start as usize, o.span.end as usize);
        if text[start..end] != o.old {
            wrong.push(format!("{what}: `{}` stands there", &text[start..end]));
        }
        let other = |figure: &str| {
            let mut changed = text.to_string();
            changed.replace_range(start..end, figure);
            errors(&with(&changed), root)
        };
        let after = other(&o.new);
        let due: Vec<&Key> = match o.error {
            None => before.iter().collect(),
            Some(e) => vec![&before[all.diagnostics[..e].iter().filter(|d| d.is_error()).count()]],
        };
        if !mends(&before, &due, &after) {
            wrong.push(format!("{what}: leaves {after:?}"));
        }
        if let Some(nearer) = &o.nearer {
            let less = other(nearer);
            if mends(&before, &due, &less) {
                wrong.push(format!("{what}: {nearer} would do"));
            }
        }
        let line = text[..start].rfind('\n').map_or(0, |at| at + 1);
        let statement = text[line..].trim_start();
        if ["wall ", "obstacle ", "def board "].iter().any(|k| statement.starts_with(k)) {
            wrong.push(format!("{what}: a measured fact"));
        }
    }
    (all, wrong)
}

/// The blocks of a page whose fence says this, with what it says besides.
fn blocks(page: &str, fence: &str) -> Vec<(String, String)> {
    let mut found = Vec::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let Some(info) = line.strip_prefix("```").filter(|i| !i.is_empty()) else { continue };
        let text: String = lines.by_ref().take_while(|l| *l != "```").map(|l| format!("{l}\n")).collect();
        if let Some(rest) = info.strip_prefix(fence) {
            found.push((rest.to_string(), text));
        }
    }
    found
}

#[test]
fn offers_for_the_wrong_designs() {
    insta::glob!("wrong/*.aum", |path| {
        let text = fs::read_to_string(path).unwrap();
        let (all, wrong) = faults("a.aum", &text, &[]);
        assert!(wrong.is_empty(), "{}:\n{}", path.display(), wrong.join("\n"));
        assert!(!all.found.stopped, "{}", path.display());
        insta::assert_snapshot!(found(&all));
    });
}

#[test]
fn offers_for_the_pages_of_errors() {
    let work = std::thread::Builder::new().stack_size(256 << 20).spawn(pages_of_errors);
    work.unwrap().join().unwrap();
}

fn pages_of_errors() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("grammar/errors");
    let (mut wrong, mut told) = (Vec::new(), String::new());
    let mut paths: Vec<PathBuf> = fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()).collect();
    paths.sort();
    for path in paths {
        let code = path.file_stem().unwrap().to_string_lossy().into_owned();
        let page = fs::read_to_string(&path).unwrap();
        let files = blocks(&page, "aumbry file ");
        for (_, text) in blocks(&page, "aumbry fails") {
            let (all, faults) = faults("page.aum", &text, &files);
            wrong.extend(faults.into_iter().map(|f| format!("{code}: {f}")));
            if all.found.tried > 0 {
                let _ = writeln!(told, "{}", found(&all));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    insta::assert_snapshot!(told);
}

/// Figures, ranges, things and holes worked out for one mutant.
const STEPS: usize = 200_000;

/// Walls take long without optimisation; they are tried with `MUTANTS=n`, which tries n of each example instead of a
/// hundred in all of the others.
const WALLS: [&str; 3] = ["packing_room.aum", "sink_wall.aum", "studio.aum"];

/// Numbers that a seed sets (xorshift, Marsaglia 2003).
fn random(seed: &mut u64, below: usize) -> usize {
    *seed ^= *seed << 13;
    *seed ^= *seed >> 7;
    *seed ^= *seed << 17;
    (*seed % below.max(1) as u64) as usize
}

/// A whole figure of a token, with its unit; nothing where it has a fraction.
fn scaled(token: &str, by: usize) -> Option<String> {
    let end = token.find(|c: char| !c.is_ascii_digit()).unwrap_or(token.len());
    let (figure, unit) = token.split_at(end);
    let figure: u64 = figure.parse().ok()?;
    let known = ["mm", "cm", "kg", "in", "deg", ""].contains(&unit);
    let new = match by {
        0 => figure / 2,
        1 => figure * 2,
        2 => figure * 5,
        3 => figure / 5,
        4 => figure + figure / 4,
        _ => figure - figure / 4,
    };
    (known && new != figure && new > 0).then(|| format!("{new}{unit}"))
}

/// A figure of an example is scaled; where that is an error, the offers lead back to the figure.
#[test]
fn scaled_figures_are_led_back() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut all: Vec<(String, String)> = fs::read_dir(folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|p| p.extension().is_some_and(|e| e == "aum"))
        .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), fs::read_to_string(p).unwrap()))
        .collect();
    all.sort();
    let many = std::env::var("MUTANTS").ok().and_then(|n| n.parse::<usize>().ok());
    if many.is_none() {
        all.retain(|(name, _)| !WALLS.contains(&name.as_str()));
    }
    let due = many.map_or(100, |n| n * all.len());
    let work = move || led_back(&all, due);
    std::thread::Builder::new().stack_size(256 << 20).spawn(work).unwrap().join().unwrap();
}

fn led_back(all: &[(String, String)], due: usize) {
    let (mut tried, mut back, mut some, mut told) = (0, 0, 0, String::new());
    let mut n = 0u64;
    while tried < due {
        n += 1;
        let (name, text) = &all[n as usize % all.len()];
        let mut seed = n.wrapping_mul(0x9E37_79B9_7F4A_7C15);
        let tokens: Vec<_> = tree_text::token_ranges(text)
            .into_iter()
            .filter(|r| text[r.clone()].starts_with(|c: char| c.is_ascii_digit()))
            .collect();
        random(&mut seed, 2);
        let range = tokens[random(&mut seed, tokens.len())].clone();
        let Some(new) = scaled(&text[range.clone()], random(&mut seed, 6)) else { continue };
        // What is measured is never offered, so nothing would lead back there.
        let line = text[..range.start].rfind('\n').map_or(0, |at| at + 1);
        let statement = text[line..].trim_start();
        let facts = ["wall ", "obstacle ", "def ", "aumbry ", "house ", "  sheet", "thickness", "///"];
        let opens = text[..range.start].matches('{').count() - text[..range.start].matches('}').count();
        let head = text[..range.start].rfind("\ndef ").map_or("", |at| &text[at + 1..]);
        let bought = ["def board", "def band"].iter().any(|k| head.starts_with(k)) && opens > 0;
        if bought
            || facts.iter().any(|k| statement.starts_with(k))
            || text[line..range.start].contains("thickness")
        {
            continue;
        }
        let mut changed = text.clone();
        changed.replace_range(range.clone(), &new);
        let files = all.iter().fold(MemoryFiles::new(), |files, (other, own)| {
            files.with(other, if other == name { &changed } else { own })
        });
        if errors(&files, name).is_empty() {
            continue;
        }
        let found = mended_within(&files, name, STEPS).found;
        tried += 1;
        some += usize::from(!found.offers.is_empty());
        let own = found.offers.iter().position(|o| o.span.start as usize == range.start);
        back += usize::from(own.is_some());
        if own.is_none() {
            let codes: Vec<String> = errors(&files, name).into_iter().map(|(c, _)| c).collect();
            let what = format!("{name}:{} {} -> {new}", range.start, &text[range.clone()]);
            let _ = writeln!(
                told,
                "{what}: {codes:?}, {} offers{}",
                found.offers.len(),
                if found.stopped { ", stopped" } else { "" }
            );
        }
    }
    eprintln!("{back} of {tried} led back, {some} with an offer\n{told}");
    assert!(back * 100 >= tried * 50, "{back} of {tried}\n{told}");
}

/// A folder of a test's own, removed at its end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Scratch {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fix-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).unwrap();
        Scratch(path)
    }

    fn write(&self, name: &str, text: &str) {
        fs::write(self.0.join(name), text).unwrap();
    }

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).unwrap()
    }

    fn fix(&self, args: &[&str]) -> (i32, String, String) {
        let mut command = Command::new(env!("CARGO_BIN_EXE_aumbry"));
        let Output { status, stdout, stderr } =
            command.arg("fix").args(args).current_dir(&self.0).output().unwrap();
        let text = |bytes| String::from_utf8(bytes).unwrap();
        (status.code().unwrap(), text(stdout), text(stderr))
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(&self.0)
            .unwrap()
            .map(|e| e.unwrap().file_name().to_string_lossy().into_owned())
            .collect();
        names.sort();
        names
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

/// 136 mm too long.
const ROW: &str = "aumbry 1
use std.boxes (floor_box)
use std.walls (site_wall, along)

wall north = site_wall(length: [1982mm], height: 2400mm)
row low = along(north, at: 100mm, ends: [18mm, none]) { // the kiln's side
  box clay  = floor_box(width: 1200mm)
  box glaze = floor_box(width: 900mm)
}
";

#[test]
fn offers_are_listed_and_one_is_applied() {
    let scratch = Scratch::new("apply");
    scratch.write("row.aum", ROW);
    let (code, out, err) = scratch.fix(&["row.aum"]);
    assert_eq!(code, 1, "{out}{err}");
    assert!(err.starts_with("error: row-too-long"), "{err}");
    insta::assert_snapshot!(out);
    assert_eq!(scratch.read("row.aum"), ROW, "listing writes nothing");

    let (code, out, err) = scratch.fix(&["row.aum", "--apply", "2"]);
    assert!(code == 0 && !err.contains("error:"), "{err}");
    assert_eq!(out, "row.aum:8:32: 900mm is now 764mm\nthe design compiles\n");
    assert_eq!(scratch.read("row.aum"), ROW.replace("900mm", "764mm"));
    assert_eq!(scratch.names(), ["row.aum"], "nothing temporary is left");

    let (code, out, err) = scratch.fix(&["row.aum"]);
    assert_eq!((code, out.as_str()), (0, "nothing to fix\n"), "{err}");
    let (code, out, err) = scratch.fix(&["row.aum", "--apply", "1"]);
    assert_eq!((code, out.as_str()), (2, ""));
    assert!(err.contains("nothing to fix"), "{err}");
}

#[test]
fn all_but_the_figure_stays_byte_for_byte() {
    let scratch = Scratch::new("bytes");
    // A byte order mark is no text of the language; windows line ends, tabs, no newline at the end are.
    let text = ROW.replace('\n', "\r\n").replace("  box", "\tbox").trim_end().to_string();
    scratch.write("row.aum", &text);
    let (code, out, _) = scratch.fix(&["row.aum", "--apply", "1"]);
    assert_eq!(code, 0, "{out}");
    assert_eq!(scratch.read("row.aum"), text.replace("1200mm", "1064mm"));
}

#[test]
fn a_number_out_of_range_is_wrong_use() {
    let scratch = Scratch::new("range");
    scratch.write("row.aum", ROW);
    for number in ["0", "99"] {
        let (code, out, err) = scratch.fix(&["row.aum", "--apply", number]);
        assert_eq!((code, out.as_str()), (2, ""), "{err}");
        assert!(err.contains(&format!("no number {number}")), "{err}");
        assert!(err.contains("aumbry fix row.aum"), "{err}");
    }
    for number in ["-1", "one", ""] {
        assert_eq!(scratch.fix(&["row.aum", "--apply", number]).0, 2);
    }
    assert_eq!(scratch.read("row.aum"), ROW);
}

#[test]
fn a_file_that_may_not_be_written_is_left() {
    let scratch = Scratch::new("locked");
    scratch.write("row.aum", ROW);
    let path = scratch.0.join("row.aum");
    let mut permissions = fs::metadata(&path).unwrap().permissions();
    permissions.set_readonly(true);
    fs::set_permissions(&path, permissions).unwrap();
    let (code, out, err) = scratch.fix(&["row.aum", "--apply", "1"]);
    assert_eq!((code, out.as_str()), (3, ""), "{err}");
    assert!(err.contains("not-written") && err.contains("permission denied"), "{err}");
    assert_eq!(scratch.read("row.aum"), ROW);
    assert_eq!(scratch.fix(&["none.aum"]).0, 3);
}

#[cfg(unix)]
#[test]
fn links_and_permissions_stay() {
    use std::os::unix::fs::PermissionsExt;
    let scratch = Scratch::new("links");
    fs::create_dir(scratch.0.join("kept")).unwrap();
    scratch.write("kept/row.aum", ROW);
    fs::set_permissions(scratch.0.join("kept/row.aum"), fs::Permissions::from_mode(0o640)).unwrap();
    std::os::unix::fs::symlink("kept/row.aum", scratch.0.join("row.aum")).unwrap();
    let (code, out, err) = scratch.fix(&["row.aum", "--apply", "1"]);
    assert_eq!(code, 0, "{out}{err}");
    assert!(fs::symlink_metadata(scratch.0.join("row.aum")).unwrap().is_symlink());
    assert_eq!(scratch.read("kept/row.aum"), ROW.replace("1200mm", "1064mm"));
    let mode = fs::metadata(scratch.0.join("kept/row.aum")).unwrap().permissions().mode();
    assert_eq!(mode & 0o777, 0o640);
}

#[test]
fn a_figure_of_an_imported_file_is_changed_there() {
    let scratch = Scratch::new("import");
    fs::create_dir(scratch.0.join("own")).unwrap();
    scratch.write("own/sizes.aum", "aumbry 1\nlet wide = 1200mm\n");
    let text = ROW
        .replace("1200mm", "wide")
        .replace("900mm", "share")
        .replace("use std.walls", "use \"own/sizes.aum\" (wide)\nuse std.walls");
    let text = text.replace("[1982mm]", "[1000mm]");
    scratch.write("row.aum", &text);
    let (code, out, err) = scratch.fix(&["row.aum"]);
    assert_eq!(code, 1, "{err}");
    assert!(out.contains("own/sizes.aum:2:12"), "{out}");
    let number = out.lines().find(|l| l.contains("own/sizes.aum")).and_then(|l| l.split(' ').next()).unwrap();
    let (code, out, err) = scratch.fix(&["row.aum", "--apply", number]);
    assert_eq!(code, 0, "{out}{err}");
    assert_eq!(scratch.read("row.aum"), text);
    let new = out.lines().next().and_then(|l| l.split("now ").nth(1)).unwrap();
    assert_eq!(scratch.read("own/sizes.aum"), format!("aumbry 1\nlet wide = {new}\n"));
}

/// Two rows that are too long, each by itself.
fn two_rows() -> String {
    let more =
        ROW.split_once("wall north").unwrap().1.replace("row low", "row top").replace("north", "south");
    format!("{ROW}wall south{more}")
        .replace("south = site_wall(length: [1982mm]", "south = site_wall(length: [1882mm]")
}

#[test]
fn two_errors_that_need_two_edits_are_said() {
    let scratch = Scratch::new("two");
    let text = two_rows();
    scratch.write("rows.aum", &text);
    let (code, out, _) = scratch.fix(&["rows.aum"]);
    assert_eq!(code, 1);
    insta::assert_snapshot!(out);
    let (code, out, err) = scratch.fix(&["rows.aum", "--apply", "1"]);
    assert_eq!(code, 1, "{out}{err}");
    assert!(out.ends_with("1 error is left\n"), "{out}");
    assert!(err.contains("row-too-long"), "{err}");
    let (code, out, err) = scratch.fix(&["rows.aum", "--apply", "1"]);
    assert_eq!(code, 0, "{out}{err}");
}

#[test]
fn one_figure_that_mends_two_errors_is_offered_for_both() {
    let scratch = Scratch::new("both");
    let text = two_rows().replace("1200mm", "wide") + "let wide = 1200mm\n";
    scratch.write("rows.aum", &text);
    let (code, out, _) = scratch.fix(&["rows.aum"]);
    assert_eq!(code, 1);
    assert!(out.starts_with("for all 2 errors"), "{out}");
    assert!(out.contains("1200mm -> 964mm"), "{out}");
    assert_eq!(scratch.fix(&["rows.aum", "--apply", "1"]).0, 0);
}

#[test]
fn a_text_that_cannot_be_read_gets_its_messages() {
    let scratch = Scratch::new("parse");
    scratch.write("row.aum", &ROW.replace("width: 900mm)", "width: 900 mm"));
    let (code, out, err) = scratch.fix(&["row.aum"]);
    assert_eq!(code, 1);
    assert!(err.contains("error: "), "{err}");
    assert!(out.contains("mend it as the message says"), "{out}");
    assert_eq!(scratch.fix(&["row.aum", "--apply", "1"]).0, 2);
}

#[test]
fn json_says_the_same() {
    let scratch = Scratch::new("json");
    scratch.write("row.aum", ROW);
    let (code, out, err) = scratch.fix(&["row.aum", "--as", "json", "--messages", "json"]);
    assert_eq!(code, 1);
    insta::assert_snapshot!(out);
    let found: serde_json::Value = serde_json::from_str(&out).unwrap();
    let messages: serde_json::Value = serde_json::from_str(&err).unwrap();
    let edits = messages["messages"][0]["edits"].as_array().unwrap();
    let offers = found["offers"].as_array().unwrap();
    assert_eq!(edits.len(), offers.len());
    for (edit, offer) in edits.iter().zip(offers) {
        assert_eq!(edit["offer"], offer["number"]);
        assert_eq!(edit["bytes"], offer["bytes"]);
        assert_eq!((&edit["old"], &edit["replacement"]), (&offer["old"], &offer["new"]));
    }
    let (_, out, _) = scratch.fix(&["row.aum", "--as", "json", "--apply", "1"]);
    let found: serde_json::Value = serde_json::from_str(&out).unwrap();
    assert_eq!(found["applied"]["number"], 1);
    assert_eq!(found["applied"]["errors"], 0);
}

/// What is measured is never offered, whatever name it was given; what says which one is meant only where there
/// is no such one.
#[test]
fn facts_stay_as_they_are() {
    let offered = |text: &str| -> Vec<String> {
        let all = mended(&MemoryFiles::new().with("a.aum", text), "a.aum");
        assert!(all.diagnostics.iter().any(|d| d.is_error()), "{text}");
        all.found.offers.iter().map(|o| format!("{} -> {}", o.old, o.new)).collect()
    };
    // The wall's length by way of a name, and of a name of that name.
    let named = ROW.replace("[1982mm]", "[long]") + "let tape = 1982mm\nlet long = tape - 0mm\n";
    assert_eq!(offered(&named), ["1200mm -> 1064mm", "900mm -> 764mm"]);
    // An obstacle in the way: only where the box stands moves.
    let pier = ROW.replace("1200mm", "1064mm").replace(
        "height: 2400mm)",
        "height: 2400mm) {\n  obstacle pier = solid(x: 0mm .. 10mm, y: 0mm .. 2400mm, out: 90mm)\n}",
    );
    let pier =
        pier.replace("(site_wall, along)", "(site_wall, solid, along)").replace("18mm, none", "none, none");
    let pier = pier.replace("at: 100mm,", "at: 100mm, standoff: 20mm,");
    assert_eq!(offered(&pier), ["20mm -> 90mm"]);
    // A board as measured, on a part that is drawn by hand.
    let plank = "aumbry 1
use std.boards (white18)
let gauge = 17.6mm
def box plank(width: length) {
  envelope (width, 100mm, 300mm)
  part only of white18(thickness: gauge) along x { x: 0mm .. width  y: 0mm .. 18mm  z: 0mm .. 300mm }
}
box shelf = plank(width: 500mm)
";
    assert_eq!(offered(plank), ["18mm -> 17.6mm"]);
    // Which one is meant.
    let third = "aumbry 1
use std.boxes (open_box)
box a = open_box(width: 500mm, height: 900mm, depth: 300mm, shelves: 2)
require a.shelf[3].y.size > 1mm else low \"low\"
";
    assert_eq!(offered(third), ["3 -> 2", "2 -> 3"]);
    // The rule gives way only where nothing else would do.
    let rule = "aumbry 1
use std.boxes (open_box)
box a = open_box(width: 500mm, height: 900mm, depth: 300mm)
require a.width <= 450mm else wide \"too wide\"
";
    assert_eq!(offered(rule), ["500mm -> 450mm"]);
}

/// A minus before a figure, a share's weight, a mass in pounds, a fraction of an inch in the step of the house.
#[test]
fn figures_of_all_kinds_are_worked_out() {
    let offered = |text: &str| -> Vec<String> {
        let all = mended(&MemoryFiles::new().with("a.aum", text), "a.aum");
        all.found.offers.iter().map(|o| format!("{} -> {}", o.old, o.new)).collect()
    };
    let require = |given: &str, rule: &str| format!("aumbry 1\n{given}\nrequire {rule} else off \"off\"\n");
    for (given, rule, due) in [
        ("let a = 23 7/16in", "a >= 24in", "23 7/16in -> 24in"),
        ("let a = 72cm", "a < 70cm", "72cm -> 69.9cm"),
        ("let a = 2.4m", "a * 3 <= 7m", "2.4m -> 2.333m"),
        ("let a = 0.75", "a <= 0.5", "0.75 -> 0.5"),
        ("let a = 40lb", "a <= 15kg", "40lb -> 33lb"),
        ("let a = 300N", "a / 2 <= 100N", "300N -> 200N"),
        ("let a = -30mm", "a >= -20mm", "30mm -> 20mm"),
        ("let a = 3", "1000mm / a >= 400mm", "3 -> 2"),
        ("let a = [share, 2 share]\nlet b = split(0mm .. 900mm, a)", "b.last.size >= 650mm", "2 -> 3"),
        ("let a = 610mm", "a / 3 == 200mm", "610mm -> 600mm"),
        ("let a = 610mm", "a / 7 == 87mm and a <= 620mm", "610mm -> 609mm"),
        ("let a = 800mm", "a <= 500mm or a >= 880mm", "800mm -> 880mm"),
        ("house { step: 5mm }\nlet a = 602mm", "a >= 608mm", "602mm -> 610mm"),
        ("house { units: in  step: 1/8in }\nlet a = 24in", "a >= 24 1/3in", "24in -> 24 3/8in"),
    ] {
        let text = require(given, rule);
        let offers = offered(&text);
        assert!(offers.iter().any(|o| o == due), "{text}: {offers:?}");
    }
}

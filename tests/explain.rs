//! `aumbry explain`: every code of the compiler and every rule of the library, and one's own rules.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

fn project() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

fn run_in(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_aumbry"))
        .arg("explain")
        .args(args)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .expect("aumbry runs")
}

fn told(args: &[&str]) -> String {
    let output = run_in(&project(), args);
    assert_eq!(output.status.code(), Some(0), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    assert!(output.stderr.is_empty(), "{args:?}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("UTF-8")
}

fn json(args: &[&str]) -> serde_json::Value {
    let args: Vec<&str> = args.iter().copied().chain(["--as", "json"]).collect();
    let value: serde_json::Value = serde_json::from_str(&told(&args)).expect("JSON");
    assert_eq!(value["format"], "aumbry-explain/1");
    value
}

/// The codes of the pages on disk.
fn pages() -> Vec<String> {
    let files = fs::read_dir(project().join("grammar/errors")).expect("the pages");
    let mut codes: Vec<String> = files
        .map(|f| f.expect("a page").path().file_stem().expect("a name").to_string_lossy().into_owned())
        .collect();
    codes.sort();
    codes
}

#[test]
fn the_list_holds_every_code_once_on_one_line() {
    let list = json(&[]);
    let codes: Vec<&str> = list["codes"]
        .as_array()
        .expect("codes")
        .iter()
        .map(|c| c["code"].as_str().expect("a code"))
        .collect();
    for page in pages() {
        assert_eq!(codes.iter().filter(|c| **c == page).count(), 1, "{page}");
    }
    assert!(codes.contains(&"std.boxes.too-narrow"));
    assert!(codes.iter().filter(|c| c.starts_with("std.")).count() > 100);
    let text = told(&[]);
    for code in &codes {
        let lines = text.lines().filter(|l| l.trim_start().split(' ').next() == Some(code));
        assert_eq!(lines.count(), 1, "{code}");
    }
    for line in text.lines() {
        assert!(line.chars().count() <= 100, "{line}");
    }
}

#[test]
fn the_rules_in_the_text_of_the_library_are_all_listed() {
    let list = json(&[]);
    let codes: Vec<&str> = list["codes"]
        .as_array()
        .expect("codes")
        .iter()
        .map(|c| c["code"].as_str().expect("a code"))
        .collect();
    let mut count = 0;
    for entry in fs::read_dir(project().join("stdlib")).expect("the library") {
        let path = entry.expect("a file").path();
        let module = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).expect("text");
        let lines: Vec<&str> = text.lines().collect();
        for (n, line) in lines.iter().enumerate() {
            let line = line.split("//").next().unwrap_or("").trim();
            let opens = line.starts_with("require ") || line.starts_with("warn ");
            let Some((_, code)) = line.rsplit_once(" else ").filter(|_| opens) else { continue };
            let code = code.split([' ', '"']).next().unwrap_or("");
            if code.is_empty() || !code.chars().all(|c| c.is_ascii_lowercase() || c == '-') {
                continue;
            }
            let full = format!("std.{module}.{code}");
            assert!(codes.contains(&full.as_str()), "{module}.aum:{}: {full}", n + 1);
            count += 1;
        }
    }
    assert!(count > 100, "{count} rules were looked for");
}

#[test]
fn the_page_of_every_code_holds_all_its_text() {
    // In one process for each code a hundred runs take long; a few of each kind will do.
    for code in ["overlap", "sag", "unreadable-file", "unknown-import", "length-needs-unit"] {
        let page = fs::read_to_string(project().join(format!("grammar/errors/{code}.md"))).expect("a page");
        let text = told(&[code]);
        for word in page.split_whitespace().filter(|w| !w.starts_with("```") && *w != "#") {
            assert!(word == "aumbry" || text.contains(word), "{code}: `{word}`");
        }
        assert!(!text.contains("```"));
    }
    let text = told(&["sag"]);
    assert!(text.contains("This fails:\n\n    aumbry 1\n") && text.contains("This passes:\n"), "{text}");
}

#[test]
fn a_rule_of_the_library_is_shown_as_it_stands() {
    let text = told(&["std.boxes.narrow-rail"]);
    for piece in [
        "std.boxes.narrow-rail: an error, a rule of box floor_box (std.boxes:",
        "\"a rail needs two screws at each end and is at least 50mm wide, not {rail}\"",
        "    rail >= 50mm\n",
        "A floor-standing box",
    ] {
        assert!(text.contains(piece), "{piece}\n{text}");
    }
    let found = json(&["std.boxes.narrow-rail"]);
    assert_eq!(found["rules"][0]["condition"], "rail >= 50mm");
    assert_eq!(found["rules"][0]["asks"], "require");
    // The word alone finds it as well.
    assert_eq!(told(&["narrow-rail"]), text);
    let warns = told(&["std.boxes.no-load"]);
    assert!(warns.contains("a warning, a rule of box hung_box"), "{warns}");
    assert!(warns.contains("It should hold that:"), "{warns}");
    let choice = told(&["std.hinges.no-plate"]);
    assert!(choice.contains("This must not be empty:"), "{choice}");
}

#[test]
fn rules_of_ones_own_files_are_told() {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("explain-own");
    let _ = fs::remove_dir_all(&folder);
    fs::create_dir_all(folder.join("own")).expect("a folder");
    let wall = "aumbry 1\nuse \"own/kiln.aum\" (kiln_shelf)\n\
        box cones = kiln_shelf(width: 600mm)\n\
        require cones.width <= 900mm else bed-not-level \"the bed of {cones.width} is not level\"\n";
    let kiln = "aumbry 1\n/// A shelf over the kiln.\ndef box kiln_shelf(width: length, tall: flag = no) {\n\
        \u{20} envelope (width, 18mm, 300mm)\n  if tall {\n    warn width < 500mm else too-hot \"keep {width} clear\"\n  }\n\
        \u{20} part only of house.board along x { x: 0mm .. width  y: after 0mm  z: 0mm .. 300mm }\n}\n";
    fs::write(folder.join("wall.aum"), wall).expect("a file");
    fs::write(folder.join("own/kiln.aum"), kiln).expect("a file");
    let ask = |args: &[&str]| {
        let output = run_in(&folder, args);
        assert_eq!(output.status.code(), Some(0), "{}", String::from_utf8_lossy(&output.stderr));
        String::from_utf8(output.stdout).expect("UTF-8")
    };
    let text = ask(&["bed-not-level", "--in", "wall.aum"]);
    assert!(text.starts_with("bed-not-level: an error, a rule (wall.aum:4)\n"), "{text}");
    assert!(text.contains("\"the bed of {cones.width} is not level\""), "{text}");
    let text = ask(&["own.kiln.too-hot", "--in", "wall.aum"]);
    assert!(text.contains("a warning, a rule of box kiln_shelf (own/kiln.aum:6)"), "{text}");
    assert!(text.contains("It is asked only where:\n\n    tall\n"), "{text}");
    assert!(text.contains("A shelf over the kiln."), "{text}");
    let list = ask(&["--in", "wall.aum"]);
    assert!(list.contains("Rules of wall.aum") && list.contains("Rules of own/kiln.aum"), "{list}");
    assert_eq!(run_in(&folder, &["bed-not-level"]).status.code(), Some(2));
    assert_eq!(run_in(&folder, &["--in", "none.aum"]).status.code(), Some(3));
    let _ = fs::remove_dir_all(&folder);
}

#[test]
fn an_unknown_code_names_the_nearest() {
    for (code, near) in [("overlp", "`overlap`"), ("std.boxes.narow-rail", "`std.boxes.narrow-rail`")] {
        let output = run_in(&project(), &[code]);
        assert_eq!(output.status.code(), Some(2));
        assert!(output.stdout.is_empty());
        let said = String::from_utf8(output.stderr).expect("UTF-8");
        assert!(said.contains("there is no code") && said.contains(near), "{said}");
    }
}

//! The `aumbry` command as a maker runs it: exit status, what goes where, what is left on disk.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder of a test's own, removed at its end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Scratch {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("commands-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a scratch folder");
        Scratch(path)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) -> &Scratch {
        fs::write(self.0.join(name), text).expect("a file");
        self
    }

    fn run(&self, args: &[&str]) -> Output {
        Command::new(env!("CARGO_BIN_EXE_aumbry"))
            .args(args)
            .current_dir(&self.0)
            .stdin(Stdio::null())
            .output()
            .expect("aumbry runs")
    }

    fn names(&self) -> Vec<String> {
        let mut names: Vec<String> = fs::read_dir(&self.0)
            .expect("the scratch folder")
            .map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned())
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

fn out(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("UTF-8")
}

fn err(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("UTF-8")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("an exit status, not a signal")
}

#[test]
fn wrong_use_of_the_command_line_is_two() {
    let here = Scratch::new("usage");
    for args in [
        &["frob"][..],
        &[],
        &["check"],
        &["build", "a.aum"],
        &["parts", "a.aum", "--as", "svg"],
        &["elevations", "a.aum", "--as", "csv"],
        &["check", "a.aum", "--messages", "xml"],
        &["job"],
    ] {
        let output = here.run(args);
        assert_eq!(code(&output), 2, "{args:?}: {}", err(&output));
        assert!(out(&output).is_empty(), "{args:?}");
    }
    for args in [&["--help"][..], &["--version"], &["parts", "--help"]] {
        assert_eq!(code(&here.run(args)), 0, "{args:?}");
    }
}

#[test]
fn what_cannot_be_read_is_three() {
    let here = Scratch::new("unread");
    fs::create_dir(here.0.join("folder.aum")).expect("a folder");
    here.write("bytes.aum", b"aumbry 1\n\xff\xfe").write("ok.aum", "aumbry 1\n");
    for (file, words) in [
        ("nowhere.aum", "there is no such file"),
        ("folder.aum", "it is a folder, not a file"),
        ("bytes.aum", "not UTF-8 text (byte 9)"),
        ("no/such/place.aum", "there is no such file"),
        ("ok.aum/x", "ok.aum/x"),
        (".", "could not be read"),
        ("/", "could not be read"),
    ] {
        for command in ["check", "parts", "job", "test"] {
            let output = here.run(&[command, file]);
            assert_eq!(code(&output), 3, "{command} {file:?}: {}", err(&output));
            assert!(err(&output).contains("error: not-read"), "{}", err(&output));
            assert!(err(&output).contains(words), "{file}: {}", err(&output));
        }
    }
    let output = here.run(&["parts", "ok.aum", "--marks", "old.json"]);
    assert_eq!(code(&output), 3);
    assert!(err(&output).contains("marks-not-read"), "{}", err(&output));
    here.write("old.json", "{}");
    let output = here.run(&["parts", "ok.aum", "--marks", "old.json"]);
    assert_eq!((code(&output), err(&output).contains("no job.json")), (3, true), "{}", err(&output));
}

#[test]
fn messages_as_json_are_one_line_on_standard_error() {
    let here = Scratch::new("json");
    let output = here.run(&["check", "nowhere.aum", "--messages", "json"]);
    let text = err(&output);
    assert_eq!(text.lines().count(), 1, "{text}");
    let all: serde_json::Value = serde_json::from_str(&text).expect("JSON");
    assert_eq!((&all["errors"], &all["messages"][0]["code"]), (&1.into(), &"not-read".into()));
}

#[test]
fn the_schema_needs_no_file() {
    let here = Scratch::new("schema");
    let output = here.run(&["job", "--schema"]);
    assert_eq!(code(&output), 0);
    serde_json::from_str::<serde_json::Value>(&out(&output)).expect("JSON");
}

#[test]
fn a_failed_design_writes_nothing() {
    let here = Scratch::new("failed");
    here.write("bad.aum", "aumbry 1\nbox glaze = no_such_box(width: 800mm)\n");
    let output = here.run(&["build", "bad.aum", "--out", "shop"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert_eq!(here.names(), ["bad.aum"]);
    for command in ["check", "parts", "holes", "job"] {
        let output = here.run(&[command, "bad.aum"]);
        assert_eq!((code(&output), out(&output).as_str()), (1, ""), "{command}");
        assert!(err(&output).ends_with("1 error\n"), "{}", err(&output));
    }
}

const BOOKCASE: &str = "aumbry 1
use std.boards (white18, white3)
use std.boxes  (open_box)

house { board: white18, back: white3 }

box glaze = open_box(width: 800mm, height: 1400mm, depth: 300mm, shelves: 2)
";

#[test]
fn a_sound_design_gives_every_list() {
    let here = Scratch::new("sound");
    here.write("glaze.aum", BOOKCASE);
    let output = here.run(&["check", "glaze.aum"]);
    assert_eq!((code(&output), out(&output).as_str(), err(&output).as_str()), (0, "", "no errors\n"));
    for args in [
        &["parts", "glaze.aum"][..],
        &["parts", "glaze.aum", "--as", "csv"],
        &["parts", "glaze.aum", "--as", "json"],
        &["holes", "glaze.aum"],
        &["holes", "glaze.aum", "--as", "csv"],
        &["holes", "glaze.aum", "--as", "json"],
        &["job", "glaze.aum"],
    ] {
        let output = here.run(args);
        assert_eq!((code(&output), err(&output).as_str()), (0, ""), "{args:?}");
        assert_eq!(here.run(args).stdout, output.stdout, "{args:?} gives the same bytes twice");
        assert!(!output.stdout.is_empty());
    }
    // From elsewhere the same file gives the same job: no path of this machine is in it.
    let elsewhere = Scratch::new("elsewhere");
    let file = here.0.join("glaze.aum");
    let output = elsewhere.run(&["job", file.to_str().expect("UTF-8")]);
    assert_eq!(output.stdout, here.run(&["job", "glaze.aum"]).stdout);
}

#[test]
fn build_replaces_its_own_folder_only() {
    let here = Scratch::new("build");
    here.write("glaze.aum", BOOKCASE);
    let output = here.run(&["build", "glaze.aum", "--out", "shop"]);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert_eq!(out(&output), "");
    let shop = here.0.join("shop");
    for name in
        ["job.json", "parts.txt", "parts.csv", "parts.json", "holes.csv", "holes.json", "messages.txt"]
    {
        assert!(shop.join(name).is_file(), "{name}");
    }
    let job = fs::read(shop.join("job.json")).expect("job.json");
    assert_eq!(job, here.run(&["job", "glaze.aum"]).stdout);
    assert_eq!(code(&here.run(&["build", "glaze.aum", "--out", "shop"])), 0);
    assert_eq!(fs::read(shop.join("job.json")).expect("job.json"), job);
    assert_eq!(here.names(), ["glaze.aum", "shop"]);
    // A design with an error leaves what an earlier build wrote.
    here.write("glaze.aum", BOOKCASE.replace("depth: 300mm", "depth: 5mm"));
    assert_eq!(code(&here.run(&["build", "glaze.aum", "--out", "shop"])), 1);
    assert_eq!(fs::read(shop.join("job.json")).expect("job.json"), job);

    here.write("glaze.aum", BOOKCASE);
    fs::write(shop.join("notes.txt"), "call the glazier").expect("notes");
    fs::create_dir(here.0.join("photos")).expect("a folder");
    for (folder, words) in [
        ("shop", "notes.txt"),
        ("photos", "not written by aumbry"),
        ("glaze.aum", "not a folder"),
        (".", "name"),
    ] {
        let output = here.run(&["build", "glaze.aum", "--out", folder]);
        assert_eq!(code(&output), 3, "{folder}");
        assert!(err(&output).contains("folder-not-ours"), "{}", err(&output));
        assert!(err(&output).contains(words), "{}", err(&output));
    }
    assert!(shop.join("notes.txt").is_file());
    let output = here.run(&["build", "glaze.aum", "--out", "no/such/place"]);
    assert_eq!((code(&output), err(&output).contains("not-written")), (3, true), "{}", err(&output));
    assert_eq!(here.names(), ["glaze.aum", "photos", "shop"]);
}

#[test]
fn sheets_are_written_into_a_folder_of_their_own() {
    let here = Scratch::new("maps");
    here.write("glaze.aum", BOOKCASE);
    for _ in 0..2 {
        for args in [
            &["holes", "glaze.aum", "--as", "svg", "--out", "maps"][..],
            &["elevations", "glaze.aum", "--out", "views"],
            &["apart", "glaze.aum", "--out", "exploded"],
        ] {
            let output = here.run(args);
            assert_eq!((code(&output), out(&output).as_str()), (0, ""), "{}", err(&output));
        }
    }
    assert_eq!(code(&here.run(&["build", "glaze.aum", "--out", "shop"])), 0);
    let names = |folder: &str| {
        let all = fs::read_dir(here.0.join(folder)).expect("a folder");
        let mut all: Vec<_> = all.map(|e| e.expect("an entry").file_name()).collect();
        all.retain(|n| n != ".aumbry-build");
        all.sort();
        all
    };
    for (alone, built) in [("maps", "shop/holes"), ("views", "shop/elevations"), ("exploded", "shop/apart")] {
        assert!(!names(alone).is_empty());
        assert_eq!(names(alone), names(built));
    }
    // A whole build is not replaced by its maps alone.
    assert_eq!(code(&here.run(&["holes", "glaze.aum", "--as", "svg", "--out", "shop"])), 3);
    assert_eq!(code(&here.run(&["holes", "glaze.aum", "--as", "svg"])), 2);
    assert_eq!(code(&here.run(&["holes", "glaze.aum", "--out", "maps"])), 2);
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_three() {
    use std::os::unix::fs::PermissionsExt;
    let here = Scratch::new("readonly");
    here.write("glaze.aum", BOOKCASE);
    let locked = here.0.join("locked");
    fs::create_dir(&locked).expect("a folder");
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o555)).expect("locked");
    // The superuser may write anywhere; a path through a file fails for everybody.
    let free = fs::write(locked.join("try"), "").is_ok();
    let out_folder = if free { "glaze.aum/shop" } else { "locked/shop" };
    let output = here.run(&["build", "glaze.aum", "--out", out_folder]);
    assert_eq!(code(&output), 3, "{}", err(&output));
    assert!(err(&output).contains("not-written"), "{}", err(&output));
    fs::set_permissions(&locked, fs::Permissions::from_mode(0o755)).expect("unlocked");
}

#[test]
fn marks_of_an_earlier_build_are_kept() {
    let here = Scratch::new("marks");
    let two = |glaze: &str, clay: &str| {
        let open = |name: &str, width: &str| {
            format!("box {name} = open_box(width: {width}, height: 700mm, depth: 300mm)\n")
        };
        let (head, _) = BOOKCASE.split_once("box glaze").expect("a box");
        format!("{head}{}{}", open("glaze", glaze), open("clay", clay))
    };
    here.write("a.aum", two("800mm", "800mm"));
    assert_eq!(code(&here.run(&["build", "a.aum", "--out", "old"])), 0);
    let marks = |args: &[&str]| -> Vec<String> {
        let job: serde_json::Value = serde_json::from_slice(&here.run(args).stdout).expect("JSON");
        let parts = job["parts"].as_array().expect("parts");
        let text = |p: &serde_json::Value, key: &str| p[key].as_str().expect("text").to_string();
        let bottoms = parts.iter().filter(|p| text(p, "path").ends_with(".bottom"));
        bottoms.map(|p| format!("{} {}", text(p, "path"), text(p, "mark"))).collect()
    };
    assert_eq!(marks(&["job", "a.aum"]), ["clay.bottom CB", "glaze.bottom CB"]);
    here.write("a.aum", two("800mm", "900mm"));
    let kept = marks(&["job", "a.aum", "--marks", "old/job.json"]);
    assert_eq!(kept, ["clay.bottom CB", "glaze.bottom GB"]);
}

#[test]
fn several_files_are_checked_and_all_are_reported() {
    let here = Scratch::new("several");
    here.write("good.aum", BOOKCASE).write("bad.aum", BOOKCASE.replace("open_box(", "open_bx("));
    let output = here.run(&["check", "good.aum", "bad.aum"]);
    assert_eq!(code(&output), 1);
    assert!(err(&output).contains("bad.aum:7:") && err(&output).ends_with("1 error\n"), "{}", err(&output));
    let output = here.run(&["check", "good.aum", "bad.aum", "--messages", "json"]);
    let all: serde_json::Value = serde_json::from_str(&err(&output)).expect("one JSON document");
    assert_eq!(all["errors"], 1);
    let label = &all["messages"][0]["labels"][0];
    let (start, end) = (label["bytes"][0].as_u64(), label["bytes"][1].as_u64());
    let text = BOOKCASE.replace("open_box(", "open_bx(");
    let quoted = text.get(start.expect("start") as usize..end.expect("end") as usize);
    assert_eq!(
        (label["file"].as_str(), label["line"].as_u64(), quoted),
        (Some("bad.aum"), Some(7), Some("open_bx"))
    );
}

#[test]
fn tests_in_a_file_are_run() {
    let here = Scratch::new("test");
    let with = |width: &str| {
        format!(
            "{BOOKCASE}\ntest \"a narrow one\" {{ box b = open_box(width: 400mm, height: 700mm, depth: 300mm)  \
             expect b.bottom.x.size == {width} }}\n"
        )
    };
    here.write("good.aum", with("364mm")).write("bad.aum", with("365mm"));
    let output = here.run(&["test", "good.aum"]);
    assert_eq!((code(&output), out(&output).as_str()), (0, "passed  a narrow one\n1 passed, 0 failed\n"));
    let output = here.run(&["test", "bad.aum"]);
    assert_eq!((code(&output), out(&output).as_str()), (1, "FAILED  a narrow one\n0 passed, 1 failed\n"));
    assert!(err(&output).contains("bad.aum:9:"), "{}", err(&output));
}

#[test]
fn a_reader_that_goes_away_is_no_fault() {
    let here = Scratch::new("pipe");
    here.write("glaze.aum", BOOKCASE);
    let mut child = Command::new(env!("CARGO_BIN_EXE_aumbry"))
        .args(["job", "glaze.aum"])
        .current_dir(&here.0)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("aumbry runs");
    drop(child.stdout.take());
    let output = child.wait_with_output().expect("it ends");
    assert_eq!((code(&output), err(&output).as_str()), (0, ""));
}

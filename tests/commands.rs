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

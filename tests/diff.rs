//! `aumbry diff` as a maker runs it: what is said of pairs of revisions, in a git repository, and of bad input.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Scratch {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("diff-{name}"));
        let _ = fs::remove_dir_all(&path);
        fs::create_dir_all(&path).expect("a scratch folder");
        Scratch(path)
    }

    fn write(&self, name: &str, text: impl AsRef<[u8]>) -> &Scratch {
        let path = self.0.join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("a file");
        self
    }

    fn run(&self, args: &[&str]) -> Output {
        // What lies above the folder is no repository of ours.
        Command::new(env!("CARGO_BIN_EXE_aumbry"))
            .args(args)
            .current_dir(&self.0)
            .env("GIT_CEILING_DIRECTORIES", self.0.parent().expect("a folder"))
            .stdin(Stdio::null())
            .output()
            .expect("aumbry runs")
    }

    /// Runs git as on a machine without a configuration of its own.
    fn git(&self, args: &[&str]) -> String {
        let bin = Path::new(env!("CARGO_BIN_EXE_aumbry")).parent().expect("a folder").to_path_buf();
        let path = std::env::var_os("PATH").unwrap_or_default();
        let path =
            std::env::join_paths(std::iter::once(bin).chain(std::env::split_paths(&path))).expect("a path");
        let output = Command::new("git")
            .args(["-c", "user.name=A maker", "-c", "user.email=maker@example.org", "-c", "core.pager=cat"])
            .args(args)
            .current_dir(&self.0)
            .env("PATH", path)
            .env("GIT_CONFIG_GLOBAL", "/dev/null")
            .env("GIT_CONFIG_SYSTEM", "/dev/null")
            .stdin(Stdio::null())
            .output()
            .expect("git runs");
        assert!(output.status.success(), "git {args:?}: {}", err(&output));
        out(&output)
    }

    fn commit(&self, words: &str) {
        self.git(&["add", "-A"]);
        self.git(&["commit", "-q", "-m", words]);
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

const CLAY: &str = "aumbry 1\nuse std.boxes (floor_box)\nbox clay = floor_box(width: 600mm)\n";

#[test]
fn what_is_said_of_pairs_of_revisions() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/diff");
    let mut names: Vec<String> = fs::read_dir(&folder)
        .expect("the cases")
        .filter_map(|e| {
            let name = e.expect("an entry").file_name().to_string_lossy().into_owned();
            name.strip_suffix(".old.aum").map(str::to_string)
        })
        .collect();
    names.sort();
    assert!(names.len() >= 10);
    let here = Scratch::new("pairs");
    for name in names {
        let [old, new] = ["old", "new"].map(|side| folder.join(format!("{name}.{side}.aum")));
        here.write("old.aum", fs::read(old).expect("old")).write("new.aum", fs::read(new).expect("new"));
        let table = here.run(&["diff", "old.aum", "new.aum"]);
        let again = here.run(&["diff", "old.aum", "new.aum"]);
        assert_eq!(out(&table), out(&again), "{name}: the same bytes");
        assert!(out(&table).lines().all(|l| l.chars().count() <= 100), "{name}: {}", out(&table));
        let same = out(&table).starts_with("No difference");
        assert_eq!(code(&table), if same { 0 } else { 1 }, "{name}: {}", err(&table));
        let markdown = out(&here.run(&["diff", "old.aum", "new.aum", "--as", "md"]));
        insta::with_settings!({ prepend_module_to_snapshot => false, omit_expression => true }, {
            insta::assert_snapshot!(format!("diff__{name}"), format!("{}\n--- md ---\n{markdown}", out(&table)));
        });
        let json: serde_json::Value =
            serde_json::from_str(&out(&here.run(&["diff", "old.aum", "new.aum", "--as", "json"])))
                .expect("JSON");
        assert_eq!((&json["format"], &json["same"]), (&"aumbry-diff/1".into(), &same.into()), "{name}");
        // A job.json says as much as the text it was made from.
        for side in ["old", "new"] {
            let job = here.run(&["job", &format!("{side}.aum")]);
            here.write(&format!("{side}.json"), &job.stdout);
        }
        let jobs = here.run(&["diff", "old.json", "new.json"]);
        assert_eq!(out(&jobs), out(&table), "{name}: {}", err(&jobs));
        assert_eq!(code(&here.run(&["diff", "new.json", "new.aum"])), 0, "{name}");
    }
}

#[test]
fn a_change_of_text_alone_is_no_difference() {
    let here = Scratch::new("text");
    let studio = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/studio.aum");
    let text = fs::read_to_string(studio).expect("the studio");
    let mut blank = text.replace('\n', "\n\n").replace("  ", "      ");
    blank.push_str("// said at the end\n");
    here.write("a.aum", &text).write("b.aum", &blank);
    let output = here.run(&["diff", "a.aum", "b.aum"]);
    assert_eq!((code(&output), out(&output).lines().count()), (0, 1), "{}", out(&output));
}

#[test]
fn revisions_of_a_repository() {
    let here = Scratch::new("git");
    here.git(&["init", "-q", "-b", "main"]);
    here.write("shop/own.aum", "aumbry 1\nlet wide = 600mm\n");
    here.write(
        "shop/wall.aum",
        "aumbry 1\nuse std.boxes (floor_box)\nuse \"own.aum\" (wide)\nbox clay = floor_box(width: wide)\n",
    );
    here.commit("first");
    here.write("shop/own.aum", "aumbry 1\nlet wide = 560mm\n");
    here.commit("narrower");
    let wall = here.run(&["diff", "HEAD~1:shop/wall.aum", "shop/wall.aum"]);
    assert_eq!(code(&wall), 1, "{}", err(&wall));
    assert!(out(&wall).contains("560mm wide, not 600mm"), "{}", out(&wall));
    // The same from a folder below, by both ways of writing it, of two revisions, and of folders.
    for (old, new) in [
        ("HEAD~1:shop/wall.aum", "HEAD:shop/wall.aum"),
        ("HEAD~1:./shop/wall.aum", "shop/wall.aum"),
        ("main~1:shop/", "shop"),
        ("HEAD~1:", "."),
    ] {
        let output = here.run(&["diff", old, new]);
        assert_eq!(code(&output), 1, "{old} {new}: {}", err(&output));
        assert!(out(&output).contains("560mm wide, not 600mm"), "{old} {new}: {}", out(&output));
    }
    assert_eq!(code(&here.run(&["diff", "HEAD:shop/wall.aum", "shop/wall.aum"])), 0);
    assert_eq!(code(&here.run(&["diff", ":shop/wall.aum", "HEAD:shop"])), 2, "a file against a folder");
    for (old, status, words) in [
        ("HEAD~9:shop/wall.aum", 3, "there is no revision `HEAD~9`"),
        ("HEAD:wall.aum", 3, "there is no `wall.aum` in revision `HEAD`"),
        ("HEAD~1:shop/none.aum", 3, "there is no `shop/none.aum`"),
        ("--output=x:shop/wall.aum", 2, "unexpected argument"),
        ("nowhere.aum", 3, "there is no such file"),
    ] {
        let output = here.run(&["diff", old, "shop/wall.aum"]);
        assert_eq!(code(&output), status, "{old}: {}", err(&output));
        assert!(err(&output).contains(words), "{old}: {}", err(&output));
        assert!(out(&output).is_empty());
    }
    let option = here.run(&["diff", "--", "-x:shop/wall.aum", "shop/wall.aum"]);
    assert_eq!(code(&option), 3, "{}", err(&option));
    assert!(err(&option).contains("there is no revision `-x`"), "{}", err(&option));
    // A revision that does not compile is named in its messages.
    here.write("shop/own.aum", "aumbry 1\nlet wide = \n").commit("half typed");
    here.write("shop/own.aum", "aumbry 1\nlet wide = 560mm\n");
    let broken = here.run(&["diff", "HEAD:shop/wall.aum", "shop/wall.aum"]);
    assert_eq!((code(&broken), out(&broken).as_str()), (1, ""));
    assert!(err(&broken).contains("HEAD:shop/own.aum"), "{}", err(&broken));
}

/// The lines of the reference that set git up.
fn set_up(here: &Scratch) {
    let reference = include_str!("../grammar/reference.md");
    let line =
        reference.lines().find(|l| l.starts_with("*.aum diff=aumbry")).expect("the line for .gitattributes");
    here.write(".gitattributes", format!("{line}\n"));
    let line = reference
        .lines()
        .find(|l| l.starts_with("git config diff.aumbry.command"))
        .expect("the line for git");
    let (_, value) = line.split_once('"').expect("a value");
    here.git(&["config", "diff.aumbry.command", value.trim_end_matches('"')]);
}

#[test]
fn git_shows_what_a_change_means() {
    let here = Scratch::new("driver");
    here.git(&["init", "-q", "-b", "main"]);
    set_up(&here);
    here.write("wall.aum", CLAY).write("notes.txt", "one\n").commit("first");
    here.write("wall.aum", CLAY.replace("600mm", "560mm")).write("notes.txt", "two\n");
    let shown = here.git(&["diff"]);
    assert!(shown.contains("wall.aum: "), "{shown}");
    assert!(shown.contains("box clay: 560mm wide, not 600mm."), "{shown}");
    assert!(shown.contains("trim 40mm off"), "{shown}");
    // Other files are shown as ever.
    assert!(shown.contains("-one\n+two\n"), "{shown}");
    here.commit("narrower");
    assert!(here.git(&["diff", "HEAD~1", "HEAD"]).contains("trim 40mm off"));
    assert!(here.git(&["log", "-1", "-p", "--ext-diff"]).contains("trim 40mm off"));
    here.write("wall.aum", "aumbry 1\n\n\n  use std.boxes (floor_box)\nbox clay = floor_box(width: 56cm)\n");
    assert!(here.git(&["diff"]).contains("No difference: the two models are equal."));
    // Half typed, new, gone, a conflict: a plain statement each.
    here.write("wall.aum", "aumbry 1\nbox clay = ");
    let broken = here.git(&["diff"]);
    assert!(broken.contains("The new revision does not compile"), "{broken}");
    here.write("wall.aum", CLAY.replace("600mm", "560mm")).write("glaze.aum", CLAY);
    here.git(&["add", "-A"]);
    assert!(here.git(&["diff", "--cached"]).contains("A new design: 1 box, 6 parts."));
    here.commit("glaze");
    fs::remove_file(here.0.join("glaze.aum")).expect("ours");
    assert!(here.git(&["diff"]).contains("The design is gone: 1 box, 6 parts."));
    here.git(&["checkout", "-q", "."]);
    here.git(&["checkout", "-q", "-b", "other"]);
    here.write("wall.aum", CLAY.replace("600mm", "570mm")).commit("other");
    here.git(&["checkout", "-q", "main"]);
    here.write("wall.aum", CLAY.replace("600mm", "550mm")).commit("main");
    let merged = Command::new("git")
        .args(["-c", "user.name=A", "-c", "user.email=a@example.org", "merge", "-q", "other"])
        .current_dir(&here.0)
        .output()
        .expect("git runs");
    assert!(!merged.status.success());
    let text = fs::read_to_string(here.0.join("wall.aum")).expect("the file");
    assert!(text.contains("<<<<<<<"));
    let conflict = here.run(&["diff", "HEAD:wall.aum", "wall.aum"]);
    assert_eq!(code(&conflict), 1, "{}", err(&conflict));
    assert!(err(&conflict).contains("conflict-marker"), "{}", err(&conflict));
    let shown = here.git(&["diff"]);
    // Git itself shows both texts then.
    assert!(shown.contains("<<<<<<<"), "{shown}");
}

#[test]
fn files_brought_in_are_of_the_same_revision() {
    let here = Scratch::new("imports");
    here.git(&["init", "-q", "-b", "main"]);
    set_up(&here);
    let wall = |width: &str| {
        format!(
            "aumbry 1\nuse std.boxes (floor_box)\nuse \"own.aum\" (deep)\nbox clay = floor_box(width: {width}, depth: deep)\n"
        )
    };
    here.write("own.aum", "aumbry 1\nlet deep = 560mm\n").write("wall.aum", wall("600mm")).commit("first");
    here.write("own.aum", "aumbry 1\nlet deep = 540mm\n").write("wall.aum", wall("580mm"));
    let shown = here.git(&["diff"]);
    assert!(shown.contains("580mm wide, not 600mm; 540mm deep, not 560mm"), "{shown}");
    assert!(shown.contains("are read from HEAD"), "{shown}");
    assert!(shown.contains("It builds no box itself"), "{shown}");
}

#[test]
fn folders_are_compared_by_design() {
    let here = Scratch::new("folders");
    here.write("old/clay.aum", CLAY)
        .write("old/gone.aum", CLAY)
        .write("old/own.aum", "aumbry 1\nlet a = 1mm\n");
    here.write("new/clay.aum", CLAY.replace("600mm", "580mm")).write("new/fresh.aum", CLAY);
    here.write("new/own.aum", "aumbry 1\nlet a = 1mm\n");
    let output = here.run(&["diff", "old", "new"]);
    let text = out(&output);
    assert_eq!(code(&output), 1, "{}", err(&output));
    for words in ["gone.aum is gone", "fresh.aum is a new design", "clay.aum\n", "580mm wide, not 600mm"] {
        assert!(text.contains(words), "{words}: {text}");
    }
    assert_eq!(code(&here.run(&["diff", "old", "old"])), 0);
    fs::create_dir(here.0.join("empty")).expect("a folder");
    let output = here.run(&["diff", "empty", "new"]);
    assert_eq!(code(&output), 3);
    assert!(err(&output).contains("holds no design"), "{}", err(&output));
    assert_eq!(code(&here.run(&["diff", "old", "new/clay.aum"])), 2);
}

#[test]
fn only_what_is_cut_is_reworked() {
    let here = Scratch::new("cut");
    here.write("old.aum", CLAY).write("new.aum", CLAY.replace("600mm", "580mm"));
    here.write("cut.txt", "# sawn on Friday\nclay.bottom\n");
    let text = out(&here.run(&["diff", "old.aum", "new.aum", "--cut", "cut.txt"]));
    let (trimmed, drawn) = text.split_once("Cut as drawn now (not cut yet)").expect("both");
    assert!(trimmed.contains("clay.bottom") && !trimmed.contains("clay.rail_front"), "{text}");
    assert!(drawn.contains("clay.rail_front") && !drawn.contains("clay.bottom"), "{text}");
    here.write("cut.json", here.run(&["job", "old.aum"]).stdout);
    let all = here.run(&["diff", "old.aum", "new.aum", "--cut", "cut.json"]);
    assert!(!out(&all).contains("not cut yet"), "{}", out(&all));
    for (name, text, words) in [
        ("marks.txt", "CB\nNO-SUCH\n", "`NO-SUCH` is cut, and there is no such part"),
        ("broken.json", "{\"parts\": [", "could not be read"),
        ("none.json", "{}", "missing field"),
    ] {
        here.write(name, text);
        let output = here.run(&["diff", "old.aum", "new.aum", "--cut", name]);
        assert_eq!((code(&output), out(&output).as_str()), (3, ""), "{name}");
        assert!(err(&output).contains(words), "{name}: {}", err(&output));
    }
    // Wood of another size is not the wood of OLD.
    here.write("other.json", here.run(&["job", "new.aum"]).stdout);
    let output = here.run(&["diff", "old.aum", "new.aum", "--cut", "other.json"]);
    assert_eq!(code(&output), 3);
    assert!(err(&output).contains("cut-not-old"), "{}", err(&output));
}

#[test]
fn a_spoiled_part() {
    let here = Scratch::new("spoiled");
    let two = "aumbry 1\nuse std.boxes (floor_box)\nbox clay = floor_box(width: 700mm)\nbox glaze = floor_box(width: 600mm)\n";
    here.write("wall.aum", two);
    let text = out(&here.run(&["diff", "wall.aum", "--spoiled", "clay.rail_front"]));
    assert!(text.contains("glaze.rail_front") && text.contains("trim 100mm off"), "{text}");
    assert!(text.contains("Nothing that is known to be cut"), "{text}");
    here.write("cut.txt", "clay.rail_rear\n");
    let text = out(&here.run(&["diff", "wall.aum", "--spoiled", "clay.rail_front", "--cut", "cut.txt"]));
    assert!(text.contains("can stand in for it, of what is cut"), "{text}");
    for form in ["md", "json"] {
        assert_eq!(code(&here.run(&["diff", "wall.aum", "--spoiled", "CB", "--as", form])), 0);
    }
    let output = here.run(&["diff", "wall.aum", "--spoiled", "clay.botom"]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("did you mean `clay.bottom`"), "{}", err(&output));
}

#[test]
fn bad_input_is_told() {
    let here = Scratch::new("bad");
    here.write("a.aum", CLAY)
        .write("half.aum", "aumbry 1\nbox clay = floor_b")
        .write("a.json", "{\"format\": \"aumbry-job/9\"}");
    here.write("cut.json", "{\"format\": \"aumbry-job/1\", \"sour").write("bytes.aum", b"aumbry 1\n\xff");
    for (args, status, words) in [
        (&["diff", "a.aum"][..], 2, "two sides are compared"),
        (&["diff", "a.aum", "a.aum", "a.aum"], 2, "not more"),
        (&["diff", "a.aum", "half.aum"], 1, "half.aum"),
        (&["diff", "a.json", "a.aum"], 3, "aumbry-job"),
        (&["diff", "cut.json", "a.aum"], 3, "could not be read"),
        (&["diff", "bytes.aum", "a.aum"], 3, "not UTF-8"),
        (&["diff", "a.aum", "HEAD:a.aum"], 3, "stands in none"),
        (&["diff", "a.aum", "a.aum", "--within", "2"], 2, "is no length"),
        (&["diff", "a.aum", "a.aum", "--within", "2mm"], 2, "at most 1mm"),
        (&["diff", "a.aum", "a.aum", "--git"], 2, "--git is what git runs"),
    ] {
        let output = here.run(args);
        assert_eq!(code(&output), status, "{args:?}: {}", err(&output));
        assert!(err(&output).contains(words), "{args:?}: {}", err(&output));
        assert!(out(&output).is_empty(), "{args:?}");
    }
}

#[test]
fn folders_that_build_wrote_are_designs() {
    let here = Scratch::new("built");
    for (name, width) in [("a", "600mm"), ("b", "580mm")] {
        here.write("wall.aum", CLAY.replace("600mm", width));
        assert_eq!(code(&here.run(&["build", "wall.aum", "--out", name])), 0);
    }
    let output = here.run(&["diff", "a", "b"]);
    assert!(out(&output).contains("580mm wide, not 600mm"), "{}{}", out(&output), err(&output));
}

#[test]
fn both_revisions_on_sheets() {
    let here = Scratch::new("sheets");
    here.write("old.aum", CLAY).write("new.aum", CLAY.replace("600mm", "580mm"));
    let output = here.run(&["diff", "old.aum", "new.aum", "--as", "svg", "--out", "sheets"]);
    assert_eq!(code(&output), 1, "{}", err(&output));
    assert!(err(&output).contains("wrote 1 sheet to sheets"), "{}", err(&output));
    let sheet = fs::read_to_string(here.0.join("sheets/clay.svg")).expect("the sheet");
    roxmltree::Document::parse(&sheet).expect("XML");
    assert_eq!(code(&here.run(&["diff", "old.aum", "new.aum", "--as", "svg"])), 2);
    assert_eq!(code(&here.run(&["diff", "old.aum", "new.aum", "--out", "sheets"])), 2);
    let same = here.run(&["diff", "old.aum", "old.aum", "--as", "svg", "--out", "sheets"]);
    assert_eq!((code(&same), err(&same).as_str()), (0, "wrote 0 sheets to sheets\n"));
}

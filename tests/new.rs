//! `aumbry new` and `aumbry completions`.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

fn scratch(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("new-{name}"));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).expect("a scratch folder");
    path
}

fn run(folder: &Path, args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_aumbry")).args(args).current_dir(folder).output().expect("aumbry runs")
}

fn code(output: &Output) -> i32 {
    output.status.code().expect("an exit status")
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<String> =
        entries.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

#[test]
fn a_new_project_compiles_and_builds() {
    let here = scratch("fresh");
    let made = run(&here, &["new", "kiln shelves"]);
    assert_eq!(code(&made), 0, "{}", String::from_utf8_lossy(&made.stderr));
    assert_eq!(names(&here), ["kiln shelves"]);
    let project = here.join("kiln shelves");
    assert_eq!(names(&project), [".gitattributes", ".gitignore", "README.md", "design.aum"]);
    let check = run(&project, &["check", "design.aum"]);
    let said = String::from_utf8_lossy(&check.stderr).into_owned();
    assert_eq!((code(&check), said.trim()), (0, "no errors"));
    assert_eq!(code(&run(&project, &["build", "design.aum", "--out", "shop"])), 0);
    let readme = fs::read_to_string(project.join("README.md")).expect("a page");
    assert!(readme.lines().count() <= 10);
    // Every command that its page names is one that there is.
    let help = String::from_utf8(run(&here, &["--help"]).stdout).expect("UTF-8");
    for line in readme.lines().filter(|l| l.contains("`aumbry ")) {
        let word = line.split("`aumbry ").nth(1).and_then(|rest| rest.split(' ').next()).expect("a command");
        assert!(help.lines().any(|l| l.trim_start().starts_with(word)), "{word} is not a command");
    }
}

#[test]
fn a_folder_with_something_in_it_is_left_alone() {
    let here = scratch("taken");
    fs::create_dir(here.join("shop")).expect("a folder");
    fs::write(here.join("shop/notes.txt"), "mine").expect("a file");
    fs::write(here.join("wall"), "a file").expect("a file");
    for (folder, why) in
        [("shop", "it holds `notes.txt`"), ("wall", "it is not a folder"), ("no/such", "not found")]
    {
        let made = run(&here, &["new", folder]);
        let said = String::from_utf8_lossy(&made.stderr).into_owned();
        assert_eq!(code(&made), 3, "{said}");
        assert!(said.contains(why), "{said}");
    }
    assert_eq!(code(&run(&here, &["new"])), 2);
    assert_eq!(names(&here), ["shop", "wall"]);
    assert_eq!(names(&here.join("shop")), ["notes.txt"]);
}

#[test]
fn a_new_repository_and_an_empty_folder_are_filled() {
    let here = scratch("empty");
    fs::create_dir_all(here.join("repository/.git")).expect("a folder");
    for folder in ["repository", "."] {
        if folder == "." {
            fs::remove_dir_all(here.join("repository")).expect("ours");
        }
        assert_eq!(code(&run(&here, &["new", folder])), 0, "{folder}");
        assert_eq!(code(&run(&here, &["check", &format!("{folder}/design.aum")])), 0, "{folder}");
    }
}

#[test]
fn completions_know_every_command() {
    let here = scratch("shells");
    let help = String::from_utf8(run(&here, &["--help"]).stdout).expect("UTF-8");
    let listed = help.split("Commands:").nth(1).and_then(|h| h.split("Options:").next()).expect("a list");
    let commands: Vec<&str> = listed.lines().filter_map(|l| l.split_whitespace().next()).collect();
    assert!(commands.len() >= 11, "{commands:?}");
    for shell in ["bash", "elvish", "fish", "powershell", "zsh"] {
        let text = String::from_utf8(run(&here, &["completions", shell]).stdout).expect("UTF-8");
        for command in &commands {
            assert!(text.contains(command), "{shell}: {command}");
        }
    }
    assert_eq!(code(&run(&here, &["completions", "abacus"])), 2);
}

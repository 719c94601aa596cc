//! `aumbry fmt` as a maker runs it: what is written, what is listed, what is said, and the exit status.

use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A folder of a test's own, removed at its end.
struct Scratch(PathBuf);

impl Scratch {
    fn new(name: &str) -> Scratch {
        let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("fmt-{name}"));
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

    fn read(&self, name: &str) -> String {
        fs::read_to_string(self.0.join(name)).expect("a text")
    }

    /// Runs `aumbry fmt`: exit status, standard output, standard error.
    fn fmt(&self, args: &[&str], input: &[u8]) -> (i32, String, String) {
        let mut child = Command::new(env!("CARGO_BIN_EXE_aumbry"))
            .arg("fmt")
            .args(args)
            .current_dir(&self.0)
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .expect("aumbry runs");
        let _ = child.stdin.take().expect("standard input").write_all(input);
        let Output { status, stdout, stderr } = child.wait_with_output().expect("it ends");
        let text = |bytes| String::from_utf8(bytes).expect("UTF-8");
        (status.code().expect("an exit status, not a signal"), text(stdout), text(stderr))
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        let _ = fs::remove_dir_all(&self.0);
    }
}

const UNTIDY: &str = "aumbry 1\nlet a=1\n";
const TIDY: &str = "aumbry 1\nlet a = 1\n";

#[test]
fn files_are_written_only_where_they_change() {
    let here = Scratch::new("written");
    here.write("a.aum", UNTIDY).write("b.aum", TIDY);
    let long_ago = std::time::SystemTime::UNIX_EPOCH + std::time::Duration::from_secs(1_000_000_000);
    let times = fs::FileTimes::new().set_modified(long_ago);
    fs::File::options().write(true).open(here.0.join("b.aum")).unwrap().set_times(times).unwrap();
    assert_eq!(here.fmt(&["--check", "a.aum", "b.aum"], b""), (1, "a.aum\n".into(), String::new()));
    assert_eq!(here.read("a.aum"), UNTIDY, "--check writes nothing");
    assert_eq!(
        here.fmt(&["a.aum", "b.aum", "a.aum"], b""),
        (0, String::new(), "1 of 2 files changed\n".into())
    );
    assert_eq!((here.read("a.aum"), here.read("b.aum")), (TIDY.into(), TIDY.into()));
    assert_eq!(fs::metadata(here.0.join("b.aum")).unwrap().modified().unwrap(), long_ago);
    assert_eq!(here.fmt(&["a.aum", "b.aum"], b""), (0, String::new(), String::new()));
    assert_eq!(here.fmt(&["--check", "a.aum", "b.aum"], b""), (0, String::new(), String::new()));
    let names: Vec<_> = fs::read_dir(&here.0).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names.len(), 2, "nothing temporary is left: {names:?}");
}

#[test]
fn a_folder_means_the_files_below_it() {
    let here = Scratch::new("folder");
    here.write("wall.aum", UNTIDY).write("own/types.aum", UNTIDY).write("own/notes.txt", "let a=1\n");
    here.write(".git/old.aum", UNTIDY);
    fs::create_dir(here.0.join("empty")).unwrap();
    assert_eq!(here.fmt(&["--check", "."], b"").1, "./own/types.aum\n./wall.aum\n");
    assert_eq!(here.fmt(&[".", "wall.aum"], b"").0, 0);
    assert_eq!((here.read("wall.aum"), here.read("own/types.aum")), (TIDY.into(), TIDY.into()));
    assert_eq!((here.read(".git/old.aum"), here.read("own/notes.txt")), (UNTIDY.into(), "let a=1\n".into()));
    let (code, _, said) = here.fmt(&["empty"], b"");
    assert_eq!(code, 3);
    assert!(said.contains("there is no `*.aum` file below `empty`"), "{said}");
}

#[test]
fn standard_input_goes_to_standard_output() {
    let here = Scratch::new("input");
    assert_eq!(here.fmt(&["-"], UNTIDY.as_bytes()), (0, TIDY.into(), String::new()));
    assert_eq!(here.fmt(&["-"], b""), (1, String::new(), here.fmt(&["-"], b"").2));
    assert_eq!(here.fmt(&["--check", "-"], UNTIDY.as_bytes()), (1, "-\n".into(), String::new()));
    assert_eq!(here.fmt(&["--check", "-"], TIDY.as_bytes()), (0, String::new(), String::new()));
    assert_eq!(here.fmt(&["-", "a.aum"], b"").0, 2);
    assert_eq!(here.fmt(&[], b"").0, 2);
    let (code, out, said) = here.fmt(&["-"], b"aumbry 1\nlet a = \xff\n");
    assert_eq!((code, out.as_str()), (3, ""));
    assert!(said.contains("standard input could not be read: it is not UTF-8 text (byte 17)"), "{said}");
}

#[test]
fn ends_of_lines_and_marks_at_the_start() {
    let here = Scratch::new("ends");
    here.write("a.aum", "\u{feff}aumbry 1\r\n\r\n\r\n\tlet a = 1 // one\t\r\n\r\n")
        .write("b.aum", "aumbry 1\nlet a = 1");
    assert_eq!(here.fmt(&["a.aum", "b.aum"], b"").0, 0);
    assert_eq!(here.read("a.aum"), "aumbry 1\n\nlet a = 1  // one\n");
    assert_eq!(here.read("b.aum"), TIDY);
}

#[test]
fn what_cannot_be_read_stays_and_is_said() {
    let here = Scratch::new("broken");
    here.write("a.aum", "aumbry 1\nlet a=1\nlet b   =   =  2\nlet c=3\n");
    let (code, out, said) = here.fmt(&["a.aum"], b"");
    assert_eq!((code, out.as_str()), (1, ""));
    assert!(said.contains("error: syntax") && said.contains("[a.aum:3:"), "{said}");
    assert_eq!(here.read("a.aum"), "aumbry 1\nlet a = 1\nlet b   =   =  2\nlet c = 3\n");
    // Again: nothing to write, and the fault is still there.
    assert_eq!(here.fmt(&["--check", "a.aum"], b"").0, 1);
    let (_, _, json) = here.fmt(&["a.aum", "--messages", "json"], b"");
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json["errors"], 1);
}

#[test]
fn a_merge_is_left_as_it_is() {
    let here = Scratch::new("merge");
    let text = "aumbry 1\nlet   a=1\n<<<<<<< HEAD\nlet b=2\n=======\nlet  b=3\n>>>>>>> other\nlet  c=4\n";
    here.write("a.aum", text);
    let (code, _, said) = here.fmt(&["a.aum"], b"");
    assert_eq!(code, 1);
    assert_eq!(said.matches("error: ").count(), 1, "{said}");
    assert!(said.contains("conflict-marker"), "{said}");
    let middle = "<<<<<<< HEAD\nlet b=2\n=======\nlet  b=3\n>>>>>>> other\n";
    assert_eq!(here.read("a.aum"), format!("aumbry 1\nlet a = 1\n{middle}let c = 4\n"));
}

#[test]
fn one_bad_file_keeps_no_other_from_it() {
    let here = Scratch::new("bad");
    here.write("a.aum", UNTIDY).write("b.aum", b"aumbry 1\n// \xff\n").write("c.aum", UNTIDY);
    let (code, _, said) = here.fmt(&["a.aum", "missing.aum", "b.aum", "c.aum"], b"");
    assert_eq!(code, 3);
    assert!(said.contains("`missing.aum` could not be read: there is no such file"), "{said}");
    assert!(said.contains("`b.aum` could not be read: it is not UTF-8 text"), "{said}");
    assert_eq!((here.read("a.aum"), here.read("c.aum")), (TIDY.into(), TIDY.into()));
    #[cfg(unix)]
    {
        use std::os::unix::fs::{PermissionsExt, symlink};
        here.write("d.aum", UNTIDY).write("e.aum", UNTIDY);
        fs::set_permissions(here.0.join("d.aum"), fs::Permissions::from_mode(0o444)).unwrap();
        let (code, _, said) = here.fmt(&["d.aum"], b"");
        assert_eq!(code, 3);
        assert!(said.contains("could not write `d.aum`: permission denied"), "{said}");
        assert_eq!(here.read("d.aum"), UNTIDY);
        // A link stays a link, and a program's rights stay its own.
        fs::set_permissions(here.0.join("e.aum"), fs::Permissions::from_mode(0o640)).unwrap();
        symlink("e.aum", here.0.join("link.aum")).unwrap();
        assert_eq!(here.fmt(&["link.aum"], b"").0, 0);
        assert_eq!(here.read("e.aum"), TIDY);
        assert!(fs::symlink_metadata(here.0.join("link.aum")).unwrap().is_symlink());
        assert_eq!(fs::metadata(here.0.join("e.aum")).unwrap().permissions().mode() & 0o777, 0o640);
    }
}

//! What no maker means to write: a message and exit 1 or 3, soon, within a gibibyte, never a fault of
//! the compiler's own.

use std::fs;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};
use std::time::{Duration, Instant};

fn scratch(name: &str) -> PathBuf {
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join(format!("bad-input-{name}"));
    let _ = fs::remove_dir_all(&path);
    fs::create_dir_all(&path).expect("a scratch folder");
    path
}

/// Runs `aumbry check` with at most 1 GiB of address space beside the stack it reserves (512 MiB).
fn check(folder: &Path, file: &str) -> Output {
    let run = |command: &mut Command| command.current_dir(folder).output().expect("aumbry runs");
    if cfg!(target_os = "linux") {
        let script = "ulimit -v 1572864; exec \"$0\" check \"$1\"";
        run(Command::new("sh").args(["-c", script, env!("CARGO_BIN_EXE_aumbry"), file]))
    } else {
        run(Command::new(env!("CARGO_BIN_EXE_aumbry")).args(["check", file]))
    }
}

/// Checks a text and expects one of these codes among its messages.
fn refused(name: &str, text: impl AsRef<[u8]>, status: i32, codes: &[&str]) {
    let folder = scratch(name);
    fs::write(folder.join("bad.aum"), text).expect("a file");
    let start = Instant::now();
    let output = check(&folder, "bad.aum");
    let took = start.elapsed();
    let said = String::from_utf8(output.stderr).expect("UTF-8");
    assert_eq!(output.status.code(), Some(status), "{name}: {said}");
    assert!(codes.iter().any(|c| said.contains(&format!("error: {c}\n"))), "{name}: {said}");
    assert!(!said.contains("panicked") && !said.contains("error: internal"), "{name}: {said}");
    // A second is promised of the released program; this one is not optimised and shares the machine.
    assert!(took < Duration::from_secs(10), "{name} took {took:?}");
    assert!(said.lines().count() < 1200, "{name}: {} lines", said.lines().count());
    let _ = fs::remove_dir_all(folder);
}

#[test]
fn empty_and_noise() {
    refused("empty", "", 1, &["empty-file"]);
    refused("blank", " \n\n", 1, &["empty-file", "missing-version"]);
    let mut state = 88_172_645_463_325_252_u64;
    let mut byte = || {
        // Xorshift (Marsaglia 2003), so that the noise is the same each time.
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        state as u8
    };
    let noise: Vec<u8> = (0..20_000).map(|_| byte()).collect();
    refused("noise", &noise, 3, &["not-read"]);
    let ascii: Vec<u8> = (0..20_000).map(|_| 32 + byte() % 95).collect();
    refused("noise-ascii", &ascii, 1, &["missing-version"]);
    refused("noise-after", [b"aumbry 1\n", &ascii[..]].concat(), 1, &["syntax", "bad-character"]);
}

#[test]
fn characters_that_do_not_belong() {
    refused("utf16", b"\xff\xfea\0u\0m\0", 3, &["not-read"]);
    refused("bidi", "aumbry 1\nlet a = 1mm // \u{202E}mm\n", 1, &["hidden-character"]);
    refused("null", "aumbry 1\nlet a\0 = 1mm\n", 1, &["bad-character", "hidden-character"]);
}

#[test]
fn depth() {
    let nested = |open: &str, middle: &str, close: &str| {
        format!("aumbry 1\nlet a = {}{middle}{}\n", open.repeat(10_000), close.repeat(10_000))
    };
    refused("round", nested("(", "1mm", ")"), 1, &["nesting-too-deep"]);
    refused("square", nested("[", "1mm", "]"), 1, &["nesting-too-deep"]);
    refused("open", nested("(", "", ""), 1, &["nesting-too-deep"]);
    refused("minus", nested("-", "1mm", ""), 1, &["nesting-too-deep"]);
    refused("sum", nested("1mm + ", "1mm", ""), 1, &["nesting-too-deep"]);
    refused("calls", nested("f(", "1mm", ")"), 1, &["nesting-too-deep"]);
    let blocks = format!(
        "aumbry 1\ndef box a(width: length) {{ envelope (width, 1mm, 1mm) {}{} }}\n",
        "if width > 1mm { ".repeat(10_000),
        "}".repeat(10_000)
    );
    refused("blocks", blocks, 1, &["nesting-too-deep"]);
}

const USES: &str = "aumbry 1\nuse std.boxes (open_box)\n";

fn one_box(width: &str) -> String {
    format!("{USES}let n = 0\nbox glaze = open_box(width: {width}, height: 1400mm, depth: 300mm)\n")
}

#[test]
fn figures() {
    refused("nought", one_box("800mm / n"), 1, &["division-by-zero"]);
    let large = "99999999999999999999";
    refused("overflow", one_box(&format!("{large}mm * {large} * {large}")), 1, &["number-too-large"]);
    refused("digits", one_box(&format!("{}mm", "9".repeat(5000))), 1, &["number-too-large"]);
    let billion = one_box("800mm").replace("box glaze", "box glaze[1000000000]");
    refused("billion", billion, 1, &["too-many"]);
}

#[test]
fn files_that_are_not_there() {
    refused("self", "aumbry 1\nuse \"bad.aum\" (a)\n", 1, &["imports-itself"]);
    refused("gone", "aumbry 1\nuse \"gone.aum\" (a)\n", 1, &["no-such-file"]);
    refused("above", "aumbry 1\nuse \"../../../etc/passwd\" (a)\n", 1, &["outside-root"]);
    refused("absolute", "aumbry 1\nuse \"/etc/passwd\" (a)\n", 1, &["outside-root"]);
    refused("large", vec![b'a'; 17 << 20], 3, &["not-read"]);
    let folder = scratch("folder");
    assert_eq!(check(&folder, ".").status.code(), Some(3));
    fs::create_dir(folder.join("shelf.aum")).expect("a folder");
    fs::write(folder.join("bad.aum"), "aumbry 1\nuse \"shelf.aum\" (a)\n").expect("a file");
    assert_eq!(check(&folder, "bad.aum").status.code(), Some(1));
    #[cfg(unix)]
    {
        std::os::unix::fs::symlink("/etc/passwd", folder.join("link.aum")).expect("a link");
        fs::write(folder.join("bad.aum"), "aumbry 1\nuse \"link.aum\" (a)\n").expect("a file");
        let said = String::from_utf8(check(&folder, "bad.aum").stderr).expect("UTF-8");
        assert!(said.contains("outside-root") && !said.contains("root:"), "{said}");
    }
}

#[test]
fn an_unclosed_brace_is_found_where_it_opens() {
    let line = |n: usize| format!("box b{n} = open_box(width: 800mm, height: 1400mm, depth: 300mm) {{ }}\n");
    let mut text = String::from(USES);
    for n in 0..500 {
        text.push_str(&line(n));
        if n == 250 {
            text.push_str("box open = open_box(width: 800mm, height: 1400mm, depth: 300mm) {\n");
        }
    }
    refused("unclosed", text, 1, &["unclosed-brace"]);
}

#[test]
fn thousands_of_errors_are_capped() {
    let text: String = (0..600).map(|n| format!("let a{n} = b{n}\nbox q{n} = z{n}()\n")).collect();
    refused("many", format!("aumbry 1\n{text}"), 1, &["unknown-name"]);
    refused("one-line", format!("aumbry 1\n{}", "x ".repeat(500_000)), 1, &["syntax"]);
}

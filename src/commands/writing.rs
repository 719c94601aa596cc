//! Writing to disk so that nothing half-made is ever left behind: everything goes to a temporary name
//! beside its place and is renamed.

use super::Failure;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

/// The file that says a folder was made by `build` and may be replaced.
pub const MARKER: &str = ".aumbry-build";
/// What stands in it.
pub const MARKER_TEXT: &str = "This folder was written by aumbry, which may replace it as a whole.\n";

/// A file to be written: its path within the folder, with forward slashes, and its text.
pub struct OutFile {
    pub path: String,
    pub text: String,
}

/// Takes a file to be written.
pub type Take<'t> = dyn FnMut(OutFile) -> Result<(), Failure> + 't;

/// Writes a folder as a whole; `make` hands over its files one by one. A folder that is already there is
/// replaced only where it holds the marker and nothing that `ours` does not know.
///
/// # Errors
/// `folder-not-ours` where the folder belongs to someone else, `not-written` where the disk refuses.
pub fn folder(
    out: &Path,
    ours: impl Fn(&str) -> bool,
    make: impl FnOnce(&mut Take<'_>) -> Result<(), Failure>,
) -> Result<(), Failure> {
    let name = out.file_name().ok_or_else(|| {
        Failure::new("folder-not-ours", format!("`{}` is no name for a new folder", out.display()))
            .help("name a folder that does not exist yet, `--out shop`")
    })?;
    let parent = match out.parent() {
        Some(p) if p.as_os_str().is_empty() => Path::new("."),
        Some(p) => p,
        None => Path::new("."),
    };
    // Without a separator at its end, so that a link is seen as a link.
    let out = &out.parent().unwrap_or(Path::new("")).join(name);
    let exists = match fs::symlink_metadata(out) {
        Ok(meta) => {
            check_ours(out, meta.is_dir(), &ours)?;
            true
        }
        Err(e) if e.kind() == io::ErrorKind::NotFound => false,
        Err(e) => return Err(refused("look at", out, &e)),
    };
    if !parent.is_dir() {
        return Err(Failure::new("not-written", format!("there is no folder `{}`", parent.display()))
            .help("make it first, or name another place with --out"));
    }
    let beside = |what: &str| -> PathBuf {
        let mut hidden = std::ffi::OsString::from(".");
        hidden.push(name);
        hidden.push(format!(".{what}-{}", std::process::id()));
        parent.join(hidden)
    };
    let (fresh, old) = (beside("new"), beside("old"));
    let made = fill(&fresh, make).and_then(|()| {
        if exists {
            fs::rename(out, &old).map_err(|e| refused("replace", out, &e))?;
        }
        fs::rename(&fresh, out).map_err(|e| {
            if exists {
                // Put back what was there; the first fault is the one to tell.
                let _ = fs::rename(&old, out);
            }
            refused("write", out, &e)
        })
    });
    if made.is_err() {
        let _ = fs::remove_dir_all(&fresh);
    } else if exists {
        let _ = fs::remove_dir_all(&old);
    }
    made
}

/// Replaces the text of a file that is known to hold `old`; its permissions stay. A link is followed, so that
/// it stays one.
///
/// # Errors
/// `not-written` where the file may not be written or no longer holds `old`.
pub fn replace(file: &Path, old: &str, new: &str) -> Result<(), Failure> {
    let fail = |e: io::Error| refused("write", file, &e);
    let whole = file.canonicalize().map_err(fail)?;
    let permissions = fs::metadata(&whole).map_err(fail)?.permissions();
    if permissions.readonly() {
        return Err(refused("write", file, &io::ErrorKind::PermissionDenied.into()));
    }
    if fs::read(&whole).map_err(fail)? != old.as_bytes() {
        let why = format!("`{}` has changed while it was read; nothing was written", file.display());
        return Err(Failure::new("not-written", why));
    }
    let mut hidden = std::ffi::OsString::from(".");
    hidden.push(whole.file_name().unwrap_or_default());
    hidden.push(format!(".new-{}", std::process::id()));
    let fresh = whole.with_file_name(hidden);
    let made = fs::write(&fresh, new)
        .and_then(|()| fs::set_permissions(&fresh, permissions))
        .and_then(|()| fs::rename(&fresh, &whole));
    if made.is_err() {
        let _ = fs::remove_file(&fresh);
    }
    made.map_err(fail)
}

fn fill(folder: &Path, make: impl FnOnce(&mut Take<'_>) -> Result<(), Failure>) -> Result<(), Failure> {
    let fail = |path: &Path| {
        let path = path.to_path_buf();
        move |e: io::Error| refused("write", &path, &e)
    };
    if folder.exists() {
        fs::remove_dir_all(folder).map_err(fail(folder))?;
    }
    fs::create_dir(folder).map_err(fail(folder))?;
    make(&mut |file: OutFile| {
        let path = folder.join(&file.path);
        if let Some(parent) = path.parent() {
            fs::create_dir_all(parent).map_err(fail(parent))?;
        }
        fs::write(&path, &file.text).map_err(fail(&path))
    })?;
    let marker = folder.join(MARKER);
    fs::write(&marker, MARKER_TEXT).map_err(fail(&marker))
}

fn check_ours(out: &Path, is_folder: bool, ours: &impl Fn(&str) -> bool) -> Result<(), Failure> {
    let refuse = |why: String| {
        Err(Failure::new("folder-not-ours", format!("`{}` is left as it is: {why}", out.display()))
            .help("name another folder with --out, or move this one away yourself"))
    };
    if !is_folder {
        return refuse("it is not a folder".to_string());
    }
    match fs::read_to_string(out.join(MARKER)) {
        Ok(text) if text == MARKER_TEXT => {}
        _ => return refuse("it was not written by aumbry".to_string()),
    }
    match foreign(out, "", ours) {
        Ok(None) => Ok(()),
        Ok(Some(path)) => refuse(format!("it holds `{path}`, which this command did not write")),
        Err(e) => Err(refused("read", out, &e)),
    }
}

/// The first file in a folder that `ours` does not know, in order of names.
fn foreign(folder: &Path, lead: &str, ours: &impl Fn(&str) -> bool) -> io::Result<Option<String>> {
    let mut entries: Vec<fs::DirEntry> = fs::read_dir(folder)?.collect::<io::Result<_>>()?;
    entries.sort_by_key(fs::DirEntry::file_name);
    for entry in entries {
        let path = format!("{lead}{}", entry.file_name().to_string_lossy());
        if entry.file_type()?.is_dir() {
            if let Some(found) = foreign(&entry.path(), &format!("{path}/"), ours)? {
                return Ok(Some(found));
            }
        } else if path != MARKER && !ours(&path) {
            return Ok(Some(path));
        }
    }
    Ok(None)
}

fn refused(what: &str, path: &Path, error: &io::Error) -> Failure {
    let why = match error.kind() {
        io::ErrorKind::PermissionDenied => "permission denied".to_string(),
        io::ErrorKind::NotFound => "there is no such place".to_string(),
        kind => kind.to_string(),
    };
    Failure::new("not-written", format!("could not {what} `{}`: {why}", path.display()))
}

/// A name for a sheet's file: letters, figures, stops, hyphens and underscores stay.
pub fn file_name(name: &str) -> String {
    let clean: String = name
        .chars()
        .map(|c| if c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' })
        .collect();
    let clean = clean.trim_matches(['.', '-']);
    if clean.is_empty() { "sheet".to_string() } else { clean.to_string() }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An empty folder of this test's own, removed at its end.
    struct Scratch(PathBuf);

    impl Scratch {
        fn new(name: &str) -> Scratch {
            let path = std::env::temp_dir().join(format!("aumbry-writing-{name}-{}", std::process::id()));
            let _ = fs::remove_dir_all(&path);
            fs::create_dir(&path).expect("a scratch folder");
            Scratch(path)
        }

        fn names(&self) -> Vec<String> {
            let entries = fs::read_dir(&self.0).expect("the scratch folder");
            let mut names: Vec<String> =
                entries.map(|e| e.expect("an entry").file_name().to_string_lossy().into_owned()).collect();
            names.sort();
            names
        }
    }

    impl Drop for Scratch {
        fn drop(&mut self) {
            let _ = fs::remove_dir_all(&self.0);
        }
    }

    fn files(text: &str) -> Vec<OutFile> {
        let file = |path: &str| OutFile { path: path.into(), text: text.into() };
        vec![file("job.json"), file("holes/GL.svg")]
    }

    fn folder(out: &Path, files: &[OutFile], ours: impl Fn(&str) -> bool) -> Result<(), Failure> {
        super::folder(out, ours, |take| {
            files.iter().try_for_each(|f| take(OutFile { path: f.path.clone(), text: f.text.clone() }))
        })
    }

    fn ours(path: &str) -> bool {
        path == "job.json" || path.ends_with(".svg")
    }

    #[test]
    fn a_folder_of_ours_is_replaced_whole() {
        let scratch = Scratch::new("replace");
        let out = scratch.0.join("shop");
        folder(&out, &files("one"), ours).expect("a new folder");
        fs::write(out.join("holes/OLD.svg"), "stale").expect("a stale sheet");
        folder(&scratch.0.join("shop/"), &files("two"), ours).expect("ours is replaced");
        assert_eq!(fs::read_to_string(out.join("job.json")).expect("job.json"), "two");
        assert!(!out.join("holes/OLD.svg").exists());
        assert_eq!(scratch.names(), ["shop"], "nothing temporary is left");
    }

    #[test]
    fn what_is_not_ours_is_left_alone() {
        let scratch = Scratch::new("refuse");
        let refused = |name: &str| {
            let failure = folder(&scratch.0.join(name), &files("x"), ours).expect_err("a refusal");
            assert_eq!(failure.code, "folder-not-ours", "{name}");
            failure.message
        };
        fs::create_dir(scratch.0.join("photos")).expect("a folder");
        assert!(refused("photos").contains("was not written by aumbry"));
        fs::write(scratch.0.join("photos").join(MARKER), "something else").expect("a marker");
        refused("photos");
        fs::write(scratch.0.join("plain"), "a file").expect("a file");
        assert!(refused("plain").contains("not a folder"));
        let shop = scratch.0.join("shop");
        folder(&shop, &files("one"), ours).expect("a new folder");
        fs::write(shop.join("notes.txt"), "call the glazier").expect("notes");
        assert!(refused("shop").contains("notes.txt"));
        assert_eq!(fs::read_to_string(shop.join("job.json")).expect("job.json"), "one");
        #[cfg(unix)]
        {
            fs::remove_file(shop.join("notes.txt")).expect("removed");
            std::os::unix::fs::symlink(&shop, scratch.0.join("link")).expect("a link");
            refused("link");
            refused("link/");
        }
        refused("..");
        refused("shop/..");
    }

    #[test]
    fn a_missing_parent_is_said() {
        let scratch = Scratch::new("parent");
        let failure = folder(&scratch.0.join("a/b"), &files("x"), ours).expect_err("no parent");
        assert_eq!(failure.code, "not-written");
        assert!(scratch.names().is_empty());
    }

    #[test]
    fn what_cannot_be_filled_leaves_nothing() {
        let scratch = Scratch::new("fail");
        let mut all = files("x");
        // A file where a folder is needed.
        all.push(OutFile { path: "job.json/inner".into(), text: String::new() });
        folder(&scratch.0.join("shop"), &all, ours).expect_err("cannot be written");
        assert!(scratch.names().is_empty());
    }

    #[test]
    fn names_of_sheets_are_safe() {
        assert_eq!(file_name("CRI-2 inner"), "CRI-2-inner");
        assert_eq!(file_name("../up"), "up");
        assert_eq!(file_name("é"), "sheet");
    }
}

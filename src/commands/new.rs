//! `aumbry new`: a small project that compiles.

use super::Failure;
use super::run::{FINE, to_stderr};
use std::fs;
use std::io;
use std::path::Path;

/// The files of a new project, by name.
const FILES: [(&str, &str); 4] = [
    ("design.aum", include_str!("starter/design.aum")),
    ("README.md", include_str!("starter/README.md")),
    (".gitattributes", include_str!("starter/gitattributes")),
    (".gitignore", include_str!("starter/gitignore")),
];

/// Writes a new project into a folder that does not exist yet, or that holds nothing but a repository.
///
/// # Errors
/// `folder-not-empty` where there is something in it, `not-written` where the disk refuses.
pub(super) fn run(folder: &Path) -> Result<u8, Failure> {
    let refuse = |e: &io::Error| {
        Failure::new("not-written", format!("could not write `{}`: {}", folder.display(), e.kind()))
    };
    match fs::read_dir(folder) {
        Ok(entries) => {
            for entry in entries {
                let name = entry.map_err(|e| refuse(&e))?.file_name();
                if name != ".git" {
                    let held = name.to_string_lossy().into_owned();
                    return Err(not_empty(
                        folder,
                        &format!("it holds `{}`", crate::diagnostics::visible(&held)),
                    ));
                }
            }
            into(folder).map_err(|e| refuse(&e))?;
        }
        Err(e) if e.kind() == io::ErrorKind::NotFound => fresh(folder).map_err(|e| refuse(&e))?,
        Err(e) if e.kind() == io::ErrorKind::NotADirectory => {
            return Err(not_empty(folder, "it is not a folder"));
        }
        Err(e) => return Err(refuse(&e)),
    }
    to_stderr(&format!(
        "made {}: start with `aumbry check {}`\n",
        folder.display(),
        folder.join("design.aum").display()
    ));
    Ok(FINE)
}

fn not_empty(folder: &Path, why: &str) -> Failure {
    Failure::new("folder-not-empty", format!("`{}` is left as it is: {why}", folder.display()))
        .help("name a folder that does not exist yet")
}

/// The whole folder under a temporary name beside its place, then renamed.
fn fresh(folder: &Path) -> io::Result<()> {
    let name = folder.file_name().ok_or(io::ErrorKind::InvalidInput)?;
    let mut hidden = std::ffi::OsString::from(".");
    hidden.push(name);
    hidden.push(format!(".new-{}", std::process::id()));
    let beside = folder.with_file_name(hidden);
    let made = fs::create_dir(&beside)
        .and_then(|()| FILES.iter().try_for_each(|(name, text)| fs::write(beside.join(name), text)))
        .and_then(|()| fs::rename(&beside, folder));
    if made.is_err() {
        // What is there is ours; the first fault is the one to tell.
        let _ = fs::remove_dir_all(&beside);
    }
    made
}

/// Into a folder that is there already: what was written is taken back where the rest cannot be.
fn into(folder: &Path) -> io::Result<()> {
    let mut written = Vec::new();
    for (name, text) in FILES {
        let path = folder.join(name);
        written.push(path.clone());
        if let Err(e) = fs::write(&path, text) {
            for path in written {
                let _ = fs::remove_file(path);
            }
            return Err(e);
        }
    }
    Ok(())
}

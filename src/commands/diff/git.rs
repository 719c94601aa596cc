//! Reading files of a git repository, by the `git` program.

use super::super::Failure;
use crate::sources::{Files, ReadFault};
use std::ffi::OsStr;
use std::io::Read;
use std::process::{Command, Output, Stdio};

/// The most that is read of one file, in bytes; as from a disk.
const MOST: u64 = crate::sources::LARGEST_FILE * 1024 * 1024;

/// Where files are read from: the tree of a revision, or what is staged.
#[derive(Clone, PartialEq, Eq, Debug)]
pub struct Tree(Option<String>);

impl Tree {
    /// What is staged for the next commit.
    pub const STAGED: Tree = Tree(None);

    /// The tree of a revision.
    ///
    /// # Errors
    /// `no-such-revision`, `no-repository`, `no-git`, or what git itself says.
    pub fn of(revision: &str) -> Result<Tree, Failure> {
        if revision.is_empty() {
            return git(&["rev-parse", "--git-dir"]).and_then(|o| said(o, "its index")).map(|_| Tree::STAGED);
        }
        // What starts like an option is none: git must not take it for one.
        if revision.starts_with('-') {
            return Err(no_revision(revision));
        }
        let output = git(&["rev-parse", "--verify", "--quiet", &format!("{revision}^{{tree}}")])?;
        if !output.status.success() && output.stderr.is_empty() {
            return Err(no_revision(revision));
        }
        said(output, revision).map(|text| Tree(Some(text.trim().to_string())))
    }

    /// The name git knows a path of this tree by.
    fn object(&self, path: &str) -> String {
        match &self.0 {
            Some(tree) => format!("{tree}:{path}"),
            None => format!(":0:{path}"),
        }
    }

    /// What a path of this tree is: `blob`, `tree`, or nothing.
    pub fn kind(&self, path: &str) -> Result<Option<Kind>, Failure> {
        if self.0.is_none() && !path.is_empty() {
            let is_file = git(&["cat-file", "-e", &self.object(path)])?.status.success();
            let holds = is_file || !self.list(path)?.is_empty();
            return Ok(holds.then_some(if is_file { Kind::File } else { Kind::Folder }));
        }
        if path.is_empty() {
            return Ok(Some(Kind::Folder));
        }
        let output = git(&["cat-file", "-t", &self.object(path)])?;
        Ok(match output.stdout.trim_ascii() {
            b"blob" => Some(Kind::File),
            b"tree" => Some(Kind::Folder),
            _ => None,
        })
    }

    /// The name of the contents of a file of this tree; nothing where there is no such file.
    pub fn blob(&self, path: &str) -> Result<Option<String>, Failure> {
        let output = git(&["rev-parse", "--verify", "--quiet", &self.object(path)])?;
        let name = String::from_utf8_lossy(&output.stdout).trim().to_string();
        Ok(output.status.success().then_some(name))
    }

    /// The files below a folder of this tree, by their paths from that folder, in order.
    pub fn list(&self, folder: &str) -> Result<Vec<String>, Failure> {
        let output = match &self.0 {
            Some(tree) => git(&["ls-tree", "-r", "-z", "--full-tree", &format!("{tree}:{folder}")])?,
            None if folder.is_empty() => git(&["ls-files", "--stage", "-z", "--full-name", "--", ":(top)"])?,
            None => {
                let below = format!(":(top,literal){folder}/");
                git(&["ls-files", "--stage", "-z", "--full-name", "--", &below])?
            }
        };
        let text = said(output, folder)?;
        let lead = if self.0.is_none() && !folder.is_empty() { format!("{folder}/") } else { String::new() };
        let mut files: Vec<String> = text
            .split('\0')
            .filter_map(|line| line.split_once('\t'))
            // Links and modules are no files of a design.
            .filter(|(head, _)| head.starts_with("100"))
            .filter_map(|(_, path)| path.strip_prefix(&lead))
            .map(str::to_string)
            .collect();
        files.sort();
        files.dedup();
        Ok(files)
    }
}

/// What a path names.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Kind {
    File,
    Folder,
}

fn no_revision(revision: &str) -> Failure {
    Failure::new("no-such-revision", format!("there is no revision `{revision}` in this repository"))
        .help("`git log --oneline` lists the revisions; `HEAD~1` is the one before the last")
}

/// A path as it is written behind `REV:`, from the top of the repository: git counts a path from there,
/// unless it starts with `./` or `../`, which count from the current folder.
///
/// # Errors
/// Where it leads out of the repository.
pub fn from_top(path: &str) -> Result<String, Failure> {
    let counted = path == "." || path == ".." || path.starts_with("./") || path.starts_with("../");
    let mut steps: Vec<String> = Vec::new();
    if counted {
        steps.extend(prefix()?.split('/').filter(|s| !s.is_empty()).map(str::to_string));
    }
    for step in path.split('/') {
        match step {
            "" | "." => {}
            ".." => {
                if steps.pop().is_none() {
                    return Err(Failure::new("not-read", format!("`{path}` lies outside the repository")));
                }
            }
            step => steps.push(step.to_string()),
        }
    }
    Ok(steps.join("/"))
}

/// The current folder from the top of the repository, with a slash at its end; empty at the top.
pub fn prefix() -> Result<String, Failure> {
    let text = said(git(&["rev-parse", "--show-prefix"])?, "this folder")?;
    Ok(text.trim_end_matches('\n').to_string())
}

/// The folder that the working tree starts at.
pub fn top() -> Result<String, Failure> {
    let text = said(git(&["rev-parse", "--show-toplevel"])?, "this folder")?;
    Ok(text.trim_end_matches('\n').to_string())
}

/// Runs git; never by way of a shell, and never asking anything.
pub fn git<S: AsRef<OsStr>>(args: &[S]) -> Result<Output, Failure> {
    command(args).output().map_err(|e| not_run(&e))
}

fn command<S: AsRef<OsStr>>(args: &[S]) -> Command {
    let mut command = Command::new("git");
    command
        .arg("--no-pager")
        .args(args)
        .stdin(Stdio::null())
        // Its words are looked at, and nothing is to be written or fetched for a look.
        .env("LC_ALL", "C")
        .env("GIT_OPTIONAL_LOCKS", "0")
        .env("GIT_TERMINAL_PROMPT", "0");
    command
}

fn not_run(error: &std::io::Error) -> Failure {
    match error.kind() {
        std::io::ErrorKind::NotFound => {
            Failure::new("no-git", "a revision is read by the program `git`, which is not found here")
                .help("install git, or save the older text as a file and name that")
        }
        kind => Failure::new("no-git", format!("the program `git` could not be run: {kind}")),
    }
}

/// The text that git gave, or why it gave none.
fn said(output: Output, what: &str) -> Result<String, Failure> {
    if output.status.success() {
        return String::from_utf8(output.stdout)
            .map_err(|_| Failure::new("not-read", format!("`{what}` holds names that are not UTF-8 text")));
    }
    let words = String::from_utf8_lossy(&output.stderr).trim().to_string();
    if words.contains("not a git repository") {
        return Err(Failure::new(
            "no-repository",
            "a revision is read from a git repository, and this folder stands in none",
        )
        .help("go to the folder of the design, or name two files"));
    }
    let first = words.lines().next().unwrap_or_default();
    Err(Failure::new(
        "git-refused",
        format!("git could not read `{what}`: {}", first.trim_start_matches("fatal: ")),
    ))
}

/// Files of one revision below a folder of it.
pub struct GitFiles {
    pub tree: Tree,
    /// From the top of the repository, without a slash at its end; empty for the top.
    pub folder: String,
}

impl GitFiles {
    fn full(&self, path: &str) -> String {
        if self.folder.is_empty() { path.to_string() } else { format!("{}/{path}", self.folder) }
    }
}

impl Files for GitFiles {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        let object = self.tree.object(&self.full(path));
        let failed = |f: Failure| ReadFault::Other(f.message);
        let mut child = command(&["cat-file", "blob", &object])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .map_err(|e| failed(not_run(&e)))?;
        let mut bytes = Vec::new();
        let read = match child.stdout.take() {
            Some(out) => out.take(MOST + 1).read_to_end(&mut bytes),
            None => Ok(0),
        };
        if bytes.len() as u64 > MOST {
            let _ = child.kill();
        }
        let status = child.wait();
        if bytes.len() as u64 > MOST {
            return Err(ReadFault::TooLarge(crate::sources::LARGEST_FILE));
        }
        if read.is_err() || !status.is_ok_and(|s| s.success()) {
            return Err(match self.tree.kind(&self.full(path)).map_err(failed)? {
                Some(Kind::Folder) => ReadFault::Folder,
                Some(Kind::File) => ReadFault::Other("git could not read it".to_string()),
                None => ReadFault::Missing,
            });
        }
        let text = String::from_utf8(bytes).map_err(|e| ReadFault::NotText(e.utf8_error().valid_up_to()))?;
        // A link is kept as the path it leads to.
        if text.ends_with(".aum") && !text.contains(['\n', ' ']) {
            return Err(ReadFault::Other(format!(
                "it is a link to `{text}` in that revision: name that file"
            )));
        }
        Ok(text)
    }
}

/// A revision and a path, where a word is written `REV:PATH`. The colon is the first one outside braces:
/// `HEAD^{/fix: a}:wall.aum`.
pub fn split(word: &str) -> Option<(&str, &str)> {
    let mut depth = 0usize;
    let at = word.char_indices().find_map(|(i, c)| match c {
        '{' => {
            depth += 1;
            None
        }
        '}' => {
            depth = depth.saturating_sub(1);
            None
        }
        ':' if depth == 0 => Some(i),
        _ => None,
    })?;
    Some((word.get(..at)?, word.get(at + 1..)?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_colon_of_a_revision() {
        assert_eq!(split("HEAD~1:a/wall.aum"), Some(("HEAD~1", "a/wall.aum")));
        assert_eq!(split("HEAD^{/fix: a}:w.aum"), Some(("HEAD^{/fix: a}", "w.aum")));
        assert_eq!(split(":wall.aum"), Some(("", "wall.aum")));
        assert_eq!(split("v1:"), Some(("v1", "")));
        assert_eq!(split("wall.aum"), None);
    }

    #[test]
    fn what_looks_like_an_option_is_no_revision() {
        assert_eq!(Tree::of("--output=x").expect_err("refused").code, "no-such-revision");
        assert_eq!(Tree::of("-h").expect_err("refused").code, "no-such-revision");
    }
}

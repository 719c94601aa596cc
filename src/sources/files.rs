//! Reading, behind one trait, so that the compiler itself does no input or output.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Why a file could not be read, in words for a message.
#[derive(Clone, PartialEq, Eq, Debug, thiserror::Error)]
pub enum ReadFault {
    #[error("there is no such file")]
    Missing,
    #[error("it is a folder, not a file")]
    Folder,
    #[error("it lies outside the folder of the file named on the command line")]
    OutsideRoot,
    #[error("it is larger than {0} MiB")]
    TooLarge(u64),
    #[error("it is not UTF-8 text (byte {0})")]
    NotText(usize),
    #[error("{0}")]
    Other(String),
}

/// Gives the text of files by a path relative to the root folder.
pub trait Files {
    /// The text of a file; `path` is relative to the root folder, with forward slashes.
    fn read(&self, path: &str) -> Result<String, ReadFault>;
}

/// The largest file that is read, in MiB.
pub const LARGEST_FILE: u64 = 16;

/// Files below a folder on disk; nothing outside that folder is read.
pub struct DiskFiles {
    root: PathBuf,
}

impl DiskFiles {
    /// Reads below `root`.
    pub fn new(root: &Path) -> DiskFiles {
        DiskFiles { root: root.to_path_buf() }
    }
}

impl Files for DiskFiles {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        let full = self.root.join(path);
        let meta = std::fs::metadata(&full).map_err(|e| match e.kind() {
            std::io::ErrorKind::NotFound => ReadFault::Missing,
            _ => ReadFault::Other(e.kind().to_string()),
        })?;
        if meta.is_dir() {
            return Err(ReadFault::Folder);
        }
        if meta.len() > LARGEST_FILE * 1024 * 1024 {
            return Err(ReadFault::TooLarge(LARGEST_FILE));
        }
        let inside = full
            .canonicalize()
            .and_then(|f| self.root.canonicalize().map(|r| f.starts_with(r)))
            .unwrap_or(false);
        if !inside {
            return Err(ReadFault::OutsideRoot);
        }
        let bytes = std::fs::read(&full).map_err(|e| ReadFault::Other(e.kind().to_string()))?;
        String::from_utf8(bytes).map_err(|e| ReadFault::NotText(e.utf8_error().valid_up_to()))
    }
}

/// Files held in memory, for tests and for editors.
#[derive(Default)]
pub struct MemoryFiles {
    files: BTreeMap<String, String>,
}

impl MemoryFiles {
    /// No files.
    pub fn new() -> MemoryFiles {
        MemoryFiles::default()
    }

    /// The same files and one more.
    pub fn with(mut self, path: &str, text: &str) -> MemoryFiles {
        self.files.insert(path.to_string(), text.to_string());
        self
    }
}

impl Files for MemoryFiles {
    fn read(&self, path: &str) -> Result<String, ReadFault> {
        self.files.get(path).cloned().ok_or(ReadFault::Missing)
    }
}

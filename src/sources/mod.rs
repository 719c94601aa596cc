//! Where text comes from: files, spans, lines. The only stage that knows how a file is read.

mod files;

pub use files::{DiskFiles, Files, LARGEST_FILE, MemoryFiles, ReadFault};

use std::sync::{Arc, OnceLock};

/// Index of a file in [`Sources`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct FileId(pub u32);

/// A half-open range of bytes in one file.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
pub struct Span {
    pub file: FileId,
    pub start: u32,
    pub end: u32,
}

impl Span {
    /// The span from byte `start` up to byte `end` of `file`.
    pub fn new(file: FileId, start: usize, end: usize) -> Span {
        Span { file, start: start as u32, end: end as u32 }
    }

    /// The smallest span that holds both; `other` must lie in the same file.
    pub fn to(self, other: Span) -> Span {
        Span { file: self.file, start: self.start.min(other.start), end: self.end.max(other.end) }
    }

    /// The empty span at the end of this one.
    pub fn after(self) -> Span {
        Span { start: self.end, ..self }
    }
}

/// One text with the name it is shown by (relative, with forward slashes, or `std.NAME`).
#[derive(Debug)]
pub struct SourceFile {
    pub name: String,
    pub text: Arc<str>,
    /// Part of the library in the binary, which no message asks a maker to edit.
    pub library: bool,
    lines: OnceLock<Vec<u32>>,
}

impl SourceFile {
    /// The byte at which each line starts.
    pub fn line_starts(&self) -> &[u32] {
        // Found when first asked for: a file without messages needs none.
        self.lines.get_or_init(|| {
            let ends = self.text.bytes().enumerate().filter(|(_, b)| *b == b'\n');
            std::iter::once(0).chain(ends.map(|(i, _)| i as u32 + 1)).collect()
        })
    }

    /// Line and column (characters) of a byte, both counted from 1.
    pub fn line_column(&self, byte: u32) -> (usize, usize) {
        let lines = self.line_starts();
        let line = lines.partition_point(|start| *start <= byte) - 1;
        let start = lines[line] as usize;
        let end = (byte as usize).min(self.text.len());
        let column = self.text.get(start..end).map_or(end - start, |before| before.chars().count());
        (line + 1, column + 1)
    }
}

/// All files read for one design, in the order they were met.
#[derive(Debug, Default)]
pub struct Sources {
    files: Vec<SourceFile>,
}

impl Sources {
    /// No files yet.
    pub fn new() -> Sources {
        Sources::default()
    }

    /// Keeps a text under its name and gives the id that its spans carry.
    pub fn add(&mut self, name: &str, text: &str, library: bool) -> FileId {
        let lines = OnceLock::new();
        self.files.push(SourceFile { name: name.to_string(), text: text.into(), library, lines });
        FileId(self.files.len() as u32 - 1)
    }

    /// The file with this id.
    pub fn file(&self, id: FileId) -> &SourceFile {
        &self.files[id.0 as usize]
    }

    /// All files with their ids.
    pub fn iter(&self) -> impl Iterator<Item = (FileId, &SourceFile)> {
        self.files.iter().enumerate().map(|(i, f)| (FileId(i as u32), f))
    }

    /// Shows every file that is not of the library with these words before its name: the folder or the
    /// revision it was read from.
    pub fn lead(&mut self, words: &str) {
        for file in self.files.iter_mut().filter(|f| !f.library) {
            file.name.insert_str(0, words);
        }
    }

    /// The text a span covers.
    pub fn text(&self, span: Span) -> &str {
        self.file(span.file).text.get(span.start as usize..span.end as usize).unwrap_or("")
    }

    /// `name:line:column` of the start of a span.
    pub fn place(&self, span: Span) -> String {
        let file = self.file(span.file);
        let (line, column) = file.line_column(span.start);
        format!("{}:{line}:{column}", file.name)
    }
}

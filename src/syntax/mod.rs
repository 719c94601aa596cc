//! From text to a tree and messages; reading never fails as a whole.

mod names;
pub mod tree;

pub use names::Name;

use crate::diagnostics::Diagnostic;
use crate::sources::{FileId, Sources};

/// Reads one file. What could not be read is `Broken` in the tree and has a message of its own.
pub fn parse(_sources: &Sources, _file: FileId) -> (tree::File, Vec<Diagnostic>) {
    todo!()
}

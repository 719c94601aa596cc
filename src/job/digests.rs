//! Digests of the files a job came from.

use super::SourceDigest;
use crate::sources::Sources;
use sha2::{Digest, Sha256};
use std::fmt::Write;

/// The SHA-256 of every file that was read, in the order they were met.
pub fn digests(sources: &Sources) -> Vec<SourceDigest> {
    let one = |text: &str| {
        let mut digest = String::with_capacity(64);
        for byte in Sha256::digest(text.as_bytes()) {
            let _ = write!(digest, "{byte:02x}");
        }
        digest
    };
    sources
        .iter()
        .map(|(_, file)| SourceDigest { name: file.name.clone(), digest: one(&file.text) })
        .collect()
}

//! Names kept once each, so that comparing two is comparing two addresses.

use std::collections::HashSet;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::sync::{LazyLock, RwLock};

/// A name; equal names are one text in memory. Its hash says nothing of order: sort by the text.
#[derive(Clone, Copy)]
pub struct Name(&'static str);

static TABLE: LazyLock<RwLock<HashSet<&'static str>>> = LazyLock::new(RwLock::default);

impl Name {
    /// The name with this text; texts are kept for the life of the process.
    pub fn new(text: &str) -> Name {
        if let Some(kept) = TABLE.read().unwrap_or_else(|e| e.into_inner()).get(text) {
            return Name(kept);
        }
        let mut table = TABLE.write().unwrap_or_else(|e| e.into_inner());
        if let Some(kept) = table.get(text) {
            return Name(kept);
        }
        let kept: &'static str = Box::leak(text.to_string().into_boxed_str());
        table.insert(kept);
        Name(kept)
    }

    /// Its text.
    pub fn as_str(self) -> &'static str {
        self.0
    }
}

impl PartialEq for Name {
    fn eq(&self, other: &Name) -> bool {
        std::ptr::eq(self.0, other.0)
    }
}

impl Eq for Name {}

impl Hash for Name {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.as_ptr().hash(state);
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.0)
    }
}

//! Names as small numbers. The number says nothing of order; sort by the text.

use std::collections::BTreeMap;
use std::fmt;
use std::sync::{LazyLock, RwLock};

/// An interned name; equal names are equal numbers.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
pub struct Name(u32);

#[derive(Default)]
struct Table {
    numbers: BTreeMap<&'static str, u32>,
    texts: Vec<&'static str>,
}

static TABLE: LazyLock<RwLock<Table>> = LazyLock::new(RwLock::default);

impl Name {
    /// The name with this text; texts are kept for the life of the process.
    pub fn new(text: &str) -> Name {
        if let Some(n) = TABLE.read().unwrap_or_else(|e| e.into_inner()).numbers.get(text) {
            return Name(*n);
        }
        let mut table = TABLE.write().unwrap_or_else(|e| e.into_inner());
        if let Some(n) = table.numbers.get(text) {
            return Name(*n);
        }
        let kept: &'static str = Box::leak(text.to_string().into_boxed_str());
        let number = table.texts.len() as u32;
        table.texts.push(kept);
        table.numbers.insert(kept, number);
        Name(number)
    }

    /// Its text.
    pub fn as_str(self) -> &'static str {
        TABLE.read().unwrap_or_else(|e| e.into_inner()).texts[self.0 as usize]
    }
}

impl fmt::Debug for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

impl fmt::Display for Name {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

//! Aumbry: a declarative language for cabinet carcasses, and its compiler.

pub mod checks;
pub mod diagnostics;
pub mod geometry;
pub mod job;
pub mod sources;
pub mod syntax;
pub mod values;

//! Aumbry: a declarative language for cabinet carcasses, and its compiler.

pub mod checks;
pub mod commands;
pub mod diagnostics;
pub mod evaluation;
pub mod geometry;
pub mod job;
pub mod outputs;
pub mod sources;
pub mod syntax;
pub mod values;

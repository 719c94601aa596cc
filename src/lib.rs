//! Aumbry: a declarative language for cabinet carcasses, and its compiler.

#![cfg_attr(
    not(test),
    deny(
        // Bad input gets a message, never a panic.
        clippy::unwrap_used,
        clippy::expect_used,
        clippy::panic,
        clippy::unreachable,
        // The same text gives the same bytes.
        clippy::iter_over_hash_type,
        clippy::disallowed_methods,
        clippy::float_cmp,
        clippy::lossy_float_literal,
    )
)]

pub mod checks;
pub mod commands;
pub mod diagnostics;
pub mod evaluation;
pub mod geometry;
pub mod job;
pub mod outputs;
pub mod planning;
pub mod revisions;
pub mod sources;
pub mod syntax;
pub mod values;

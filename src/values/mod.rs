//! Exact quantities: rational numbers with a dimension, their units, and how they are printed.

mod dimension;
mod number;
mod print;
mod rational;

pub use dimension::{Dimension, Quantity, UNITS, Unit};
pub use number::{Figure, Mm};
pub use print::{Style, decimal, fraction_inches};
pub use rational::{Overflow, Rational};

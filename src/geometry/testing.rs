//! Shorthand for the tests of this folder.

use super::{Cuboid, Interval};
use crate::values::Rational;
use proptest::prelude::*;

pub fn mm(n: i64) -> Rational {
    Rational::int(n)
}

pub fn interval(lo: i64, hi: i64) -> Interval {
    Interval::new(mm(lo), mm(hi))
}

pub fn cuboid(low: [i64; 3], high: [i64; 3]) -> Cuboid {
    Cuboid { x: interval(low[0], high[0]), y: interval(low[1], high[1]), z: interval(low[2], high[2]) }
}

/// Whole ends from 0 to 40, size 1 to 12: small enough that they meet often.
pub fn intervals() -> impl Strategy<Value = Interval> {
    (0i64..40, 1i64..12).prop_map(|(lo, size)| interval(lo, lo + size))
}

pub fn cuboids() -> impl Strategy<Value = Cuboid> {
    let side = || (0i64..8, 1i64..8).prop_map(|(lo, size)| interval(lo, lo + size));
    (side(), side(), side()).prop_map(|(x, y, z)| Cuboid { x, y, z })
}

//! The frame of a box: when it is closed, and how long its diagonals are.

use super::Act;
use crate::checks::order::extent;
use crate::geometry::Axis;
use crate::job::Part;
use crate::values::{Mm, Rational};
use std::collections::BTreeSet;

/// More parts than this in one box are not searched for a frame.
const MOST_PARTS: usize = 200;

/// The planes a box may be square in, each told once.
pub struct Rings {
    /// The extent of all parts that something is driven into, on each axis.
    whole: Option<crate::geometry::Cuboid>,
    told: BTreeSet<(usize, usize)>,
}

impl Rings {
    /// Of a body whose parts `held` are joined by more than grooves and pins.
    pub fn new<'a>(held: impl IntoIterator<Item = &'a Part>) -> Rings {
        Rings { whole: extent(held.into_iter().map(|p| &p.place)), told: BTreeSet::new() }
    }

    /// The diagonals to measure, if the parts placed so far, joined in these pairs, close a frame as large
    /// as the whole body.
    pub fn closed(
        &mut self,
        placed: &[(usize, &Part)],
        pairs: &BTreeSet<(usize, usize)>,
        step: Rational,
    ) -> Option<Act> {
        if placed.len() > MOST_PARTS {
            return None;
        }
        let whole = self.whole?;
        const PLANES: [[Axis; 2]; 3] = [[Axis::X, Axis::Y], [Axis::X, Axis::Z], [Axis::Y, Axis::Z]];
        for [u, v] in PLANES {
            if self.told.contains(&(u as usize, v as usize)) {
                continue;
            }
            let thin = |axis: Axis| placed.iter().filter(move |(_, p)| p.axes[2] == axis).collect::<Vec<_>>();
            let (across, along) = (thin(u), thin(v));
            let joined = |a: usize, b: usize| pairs.contains(&(a.min(b), a.max(b)));
            let mut ring: BTreeSet<usize> = BTreeSet::new();
            for (n, (i, _)) in across.iter().enumerate() {
                for (j, _) in across.iter().skip(n + 1) {
                    let both: Vec<usize> =
                        along.iter().map(|(k, _)| *k).filter(|k| joined(*i, *k) && joined(*j, *k)).collect();
                    if both.len() >= 2 {
                        ring.extend([*i, *j]);
                        ring.extend(both);
                    }
                }
            }
            let parts = placed.iter().filter(|(i, _)| ring.contains(i)).map(|(_, p)| &p.place);
            let Some(own) = extent(parts) else { continue };
            if own.on(u) == whole.on(u) && own.on(v) == whole.on(v) {
                let (Ok(width), Ok(height)) = (own.on(u).size(), own.on(v).size()) else { continue };
                let Some(diagonal) = diagonal(width, height, step) else { continue };
                self.told.insert((u as usize, v as usize));
                return Some(Act::Square {
                    plane: [u, v],
                    sizes: [Mm(width), Mm(height)],
                    diagonal: Mm(diagonal),
                });
            }
        }
        None
    }
}

/// The diagonal of a rectangle to the nearest step, without a float: its square is exact, and the root of
/// the square over a quarter step squared, taken down to a whole number, is rounded once.
pub fn diagonal(width: Rational, height: Rational, step: Rational) -> Option<Rational> {
    let square = width.mul(width).ok()?.add(height.mul(height).ok()?).ok()?;
    let steps = square.div(step.mul(step).ok()?)?.ok()?;
    let four = steps.mul(Rational::int(4)).ok()?;
    let root = u128::try_from(four.numerator() / four.denominator()).ok()?.isqrt();
    let nearest = i64::try_from(root.div_ceil(2)).ok()?;
    step.mul(Rational::int(nearest)).ok()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn diagonals_known_by_heart() {
        let d = |w, h| diagonal(Rational::int(w), Rational::int(h), Rational::ratio(1, 10));
        assert_eq!(d(300, 400), Some(Rational::int(500)));
        // 600 and 720: 937.2299…
        assert_eq!(d(600, 720), Some(Rational::ratio(9372, 10)));
        // 1 and 1: 1.41421…
        assert_eq!(diagonal(Rational::ONE, Rational::ONE, Rational::ONE), Some(Rational::ONE));
    }

    proptest! {
        #[test]
        fn the_nearest_step_is_given(w in 1i64..4000, h in 1i64..4000) {
            let step = Rational::ratio(1, 10);
            let d = diagonal(Rational::int(w), Rational::int(h), step).unwrap();
            let square = Rational::int(w * w + h * h);
            let half = Rational::ratio(1, 20);
            let (low, high) = (d.sub(half).unwrap(), d.add(half).unwrap());
            prop_assert!(low.mul(low).unwrap() <= square && square <= high.mul(high).unwrap());
        }
    }
}

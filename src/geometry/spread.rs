//! Points along a length: screws, pins, fixings.

use super::Interval;
use crate::values::{Overflow, Rational};

/// The most points one spread gives.
pub const MOST_POINTS: u32 = 10_000;

/// How many points.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Spread {
    /// As many as keep neighbours at most this far apart, in mm; at least two.
    Pitch(Rational),
    /// This many; a single one stands in the middle.
    Count(u32),
}

/// Distance of the outer points from the ends: `inset`, at most a quarter of the length.
fn ends(length: Interval, inset: Rational) -> Result<(Rational, Rational), Overflow> {
    let size = length.size()?;
    let inset = inset.min(size.mul(Rational::ratio(1, 4))?).max(Rational::ZERO);
    Ok((length.lo.add(inset)?, size.sub(inset.add(inset)?)?))
}

/// How many points [`spread`] gives before any are moved: max(2, ⌈(L − 2i) ÷ pitch⌉ + 1) with
/// i = min(inset, L ÷ 4). `None` where that is more than [`MOST_POINTS`] or the pitch is not above nought.
pub fn points(length: Interval, inset: Rational, how: Spread) -> Result<Option<u32>, Overflow> {
    let count = match how {
        Spread::Count(count) => count,
        Spread::Pitch(pitch) => {
            if !pitch.is_positive() {
                return Ok(None);
            }
            let (_, reach) = ends(length, inset)?;
            let Some(steps) = reach.div(pitch) else { return Ok(None) };
            match steps?.ceil().to_i64().and_then(|n| u32::try_from(n.max(1)).ok()) {
                Some(steps) => steps.saturating_add(1),
                None => return Ok(None),
            }
        }
    };
    Ok((count <= MOST_POINTS).then_some(count))
}

/// Points along a length in rising order, evenly spaced, the outer ones `inset` from the ends (at
/// most a quarter of the length). A point strictly inside an interval of `clear_of` moves to the
/// nearest place on the length that is in none, ties low, and stays where all is taken; points that
/// then coincide are one.
///
/// Errors: [`Overflow`], also where [`points`] gives no count; ask that first for a message.
pub fn spread(
    length: Interval,
    inset: Rational,
    how: Spread,
    clear_of: &[Interval],
) -> Result<Vec<Rational>, Overflow> {
    let count = points(length, inset, how)?.ok_or(Overflow)?;
    if count == 1 {
        return Ok(vec![clear(length, length.mid()?, clear_of)?]);
    }
    let (first, reach) = ends(length, inset)?;
    let steps = Rational::int(i64::from(count.saturating_sub(1)));
    let mut all = Vec::new();
    for k in 0..count {
        let part = Rational::int(i64::from(k)).div(steps).ok_or(Overflow)??;
        all.push(clear(length, first.add(reach.mul(part)?)?, clear_of)?);
    }
    all.sort();
    all.dedup();
    Ok(all)
}

fn clear(length: Interval, point: Rational, taken: &[Interval]) -> Result<Rational, Overflow> {
    let free = |p: Rational| !taken.iter().any(|t| t.lo < p && p < t.hi);
    if free(point) {
        return Ok(point);
    }
    let mut best: Option<(Rational, Rational)> = None;
    for end in taken.iter().flat_map(|t| [t.lo, t.hi]) {
        if length.lo <= end && end <= length.hi && free(end) {
            let found = (end.sub(point)?.abs()?, end);
            if best.is_none_or(|b| found < b) {
                best = Some(found);
            }
        }
    }
    Ok(best.map_or(point, |(_, end)| end))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{interval, intervals, mm};
    use super::*;
    use proptest::prelude::*;

    fn by_pitch(length: i64, inset: i64, pitch: i64) -> Vec<Rational> {
        spread(interval(0, length), mm(inset), Spread::Pitch(mm(pitch)), &[]).unwrap()
    }

    #[test]
    fn the_rule_in_figures() {
        assert_eq!(by_pitch(560, 50, 250), [50, 280, 510].map(mm));
        assert_eq!(by_pitch(600, 50, 250), [50, 300, 550].map(mm));
        assert_eq!(by_pitch(601, 50, 250).len(), 4);
        assert_eq!(by_pitch(100, 50, 250), [25, 75].map(mm));
        let one = spread(interval(10, 20), mm(50), Spread::Count(1), &[]).unwrap();
        assert_eq!(one, [mm(15)]);
    }

    #[test]
    fn a_point_moves_to_the_nearer_free_end_ties_low() {
        let at =
            |clear_of: &[Interval]| spread(interval(0, 100), mm(0), Spread::Count(1), clear_of).unwrap()[0];
        assert_eq!(at(&[interval(40, 60)]), mm(40));
        assert_eq!(at(&[interval(30, 60)]), mm(60));
        assert_eq!(at(&[interval(50, 60)]), mm(50));
        assert_eq!(at(&[interval(30, 60), interval(55, 75)]), mm(30));
        assert_eq!(at(&[interval(-10, 60), interval(55, 75)]), mm(75));
        assert_eq!(at(&[interval(-10, 110)]), mm(50));
    }

    #[test]
    fn too_many_points_are_no_count() {
        let tiny = Spread::Pitch(Rational::ratio(1, 1000));
        assert_eq!(points(interval(0, 100), mm(0), tiny).unwrap(), None);
        assert_eq!(points(interval(0, 100), mm(0), Spread::Pitch(mm(0))).unwrap(), None);
        assert!(spread(interval(0, 100), mm(0), tiny, &[]).is_err());
    }

    proptest! {
        #[test]
        fn neighbours_are_even_and_at_most_a_pitch_apart(
            l in 1i64..3000, inset in 0i64..200, pitch in 1i64..500,
        ) {
            let all = by_pitch(l, inset, pitch);
            let i = mm(inset).min(Rational::ratio(i128::from(l), 4));
            prop_assert!(all.len() >= 2);
            prop_assert_eq!(all[0], i);
            prop_assert_eq!(all[all.len() - 1], mm(l).sub(i).unwrap());
            let gap = all[1].sub(all[0]).unwrap();
            prop_assert!(gap <= mm(pitch));
            for pair in all.windows(2) {
                prop_assert_eq!(pair[1].sub(pair[0]).unwrap(), gap);
            }
            // One point fewer would stand too far apart.
            if all.len() > 2 {
                let wider = all[all.len() - 1].sub(all[0]).unwrap();
                prop_assert!(wider > mm(pitch).mul(Rational::int(all.len() as i64 - 2)).unwrap());
            }
        }

        #[test]
        fn a_moved_point_is_free_and_no_other_free_place_is_nearer(
            taken in prop::collection::vec(intervals(), 0..5), p in 0i64..40,
        ) {
            let length = interval(0, 40);
            let got = clear(length, mm(p), &taken).unwrap();
            let free = |p: Rational| !taken.iter().any(|t| t.lo < p && p < t.hi);
            // All ends are whole, so the nearest free place is a whole number too.
            let best = (0..=40i64).filter(|x| free(mm(*x))).min_by_key(|x| ((x - p).abs(), *x));
            prop_assert_eq!(got, mm(best.unwrap_or(p)));
        }
    }
}

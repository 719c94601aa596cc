//! A range divided into portions, and what is left of ranges.

use super::Interval;
use crate::values::{Overflow, Rational};

/// One portion of a range.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Portion {
    /// A length in mm.
    Fixed(Rational),
    /// So many equal shares of what is left.
    Share(Rational),
}

/// Why a range cannot be divided so.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum SplitFault {
    /// Nothing or less is left for a share, or fixed portions alone are too long. `unit` is one share
    /// (where there are no shares, what is left in all), `fixed_total` the fixed portions and gaps.
    Overfull { unit: Rational, fixed_total: Rational, extent: Rational },
    /// Fixed portions leave this much unused.
    LeftOver { left: Rational },
}

/// Divides `extent` exactly, with `gap` between neighbours, the first portion at the low end or, with
/// `from_high`, at the high end. A share is (extent − fixed − gaps) ÷ weights. The ranges are in the
/// order of the portions.
pub fn split(
    extent: Interval,
    portions: &[Portion],
    gap: Rational,
    from_high: bool,
) -> Result<Result<Vec<Interval>, SplitFault>, Overflow> {
    let gaps = i64::try_from(portions.len()).map_err(|_| Overflow)?.saturating_sub(1).max(0);
    let mut fixed_total = gap.mul(Rational::int(gaps))?;
    let mut weights = Rational::ZERO;
    for portion in portions {
        match portion {
            Portion::Fixed(length) => fixed_total = fixed_total.add(*length)?,
            Portion::Share(weight) => weights = weights.add(*weight)?,
        }
    }
    let size = extent.size()?;
    let left = size.sub(fixed_total)?;
    let shared = portions.iter().any(|p| matches!(p, Portion::Share(_)));
    let unit = left.div(weights).unwrap_or(Ok(left))?;
    if left.is_negative() || (shared && !(left.is_positive() && weights.is_positive())) {
        return Ok(Err(SplitFault::Overfull { unit, fixed_total, extent: size }));
    }
    if !shared && left.is_positive() {
        return Ok(Err(SplitFault::LeftOver { left }));
    }
    let mut ranges = Vec::with_capacity(portions.len());
    let mut at = Rational::ZERO;
    for portion in portions {
        let length = match portion {
            Portion::Fixed(length) => *length,
            Portion::Share(weight) => weight.mul(unit)?,
        };
        let end = at.add(length)?;
        ranges.push(if from_high {
            Interval::new(extent.hi.sub(end)?, extent.hi.sub(at)?)
        } else {
            Interval::new(extent.lo.add(at)?, extent.lo.add(end)?)
        });
        at = end.add(gap)?;
    }
    Ok(Ok(ranges))
}

/// What is left of a range without others, in rising order.
pub fn without(range: Interval, taken: &[Interval]) -> Vec<Interval> {
    let mut taken: Vec<Interval> = taken.iter().filter_map(|t| t.common(range)).collect();
    taken.sort_by_key(|t| (t.lo, t.hi));
    let mut left = Vec::new();
    let mut at = range.lo;
    for t in taken {
        if at < t.lo {
            left.push(Interval::new(at, t.lo));
        }
        at = at.max(t.hi);
    }
    if at < range.hi {
        left.push(Interval::new(at, range.hi));
    }
    left
}

/// What all ranges share, where that has a length above nought; `None` of no ranges.
pub fn common(ranges: &[Interval]) -> Option<Interval> {
    let (first, rest) = ranges.split_first()?;
    rest.iter().try_fold(*first, |all, r| all.common(*r)).filter(|r| r.lo < r.hi)
}

#[cfg(test)]
mod tests {
    use super::super::testing::{interval, intervals, mm};
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn shares_take_what_fixed_portions_and_gaps_leave() {
        let portions = [Portion::Fixed(mm(140)), Portion::Share(mm(1)), Portion::Share(mm(2))];
        let got = split(interval(0, 500), &portions, mm(3), false).unwrap().unwrap();
        assert_eq!(got[0], interval(0, 140));
        assert_eq!(got[1], Interval::new(mm(143), mm(143).add(Rational::ratio(354, 3)).unwrap()));
        assert_eq!(got[2].hi, mm(500));
        let high = split(interval(0, 500), &portions, mm(3), true).unwrap().unwrap();
        assert_eq!(high[0], interval(360, 500));
        assert_eq!(high[2].lo, mm(0));
    }

    #[test]
    fn faults_carry_their_figures() {
        let full = split(interval(0, 300), &[Portion::Fixed(mm(320)), Portion::Share(mm(2))], mm(4), false);
        assert_eq!(
            full.unwrap(),
            Err(SplitFault::Overfull { unit: mm(-12), fixed_total: mm(324), extent: mm(300) })
        );
        let left = split(interval(0, 300), &[Portion::Fixed(mm(100)), Portion::Fixed(mm(150))], mm(0), false);
        assert_eq!(left.unwrap(), Err(SplitFault::LeftOver { left: mm(50) }));
        let over = split(interval(0, 300), &[Portion::Fixed(mm(310))], mm(0), false);
        assert_eq!(
            over.unwrap(),
            Err(SplitFault::Overfull { unit: mm(-10), fixed_total: mm(310), extent: mm(300) })
        );
        let nothing =
            split(interval(0, 300), &[Portion::Fixed(mm(300)), Portion::Share(mm(1))], mm(0), false);
        assert_eq!(
            nothing.unwrap(),
            Err(SplitFault::Overfull { unit: mm(0), fixed_total: mm(300), extent: mm(300) })
        );
    }

    proptest! {
        #[test]
        fn portions_and_gaps_fill_the_range_exactly(
            lo in -100i64..100, size in 1i64..2000, gap in 0i64..5, from_high: bool,
            parts in prop::collection::vec((any::<bool>(), 1i64..200), 1..8),
        ) {
            let portions: Vec<Portion> = parts
                .iter()
                .map(|(share, n)| if *share { Portion::Share(mm(*n)) } else { Portion::Fixed(mm(*n)) })
                .collect();
            let extent = interval(lo, lo + size);
            if let Ok(mut got) = split(extent, &portions, mm(gap), from_high).unwrap() {
                if from_high {
                    got.reverse();
                }
                prop_assert_eq!(got[0].lo, extent.lo);
                prop_assert_eq!(got[got.len() - 1].hi, extent.hi);
                for pair in got.windows(2) {
                    prop_assert_eq!(pair[1].lo.sub(pair[0].hi).unwrap(), mm(gap));
                }
                prop_assert!(got.iter().all(|i| i.lo < i.hi));
            }
        }

        #[test]
        fn without_leaves_what_lies_in_none(
            range in intervals(), taken in prop::collection::vec(intervals(), 0..5),
        ) {
            let left = without(range, &taken);
            // All ends are whole: look at the middle of each unit.
            for x in -1..60i64 {
                let unit = interval(x, x + 1);
                let outside = range.holds(unit) && !taken.iter().any(|t| t.holds(unit));
                prop_assert_eq!(left.iter().any(|l| l.holds(unit)), outside);
            }
            prop_assert!(left.windows(2).all(|w| w[0].hi < w[1].lo));
        }
    }
}

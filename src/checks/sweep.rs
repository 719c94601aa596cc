//! Pairs of boxes that share a volume, without looking at every pair.

use crate::geometry::{Axis, Cuboid, Interval};

/// Calls `meet` with the indices, the lower first, of each two boxes that share a volume, until it says
/// false.
pub fn sweep(boxes: &[Cuboid], mut meet: impl FnMut(usize, usize) -> bool) {
    let axis = axis_to_sweep(boxes);
    let mut order: Vec<usize> = (0..boxes.len()).collect();
    let on = |i: usize| boxes.get(i).map(|b| b.on(axis));
    order.sort_by_key(|i| (on(*i).map(|r| r.lo), *i));
    let mut open: Vec<usize> = Vec::new();
    for next in order {
        let Some(new) = boxes.get(next) else { continue };
        let at = new.on(axis).lo;
        open.retain(|i| on(*i).is_some_and(|r| r.hi > at));
        for other in &open {
            if boxes.get(*other).is_some_and(|b| b.common(new).is_some())
                && !meet(next.min(*other), next.max(*other))
            {
                return;
            }
        }
        open.push(next);
    }
}

/// The axis on which the boxes crowd least: their lengths together, over the length they fill. Whole
/// millimetres do, since this only decides how fast the answer comes.
fn axis_to_sweep(boxes: &[Cuboid]) -> Axis {
    let whole = |i: Interval| i.hi.floor().numerator().saturating_sub(i.lo.floor().numerator()).max(1);
    let crowd = |axis: Axis| {
        let lo = boxes.iter().map(|b| b.on(axis).lo).min()?;
        let hi = boxes.iter().map(|b| b.on(axis).hi).max()?;
        let sum = boxes.iter().fold(0i128, |sum, b| sum.saturating_add(whole(b.on(axis))));
        Some(sum.saturating_mul(1000) / whole(Interval::new(lo, hi)))
    };
    Axis::ALL.into_iter().min_by_key(|axis| crowd(*axis)).unwrap_or(Axis::X)
}

#[cfg(test)]
mod tests {
    use super::super::testing::cuboids;
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn it_finds_the_pairs_that_looking_at_all_finds(boxes in prop::collection::vec(cuboids(), 0..30)) {
            let mut found = Vec::new();
            sweep(&boxes, |a, b| {
                found.push((a, b));
                true
            });
            found.sort();
            let mut all = Vec::new();
            for a in 0..boxes.len() {
                for b in a + 1..boxes.len() {
                    if boxes[a].common(&boxes[b]).is_some() {
                        all.push((a, b));
                    }
                }
            }
            prop_assert_eq!(found, all);
        }
    }
}

//! The least change of one figure that mends a fault, from how the fault's shortfall moves with it.

use super::figure::Figure;
use crate::values::Rational;
use std::collections::BTreeMap;

/// What came of another figure.
#[derive(Clone, PartialEq, Eq, Debug)]
pub enum Came {
    /// The design compiles, but for what was wrong besides.
    Does,
    /// The fault is still there and misses by these amounts; empty where they are not known.
    Misses(Vec<Rational>),
    /// Another fault stands in its place.
    Otherwise,
}

/// How far the gallop goes, in doublings of a step.
const DOUBLINGS: u32 = 12;
/// The same for how many there are of a thing: thousands of boxes take long.
const DOUBLINGS_OF_COUNTS: u32 = 7;
/// How far it looks past a root at which another fault stands, in doublings of a step.
const BEYOND: u32 = 8;
/// How often a root is worked out afresh.
const ROUNDS: usize = 6;
/// How many roots are tried.
const MOST_ROOTS: usize = 3;

/// Tries other values of one figure; each is tried once.
pub struct Seek<'a> {
    figure: &'a Figure,
    misses: &'a [Rational],
    tried: BTreeMap<Rational, Came>,
    /// Past how many roots may still be looked.
    past: usize,
    probe: &'a mut dyn FnMut(Rational) -> Came,
}

impl<'a> Seek<'a> {
    /// `misses` is by how much the fault misses as it stands; `probe` compiles with another value.
    pub fn new(
        figure: &'a Figure,
        misses: &'a [Rational],
        probe: &'a mut dyn FnMut(Rational) -> Came,
    ) -> Seek<'a> {
        Seek { figure, misses, tried: BTreeMap::new(), past: 0, probe }
    }

    fn value(&mut self, value: Rational) -> Came {
        if let Some(came) = self.tried.get(&value) {
            return came.clone();
        }
        let came = (self.probe)(value);
        self.tried.insert(value, came.clone());
        came
    }

    fn come(&mut self, n: i64) -> Came {
        match self.figure.at(n) {
            Some(value) => self.value(value),
            None => Came::Otherwise,
        }
    }

    /// The least change by the exact figures: one step each way shows how the shortfall moves, the root of
    /// that is rounded away from the written figure to a whole step (or taken as it is, where only an exact
    /// figure does), and the steps before it are shown not to do.
    pub fn by_root(&mut self) -> Option<Rational> {
        let near = [1, -1].into_iter().find(|n| self.come(*n) == Came::Does);
        if let Some(n) = near {
            return self.figure.at(n);
        }
        let mut best: Option<(Rational, Rational)> = None;
        for (far, n, root) in self.roots() {
            if best.is_some_and(|(least, _)| least <= far) {
                break;
            }
            if let Some(value) = self.close_in(n, root)
                && let Some(distance) = self.figure.distance(value)
                && best.is_none_or(|(least, _)| distance < least)
            {
                best = Some((distance, value));
            }
        }
        best.map(|(_, value)| value)
    }

    /// The same, and past the first root at which another fault stands.
    pub fn past_root(&mut self) -> Option<Rational> {
        self.past = 1;
        self.by_root()
    }

    /// Where each shortfall would come to nought, nearest first, with the direction as a step.
    fn roots(&mut self) -> Vec<(Rational, i64, Rational)> {
        let mut roots = Vec::new();
        for n in [1, -1] {
            let Came::Misses(after) = self.come(n) else { continue };
            let Some(to) = self.figure.at(n) else { continue };
            for root in falls(self.figure.value, self.misses, to, &after) {
                let Some(far) = self.figure.distance(root) else { continue };
                if !root.is_negative() && !roots.iter().any(|(_, _, r)| *r == root) {
                    roots.push((far, n, root));
                }
            }
        }
        roots.sort();
        roots.truncate(MOST_ROOTS);
        roots
    }

    fn close_in(&mut self, way: i64, mut root: Rational) -> Option<Rational> {
        let mut bad = way;
        let mut n = self.figure.steps_to(root)?;
        for _ in 0..ROUNDS {
            let value = self.figure.at(n)?;
            match self.come(n) {
                Came::Does => return self.back(bad, n),
                // Only an exact figure may do.
                came => {
                    let between = value != root && self.figure.write(root).is_some();
                    if between && self.value(root) == Came::Does {
                        return Some(root);
                    }
                    match self.further(way, bad, n, &came) {
                        Some(next) => root = next,
                        None => return self.beyond(way, n),
                    }
                }
            }
            bad = n;
            // Where what is left over is nought, one step more: the limit itself may not do.
            n = match self.figure.steps_to(root)? {
                next if next * way > n * way => next,
                _ => n + way,
            };
        }
        None
    }

    /// Past the root, where another fault stands at it.
    fn beyond(&mut self, way: i64, mut bad: i64) -> Option<Rational> {
        self.past = self.past.checked_sub(1)?;
        for i in 0..BEYOND {
            let n = bad + way * (1 << i);
            self.figure.at(n)?;
            if self.come(n) == Came::Does {
                return self.back(bad, n);
            }
            bad = n;
        }
        None
    }

    /// The root as the last two tries show it.
    fn further(&self, way: i64, bad: i64, n: i64, came: &Came) -> Option<Rational> {
        let Came::Misses(after) = came else { return None };
        let (from, to) = (self.figure.at(bad)?, self.figure.at(n)?);
        let before = match self.tried.get(&from) {
            Some(Came::Misses(before)) if from != to => before.as_slice(),
            _ => self.misses,
        };
        let from = if from == to { self.figure.value } else { from };
        let roots = falls(from, before, to, after);
        // Those that this step reaches already say no more.
        let beyond = roots.into_iter().filter(|r| (*r > to) == (way > 0) && *r != to);
        Some(if way > 0 { beyond.min() } else { beyond.max() }.unwrap_or(to))
    }

    /// The least that does between a value that does not and one that does.
    fn back(&mut self, mut bad: i64, mut good: i64) -> Option<Rational> {
        let way = (good - bad).signum();
        if (good - bad).abs() > 1 && self.come(good - way) != Came::Does {
            return self.figure.at(good);
        }
        while (good - bad).abs() > 1 {
            let mid = bad + (good - bad) / 2;
            if self.come(mid) == Came::Does {
                good = mid;
            } else {
                bad = mid;
            }
        }
        self.figure.at(good)
    }

    /// Without any figures to go by: in doublings of a step both ways, then back to the least that does.
    pub fn by_gallop(&mut self) -> Option<Rational> {
        let found: Vec<Rational> = [1, -1].into_iter().filter_map(|way| self.gallop(way)).collect();
        found.into_iter().min_by_key(|v| self.figure.distance(*v))
    }

    fn gallop(&mut self, way: i64) -> Option<Rational> {
        // Downwards nought is the end.
        let most = match way {
            1 => i64::MAX,
            _ => self.figure.steps_to(Rational::ZERO)?.checked_neg()?,
        };
        let mut bad = 0;
        let doublings = if self.figure.is_count() { DOUBLINGS_OF_COUNTS } else { DOUBLINGS };
        for i in 0..=doublings {
            let n = (1i64 << i).min(most);
            if n <= bad {
                return None;
            }
            if self.come(n * way) == Came::Does {
                return self.back(bad * way, n * way);
            }
            bad = n;
        }
        None
    }
}

/// Where shortfalls that fall between two values, or change their sign, come to nought.
fn falls(from: Rational, before: &[Rational], to: Rational, after: &[Rational]) -> Vec<Rational> {
    if before.len() != after.len() {
        return Vec::new();
    }
    let root = |(before, after): (&Rational, &Rational)| {
        let portion = before.div(before.sub(*after).ok()?)?.ok().filter(|p| p.is_positive())?;
        from.add(to.sub(from).ok()?.mul(portion).ok()?).ok()
    };
    before.iter().zip(after).filter_map(root).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn figure(text: &str) -> Figure {
        Figure::read(text, Rational::ONE).unwrap()
    }

    /// Gives what is found and how often it was tried.
    fn seek(text: &str, miss: impl Fn(Rational) -> Option<Rational>) -> (Option<String>, usize) {
        let figure = figure(text);
        let mut tries = 0;
        let mut probe = |value: Rational| {
            tries += 1;
            match miss(value) {
                Some(by) => Came::Misses(vec![by]),
                None => Came::Does,
            }
        };
        let start: Vec<Rational> = miss(figure.value).into_iter().collect();
        let found = Seek::new(&figure, &start, &mut probe).by_root();
        (found.and_then(|v| figure.write(v)), tries)
    }

    /// By how much `a` passes `b`, where it does.
    fn over(a: Rational, b: Rational) -> Option<Rational> {
        a.sub(b).ok().filter(|m| m.is_positive())
    }

    #[test]
    fn a_straight_shortfall_takes_four_tries() {
        // Three boxes of this width in 1,999 mm.
        let three = |v: Rational| over(v.mul(Rational::int(3)).unwrap(), Rational::int(1999));
        assert_eq!(seek("900mm", three), (Some("666mm".to_string()), 4));
        assert_eq!(seek("16in", |v| over(Rational::int(600), v)).0.as_deref(), Some("23 5/8in"));
    }

    #[test]
    fn bends_are_followed() {
        let bent = |v: Rational| {
            let near = over(v, Rational::int(700)).map(|m| m.div(Rational::int(2)).unwrap().unwrap());
            let far = over(v, Rational::int(500))?;
            Some(near.map_or(far, |n| n.add(Rational::int(200)).unwrap()))
        };
        assert_eq!(seek("900mm", bent).0.as_deref(), Some("500mm"));
    }

    #[test]
    fn an_exact_figure_is_found_between_steps() {
        let exact = |v: Rational| {
            let miss = v.sub(Rational::ratio(163, 10)).unwrap();
            (!miss.is_zero()).then_some(miss)
        };
        assert_eq!(seek("20mm", exact).0.as_deref(), Some("16.3mm"));
        assert_eq!(seek("17mm", exact).0.as_deref(), Some("16.3mm"));
    }

    #[test]
    fn the_limit_itself_may_not_do() {
        let strict = |v: Rational| (v >= Rational::int(500)).then(|| v.sub(Rational::int(500)).unwrap());
        assert_eq!(seek("900mm", strict).0.as_deref(), Some("499mm"));
    }

    #[test]
    fn what_does_not_move_it_is_left_after_two_tries() {
        assert_eq!(seek("900mm", |_| Some(Rational::ONE)), (None, 2));
    }

    #[test]
    fn without_figures_it_gallops() {
        let figure = figure("300mm");
        let mut probe =
            |value: Rational| if value >= Rational::int(338) { Came::Does } else { Came::Otherwise };
        let found = Seek::new(&figure, &[], &mut probe).by_gallop();
        assert_eq!(found, Some(Rational::int(338)));
    }
}

//! What moves with a thing: all that hangs on nothing else.

use super::super::Checks;
use crate::job::Job;
use std::collections::BTreeSet;

/// A group of more parts than this is no front, pull or inset: it stays.
const MOST_ALONG: usize = 64;

/// The links of a job, by part.
pub struct Links(Vec<Vec<usize>>);

impl Links {
    pub fn new(job: &Job) -> Links {
        let mut links = vec![Vec::new(); job.parts.len()];
        for link in &job.links {
            for (a, b) in [(link.a, link.b), (link.b, link.a)] {
                if let Some(of) = links.get_mut(a)
                    && a != b
                {
                    of.push(b);
                }
            }
        }
        Links(links)
    }

    fn of(&self, part: usize) -> &[usize] {
        self.0.get(part).map_or(&[], Vec::as_slice)
    }

    /// True for a part that nothing holds.
    pub fn is_alone(&self, part: usize) -> bool {
        self.of(part).is_empty()
    }
}

/// A thing and what its fittings work on.
pub struct Along<'a> {
    pub links: &'a Links,
    pub checks: &'a Checks<'a>,
    pub own: &'a [usize],
    pub anchors: Option<&'a BTreeSet<usize>>,
}

impl Along<'_> {
    /// The thing is taken away; of the groups of parts that were linked to it, those move with it that
    /// hold no part of its own fittings. Without fittings the largest group stays, and what stands in
    /// another outermost box.
    pub fn all(&self) -> BTreeSet<usize> {
        let mut all: BTreeSet<usize> = self.own.iter().copied().collect();
        let own = all.clone();
        let anchors: BTreeSet<usize> =
            self.anchors.map(|a| a.difference(&own).copied().collect()).unwrap_or_default();
        let (mut seen, mut large) = (BTreeSet::new(), BTreeSet::new());
        let mut small = Vec::new();
        let mut one_stays = !anchors.is_empty();
        for part in self.own {
            for next in self.links.of(*part) {
                if own.contains(next) || seen.contains(next) {
                    continue;
                }
                match self.group(*next, &own, &mut seen, &mut large) {
                    Some(group) if group.iter().any(|p| anchors.contains(p)) => {}
                    Some(group) => small.push(group),
                    None => one_stays = true,
                }
            }
        }
        if !one_stays {
            let home = self.home(self.own.first());
            let before = small.len();
            small.retain(|group| group.iter().all(|p| self.home(Some(p)) == home));
            one_stays = small.len() < before;
        }
        if !one_stays {
            let largest = small.iter().enumerate().max_by_key(|(i, g)| (g.len(), std::cmp::Reverse(*i)));
            if let Some(i) = largest.map(|(i, _)| i) {
                small.remove(i);
            }
        }
        all.extend(small.into_iter().flatten());
        all
    }

    /// All that hangs together with a part when the thing is gone; `None` where that is too much.
    fn group(
        &self,
        from: usize,
        own: &BTreeSet<usize>,
        seen: &mut BTreeSet<usize>,
        large: &mut BTreeSet<usize>,
    ) -> Option<Vec<usize>> {
        let mut group = vec![from];
        seen.insert(from);
        let mut next = 0;
        while let Some(part) = group.get(next).copied() {
            for other in self.links.of(part) {
                if large.contains(other) {
                    large.extend(group);
                    return None;
                }
                if !own.contains(other) && seen.insert(*other) {
                    group.push(*other);
                }
            }
            next += 1;
            if group.len() > MOST_ALONG {
                large.extend(group);
                return None;
            }
        }
        Some(group)
    }

    /// The outermost box of a part.
    fn home(&self, part: Option<&usize>) -> Option<&str> {
        let part = self.checks.job.parts.get(*part?)?;
        let mut at = part.box_path.as_str();
        while let Some(up) = self.checks.boxes.get(at).and_then(|b| b.within.as_deref()) {
            at = up;
        }
        Some(at)
    }
}

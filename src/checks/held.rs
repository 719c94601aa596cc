//! Parts and boxes that nothing holds.

use super::Checks;
use super::report::{Faults, listed, named};
use crate::diagnostics::{Diagnostic, Severity};
use crate::geometry::{Contact, contact};
use crate::job::{BoxEntry, Part};
use crate::values::{Overflow, Rational};
use std::collections::BTreeMap;

/// More bodies than this in one box are told in one message.
const TOLD_APART: usize = 12;

/// `not-held` for each body of a box that no link joins to its main body. A nested box is one thing in
/// the box it stands in; one without parts of its own hands on what stands in it. The pieces of a nested box,
/// two doors or three drawers, may be joined through what is around it.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let tree = Tree::of(checks);
    for (at, of) in checks.job.boxes.iter().enumerate() {
        // A box that only groups others is judged with the box it stands in.
        let grouped = of.within.is_some() && tree.parts(at).is_empty();
        if !grouped && !checks.is_unsure(&of.path) {
            in_box(checks, &tree, at, of, faults)?;
        }
    }
    Ok(())
}

/// Boxes with what stands in them.
struct Tree {
    /// The box a box stands in.
    within: Vec<Option<usize>>,
    inside: Vec<Vec<usize>>,
    /// Parts of each box that something must hold.
    parts: Vec<Vec<usize>>,
    /// The box of each part, loose or not.
    box_of: Vec<Option<usize>>,
    /// Links by the innermost box that holds both ends.
    links: Vec<Vec<(usize, usize)>>,
    /// For each part, the body it belongs to when all links of the design count.
    whole: Vec<usize>,
}

impl Tree {
    fn of(checks: &Checks) -> Tree {
        let job = checks.job;
        let count = job.boxes.len();
        let index: BTreeMap<&str, usize> =
            job.boxes.iter().enumerate().map(|(i, b)| (b.path.as_str(), i)).collect();
        let within: Vec<Option<usize>> =
            job.boxes.iter().map(|b| b.within.as_deref().and_then(|w| index.get(w)).copied()).collect();
        let box_of: Vec<Option<usize>> =
            job.parts.iter().map(|p| index.get(p.box_path.as_str()).copied()).collect();
        let mut tree = Tree {
            within,
            inside: vec![Vec::new(); count],
            parts: vec![Vec::new(); count],
            box_of,
            links: vec![Vec::new(); count],
            whole: Vec::new(),
        };
        for (i, within) in tree.within.iter().enumerate() {
            if let Some(inside) = within.and_then(|w| tree.inside.get_mut(w)) {
                inside.push(i);
            }
        }
        for (i, part) in job.parts.iter().enumerate() {
            let of = tree.box_of.get(i).copied().flatten();
            if let Some(parts) = of.and_then(|b| tree.parts.get_mut(b))
                && !part.loose
            {
                parts.push(i);
            }
        }
        // Parts that overlap have been told of; what the maker does about it will hold them.
        let links = job.links.iter().map(|l| (l.a, l.b)).chain(checks.clashes.iter().copied());
        let mut whole = Bodies::of(job.parts.len());
        let held = |i: usize| job.parts.get(i).is_some_and(|p| !p.loose);
        for (a, b) in links {
            if held(a) && held(b) {
                whole.join(a, b);
            }
            let common = tree.around(a).into_iter().find(|of| tree.around(b).contains(of));
            if let Some(links) = common.and_then(|b| tree.links.get_mut(b)) {
                links.push((a, b));
            }
        }
        tree.whole = (0..job.parts.len()).map(|i| whole.top(i)).collect();
        tree
    }

    /// The body in the whole design of a part, or of the first part of a box or of what stands in it.
    fn body(&self, thing: Thing) -> Option<usize> {
        let part = match thing {
            Thing::Part(p) => Some(p),
            Thing::Box(b) => self.parts(b).first().copied(),
        };
        part.and_then(|p| self.whole.get(p)).copied()
    }

    /// The boxes a part stands in, innermost first.
    fn around(&self, part: usize) -> Vec<usize> {
        let mut all = Vec::new();
        let mut at = self.box_of.get(part).copied().flatten();
        while let Some(b) = at {
            // A box never stands in itself; the count keeps a broken table from running on.
            if all.len() > self.within.len() {
                break;
            }
            all.push(b);
            at = self.within.get(b).copied().flatten();
        }
        all
    }

    fn parts(&self, of: usize) -> &[usize] {
        self.parts.get(of).map_or(&[], Vec::as_slice)
    }

    /// Boxes in `of` that count as one thing there, and the grouping boxes looked through.
    fn things(&self, of: usize) -> (Vec<usize>, Vec<usize>) {
        let (mut things, mut groups) = (Vec::new(), vec![of]);
        let mut next = 0;
        while let Some(group) = groups.get(next).copied() {
            for b in self.inside.get(group).into_iter().flatten() {
                if self.parts(*b).is_empty() { groups.push(*b) } else { things.push(*b) }
            }
            next += 1;
        }
        (things, groups)
    }
}

/// Something that must be held in a box.
#[derive(Clone, Copy)]
enum Thing {
    Part(usize),
    Box(usize),
}

fn in_box(
    checks: &Checks,
    tree: &Tree,
    at: usize,
    of: &BoxEntry,
    faults: &mut Faults,
) -> Result<(), Overflow> {
    let (boxes, groups) = tree.things(at);
    let mut things: Vec<Thing> = tree.parts(at).iter().map(|p| Thing::Part(*p)).collect();
    things.extend(boxes.iter().map(|b| Thing::Box(*b)));
    if things.len() < 2 {
        return Ok(());
    }
    // Where each part or box is found among the things.
    let mut place: BTreeMap<(bool, usize), usize> = BTreeMap::new();
    for (i, thing) in things.iter().enumerate() {
        match thing {
            Thing::Part(p) => place.insert((false, *p), i),
            Thing::Box(b) => place.insert((true, *b), i),
        };
    }
    let find = |part: usize| {
        let in_boxes = || tree.around(part).into_iter().find_map(|b| place.get(&(true, b)).copied());
        place.get(&(false, part)).copied().or_else(in_boxes)
    };
    let mut bodies = Bodies::of(things.len());
    for (a, b) in groups.iter().filter_map(|g| tree.links.get(*g)).flatten() {
        if let (Some(a), Some(b)) = (find(*a), find(*b)) {
            bodies.join(a, b);
        }
    }
    // Cleats along a wall are held by what is around them, as the doors of a box are.
    if of.within.is_some() || (of.root != of.path && of.row.is_none()) {
        let mut first: BTreeMap<usize, usize> = BTreeMap::new();
        for (i, thing) in things.iter().enumerate() {
            if let Some(body) = tree.body(*thing) {
                bodies.join(i, *first.entry(body).or_insert(i));
            }
        }
    }
    let mut all = bodies.all();
    // The main body is the largest; of equal ones the first.
    all.sort_by_key(|body| (std::cmp::Reverse(body.len()), body.first().copied()));
    let Some((main, rest)) = all.split_first() else { return Ok(()) };
    let named_things =
        |body: &[usize]| -> Vec<Thing> { body.iter().filter_map(|i| things.get(*i)).copied().collect() };
    if rest.len() > TOLD_APART || (main.len() == 1 && rest.len() > 1) {
        let bodies: Vec<Thing> = all.iter().filter_map(|b| things.get(*b.first()?)).copied().collect();
        faults.add(nothing_joins(checks, of, all.len(), &bodies));
        return Ok(());
    }
    for body in rest {
        let others: Vec<usize> = (0..things.len()).filter(|i| !body.contains(i)).collect();
        if let Some(fault) = not_held(checks, of, &named_things(body), &named_things(&others))? {
            faults.add(fault);
        }
    }
    Ok(())
}

fn nothing_joins(checks: &Checks, of: &BoxEntry, count: usize, bodies: &[Thing]) -> Diagnostic {
    let names: Vec<String> = bodies.iter().map(|t| t.name(checks, of)).collect();
    let message = format!("`{}` is {count} bodies that nothing joins: {}.", of.path, listed(&names));
    let mut fault = checks.fault("not-held", Severity::Error, message, of.origin, "this box");
    for (thing, name) in bodies.iter().zip(&names).take(TOLD_APART) {
        let span = thing.origin(checks).map(|o| checks.trace.span(o));
        if let Some(span) = span
            && fault.labels.iter().all(|l| l.span != span)
        {
            fault = fault.label(span, format!("{name} is placed here"));
        }
    }
    fault = fault
        .help("Add joints between the parts that touch, or write `loose` where a part is not to be held.");
    fault.boxes = vec![of.path.clone()];
    fault
}

fn not_held(
    checks: &Checks,
    of: &BoxEntry,
    body: &[Thing],
    others: &[Thing],
) -> Result<Option<Diagnostic>, Overflow> {
    let names: Vec<String> = body.iter().map(|t| t.name(checks, of)).collect();
    let Some(origin) = body.first().and_then(|t| t.origin(checks)) else { return Ok(None) };
    let holds = if names.len() == 1 { "is" } else { "are" };
    let message = format!(
        "Nothing holds {}: no joint links {} to the rest of `{}`.",
        listed(&names),
        if holds == "is" { "it" } else { "them" },
        of.path
    );
    let label = format!("{} {holds} placed here", listed(&names));
    let mut fault = checks.fault("not-held", Severity::Error, message, origin, &label);
    let (inside, outside) = (parts_of(checks, body), parts_of(checks, others));
    fault = fault.help(match nearest(&inside, &outside)? {
        Some(Near::Touching(a, b, [u, v])) => format!(
            "Add a joint between {} and {}, which touch over {}, or write `loose` if it is not to be held.",
            named(a, b),
            named(b, a),
            checks.sizes(&[u, v])
        ),
        Some(Near::Apart(a, b, gap)) => format!(
            "It touches nothing there: {} is nearest to {}, {} away. Close that gap and add a joint between them, \
             or write `loose` if it is not to be held.",
            named(a, b),
            named(b, a),
            checks.length(gap)
        ),
        None => "Add a joint to a part that it touches, or write `loose` if it is not to be held.".to_string(),
    });
    fault.boxes = vec![of.path.clone()];
    Ok(Some(fault))
}

impl Thing {
    fn name(self, checks: &Checks, of: &BoxEntry) -> String {
        let path = match self {
            Thing::Part(p) => checks.job.parts.get(p).map(|p| p.path.as_str()),
            Thing::Box(b) => checks.job.boxes.get(b).map(|b| b.path.as_str()),
        };
        let path = path.unwrap_or_default();
        let short = path.strip_prefix(of.path.as_str()).and_then(|p| p.strip_prefix('.')).unwrap_or(path);
        format!("`{short}`")
    }

    fn origin(self, checks: &Checks) -> Option<crate::job::Origin> {
        match self {
            Thing::Part(p) => checks.job.parts.get(p).map(|p| p.origin),
            Thing::Box(b) => checks.job.boxes.get(b).map(|b| b.origin),
        }
    }
}

fn parts_of<'a>(checks: &Checks<'a>, things: &[Thing]) -> Vec<&'a Part> {
    let mut all = Vec::new();
    for thing in things {
        match thing {
            Thing::Part(p) => all.extend(checks.job.parts.get(*p)),
            Thing::Box(b) => {
                let Some(of) = checks.job.boxes.get(*b) else { continue };
                let within = |p: &&Part| {
                    p.box_path
                        .strip_prefix(of.path.as_str())
                        .is_some_and(|r| r.is_empty() || r.starts_with('.'))
                };
                all.extend(checks.job.parts.iter().filter(within));
            }
        }
    }
    all.retain(|p| !p.loose);
    all
}

/// The nearest part that a joint could reach.
enum Near<'a> {
    /// Sizes of the seam.
    Touching(&'a Part, &'a Part, [Rational; 2]),
    Apart(&'a Part, &'a Part, Rational),
}

/// The pair that touches over the widest area; if none touches, the pair with the least gap.
fn nearest<'a>(body: &[&'a Part], others: &[&'a Part]) -> Result<Option<Near<'a>>, Overflow> {
    let (mut most, mut touching) = ((false, Rational::ZERO), None);
    let mut apart: Option<(Rational, &Part, &Part)> = None;
    // Better a part that is as thick as the one to be held than the thin back beside it. A few parts of a
    // large body are enough for a hint.
    for a in body.iter().take(100) {
        for b in others {
            match contact(&a.place, &b.place)? {
                Contact::Seam(seam) => {
                    let (u, v) = (seam.u.1.size()?, seam.v.1.size()?);
                    let area = (b.thickness >= a.thickness, u.mul(v)?);
                    if area > most {
                        most = area;
                        touching = Some(Near::Touching(a, b, [u.min(v), u.max(v)]));
                    }
                }
                Contact::Apart { gap, .. } if apart.as_ref().is_none_or(|(least, ..)| gap < *least) => {
                    apart = Some((gap, *a, *b));
                }
                _ => {}
            }
        }
    }
    Ok(touching.or(apart.map(|(gap, a, b)| Near::Apart(a, b, gap))))
}

/// Disjoint sets.
struct Bodies {
    up: Vec<usize>,
}

impl Bodies {
    fn of(count: usize) -> Bodies {
        Bodies { up: (0..count).collect() }
    }

    fn top(&mut self, mut i: usize) -> usize {
        while let Some(up) = self.up.get(i).copied()
            && up != i
        {
            let above = self.up.get(up).copied().unwrap_or(up);
            if let Some(slot) = self.up.get_mut(i) {
                *slot = above;
            }
            i = above;
        }
        i
    }

    fn join(&mut self, a: usize, b: usize) {
        let (a, b) = (self.top(a), self.top(b));
        if let Some(slot) = self.up.get_mut(a.max(b)) {
            *slot = a.min(b);
        }
    }

    fn all(&mut self) -> Vec<Vec<usize>> {
        let mut sets: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for i in 0..self.up.len() {
            sets.entry(self.top(i)).or_default().push(i);
        }
        sets.into_values().collect()
    }
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, cuboid, only};
    use super::*;
    use proptest::prelude::*;

    fn case() -> Bench {
        let mut b = Bench::new("b");
        b.part("left", [0, 0, 0], [18, 900, 300]).part("right", [482, 0, 0], [500, 900, 300]);
        b.part("bottom", [18, 0, 0], [482, 18, 300]);
        b.link("bottom", "left").link("right", "bottom");
        b
    }

    #[test]
    fn one_body_is_held() {
        assert!(case().codes().is_empty());
    }

    #[test]
    fn a_part_no_joint_names_is_told_with_what_it_touches() {
        let mut b = case();
        b.part("divider", [200, 18, 0], [218, 900, 280]);
        let fault = only(b.run(), "not-held");
        assert_eq!(fault.message, "Nothing holds `divider`: no joint links it to the rest of `b`.");
        assert_eq!(
            fault.help,
            [
                "Add a joint between `divider` and `bottom`, which touch over 18 × 280mm, or write `loose` if it is \
              not to be held."
            ]
        );
        b.get("divider").loose = true;
        assert!(b.codes().is_empty());
    }

    #[test]
    fn a_gap_is_said() {
        let mut b = case();
        b.part("divider", [200, 19, 0], [218, 900, 280]);
        assert!(only(b.run(), "not-held").help[0].contains("nearest to `bottom`, 1mm away"));
    }

    #[test]
    fn a_box_without_joints_is_one_message() {
        let mut b = case();
        b.job.links.clear();
        let fault = only(b.run(), "not-held");
        assert_eq!(fault.message, "`b` is 3 bodies that nothing joins: `left`, `right` and `bottom`.");
    }

    #[test]
    fn a_nested_box_is_one_body_and_is_held_in_its_own() {
        let mut b = case();
        b.add_box("b.tray", Some("b"), cuboid([18, 100, 0], [482, 200, 300]));
        b.part_of("b.tray", "near", [18, 100, 0], [118, 200, 18]);
        b.part_of("b.tray", "far", [18, 100, 18], [118, 118, 200]);
        b.link("near", "far");
        let fault = only(b.run(), "not-held");
        assert_eq!(fault.message, "Nothing holds `tray`: no joint links it to the rest of `b`.");
        assert!(fault.help[0].contains("between `b.tray.far` and `b.left`"), "{:?}", fault.help);
        b.link("near", "left");
        assert!(b.codes().is_empty());
        // Its parts may be joined through the case, as two doors are.
        b.job.links.retain(|l| (l.a, l.b) != (3, 4));
        assert_eq!(only(b.run(), "not-held").boxes, ["b.tray"]);
        b.link("far", "left");
        assert!(b.codes().is_empty());
    }

    #[test]
    fn a_box_of_boxes_hands_them_on() {
        let mut b = case();
        b.add_box("b.bank", Some("b"), cuboid([18, 100, 0], [482, 400, 300]));
        for (name, y) in [("b.bank.low", 100), ("b.bank.high", 250)] {
            b.add_box(name, Some("b.bank"), cuboid([18, y, 0], [482, y + 100, 300]));
            b.part_of(name, &format!("front{y}"), [18, y, 0], [482, y + 100, 18]);
        }
        b.link("front100", "left");
        let fault = only(b.run(), "not-held");
        assert_eq!(fault.message, "Nothing holds `bank.high`: no joint links it to the rest of `b`.");
        b.link("front250", "left");
        assert!(b.codes().is_empty());
    }

    proptest! {
        #[test]
        fn bodies_are_what_walking_the_links_reaches(
            n in 1usize..20, links in prop::collection::vec((0usize..20, 0usize..20), 0..20),
        ) {
            let links: Vec<(usize, usize)> = links.into_iter().filter(|(a, b)| *a < n && *b < n).collect();
            let mut bodies = Bodies::of(n);
            links.iter().for_each(|(a, b)| bodies.join(*a, *b));
            let mut mark: Vec<usize> = (0..n).collect();
            for _ in 0..n {
                for (a, b) in &links {
                    let low = mark[*a].min(mark[*b]);
                    mark[*a] = low;
                    mark[*b] = low;
                }
            }
            for body in bodies.all() {
                prop_assert!(body.iter().all(|i| mark[*i] == mark[body[0]]));
                prop_assert_eq!(body.len(), mark.iter().filter(|m| **m == mark[body[0]]).count());
            }
        }
    }
}

//! Parts that share a volume without a joint that says which gives way.

use super::report::{Faults, because, listed, named, parting, worst};
use super::{Checks, sweep};
use crate::diagnostics::{Diagnostic, Severity};
use crate::geometry::{Axis, Cuboid, Face};
use crate::job::{BoxEntry, Job, Part};
use crate::sources::Span;
use crate::values::{Overflow, Rational};
use std::cmp::Reverse;
use std::collections::{BTreeMap, BTreeSet};

/// Once so many are found in one root the rest adds nothing; they are read in a fixed order.
const ENOUGH: usize = 2000;

/// Two parts and what they share; `a` is the one whose statement is named first.
struct Pair<'a> {
    a: &'a Part,
    b: &'a Part,
    shared: Cuboid,
}

/// One `overlap` for each statement and box that causes any.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    for ((_, box_path), pairs) in by_cause(checks, pairs(checks, &checks.clashes)) {
        let Some(first) = pairs.first() else { continue };
        let (a, b) = (first.a, first.b);
        if let Some((one, other)) = same_space(checks, a, b) {
            faults.add(twice(checks, first, one, other)?);
            continue;
        }
        let (a_name, b_name) = (named(a, b), named(b, a));
        let others: BTreeSet<String> = pairs.iter().skip(1).map(|p| named(p.b, p.a)).collect();
        let others: Vec<String> = others.into_iter().filter(|n| *n != b_name).collect();
        let shared = checks.extents(&first.shared)?;
        let message = format!("{a_name} and {b_name} share {shared} and no joint says which gives way.");
        let label = format!("{a_name} is placed here");
        let mut fault = checks.fault("overlap", Severity::Error, message, a.origin, &label);
        let other = checks.trace.span(b.origin);
        if fault.labels.iter().all(|l| l.span != other) {
            fault = fault.label(other, format!("{b_name} is placed here"));
        }
        // The ranges on the axis that the help is about.
        if let Some(axis) = best(first)?.map(|way| way.end.axis()) {
            for part in [a, b] {
                for (range, on) in part.range_origins.into_iter().zip(Axis::ALL) {
                    if on == axis {
                        fault = because(fault, checks.trace, range);
                    }
                }
            }
        }
        if !others.is_empty() {
            fault = fault.note(format!("{a_name} overlaps {} as well.", listed(&others)));
        }
        fault = fault.help(help(checks, first, pairs.get(1..).unwrap_or_default())?);
        fault.origins.push(b.origin.0);
        fault.misses = worst(pairs.iter().map(|p| parting(&p.a.place, &p.b.place)));
        fault.boxes = vec![box_path.to_string()];
        faults.add(fault);
    }
    Ok(())
}

/// The two boxes that hold these parts and fill one and the same room of the box they stand in.
fn same_space<'a>(checks: &'a Checks, a: &Part, b: &Part) -> Option<(&'a BoxEntry, &'a BoxEntry)> {
    let up = |path: &str| {
        let mut all = Vec::new();
        let mut at = checks.boxes.get(path).copied();
        while let Some(of) = at {
            all.push(of);
            at = of.within.as_deref().and_then(|w| checks.boxes.get(w)).copied();
        }
        all
    };
    let others = up(&b.box_path);
    for one in up(&a.box_path) {
        let beside = |o: &&&BoxEntry| o.within.is_some() && o.within == one.within && o.path != one.path;
        if let Some(other) = others.iter().find(beside) {
            return (one.place == other.place).then_some((one, *other));
        }
    }
    None
}

/// `space-used-twice`.
fn twice(checks: &Checks, first: &Pair, one: &BoxEntry, other: &BoxEntry) -> Result<Diagnostic, Overflow> {
    let name = |of: &BoxEntry| format!("`{}`", of.path.rsplit('.').next().unwrap_or(&of.path));
    let (a, b) = (name(one), name(other));
    let message = format!(
        "{a} and {b} fill the same space: `{}` and `{}` share {}.",
        first.a.name(),
        first.b.name(),
        checks.extents(&first.shared)?
    );
    let label = format!("{a} fills it");
    let mut fault = checks.fault("space-used-twice", Severity::Error, message, one.origin, &label);
    let span = checks.trace.span(other.origin);
    if fault.labels.iter().all(|l| l.span != span) {
        fault = fault.label(span, format!("{b} fills it as well"));
    }
    fault.boxes = vec![one.path.clone()];
    Ok(fault
        .help("Leave one of them out, or give each a space of its own: `space NAME { x: …  y: …  z: … }`."))
}

/// The overlaps of one root that nothing explains, as indices of parts.
pub fn clashes(job: &Job, is_unsure: impl Fn(&str) -> bool) -> Vec<(usize, usize)> {
    let parts = &job.parts;
    let explained: BTreeSet<(usize, usize)> =
        job.explained.iter().map(|(a, b)| (*a.min(b), *a.max(b))).collect();
    let mut roots: BTreeMap<&str, Vec<usize>> = BTreeMap::new();
    for (i, part) in parts.iter().enumerate() {
        if !is_unsure(&part.box_path) {
            roots.entry(&part.root).or_default().push(i);
        }
    }
    let mut found = Vec::new();
    for members in roots.values() {
        let enough = found.len() + ENOUGH;
        let boxes: Vec<Cuboid> = members.iter().filter_map(|i| parts.get(*i)).map(|p| p.place).collect();
        sweep::sweep(&boxes, |a, b| {
            if let (Some(a), Some(b)) = (members.get(a), members.get(b)) {
                let pair = (*a.min(b), *a.max(b));
                if !explained.contains(&pair) {
                    found.push(pair);
                }
            }
            found.len() < enough
        });
    }
    found.sort();
    found
}

fn pairs<'a>(checks: &Checks<'a>, clashes: &[(usize, usize)]) -> Vec<Pair<'a>> {
    let part = |i: &usize| checks.job.parts.get(*i);
    let pair = |(a, b): &(usize, usize)| {
        let (a, b) = (part(a)?, part(b)?);
        Some(Pair { a, b, shared: a.place.common(&b.place)? })
    };
    clashes.iter().filter_map(pair).collect()
}

/// Groups overlaps by the statement that caused them: of two statements the one that makes fewer parts
/// (a shelf added to a whole box), then the one that takes part in more overlaps, then the later one.
fn by_cause<'a>(checks: &Checks, found: Vec<Pair<'a>>) -> BTreeMap<(Span, &'a str), Vec<Pair<'a>>> {
    let mut groups: BTreeMap<(Span, &str), Vec<Pair>> = BTreeMap::new();
    if found.is_empty() {
        return groups;
    }
    let mut makes: BTreeMap<Span, usize> = BTreeMap::new();
    for part in &checks.job.parts {
        *makes.entry(checks.trace.span(part.origin)).or_default() += 1;
    }
    let spans: Vec<(Span, Span)> =
        found.iter().map(|p| (checks.trace.span(p.a.origin), checks.trace.span(p.b.origin))).collect();
    let mut overlaps: BTreeMap<Span, usize> = BTreeMap::new();
    for (a, b) in &spans {
        *overlaps.entry(*a).or_default() += 1;
        if a != b {
            *overlaps.entry(*b).or_default() += 1;
        }
    }
    let rank = |s: Span| (Reverse(makes.get(&s).copied()), overlaps.get(&s).copied(), s);
    for (pair, (a, b)) in found.into_iter().zip(spans) {
        let (pair, cause) = if rank(a) >= rank(b) {
            (pair, a)
        } else {
            (Pair { a: pair.b, b: pair.a, shared: pair.shared }, b)
        };
        groups.entry((cause, &pair.a.box_path)).or_default().push(pair);
    }
    groups
}

/// One way to part two parts: take `by` off an end of one of them, or move it.
struct Way {
    of_a: bool,
    /// The size is the thickness, which cannot be less: the part moves instead.
    moves: bool,
    by: Rational,
    /// The end that gives.
    end: Face,
}

fn ways(pair: &Pair, axis: Axis) -> Result<Vec<Way>, Overflow> {
    let shared = pair.shared.on(axis);
    let mut ways = Vec::new();
    for (of_a, part) in [(true, pair.a), (false, pair.b)] {
        let own = part.place.on(axis);
        let whole = shared == own;
        for (high, reached) in [(false, shared.lo == own.lo), (true, shared.hi == own.hi)] {
            let moves = part.axes[2] == axis;
            if reached && (moves || !whole) {
                let other = if of_a { pair.b } else { pair.a }.place.on(axis);
                let by = if high { own.hi.sub(other.lo)? } else { other.hi.sub(own.lo)? };
                ways.push(Way { of_a, moves, by, end: Face::of(axis, high) });
            }
        }
    }
    Ok(ways)
}

/// The least change that parts them; a part is shortened before it is moved.
fn best(pair: &Pair) -> Result<Option<Way>, Overflow> {
    let mut all = Vec::new();
    for axis in Axis::ALL {
        all.extend(ways(pair, axis)?);
    }
    all.sort_by_key(|w| (w.moves, w.by));
    Ok(all.into_iter().next())
}

fn help(checks: &Checks, pair: &Pair, rest: &[Pair]) -> Result<String, Overflow> {
    let (a, b) = (named(pair.a, pair.b), named(pair.b, pair.a));
    let Some(way) = best(pair)? else {
        return Ok(format!("Move {a} or {b}, or add a joint that lets one into the other."));
    };
    let by = checks.length(way.by);
    let (it, other) = if way.of_a { (&a, &b) } else { (&b, &a) };
    if way.moves {
        let towards = way.end.opposite().word();
        return Ok(format!(
            "Move {it} {by} towards its {towards} face, or add a joint that lets {it} into {other}."
        ));
    }
    // Where the same part runs into something at another end too, that end is shortened as well.
    let mut ends: BTreeMap<Face, Rational> = BTreeMap::from([(way.end, way.by)]);
    for also in rest.iter().filter(|p| way.of_a && p.a.path == pair.a.path) {
        if let Some(way) = best(also)?.filter(|w| w.of_a && !w.moves) {
            ends.entry(way.end).and_modify(|by| *by = (*by).max(way.by)).or_insert(way.by);
        }
    }
    let ends: Vec<String> = ends
        .into_iter()
        .map(|(end, by)| format!("{} at its {} end", checks.length(by), end.word()))
        .collect();
    let joint = if ends.len() > 1 { "joints that let" } else { "a joint that lets" };
    let into = if ends.len() > 1 { "the others".to_string() } else { other.clone() };
    Ok(format!("Shorten {it} by {}, or add {joint} {it} into {into}.", ends.join(" and ")))
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, cuboid, mm, only};
    use super::*;

    /// Two sides, a bottom, three shelves and a divider that runs through them.
    fn bookcase() -> Bench {
        let mut b = Bench::new("b");
        b.part("left", [0, 0, 0], [18, 900, 300]).part("right", [482, 0, 0], [500, 900, 300]);
        for (i, y) in [0, 300, 600, 882].into_iter().enumerate() {
            b.part(&format!("shelf[{}]", i + 1), [18, y, 0], [482, y + 18, 300]);
        }
        b.all_linked();
        b
    }

    #[test]
    fn parts_that_touch_do_not_overlap() {
        assert!(bookcase().codes().is_empty());
    }

    #[test]
    fn a_divider_through_the_shelves_is_one_message() {
        let mut b = bookcase();
        b.part("divider", [240, 10, 0], [258, 890, 280]);
        // That nothing holds it either is the same fault.
        let fault = only(b.run(), "overlap");
        assert_eq!(
            fault.message,
            "`divider` and `shelf[1]` share 8 × 18 × 280mm and no joint says which gives way."
        );
        assert_eq!(fault.span(), b.span_of("divider"));
        assert_eq!(fault.notes, ["`divider` overlaps `shelf[2]`, `shelf[3]` and `shelf[4]` as well."]);
        assert_eq!(
            fault.help,
            ["Shorten `divider` by 8mm at its bottom end and 8mm at its top end, or add joints that let \
              `divider` into the others."]
        );
    }

    #[test]
    fn two_dividers_in_one_box_are_two_messages() {
        let mut b = bookcase();
        // As if one use of a type had made the case.
        let origin = b.job.parts[0].origin;
        for part in &mut b.job.parts {
            part.origin = origin;
        }
        b.part("one", [140, 10, 0], [158, 890, 280]).part("two", [340, 10, 0], [358, 890, 280]).all_linked();
        let spans: Vec<Span> = b.run().iter().map(|f| f.span()).collect();
        assert_eq!(spans, [b.span_of("one"), b.span_of("two")]);
    }

    #[test]
    fn the_help_works() {
        let mut b = bookcase();
        b.part("divider", [240, 10, 0], [258, 300, 280]).all_linked();
        assert!(only(b.run(), "overlap").help[0].starts_with("Shorten `divider` by 8mm"));
        let mut b = bookcase();
        b.part("divider", [240, 18, 0], [258, 300, 280]).all_linked();
        assert!(b.codes().is_empty());
        let mut b = bookcase();
        b.part("divider", [240, 17, 0], [258, 300, 280]).all_linked();
        assert_eq!(b.codes(), ["overlap"]);
    }

    #[test]
    fn a_joint_explains_it_and_another_root_has_its_own_space() {
        let mut b = bookcase();
        b.part("divider", [240, 10, 0], [258, 300, 280]).all_linked();
        b.job.explained.push((b.index("divider"), b.index("shelf[1]")));
        assert!(b.codes().is_empty());
        let mut b = bookcase();
        b.part("divider", [240, 10, 0], [258, 300, 280]);
        if let Some(p) = b.job.parts.last_mut() {
            p.root = "other".to_string();
        }
        b.all_linked();
        assert!(!b.codes().contains(&"overlap".to_string()));
    }

    #[test]
    fn a_part_within_its_thickness_moves() {
        let mut b = bookcase();
        b.part("second", [18, 310, 0], [482, 328, 300]).all_linked();
        let fault = only(b.run(), "overlap");
        assert!(fault.help[0].starts_with("Move `second` 8mm towards its top face"), "{:?}", fault.help);
    }

    #[test]
    fn two_boxes_that_fill_one_space_are_told_as_such() {
        let mut b = bookcase();
        let room = cuboid([18, 18, 0], [482, 300, 300]);
        b.add_box("b.bank", Some("b"), room).add_box("b.leaf", Some("b"), room);
        b.part_of("b.bank", "front", [10, 10, -18], [490, 150, 0]);
        b.part_of("b.leaf", "door", [10, 10, -18], [490, 290, 0]);
        b.all_linked();
        for name in ["front", "door"] {
            b.get(name).proud = true;
        }
        let fault = only(b.run(), "space-used-twice");
        assert_eq!(
            fault.message,
            "`leaf` and `bank` fill the same space: `door` and `front` share 18 × 140 × 480mm."
        );
    }

    #[test]
    fn an_unsure_box_is_left_alone() {
        let mut b = bookcase();
        b.part("divider", [240, 10, 0], [258, 300, 280]).all_linked();
        let unsure = BTreeSet::from(["b".to_string()]);
        let found = super::super::run_except(&b.job, &b, &unsure);
        assert!(found.iter().all(|f| f.code != "overlap"));
    }

    #[test]
    fn a_thousandth_counts() {
        let mut b = bookcase();
        b.part("divider", [240, 18, 0], [258, 300, 280]).all_linked();
        if let Some(p) = b.job.parts.last_mut() {
            p.place.y.lo = mm(18).sub(Rational::ratio(1, 1000)).unwrap();
            p.own.y.lo = p.place.y.lo;
        }
        let fault = only(b.run(), "overlap");
        assert!(fault.message.contains("0.001 × 18 × 280mm"), "{}", fault.message);
    }
}

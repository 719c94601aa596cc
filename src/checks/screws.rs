//! Parts that hang on one fastener.

use super::Checks;
use super::report::{Faults, listed, named};
use crate::diagnostics::Severity;
use crate::job::Part;
use crate::values::Overflow;
use std::collections::{BTreeMap, BTreeSet};

/// Warns `one-screw` where two parts are held together by one fastener and nothing else: no glue, and
/// neither is let into the other. Fasteners are counted by the holes that the fixing joints bore.
pub fn check(checks: &Checks, faults: &mut Faults) -> Result<(), Overflow> {
    let parts = &checks.job.parts;
    let paths: BTreeMap<&str, usize> = parts.iter().enumerate().map(|(i, p)| (p.path.as_str(), i)).collect();
    let explained: BTreeSet<(usize, usize)> =
        checks.job.explained.iter().map(|(a, b)| (*a.min(b), *a.max(b))).collect();
    let mut pairs: BTreeMap<(usize, usize), Held> = BTreeMap::new();
    for fix in &checks.job.fixes {
        let (Some(a), Some(b)) = (paths.get(fix.a.as_str()), paths.get(fix.b.as_str())) else { continue };
        let held = pairs.entry((*a.min(b), *a.max(b))).or_default();
        held.glued |= fix.glue;
        match &fix.with {
            Some(item) => held.joints.insert(&fix.joint).then(|| held.items.insert(item)),
            None => {
                held.otherwise = true;
                None
            }
        };
    }
    for ((a, b), held) in pairs {
        let (Some(one), Some(other)) = (parts.get(a), parts.get(b)) else { continue };
        if held.glued || held.otherwise || explained.contains(&(a, b)) {
            continue;
        }
        let count: usize = held.joints.iter().map(|j| bored(one, j).max(bored(other, j))).sum();
        let hole =
            held.joints.iter().find_map(|j| one.holes.iter().chain(&other.holes).find(|h| joins(h, j)));
        let (1, Some(hole)) = (count, hole) else { continue };
        let items: Vec<String> = held.items.iter().map(|i| format!("`{i}`")).collect();
        let (a, b) = (named(one, other), named(other, one));
        let message = format!("{a} and {b} are held together by one {} only.", listed(&items));
        let mut fault = checks.fault("one-screw", Severity::Warning, message, hole.origin, "the only one");
        fault = fault.help("Use two or more, so that the parts cannot turn, or let one part into the other.");
        fault.boxes = vec![one.box_path.clone()];
        faults.add(fault);
    }
    Ok(())
}

/// What holds two parts together.
#[derive(Default)]
struct Held<'a> {
    joints: BTreeSet<&'a str>,
    items: BTreeSet<&'a str>,
    glued: bool,
    /// By something that is not counted in items.
    otherwise: bool,
}

fn joins(hole: &crate::job::Hole, joint: &str) -> bool {
    hole.joints.iter().any(|j| j == joint)
}

fn bored(part: &Part, joint: &str) -> usize {
    part.holes.iter().filter(|h| joins(h, joint)).count()
}

#[cfg(test)]
mod tests {
    use super::super::testing::{Bench, only};
    use crate::geometry::Face;
    use crate::job::Fix;

    fn rail(screws: i64) -> Bench {
        let mut b = Bench::new("b");
        b.part("left", [0, 0, 0], [18, 900, 300]).part("rail", [18, 0, 0], [400, 18, 100]).all_linked();
        for n in 0..screws {
            b.hole("left", Face::Left, [25 + 25 * n, 9], 4, None);
            b.hole("rail", Face::Left, [25 + 25 * n, 9], 3, Some(30));
        }
        b.job.fixes.push(Fix {
            a: "b.rail".to_string(),
            b: "b.left".to_string(),
            with: Some("long_screw".to_string()),
            joint: "pins".to_string(),
            ..Fix::default()
        });
        b
    }

    #[test]
    fn one_warns_and_two_do_not() {
        let fault = only(rail(1).run(), "one-screw");
        assert_eq!(fault.message, "`left` and `rail` are held together by one `long_screw` only.");
        assert!(!fault.is_error());
        assert!(rail(2).codes().is_empty());
    }

    #[test]
    fn glue_answers_it() {
        let mut b = rail(1);
        b.job.fixes[0].glue = true;
        assert!(b.codes().is_empty());
    }
}

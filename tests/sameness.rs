//! Which parts are the same and which are pairs, against rotations and reflections worked here.

#[path = "common/job_fixture.rs"]
mod job_fixture;

use aumbry::geometry::{Axis, Cuboid, Face, Interval};
use aumbry::job::{At, Bored, Cut, Grain, Hole, KeptMarks, Mm, Part, Run, Shape, assign, group};
use aumbry::values::Rational;
use job_fixture::*;
use proptest::prelude::*;

/// Axis `i` of the image is axis `from[i]` of the original, turned round where `flip[i]`.
#[derive(Clone, Copy, Debug)]
struct Motion {
    from: [usize; 3],
    flip: [bool; 3],
}

impl Motion {
    fn all() -> Vec<Motion> {
        let orders = [[0, 1, 2], [1, 2, 0], [2, 0, 1], [0, 2, 1], [2, 1, 0], [1, 0, 2]];
        let flips = |n: usize| [n & 1 == 1, n & 2 == 2, n & 4 == 4];
        orders.iter().flat_map(|from| (0..8).map(move |n| Motion { from: *from, flip: flips(n) })).collect()
    }

    /// The determinant's sign: +1 for a rotation.
    fn is_rotation(&self) -> bool {
        let odd_order = matches!(self.from, [0, 2, 1] | [2, 1, 0] | [1, 0, 2]);
        let odd_flips = self.flip.iter().filter(|f| **f).count() % 2 == 1;
        odd_order == odd_flips
    }

    fn axis(&self, axis: Axis) -> Axis {
        let to = self.from.iter().position(|f| *f == axis as usize).expect("an axis");
        Axis::ALL[to]
    }

    fn face(&self, face: Face) -> Face {
        let axis = self.axis(face.axis());
        Face::of(axis, face.is_high() != self.flip[axis as usize])
    }

    fn interval(&self, c: &Cuboid, axis: Axis) -> Interval {
        let i = c.on(Axis::ALL[self.from[axis as usize]]);
        if self.flip[axis as usize] {
            Interval::new(i.hi.neg().expect("small"), i.lo.neg().expect("small"))
        } else {
            i
        }
    }

    fn cuboid(&self, c: &Cuboid) -> Cuboid {
        Cuboid { x: self.interval(c, Axis::X), y: self.interval(c, Axis::Y), z: self.interval(c, Axis::Z) }
    }

    fn hole(&self, part: &Part, moved: &Part, hole: &Hole) -> Hole {
        // The centre as a flat cuboid in the box's frame, then measured anew.
        let mut centre = part.own;
        for (edge, mm) in hole.at.from.iter().zip(hole.at.mm) {
            let at = part.own.on(edge.axis()).lo.add(mm.0).expect("small");
            centre = centre.with(edge.axis(), Interval::new(at, at));
        }
        let centre = self.cuboid(&centre);
        let face = self.face(hole.face);
        let from = face.datum_edges();
        let mm = from.map(|e| Mm(centre.on(e.axis()).lo.sub(moved.own.on(e.axis()).lo).expect("small")));
        Hole { face, at: At { from, mm }, ..hole.clone() }
    }

    fn part(&self, part: &Part, path: &str) -> Part {
        let mut out = part.clone();
        out.path = path.to_string();
        out.own = self.cuboid(&part.own);
        out.place = out.own;
        out.axes = part.axes.map(|a| self.axis(a));
        out.good_face = part.good_face.map(|f| self.face(f));
        out.bands = part.bands.iter().map(|(f, b)| (self.face(*f), b.clone())).collect();
        out.holes = part.holes.iter().map(|h| self.hole(part, &out, h)).collect();
        out.cuts = part
            .cuts
            .iter()
            .map(|c| Cut {
                face: self.face(c.face),
                cuboid: self.cuboid(&c.cuboid),
                runs: self.axis(c.runs),
                along: c.along.map(|a| self.axis(a)),
                ..c.clone()
            })
            .collect();
        out
    }
}

fn any_part() -> impl Strategy<Value = Part> {
    let holes = proptest::collection::vec((0usize..6, 1i64..9, 1i64..9, 0usize..2, any::<bool>()), 0..6);
    let sizes = (0usize..3, any::<bool>(), any::<bool>(), any::<bool>());
    (sizes, holes, proptest::collection::vec((0usize..6, 0usize..2), 0..3), any::<bool>()).prop_map(
        |((thin, square, grain, good), holes, bands, groove)| {
            let (long, wide, thick) =
                (("0", "500"), if square { ("0", "500") } else { ("0", "300") }, ("0", "16"));
            let spans = match thin {
                0 => [thick, long, wide],
                1 => [wide, thick, long],
                _ => [long, wide, thick],
            };
            let along = match thin {
                0 => Axis::Y,
                1 => Axis::Z,
                _ => Axis::X,
            };
            let [x, y, z] = spans.map(|(a, b)| [a, b]);
            let mut p = part("a.part", "white16", cuboid(x, y, z), along);
            p.grain = if grain { Grain::Length } else { Grain::None };
            p.good_face = good.then(|| Face::of(p.axes[2], true));
            for (face, u, v, dia, through) in holes {
                let face = Face::ALL[face];
                let from = face.datum_edges();
                // Tenths of the extent, so that symmetric places come up often.
                let mm = [(from[0], u), (from[1], v)].map(|(edge, n)| {
                    Mm(p.own
                        .on(edge.axis())
                        .size()
                        .expect("a size")
                        .mul(Rational::ratio(n.into(), 10))
                        .expect("small"))
                });
                let depth = if through {
                    Mm(p.own.on(face.axis()).size().expect("a size"))
                } else {
                    Mm(Rational::int(9))
                };
                let h = Hole {
                    at: At { from, mm },
                    depth,
                    through,
                    ..hole(&p, face, ["0", "0"], ["5", "8"][dia], "9", "pin")
                };
                p.holes.push(h);
            }
            for (face, band) in bands {
                if !p.is_wide(Face::ALL[face]) {
                    p.bands.insert(Face::ALL[face], ["abs08", "oak2"][band].into());
                }
            }
            if groove {
                let face = Face::of(p.axes[2], false);
                let own = p.own;
                let deep = Interval::new(own.on(p.axes[2]).lo, Rational::int(7));
                let across = Interval::new(Rational::int(20), Rational::int(23));
                p.cuts.push(Cut {
                    shape: Shape::Groove,
                    face,
                    cuboid: own.with(p.axes[2], deep).with(p.axes[1], across),
                    runs: p.axes[0],
                    run: Run::Through,
                    dia: None,
                    along: None,
                    by: None,
                    joint: "let_in".into(),
                    origin: Default::default(),
                });
            }
            p
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn turning_a_part_keeps_it_the_same(p in any_part()) {
        for motion in Motion::all().into_iter().filter(Motion::is_rotation) {
            let groups = group(&[p.clone(), motion.part(&p, "b.part")]);
            prop_assert_eq!(groups.groups, vec![vec![0, 1]], "{:?}", motion);
        }
    }

    #[test]
    fn every_mirror_image_is_the_same_or_a_pair(p in any_part()) {
        let mut outcome = None;
        for motion in Motion::all().into_iter().filter(|m| !m.is_rotation()) {
            let groups = group(&[p.clone(), motion.part(&p, "b.part")]);
            let found = (groups.groups.len(), groups.pairs.clone());
            prop_assert!(found == (1, vec![]) || found == (2, vec![(0, 1)]), "{:?}", found);
            // All reflections agree, since they differ by rotations.
            prop_assert_eq!(outcome.get_or_insert(found.clone()), &found);
        }
    }

    #[test]
    fn a_moved_hole_makes_another_part(p in any_part()) {
        prop_assume!(!p.holes.is_empty());
        let mut other = p.clone();
        other.path = "b.part".into();
        // No place of the generator ends in a seventh of a tenth.
        other.holes[0].at.mm[0] = Mm(Rational::ratio(1, 7));
        let groups = group(&[p, other]);
        prop_assert_eq!(groups.groups.len(), 2);
        prop_assert!(groups.pairs.is_empty());
    }
}

fn side(path: &str, inner: Face) -> Part {
    let mut p = part(path, "white16", cuboid(["0", "16"], ["0", "700"], ["0", "300"]), Axis::Y);
    let h = hole(&p, inner, ["37", "100"], "5", "11", "pin");
    p.holes.push(h);
    p
}

#[test]
fn sides_of_a_box_are_a_pair_and_handed_the_right_way() {
    // Worked by hand: turning the left side about its height brings its inner face to the left and its
    // front edge to the rear; only a reflection gives the right side.
    let groups = group(&[side("a.left", Face::Right), side("a.right", Face::Left)]);
    assert_eq!((groups.groups.len(), groups.pairs), (2, vec![(0, 1)]));
    let mut turned = side("a.right", Face::Left);
    turned.holes[0].at.mm[0] = mm("263");
    let groups = group(&[side("a.left", Face::Right), turned]);
    assert_eq!(groups.groups, [vec![0, 1]]);
}

#[test]
fn what_does_not_count() {
    let a = side("a.left", Face::Right);
    let mut b = side("b.left", Face::Right);
    b.holes[0].purposes = vec!["other".into()];
    b.holes[0].joints = vec!["other".into()];
    let pilot = Hole { bored: Bored::InPlace, ..hole(&b, Face::Left, ["50", "50"], "3", "30", "pilot") };
    b.holes.push(pilot);
    assert_eq!(group(&[a.clone(), b.clone()]).groups.len(), 1);

    // A plain through hole may be drilled from either face, one with a head may not.
    let (mut c, mut d) = (a.clone(), b.clone());
    let through_from = |p: &Part, face| through(hole(p, face, ["100", "300"], "5", "16", "screw"), "16");
    c.holes.push(through_from(&a, Face::Left));
    d.holes.push(through_from(&a, Face::Right));
    assert_eq!(group(&[c.clone(), d.clone()]).groups.len(), 1);
    let step = aumbry::job::Step { dia: mm("10"), end_dia: mm("5"), depth: mm("3") };
    c.holes[1].profile.push(step);
    d.holes.last_mut().expect("a hole").profile.push(step);
    assert_eq!(group(&[c, d]).groups.len(), 2);
}

#[test]
fn what_counts() {
    let a = side("a.left", Face::Right);
    let changes: [fn(&mut Part); 7] = [
        |p| p.board = "oak16".into(),
        |p| p.grain = Grain::None,
        |p| p.good_face = Some(Face::Left),
        |p| drop(p.bands.insert(Face::Front, "abs08".into())),
        |p| p.holes[0].dia = mm("8"),
        |p| p.holes[0].depth = mm("12"),
        |p| {
            p.bevels.push(aumbry::job::Bevel {
                face: Face::Top,
                rise: mm("16"),
                run: mm("16"),
                long_side: Face::Left,
                origin: Default::default(),
            })
        },
    ];
    for (n, change) in changes.into_iter().enumerate() {
        let mut b = side("b.left", Face::Right);
        change(&mut b);
        assert_eq!(group(&[a.clone(), b]).groups.len(), 2, "change {n}");
    }
}

fn plain(path: &str, height: i64) -> Part {
    let height = height.to_string();
    part(path, "white16", cuboid(["0", "16"], ["0", &height], ["0", "300"]), Axis::Y)
}

/// Marks of unlike parts with these paths.
fn marks(paths: &[&str]) -> Vec<String> {
    let mut parts: Vec<Part> = paths.iter().zip(700..).map(|(p, h)| plain(p, h)).collect();
    assign(&mut parts, None);
    parts.into_iter().map(|p| p.mark).collect()
}

#[test]
fn marks_are_initials() {
    // `CRI`, `CRE` and `DF3` are the examples of the language's own rule.
    assert_eq!(
        marks(&["floor.clay.left", "floor.clay.right", "floor.clay.rear", "floor.clay.rail_front"]),
        ["CL", "CRI", "CRE", "CRF"]
    );
    assert_eq!(marks(&["floor.clay.drawers.front[3]", "upper[2].left"]), ["DF3", "UL"]);
    assert_eq!(marks(&["glaze_shelf.rail_rear"]), ["GSRR"]);
    assert_eq!(marks(&["rails.cleat[upper[1]]", "rails.cleat[upper[2]]"]), ["RCU1", "RCU2"]);
    assert_eq!(marks(&["a.rail", "a.rails"]), ["ARAIL", "ARAILS"]);
}

#[test]
fn marks_that_never_differ_are_counted_in_path_order() {
    assert_eq!(marks(&["b[10].bottom", "b[2].bottom", "b[1].bottom"]), ["BB-3", "BB-2", "BB-1"]);
    assert_eq!(marks(&["clay.left", "cups.left", "clay.low"]), ["CLE-1", "CLE-2", "CLO"]);
    // More letters may meet another's initials; both then take more.
    let all = marks(&["c.right", "c.rear", "c.rod_inner"]);
    assert_eq!(all, ["CRIG", "CRE", "CRIN"]);
}

#[test]
fn equal_parts_share_a_mark_and_are_numbered() {
    let mut parts = vec![plain("b[10].left", 700), plain("b[2].left", 700), plain("b[1].right", 700)];
    let (same, pairs) = assign(&mut parts, None);
    assert_eq!(same.len(), 1);
    assert_eq!(same[0].pieces, ["b[1].right", "b[2].left", "b[10].left"]);
    assert!(parts.iter().all(|p| p.mark == "BR") && pairs.is_empty());
    assert_eq!(parts.iter().map(|p| p.piece).collect::<Vec<_>>(), [3, 2, 1]);
}

#[test]
fn marks_on_wood_are_kept() {
    let mut parts = vec![plain("clay.left", 700), plain("glaze.left", 700)];
    assign(&mut parts, None);
    assert_eq!((parts[0].mark.as_str(), parts[1].mark.as_str()), ("CL", "CL"));
    let text =
        format!("{{\"format\":\"aumbry-job/1\",\"parts\":{}}}", serde_json::to_string(&parts).expect("JSON"));
    let kept = KeptMarks::read(&text).expect("marks");
    // They become unequal: the oldest path keeps the mark. A new part that would take it gets another.
    let mut parts = vec![plain("clay.ledge", 702), plain("clay.left", 700), plain("glaze.left", 701)];
    assign(&mut parts, Some(&kept));
    assert_eq!(parts.iter().map(|p| p.mark.as_str()).collect::<Vec<_>>(), ["CLE", "CL", "GL"]);
    // Without the old marks both sides would be told apart anew.
    assign(&mut parts, None);
    assert_eq!(parts.iter().map(|p| p.mark.as_str()).collect::<Vec<_>>(), ["CLED", "CLEF", "GL"]);
    // A mark of a part that is gone is not given to another.
    let mut parts = vec![plain("cups.left", 700)];
    assign(&mut parts, Some(&kept));
    assert_eq!(parts[0].mark, "CLE");
}

#[test]
fn old_marks_that_are_none_are_refused_in_words() {
    assert!(KeptMarks::read("nonsense").expect_err("an error").contains("no job.json"));
    let other = KeptMarks::read("{\"format\":\"aumbry-job/9\",\"parts\":[]}").expect_err("an error");
    assert!(other.contains("aumbry-job/9"), "{other}");
}

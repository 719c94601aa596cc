//! The order of assembly can be followed: what holds over every design, and a few as they read.

#[path = "common/tree_text.rs"]
#[allow(dead_code)]
mod tree_text;

use aumbry::commands::compile;
use aumbry::job::{Bored, Job};
use aumbry::outputs::assembly as written;
use aumbry::planning::assembly::{Act, Assembly, Fastening, StageKind, plan};
use aumbry::sources::MemoryFiles;
use aumbry::values::Rational;
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// A wall's worth of drawers, doors and shelves, in boxes that are alike and boxes that are not.
const FITTED: &str = r#"aumbry 1
use std.boards  (white18, white3)
use std.boxes   (floor_box, open_box, hung_box)
use std.drawers (drawer_bank)
use std.fronts  (doors)
use std.joints  (screwed)

house { board: white18, back: white3 }

box bank[2] = floor_box(width: 600mm) { box drawers = drawer_bank(inside, heights: [share, share, 2 share], load: 15kg) }
box tall = open_box(width: 600mm, height: 1400mm, depth: 400mm, shelves: 3) { box front = doors(inside, leaves: 2) }
box divided = open_box(width: 900mm, height: 500mm, depth: 300mm) {
  part divider of board along y { x: 300mm .. 300mm + board.thickness  y: bottom .. top  z: 0mm .. rear }
  joint screwed(divider, through: [bottom, top])
}
box jars[4] = hung_box(width: 500mm, height: 600mm, depth: 300mm, load: 20kg)
"#;

fn texts() -> Vec<(String, String)> {
    let mut paths: Vec<PathBuf> = fs::read_dir(root().join("examples"))
        .expect("examples")
        .map(|e| e.expect("an entry").path())
        .collect();
    paths.sort();
    let mut all: Vec<(String, String)> = paths
        .into_iter()
        .filter(|p| p.extension().is_some_and(|e| e == "aum"))
        .map(|p| {
            let name = p.file_name().expect("a name").to_string_lossy().into_owned();
            (name, fs::read_to_string(p).expect("UTF-8"))
        })
        .collect();
    assert!(all.len() >= 6);
    all.push(("fitted.aum".to_string(), FITTED.to_string()));
    all
}

fn job_of(name: &str, text: &str) -> Job {
    let files = texts().into_iter().fold(MemoryFiles::new(), |files, (n, t)| files.with(&n, &t));
    let compiled = compile(&files.with(name, text), name, None);
    let said: Vec<String> =
        compiled.diagnostics.iter().map(|d| format!("{}: {}", d.code, d.message)).collect();
    compiled.job.unwrap_or_else(|| panic!("{name}: {said:?}"))
}

fn jobs() -> Vec<(String, Job)> {
    texts().into_iter().map(|(name, text)| (name.clone(), job_of(&name, &text))).collect()
}

fn fastenings(act: &Act) -> &[Fastening] {
    match act {
        Act::Fasten(all) => all,
        Act::ToWall { fasten, .. } | Act::SlideIn { fasten, .. } | Act::Front { fasten, .. } => fasten,
        _ => &[],
    }
}

fn acts(assembly: &Assembly) -> impl Iterator<Item = &Act> {
    assembly.stages.iter().flat_map(|s| &s.steps).map(|s| &s.act)
}

/// The list without the warnings and cautions at its end, which are of other tests and stand in the order of
/// the text.
fn steps_of(job: &Job) -> String {
    let steps = written::table(job, 100);
    let end = ["\nWarning ", "\nAccepted ", "\nTake care:"].iter().filter_map(|t| steps.find(t)).min();
    steps[..end.unwrap_or(steps.len())].to_string()
}

#[test]
fn every_fix_and_every_mount_comes_once() {
    for (name, job) in jobs() {
        let assembly = plan(&job);
        let mut fixes: BTreeMap<usize, usize> = BTreeMap::new();
        let mut mounts: BTreeMap<usize, usize> = BTreeMap::new();
        for act in acts(&assembly) {
            for n in fastenings(act).iter().flat_map(|f| &f.fixes) {
                *fixes.entry(*n).or_default() += 1;
            }
            if let Act::Mount(all) = act {
                for n in all.iter().flat_map(|m| &m.mounts) {
                    *mounts.entry(*n).or_default() += 1;
                }
            }
        }
        for (kind, found, count) in [("fix", fixes, job.fixes.len()), ("mount", mounts, job.mounts.len())] {
            let once: BTreeMap<usize, usize> = (0..count).map(|n| (n, 1)).collect();
            assert_eq!(found, once, "{name}: each {kind} once");
        }
        assert!(
            !assembly.stages.iter().any(|s| s.boxes.is_empty() && s.kind != StageKind::Ready),
            "{name}: left over"
        );
    }
}

#[test]
fn every_part_is_ready_then_placed_once_and_nothing_is_held_before_it_is_there() {
    for (name, job) in jobs() {
        let assembly = plan(&job);
        let (mut ready, mut there) = (BTreeSet::new(), BTreeSet::new());
        let mut bench = 0;
        for (i, stage) in assembly.stages.iter().enumerate() {
            assert_eq!(
                stage.kind == StageKind::Ready,
                i == 0,
                "{name}: parts are made ready first, all at once"
            );
            for step in &stage.steps {
                let parts: Vec<usize> = step.things.iter().flat_map(|g| &g.parts).copied().collect();
                if let Act::Ready { holes, .. } = &step.act {
                    bench += holes * parts.len();
                    for p in parts {
                        assert!(ready.insert(p), "{name}: {} is made ready twice", job.parts[p].path);
                    }
                    continue;
                }
                for group in &step.things {
                    for p in &group.parts {
                        assert!(ready.contains(p), "{name}: {} is not ready", job.parts[*p].path);
                        let first = there.insert(*p);
                        assert_eq!(
                            first,
                            !group.built && first,
                            "{name}: {} came twice or never",
                            job.parts[*p].path
                        );
                        assert!(!group.built || !first, "{name}: {} is not built", job.parts[*p].path);
                    }
                }
                for n in fastenings(&step.act).iter().flat_map(|f| &f.fixes) {
                    for end in [&job.fixes[*n].a, &job.fixes[*n].b] {
                        if let Some(p) = job.parts.iter().position(|p| p.path == *end) {
                            assert!(
                                there.contains(&p),
                                "{name}: step {}: {end} is not there yet",
                                step.number
                            );
                        }
                    }
                }
            }
        }
        assert_eq!(ready.len(), job.parts.len(), "{name}");
        // A part alone in its box, that nothing holds and nothing stands on, has no step of its own.
        let held = job.fixes.iter().flat_map(|f| [&f.a, &f.b]);
        for path in held {
            if let Some(p) = job.parts.iter().position(|p| p.path == *path) {
                assert!(there.contains(&p), "{name}: {path} is placed nowhere");
            }
        }
        let all: usize =
            job.parts.iter().map(|p| p.holes.iter().filter(|h| h.bored == Bored::Bench).count()).sum();
        assert_eq!(bench, all, "{name}: every hole of the bench is bored before assembly");
    }
}

#[test]
fn a_panel_goes_in_while_its_grooves_are_open() {
    let mut seen = 0;
    for (name, job) in jobs() {
        let assembly = plan(&job);
        for panel in 0..job.parts.len() {
            let by =
                |p: &aumbry::job::Part| p.cuts.iter().any(|c| c.by.as_ref() == Some(&job.parts[panel].path));
            let hosts: BTreeSet<usize> = (0..job.parts.len()).filter(|q| by(&job.parts[*q])).collect();
            if hosts.len() < 3 {
                continue;
            }
            seen += 1;
            let mut before = BTreeSet::new();
            let mut done = false;
            for step in assembly.stages.iter().filter(|s| s.kind == StageKind::Build).flat_map(|s| &s.steps) {
                let own: BTreeSet<usize> = step.things.iter().flat_map(|g| &g.parts).copied().collect();
                if own.contains(&panel) {
                    let last = hosts.iter().filter(|h| !before.contains(*h)).count();
                    if hosts.len() >= 4 {
                        assert!(last > 0, "{name}: {} is shut out", job.parts[panel].path);
                    }
                    let Act::Place { from, .. } = &step.act else { panic!("{name}: a panel is no start") };
                    assert!(last > 0 || from.is_some(), "{name}: no way in for {}", job.parts[panel].path);
                    done = true;
                }
                before.extend(own);
            }
            assert!(done, "{name}: {} is never put in", job.parts[panel].path);
        }
    }
    assert!(seen >= 12, "{seen}");
}

#[test]
fn tacks_stand_clear_of_every_bore() {
    let mut seen = 0;
    for (name, job) in jobs() {
        for fix in &job.fixes {
            let (Some(tack), Some(through), Some(face)) = (&fix.tack, &fix.through, fix.from) else {
                continue;
            };
            let part = job.parts.iter().find(|p| p.path == *through).expect("its part");
            for at in &tack.at {
                seen += 1;
                for hole in part.holes.iter().filter(|h| h.face.axis() == face.axis()) {
                    assert_eq!(hole.at.from, at.from);
                    let apart = |i: usize| at.mm[i].0.sub(hole.at.mm[i].0).expect("small");
                    let square =
                        apart(0).mul(apart(0)).unwrap().add(apart(1).mul(apart(1)).unwrap()).unwrap();
                    let mouth = hole.profile.iter().map(|s| s.dia).chain([hole.dia]).max().unwrap();
                    let clear = mouth.0.half().unwrap().add(Rational::int(2)).unwrap();
                    assert!(
                        square >= clear.mul(clear).unwrap(),
                        "{name}: {} is tacked in {}",
                        fix.joint,
                        hole.id
                    );
                }
            }
        }
    }
    assert!(seen >= 100, "{seen}");
}

#[test]
fn every_case_is_measured_across() {
    let square = |text: &str| -> Vec<(String, String)> {
        let job = job_of("case.aum", text);
        acts(&plan(&job))
            .filter_map(|a| match a {
                Act::Square { sizes, diagonal, .. } => {
                    let s = job.house.style();
                    Some((format!("{} {}", s.figure(sizes[0].0), s.figure(sizes[1].0)), s.figure(diagonal.0)))
                }
                _ => None,
            })
            .collect()
    };
    let case =
        |uses: &str, make: &str| square(&format!("aumbry 1\nuse std.boxes ({uses})\nbox case = {make}\n"));
    let one = |sizes: &str, diagonal: &str| vec![(sizes.to_string(), diagonal.to_string())];
    // Roots worked out by hand: 800² + 1400² = 2,600,000; 600² + 720² = 878,400; 500² + 400² = 410,000.
    assert_eq!(
        case("open_box", "open_box(width: 800mm, height: 1400mm, depth: 300mm)"),
        one("800 1400", "1612.5")
    );
    assert_eq!(case("floor_box", "floor_box(width: 600mm)"), one("600 720", "937.2"));
    assert_eq!(
        case("drawer_box", "drawer_box(width: 500mm, height: 120mm, depth: 400mm)"),
        one("500 400", "640.3")
    );
    assert_eq!(
        case("hung_box", "hung_box(width: 700mm, height: 700mm, depth: 320mm, load: 20kg)"),
        one("700 700", "989.9")
    );
}

#[test]
fn equal_boxes_are_told_once_and_fronts_come_last() {
    let job = job_of("fitted.aum", FITTED);
    let assembly = plan(&job);
    let text = written::table(&job, 100);
    assert!(text.contains("Build bank[1] and bank[2] (floor box), 2 times"), "{text}");
    assert!(text.contains("Build jars[1] to jars[4] (hung box), 4 times"), "{text}");
    let kinds: Vec<StageKind> = assembly.stages.iter().map(|s| s.kind).collect();
    assert!(kinds.is_sorted(), "{kinds:?}");
    let fronts = assembly.stages.iter().filter(|s| s.kind == StageKind::Fronts);
    let names: BTreeSet<&str> =
        fronts.flat_map(|s| &s.steps).flat_map(|s| &s.things).map(|g| g.path.as_str()).collect();
    let all = ["front[1]", "front[2]", "front[3]"].map(|f| format!("bank[1].drawers.{f}"));
    for front in all.iter().map(String::as_str).chain(["tall.front.door[1]", "tall.front.door[2]"]) {
        assert!(names.contains(front), "{front} of {names:?}");
    }
}

#[test]
fn statements_in_any_order_give_the_same_steps() {
    for (name, text) in texts() {
        let job = job_of(&name, &text);
        for seed in 1..=4 {
            let other = job_of(&name, &tree_text::shuffled(&text, seed));
            for form in [steps_of, written::as_csv, written::as_json, written::page] {
                let (expected, found) = (form(&job), form(&other));
                let differ = expected.lines().zip(found.lines()).find(|(a, b)| a != b);
                assert!(expected == found, "{name}, seed {seed}: {differ:?}");
            }
        }
    }
}

#[test]
fn what_a_maker_reads() {
    for name in ["floor_box.aum", "hung_box.aum", "drawer.aum", "fitted.aum"] {
        let text = texts().into_iter().find(|(n, _)| n == name).expect("a design").1;
        insta::assert_snapshot!(name.replace(".aum", ""), steps_of(&job_of(name, &text)));
    }
}

#[test]
fn the_page_is_sound_and_every_step_has_its_box() {
    for (name, job) in jobs() {
        let page = written::page(&job);
        let body = page.strip_prefix("<!DOCTYPE html>\n").expect("a page");
        // The page is XML but for its empty elements.
        let closed = body.replace("<meta charset=\"utf-8\">", "").replace("\"><label", "\"/><label");
        let tree = roxmltree::Document::parse(&closed).unwrap_or_else(|e| panic!("{name}: {e}"));
        let boxes = tree.descendants().filter(|n| n.has_tag_name("input")).count();
        assert_eq!(boxes, plan(&job).stages.iter().map(|s| s.steps.len()).sum::<usize>(), "{name}");
        let value: serde_json::Value = serde_json::from_str(&written::as_json(&job)).expect("JSON");
        let steps: usize =
            value["stages"].as_array().unwrap().iter().map(|s| s["steps"].as_array().unwrap().len()).sum();
        assert_eq!(boxes, steps, "{name}");
        assert_eq!(written::as_csv(&job).lines().count(), steps + 1, "{name}");
    }
}

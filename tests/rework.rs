//! The described rework, carried out on the old piece, gives the new part; and where a part is to be made anew,
//! no way of laying the old piece would have done. On mutants of the examples, all read from JSON.
//!
//! `REWORKS=200 cargo test --test rework -- --nocapture` tries 200 mutants of each example.

#[allow(dead_code)]
#[path = "common/tree_text.rs"]
mod tree_text;
#[allow(dead_code)]
#[path = "common/wood.rs"]
mod wood;

use aumbry::commands::compile;
use aumbry::job::{Job, Mm};
use aumbry::revisions::{Options, compare};
use aumbry::sources::MemoryFiles;
use aumbry::values::Rational;
use serde_json::Value;
use std::collections::BTreeMap;
use std::fs;
use std::ops::Range;
use std::path::Path;
use wood::{MM, Point, Reworked, Stuff, Tick, Wood};

/// Numbers that a seed sets (xorshift, Marsaglia 2003).
struct Random(u64);

impl Random {
    fn below(&mut self, n: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        (self.0 % n.max(1) as u64) as usize
    }
}

fn examples() -> Vec<(String, String)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    let mut all: Vec<(String, String)> = fs::read_dir(folder)
        .expect("examples")
        .map(|e| e.expect("an entry").path())
        .filter(|p| p.extension().is_some_and(|e| e == "aum"))
        .map(|p| (p.file_name().unwrap().to_string_lossy().into_owned(), fs::read_to_string(&p).unwrap()))
        .collect();
    all.sort();
    all
}

/// A design with one or two of its figures, a count, or a board changed.
fn mutant(text: &str, tokens: &[Range<usize>], random: &mut Random) -> String {
    let mut out = text.to_string();
    let digit = |r: &&Range<usize>| text[(*r).clone()].starts_with(|c: char| c.is_ascii_digit());
    let mut figures: Vec<Range<usize>> = tokens.iter().skip(2).filter(digit).cloned().collect();
    for _ in 0..=random.below(2) {
        if figures.is_empty() {
            break;
        }
        let range = figures.remove(random.below(figures.len()));
        // Later figures first, so that places before them stay.
        figures.retain(|r| r.start < range.start);
        let was = text[range.clone()].to_string();
        let end = was.find(|c: char| !c.is_ascii_digit()).unwrap_or(was.len());
        let (figure, rest) = was.split_at(end);
        let n: i64 = figure.parse().unwrap_or(1);
        let n = match random.below(if rest.is_empty() { 3 } else { 9 }) {
            0 => n + 1,
            1 => n - 1,
            2 => n + 2,
            3 => n + 32,
            4 => n - 32,
            5 => n * 9 / 10,
            6 => n * 11 / 10,
            7 => n / 2,
            _ => n - 7,
        };
        let rest = if random.below(8) == 0 && rest == "mm" { ".3mm" } else { rest };
        out.replace_range(range, &format!("{}{rest}", n.max(0)));
    }
    let boards = [
        ("board: white18", "board: white18(thickness: 18.4mm)"),
        ("(thickness: 16.2mm)", "(thickness: 16.3mm)"),
        ("(thickness: 16.2mm)", "(thickness: 15.9mm)"),
        ("white16", "white18"),
        ("white3", "hardboard3"),
        ("hung_box(", "floor_box("),
    ];
    if random.below(5) == 0 {
        let (from, to) = boards[random.below(boards.len())];
        out = out.replace(from, to);
    }
    out
}

fn job_of(all: &[(String, String)], name: &str, text: &str) -> Option<Job> {
    let files = all.iter().fold(MemoryFiles::new(), |files, (other, own)| {
        files.with(other, if other == name { text } else { own })
    });
    compile(&files, name, None).job
}

#[derive(Default)]
struct Tally {
    verdicts: BTreeMap<String, usize>,
    works: BTreeMap<String, usize>,
    reasons: BTreeMap<String, usize>,
    judged: usize,
    unjudged: usize,
    mutants: usize,
    /// Works left out, which has to show.
    left_out: usize,
}

/// Whether a piece worked so is the new part, up to `slack`.
fn check_rework(old: &Wood, new: &Wood, rework: &Value, slack: Tick) -> Result<(), String> {
    let thick = new.axes[2];
    let old = old.clone().thickened(new.size[thick]);
    let piece = Reworked::of(&old, new, rework);
    let bands: Vec<((usize, bool), String)> = {
        let mut all: Vec<_> = new.bands.iter().map(|b| (b.0, b.2.clone())).collect();
        all.sort();
        all
    };
    if piece.bands != bands {
        return Err(format!("bands {:?}, wanted {bands:?}", piece.bands));
    }
    let d = if slack > 1000 { 2 * slack } else { 1000 };
    let mut points: Vec<Point> = new.looks(d);
    points.extend(old.looks(d).into_iter().map(|p| piece.laid.in_new(p)));
    for p in points {
        if new.in_place.iter().any(|h| h.has(p)) {
            continue;
        }
        let is = piece.at(p, new.size);
        let alike = |q: Point| {
            let wanted = new.at(q);
            wanted == is || (new.is_corner(q) && (wanted == Stuff::None) == (is == Stuff::None))
        };
        if alike(p) {
            continue;
        }
        let near = slack > 1000
            && (0..27).any(|n| {
                alike([
                    p[0] + (n % 3 - 1) * slack,
                    p[1] + (n / 3 % 3 - 1) * slack,
                    p[2] + (n / 9 - 1) * slack,
                ])
            });
        if !near {
            return Err(format!(
                "at {:?} mm: {is:?}, wanted {:?}",
                p.map(|t| t as f64 / MM as f64),
                new.at(p)
            ));
        }
    }
    Ok(())
}

#[test]
fn rework_gives_the_new_part() {
    let all = examples();
    let each: usize = std::env::var("REWORKS").ok().and_then(|n| n.parse().ok()).unwrap_or(4);
    let seed: u64 = std::env::var("SEED").ok().and_then(|n| n.parse().ok()).unwrap_or(1);
    let mut tally = Tally::default();
    let mut faults = Vec::new();
    let run = || {
        for (e, (name, text)) in all.iter().enumerate() {
            let Some(old) = job_of(&all, name, text) else { continue };
            let old_json = serde_json::to_value(&old).unwrap();
            let old_wood = wood::read(&old_json);
            let tokens = tree_text::token_ranges(text);
            for n in 0..each {
                let mut random =
                    Random(((e * 100_000 + n) as u64 + seed * 7919).wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1);
                random.below(2);
                let changed = mutant(text, &tokens, &mut random);
                if changed == *text {
                    continue;
                }
                let Some(new) = job_of(&all, name, &changed) else { continue };
                tally.mutants += 1;
                let new_json = serde_json::to_value(&new).unwrap();
                let new_wood = wood::read(&new_json);
                for slack in [4, MM / 10] {
                    let tolerance = Some(Mm(Rational::ratio(slack.into(), MM.into())));
                    let c = compare(&old, &new, &Options { tolerance, ..Options::default() });
                    let c = serde_json::to_value(&c).unwrap();
                    let found = check(&c, &old_wood, &new_wood, slack, &mut tally);
                    faults.extend(found.into_iter().map(|f| format!("{name} {n}, slack {slack}: {f}")));
                }
                if faults.len() > 3 {
                    return;
                }
            }
        }
    };
    let mut run = run;
    std::thread::scope(|s| {
        std::thread::Builder::new().stack_size(512 << 20).spawn_scoped(s, &mut run).unwrap().join().unwrap()
    });
    eprintln!(
        "{} mutants, verdicts {:?}, works {:?}, reasons {:?}, remakes found right {} and not judged {}",
        tally.mutants, tally.verdicts, tally.works, tally.reasons, tally.judged, tally.unjudged
    );
    assert!(faults.is_empty(), "{}", faults.join("\n\n"));
    assert!(tally.left_out >= each);
    assert!(tally.mutants >= 3 * each, "{}", tally.mutants);
    for kind in ["trim", "band", "drill", "plug", "cut"] {
        assert!(tally.works.get(kind).is_some_and(|n| *n >= each), "{kind}: {:?}", tally.works);
    }
}

fn check(
    c: &Value,
    old: &BTreeMap<String, Wood>,
    new: &BTreeMap<String, Wood>,
    slack: Tick,
    tally: &mut Tally,
) -> Vec<String> {
    let mut faults = Vec::new();
    let mut used: BTreeMap<String, String> = BTreeMap::new();
    let mut seen = 0;
    for part in c["parts"].as_array().unwrap() {
        let verdict = part["verdict"].as_str().unwrap();
        *tally.verdicts.entry(verdict.to_string()).or_default() += 1;
        let Some(path) = part["new"]["path"].as_str() else { continue };
        seen += 1;
        let wanted = &new[path];
        let mut take = |of: &str| {
            if let Some(first) = used.insert(of.to_string(), path.to_string()) {
                faults.push(format!("{of} is promised to {first} and {path}"));
            }
        };
        let mut works = |rework: &Value| {
            for work in rework["works"].as_array().unwrap() {
                *tally.works.entry(work["kind"].as_str().unwrap().to_string()).or_default() += 1;
            }
        };
        match verdict {
            "unchanged" | "moved" | "renamed" | "exchanged" | "rework" => {
                let idle = serde_json::json!({
                    "laid": { "axes": ["x", "y", "z"], "turned": [false, false, false], "at": [0, 0, 0],
                              "size": wanted.size.map(|s| s as f64 / MM as f64) },
                    "works": [],
                });
                let rework = part.get("rework").unwrap_or(&idle);
                let of = rework["of"].as_str().or(part["old"]["path"].as_str()).unwrap();
                take(of);
                works(rework);
                if (verdict == "rework") == rework["works"].as_array().unwrap().is_empty() {
                    faults.push(format!("{path}: {verdict} with {}", rework["works"]));
                }
                if let Err(fault) = check_rework(&old[of], wanted, rework, slack) {
                    faults.push(format!("{path} of {of}, {verdict}: {fault}\n{rework:#}"));
                }
                // Any work left out shows.
                let all = rework["works"].as_array().unwrap();
                if slack <= 4 && !all.is_empty() {
                    let mut less = rework.clone();
                    let gone = less["works"].as_array_mut().unwrap().remove(tally.left_out % all.len());
                    tally.left_out += 1;
                    if check_rework(&old[of], wanted, &less, slack).is_ok() {
                        faults.push(format!("{path} of {of}: needless {gone}"));
                    }
                }
            }
            "remake" | "new" | "cut_as_drawn" => {
                if let Some(offer) = part.get("offer") {
                    let of = offer["of"].as_str().unwrap();
                    take(of);
                    works(offer);
                    if let Err(fault) = check_rework(&old[of], wanted, offer, slack) {
                        faults.push(format!("{path} offered {of}: {fault}\n{offer:#}"));
                    }
                }
                if verdict == "remake" {
                    let reasons = part["reasons"].as_array().unwrap();
                    if reasons.is_empty() {
                        faults.push(format!("{path}: no reason"));
                    }
                    for reason in reasons {
                        *tally.reasons.entry(reason["code"].as_str().unwrap().to_string()).or_default() += 1;
                    }
                    let of = part["old"]["path"].as_str().unwrap();
                    let boards = ["board", "thickness"];
                    if reasons.iter().any(|r| boards.contains(&r["code"].as_str().unwrap())) {
                        tally.judged += 1;
                        continue;
                    }
                    match ways(&old[of], wanted, slack) {
                        Ways::None => tally.judged += 1,
                        Ways::Unsure => tally.unjudged += 1,
                        Ways::One(how) => {
                            faults.push(format!(
                                "{path} is remade, and could be had: {how}, said {}",
                                part["reasons"]
                            ));
                        }
                    }
                }
            }
            _ => {}
        }
    }
    if seen != new.len() {
        faults.push(format!("{seen} of {} parts", new.len()));
    }
    faults
}

enum Ways {
    None,
    Unsure,
    One(String),
}

/// By trying every turn and every place that could matter: whether there is a way to lay the old piece so that
/// nothing that cannot be mended is in the way.
fn ways(old: &Wood, new: &Wood, slack: Tick) -> Ways {
    let old = old.clone().thickened(new.size[new.axes[2]]);
    let mut unsure = false;
    for order in [[0, 1, 2], [1, 0, 2]] {
        if new.grain && order[0] == 1 {
            continue;
        }
        for bits in 0..8u8 {
            // New axis i comes from old axis `from[i]`.
            let mut from = [0; 3];
            for i in 0..3 {
                from[new.axes[i]] = old.axes[order[i]];
            }
            let flip = [0, 1, 2].map(|i| bits >> i & 1 == 1);
            let [a, b, c] = from;
            let swaps = usize::from(a > b) + usize::from(a > c) + usize::from(b > c);
            if (swaps + flip.iter().filter(|f| **f).count()) % 2 != 0 {
                continue;
            }
            let turned = turn(&old, from, flip);
            if turned.good.is_some() && new.good.is_some() && turned.good != new.good {
                continue;
            }
            for x in shifts(&turned, new, new.axes[0], slack) {
                for y in shifts(&turned, new, new.axes[1], slack) {
                    let mut at = [0; 3];
                    at[new.axes[0]] = x;
                    at[new.axes[1]] = y;
                    match blocked(&turned, new, at, slack) {
                        Some(true) => {}
                        Some(false) => return Ways::One(format!("turn {from:?} {flip:?}, at {at:?}")),
                        None => unsure = true,
                    }
                }
            }
        }
    }
    if unsure { Ways::Unsure } else { Ways::None }
}

fn turn(old: &Wood, from: [usize; 3], flip: [bool; 3]) -> Wood {
    let size = from.map(|i| old.size[i]);
    let to = |axis: usize| from.iter().position(|f| *f == axis).unwrap();
    let side = |(axis, high): (usize, bool)| (to(axis), high != flip[to(axis)]);
    let point = |p: Point| [0, 1, 2].map(|i| if flip[i] { size[i] - p[from[i]] } else { p[from[i]] });
    let mut new = old.clone();
    new.size = size;
    new.axes = old.axes.map(to);
    new.good = old.good.map(side);
    for band in &mut new.bands {
        band.0 = side(band.0);
    }
    for cut in &mut new.cuts {
        let (lo, hi) = (point(cut.block.map(|r| r.0)), point(cut.block.map(|r| r.1)));
        cut.block = [0, 1, 2].map(|i| (lo[i].min(hi[i]), lo[i].max(hi[i])));
        cut.axis = to(cut.axis);
        cut.round = cut.round.map(|(d, a)| (d, to(a)));
    }
    for hole in &mut new.holes {
        hole.mouth = point(hole.mouth);
        (hole.axis, hole.high) = side((hole.axis, hole.high));
    }
    new
}

/// Where the old piece may lie on an axis so that its wood reaches from end to end of the new wood: the ends of
/// that, and where anything that cannot be mended begins or stops being in the way.
fn shifts(old: &Wood, new: &Wood, i: usize, slack: Tick) -> Vec<Tick> {
    let wood = |w: &Wood| (w.band((i, false)), w.size[i] - w.band((i, true)));
    let (a, b) = (wood(old), wood(new));
    let (least, most) = (b.1 - a.1, b.0 - a.0);
    let alike = |high: bool| old.named_band((i, high)) == new.named_band((i, high));
    let mut all = Vec::new();
    if alike(false) && alike(true) && (old.size[i] - new.size[i]).abs() <= slack {
        all.push(0);
    }
    if least > most + slack {
        return all;
    }
    all.extend([least, most]);
    let (mut from, mut to) = (Vec::new(), vec![b.0, b.1]);
    for cut in &old.cuts {
        from.extend([cut.block[i].0, cut.block[i].1]);
    }
    for hole in old.holes.iter().filter(|h| h.axis != i) {
        from.extend([hole.mouth[i] - hole.widest() / 2, hole.mouth[i] + hole.widest() / 2]);
    }
    for cut in &new.cuts {
        to.extend([cut.block[i].0, cut.block[i].1]);
    }
    for hole in new.holes.iter().filter(|h| h.axis != i && h.widest() > 12 * MM) {
        to.extend([hole.mouth[i] - hole.widest() / 2, hole.mouth[i] + hole.widest() / 2]);
    }
    for p in from {
        all.extend(to.iter().map(|q| q - p).filter(|s| least < *s && *s < most));
    }
    all.sort_unstable();
    all.dedup();
    all
}

/// Whether something is in the way that cannot be mended; none where that is not told here.
fn blocked(old: &Wood, new: &Wood, at: Point, slack: Tick) -> Option<bool> {
    // Where wood is wanted that the old piece has to give.
    let want = [0, 1, 2].map(|i| {
        let ends = (new.band((i, false)), new.size[i] - new.band((i, true)));
        let flush = |high: bool| {
            let beyond = if high { at[i] + old.size[i] - new.size[i] } else { -at[i] };
            beyond.abs() <= slack && old.named_band((i, high)) == new.named_band((i, high))
        };
        (if flush(false) { 0 } else { ends.0 }, if flush(true) { new.size[i] } else { ends.1 })
    });
    for cut in &old.cuts {
        let block = [0, 1, 2]
            .map(|i| ((cut.block[i].0 + at[i]).max(want[i].0), (cut.block[i].1 + at[i]).min(want[i].1)));
        if block.iter().any(|r| r.1 - r.0 <= slack.max(8)) {
            continue;
        }
        if cut.round.is_some() {
            let moved = |c: &wood::Cut| [0, 1, 2].map(|i| (c.block[i].0 + at[i], c.block[i].1 + at[i]));
            let same = new.cuts.iter().any(|c| {
                c.round.is_some()
                    && (0..3).all(|i| {
                        (c.block[i].0 - moved(cut)[i].0).abs() <= slack
                            && (c.block[i].1 - moved(cut)[i].1).abs() <= slack
                    })
            });
            if !same {
                return None;
            }
            continue;
        }
        // Cell by cell.
        let lines = [0, 1, 2].map(|i| {
            let mut all = vec![block[i].0, block[i].1];
            for c in &new.cuts {
                for end in [c.block[i].0 - slack, c.block[i].1 + slack] {
                    if block[i].0 < end && end < block[i].1 {
                        all.push(end);
                    }
                }
            }
            all.sort_unstable();
            all.dedup();
            all
        });
        for x in lines[0].windows(2) {
            for y in lines[1].windows(2) {
                for z in lines[2].windows(2) {
                    let cell = [x, y, z];
                    if cell.iter().any(|w| w[1] - w[0] <= 8) {
                        continue;
                    }
                    let covered = new.cuts.iter().any(|c| {
                        c.round.is_none()
                            && (0..3).all(|i| {
                                c.block[i].0 - slack <= cell[i][0] && cell[i][1] <= c.block[i].1 + slack
                            })
                    });
                    if !covered {
                        return Some(true);
                    }
                }
            }
        }
    }
    if !old.bevels.is_empty() {
        return None;
    }
    for hole in &old.holes {
        let r = hole.widest() / 2;
        let mut reach = [0, 1, 2].map(|i| (hole.mouth[i] + at[i] - r, hole.mouth[i] + at[i] + r));
        let mouth = hole.mouth[hole.axis] + at[hole.axis];
        reach[hole.axis] = if hole.high { (mouth - hole.depth, mouth) } else { (mouth, mouth + hole.depth) };
        let inside = |i: usize| reach[i].1.min(want[i].1) - reach[i].0.max(want[i].0);
        if (0..3).any(|i| inside(i) <= slack.max(8)) {
            continue;
        }
        let open = (0..3).any(|i| i != hole.axis && inside(i) < reach[i].1 - reach[i].0 - slack.max(8));
        if open || hole.widest() > 12 * MM {
            // Whether a cut or a wider hole of the new part takes it in is not told here.
            return None;
        }
    }
    Some(false)
}

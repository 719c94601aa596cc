//! Steps as sentences.

use crate::geometry::{Axis, Face, Shape};
use crate::job::{Job, Mm, Part};
use crate::outputs::words::{a_few, count, listed, side};
use crate::planning::assembly::{
    Act, Caution, Fastening, Group, Lying, Mounting, Rim, Spot, Stage, StageKind, Step,
};
use crate::values::Style;
use std::collections::BTreeMap;

/// The job in words a maker reads.
pub struct Words<'a> {
    job: &'a Job,
    style: Style,
    /// How many pieces each mark has.
    pieces: BTreeMap<&'a str, usize>,
}

/// A name of the text as words.
fn plain(name: &str) -> String {
    name.replace('_', " ")
}

impl<'a> Words<'a> {
    pub fn new(job: &'a Job) -> Words<'a> {
        let pieces = job.same.iter().map(|s| (s.mark.as_str(), s.pieces.len())).collect();
        Words { job, style: job.house.style(), pieces }
    }

    pub(super) fn at(&self, p: usize) -> Option<&'a Part> {
        self.job.parts.get(p)
    }

    pub(super) fn figure(&self, mm: Mm) -> String {
        self.style.figure(mm.0)
    }

    // ---- Stages ----

    pub fn title(&self, stage: &Stage) -> String {
        let boxes = together(&stage.boxes);
        match stage.kind {
            StageKind::Ready => "Make the parts ready".to_string(),
            StageKind::Build => {
                let entry = stage.boxes.first().and_then(|b| self.job.boxes.iter().find(|e| e.path == *b));
                let words = entry.map(|e| format!(" ({})", plain(&e.type_name))).unwrap_or_default();
                match stage.boxes.len() {
                    0 | 1 => format!("Build {boxes}{words}"),
                    n => format!("Build {boxes}{words}, {n} times"),
                }
            }
            StageKind::Site => format!("Set up {boxes}"),
            StageKind::Inside => format!("Put in what goes inside {boxes}"),
            StageKind::Fronts => match boxes.is_empty() {
                true => "What is left".to_string(),
                false => format!("Fronts of {boxes}"),
            },
        }
    }

    pub fn lead(&self, stage: &Stage) -> String {
        match (stage.kind, stage.bench) {
            (StageKind::Ready, _) => {
                "Each part before anything is put together: band it, then cut, then bore. \
                Holes marked IN PLACE on the maps wait until the parts are joined."
                    .to_string()
            }
            (StageKind::Build, Some(face)) => {
                format!(
                    "On a flat, clean bench, {} edges down. Clamp a block beside the first part: it stands by \
                     itself only when the second is tacked to it.",
                    face.word()
                )
            }
            (StageKind::Fronts, _) if !stage.boxes.is_empty() => {
                "Last, when all stands level: set the gaps between fronts before the screws are tight."
                    .to_string()
            }
            _ => String::new(),
        }
    }

    // ---- Things ----

    /// `bottom CB`
    pub(super) fn part(&self, p: usize) -> String {
        self.at(p).map(|part| format!("{} {}", plain(part.name()), part.mark)).unwrap_or_default()
    }

    /// A part that is in place already.
    fn other(&self, p: usize) -> String {
        self.part(p)
    }

    pub(super) fn others(&self, all: &[usize]) -> String {
        let names: Vec<String> = all.iter().map(|p| self.other(*p)).collect();
        listed(&names)
    }

    /// What is taken in hand, in all equal boxes.
    fn things(&self, all: &[Group]) -> String {
        let Some(first) = all.first() else { return String::new() };
        if first.built {
            let names: Vec<String> = all.iter().map(|g| g.path.clone()).collect();
            return together(&names);
        }
        let names: Vec<String> = first
            .parts
            .iter()
            .zip(0..)
            .map(|(p, n)| {
                let Some(part) = self.at(*p) else { return String::new() };
                let pieces: Vec<String> = all
                    .iter()
                    .filter_map(|g| g.parts.get(n).and_then(|p| self.at(*p)))
                    .map(|p| p.piece.to_string())
                    .collect();
                let several = self.pieces.get(part.mark.as_str()).is_some_and(|n| *n > 1);
                let pieces = if several { format!("/{}", pieces.join(",")) } else { String::new() };
                format!("{} {}{pieces}", plain(part.name()), part.mark)
            })
            .collect();
        listed(&names)
    }

    /// `the inner face of left`.
    pub(super) fn face(&self, p: usize, face: Face) -> String {
        let Some(part) = self.at(p) else { return String::new() };
        let side = side(part, face);
        let word = if side.is_empty() { face.word() } else { side };
        let kind = if part.is_wide(face) { "face" } else { "edge" };
        format!("the {word} {kind} of {}", self.part(p))
    }

    /// `3 × connector screw 7mm x 50mm`.
    pub(super) fn item(&self, name: &str, n: Option<u64>) -> String {
        let entry = self.job.items.iter().find(|i| i.name == name);
        let words = entry.and_then(|i| i.description.clone()).unwrap_or_else(|| plain(name));
        match n {
            Some(n) => format!("{n} × {words}"),
            None => words,
        }
    }

    // ---- Steps ----

    pub fn step(&self, stage: &Stage, step: &Step) -> String {
        let things = self.things(&step.things);
        match &step.act {
            Act::Ready { bands, cuts, bevels, holes } => self.ready(step, bands, cuts, *bevels, *holes),
            Act::Start => match stage.bench {
                Some(face) => format!("Stand {things} on the bench, {} down.", self.down(step, face)),
                None => format!("Take {things}."),
            },
            Act::Place { from, stance, hosts, takes, tacks } => {
                self.place(&things, *from, stance.as_ref(), hosts, takes, tacks, step)
            }
            Act::Fasten(all) => self.fasten_all(all),
            Act::Mount(all) => self.mount_all(all),
            Act::Square { plane, sizes, diagonal } => self.square(*plane, *sizes, *diagonal),
            Act::Stand { on, level, at } => {
                let on = match (on.is_empty(), at) {
                    (true, None) => "in its place".to_string(),
                    (true, Some(at)) => format!("in its place, {}", self.spot(*at)),
                    (false, _) => format!("on {}", self.whose(on)),
                };
                let level = if *level { "; level it both ways before anything stands on it" } else { "" };
                let verb = if self.lies(step) { "Lay" } else { "Stand" };
                format!("{verb} {things} {on}{level}.")
            }
            Act::ToWall { at, fasten } => {
                let how = match fasten.is_empty() {
                    true => "Fix it to the wall (the file does not say with what).".to_string(),
                    false => self.fasten_all(fasten),
                };
                let at = at.map_or("at its height".to_string(), |at| self.spot(at));
                format!("Hold {things} to the wall, {at}, level. {how}")
            }
            Act::Hang { on } => format!("Hang {things}: lower it until it hooks over {}.", self.whose(on)),
            Act::Hold { at } => match at {
                Some(at) => format!("Hold {things} in its place, {}, level.", self.spot(*at)),
                None => format!("Hold {things} in its place."),
            },
            Act::LayIn { with } => {
                let with: Vec<String> = with.iter().map(|(i, n)| self.item(i, Some(*n))).collect();
                match with.is_empty() {
                    true => format!("Lay in {things}."),
                    false => format!("Lay in {things}, on {}.", listed(&with)),
                }
            }
            Act::SlideIn { by, fasten } => {
                let by = match by.is_empty() {
                    true => String::new(),
                    false => format!(", its slides into those on {}", self.hosts(by)),
                };
                format!("Slide in {things}{by}. {}", self.fasten_all(fasten)).trim_end().to_string()
            }
            Act::Front { by, fasten } => {
                let set = match by.is_empty() {
                    true => format!("Set {things} in its place."),
                    false => format!("Hang {things} on {}.", self.hosts(by)),
                };
                format!("{set} {}", self.fasten_all(fasten)).trim_end().to_string()
            }
        }
    }

    /// `its top 2041 above the highest point of the floor, its left end 726 from the left end of the wall`.
    fn spot(&self, at: Spot) -> String {
        let top = format!("its top {} above the floor's highest point", self.figure(at.top));
        match at.left.0.is_negative() {
            true => top,
            false => format!("{top} and its left end {} from the wall's left end", self.figure(at.left)),
        }
    }

    /// A single part whose wide face is down.
    fn lies(&self, step: &Step) -> bool {
        let [group] = &step.things[..] else { return false };
        let [part] = group.parts[..] else { return false };
        self.at(part).is_some_and(|p| p.is_wide(Face::Bottom))
    }

    /// The parts that hardware is set on.
    fn hosts(&self, all: &[Mounting]) -> String {
        let mut parts: Vec<usize> = Vec::new();
        for m in all {
            if !parts.contains(&m.on) {
                parts.push(m.on);
            }
        }
        self.others(&parts)
    }

    fn ready(
        &self,
        step: &Step,
        bands: &[Face],
        cuts: &[(Shape, usize)],
        bevels: usize,
        holes: usize,
    ) -> String {
        let parts: Vec<&Part> =
            step.things.iter().flat_map(|g| &g.parts).filter_map(|p| self.at(*p)).collect();
        let Some(first) = parts.first() else { return String::new() };
        let mut names: Vec<String> = Vec::new();
        for part in &parts {
            let name = plain(crate::job::name_and_index(part.name()).0);
            if !names.contains(&name) {
                names.push(name);
            }
        }
        let mut doing: Vec<String> = Vec::new();
        if !bands.is_empty() {
            doing.push(format!(
                "band {}",
                crate::outputs::words::banded(first).replace("all four", "all four edges")
            ));
        }
        let cuts: Vec<String> = cuts.iter().map(|(shape, n)| cut_words(*shape, *n)).collect();
        if !cuts.is_empty() {
            doing.push(format!("cut {}", listed(&cuts)));
        }
        if bevels > 0 {
            doing.push(format!("bevel {}", count(bevels, "edge", "edges")));
        }
        if holes > 0 {
            doing.push(format!("bore {}", count(holes, "hole", "holes")));
        }
        if doing.is_empty() {
            doing.push("nothing but its size".to_string());
        }
        let pieces = if parts.len() > 1 { format!(", {} pieces", parts.len()) } else { String::new() };
        format!("{} {}{pieces}: {}.", first.mark, listed(&names), doing.join(", "))
    }

    /// `its front edge`, `its inner face`.
    fn down(&self, step: &Step, face: Face) -> String {
        let part = step.things.first().and_then(|g| g.parts.first()).and_then(|p| self.at(*p));
        let built = step.things.first().is_some_and(|g| g.built);
        match part.filter(|_| !built) {
            Some(part) if part.is_wide(face) => {
                let side = side(part, face);
                format!("its {} face", if side.is_empty() { face.word() } else { side })
            }
            Some(_) => format!("its {} edge", face.word()),
            None => format!("the {}", face.word()),
        }
    }

    #[allow(clippy::too_many_arguments)]
    fn place(
        &self,
        things: &str,
        from: Option<Face>,
        stance: Option<&Lying>,
        hosts: &[usize],
        takes: &[usize],
        tacks: &[Fastening],
        step: &Step,
    ) -> String {
        let mut out = match (hosts.is_empty(), from) {
            (false, from) => {
                let part = step.things.first().and_then(|g| g.parts.first()).and_then(|p| self.at(*p));
                let flat = from.is_some_and(|f| part.is_some_and(|p| p.is_wide(f)));
                let way = from.map(|f| format!(" from the {}", f.word())).unwrap_or_default();
                let verb = if flat { "Lay" } else { "Slide" };
                format!("{verb} {things} in{way}, into {}", self.cuts_of(hosts, step))
            }
            (true, _) => match stance {
                Some(stance) => format!("Set {things} {}", self.stance(stance)),
                None => format!("Set {things} in its place"),
            },
        };
        if !takes.is_empty() {
            out.push_str(&format!(", its groove over the edge of {}", self.others(takes)));
        }
        out.push('.');
        let (pinned, held): (Vec<&Fastening>, Vec<&Fastening>) =
            tacks.iter().partition(|f| f.tack.is_some() && f.from.is_some());
        for tack in self.tacks(&pinned) {
            out.push(' ');
            out.push_str(&tack);
        }
        if !held.is_empty() {
            out.push_str(if pinned.is_empty() {
                " Hold it with clamps."
            } else {
                " Hold the rest with clamps."
            });
        }
        out
    }

    /// `the grooves of left and right`, `the rebate of left`.
    fn cuts_of(&self, hosts: &[usize], step: &Step) -> String {
        let own: Vec<&str> = step
            .things
            .first()
            .into_iter()
            .flat_map(|g| &g.parts)
            .filter_map(|p| self.at(*p))
            .map(|p| p.path.as_str())
            .collect();
        let mut shapes: Vec<Shape> = hosts
            .iter()
            .filter_map(|q| self.at(*q))
            .flat_map(|q| q.cuts.iter().filter(|c| c.by.as_deref().is_some_and(|by| own.contains(&by))))
            .map(|c| c.shape)
            .collect();
        let cuts = shapes.len();
        shapes.dedup();
        let word = match shapes[..] {
            [shape] => cut_word(shape, cuts != 1),
            _ => "cuts",
        };
        format!("the {word} of {}", self.others(hosts))
    }

    fn stance(&self, stance: &Lying) -> String {
        let host = match stance.face {
            Some(face) => format!("against {}", self.face(stance.against, face)),
            None => format!("at {}", self.other(stance.against)),
        };
        let flush: Vec<&str> = stance
            .rims
            .iter()
            .filter_map(|r| match r {
                Rim::Flush(face) => Some(face.word()),
                Rim::Off(..) => None,
            })
            .collect();
        let mut rims = Vec::new();
        if !flush.is_empty() {
            rims.push(format!("flush at the {}", listed(&flush)));
        }
        for rim in &stance.rims {
            if let Rim::Off(face, off) = rim {
                rims.push(format!("{} from the {}", self.figure(*off), face.word()));
            }
        }
        match rims.is_empty() {
            true => host,
            false => format!("{host}, {}", rims.join(", ")),
        }
    }

    fn square(&self, plane: [Axis; 2], sizes: [Mm; 2], diagonal: Mm) -> String {
        let word = match plane {
            [Axis::X, Axis::Y] => "from corner to corner of the front",
            [Axis::X, Axis::Z] => "from corner to corner, seen from above",
            _ => "from corner to corner of the side",
        };
        format!(
            "Measure both diagonals, {word}, outside: {} each ({} × {}). Push the longer one in until they are equal.",
            self.figure(diagonal),
            self.figure(sizes[0]),
            self.figure(sizes[1])
        )
    }

    /// The boxes of some parts, or the parts themselves where they are few.
    fn whose(&self, parts: &[usize]) -> String {
        let mut names: Vec<String> = Vec::new();
        for part in parts.iter().filter_map(|p| self.at(*p)) {
            let name = if parts.len() > 3 {
                part.box_path.clone()
            } else {
                format!("{} {}", plain(part.name()), part.mark)
            };
            if !names.contains(&name) {
                names.push(name);
            }
        }
        match names.len() {
            0..=4 => listed(&names),
            _ => a_few(&names, 4),
        }
    }
}

/// Paths of equal things: `a`, `a and b`, `jars[1] to jars[4]`.
fn together(paths: &[String]) -> String {
    let (Some(first), Some(last)) = (paths.first(), paths.last()) else { return String::new() };
    // Where only one number differs and counts up, the ends say it all.
    let numbers =
        |path: &str| -> Vec<Option<u64>> { path.split(['[', ']']).map(|piece| piece.parse().ok()).collect() };
    let all: Vec<(Vec<Option<u64>>, String)> =
        paths.iter().map(|p| (numbers(p), p.chars().filter(|c| !c.is_ascii_digit()).collect())).collect();
    let steps = all.windows(2).all(|pair| {
        let [(a, words), (b, others)] = pair else { return false };
        let mut counted = a.iter().zip(b).filter(|(m, n)| m != n);
        let up = |m: &Option<u64>, n: &Option<u64>| m.zip(*n).is_some_and(|(m, n)| n == m + 1);
        let one = counted.next().is_some_and(|(m, n)| up(m, n)) && counted.next().is_none();
        one && words == others && a.len() == b.len()
    });
    match paths.len() {
        0..=2 => listed(paths),
        _ if steps => format!("{first} to {last}"),
        3..=6 => listed(paths),
        _ => a_few(paths, 6),
    }
}

fn cut_word(shape: Shape, several: bool) -> &'static str {
    match (shape, several) {
        (Shape::Groove, false) => "groove",
        (Shape::Groove, true) => "grooves",
        (Shape::Housing, false) => "housing",
        (Shape::Housing, true) => "housings",
        (Shape::Rebate, false) => "rebate",
        (Shape::Rebate, true) => "rebates",
        (Shape::Notch, false) => "notch",
        (Shape::Notch, true) => "notches",
        (Shape::Slot, false) => "slot",
        (Shape::Slot, true) => "slots",
    }
}

fn cut_words(shape: Shape, n: usize) -> String {
    match n {
        1 => format!("the {}", cut_word(shape, false)),
        n => format!("{n} {}", cut_word(shape, true)),
    }
}

/// A caution in a sentence.
pub fn caution(caution: Caution) -> String {
    match caution {
        Caution::Lift(n) => format!("{n} people lift."),
        Caution::Wall => "Find cables and pipes before you bore into the wall.".to_string(),
        Caution::Overhead => "Nobody stands under it until it hangs and is locked.".to_string(),
    }
}

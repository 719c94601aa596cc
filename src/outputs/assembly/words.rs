//! Steps as sentences.

use crate::geometry::{Axis, Face, Shape};
use crate::job::{At, Job, Mm, Part};
use crate::outputs::words::{a_few, count, listed, side};
use crate::planning::assembly::{
    Act, Caution, Fastening, Group, Lying, Mounting, Rim, Stage, StageKind, Step,
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

    fn at(&self, p: usize) -> Option<&'a Part> {
        self.job.parts.get(p)
    }

    fn figure(&self, mm: Mm) -> String {
        self.style.figure(mm.0)
    }

    // ---- Stages ----

    pub fn title(&self, stage: &Stage) -> String {
        let boxes = a_few(&stage.boxes, 6);
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
                     itself only when the second is pinned to it.",
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
    fn part(&self, p: usize) -> String {
        self.at(p).map(|part| format!("{} {}", plain(part.name()), part.mark)).unwrap_or_default()
    }

    /// A part that is in place already.
    fn other(&self, p: usize) -> String {
        self.part(p)
    }

    fn others(&self, all: &[usize]) -> String {
        let names: Vec<String> = all.iter().map(|p| self.other(*p)).collect();
        listed(&names)
    }

    /// What is taken in hand, in all equal boxes.
    fn things(&self, all: &[Group]) -> String {
        let Some(first) = all.first() else { return String::new() };
        if first.built {
            let names: Vec<&str> = all.iter().map(|g| g.path.as_str()).collect();
            return a_few(&names, 4);
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
    fn face(&self, p: usize, face: Face) -> String {
        let Some(part) = self.at(p) else { return String::new() };
        let side = side(part, face);
        let word = if side.is_empty() { face.word() } else { side };
        let kind = if part.is_wide(face) { "face" } else { "edge" };
        format!("the {word} {kind} of {}", self.part(p))
    }

    /// `3 × connector screw 7mm x 50mm`.
    fn item(&self, name: &str, n: Option<u64>) -> String {
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
            Act::Place { from, lying, hosts, takes, tacks } => {
                self.place(&things, *from, lying.as_ref(), hosts, takes, tacks, step)
            }
            Act::Fasten(all) => self.fasten_all(all),
            Act::Mount(all) => all.iter().map(|m| self.mount(m)).collect::<Vec<_>>().join(" "),
            Act::Square { plane, sizes, diagonal } => self.square(*plane, *sizes, *diagonal),
            Act::Stand { on, level } => {
                let on = match on.is_empty() {
                    true => "in its place".to_string(),
                    false => format!("on {}", self.whose(on)),
                };
                let level = if *level { ", and level it both ways before anything stands on it" } else { "" };
                format!("Stand {things} {on}{level}.")
            }
            Act::ToWall { fasten } => {
                let how = match fasten.is_empty() {
                    true => "Fix it to the wall (the file does not say with what).".to_string(),
                    false => self.fasten_all(fasten),
                };
                format!("Hold {things} to the wall at its height, level. {how}")
            }
            Act::Hang { on } => format!("Hang {things}: lower it until it hooks over {}.", self.whose(on)),
            Act::Hold => format!("Hold {things} in its place."),
            Act::LayIn { with } => {
                let with: Vec<String> = with.iter().map(|(i, n)| self.item(i, Some(*n))).collect();
                match with.is_empty() {
                    true => format!("Lay in {things}."),
                    false => format!("Lay in {things}, on {}.", listed(&with)),
                }
            }
            Act::SlideIn { fasten } => {
                format!("Slide in {things}. {}", self.fasten_all(fasten)).trim_end().to_string()
            }
            Act::Front { fasten } => {
                format!("Set {things} in its place. {}", self.fasten_all(fasten)).trim_end().to_string()
            }
        }
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
        lying: Option<&Lying>,
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
            (true, _) => match lying {
                Some(lying) => format!("Set {things} {}", self.lying(lying)),
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

    fn lying(&self, lying: &Lying) -> String {
        let host = match lying.face {
            Some(face) => format!("against {}", self.face(lying.against, face)),
            None => format!("at {}", self.other(lying.against)),
        };
        let flush: Vec<&str> = lying
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
        for rim in &lying.rims {
            if let Rim::Off(face, off) = rim {
                rims.push(format!("{} from the {}", self.figure(*off), face.word()));
            }
        }
        match rims.is_empty() {
            true => host,
            false => format!("{host}, {}", rims.join(", ")),
        }
    }

    /// How parts are pinned: one sentence for each item, the faces together where their places are the same.
    fn tacks(&self, all: &[&Fastening]) -> Vec<String> {
        let mut groups: Vec<((String, String), Vec<&Fastening>)> = Vec::new();
        for f in all {
            let (Some((item, at)), Some((part, _))) = (&f.tack, f.from) else { continue };
            let key = (self.item(item, Some(at.len() as u64)), self.places(part, at));
            match groups.iter_mut().find(|(k, _)| *k == key) {
                Some((_, group)) => group.push(f),
                None => groups.push((key, vec![f])),
            }
        }
        // Tacks through one face are one sentence, however many parts they go into.
        let mut sentences: Vec<(String, Vec<String>)> = Vec::new();
        for ((item, places), group) in &groups {
            let each = if group.len() > 1 { " at each" } else { "" };
            let faces = self.faces(group);
            let words = format!("{item}{each}, {places}");
            match sentences.iter_mut().find(|(f, _)| *f == faces) {
                Some((_, all)) => all.push(words),
                None => sentences.push((faces, vec![words])),
            }
        }
        sentences.iter().map(|(faces, all)| format!("Tack through {faces}: {}.", all.join("; "))).collect()
    }

    /// `the outer face of left`, `the outer faces of left and right`, `the outer face of floor into front and rear`.
    fn faces(&self, group: &[&Fastening]) -> String {
        let mut froms: Vec<(usize, Face)> = Vec::new();
        for from in group.iter().filter_map(|f| f.from) {
            if !froms.contains(&from) {
                froms.push(from);
            }
        }
        let words: Vec<(String, String)> = froms
            .iter()
            .map(|(p, face)| self.face(*p, *face))
            .map(|f| {
                f.split_once(" of ")
                    .map(|(a, b)| (a.to_string(), b.to_string()))
                    .unwrap_or((f, String::new()))
            })
            .collect();
        let Some((lead, first)) = words.first() else { return String::new() };
        if words.len() == 1 && group.len() > 1 {
            let into: Vec<usize> = group.iter().filter_map(|f| other_end(f)).collect();
            return format!("{lead} of {first} into {}", self.others(&into));
        }
        if words.iter().all(|(l, _)| l == lead) && words.len() > 1 {
            let hosts: Vec<&String> = words.iter().map(|(_, host)| host).collect();
            return format!("{lead}s of {}", listed(&hosts));
        }
        listed(&words.iter().map(|(l, host)| format!("{l} of {host}")).collect::<Vec<_>>())
    }

    /// `35 from the front and rear, 9 from the bottom`: from the nearer edge.
    fn places(&self, p: usize, at: &[At]) -> String {
        let (Some(first), Some(part)) = (at.first(), self.at(p)) else { return String::new() };
        let along = |which: usize| {
            let edge = first.from[which];
            let size = part.size(edge.axis());
            let near: Vec<(Mm, Face)> = at
                .iter()
                .map(|place| place.mm[which])
                .map(|mm| match size.sub(mm.0) {
                    Ok(other) if other < mm.0 => (Mm(other), edge.opposite()),
                    _ => (mm, edge),
                })
                .collect();
            let mut figures: Vec<String> = Vec::new();
            let mut edges: Vec<&str> = Vec::new();
            for (mm, edge) in &near {
                if !figures.contains(&self.figure(*mm)) {
                    figures.push(self.figure(*mm));
                }
                if !edges.contains(&edge.word()) {
                    edges.push(edge.word());
                }
            }
            match figures.len() {
                1 => format!("{} from the {}", listed(&figures), listed(&edges)),
                _ => {
                    let all: Vec<String> = at.iter().map(|place| self.figure(place.mm[which])).collect();
                    format!("{} from the {}", listed(&all), edge.word())
                }
            }
        };
        format!("{}, {}", along(0), along(1))
    }

    /// What holds them: fixes that are done alike are one sentence.
    fn fasten_all(&self, all: &[Fastening]) -> String {
        let mut groups: Vec<Vec<&Fastening>> = Vec::new();
        for f in all {
            let like = |g: &&mut Vec<&Fastening>| g.first().is_some_and(|first| alike(first, f));
            match groups.iter_mut().find(like) {
                Some(group) => group.push(f),
                None => groups.push(vec![f]),
            }
        }
        groups.iter().map(|g| self.fasten(g)).collect::<Vec<_>>().join(" ")
    }

    fn fasten(&self, group: &[&Fastening]) -> String {
        let Some(f) = group.first() else { return String::new() };
        let name = |p: Option<usize>, wall: &Option<String>| match p {
            Some(p) => self.part(p),
            None => wall.clone().unwrap_or_default(),
        };
        let pairs: Vec<String> =
            group.iter().map(|f| format!("{} to {}", name(f.a, &f.wall), name(f.b, &f.wall))).collect();
        let pairs = listed(&pairs);
        let tool = f.tool.as_ref().map(|t| format!(" ({t})")).unwrap_or_default();
        let glue = if f.glue { format!("Glue {pairs}. ") } else { String::new() };
        let Some((item, _)) = &f.with else {
            return match f.glue {
                true => format!("{glue}Clamp until it has set{tool}."),
                false => format!("Join {pairs}{tool}."),
            };
        };
        let total = group.iter().map(|f| f.with.as_ref().and_then(|(_, n)| *n)).sum::<Option<u64>>();
        let item = self.item(item, total);
        let way = if f.from.is_some() { format!("through {}", self.faces(group)) } else { String::new() };
        let Some(bores) = f.bores else {
            let way = if way.is_empty() || group.len() > 1 { String::new() } else { format!(" {way}") };
            return format!("{glue}Fix {pairs}{way}: {item}{tool}.");
        };
        let into: Vec<String> = {
            let mut counted: Vec<(usize, usize)> = Vec::new();
            for b in group.iter().filter_map(|f| f.bores) {
                match counted.iter_mut().find(|(p, _)| *p == b.part) {
                    Some((_, n)) => *n += b.count,
                    None => counted.push((b.part, b.count)),
                }
            }
            counted
                .iter()
                .map(|(p, n)| format!("{} into {}", count(*n, "hole", "holes"), self.part(*p)))
                .collect()
        };
        // Which part each hole goes into is said by the holes.
        let way = match way.split_once(" into ") {
            Some((way, _)) => way.to_string(),
            None => way,
        };
        format!(
            "{glue}{} {}, Ø{} and {} deep, then drive {item}{tool}.",
            capital(&format!("{way} bore").trim_start().replace("  ", " ")),
            listed(&into),
            self.figure(bores.dia),
            self.figure(bores.depth)
        )
    }

    fn mount(&self, m: &Mounting) -> String {
        let with = m.with.as_ref().map(|(i, n)| format!(" with {}", self.item(i, *n))).unwrap_or_default();
        let holes = match m.holes {
            0 => String::new(),
            n => format!(", in the {} bored for it", count(n, "hole", "holes")),
        };
        let tool = m.tool.as_ref().map(|t| format!(" ({t})")).unwrap_or_default();
        let part = self.face(m.on, m.face);
        format!("Set the {} on {part}{with}{holes}{tool}.", self.item(&m.item, None))
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

/// The part that a fix is driven into: the end that it is not driven through.
fn other_end(f: &Fastening) -> Option<usize> {
    let through = f.from.map(|(p, _)| p);
    [f.a, f.b].into_iter().flatten().find(|p| Some(*p) != through)
}

/// True where two fixes are done in the same way.
fn alike(a: &Fastening, b: &Fastening) -> bool {
    let bores = |f: &Fastening| f.bores.map(|b| (b.dia, b.depth));
    let item = |f: &Fastening| f.with.as_ref().map(|(i, _)| i.clone());
    item(a) == item(b)
        && bores(a) == bores(b)
        && (a.glue, &a.tool, a.from.is_some()) == (b.glue, &b.tool, b.from.is_some())
}

/// A sentence begins with a capital letter.
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
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

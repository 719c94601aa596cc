//! How things are held, in sentences: tacks, bores and screws, hardware.

use super::words::Words;
use crate::geometry::Face;
use crate::job::{At, Mm};
use crate::outputs::words::{count, listed};
use crate::planning::assembly::{Fastening, Mounting};

impl Words<'_> {
    /// How parts are tacked: one sentence for each item, the faces together where their places are the same.
    pub(super) fn tacks(&self, all: &[&Fastening]) -> Vec<String> {
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
    pub(super) fn fasten_all(&self, all: &[Fastening]) -> String {
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
        // One thing held to several is named once.
        let mut pairs: Vec<(String, Vec<String>)> = Vec::new();
        for f in group {
            let (a, b) = (name(f.a, &f.wall), name(f.b, &f.wall));
            match pairs.iter_mut().find(|(first, _)| *first == a) {
                Some((_, others)) => others.push(b),
                None => pairs.push((a, vec![b])),
            }
        }
        let pairs: Vec<String> = pairs.iter().map(|(a, b)| format!("{a} to {}", listed(b))).collect();
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

    /// Hardware that is set alike on several faces is one sentence.
    pub(super) fn mount_all(&self, all: &[Mounting]) -> String {
        let mut groups: Vec<(String, Vec<String>, usize, &Mounting)> = Vec::new();
        for m in all {
            let with =
                m.with.as_ref().map(|(i, n)| format!(" with {}", self.item(i, *n))).unwrap_or_default();
            let holes = match m.holes {
                0 => String::new(),
                n => format!(", in the {} bored for it", count(n, "hole", "holes")),
            };
            let tool = m.tool.as_ref().map(|t| format!(" ({t})")).unwrap_or_default();
            let how = format!("{with}{holes}{tool}");
            let face = self.face(m.on, m.face);
            match groups.iter_mut().find(|(h, _, _, first)| *h == how && first.item == m.item) {
                Some((_, faces, n, _)) => {
                    *n += 1;
                    if !faces.contains(&face) {
                        faces.push(face);
                    }
                }
                None => groups.push((how, vec![face], 1, m)),
            }
        }
        let sentence = |(how, faces, n, m): &(String, Vec<String>, usize, &Mounting)| {
            let item = self.item(&m.item, None);
            match (*n, faces.len()) {
                (1, _) => format!("Set the {item} on {}{how}.", faces.join("")),
                (n, all) if n == all => format!("Set the {item} on {}, each{how}.", listed(faces)),
                (n, _) => format!("Set the {item} on {}, {n} in all, each{how}.", listed(faces)),
            }
        };
        groups.iter().map(sentence).collect::<Vec<_>>().join(" ")
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

//! The figures of holes, cuts and bevels.

use super::names::Words;
use super::{Asker, Found, Unknown};
use crate::evaluation::Value;
use crate::evaluation::reasons::{Formula, OfCut, OfHole, StepId};
use crate::geometry::Axis;
use crate::job::{Cut, Hole, Part, Shape, hole_axes, numbered_holes};

const OF_HOLE: &[&str] = &["at", "from 1", "from 2", "dia", "depth", "head"];
const OF_CUT: &[&str] = &["from 1", "to 1", "from 2", "to 2", "width", "depth", "dia"];

impl Asker<'_, '_, '_> {
    /// A hole by its id, and a figure of it.
    pub(super) fn hole_id(&mut self, what: &str) -> Option<Found> {
        let (path, label) = what.split_once('/')?;
        let job = self.job;
        let i = job.parts.binary_search_by(|p| crate::job::path_order(&p.path, path.trim())).ok()?;
        let part = &job.parts[i];
        let hash = label.rfind('#')?;
        let digits = label.get(hash + 1..)?.bytes().take_while(u8::is_ascii_digit).count();
        let (id, rest) = what.split_at_checked(path.len() + 1 + hash + 1 + digits)?;
        let ids: Vec<&str> = part.holes.iter().map(|h| h.id.as_str()).collect();
        let about = self.about(part);
        match part.holes.iter().find(|h| h.id == id.trim()) {
            Some(hole) => Some(self.figures_of_hole(part, hole, about, &Words::of(rest))),
            None => Some(Err(Unknown {
                message: format!("`{}` has no hole `{}`", part.path, id),
                near: crate::diagnostics::nearest(id, ids.iter().copied()).map(str::to_string),
                known: ids.iter().take(24).map(|s| (*s).to_string()).collect(),
            })),
        }
    }

    /// How many holes a part has, by the joints that ask for them.
    pub(super) fn holes_counted(&mut self, part: &Part) -> Vec<StepId> {
        let mut groups: std::collections::BTreeMap<&str, Vec<usize>> = std::collections::BTreeMap::new();
        for hole in &part.holes {
            let label = hole.id.rsplit_once('#').map_or(hole.id.as_str(), |(label, _)| label);
            groups.entry(label).or_default().extend(self.origins.record_of(hole.origin));
        }
        let mut steps = Vec::new();
        // Where there are few joints the reason of each follows.
        let open_up = self.telling.library || groups.len() <= 3;
        for (label, records) in groups {
            let value = Value::number(records.len() as i64);
            let first = records.first().copied();
            let Some((span, scope)) = first.and_then(|i| self.graph.drilled_at(i)) else { continue };
            let words = Formula::Words("drilled so many times".to_string());
            steps.push(self.graph.made(label.to_string(), words, Some(span), Some(value), |it, open| {
                if open_up {
                    it.rounds_around(scope, open);
                }
                None
            }));
        }
        let value = Value::number(part.holes.len() as i64);
        let words = match steps.len() {
            1 => "for one joint".to_string(),
            n => format!("for {n} joints"),
        };
        let span = steps.first().and_then(|_| self.origins.part_of(part.origin));
        let span = span.map(|p| self.graph.span_of_part(p));
        let all =
            self.graph.made("holes".to_string(), Formula::Words(words), span, Some(value), |_, open| {
                for step in steps {
                    open.read(step);
                }
                None
            });
        vec![all]
    }

    /// A hole by its number on the map of its part.
    pub(super) fn hole_of(&mut self, part: &Part, about: String, words: &Words) -> Found {
        let holes = numbered_holes(part);
        let asked = words.number().map(|(n, _)| n);
        let unknown = || Unknown {
            message: match (asked, holes.len()) {
                (_, 0) => format!("`{}` has no holes", part.path),
                (Some(n), 1) => format!("`{}` has no hole {n}; there is 1", part.path),
                (Some(n), last) => format!("`{}` has no hole {n}; there are {last}", part.path),
                (None, 1) => format!("`{}` has 1 hole; say `hole 1`", part.path),
                (None, last) => format!("`{}` has {last} holes; say which by its number", part.path),
            },
            near: holes.first().map(|_| format!("{} hole 1", part.path)),
            known: OF_HOLE.iter().map(|w| format!("hole 1 {w}")).collect(),
        };
        let (n, rest) = words.number().ok_or_else(unknown)?;
        let hole = n.checked_sub(1).and_then(|i| holes.get(i)).ok_or_else(unknown)?;
        self.figures_of_hole(part, hole, about, &rest)
    }

    fn figures_of_hole(&mut self, part: &Part, hole: &Hole, about: String, words: &Words) -> Found {
        let unknown = || Unknown::figure(&hole.id, &words.text(), OF_HOLE);
        let index = self.origins.record_of(hole.origin).ok_or_else(unknown)?;
        let axes = hole_axes(hole);
        let at = |which: usize| (OfHole::At(axes[which]), format!("from the {}", hole.at.from[which].word()));
        let from = |word: &str| hole.at.from.iter().position(|e| e.word() == word);
        let mut asked: Vec<(OfHole, String)> = Vec::new();
        let head = |asked: &mut Vec<(OfHole, String)>| {
            for (i, step) in hole.profile.iter().enumerate() {
                let n = if hole.profile.len() == 1 { String::new() } else { format!(" {}", i + 1) };
                asked.push((OfHole::Head(i, 0), format!("head{n} dia")));
                if step.dia != step.end_dia {
                    asked.push((OfHole::Head(i, 1), format!("head{n} narrowing to")));
                }
                asked.push((OfHole::Head(i, 2), format!("head{n} depth")));
            }
        };
        let text = words.text();
        match text.as_str() {
            "" => {
                asked.extend([at(0), at(1), (OfHole::Dia, "dia".into()), (OfHole::Depth, "depth".into())]);
                head(&mut asked);
            }
            "at" | "place" | "position" | "from" => asked.extend([at(0), at(1)]),
            "from 1" | "1" => asked.push(at(0)),
            "from 2" | "2" => asked.push(at(1)),
            "dia" | "diameter" => asked.push((OfHole::Dia, "dia".into())),
            "depth" => asked.push((OfHole::Depth, "depth".into())),
            "head" | "profile" => head(&mut asked),
            text => {
                let edge = text.strip_prefix("from ").unwrap_or(text);
                asked.push(from(edge).map(at).ok_or_else(unknown)?);
            }
        }
        let about = format!("{about}, hole {}", hole.id.strip_prefix(&part.path).unwrap_or(&hole.id));
        let steps: Vec<StepId> =
            asked.into_iter().filter_map(|(of, name)| self.graph.hole(index, of, name)).collect();
        if steps.is_empty() { Err(unknown()) } else { Ok((about, steps)) }
    }

    /// `cut 2 depth`, `groove`, `slot 1 dia`
    pub(super) fn cut_of(&mut self, part: &Part, about: String, words: &Words) -> Found {
        let shape = match words.first() {
            Some("groove") => Some(Shape::Groove),
            Some("housing") => Some(Shape::Housing),
            Some("rebate") => Some(Shape::Rebate),
            Some("notch") => Some(Shape::Notch),
            Some("slot") => Some(Shape::Slot),
            _ => None,
        };
        let cuts: Vec<&Cut> = part.cuts.iter().filter(|c| shape.is_none_or(|s| c.shape == s)).collect();
        let word = words.first().unwrap_or("cut");
        let unknown = || Unknown {
            message: format!("`{}` has no such {word}", part.path),
            near: cuts.first().map(|_| format!("{} {word} 1", part.path)),
            known: OF_CUT.iter().map(|w| format!("{word} 1 {w}")).collect(),
        };
        let (n, rest) = words.rest().number().unwrap_or((1, words.rest()));
        let cut = n.checked_sub(1).and_then(|i| cuts.get(i)).ok_or_else(unknown)?;
        let index = self.origins.record_of(cut.origin).ok_or_else(unknown)?;
        let deep = cut.face.axis();
        let across = Axis::ALL.into_iter().find(|a| *a != deep && *a != cut.runs).unwrap_or(deep);
        let low = |axis: Axis| crate::geometry::Face::of(axis, false).word();
        let end = |axis: Axis, high: bool| {
            let word = if high { "to" } else { "from" };
            (OfCut::End(axis, high), format!("{word}, from the {}", low(axis)))
        };
        let mut asked: Vec<(OfCut, String)> = Vec::new();
        let depth = (OfCut::Size(deep), "depth".to_string());
        let dia = cut.dia.map(|_| (OfCut::Dia, "dia".to_string()));
        match rest.text().as_str() {
            "" => {
                let ends = [across, cut.runs].map(|a| [end(a, false), end(a, true)]);
                asked.extend(ends.into_iter().flatten());
                asked.push(depth);
                asked.extend(dia);
            }
            "from 1" => asked.push(end(across, false)),
            "to 1" => asked.push(end(across, true)),
            "from 2" => asked.push(end(cut.runs, false)),
            "to 2" => asked.push(end(cut.runs, true)),
            "place" | "at" => {
                asked.extend([across, cut.runs].map(|a| [end(a, false), end(a, true)]).into_iter().flatten());
            }
            "width" | "wide" => asked.push((OfCut::Size(across), "width".to_string())),
            "length" | "long" => asked.push((OfCut::Size(cut.runs), "length".to_string())),
            "depth" | "deep" => asked.push(depth),
            "dia" => asked.extend(dia),
            text => return Err(Unknown::figure(&format!("{} {word} {n}", part.path), text, OF_CUT)),
        }
        let name = cut.shape.word();
        let by = cut.by.as_deref().map(|b| format!(" for {b}")).unwrap_or_default();
        let steps: Vec<StepId> =
            asked.into_iter().filter_map(|(of, name)| self.graph.cut(index, of, name)).collect();
        if steps.is_empty() { Err(unknown()) } else { Ok((format!("{about}, {name}{by}"), steps)) }
    }

    /// `bevel 1 rise`
    pub(super) fn bevel_of(&mut self, part: &Part, about: String, words: &Words) -> Found {
        let (n, rest) = words.number().unwrap_or((1, words.rest()));
        let unknown = || Unknown {
            message: format!("`{}` has no such bevel", part.path),
            near: part.bevels.first().map(|_| format!("{} bevel 1", part.path)),
            known: vec!["bevel 1 rise".to_string(), "bevel 1 run".to_string()],
        };
        let bevel = n.checked_sub(1).and_then(|i| part.bevels.get(i)).ok_or_else(unknown)?;
        let index = self.origins.record_of(bevel.origin).ok_or_else(unknown)?;
        let both: &[bool] = match rest.text().as_str() {
            "" => &[true, false],
            "rise" => &[true],
            "run" | "bevel run" => &[false],
            _ => return Err(unknown()),
        };
        let steps: Vec<StepId> = both
            .iter()
            .filter_map(|rise| {
                let name = if *rise { "rise" } else { "run" };
                self.graph.bevel(index, *rise, name.to_string())
            })
            .collect();
        Ok((format!("{about}, bevel of its {} edge", bevel.face.word()), steps))
    }
}

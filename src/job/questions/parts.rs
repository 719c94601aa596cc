//! The figures of a part.

use super::names::{self, Words};
use super::{Asker, Found, Unknown};
use crate::evaluation::PartId;
use crate::evaluation::Value;
use crate::evaluation::reasons::{Formula, StepId};
use crate::geometry::Axis;
use crate::job::Part;

/// What can be asked of a part.
const FIGURES: &[&str] = &[
    "length",
    "width",
    "thickness",
    "cut length",
    "cut width",
    "quantity",
    "place",
    "x start",
    "x end",
    "y start",
    "y end",
    "z start",
    "z end",
    "weight",
];

impl Asker<'_, '_, '_> {
    pub(super) fn of_part(&mut self, index: usize, words: &Words) -> Found {
        let job = self.job;
        let part = &job.parts[index];
        let about = self.about(part);
        let id = self.origins.part_of(part.origin);
        let unknown = || Unknown::figure(&part.path, &words.text(), FIGURES);
        let id = id.ok_or_else(unknown)?;
        match words.first() {
            Some("hole") => return self.hole_of(part, about, &words.rest()),
            Some("holes") => return Ok((about, self.holes_counted(part))),
            Some("cut" | "groove" | "housing" | "rebate" | "notch" | "slot")
                if !matches!(words.text().as_str(), "cut length" | "cut width" | "cut size") =>
            {
                return self.cut_of(part, about, words);
            }
            Some("bevel") => return self.bevel_of(part, about, &words.rest()),
            _ => {}
        }
        if let Some((axis, high)) = words.axis_end() {
            let step = self.place(part, id, axis, high);
            return step.map(|s| (about, vec![s])).ok_or_else(unknown);
        }
        if words.text() == "gross mass" {
            let step = self.graph.part_mass(id);
            return Ok((about, vec![step]));
        }
        let names: &[&str] = match words.text().as_str() {
            "" => &["length", "width", "thickness", "cut length", "cut width"],
            "size" => &["length", "width", "thickness"],
            "travel" | "moves by" | "opens" | "opens by" => {
                return self.moves(&part.path).ok_or_else(unknown);
            }
            "load" => return self.load_on(&part.path).ok_or_else(unknown),
            "cut size" | "cut" => &["cut length", "cut width"],
            "qty" | "count" | "pieces" => &["quantity"],
            "x size" | "y size" | "z size" => {
                let axis = match words.first() {
                    Some("x") => Axis::X,
                    Some("y") => Axis::Y,
                    _ => Axis::Z,
                };
                let step = self.graph.part_size(id, axis);
                return step.map(|s| (about, vec![s])).ok_or_else(unknown);
            }
            "place" => {
                let mut steps = Vec::new();
                for axis in Axis::ALL {
                    steps.extend(self.place(part, id, axis, false));
                    steps.extend(self.place(part, id, axis, true));
                }
                return Ok((about, steps));
            }
            text => match FIGURES.iter().position(|f| *f == text) {
                Some(i) => &FIGURES[i..=i],
                None => return Err(unknown()),
            },
        };
        let steps: Vec<StepId> = names.iter().filter_map(|n| self.size(part, id, n)).collect();
        if steps.is_empty() { Err(unknown()) } else { Ok((about, steps)) }
    }

    /// `floor.clay.left (mark CL, 2 pieces)`
    pub(super) fn about(&self, part: &Part) -> String {
        let pieces = self.job.same.iter().find(|s| s.mark == part.mark).map_or(1, |s| s.pieces.len());
        let several = if pieces == 1 { String::new() } else { format!(", {pieces} pieces") };
        format!("{} (mark {}{several})", part.path, part.mark)
    }

    fn place(&mut self, part: &Part, id: PartId, axis: Axis, high: bool) -> Option<StepId> {
        let end = if high { "end" } else { "start" };
        self.graph.part_place(id, axis, high, format!("{}.{}.{end}", part.path, names::axis(axis)))
    }

    fn size(&mut self, part: &Part, id: PartId, name: &str) -> Option<StepId> {
        let graph = &mut self.graph;
        let step = match name {
            "length" => graph.part_size(id, part.axes[0])?,
            "width" => graph.part_size(id, part.axes[1])?,
            "thickness" => graph.part_thickness(id)?,
            "cut length" => return graph.part_cut(id, part.axes[0], "cut length".to_string()),
            "cut width" => return graph.part_cut(id, part.axes[1], "cut width".to_string()),
            "quantity" => return self.pieces(part),
            _ => return None,
        };
        let span = graph.steps[step].span;
        let words = match name {
            "thickness" => Formula::Words(graph.steps[step].name.clone()),
            _ => graph.steps[step].formula.clone(),
        };
        let title = format!("finished {name}");
        let title = if name == "thickness" { "thickness".to_string() } else { title };
        Some(graph.made(title, words, span, None, |it, open| it.one(step, open)))
    }

    /// How many pieces are the same.
    fn pieces(&mut self, part: &Part) -> Option<StepId> {
        let same = self.job.same.iter().find(|s| s.mark == part.mark)?;
        let n = same.pieces.len();
        let mut ids: Vec<PartId> = Vec::new();
        for path in &same.pieces {
            let piece = self.job.parts.binary_search_by(|p| crate::job::path_order(&p.path, path)).ok()?;
            ids.extend(self.origins.part_of(self.job.parts[piece].origin));
        }
        const TOLD: usize = 6;
        let mut list = same.pieces.iter().take(TOLD).cloned().collect::<Vec<_>>().join(", ");
        if n > TOLD {
            list.push_str(&format!(" and {} more", n - TOLD));
        }
        let words = Formula::Words(format!("equal pieces: {list}"));
        let span = self.graph.span_of_part(*ids.first()?);
        let value = Value::number(n as i64);
        Some(self.graph.made("quantity".to_string(), words, Some(span), Some(value), |it, open| {
            for id in ids {
                it.pieces_of(id, open);
            }
            None
        }))
    }
}

//! A rework and its reasons in the words and figures of the two jobs.

use super::model::*;
use super::piece::{Piece, PieceHole, Tick, area, mm};
use super::rework::{Fault, Fit, HoleFault, Left, Task};
use super::work::*;
use crate::geometry::{Axis, Face, Interval, Shape};
use crate::job::{At, Part};
use crate::values::{Figure, Mm, Style};

/// A part as it is named in a comparison.
pub(super) fn part_ref(part: &Part) -> PartRef {
    PartRef {
        path: part.path.clone(),
        mark: part.mark.clone(),
        piece: part.piece,
        board: part.board.clone(),
        size: [part.length, part.width, part.thickness],
    }
}

/// What is done to the piece of `old` so that it becomes `new`, whose wood is `wood`.
pub(super) fn rework(fit: &Fit, old: &Part, new: &Part, wood: &Piece) -> Rework {
    let laid = Laid {
        axes: fit.turn.from.map(|i| Axis::ALL[i]),
        turned: fit.turn.flip,
        at: fit.at.map(mm),
        size: fit.size.map(mm),
    };
    let works = fit.tasks.iter().filter_map(|task| work(task, &laid, old, new, wood)).collect();
    let within = fit.within.iter().map(|(what, by)| {
        let what = match what {
            Left::Size(axis) => ["x", "y", "z"][*axis as usize].to_string(),
            Left::Hole(i) => new.holes.get(*i).map(|h| h.id.clone()).unwrap_or_default(),
            Left::Cut(i) => new.cuts.get(*i).map_or("cut", |c| c.shape.word()).to_string(),
            Left::Bevel(face) => format!("bevel of the {} face", face.word()),
        };
        Within { what, by: mm(*by) }
    });
    Rework {
        of: old.path.clone(),
        mark: old.mark.clone(),
        laid,
        works,
        survives: Survives {
            bands: fit.bands.clone(),
            cuts: fit.cuts,
            holes: fit.holes,
            holes_gone: fit.holes_gone,
        },
        within: within.collect(),
        waste: Figure(area(fit.waste)),
        effort: fit.effort,
    }
}

fn work(task: &Task, laid: &Laid, old: &Part, new: &Part, wood: &Piece) -> Option<Work> {
    let hole_id = |part: &Part, i: usize| part.holes.get(i).map(|h| h.id.clone());
    let old_band = |face: Face| old.bands.get(&laid.old_face(face)).cloned();
    Some(match task {
        Task::Strip { face } => Work::Strip {
            face: *face,
            old_face: laid.old_face(*face),
            band: old_band(*face)?,
            thickness: mm(stripped(fit_edge(laid, wood, *face))),
        },
        Task::Trim { face, off, line, shorter, banded, cuts, bevelled, bored } => {
            let mut there: Vec<String> = Vec::new();
            if *banded {
                there.push("band".to_string());
            }
            let mut cuts: Vec<(Shape, bool)> =
                cuts.iter().filter_map(|(i, whole)| Some((old.cuts.get(*i)?.shape, !whole))).collect();
            cuts.sort_unstable();
            cuts.dedup();
            let cuts = cuts.into_iter().map(|(shape, end)| match end {
                true => format!("end of the {}", shape.word()),
                false => shape.word().to_string(),
            });
            there.extend(cuts);
            if *bevelled {
                there.push("bevel".to_string());
            }
            if *bored {
                there.push("holes".to_string());
            }
            Work::Trim {
                face: *face,
                old_face: laid.old_face(*face),
                off: mm(*off),
                line: mm(*line),
                shorter: mm(*shorter),
                band: if *banded { old_band(*face) } else { None },
                there,
            }
        }
        Task::Band { face, again } => Work::Band {
            face: *face,
            band: new.bands.get(face)?.clone(),
            thickness: mm(wood.band(*face)),
            again: *again,
        },
        Task::Plug { hole, span, why, again } => Work::Plug {
            id: hole_id(old, hole.index)?,
            face: hole.face,
            at: at(hole, wood),
            dia: mm(hole.dia),
            depth: mm(hole.depth),
            through: hole.through,
            profile: old.holes.get(hole.index)?.profile.clone(),
            span: Interval::new(mm(span.0).0, mm(span.1).0),
            why: (*why).to_string(),
            again: again.and_then(|i| hole_id(new, i)),
        },
        Task::Drill { new: index, over } => {
            let hole = new.holes.get(*index)?;
            Work::Drill {
                id: hole.id.clone(),
                face: hole.face,
                at: hole.at,
                dia: hole.dia,
                depth: hole.depth,
                through: hole.through,
                profile: hole.profile.clone(),
                bored: hole.bored,
                over: over.and_then(|i| hole_id(old, i)),
            }
        }
        Task::Cut { new: index, more } => {
            let cut = new.cuts.get(*index)?;
            let block = wood.cuts.iter().find(|c| c.index == *index)?.block;
            Work::Cut {
                shape: cut.shape,
                face: cut.face,
                cuboid: block.cuboid(),
                runs: cut.runs,
                run: cut.run,
                dia: cut.dia,
                along: cut.along,
                joint: cut.joint.clone(),
                more: *more,
            }
        }
        Task::Bevel { new: index } => {
            let bevel = wood.bevels.get(*index)?;
            Work::Bevel {
                face: bevel.face,
                rise: mm(bevel.rise),
                run: mm(bevel.run),
                long_side: bevel.long_side,
            }
        }
    })
}

/// How far the old finished edge stands out at a face, and what of that the new band takes.
fn fit_edge(laid: &Laid, wood: &Piece, face: Face) -> (Mm, Tick, Tick) {
    let i = face.axis() as usize;
    let end = if face.is_high() {
        laid.at[i].0.add(laid.size[i].0).and_then(|e| e.sub(mm(wood.size[i]).0))
    } else {
        laid.at[i].0.neg()
    };
    (Mm(end.unwrap_or(laid.at[i].0)), wood.band(face), wood.size[i])
}

/// What comes off with a band: the wood beneath ends where the new wood is to end.
fn stripped((beyond, takes, _): (Mm, Tick, Tick)) -> Tick {
    super::piece::tick(beyond.0) + takes
}

fn at(hole: &PieceHole, wood: &Piece) -> At {
    let from = hole.face.datum_edges();
    let mm = from.map(|edge| {
        let i = edge.axis() as usize;
        mm(if edge.is_high() { wood.size[i] - hole.at[i] } else { hole.at[i] })
    });
    At { from, mm }
}

/// Why an old piece cannot become a new part.
pub(super) fn reasons(faults: &[Fault], old: &Part, new: &Part, style: &Style) -> Vec<Reason> {
    let mut all: Vec<Reason> = faults.iter().map(|f| reason(f, old, new, style)).collect();
    all.sort();
    all.dedup();
    all
}

fn reason(fault: &Fault, old: &Part, new: &Part, style: &Style) -> Reason {
    let length = |t: Tick| style.fine(mm(t).0);
    let id = |part: &Part, i: usize| {
        let id = part.holes.get(i).map_or("", |h| h.id.as_str());
        id.split_once('/').map_or(id, |(_, name)| name).to_string()
    };
    let (code, text) = match fault {
        Fault::Grows { axis, by } => {
            let longer = if new.axes[0] as usize == *axis { "longer" } else { "wider" };
            (ReasonCode::Grows, format!("it would have to be {} {longer}", length(*by)))
        }
        Fault::GoodFace => (ReasonCode::GoodFace, "its good face would be hidden".to_string()),
        Fault::Cut { old: i, by } => {
            let (shape, face) = old.cuts.get(*i).map_or(("cut", Face::Front), |c| (c.shape.word(), c.face));
            let text = format!(
                "the {shape} that is in its {} face reaches {} into wood that is wanted",
                face.word(),
                length(*by)
            );
            (ReasonCode::CutInTheWay, text)
        }
        Fault::Bevel { face } => (
            ReasonCode::BevelInTheWay,
            format!("the bevel that is on it lies where the {} face is wanted square", face.word()),
        ),
        Fault::Hole { old: i, why } => {
            let dia = old.holes.get(*i).map_or(String::new(), |h| style.length(widest(h)));
            let text = match why {
                HoleFault::Open => format!("the hole {} would be cut open at an edge", id(old, *i)),
                HoleFault::Wide => format!("the hole {} is {dia} wide, too wide to plug", id(old, *i)),
            };
            (ReasonCode::HoleInTheWay, text)
        }
        Fault::IntoPlug { new: n, old: o } => (
            ReasonCode::DrillsIntoPlug,
            format!(
                "the hole {} would be drilled into the plug of {}, which is too wide to bear it",
                id(new, *n),
                id(old, *o)
            ),
        ),
    };
    Reason { code, text }
}

fn widest(hole: &crate::job::Hole) -> crate::values::Rational {
    hole.profile.iter().fold(hole.dia.0, |w, s| w.max(s.dia.0).max(s.end_dia.0))
}

/// Why two boards are not the same wood.
pub(super) fn board_reason(old: &Part, new: &Part, style: &Style) -> Reason {
    let (a, b) = (old.thickness.0, new.thickness.0);
    if old.board.split(' ').next() == new.board.split(' ').next() {
        let text = format!("it is {} thick and has to be {}", style.fine(a), style.fine(b));
        return Reason { code: ReasonCode::Thickness, text };
    }
    Reason { code: ReasonCode::Board, text: format!("it is of {} and has to be of {}", old.board, new.board) }
}

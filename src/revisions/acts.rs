//! What to do, in the order a maker acts.

use super::model::*;
use super::work::*;
use crate::values::Figure;
use std::collections::BTreeMap;

/// The acts that a comparison asks for.
pub(super) fn acts(c: &Comparison) -> Vec<Act> {
    let mut acts = Vec::new();
    let mut thing = |kind: ActKind, name: &str, quantity: u64, amount: Option<Figure>| {
        acts.push(Act {
            kind,
            thing: name.to_string(),
            quantity,
            amount,
            pieces: Vec::new(),
            works: Vec::new(),
        });
    };
    for item in &c.items {
        if item.buy() > 0 {
            thing(ActKind::Order, &item.name, item.buy(), None);
        }
        if item.left_over() > 0 {
            thing(ActKind::Return, &item.name, item.left_over(), None);
        }
    }
    for board in &c.boards {
        if let Some(sheets) = board.buy().filter(|s| *s > 0) {
            thing(ActKind::OrderBoard, &board.name, sheets, Some(board.make));
        } else if board.sheets.is_none() && board.make.0.is_positive() {
            thing(ActKind::OrderBoard, &board.name, 0, Some(board.make));
        }
        if let Some(sheets) = board.left_over().filter(|s| *s > 0) {
            thing(ActKind::ReturnBoard, &board.name, sheets, None);
        }
    }
    for band in &c.bands {
        if band.buy.0.is_positive() {
            thing(ActKind::OrderBand, &band.name, 0, Some(Figure(band.buy.0)));
        }
    }
    let mut pieces = Pieces::default();
    for part in &c.parts {
        pieces.part(part);
    }
    acts.extend(pieces.acts.into_iter().map(|(_, act)| act));
    acts.sort_by_key(|a| a.kind);
    acts
}

#[derive(Default)]
struct Pieces {
    /// Each with what its works are alike in.
    acts: Vec<(String, Act)>,
    known: BTreeMap<(ActKind, String), usize>,
}

impl Pieces {
    fn add(&mut self, kind: ActKind, piece: PieceRef, works: Vec<Work>, alike: String) {
        let key = (kind, alike);
        match self.known.get(&key).copied().and_then(|i| self.acts.get_mut(i)) {
            Some((_, act)) => {
                act.quantity += 1;
                act.pieces.push(piece);
            }
            None => {
                self.known.insert(key.clone(), self.acts.len());
                let act =
                    Act { kind, thing: String::new(), quantity: 1, amount: None, pieces: vec![piece], works };
                self.acts.push((key.1, act));
            }
        }
    }

    fn part(&mut self, part: &PartChange) {
        let Some(new) = &part.new else {
            self.set_aside(part);
            return;
        };
        let own = part.rework.as_ref().map(|r| (r.of.clone(), r.mark.clone()));
        let own =
            own.or_else(|| part.old.as_ref().filter(|_| part.cut).map(|o| (o.path.clone(), o.mark.clone())));
        let piece = |from: Option<&(String, String)>| {
            let mark = from.map(|f| f.1.clone());
            PieceRef {
                path: new.path.clone(),
                new_mark: Some(new.mark.clone()).filter(|m| mark.as_ref() != Some(m)),
                mark,
                of: from.map(|f| f.0.clone()).filter(|p| *p != new.path),
            }
        };
        match part.verdict {
            Verdict::Unchanged | Verdict::Moved | Verdict::Renamed if part.cut => {
                let piece = piece(own.as_ref());
                let relabel = piece.new_mark.is_some() || part.verdict == Verdict::Renamed;
                let kind = if relabel { ActKind::Label } else { ActKind::Keep };
                self.add(kind, piece, Vec::new(), String::new());
            }
            Verdict::Unchanged | Verdict::Moved | Verdict::Renamed => {}
            Verdict::Exchanged => {
                self.add(ActKind::Exchange, piece(own.as_ref()), Vec::new(), String::new());
                self.set_aside(part);
            }
            Verdict::Rework => {
                if let Some(rework) = &part.rework {
                    self.works(rework, &piece(own.as_ref()));
                    if part.old.as_ref().is_some_and(|o| o.path != rework.of) {
                        self.set_aside(part);
                    }
                }
            }
            Verdict::CutAsDrawn | Verdict::New | Verdict::Remake => {
                match &part.offer {
                    Some(offer) => {
                        let from = (offer.of.clone(), offer.mark.clone());
                        let alike = format!("{}>{}", alike(&offer.works), new.mark);
                        self.add(ActKind::Offer, piece(Some(&from)), offer.works.clone(), alike);
                    }
                    None => {
                        let kind = match part.verdict {
                            Verdict::CutAsDrawn => ActKind::CutAsDrawn,
                            _ => ActKind::Make,
                        };
                        self.add(kind, piece(None), Vec::new(), new.mark.clone());
                    }
                }
                if part.verdict == Verdict::Remake {
                    self.set_aside(part);
                }
            }
            Verdict::Gone => self.set_aside(part),
        }
    }

    /// One act for each kind of work, alike pieces together.
    fn works(&mut self, rework: &Rework, piece: &PieceRef) {
        let mut by_kind: BTreeMap<WorkKind, Vec<Work>> = BTreeMap::new();
        for work in &rework.works {
            by_kind.entry(work.kind()).or_default().push(work.clone());
        }
        for (kind, works) in by_kind {
            let act = match kind {
                WorkKind::Strip => ActKind::Strip,
                WorkKind::Trim => ActKind::Trim,
                WorkKind::Plug => ActKind::Plug,
                WorkKind::Band => ActKind::Band,
                WorkKind::Drill => ActKind::Drill,
                WorkKind::Cut => ActKind::Cut,
                WorkKind::Bevel => ActKind::Bevel,
            };
            let alike = alike(&works);
            self.add(act, piece.clone(), works, alike);
        }
    }

    /// An old piece that its own part does not use and that goes nowhere else.
    fn set_aside(&mut self, part: &PartChange) {
        if let (Some(old), true, None) = (&part.old, part.cut, &part.becomes) {
            let piece =
                PieceRef { path: old.path.clone(), mark: Some(old.mark.clone()), new_mark: None, of: None };
            self.add(ActKind::SetAside, piece, Vec::new(), String::new());
        }
    }
}

/// Works by their figures: the ids of holes and the names of joints left out.
fn alike(works: &[Work]) -> String {
    let plain = works.iter().cloned().map(|mut work| {
        match &mut work {
            Work::Plug { id, again, .. } => {
                id.clear();
                *again = None;
            }
            Work::Drill { id, over, .. } => {
                id.clear();
                *over = over.take().map(|_| String::new());
            }
            Work::Cut { joint, .. } => joint.clear(),
            _ => {}
        }
        work
    });
    format!("{:?}", plain.collect::<Vec<_>>())
}

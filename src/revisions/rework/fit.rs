//! One way of laying an old piece into the place of a new part, and what has then to be done to it.

use super::cover::{leftover, reach};
use super::holes;
use crate::geometry::{Axis, Face};
use crate::revisions::piece::{Block, Piece, PieceBevel, PieceCut, PieceHole, ROUNDING, Tick, Turn};

/// One thing to do; numbers index the features of the old and the new part.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::revisions) enum Task {
    Strip {
        face: Face,
    },
    Trim {
        face: Face,
        off: Tick,
        line: Tick,
        shorter: Tick,
        banded: bool,
        /// Old cuts at that edge, and whether they go wholly.
        cuts: Vec<(usize, bool)>,
        bevelled: bool,
        bored: bool,
    },
    Plug {
        hole: PieceHole,
        span: (Tick, Tick),
        why: &'static str,
        again: Option<usize>,
    },
    Band {
        face: Face,
        again: bool,
    },
    Drill {
        new: usize,
        over: Option<usize>,
    },
    Cut {
        new: usize,
        more: bool,
    },
    Bevel {
        new: usize,
    },
}

// About how many minutes each takes, the setting up included. Our judgement, to choose among ways.
pub(super) const DRILL: u32 = 2;
const PLUG: u32 = 4;
const STRIP: u32 = 5;
const TRIM: u32 = 8;
const BAND: u32 = 8;
const CUT: u32 = 10;

impl Task {
    fn effort(&self) -> u32 {
        match self {
            Task::Drill { .. } => DRILL,
            Task::Plug { .. } => PLUG,
            Task::Strip { .. } => STRIP,
            Task::Trim { .. } => TRIM,
            Task::Band { .. } => BAND,
            Task::Cut { .. } | Task::Bevel { .. } => CUT,
        }
    }
}

/// What a difference that is left belongs to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::revisions) enum Left {
    Size(Axis),
    Cut(usize),
    Hole(usize),
    Bevel(Face),
}

/// Why it cannot be laid so.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::revisions) enum Fault {
    /// By how much wood is missing at an edge.
    Grows {
        axis: usize,
        by: Tick,
    },
    GoodFace,
    /// An old cut, by its number; how far it reaches into what is wanted.
    Cut {
        old: usize,
        by: Tick,
    },
    Bevel {
        face: Face,
    },
    /// An old hole: what is wrong with it.
    Hole {
        old: usize,
        why: HoleFault,
    },
    /// A new hole and the old one whose plug it would meet.
    IntoPlug {
        new: usize,
        old: usize,
    },
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(in crate::revisions) enum HoleFault {
    /// It would be cut open by the new edge.
    Open,
    /// Too wide to plug.
    Wide,
}

/// How an old piece becomes a new one.
#[derive(Clone, PartialEq, Eq, Debug)]
pub(in crate::revisions) struct Fit {
    pub turn: Turn,
    pub at: [Tick; 3],
    pub size: [Tick; 3],
    pub tasks: Vec<Task>,
    pub bands: Vec<Face>,
    pub cuts: usize,
    pub holes: usize,
    pub holes_gone: usize,
    pub within: Vec<(Left, Tick)>,
    pub waste: i128,
    pub effort: u32,
}

/// The old piece once it is laid, and what is found out about it.
pub(super) struct Bench<'a> {
    /// Turned and shifted.
    pub old: &'a Piece,
    pub at: [Tick; 3],
    pub new: &'a Piece,
    pub tolerance: Tick,
    /// What of the old piece is left once its edges are trimmed, old bands that stay included.
    pub kept: Block,
    /// How deep each face of the old piece is cut back.
    pub back: [Tick; 6],
    pub fit: Fit,
    pub faults: Vec<Fault>,
    /// More effort than this is of no use.
    pub most: u32,
}

/// Lays `old`, which is turned already, with its low corner at `at`. No fault at all means that it takes more
/// effort than `most`.
pub(super) fn fit(
    old: &Piece,
    turn: Turn,
    at: [Tick; 3],
    new: &Piece,
    tolerance: Tick,
    most: u32,
) -> Result<Fit, Vec<Fault>> {
    let fit = Fit {
        turn,
        at,
        size: old.size,
        tasks: Vec::new(),
        bands: Vec::new(),
        cuts: 0,
        holes: 0,
        holes_gone: 0,
        within: Vec::new(),
        waste: 0,
        effort: 0,
    };
    let kept = Block { lo: [0; 3], hi: new.size };
    let mut bench = Bench { old, at, new, tolerance, kept, back: [0; 6], fit, faults: Vec::new(), most };
    if let (Some(a), Some(b)) = (old.good, new.good)
        && a != b
    {
        bench.faults.push(Fault::GoodFace);
    }
    bench.edges();
    if !bench.faults.is_empty() {
        return Err(bench.faults);
    }
    bench.cuts();
    bench.bevels();
    // Holes are many; where a cut is in the way they add nothing.
    if bench.faults.is_empty() {
        holes::work(&mut bench);
    }
    if !bench.faults.is_empty() {
        return Err(bench.faults);
    }
    let mut fit = bench.fit;
    let order = |t: &Task| match t {
        Task::Strip { .. } => 0,
        Task::Trim { .. } => 1,
        // A plug in an edge has to lie under its band.
        Task::Plug { .. } => 2,
        Task::Band { .. } => 3,
        Task::Drill { .. } => 4,
        Task::Cut { .. } => 5,
        Task::Bevel { .. } => 6,
    };
    fit.tasks.sort_by_key(order);
    fit.effort = fit.tasks.iter().map(Task::effort).sum();
    if fit.effort > most { Err(Vec::new()) } else { Ok(fit) }
}

impl Bench<'_> {
    /// What is done at each of the four edges.
    fn edges(&mut self) {
        let (old, new, tolerance) = (self.old, self.new, self.tolerance);
        for i in [new.axes[0], new.axes[1]] {
            let spare = old.size[i] - new.size[i];
            if spare.abs() > ROUNDING && spare.abs() <= tolerance && self.at[i] == 0 {
                self.fit.within.push((Left::Size(Axis::ALL[i]), spare));
            }
            for face in [false, true].map(|high| Face::of(Axis::ALL[i], high)) {
                let (was, now) = (old.bands[face as usize].is_some(), new.bands[face as usize].is_some());
                let edge = edge(old, new, face, self.at[i], tolerance);
                let off = match edge {
                    Edging::Keep => {
                        if now {
                            self.fit.bands.push(face);
                        }
                        continue;
                    }
                    Edging::Missing(by) => {
                        self.faults.push(Fault::Grows { axis: i, by });
                        continue;
                    }
                    Edging::Strip => old.band(face),
                    Edging::Trim { off, .. } => off,
                    Edging::Band => 0,
                };
                let line = if face.is_high() { new.size[i] - new.band(face) } else { new.band(face) };
                if face.is_high() {
                    self.kept.hi[i] = line;
                } else {
                    self.kept.lo[i] = line;
                }
                self.back[face as usize] = off;
                match edge {
                    Edging::Trim { off, shorter } => {
                        let (cuts, bored) = self.there(face, line);
                        let bevelled = old.bevels.iter().any(|b| b.face == face);
                        let trim =
                            Task::Trim { face, off, line, shorter, banded: was, cuts, bevelled, bored };
                        self.fit.tasks.push(trim);
                    }
                    Edging::Strip => self.fit.tasks.push(Task::Strip { face }),
                    _ => {}
                }
                if now {
                    self.fit.tasks.push(Task::Band { face, again: was });
                }
            }
        }
        let [l, w, _] = new.axes;
        let whole = |size: [Tick; 3]| i128::from(size[l]) * i128::from(size[w]);
        self.fit.waste = (whole(old.size) - whole(self.kept.size())).max(0);
        if !self.fit.tasks.iter().any(|t| matches!(t, Task::Trim { .. })) {
            self.fit.waste = 0;
        }
    }

    /// The old cuts that reach what a trim takes off, and whether all of them goes; and whether a hole does.
    fn there(&self, face: Face, line: Tick) -> (Vec<(usize, bool)>, bool) {
        let i = face.axis() as usize;
        let beyond =
            |b: &Block| if face.is_high() { b.hi[i] > line + ROUNDING } else { b.lo[i] < line - ROUNDING };
        let whole =
            |b: &Block| if face.is_high() { b.lo[i] > line - ROUNDING } else { b.hi[i] < line + ROUNDING };
        let cuts = self.old.cuts.iter().filter(|c| beyond(&c.block.shifted(self.at)));
        let bored = self.old.holes.iter().any(|h| h.bench && beyond(&h.block().shifted(self.at)));
        (cuts.map(|c| (c.index, whole(&c.block.shifted(self.at)))).collect(), bored)
    }

    /// Whether it takes too long already.
    pub fn is_long(&self) -> bool {
        self.fit.tasks.iter().map(Task::effort).sum::<u32>() > self.most
    }

    /// A figure that differs from the edge of what is kept by no more than the tolerance is that edge.
    pub fn snapped(&self, mut block: Block) -> Block {
        for i in 0..3 {
            for end in [self.kept.lo[i], self.kept.hi[i]] {
                for at in [&mut block.lo[i], &mut block.hi[i]] {
                    if (*at - end).abs() <= self.tolerance {
                        *at = end;
                    }
                }
            }
        }
        block
    }

    fn cuts(&mut self) {
        let (new, tolerance) = (self.new, self.tolerance);
        let mut there: Vec<PieceCut> = Vec::new();
        for cut in &self.old.cuts {
            let block = self.snapped(cut.block.shifted(self.at));
            if let Some(block) = block.common(&self.kept, tolerance) {
                there.push(PieceCut { block, ..cut.clone() });
            }
        }
        for cut in &there {
            let plain = || new.cuts.iter().filter(|c| c.round.is_none()).map(|c| c.block);
            let rest = leftover(&cut.block, plain(), tolerance);
            if rest.is_empty() || new.cuts.iter().any(|c| holds_slot(c, cut, tolerance)) {
                continue;
            }
            let by = reach(&leftover(&cut.block, plain(), 0));
            self.faults.push(Fault::Cut { old: cut.index, by });
        }
        for cut in &new.cuts {
            let same = there.iter().any(|c| holds_slot(c, cut, tolerance));
            let plain = || there.iter().filter(|c| c.round.is_none()).map(|c| c.block);
            if same || leftover(&cut.block, plain(), tolerance).is_empty() {
                self.fit.cuts += 1;
                let off = there
                    .iter()
                    .filter(|c| c.face.axis() == cut.face.axis())
                    .map(|c| apart(&c.block, &cut.block))
                    .min()
                    .unwrap_or(0);
                if off > ROUNDING && off <= tolerance {
                    self.fit.within.push((Left::Cut(cut.index), off));
                }
                continue;
            }
            let more = there.iter().any(|c| c.block.common(&cut.block, tolerance).is_some());
            self.fit.tasks.push(Task::Cut { new: cut.index, more });
        }
    }

    fn bevels(&mut self) {
        let tolerance = self.tolerance;
        let close = |a: Tick, b: Tick| (a - b).abs() <= tolerance;
        let mut done = vec![false; self.new.bevels.len()];
        for bevel in &self.old.bevels {
            let back = self.back[bevel.face as usize];
            // What is left of the slope behind the saw's line.
            let left = PieceBevel {
                rise: bevel.rise - back,
                run: if back > 0 && bevel.rise > 0 {
                    let run = i128::from(bevel.run) * i128::from(bevel.rise - back) / i128::from(bevel.rise);
                    run as Tick
                } else {
                    bevel.run
                },
                ..bevel.clone()
            };
            if left.rise <= tolerance || left.run <= tolerance {
                continue;
            }
            let found = self.new.bevels.iter().position(|b| {
                b.face == left.face
                    && b.long_side == left.long_side
                    && b.rise + tolerance >= left.rise
                    && b.run + tolerance >= left.run
            });
            match found {
                Some(i) => {
                    let b = &self.new.bevels[i];
                    if close(b.rise, left.rise) && close(b.run, left.run) {
                        done[i] = true;
                        let off = (b.rise - left.rise).abs().max((b.run - left.run).abs());
                        if off > ROUNDING {
                            self.fit.within.push((Left::Bevel(b.face), off));
                        }
                    }
                }
                None => self.faults.push(Fault::Bevel { face: bevel.face }),
            }
        }
        for (new, done) in done.into_iter().enumerate() {
            if !done {
                self.fit.tasks.push(Task::Bevel { new });
            }
        }
    }
}

/// What is done at one edge.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) enum Edging {
    Keep,
    /// Wood is missing.
    Missing(Tick),
    /// The band comes off, and the wood ends where it has to.
    Strip,
    /// `off` the old finished edge; the finished part gets `shorter` by less, where a band follows.
    Trim {
        off: Tick,
        shorter: Tick,
    },
    /// Nothing comes off before the band goes on.
    Band,
}

/// What has to be done at an edge where the low end of the old piece lies at `at` on its axis; a band follows
/// wherever the new part has one there, unless the edge is kept.
pub(super) fn edge(old: &Piece, new: &Piece, face: Face, at: Tick, tolerance: Tick) -> Edging {
    let i = face.axis() as usize;
    let beyond = if face.is_high() { at + old.size[i] - new.size[i] } else { -at };
    let (was, now) = (old.bands[face as usize], new.bands[face as usize]);
    if beyond.abs() <= tolerance && was == now {
        return Edging::Keep;
    }
    // How far the old wood reaches beyond where the new wood ends.
    let wood = beyond - old.band(face) + new.band(face);
    match () {
        () if wood < -tolerance => Edging::Missing(-wood),
        () if wood > tolerance => Edging::Trim { off: wood + old.band(face), shorter: beyond },
        () if was.is_some() => Edging::Strip,
        () => Edging::Band,
    }
}

/// The effort that an edge takes.
pub(super) fn edge_effort(done: Edging, banded: bool) -> Option<u32> {
    let band = if banded { BAND } else { 0 };
    Some(match done {
        Edging::Keep => 0,
        Edging::Missing(_) => return None,
        Edging::Strip => STRIP + band,
        Edging::Trim { .. } => TRIM + band,
        Edging::Band => band,
    })
}

/// The largest difference between the ends of two blocks.
fn apart(a: &Block, b: &Block) -> Tick {
    (0..3).map(|i| (a.lo[i] - b.lo[i]).abs().max((a.hi[i] - b.hi[i]).abs())).max().unwrap_or(0)
}

/// Whether a slot with round ends holds another, which may be the same.
fn holds_slot(outer: &PieceCut, inner: &PieceCut, tolerance: Tick) -> bool {
    let (Some((outer_dia, along)), Some((inner_dia, inner_along))) = (outer.round, inner.round) else {
        return false;
    };
    let (o, i) = (&outer.block, &inner.block);
    // Along one line, the ends of the narrower one within the rounds of the wider one.
    let axis = outer.face.axis() as usize;
    let Some(across) = (0..3).find(|i| *i != axis && *i != along) else { return false };
    let middle = |b: &Block| b.lo[across] + b.hi[across];
    along == inner_along
        && axis == inner.face.axis() as usize
        && inner_dia <= outer_dia + tolerance
        && (middle(o) - middle(i)).abs() <= 2 * tolerance
        && (0..3).all(|n| o.lo[n] - tolerance <= i.lo[n] && i.hi[n] <= o.hi[n] + tolerance)
}

//! A part as a piece of wood, in whole millionths of a millimetre, in the frame of the part.
//!
//! Figures are rounded as `job.json` rounds them, so that a job that was read back is the same wood.

use super::boards::BoardId;
use crate::geometry::{Axis, Cuboid, Face};
use crate::job::{Bored, Grain, Part};
use crate::values::{Mm, Rational};

/// A millionth of a millimetre.
pub(super) type Tick = i64;

/// Ticks in a millimetre.
pub(super) const MM: Tick = 1_000_000;

/// What rounding alone may make of a figure: two places and a corner, each by half a tick, twice.
pub(super) const ROUNDING: Tick = 4;

/// No figure is larger, so that sums and differences stay in range.
const MOST: Tick = 1 << 58;

/// A length as it stands in `job.json`.
pub(super) fn tick(value: Rational) -> Tick {
    let (n, d) = (value.numerator(), value.denominator());
    let ticks = match n.checked_mul(2 * MM as i128) {
        // To the nearest, halves away from nought.
        Some(twice) => {
            let size = (twice.unsigned_abs() + d.unsigned_abs()) / (2 * d.unsigned_abs());
            i64::try_from(size).map_or(MOST, |s| s.min(MOST))
        }
        None => MOST,
    };
    if n < 0 { -ticks } else { ticks }
}

/// A length in mm.
pub(super) fn mm(ticks: Tick) -> Mm {
    Mm(Rational::ratio(i128::from(ticks), i128::from(MM)))
}

/// An area in mm2, of ticks squared.
pub(super) fn area(ticks: i128) -> Rational {
    let square = i128::from(MM) * i128::from(MM);
    Rational::ratio(ticks, square)
}

/// A box in ticks: low and high end on x, y and z.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Block {
    pub lo: [Tick; 3],
    pub hi: [Tick; 3],
}

impl Block {
    pub fn of(c: &Cuboid) -> Block {
        Block { lo: Axis::ALL.map(|a| tick(c.on(a).lo)), hi: Axis::ALL.map(|a| tick(c.on(a).hi)) }
    }

    pub fn size(&self) -> [Tick; 3] {
        [0, 1, 2].map(|i| self.hi[i] - self.lo[i])
    }

    pub fn shifted(&self, by: [Tick; 3]) -> Block {
        Block { lo: [0, 1, 2].map(|i| self.lo[i] + by[i]), hi: [0, 1, 2].map(|i| self.hi[i] + by[i]) }
    }

    /// What both share, where it is more than `least` on each axis.
    pub fn common(&self, other: &Block, least: Tick) -> Option<Block> {
        let lo = [0, 1, 2].map(|i| self.lo[i].max(other.lo[i]));
        let hi = [0, 1, 2].map(|i| self.hi[i].min(other.hi[i]));
        (0..3).all(|i| hi[i] - lo[i] > least).then_some(Block { lo, hi })
    }

    pub fn cuboid(&self) -> Cuboid {
        let range = |i: usize| crate::geometry::Interval::new(mm(self.lo[i]).0, mm(self.hi[i]).0);
        Cuboid { x: range(0), y: range(1), z: range(2) }
    }
}

/// A band on an edge: a number for its name, and by how much it makes the part longer or wider.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Edge {
    pub word: u32,
    pub thickness: Tick,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct PieceHole {
    pub face: Face,
    /// Where its axis meets the face.
    pub at: [Tick; 3],
    pub dia: Tick,
    pub depth: Tick,
    pub through: bool,
    /// Diameter, diameter at its end, and depth of its end, of each step.
    pub steps: Vec<[Tick; 3]>,
    pub bench: bool,
    /// Which of the part's holes.
    pub index: usize,
}

impl PieceHole {
    pub fn axis(&self) -> usize {
        self.face.axis() as usize
    }

    /// A plain hole through the part, which looks the same from either face.
    pub fn is_plain(&self) -> bool {
        self.through && self.steps.is_empty()
    }

    /// Where it is on its axis: from the face to the bottom, low end first.
    pub fn span(&self) -> (Tick, Tick) {
        let mouth = self.at[self.axis()];
        if self.face.is_high() { (mouth - self.depth, mouth) } else { (mouth, mouth + self.depth) }
    }

    pub fn widest(&self) -> Tick {
        self.steps.iter().flat_map(|s| [s[0], s[1]]).chain([self.dia]).max().unwrap_or(self.dia)
    }

    /// The box round it.
    pub fn block(&self) -> Block {
        let r = self.widest().div_euclid(2);
        let (lo, hi) = (self.at.map(|c| c - r), self.at.map(|c| c + r));
        let mut block = Block { lo, hi };
        (block.lo[self.axis()], block.hi[self.axis()]) = self.span();
        block
    }
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct PieceCut {
    pub block: Block,
    pub face: Face,
    /// Of a slot with round ends: the cutter's diameter and the axis it is long on.
    pub round: Option<(Tick, usize)>,
    pub index: usize,
}

#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct PieceBevel {
    pub face: Face,
    pub long_side: Face,
    pub rise: Tick,
    pub run: Tick,
}

/// A piece of wood.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Piece {
    pub board: BoardId,
    /// Finished, on x, y and z.
    pub size: [Tick; 3],
    /// Which axis is length, width and thickness.
    pub axes: [usize; 3],
    pub grain: bool,
    pub good: Option<Face>,
    /// By face, in the order of [`Face::ALL`].
    pub bands: [Option<Edge>; 6],
    pub cuts: Vec<PieceCut>,
    pub holes: Vec<PieceHole>,
    pub bevels: Vec<PieceBevel>,
}

/// Numbers for bands, and the corner of a part's box.
pub(super) struct Context<'a> {
    /// The low corner of the place of its box.
    pub corner: [Tick; 3],
    pub board: BoardId,
    /// The thickness the wood has, where it is not what the job says.
    pub thickness: Option<Tick>,
    pub band: &'a dyn Fn(&str) -> Edge,
}

impl Piece {
    /// A part as wood. Where its board was measured anew, depths are kept from the face they are worked
    /// from, and what goes right through still does.
    pub fn of(part: &Part, context: &Context<'_>) -> Piece {
        let place = Block::of(&part.place);
        let mut size = place.size();
        let axes = part.axes.map(|a| a as usize);
        let thin = axes[2];
        let (was, now) = (size[thin], context.thickness.unwrap_or(size[thin]));
        size[thin] = now;
        let deep = |at: Tick| if at >= was - ROUNDING { now + (at - was) } else { at };
        let low = [0, 1, 2].map(|i| place.lo[i] - context.corner[i]);
        let mut bands = [None; 6];
        for (face, name) in &part.bands {
            bands[*face as usize] = Some((context.band)(name));
        }
        let cuts = part.cuts.iter().enumerate().map(|(index, cut)| {
            let mut block = Block::of(&cut.cuboid).shifted(low.map(|c| -c));
            if now != was {
                let (lo, hi) = (block.lo[thin], block.hi[thin]);
                block.hi[thin] = deep(hi);
                // From the high face: its depth stays. Right through, or in an edge: the low end stays.
                if hi >= was - ROUNDING && lo > ROUNDING {
                    block.lo[thin] = now - (was - lo);
                }
            }
            for ((lo, hi), size) in block.lo.iter_mut().zip(&mut block.hi).zip(size) {
                *lo = (*lo).max(0);
                *hi = (*hi).min(size);
            }
            let round = cut.dia.map(|d| (tick(d.0), cut.along.unwrap_or(cut.runs) as usize));
            PieceCut { block, face: cut.face, round, index }
        });
        let holes = part.holes.iter().enumerate().map(|(index, hole)| {
            let mut at = [0; 3];
            let axis = hole.face.axis() as usize;
            at[axis] = if hole.face.is_high() { size[axis] } else { 0 };
            for (edge, distance) in hole.at.from.iter().zip(hole.at.mm) {
                let i = edge.axis() as usize;
                at[i] = if edge.is_high() { size[i] - tick(distance.0) } else { tick(distance.0) };
            }
            let depth = if hole.through { size[axis] } else { tick(hole.depth.0) };
            let steps = hole.profile.iter().map(|s| [tick(s.dia.0), tick(s.end_dia.0), tick(s.depth.0)]);
            PieceHole {
                face: hole.face,
                at,
                dia: tick(hole.dia.0),
                depth,
                through: hole.through,
                steps: steps.collect(),
                bench: hole.bored == Bored::Bench,
                index,
            }
        });
        let bevels = part.bevels.iter().map(|b| {
            let run = tick(b.run.0);
            let run = if (run - was).abs() <= ROUNDING { now } else { run };
            PieceBevel { face: b.face, long_side: b.long_side, rise: tick(b.rise.0), run }
        });
        let mut piece = Piece {
            board: context.board,
            size,
            axes,
            grain: part.grain != Grain::None,
            good: part.good_face,
            bands,
            cuts: cuts.collect(),
            holes: holes.collect(),
            bevels: bevels.collect(),
        };
        piece.bevels.sort();
        piece
    }

    /// What a band takes of the finished size at a face.
    pub fn band(&self, face: Face) -> Tick {
        self.bands[face as usize].map_or(0, |e| e.thickness)
    }

    /// Turned, with its low corner at nought.
    pub fn turned(&self, turn: &Turn) -> Piece {
        if turn.is_none() {
            return self.clone();
        }
        let mut bands = [None; 6];
        for face in Face::ALL {
            bands[turn.face(face) as usize] = self.bands[face as usize];
        }
        let cuts = self.cuts.iter().map(|c| PieceCut {
            block: turn.block(&c.block, &self.size),
            face: turn.face(c.face),
            round: c.round.map(|(dia, along)| (dia, turn.axis(along))),
            index: c.index,
        });
        let holes = self.holes.iter().map(|h| PieceHole {
            face: turn.face(h.face),
            at: turn.point(h.at, &self.size),
            ..h.clone()
        });
        let bevels = self.bevels.iter().map(|b| PieceBevel {
            face: turn.face(b.face),
            long_side: turn.face(b.long_side),
            ..b.clone()
        });
        let mut piece = Piece {
            board: self.board,
            size: turn.from.map(|i| self.size[i]),
            axes: self.axes.map(|a| turn.axis(a)),
            grain: self.grain,
            good: self.good.map(|f| turn.face(f)),
            bands,
            cuts: cuts.collect(),
            holes: holes.collect(),
            bevels: bevels.collect(),
        };
        piece.bevels.sort();
        piece
    }
}

/// A way of turning a piece: which old axis lies on x, y and z, and whether it runs the other way.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug)]
pub(super) struct Turn {
    pub from: [usize; 3],
    pub flip: [bool; 3],
}

impl Turn {
    pub const NONE: Turn = Turn { from: [0, 1, 2], flip: [false; 3] };

    pub fn is_none(&self) -> bool {
        *self == Turn::NONE
    }

    /// A turn of the same hand: no reflection.
    fn is_proper(&self) -> bool {
        let [a, b, c] = self.from;
        let swaps = usize::from(a > b) + usize::from(a > c) + usize::from(b > c);
        let flips = self.flip.iter().filter(|f| **f).count();
        (swaps + flips) % 2 == 0
    }

    /// The axis where an old axis comes to lie.
    pub fn axis(&self, old: usize) -> usize {
        self.from.iter().position(|a| *a == old).unwrap_or(old)
    }

    pub fn face(&self, old: Face) -> Face {
        let axis = self.axis(old.axis() as usize);
        Face::of(Axis::ALL[axis], old.is_high() != self.flip[axis])
    }

    fn point(&self, at: [Tick; 3], size: &[Tick; 3]) -> [Tick; 3] {
        [0, 1, 2].map(|i| {
            let old = self.from[i];
            if self.flip[i] { size[old] - at[old] } else { at[old] }
        })
    }

    fn block(&self, b: &Block, size: &[Tick; 3]) -> Block {
        let (p, q) = (self.point(b.lo, size), self.point(b.hi, size));
        Block { lo: [0, 1, 2].map(|i| p[i].min(q[i])), hi: [0, 1, 2].map(|i| p[i].max(q[i])) }
    }

    /// The turns that bring thickness onto thickness and length onto length; without grain also those that
    /// bring length onto width. The one that turns least comes first.
    pub fn all(old: [usize; 3], new: [usize; 3], grain: bool) -> Vec<Turn> {
        let mut ways = vec![[(new[0], old[0]), (new[1], old[1]), (new[2], old[2])]];
        if !grain {
            ways.push([(new[0], old[1]), (new[1], old[0]), (new[2], old[2])]);
        }
        let mut turns = Vec::with_capacity(8);
        for way in ways {
            let mut from = [0; 3];
            for (to, old) in way {
                from[to] = old;
            }
            for bits in 0..8u8 {
                let turn = Turn { from, flip: [bits & 1 != 0, bits & 2 != 0, bits & 4 != 0] };
                if turn.is_proper() {
                    turns.push(turn);
                }
            }
        }
        turns.sort_by_key(|t| {
            let moved = (0..3).filter(|i| t.from[*i] != *i).count();
            (moved, t.flip.iter().filter(|f| **f).count(), t.flip)
        });
        turns
    }
}

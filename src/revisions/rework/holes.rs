//! What becomes of the holes of an old piece, and which holes of the new part have to be drilled.

use super::cover::leftover;
use super::fit::{Bench, Fault, HoleFault, Left, Task};
use crate::revisions::piece::{Block, MM, PieceHole, ROUNDING, Tick};

/// A glued-in dowel up to this width can be drilled again, wherever the new hole meets it; a wider plug is left
/// alone, because what a second hole leaves of it is a crescent that breaks out. Our judgement, no source.
const DRILLED_AGAIN: Tick = 12 * MM;
/// Wood that has to be left between a wide plug and a new hole. Our judgement, no source.
const BESIDE_PLUG: Tick = 2 * MM;
/// The widest hole that is plugged: a hinge's cup, with room. Our judgement, no source.
const WIDEST_PLUG: Tick = 40 * MM;

/// The new part's holes by axis and place, to find those near a place.
struct Near<'a> {
    holes: &'a [PieceHole],
    /// Axis, first and second coordinate across it, number.
    order: Vec<(usize, Tick, Tick, usize)>,
    widest: Tick,
}

fn across(axis: usize) -> [usize; 2] {
    match axis {
        0 => [1, 2],
        1 => [0, 2],
        _ => [0, 1],
    }
}

impl<'a> Near<'a> {
    fn of(holes: &'a [PieceHole]) -> Near<'a> {
        let place = |(i, h): (usize, &PieceHole)| {
            let [u, v] = across(h.axis());
            (h.axis(), h.at[u], h.at[v], i)
        };
        let mut order: Vec<_> = holes.iter().enumerate().map(place).collect();
        order.sort_unstable();
        Near { holes, order, widest: holes.iter().map(PieceHole::widest).max().unwrap_or(0) }
    }

    /// Holes on the same axis whose centre is at most this far on each of the two axes across.
    fn around(&self, hole: &PieceHole, far: Tick) -> impl Iterator<Item = (usize, &'a PieceHole)> + '_ {
        let [u, v] = across(hole.axis());
        let (axis, a, b) = (hole.axis(), hole.at[u], hole.at[v]);
        let start = self.order.partition_point(|o| (o.0, o.1) < (axis, a - far));
        let inside = move |o: &&(usize, Tick, Tick, usize)| o.0 == axis && o.1 <= a + far;
        self.order[start..]
            .iter()
            .take_while(inside)
            .filter(move |o| (o.2 - b).abs() <= far)
            .filter_map(|o| self.holes.get(o.3).map(|h| (o.3, h)))
    }
}

/// How an old hole stands to a new one.
enum Relation {
    /// It is that hole, but for this difference.
    Is(Tick),
    /// The new one takes all of it away.
    Within,
    /// It is too deep for it: what lies beyond is to be filled.
    TooDeep((Tick, Tick)),
    /// In the same spot and yet another hole.
    Other(&'static str),
    Apart,
}

fn square(a: &PieceHole, b: &PieceHole) -> i128 {
    let [u, v] = across(a.axis());
    let (x, y) = (i128::from(a.at[u] - b.at[u]), i128::from(a.at[v] - b.at[v]));
    x * x + y * y
}

fn relation(old: &PieceHole, span: (Tick, Tick), new: &PieceHole, tolerance: Tick) -> Relation {
    let [u, v] = across(old.axis());
    let off = (old.at[u] - new.at[u]).abs().max((old.at[v] - new.at[v]).abs());
    let close = |a: Tick, b: Tick| (a - b).abs() <= tolerance;
    let whole = new.span();
    let (low, high) = (span.0 - whole.0, whole.1 - span.1);
    let held = low >= -tolerance && high >= -tolerance;
    let room = i128::from(new.dia - old.widest() + 2 * tolerance);
    if off > tolerance {
        // Wholly inside a wider one.
        let inside = old.steps.is_empty() && room >= 0 && 4 * square(old, new) <= room * room;
        return if inside && held { Relation::Within } else { Relation::Apart };
    }
    let either = old.is_plain() && new.is_plain();
    let same_face = either || old.face == new.face || old.through && old.steps.is_empty();
    let steps = old.steps.len() == new.steps.len()
        && old.steps.iter().zip(&new.steps).all(|(a, b)| (0..3).all(|i| close(a[i], b[i])));
    let same_dia = close(old.dia, new.dia);
    if same_face && steps && same_dia {
        let worst = (old.dia - new.dia).abs().max(off).max(low.abs()).max(high.abs());
        if close(low, 0) && close(high, 0) {
            return Relation::Is(worst);
        }
        // The mouths agree and the old bottom lies deeper.
        let mouths = if new.face.is_high() { high } else { low };
        let beyond = if new.face.is_high() { (span.0, whole.0) } else { (whole.1, span.1) };
        if close(mouths, 0) && beyond.1 - beyond.0 > tolerance {
            return Relation::TooDeep(beyond);
        }
    }
    let fits = if old.steps.is_empty() { room >= 0 } else { steps && same_face && close(old.dia, new.dia) };
    if held && fits {
        return Relation::Within;
    }
    match () {
        () if !same_face => Relation::Other("other face"),
        () if old.widest() > new.widest() + tolerance => Relation::Other("narrower"),
        () => Relation::Other("shallower"),
    }
}

/// Works out plugs and new holes.
pub(super) fn work(bench: &mut Bench<'_>) {
    let (new, tolerance) = (bench.new, bench.tolerance);
    let near = Near::of(&new.holes);
    // What each new hole finds: nothing, itself (done), or an old hole that it takes in.
    let mut found: Vec<Option<usize>> = vec![None; new.holes.len()];
    let mut done = vec![false; new.holes.len()];
    let mut plugs: Vec<(PieceHole, (Tick, Tick))> = Vec::new();

    for old in bench.old.holes.iter().filter(|h| h.bench) {
        let axis = old.axis();
        let hole = PieceHole { at: [0, 1, 2].map(|i| old.at[i] + bench.at[i]), ..old.clone() };
        let block = bench.snapped(hole.block());
        let Some(left) = block.common(&bench.kept, tolerance) else {
            bench.fit.holes_gone += 1;
            continue;
        };
        let span = (left.lo[axis], left.hi[axis]);
        let mut relations = near
            .around(&hole, near.widest.max(tolerance))
            .map(|(i, n)| (i, relation(&hole, span, n, tolerance)));
        let mut spot = None;
        let mut settled = false;
        for (i, relation) in &mut relations {
            match relation {
                Relation::Is(off) => {
                    done[i] = true;
                    if new.holes[i].bench {
                        bench.fit.holes += 1;
                    }
                    if off > ROUNDING {
                        bench.fit.within.push((Left::Hole(i), off));
                    }
                    settled = true;
                }
                Relation::Within => {
                    found[i] = Some(old.index);
                    settled = true;
                }
                Relation::TooDeep(beyond) if new.holes[i].bench => {
                    done[i] = true;
                    bench.fit.holes += 1;
                    plugs.push((hole.clone(), beyond));
                    bench.fit.tasks.push(Task::Plug {
                        hole: hole.clone(),
                        span: beyond,
                        why: "shallower",
                        again: None,
                    });
                    settled = true;
                }
                Relation::Other(why) => spot = Some((i, why)),
                Relation::TooDeep(_) | Relation::Apart => {}
            }
            if settled {
                break;
            }
        }
        if settled {
            continue;
        }
        let plain = new.cuts.iter().filter(|c| c.round.is_none()).map(|c| c.block);
        if leftover(&left, plain, tolerance).is_empty() {
            bench.fit.holes_gone += 1;
            continue;
        }
        let open = |i: usize| i != axis && left.size()[i] < block.size()[i] - tolerance;
        if (0..3).any(open) {
            bench.faults.push(Fault::Hole { old: old.index, why: HoleFault::Open });
            continue;
        }
        if hole.widest() > WIDEST_PLUG {
            bench.faults.push(Fault::Hole { old: old.index, why: HoleFault::Wide });
            continue;
        }
        let moved = spot.or_else(|| {
            let far = (hole.widest() + near.widest) / 2 + 10 * MM;
            let close = near.around(&hole, far).filter(|(_, n)| n.dia == hole.dia && n.bench);
            close.min_by_key(|(i, n)| (square(&hole, n), *i)).map(|(i, _)| (i, "moved"))
        });
        let (why, again) = match moved {
            Some((i, why)) => (why, Some(i)),
            None => ("not wanted", None),
        };
        plugs.push((hole.clone(), span));
        bench.fit.tasks.push(Task::Plug { hole, span, why, again });
        if plugs.len() % 8 == 0 && bench.is_long() {
            return;
        }
    }

    for (i, hole) in new.holes.iter().enumerate() {
        if !hole.bench || done[i] {
            continue;
        }
        for (plug, span) in &plugs {
            if plug.widest() > DRILLED_AGAIN && meets(plug, *span, hole) {
                bench.faults.push(Fault::IntoPlug { new: i, old: plug.index });
                return;
            }
        }
        bench.fit.tasks.push(Task::Drill { new: i, over: found[i] });
    }
}

/// Whether a new hole comes too near to a plug.
fn meets(plug: &PieceHole, span: (Tick, Tick), hole: &PieceHole) -> bool {
    let mut around: Block = plug.block();
    (around.lo[plug.axis()], around.hi[plug.axis()]) = span;
    let around = Block { lo: around.lo.map(|c| c - BESIDE_PLUG), hi: around.hi.map(|c| c + BESIDE_PLUG) };
    if around.common(&hole.block(), 0).is_none() {
        return false;
    }
    if plug.axis() != hole.axis() {
        return true;
    }
    let least = i128::from(plug.widest() + hole.widest() + 2 * BESIDE_PLUG);
    4 * square(plug, hole) < least * least
}

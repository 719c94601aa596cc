//! A hole as the solid it takes away: round steps along one axis.

use crate::geometry::{Axis, Cuboid, Face, Interval};
use crate::job::{Cut, Hole, Part};
use crate::values::{Overflow, Rational};

/// A round step: its extent along the axis of the hole, and its radius at the low and high end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct Round {
    pub extent: Interval,
    pub low: Rational,
    pub high: Rational,
}

/// A hole in the frame of the part's own box.
#[derive(Clone, Debug)]
pub struct Bore<'a> {
    pub hole: &'a Hole,
    pub axis: Axis,
    /// The centre on the two other axes, in their order.
    pub centre: [Rational; 2],
    /// The smallest box around it.
    pub bounds: Cuboid,
    /// The widest radius, at the mouth.
    pub radius: Rational,
    /// How far it goes in.
    pub depth: Rational,
}

impl<'a> Bore<'a> {
    /// Where a hole of a part lies. `None` where its place is not given on two edges of its face.
    pub fn of(part: &Part, hole: &'a Hole) -> Result<Option<Bore<'a>>, Overflow> {
        let axis = hole.face.axis();
        let [u, v] = axis.others();
        let (Some(on_u), Some(on_v)) = (place(part, hole, u)?, place(part, hole, v)?) else {
            return Ok(None);
        };
        let mut radius = hole.dia.0.half()?;
        for step in &hole.profile {
            radius = radius.max(step.dia.0.max(step.end_dia.0).half()?);
        }
        let own = part.own.on(axis);
        let depth = if hole.through { own.size()? } else { hole.depth.0 };
        let around = |c: Rational| Ok(Interval::new(c.sub(radius)?, c.add(radius)?));
        let bounds = part
            .own
            .with(axis, inwards(own, hole.face, Rational::ZERO, depth)?)
            .with(u, around(on_u)?)
            .with(v, around(on_v)?);
        Ok(Some(Bore { hole, axis, centre: [on_u, on_v], bounds, radius, depth }))
    }

    /// Its round steps, from the mouth inwards.
    pub fn rounds(&self, part: &Part) -> Result<Vec<Round>, Overflow> {
        let own = part.own.on(self.axis);
        let mut rounds = Vec::with_capacity(1 + self.hole.profile.len());
        let mut from = Rational::ZERO;
        for step in &self.hole.profile {
            let to = step.depth.0.min(self.depth);
            if from < to {
                let (mouth, end) = (step.dia.0.half()?, step.end_dia.0.half()?);
                let (low, high) = if self.hole.face.is_high() { (end, mouth) } else { (mouth, end) };
                rounds.push(Round { extent: inwards(own, self.hole.face, from, to)?, low, high });
                from = to;
            }
        }
        if from < self.depth {
            let r = self.hole.dia.0.half()?;
            rounds.push(Round { extent: inwards(own, self.hole.face, from, self.depth)?, low: r, high: r });
        }
        Ok(rounds)
    }

    /// The centre on one of the two axes of its face.
    pub fn at(&self, axis: Axis) -> Rational {
        let [u, _] = self.axis.others();
        let [on_u, on_v] = self.centre;
        if axis == u { on_u } else { on_v }
    }
}

/// The coordinate a hole stands at on an axis of its face.
fn place(part: &Part, hole: &Hole, axis: Axis) -> Result<Option<Rational>, Overflow> {
    for (edge, mm) in hole.at.from.iter().zip(hole.at.mm) {
        if edge.axis() == axis {
            let own = part.own.on(axis);
            return Ok(Some(if edge.is_high() { own.hi.sub(mm.0)? } else { own.lo.add(mm.0)? }));
        }
    }
    Ok(None)
}

/// The extent from one depth to another below a face.
fn inwards(own: Interval, face: Face, from: Rational, to: Rational) -> Result<Interval, Overflow> {
    Ok(if face.is_high() {
        Interval::new(own.hi.sub(to)?, own.hi.sub(from)?)
    } else {
        Interval::new(own.lo.add(from)?, own.lo.add(to)?)
    })
}

fn square(n: Rational) -> Result<Rational, Overflow> {
    n.mul(n)
}

/// How far a coordinate lies outside an interval; nought within.
fn outside(i: Interval, at: Rational) -> Result<Rational, Overflow> {
    if at < i.lo { i.lo.sub(at) } else { Ok(at.sub(i.hi)?.max(Rational::ZERO)) }
}

/// The radius of a step at a coordinate within it.
fn radius_at(r: Round, at: Rational) -> Result<Rational, Overflow> {
    if r.low == r.high {
        return Ok(r.low);
    }
    let share = at.sub(r.extent.lo)?.div(r.extent.size()?).ok_or(Overflow)??;
    r.low.add(r.high.sub(r.low)?.mul(share)?)
}

/// True where two holes of one part share a volume. Exact, by squares of lengths; where a conical step
/// meets a hole square to it, the cone counts as wide as its wide end.
pub fn meet(part: &Part, a: &Bore, b: &Bore) -> Result<bool, Overflow> {
    for p in a.rounds(part)? {
        for q in b.rounds(part)? {
            let meet = if a.axis == b.axis { parallel(a, p, b, q)? } else { square_to(a, p, b, q)? };
            if meet {
                return Ok(true);
            }
        }
    }
    Ok(false)
}

fn parallel(a: &Bore, p: Round, b: &Bore, q: Round) -> Result<bool, Overflow> {
    let Some(shared) = p.extent.common(q.extent) else { return Ok(false) };
    let ([a_u, a_v], [b_u, b_v]) = (a.centre, b.centre);
    let distance = square(a_u.sub(b_u)?)?.add(square(a_v.sub(b_v)?)?)?;
    // Radii change evenly, so that their sum is largest at an end of what the steps share.
    let reach = |at: Rational| radius_at(p, at)?.add(radius_at(q, at)?);
    Ok(square(reach(shared.lo)?.max(reach(shared.hi)?))? > distance)
}

fn square_to(a: &Bore, p: Round, b: &Bore, q: Round) -> Result<bool, Overflow> {
    let Some(third) = Axis::ALL.into_iter().find(|x| *x != a.axis && *x != b.axis) else { return Ok(false) };
    // How much of each radius is left at the place nearest to the other hole's axis.
    let left = |r: Round, off: Rational| square(r.low.max(r.high))?.sub(square(off)?);
    let a_left = left(p, outside(q.extent, a.at(b.axis))?)?;
    let b_left = left(q, outside(p.extent, b.at(a.axis))?)?;
    if !a_left.is_positive() || !b_left.is_positive() {
        return Ok(false);
    }
    // They meet where the distance is under √a + √b: squared, d² − a − b < 2√(ab).
    let rest = square(a.at(third).sub(b.at(third))?)?.sub(a_left)?.sub(b_left)?;
    Ok(rest.is_negative() || square(rest)? < a_left.mul(b_left)?.mul(Rational::int(4))?)
}

/// True where a hole shares a volume with a cut of its part.
pub fn meets_cut(part: &Part, a: &Bore, cut: &Cut) -> Result<bool, Overflow> {
    let [u, v] = a.axis.others();
    let [on_u, on_v] = a.centre;
    let rounded = match (cut.dia, cut.along) {
        (Some(dia), Some(along)) if cut.face.axis() == a.axis => Some((dia.0.half()?, along)),
        _ => None,
    };
    for p in a.rounds(part)? {
        let Some(shared) = p.extent.common(cut.cuboid.on(a.axis)) else { continue };
        let mut radius = radius_at(p, shared.lo)?.max(radius_at(p, shared.hi)?);
        let (mut on_cut_u, mut on_cut_v) = (cut.cuboid.on(u), cut.cuboid.on(v));
        if let Some((cutter, along)) = rounded {
            // A round-ended slot is all that lies within the cutter's radius of its centre line.
            radius = radius.add(cutter)?;
            let line = |i: Interval, long: bool| -> Result<Interval, Overflow> {
                let mid = i.mid()?;
                Ok(if long {
                    Interval::new(i.lo.add(cutter)?, i.hi.sub(cutter)?)
                } else {
                    Interval::new(mid, mid)
                })
            };
            (on_cut_u, on_cut_v) = (line(on_cut_u, along == u)?, line(on_cut_v, along == v)?);
        }
        let off = square(outside(on_cut_u, on_u)?)?.add(square(outside(on_cut_v, on_v)?)?)?;
        if off < square(radius)? {
            return Ok(true);
        }
    }
    Ok(false)
}

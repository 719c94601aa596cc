//! Sag of what spans, and its stress in bending: a beam of its own section.
//!
//! kb W L³ / (E I) + ks W L / (G A'), W the whole load: Wood Handbook, FPL-GTR-190 (2010), ch. 9, Eq. 9-2
//! and Table 9-1. I = b h³ / 12; A' = b h / 1.2.

use super::net::length;
use super::world::{Thing, World};
use super::{GRAVITY, real};
use crate::geometry::Axis;
use crate::job::Ends;

/// The shear modulus where a board states none, as a part of its stiffness: 1/16, usual for wood (from
/// memory: the ratios of the Wood Handbook, Table 5-1, lie around it).
pub const SHEAR_PART: f64 = 1.0 / 16.0;

/// A stated strength is that of a short test; for years a board bears a part of it. Our own cautious
/// judgement: Eurocode 5's 0.30 / 1.3 for particleboard under permanent load is 1 / 4.3 (from memory).
pub const STRENGTH_FACTOR: f64 = 4.0;

/// What a beam is cut as, in mm.
#[derive(Clone, Copy, Debug)]
pub struct Section {
    /// Across the span, level.
    pub width: f64,
    /// Upright.
    pub height: f64,
}

impl Section {
    /// Second moment of area, mm4.
    pub fn inertia(&self) -> f64 {
        self.width * self.height * self.height * self.height / 12.0
    }

    /// mm2
    pub fn area(&self) -> f64 {
        self.width * self.height
    }
}

/// A beam under an even load.
#[derive(Clone, Copy, Debug)]
pub struct Beam {
    pub section: Section,
    /// Clear, in mm.
    pub length: f64,
    /// N, evenly over the whole length.
    pub load: f64,
    /// N in the middle.
    pub point: f64,
    pub ends: Ends,
}

impl Beam {
    /// N mm, the largest: in the middle, or at clamped ends.
    pub fn moment(&self) -> f64 {
        let (even, point) = if self.ends == Ends::Clamped { (12.0, 8.0) } else { (8.0, 4.0) };
        self.length * (self.load / even + self.point / point)
    }

    /// N/mm2 in bending.
    pub fn stress(&self) -> f64 {
        self.moment() * 6.0 / (self.section.width * self.section.height * self.section.height)
    }
}

/// Sag in the middle by bending, mm; `stiffness` in N/mm2.
pub fn bending(beam: &Beam, stiffness: f64) -> f64 {
    let (even, point) =
        if beam.ends == Ends::Clamped { (1.0 / 384.0, 1.0 / 192.0) } else { (5.0 / 384.0, 1.0 / 48.0) };
    let load = even * beam.load + point * beam.point;
    load * beam.length * beam.length * beam.length / (stiffness * beam.section.inertia())
}

/// Sag in the middle by shear, mm; `modulus` in N/mm2. It is the same however the ends are held.
pub fn shearing(beam: &Beam, modulus: f64) -> f64 {
    1.2 * (beam.load / 8.0 + beam.point / 4.0) * beam.length / (modulus * beam.section.area())
}

/// A span of the job, worked out.
#[derive(Clone, Debug)]
pub struct Sag {
    /// Index into the spans of the job.
    pub index: usize,
    pub part: String,
    pub board: String,
    pub by: String,
    pub beam: Beam,
    /// kg, as stated.
    pub load: f64,
    /// kg of the part itself over the span; `None` where its board states no density.
    pub own: Option<f64>,
    /// N/mm2, as the board states it.
    pub stiffness: Option<f64>,
    /// N/mm2, stated or a part of the stiffness.
    pub shear: Option<f64>,
    pub shear_stated: bool,
    /// True where the span runs across the grain and the stiffness is that along it.
    pub across: bool,
    /// mm in the middle at once, by bending and by shear.
    pub at_once: Option<[f64; 2]>,
    /// What is added in years, as a multiple of it.
    pub creep: f64,
    /// mm
    pub limit: Option<f64>,
    pub source: Option<String>,
    /// N/mm2 in bending, and what the board states.
    pub stress: f64,
    pub strength: Option<f64>,
}

impl Sag {
    /// mm, at once.
    pub fn first(&self) -> Option<f64> {
        self.at_once.map(|[b, s]| b + s)
    }

    /// mm, in years.
    pub fn last(&self) -> Option<f64> {
        self.first().map(|sag| sag * (1.0 + self.creep))
    }

    /// The sag in years as a part of its limit.
    pub fn used(&self) -> Option<f64> {
        Some(self.last()? / self.limit?)
    }

    /// The stress as a part of what the board bears for years.
    pub fn stressed(&self) -> Option<f64> {
        self.strength.map(|s| self.stress * STRENGTH_FACTOR / s)
    }
}

pub(super) fn all(world: &World<'_>) -> Vec<Sag> {
    let mut out = Vec::new();
    for (index, span) in world.job.spans.iter().enumerate() {
        let Some(Thing::Part(p)) = world.find(&span.part) else { continue };
        let Some(part) = world.part(p) else { continue };
        let board = world.board(part);
        let across_axis = if span.along == Axis::Z { Axis::X } else { Axis::Z };
        let section =
            Section { width: length(part.place.on(across_axis)), height: length(part.place.on(Axis::Y)) };
        let clear = real(span.clear.0);
        let load = real(span.load.0);
        let own = board.and_then(|b| b.density).map(|d| real(d.0) * section.area() * clear / 1e9);
        let beam = Beam {
            section,
            length: clear,
            load: (load + own.unwrap_or(0.0)) * GRAVITY,
            point: 0.0,
            ends: span.ends,
        };
        let field = |f: Option<crate::values::Figure>| f.map(|f| real(f.0)).filter(|v| *v > 0.0);
        let stiffness = board.and_then(|b| field(b.stiffness));
        let stated = board.and_then(|b| field(b.shear));
        let shear = stated.or(stiffness.map(|e| e * SHEAR_PART));
        let grain = board.is_some_and(|b| b.grain);
        out.push(Sag {
            index,
            part: span.part.clone(),
            board: part.board.clone(),
            by: span.by.clone(),
            beam,
            load,
            own,
            stiffness,
            shear,
            shear_stated: stated.is_some(),
            across: grain && part.axes.first() != Some(&span.along),
            at_once: stiffness.zip(shear).map(|(e, g)| [bending(&beam, e), shearing(&beam, g)]),
            creep: real(span.creep.0),
            limit: span.limit.map(|l| real(l.0)),
            source: span.source.clone(),
            stress: beam.stress(),
            strength: board.and_then(|b| field(b.strength)),
        });
    }
    out
}

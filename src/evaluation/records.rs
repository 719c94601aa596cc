//! What the verbs of joints, fittings and boxes have recorded; the job is made from it.

use super::scope::{BoxId, PartId, ScopeId};
use super::value::Value;
use crate::geometry::{Axis, Cuboid, Face, Run, Shape};
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::Call;
use crate::values::Rational;
use std::collections::{HashMap, HashSet};

/// A joint or fitting as made once.
#[derive(Debug)]
pub struct Maker {
    /// `type(parts)`, or its name.
    pub label: String,
    pub type_name: Name,
    pub parts: Vec<PartId>,
    pub owner: Option<BoxId>,
    pub site: Span,
    pub user: ScopeId,
}

/// A step of a hole's profile: from `dia` to `end_dia` over the way to `depth`.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub struct StepRecord {
    pub dia: Rational,
    pub end_dia: Rational,
    pub depth: Rational,
}

/// A hole that `drill` has made; lengths in mm.
#[derive(Debug)]
pub struct HoleRecord<'p> {
    pub part: PartId,
    /// In the frame of the part's text.
    pub face: Face,
    pub at: [Rational; 3],
    pub dia: Rational,
    /// `None` goes right through.
    pub depth: Option<Rational>,
    pub profile: Vec<StepRecord>,
    pub in_place: bool,
    pub purpose: Option<String>,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// What `cut` or `slot` takes out of a part.
#[derive(Debug)]
pub struct CutRecord<'p> {
    pub part: PartId,
    pub by: Option<Held>,
    /// In the frame of the part's text.
    pub cuboid: Cuboid,
    pub face: Face,
    pub runs: Axis,
    pub run: Run,
    pub shape: Shape,
    pub dia: Option<Rational>,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// A bevelled edge: `rise` along the normal of its face, `run` along the thickness, both in mm.
#[derive(Debug)]
pub struct BevelRecord<'p> {
    pub part: PartId,
    pub face: Face,
    pub rise: Rational,
    pub run: Rational,
    pub long_side: Face,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// A band that `edge` puts on a face.
#[derive(Debug)]
pub struct BandRecord<'p> {
    pub part: PartId,
    pub face: Face,
    pub band: Value<'p>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// Items to buy.
#[derive(Debug)]
pub struct BuyRecord<'p> {
    pub item: Value<'p>,
    pub quantity: i64,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// What a part is held to.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Held {
    Part(PartId),
    /// A wall or an obstacle.
    Site(BoxId),
}

/// Two parts held together, or a part and a wall, for the order of assembly.
#[derive(Debug)]
pub struct FixRecord<'p> {
    pub a: PartId,
    pub b: Held,
    pub with: Option<Value<'p>>,
    /// A face of `b`'s or `a`'s, in the frame of its part.
    pub from: Option<(PartId, Face)>,
    pub tool: Option<String>,
    pub glue: bool,
    pub tack: Option<Value<'p>>,
    /// Where tacks go, in the frame of the part that `from` is a face of.
    pub tacks: Vec<[Rational; 3]>,
    /// How many of the item, where the text says so.
    pub count: Option<i64>,
    /// What must be in place first.
    pub after: Vec<Mover>,
    pub maker: Option<u32>,
    pub scope: ScopeId,
}

/// Something bought that is set on a face.
#[derive(Debug)]
pub struct MountRecord<'p> {
    pub item: Value<'p>,
    pub part: PartId,
    /// In the frame of the part's text.
    pub face: Face,
    pub with: Option<Value<'p>>,
    pub count: Option<i64>,
    pub tool: Option<String>,
    pub after: Vec<Mover>,
    pub maker: Option<u32>,
}

/// What moves.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Mover {
    Part(PartId),
    Box(BoxId),
}

/// How a thing moves: how far it slides, in mm, or through how many degrees it swings.
#[derive(Debug)]
pub enum MotionRecord {
    Slides { axis: Axis, by: Rational },
    Swings { about: Face, through: Rational },
}

/// A thing that slides or swings.
#[derive(Debug)]
pub struct MoveRecord<'p> {
    pub thing: Mover,
    pub motion: MotionRecord,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// What a thing bears, in kg.
#[derive(Debug)]
pub struct LoadRecord<'p> {
    pub thing: Mover,
    pub load: Rational,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// A part that stays straight over a clear way, in mm, under a load, in kg.
#[derive(Debug)]
pub struct SpanRecord<'p> {
    pub part: PartId,
    pub along: Axis,
    pub clear: Rational,
    pub load: Rational,
    pub clamped: bool,
    pub limit: Option<Rational>,
    pub creep: Rational,
    pub source: Option<String>,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// A thing whose weight goes to others.
#[derive(Debug)]
pub struct RestRecord<'p> {
    pub thing: Mover,
    /// Nothing, where it hangs or is held by what the file does not hold.
    pub on: Vec<Mover>,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// The way a load acts on what bears it.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum WayRecord {
    Down,
    Shear,
    PullOut,
}

/// Items that bear the weight of things between them; the rating of one, in N.
#[derive(Debug)]
pub struct BearingRecord<'p> {
    pub item: Value<'p>,
    pub things: Vec<Mover>,
    pub count: i64,
    pub rating: Rational,
    pub factor: Rational,
    pub times: Rational,
    pub way: WayRecord,
    pub purpose: Option<String>,
    pub maker: Option<u32>,
    pub scope: ScopeId,
    pub call: &'p Call,
}

/// An answer to a warning.
#[derive(Debug)]
pub struct AcceptRecord {
    pub code: String,
    pub because: String,
    /// The box it stands in; `None` at the top of the file.
    pub owner: Option<BoxId>,
    pub span: Span,
    pub scope: ScopeId,
}

/// All that has been recorded.
#[derive(Debug, Default)]
pub struct Records<'p> {
    pub makers: Vec<Maker>,
    pub holes: Vec<HoleRecord<'p>>,
    pub cuts: Vec<CutRecord<'p>>,
    pub bevels: Vec<BevelRecord<'p>>,
    pub bands: Vec<BandRecord<'p>>,
    pub buys: Vec<BuyRecord<'p>>,
    pub fixes: Vec<FixRecord<'p>>,
    pub mounts: Vec<MountRecord<'p>>,
    pub moves: Vec<MoveRecord<'p>>,
    pub loads: Vec<LoadRecord<'p>>,
    pub spans: Vec<SpanRecord<'p>>,
    pub rests: Vec<RestRecord<'p>>,
    pub bearings: Vec<BearingRecord<'p>>,
    /// Parts whose grain runs on from one to the next, in order.
    pub matched: Vec<Vec<PartId>>,
    pub accepts: Vec<AcceptRecord>,
    /// Parts joined into one body.
    pub links: Vec<(PartId, PartId)>,
    /// Parts whose overlap a joint explains.
    pub explained: Vec<(PartId, PartId)>,
    /// Joints by owner and label, to find one that is made twice.
    pub labels: HashMap<(Option<BoxId>, String), usize>,
    /// Cuts by what they cut and what is let in.
    pub cut_pairs: HashMap<(PartId, PartId), usize>,
    /// Edges that have a band.
    pub banded: HashSet<(PartId, Face)>,
}

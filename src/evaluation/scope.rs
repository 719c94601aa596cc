//! The arena: scopes, slots, frames and the records of boxes, parts and spaces. A slot is a node of
//! the evaluation graph: what it is worked out from, and its value once it is. The graph is kept, so
//! that any figure can be followed down to the literals in the text.

use super::program::ModuleId;
use super::value::Value;
use crate::geometry::Axis;
use crate::sources::Span;
use crate::syntax::Name;
use crate::syntax::tree::{Block, Def, Envelope, Expr, For, If, Param, PartStmt, PlaceStmt, SpaceStmt};
use std::collections::HashMap;

macro_rules! ids {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => {
        $($(#[$doc])*
        #[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug)]
        pub struct $name(pub u32);)*
    };
}

ids!(
    /// A block being evaluated, with its names.
    ScopeId,
    /// A node of the graph.
    SlotId,
    /// A system of coordinates.
    FrameId,
    /// A box.
    BoxId,
    /// A part.
    PartId,
    /// A space.
    SpaceId,
    /// A `for` statement.
    ForId,
    /// An `if` statement.
    IfId,
);

/// The frame of the site: no coordinates, but directions.
pub const SITE: FrameId = FrameId(0);

/// What a slot is worked out from.
#[derive(Clone, Copy, Debug)]
pub enum Work<'p> {
    /// Holds its value from the start.
    Given,
    /// An element of the list that the expression gives, from nought where it is known which.
    Element(&'p Expr, ScopeId, Option<u32>),
    Expr(&'p Expr, ScopeId),
    /// A parameter: the argument where it is written, else the default among its siblings.
    Param(&'p Param, Option<(&'p Expr, ScopeId)>, ScopeId),
    House(Name),
    PartList(&'p PartStmt, ScopeId),
    Box(&'p PlaceStmt, ScopeId),
    BoxList(&'p PlaceStmt, ScopeId),
    ForList(ForId),
    ForMember(ForId, Name),
    IfCondition(IfId),
    IfMember(IfId, Name),
    PartAxis(PartId, Axis),
    PartBoard(PartId),
    SpaceAxis(SpaceId, Axis),
    /// The extent of a box in its own frame.
    Extent(BoxId, Axis),
    /// Where the low corner of a box stands in the frame it was placed in.
    Offset(BoxId, Axis),
    /// What a box that is written at the site stands in: a wall, another box, or nothing.
    Stands(BoxId),
    /// The boxes and gaps of a row.
    RowMembers(BoxId),
    /// The unit of a row's shares.
    RowUnit(BoxId),
    /// Where the members of a row begin, from the left, and where the last ends.
    RowEdges(BoxId),
}

/// How far a slot has come.
#[derive(Clone, Debug)]
pub enum State<'p> {
    Waiting,
    Busy,
    Done(Value<'p>),
    /// Its message has been given.
    Failed,
}

/// A node of the graph.
#[derive(Debug)]
pub struct Slot<'p> {
    pub work: Work<'p>,
    pub state: State<'p>,
}

/// Whether a name of a box type can be reached from outside.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reach {
    Public,
    Private,
}

/// A name of a scope.
#[derive(Debug)]
pub struct Entry {
    pub name: Name,
    pub slot: SlotId,
    pub reach: Reach,
    pub span: Span,
}

/// A block being evaluated.
#[derive(Debug)]
pub struct Scope {
    /// The block around it in the text.
    pub parent: Option<ScopeId>,
    pub module: ModuleId,
    /// In the braces after a use: the box whose names are seen next, and how many of its layers.
    pub extras_of: Option<(BoxId, usize)>,
    /// The box whose text this is.
    pub owner: Option<BoxId>,
    /// Directions, and what bare lengths count from where `corner` is set.
    pub frame: FrameId,
    /// True where a bare length at the end of a range counts from the corner of `frame`.
    pub corner: bool,
    /// The use that this scope was made for, and the scope the use stands in.
    pub site: Option<(Span, ScopeId)>,
    pub entries: Vec<Entry>,
    /// For scopes with many names (files).
    pub index: Option<HashMap<Name, usize>>,
    /// `for` and `if` statements of the block, by the address of the statement.
    pub loops: Vec<(*const For, ForId)>,
    pub ifs: Vec<(*const If, IfId)>,
    /// The joint or fitting being made, if this is its text.
    pub maker: Option<u32>,
    /// The index path of the `for`s this scope stands in, for names of what they make.
    pub indices: Vec<String>,
}

/// What a frame counts from.
#[derive(Clone, Copy, Debug)]
pub enum FrameKind {
    /// Counts from the low corner of a box.
    Corner(BoxId),
    /// The reflection of a box's frame in x about its envelope.
    Mirror(BoxId),
    Site,
}

/// What a frame lies in, in the end.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Root {
    /// The site itself: no coordinates.
    Site,
    /// A wall, or a box that stands by itself.
    Known(BoxId),
    /// Whatever this box, which is written at the site, turns out to stand in.
    Ask(BoxId),
}

/// A system of coordinates.
#[derive(Clone, Copy, Debug)]
pub struct Frame {
    pub parent: Option<FrameId>,
    pub kind: FrameKind,
    /// True where x runs against the root's x.
    pub reflected: bool,
    pub depth: u32,
    pub root: Root,
}

/// A box as it is used once.
#[derive(Debug)]
pub struct BoxRecord<'p> {
    pub name: String,
    pub path: String,
    pub def: &'p Def,
    pub module: ModuleId,
    pub within: Option<BoxId>,
    pub place: &'p PlaceStmt,
    /// The scope the use stands in.
    pub user: ScopeId,
    /// The frame seen from outside.
    pub outer: FrameId,
    /// The frame of the type's own text.
    pub inner: FrameId,
    /// Scopes with the names of the type: base first, extras of the use last.
    pub layers: Vec<ScopeId>,
    /// The blocks to run, each with its scope.
    pub blocks: Vec<(&'p Block, ScopeId)>,
    pub envelope: Option<(&'p Envelope, ScopeId, Span)>,
    pub extent: [SlotId; 3],
    pub offset: [SlotId; 3],
    pub index: Option<SlotId>,
    /// For a box written at the site that may stand in something: what.
    pub stands: Option<SlotId>,
    pub parts: Vec<PartId>,
    pub spaces: Vec<SpaceId>,
}

/// A part of a box.
#[derive(Debug)]
pub struct PartRecord<'p> {
    pub path: String,
    pub name: Name,
    pub owner: BoxId,
    pub stmt: &'p PartStmt,
    pub scope: ScopeId,
    pub frame: FrameId,
    pub axes: [SlotId; 3],
    pub board: SlotId,
    /// The part it is the reflection of, for the second of a pair.
    pub mirror_of: Option<PartId>,
    pub span: Span,
}

/// What a space is the room between.
#[derive(Clone, Copy, Debug)]
pub enum Room<'p> {
    /// What its ranges say.
    Written(&'p SpaceStmt),
    /// The neighbours in a row; the length of the gap.
    Gap(&'p Expr),
    /// The last box of a row and what is beyond it, at the left or at the right.
    RowEnd { right: bool },
}

/// A row of boxes along a wall.
#[derive(Debug)]
pub struct RowRecord {
    pub members: SlotId,
    pub unit: SlotId,
    pub edges: SlotId,
    /// The spaces at its left and right end.
    pub ends: [SpaceId; 2],
    /// From left to right, once they are known.
    pub list: Vec<Member>,
    /// What each box of it stands at in `list`.
    pub places: HashMap<BoxId, usize>,
}

/// A member of a row.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Member {
    Box(BoxId),
    Gap(SpaceId),
}

/// A space between parts.
#[derive(Debug)]
pub struct SpaceRecord<'p> {
    pub name: Name,
    pub owner: Option<BoxId>,
    pub room: Room<'p>,
    pub span: Span,
    pub scope: ScopeId,
    pub frame: FrameId,
    pub axes: [SlotId; 3],
}

/// A `for` statement in one scope.
#[derive(Debug)]
pub struct ForRecord<'p> {
    pub stmt: &'p For,
    pub scope: ScopeId,
    pub list: SlotId,
    /// One scope for each round, once the list is known.
    pub rounds: Vec<ScopeId>,
}

/// An `if` statement in one scope.
#[derive(Debug)]
pub struct IfRecord<'p> {
    pub stmt: &'p If,
    pub scope: ScopeId,
    pub condition: SlotId,
    /// The scope of the branch taken, once the condition is known.
    pub taken: Option<ScopeId>,
}

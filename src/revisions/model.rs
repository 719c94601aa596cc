//! What became of a design between two revisions, as plain data.
//!
//! **Frames.** All work on a part is given in the frame of the *new* part: it counts from the low corner of
//! the finished new part, with the directions of the job (x right, y up, z away from the person looking at
//! the front), and faces are those of the new part as it lies in its own box. [`Laid`] says how the old piece
//! is turned and laid into that frame; mostly it is not turned at all and the faces are the old ones too.
//! Lengths are in mm.

use super::work::{Rework, Work};
use crate::geometry::Cuboid;
use crate::values::{Figure, Mm};
use schemars::JsonSchema;
use serde::Serialize;
use std::collections::{BTreeMap, BTreeSet};

/// What a comparison is told besides the two jobs.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The paths in the old job of the parts that are cut already; `None` where every old part counts as cut.
    pub cut: Option<BTreeSet<String>>,
    /// Differences up to this are left as they are; `None` for the new house's print step.
    pub tolerance: Option<Mm>,
}

/// Two revisions compared. It is empty ([`Comparison::is_same`]) where the models are equal, whatever the texts.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Comparison {
    /// Differences up to this, in mm, were left as they are.
    pub tolerance: Mm,
    /// Whether a list of cut parts was given; without one every old part counts as cut.
    pub knows_cut: bool,
    /// How many parts got each verdict.
    pub counts: BTreeMap<Verdict, usize>,
    /// One entry for every part: those of the new job in its order, then the old ones that are gone, in theirs.
    pub parts: Vec<PartChange>,
    /// Boxes that differ: those of the new job in its order, then the old ones that are gone.
    pub boxes: Vec<BoxChange>,
    /// Bought items whose quantity differs, by name.
    pub items: Vec<ItemChange>,
    /// Boards that differ or of which something has to be made anew, by name.
    pub boards: Vec<BoardChange>,
    /// Bands of which another length is needed, by name.
    pub bands: Vec<BandChange>,
    /// Figures of the house, of walls, obstacles and rows that differ, as they stand in the job.
    pub figures: Vec<FigureChange>,
    /// Warnings that are new or gone.
    pub messages: Vec<MessageChange>,
    /// Differences that need no work and stand nowhere above: purposes of holes, joints, loads, movements,
    /// how parts are fixed. One short sentence each.
    pub notes: Vec<String>,
    /// What to do, in the order a maker acts.
    pub acts: Vec<Act>,
}

impl Comparison {
    /// True where the two models do not differ in anything.
    pub fn is_same(&self) -> bool {
        self.parts.iter().all(|p| p.verdict == Verdict::Unchanged && p.rework.is_none() && !p.differs)
            && self.boxes.is_empty()
            && self.items.is_empty()
            && self.boards.is_empty()
            && self.bands.is_empty()
            && self.figures.is_empty()
            && self.messages.is_empty()
            && self.notes.is_empty()
    }
}

/// How two things were found to be the same one.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Pairing {
    /// Equal paths.
    Path,
    /// The new text says `was "old.path"`, of the thing itself or of a box it stands in.
    Was,
    /// Its box was renamed, and its own name within it is the same.
    WithBox,
    /// Equal wood in an equal place, and no other like it on either side.
    SamePlace,
    /// Equal wood, and no other like it on either side.
    SameWood,
}

impl Pairing {
    /// True where it was found by its figures and not by a name: a rename that the text does not state.
    pub fn is_guess(self) -> bool {
        matches!(self, Pairing::SamePlace | Pairing::SameWood)
    }
}

/// What becomes of a part. Later ones are more to do; where several hold, the last is given (a part that is
/// renamed and trimmed is `Rework`, and `pairing` says that it is renamed).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The same wood in the same place, under the same path; also where it differs by less than the tolerance.
    Unchanged,
    /// The same wood elsewhere in its box, or turned round: no work.
    Moved,
    /// The same wood under another path: a new label, no work.
    Renamed,
    /// The same wood is there, as another part of the old design: take that piece (`rework.of`). No work.
    Exchanged,
    /// The old piece becomes the new one by `rework.works`.
    Rework,
    /// It differs, and it is not cut yet: cut it as drawn.
    CutAsDrawn,
    /// No rework of its old piece gives it (`reasons`): make it anew.
    Remake,
    /// A part that was not there: make it.
    New,
    /// A part that is not wanted any more.
    Gone,
}

/// A part in one of the two jobs.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct PartRef {
    pub path: String,
    pub mark: String,
    pub piece: u32,
    pub board: String,
    /// Finished: along the grain, across it, thickness.
    pub size: [Mm; 3],
}

/// What becomes of one part.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct PartChange {
    pub verdict: Verdict,
    /// In the old job; none of a new part.
    pub old: Option<PartRef>,
    /// In the new job; none of a part that is gone.
    pub new: Option<PartRef>,
    /// How old and new were paired; none of a part that is new or gone.
    pub pairing: Option<Pairing>,
    /// Whether the old part is cut already.
    pub cut: bool,
    /// How far it has moved in its box on x, y and z, low corner to low corner; none where it has not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moved: Option<[Mm; 3]>,
    /// The piece it is made of and what is done to it: for `Rework` and `Exchanged`, and for `Unchanged`, `Moved`
    /// and `Renamed` where the piece is turned round or figures were left as they are.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rework: Option<Rework>,
    /// Why no rework of its own old piece will do; one at least for `Remake`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub reasons: Vec<Reason>,
    /// For `New` and `Remake`: a piece of the old design that is left over and could be used instead of a new
    /// one, each piece being offered once.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub offer: Option<Rework>,
    /// Of the old piece, where its own part does not use it (`Gone`, `Remake`, `Exchanged`): the path of the new
    /// part it goes to, as `Exchanged` or by an offer. None where it is left over.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub becomes: Option<String>,
    /// Where it differs in what is no work on the part itself: the names of those things, `purposes`, `joints`,
    /// `bored in place`, `mark`, `box`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub other: Vec<String>,
    /// Whether anything at all differs, also what is within the tolerance.
    pub differs: bool,
}

/// Why something cannot be done.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, JsonSchema)]
pub struct Reason {
    pub code: ReasonCode,
    /// A short sentence with the figures.
    pub text: String,
}

/// Why no rework will do.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ReasonCode {
    /// Another board.
    Board,
    /// Another thickness.
    Thickness,
    /// It grows, or the grain or good face would lie wrong whichever way it is turned.
    Grows,
    /// The grain would run the wrong way.
    Grain,
    /// The good face would be hidden.
    GoodFace,
    /// A cut that is there lies where wood is wanted.
    CutInTheWay,
    /// A bevel that is there lies where wood is wanted.
    BevelInTheWay,
    /// A hole that is there cannot be plugged.
    HoleInTheWay,
    /// A hole would be drilled into a plug that cannot bear it.
    DrillsIntoPlug,
}

/// What becomes of a box.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct BoxChange {
    /// Paths in the old and the new job; one of them is missing where the box is new or gone.
    pub old: Option<String>,
    pub new: Option<String>,
    pub pairing: Option<Pairing>,
    /// Its type before and after, where it has another.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub retyped: Option<[String; 2]>,
    /// Width, height and depth of its envelope before and after, where they differ.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub resized: Option<[[Mm; 3]; 2]>,
    /// How far it has moved on x, y and z in what it stands in, low corner to low corner.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub moved: Option<[Mm; 3]>,
    /// Whether it is mirrored now and was not, or the other way round.
    pub mirrored: bool,
    /// The row or box it stood in before and stands in now, where that differs.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stands: Option<[Option<String>; 2]>,
}

/// A bought item whose quantity differs.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct ItemChange {
    pub name: String,
    pub description: Option<String>,
    pub old: u64,
    pub new: u64,
}

impl ItemChange {
    /// How many more have to be bought.
    pub fn buy(&self) -> u64 {
        self.new.saturating_sub(self.old)
    }

    /// How many are left over and may be returned.
    pub fn left_over(&self) -> u64 {
        self.old.saturating_sub(self.new)
    }
}

/// What changes about a board. Sheets are an estimate by area, without the saw's kerf and without a plan of
/// how parts lie on a sheet.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct BoardChange {
    pub name: String,
    /// None where the old, or the new, job has no such board.
    pub old_thickness: Option<Mm>,
    pub new_thickness: Option<Mm>,
    /// The same board at another thickness: it was measured anew, and the wood that is cut is what it is.
    pub measured_anew: bool,
    /// Other properties that differ, by the names of their fields.
    pub other: Vec<String>,
    /// Cut area of all its parts, mm2, in the old and the new job.
    pub old_area: Figure,
    pub new_area: Figure,
    /// Cut area, mm2, of the parts that are to be cut from new board because of the change: those that are
    /// made anew and for which no piece is offered, and, where a list of cut parts is known, what is not cut yet.
    pub make: Figure,
    /// Cut area, mm2, of pieces that are cut and that nothing uses any more.
    pub set_aside: Figure,
    /// Whole sheets that the old job took, and that the old and the new together take, by area; none where the
    /// board states no sheet.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheets: Option<[u64; 2]>,
}

impl BoardChange {
    /// Whole sheets more to buy, by area.
    pub fn buy(&self) -> Option<u64> {
        self.sheets.map(|[old, new]| new.saturating_sub(old))
    }

    /// Whole sheets left over, by area.
    pub fn left_over(&self) -> Option<u64> {
        self.sheets.map(|[old, new]| old.saturating_sub(new))
    }
}

/// A band of which another length is needed.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct BandChange {
    pub name: String,
    /// Length on the parts of the old and the new job, without waste.
    pub old: Mm,
    pub new: Mm,
    /// Length that is still to be glued on: edges banded again, parts made anew, parts that are not cut yet.
    pub glue: Mm,
    /// Length more to buy than the old job took.
    pub buy: Mm,
}

/// A figure or word that is given and not worked out.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct FigureChange {
    pub of: FigureOf,
    /// The path of the wall, obstacle or row; empty for the house.
    pub path: String,
    /// The name of the field, `width`; `type`, `place`, `members`, or empty where the thing itself is new or gone.
    pub name: String,
    pub old: Option<Given>,
    pub new: Option<Given>,
}

/// What a figure belongs to.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum FigureOf {
    House,
    Wall,
    Obstacle,
    Row,
}

/// Something given.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
#[serde(untagged)]
pub enum Given {
    Lengths(Vec<Mm>),
    Word(String),
    Words(Vec<String>),
    Place(Cuboid),
}

/// A warning that is new or gone.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct MessageChange {
    /// Whether it stands in the new job.
    pub new: bool,
    pub code: String,
    pub message: String,
    pub boxes: Vec<String>,
    /// The reason, where it is accepted.
    pub accepted: Option<String>,
}

/// One act of the maker. Acts stand in the order of [`ActKind`], then of paths.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct Act {
    pub kind: ActKind,
    /// The item, board or band, or empty where it is about pieces.
    pub thing: String,
    /// How many of the item, or whole sheets by area; for a band nought; for pieces how many.
    pub quantity: u64,
    /// Area in mm2 of a board, length in mm of a band.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub amount: Option<Figure>,
    /// Pieces that take the same act, by the path of the new part (of the old one for what is set aside).
    pub pieces: Vec<PieceRef>,
    /// What is done to each of them, figures in the frame of the new part; the same for all of `pieces`. Holes
    /// and joints are named as in the first of them.
    pub works: Vec<Work>,
}

/// A piece of an act.
#[derive(Clone, PartialEq, Eq, Debug, Serialize, JsonSchema)]
pub struct PieceRef {
    /// The path of the part it becomes, or of the old part where it becomes none.
    pub path: String,
    /// The mark written on it now; none of a piece that is not cut yet.
    pub mark: Option<String>,
    /// The mark it gets, where that is another.
    pub new_mark: Option<String>,
    /// The path of the old part it is, where that differs.
    pub of: Option<String>,
}

/// Kinds of acts, in the order a maker takes them.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum ActKind {
    /// Order items.
    Order,
    /// Order board: whole sheets by area.
    OrderBoard,
    /// Order band, by length.
    OrderBand,
    /// Items left over, to return.
    Return,
    /// Whole sheets left over by area, to return or keep.
    ReturnBoard,
    /// Pieces to keep as they are.
    Keep,
    /// Pieces to keep under another label.
    Label,
    /// Pieces that serve as another part, as they are.
    Exchange,
    /// Bands to take off.
    Strip,
    Trim,
    /// Before bands: a plug in an edge lies under its band.
    Plug,
    Band,
    Drill,
    Cut,
    Bevel,
    /// Parts to be made of a piece that is left over, instead of new board.
    Offer,
    /// Parts to be made new.
    Make,
    /// Parts that are not cut yet, to be cut as the new design draws them.
    CutAsDrawn,
    /// Pieces to set aside.
    SetAside,
}

/// What can be done where a part is spoiled.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Spoiled {
    pub part: PartRef,
    /// Parts of the job, not cut yet, that the spoiled piece can still become where what is spoiled goes or does
    /// no harm, the least waste first. At each: what has to be done to it.
    pub becomes: Vec<Becomes>,
    /// Pieces that are cut and can stand in for it: equal ones first, then by effort.
    pub replaced_by: Vec<Rework>,
    /// Blanks and offcuts of sheets that it can be cut from, by name; none until sheets are laid out.
    pub blanks: Vec<String>,
}

/// A part that a spoiled piece can still become.
#[derive(Clone, Debug, Serialize, JsonSchema)]
pub struct Becomes {
    pub part: PartRef,
    pub rework: Rework,
}

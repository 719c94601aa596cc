//! The types of the job, which are also the fields of `job.json`.
//!
//! Every frame here has the root's directions: x right, y up, z away from the person looking at the
//! front. A mirrored box is already mirrored: its parts, faces and holes are given as they lie.

use super::moves::Move;
use crate::geometry::{Axis, Cuboid, Face, Run, Shape};
use crate::values::{Figure, Mm, Rational, Style};
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// Index into the table of derivations of the evaluation; not written to JSON.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Default)]
pub struct Origin(pub u32);

/// A design worked out.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Job {
    /// Always `aumbry-job/1`.
    #[schemars(extend("const" = "aumbry-job/1"))]
    pub format: String,
    /// The files the job was made from; the first is the root file.
    pub sources: Vec<SourceDigest>,
    pub house: House,
    pub boards: Vec<Board>,
    pub bands: Vec<Band>,
    pub boxes: Vec<BoxEntry>,
    /// In the order of their paths (a number in a path by its size).
    pub parts: Vec<Part>,
    /// Parts that are one and the same piece, by mark.
    pub same: Vec<Same>,
    /// Marks of parts that are each other's mirror image.
    pub pairs: Vec<(String, String)>,
    pub items: Vec<ItemEntry>,
    pub fixes: Vec<Fix>,
    /// What is set on parts: slides, hinges, plates, feet.
    pub mounts: Vec<Mount>,
    pub moves: Vec<Move>,
    pub loads: Vec<Load>,
    /// What has to stay straight under a load.
    pub spans: Vec<Spanning>,
    /// What has to carry the weight of something, against its rating.
    pub bearings: Vec<Bearing>,
    /// What stands on or hangs from what, where nothing else says so.
    pub rests: Vec<Resting>,
    /// Parts whose grain runs on from one to the next, as paths in that order: to be cut one after another
    /// from one strip.
    pub matched: Vec<Vec<String>>,
    /// Rows of boxes along a wall.
    pub rows: Vec<Row>,
    /// Measured walls.
    pub walls: Vec<Wall>,
    /// Warnings that stand, and those accepted with their reason.
    pub messages: Vec<Message>,
    /// What joins parts into one body; for the checks.
    #[serde(skip)]
    pub links: Vec<Link>,
    /// Pairs of parts whose overlap a joint explains; for the checks.
    #[serde(skip)]
    pub explained: Vec<(usize, usize)>,
    /// Parts that are held to a wall or an obstacle: indices into `parts`.
    #[serde(skip)]
    pub anchored: Vec<usize>,
}

/// A file and what was in it.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct SourceDigest {
    /// Relative to the root file's folder.
    pub name: String,
    /// SHA-256 in hexadecimal.
    pub digest: String,
}

/// The workshop's own choices that outputs need.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct House {
    /// `mm` or `in`: how lengths are printed. Lengths in this file are mm all the same.
    #[schemars(extend("enum" = ["mm", "in"]))]
    pub units: String,
    /// The whole step that shares go down to.
    pub step: Mm,
    /// The step that printed figures are rounded to.
    pub print: Mm,
    /// Every other field of the house that is a length, by name.
    pub lengths: BTreeMap<String, Mm>,
}

impl House {
    /// How lengths are printed.
    pub fn style(&self) -> Style {
        Style { inches: self.units == "in", step: self.print.0 }
    }
}

/// A board of the job at one thickness.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Board {
    /// Unique in the job: the definition's name, with the thickness where two differ.
    pub name: String,
    pub thickness: Mm,
    /// Length and width of a sheet as sold, if stated.
    pub sheet: Option<[Mm; 2]>,
    /// Taken off each edge before parts are cut, where it is not what the house takes off.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub trim: Option<Mm>,
    /// kg/m3, if stated.
    pub density: Option<Figure>,
    /// Modulus of elasticity in bending along the grain, N/mm2, if stated.
    pub stiffness: Option<Figure>,
    /// Modulus of shear over the thickness, N/mm2, if stated.
    pub shear: Option<Figure>,
    /// Strength in bending along the grain, N/mm2, if stated.
    pub strength: Option<Figure>,
    /// Whether the direction of the grain shows or matters.
    pub grain: bool,
    /// How many of its wide faces are good: 2, 1 or 0.
    pub good_faces: u8,
    /// Price of a sheet, `58.00 EUR`, if stated.
    pub price: Option<String>,
    /// What it is in words, if stated.
    pub description: Option<String>,
}

/// An edging of the job.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Band {
    pub name: String,
    pub thickness: Mm,
    /// Whether the cut size is less by the band.
    pub deduct: bool,
}

/// A box: a carcass or any assembly of parts.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct BoxEntry {
    pub path: String,
    /// The name of its type (`floor_box`).
    #[serde(rename = "type")]
    pub type_name: String,
    /// First sentence of the type's own description.
    pub description: Option<String>,
    /// The path of the box it stands in, if it stands in one.
    pub within: Option<String>,
    /// The path of the root: the wall it stands at, else the outermost box. Its frame is the root's frame.
    pub root: String,
    /// The path of the row it stands in, if it stands in one.
    pub row: Option<String>,
    /// Its envelope in the root's frame. The frame of the box itself starts at the low corner of this.
    pub place: Cuboid,
    pub mirrored: bool,
    /// Spaces of the box, by name, in the frame of the box.
    pub spaces: BTreeMap<String, Cuboid>,
    /// An earlier path, stated in the text, for comparing revisions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub was: Option<String>,
    #[serde(skip)]
    pub origin: Origin,
}

/// A part, finished.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Part {
    pub path: String,
    /// The short label written on the wood; the same parts share it.
    pub mark: String,
    /// Which of the same parts, from 1.
    pub piece: u32,
    /// The path of its box.
    #[serde(rename = "box")]
    pub box_path: String,
    /// The name of its board.
    pub board: String,
    /// Finished, along the grain.
    pub length: Mm,
    /// Finished, across the grain.
    pub width: Mm,
    pub thickness: Mm,
    /// Before banding.
    pub cut: CutSize,
    /// The path of the root: the wall its box stands at, else the outermost box.
    pub root: String,
    /// In the root's frame.
    pub place: Cuboid,
    /// Which axis is length, width and thickness.
    pub axes: [Axis; 3],
    pub mirrored: bool,
    pub grain: Grain,
    pub good_face: Option<Face>,
    /// The band on each banded edge.
    pub bands: BTreeMap<Face, String>,
    pub cuts: Vec<Cut>,
    /// In the order of their ids' faces and places.
    pub holes: Vec<Hole>,
    pub bevels: Vec<Bevel>,
    /// In the frame of its own box, which `cuts` use.
    #[serde(skip, default = "super::read::nowhere")]
    pub own: Cuboid,
    /// The wide face that looks into the box and the one that looks out, where the part lies at the
    /// boundary of its box.
    pub inner: Option<Face>,
    pub outer: Option<Face>,
    #[serde(skip)]
    pub loose: bool,
    /// Meant to reach out of its box: a front, a strip that is planed to a wall.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub proud: bool,
    /// The statement that made it, then its ranges on x, y and z.
    #[serde(skip)]
    pub origin: Origin,
    #[serde(skip)]
    pub range_origins: [Origin; 3],
    /// An earlier path, stated in the text, for comparing revisions.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub was: Option<String>,
}

impl Part {
    /// The two wide faces, low side first.
    pub fn wide_faces(&self) -> [Face; 2] {
        [Face::of(self.axes[2], false), Face::of(self.axes[2], true)]
    }

    /// True where the face is one of the two wide ones.
    pub fn is_wide(&self, face: Face) -> bool {
        face.axis() == self.axes[2]
    }

    /// The last name of its path: `rail_front`, `shelf[2]`.
    pub fn name(&self) -> &str {
        self.path.rsplit('.').next().unwrap_or(&self.path)
    }

    /// Extent along an axis, in mm.
    pub fn size(&self, axis: Axis) -> Rational {
        match self.axes.iter().position(|a| *a == axis) {
            Some(0) => self.length.0,
            Some(1) => self.width.0,
            _ => self.thickness.0,
        }
    }
}

/// Cut size, before banding.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct CutSize {
    pub length: Mm,
    pub width: Mm,
}

/// Which size the grain runs along.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Grain {
    Length,
    /// The grain is across; not used by the compiler, which calls the size along the grain the length.
    Width,
    /// The board has none.
    None,
}

/// Material taken out with a saw or router.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Cut {
    pub shape: Shape,
    /// The face it is worked from.
    pub face: Face,
    /// In the frame of the part's own box, which starts at the low corner of that box's place.
    #[serde(rename = "box")]
    pub cuboid: Cuboid,
    /// The axis it runs along.
    pub runs: Axis,
    pub run: Run,
    /// For a round-ended slot: the diameter of the cutter; `box` then holds its whole extent.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub dia: Option<Mm>,
    /// For a round-ended slot: the axis it is long on.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub along: Option<Axis>,
    /// The path of the part that is let in, or of the obstacle that it goes round, where there is one.
    pub by: Option<String>,
    /// The joint that asked for it.
    pub joint: String,
    #[serde(skip)]
    pub origin: Origin,
}

/// Where a hole is bored.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Bored {
    /// At the drill press or from a stick, before assembly.
    Bench,
    /// Through the mating part, once the parts are tacked in place.
    InPlace,
}

/// A wider step at the mouth of a hole.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct Step {
    /// At the face, or at the end of the step before.
    pub dia: Mm,
    /// At the end of this step; less than `dia` for a cone.
    pub end_dia: Mm,
    /// From the face to the end of this step.
    pub depth: Mm,
}

/// Where a hole stands on its face.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub struct At {
    /// The two edges measured from.
    pub from: [Face; 2],
    /// The distances from them, in the finished part.
    pub mm: [Mm; 2],
}

/// A hole.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Hole {
    /// `part/joint#n`
    pub id: String,
    /// The face it is bored from.
    pub face: Face,
    pub at: At,
    pub dia: Mm,
    /// From the face to the bottom; the thickness where it goes through.
    pub depth: Mm,
    pub through: bool,
    /// Wider steps at the mouth, from the face inwards.
    pub profile: Vec<Step>,
    pub bored: Bored,
    /// What it is for, in words.
    pub purposes: Vec<String>,
    /// The joints that asked for it.
    pub joints: Vec<String>,
    #[serde(skip)]
    pub origin: Origin,
}

/// A bevelled edge.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Bevel {
    /// The face that is bevelled.
    pub face: Face,
    /// Along the face's normal.
    pub rise: Mm,
    /// Along the thickness.
    pub run: Mm,
    /// The wide face that keeps its full size.
    pub long_side: Face,
    #[serde(skip)]
    pub origin: Origin,
}

/// Parts that are one and the same piece.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Same {
    pub mark: String,
    pub length: Mm,
    pub width: Mm,
    pub thickness: Mm,
    /// Paths in the order of pieces.
    pub pieces: Vec<String>,
}

/// Something bought.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct ItemEntry {
    pub name: String,
    /// What it is in words, if stated.
    pub description: Option<String>,
    pub quantity: u64,
    #[serde(rename = "for")]
    pub uses: Vec<ItemUse>,
}

/// How many of an item one joint or fitting takes.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct ItemUse {
    pub path: String,
    pub quantity: u64,
}

/// Two parts held together, in the words of the joint. `b` may also be a wall or an obstacle.
#[derive(Clone, Debug, Default, Serialize, Deserialize, JsonSchema)]
pub struct Fix {
    pub a: String,
    pub b: String,
    /// The item that holds them, if there is one.
    pub with: Option<String>,
    /// How many of it, where the joint says so; else what the joint buys.
    pub count: Option<u64>,
    /// The face it is driven from.
    pub from: Option<Face>,
    /// The path of the part that `from` is a face of.
    pub through: Option<String>,
    pub tool: Option<String>,
    pub glue: bool,
    /// What keeps the two in place until they are held.
    pub tack: Option<Tack>,
    /// Paths of the parts and boxes that must be in place first.
    pub after: Vec<String>,
    pub joint: String,
}

/// Pins that keep two parts in place until they are held.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Tack {
    pub with: String,
    /// On the face that the fix is driven from.
    pub at: Vec<At>,
}

/// Something bought that is set on a face.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Mount {
    pub item: String,
    /// The path of the part.
    pub on: String,
    pub face: Face,
    /// The item that holds it, and how many.
    pub with: Option<String>,
    pub count: Option<u64>,
    pub tool: Option<String>,
    /// Paths of the parts and boxes that must be in place first.
    pub after: Vec<String>,
    pub joint: String,
}

/// A load that something bears.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Load {
    pub thing: String,
    /// kg
    pub load: Figure,
    pub by: String,
    #[serde(skip)]
    pub origin: Origin,
}

/// A part that spans a clear width under a load, as a beam of its own section.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Spanning {
    /// The path of the part.
    pub part: String,
    /// The axis it spans along.
    pub along: Axis,
    /// Between its supports.
    pub clear: Mm,
    /// kg, spread evenly over the span, its own weight not counted.
    pub load: Figure,
    pub ends: Ends,
    /// The most it may sag in the middle, if stated.
    pub limit: Option<Mm>,
    /// How much of the first sag is added in years, as a multiple of it.
    pub creep: Figure,
    /// What sets the limit, in words.
    pub source: Option<String>,
    /// The joint, fitting or box that says so.
    pub by: String,
    #[serde(skip)]
    pub origin: Origin,
}

/// How the ends of a span are held.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
pub enum Ends {
    /// Laid on supports and free to turn.
    Simple,
    /// Held so that they cannot turn.
    Clamped,
}

/// Items that carry the weight of something between them.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Bearing {
    /// The name of the item.
    pub item: String,
    /// How many share the load equally.
    pub count: u64,
    /// Paths of the parts and boxes whose weight, with what they carry, is borne.
    pub things: Vec<String>,
    /// What the weight is multiplied by before it is shared out (a lever over a height, an uneven stand).
    pub times: Figure,
    /// N that one may bear, as rated.
    pub rating: Figure,
    /// What the rating is divided by.
    pub factor: Figure,
    pub way: Way,
    /// What it is, in words.
    pub purpose: Option<String>,
    pub by: String,
    #[serde(skip)]
    pub origin: Origin,
}

/// The way a load acts on what bears it.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Debug, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Straight down onto it.
    Down,
    /// Across it.
    Shear,
    /// Along it, out of what it holds in.
    PullOut,
}

/// A thing whose weight goes to others.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Resting {
    /// The path of a part or box.
    pub thing: String,
    /// Paths of the parts or boxes it rests on; each takes its share by its width along the wall. None
    /// where it hangs or is held by what the design does not hold.
    pub on: Vec<String>,
    pub by: String,
    #[serde(skip)]
    pub origin: Origin,
}

/// A measured wall. Its frame: x from its left end, y from the floor's highest point, z = 0 its surface
/// and the room at negative z.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Wall {
    pub path: String,
    #[serde(rename = "type")]
    pub type_name: String,
    pub description: Option<String>,
    /// Its body; z starts at its surface.
    pub place: Cuboid,
    pub obstacles: Vec<Obstacle>,
    /// Its parameters that are lengths or lists of lengths, as measured.
    pub lengths: BTreeMap<String, Vec<Mm>>,
    /// Its parameters that are words or texts.
    pub words: BTreeMap<String, String>,
    #[serde(skip)]
    pub origin: Origin,
}

/// Something on a wall that boxes must keep clear of, in the frame of the wall.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Obstacle {
    pub path: String,
    #[serde(rename = "type")]
    pub type_name: String,
    pub place: Cuboid,
    #[serde(skip)]
    pub origin: Origin,
}

/// Boxes side by side along a wall.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Row {
    pub path: String,
    /// The path of its wall.
    pub wall: String,
    /// From end to end, in the frame of the wall.
    pub place: Cuboid,
    /// Between the wall's surface and the backs of the boxes.
    pub standoff: Mm,
    /// From left to right.
    pub members: Vec<RowMember>,
    /// The spaces left at its left and right end, where there are any.
    pub ends: [Option<Cuboid>; 2],
}

/// A box or gap of a row.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct RowMember {
    pub path: String,
    pub gap: bool,
    /// In the frame of the wall.
    pub place: Cuboid,
}

/// A warning that stands or was accepted.
#[derive(Clone, Debug, Serialize, Deserialize, JsonSchema)]
pub struct Message {
    pub code: String,
    pub message: String,
    /// `file:line:column`
    pub at: String,
    pub boxes: Vec<String>,
    /// The reason, where it was accepted.
    pub accepted: Option<String>,
}

/// Two things joined into one body: indices into `parts`.
#[derive(Clone, Copy, Debug)]
pub struct Link {
    pub a: usize,
    pub b: usize,
}

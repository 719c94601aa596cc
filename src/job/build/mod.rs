//! The job from an evaluation: everything in the root's directions, merged, named and in order.

mod bears;
mod boards;
mod fixes;
mod lists;
mod machining;
mod site;

pub(super) use lists::item_name;

use super::origins::Origins;
use super::*;
use crate::evaluation::{
    BoxId, Evaluation, FrameId, Held, HoleRecord, Member, MotionRecord, Mover, PartId, SpaceId, Thing, Value,
};
use crate::syntax::tree::Kind;
use crate::values::{Dimension, Quantity, Rational};
use std::collections::{BTreeMap, BTreeSet};

/// What could not be worked out is left out; its message has been given.
type Maybe<T> = Option<T>;

/// Where a frame lies in its root: for each axis an offset, and whether x runs the other way.
#[derive(Clone, Copy)]
struct Lie {
    flip: bool,
    offset: [Rational; 3],
}

impl Lie {
    fn interval(&self, axis: Axis, r: Interval) -> Maybe<Interval> {
        if axis == Axis::X && self.flip {
            r.reflect(self.offset[0]).ok()
        } else {
            r.shift(self.offset[axis as usize]).ok()
        }
    }

    fn at(&self, axis: Axis, at: Rational) -> Maybe<Rational> {
        self.interval(axis, Interval::new(at, at)).map(|r| r.lo)
    }

    fn cuboid(&self, c: &Cuboid) -> Maybe<Cuboid> {
        Some(Cuboid {
            x: self.interval(Axis::X, c.x)?,
            y: self.interval(Axis::Y, c.y)?,
            z: self.interval(Axis::Z, c.z)?,
        })
    }

    fn face(&self, face: Face) -> Face {
        if self.flip && face.axis() == Axis::X { face.opposite() } else { face }
    }
}

struct Builder<'e, 'p> {
    e: &'e mut Evaluation<'p>,
    origins: Origins,
    lies: BTreeMap<FrameId, Lie>,
    /// Where each part of the evaluation stands in the job.
    index: BTreeMap<PartId, usize>,
    boards: BTreeMap<String, Board>,
    board_names: BTreeMap<String, String>,
    bands: BTreeMap<String, Band>,
    joints: Vec<(String, String)>,
    /// What tells bought items of one definition apart, by its name.
    item_kinds: BTreeMap<String, BTreeSet<String>>,
}

/// Makes the job of an evaluation that has run. Parts that failed are left out. Marks are kept from an
/// earlier job where one is given.
pub fn build(e: &mut Evaluation<'_>, kept: Option<&KeptMarks>) -> (Job, Origins) {
    let mut b = Builder {
        e,
        origins: Origins::default(),
        lies: BTreeMap::new(),
        index: BTreeMap::new(),
        boards: BTreeMap::new(),
        board_names: BTreeMap::new(),
        bands: BTreeMap::new(),
        joints: Vec::new(),
        item_kinds: BTreeMap::new(),
    };
    let mut job = Job {
        format: "aumbry-job/1".to_string(),
        sources: Vec::new(),
        house: b.house(),
        boards: Vec::new(),
        bands: Vec::new(),
        boxes: Vec::new(),
        parts: Vec::new(),
        same: Vec::new(),
        pairs: Vec::new(),
        items: Vec::new(),
        fixes: Vec::new(),
        mounts: Vec::new(),
        matched: Vec::new(),
        moves: Vec::new(),
        loads: Vec::new(),
        spans: Vec::new(),
        bearings: Vec::new(),
        rests: Vec::new(),
        rows: Vec::new(),
        walls: Vec::new(),
        messages: Vec::new(),
        links: Vec::new(),
        explained: Vec::new(),
        anchored: Vec::new(),
    };
    b.name_boards();
    job.boxes = b.boxes();
    job.parts = b.parts();
    b.holes(&mut job.parts);
    b.cuts(&mut job.parts);
    b.bevels(&mut job.parts);
    b.banding(&mut job.parts);
    job.items = b.items();
    b.records(&mut job);
    job.walls = b.walls();
    job.rows = b.rows();
    job.boards = std::mem::take(&mut b.boards).into_values().collect();
    job.bands = std::mem::take(&mut b.bands).into_values().collect();
    let (same, pairs) = assign(&mut job.parts, kept);
    job.same = same;
    job.pairs = pairs;
    (job, b.origins)
}

impl<'p> Builder<'_, 'p> {
    fn house(&mut self) -> House {
        let style = self.e.style;
        let mut lengths = BTreeMap::new();
        let names: Vec<_> = self.e.program.house_fields.keys().copied().collect();
        for name in names {
            if let Some(length) = self.e.house_length(name.as_str()) {
                lengths.insert(name.to_string(), Mm(length));
            }
        }
        let step = lengths.get("step").copied().unwrap_or(Mm(Rational::ONE));
        lengths.remove("step");
        lengths.remove("print");
        House {
            units: if style.inches { "in" } else { "mm" }.to_string(),
            step,
            print: Mm(style.step),
            lengths,
        }
    }

    fn lie(&mut self, frame: FrameId) -> Maybe<Lie> {
        if let Some(lie) = self.lies.get(&frame) {
            return Some(*lie);
        }
        let (flip, offset) = self.e.lie_in_root(frame)?;
        let lie = Lie { flip, offset };
        self.lies.insert(frame, lie);
        Some(lie)
    }

    /// The wall or outermost box that a box stands in; itself where it stands alone.
    fn root_of(&mut self, b: BoxId) -> BoxId {
        let outer = self.e.boxes[b.0 as usize].outer;
        self.e.root_of(outer).ok().flatten().unwrap_or(b)
    }

    fn box_place(&mut self, b: BoxId) -> Maybe<Cuboid> {
        let outer = self.e.boxes[b.0 as usize].outer;
        let mut c = None;
        for axis in Axis::ALL {
            let slot = self.e.boxes[b.0 as usize].extent[axis as usize];
            let range = match self.e.force(slot) {
                Ok(Value::Range(r)) => Interval::new(r.lo, r.hi),
                _ => return None,
            };
            c = Some(c.unwrap_or(Cuboid { x: range, y: range, z: range }).with(axis, range));
        }
        self.lie(outer)?.cuboid(&c?)
    }

    fn boxes(&mut self) -> Vec<BoxEntry> {
        let mut list = Vec::new();
        for i in 0..self.e.boxes.len() {
            let id = BoxId(i as u32);
            if self.e.boxes[i].def.kind != Kind::Box {
                continue;
            }
            let row = self.e.row_of(id);
            let Some(place) = self.box_place(id) else { continue };
            let root = self.root_of(id);
            let record = &self.e.boxes[i];
            let description = self.e.program.module(record.module).doc(record.def.name.name);
            let mut entry = BoxEntry {
                path: record.path.clone(),
                type_name: record.def.name.name.to_string(),
                description,
                within: match row {
                    Some(_) => None,
                    None => record.within.map(|w| self.e.boxes[w.0 as usize].path.clone()),
                },
                root: self.e.boxes[root.0 as usize].path.clone(),
                row: row.map(|r| self.e.boxes[r.0 as usize].path.clone()),
                place,
                mirrored: self.e.frame_reflected(record.inner),
                spaces: BTreeMap::new(),
                was: record.place.was.as_ref().map(|(old, _)| old.clone()),
                origin: self.origins.add_box(id),
            };
            for space in self.e.boxes[i].spaces.clone() {
                let record = &self.e.spaces[space.0 as usize];
                let (frame, axes) = (record.frame, record.axes);
                // One of several of a loop says which.
                let rounds = &self.e.scopes[record.scope.0 as usize].indices;
                let name = rounds.iter().fold(record.name.to_string(), |name, i| format!("{name}[{i}]"));
                let mut c = entry.place;
                let mut known = true;
                for axis in Axis::ALL {
                    match self.e.force(axes[axis as usize]) {
                        Ok(Value::Range(r)) => c = c.with(axis, Interval::new(r.lo, r.hi)),
                        _ => known = false,
                    }
                }
                let lie = self.lie(frame);
                if let (true, Some(c)) = (known, lie.and_then(|l| l.cuboid(&c))) {
                    if let Some(own) = less_corner(&c, &entry.place) {
                        entry.spaces.insert(name, own);
                    }
                }
            }
            list.push(entry);
        }
        list.sort_by(|a, b| path_order(&a.path, &b.path));
        list
    }

    fn part(&mut self, id: PartId) -> Maybe<Part> {
        let c = self.e.part_cuboid(id).ok()?;
        let axes = self.e.axes_of(id)?;
        let (board, thickness) = self.board(id)?;
        let record = &self.e.parts[id.0 as usize];
        let (owner, frame, path) = (record.owner, record.frame, record.path.clone());
        let (loose, proud) = (record.stmt.loose, record.stmt.proud);
        let was = record.stmt.was.as_ref().map(|(old, _)| old.clone());
        let box_place = self.box_place(owner)?;
        let lie = self.lie(frame)?;
        let place = lie.cuboid(&c)?;
        let own = less_corner(&place, &box_place)?;
        let root = self.root_of(owner);
        let entry = self.boards.get(&board)?;
        let (grain, good) = (entry.grain, entry.good_faces);
        let size = |axis: Axis| c.on(axis).size().ok().map(Mm);
        let outer = self.e.outer_face(id).map(|f| lie.face(f));
        let good_face = match good {
            1 => Some(outer.unwrap_or(Face::of(axes[2], true))),
            _ => None,
        };
        let (length, width) = (size(axes[0])?, size(axes[1])?);
        let origin = self.origins.add_part(id);
        let range_origins = Axis::ALL.map(|a| self.origins.add_range(id, a));
        Some(Part {
            path,
            mark: String::new(),
            piece: 1,
            box_path: self.e.boxes[owner.0 as usize].path.clone(),
            board,
            length,
            width,
            thickness: Mm(thickness),
            cut: CutSize { length, width },
            root: self.e.boxes[root.0 as usize].path.clone(),
            place,
            axes,
            mirrored: lie.flip,
            grain: if grain { Grain::Length } else { Grain::None },
            good_face,
            bands: BTreeMap::new(),
            cuts: Vec::new(),
            holes: Vec::new(),
            bevels: Vec::new(),
            own,
            inner: outer.map(Face::opposite),
            outer,
            loose,
            proud,
            origin,
            range_origins,
            was,
        })
    }

    fn parts(&mut self) -> Vec<Part> {
        let mut found: Vec<(PartId, Part)> = (0..self.e.parts.len())
            .map(|i| PartId(i as u32))
            .filter_map(|id| self.part(id).map(|p| (id, p)))
            .collect();
        found.sort_by(|a, b| path_order(&a.1.path, &b.1.path));
        for (i, (id, _)) in found.iter().enumerate() {
            self.index.insert(*id, i);
        }
        found.into_iter().map(|(_, p)| p).collect()
    }

    /// The name of a joint in a part's hole, and its full path.
    fn joint(&mut self, maker: Option<u32>) -> (String, String) {
        let Some(index) = maker else { return ("drill".to_string(), String::new()) };
        if self.joints.is_empty() {
            let boxes = &self.e.boxes;
            let path = |m: &crate::evaluation::Maker| match m.owner {
                Some(b) => [boxes[b.0 as usize].path.as_str(), ".", &m.label].concat(),
                None => m.label.clone(),
            };
            self.joints = self.e.records.makers.iter().map(|m| (m.label.clone(), path(m))).collect();
        }
        self.joints.get(index as usize).cloned().unwrap_or_default()
    }
}

/// A cuboid counted from the low corner of another.
fn less_corner(c: &Cuboid, corner: &Cuboid) -> Option<Cuboid> {
    let mut own = *c;
    for axis in Axis::ALL {
        let back = corner.on(axis).lo.neg().ok()?;
        own = own.with(axis, c.on(axis).shift(back).ok()?);
    }
    Some(own)
}

//! The job from an evaluation: everything in the root's directions, merged, named and in order.

use super::origins::Origins;
use super::*;
use crate::evaluation::{BoxId, Evaluation, FrameId, HoleRecord, MotionRecord, Mover, PartId, Thing, Value};
use crate::values::{Dimension, Quantity, Rational};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

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
    };
    let mut job = Job {
        format: "aumbry-job/1".to_string(),
        sources: b.sources(),
        house: b.house(),
        boards: Vec::new(),
        bands: Vec::new(),
        boxes: Vec::new(),
        parts: Vec::new(),
        same: Vec::new(),
        pairs: Vec::new(),
        items: Vec::new(),
        fixes: Vec::new(),
        moves: Vec::new(),
        loads: Vec::new(),
        rows: Vec::new(),
        walls: Vec::new(),
        messages: Vec::new(),
        links: Vec::new(),
        explained: Vec::new(),
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
    job.boards = std::mem::take(&mut b.boards).into_values().collect();
    job.bands = std::mem::take(&mut b.bands).into_values().collect();
    let (same, pairs) = assign(&mut job.parts, kept);
    job.same = same;
    job.pairs = pairs;
    (job, b.origins)
}

impl<'p> Builder<'_, 'p> {
    fn sources(&self) -> Vec<SourceDigest> {
        self.e
            .program
            .sources
            .iter()
            .map(|(_, file)| {
                let mut digest = String::with_capacity(64);
                for byte in Sha256::digest(file.text.as_bytes()) {
                    let _ = write!(digest, "{byte:02x}");
                }
                SourceDigest { name: file.name.clone(), digest }
            })
            .collect()
    }

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

    fn thing_of(&mut self, part: PartId) -> Maybe<std::rc::Rc<Thing<'p>>> {
        let slot = self.e.parts[part.0 as usize].board;
        match self.e.force(slot) {
            Ok(Value::Thing(thing)) => Some(thing),
            _ => None,
        }
    }

    fn field(&mut self, thing: &Thing<'p>, word: &str) -> Option<Value<'p>> {
        self.e.thing_field(thing, word).ok().flatten()
    }

    fn length_field(&mut self, thing: &Thing<'p>, word: &str) -> Option<Rational> {
        match self.field(thing, word) {
            Some(Value::Quantity(q)) if q.dimension == Dimension::LENGTH => Some(q.value),
            _ => None,
        }
    }

    fn text_field(&mut self, thing: &Thing<'p>, word: &str) -> Option<String> {
        match self.field(thing, word) {
            Some(Value::Text(text)) => Some(text.to_string()),
            _ => None,
        }
    }

    /// A board's name is its definition's, with the thickness where one definition comes in several.
    fn name_boards(&mut self) {
        let mut kinds: BTreeMap<String, BTreeMap<String, Rational>> = BTreeMap::new();
        for i in 0..self.e.parts.len() {
            let Some(thing) = self.thing_of(PartId(i as u32)) else { continue };
            let Ok(key) = self.e.thing_key(&thing) else { continue };
            let Some(thickness) = self.length_field(&thing, "thickness") else { continue };
            kinds.entry(thing.def.name.name.to_string()).or_default().insert(key, thickness);
        }
        let style = self.e.style;
        for (name, keys) in kinds {
            let several = keys.len() > 1;
            let mut taken = BTreeSet::new();
            for (key, thickness) in keys {
                let mut full = match several {
                    true => format!("{name} {}", style.length(thickness)),
                    false => name.clone(),
                };
                let mut n = 2;
                while !taken.insert(full.clone()) {
                    full = format!("{name} {} ({n})", style.length(thickness));
                    n += 1;
                }
                self.board_names.insert(key, full);
            }
        }
    }

    fn board(&mut self, part: PartId) -> Maybe<(String, Rational)> {
        let thing = self.thing_of(part)?;
        let key = self.e.thing_key(&thing).ok()?;
        let name = self.board_names.get(&key)?.clone();
        let thickness = self.length_field(&thing, "thickness")?;
        if !self.boards.contains_key(&name) {
            let sheet = match self.field(&thing, "sheet") {
                Some(Value::List(list)) => match list.as_ref() {
                    [Value::Quantity(a), Value::Quantity(b)] => Some([Mm(a.value), Mm(b.value)]),
                    _ => None,
                },
                _ => None,
            };
            let density = match self.field(&thing, "density") {
                Some(Value::Quantity(q)) if q.dimension == Dimension::DENSITY => {
                    q.value.mul(Rational::int(1_000_000_000)).ok().map(Figure)
                }
                _ => None,
            };
            let good_faces = match self.field(&thing, "good_faces") {
                Some(Value::Quantity(q)) => {
                    q.value.to_i64().and_then(|n| u8::try_from(n).ok()).unwrap_or(2).min(2)
                }
                _ => 2,
            };
            let price = match self.field(&thing, "price") {
                Some(Value::Quantity(Quantity { value, dimension })) => dimension.money.map(|code| {
                    format!("{} {}", crate::values::decimal(value, 2), String::from_utf8_lossy(&code))
                }),
                _ => None,
            };
            let grain = matches!(self.field(&thing, "grain"), Some(Value::Flag(true)));
            let description = self.text_field(&thing, "description");
            let board = Board {
                name: name.clone(),
                thickness: Mm(thickness),
                sheet,
                density,
                grain,
                good_faces,
                price,
                description,
            };
            self.boards.insert(name.clone(), board);
        }
        Some((name, thickness))
    }

    fn root_of(&self, b: BoxId) -> BoxId {
        let mut at = b;
        while let Some(up) = self.e.boxes[at.0 as usize].within {
            at = up;
        }
        at
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
            let Some(place) = self.box_place(id) else { continue };
            let root = self.root_of(id);
            let record = &self.e.boxes[i];
            let description = self.e.program.module(record.module).doc(record.def.name.name);
            let mut entry = BoxEntry {
                path: record.path.clone(),
                type_name: record.def.name.name.to_string(),
                description: description.map(str::to_string),
                within: record.within.map(|w| self.e.boxes[w.0 as usize].path.clone()),
                root: self.e.boxes[root.0 as usize].path.clone(),
                place,
                mirrored: self.e.frame_reflected(record.inner),
                spaces: BTreeMap::new(),
                origin: self.origins.add_box(id),
            };
            for space in self.e.boxes[i].spaces.clone() {
                let record = &self.e.spaces[space.0 as usize];
                let (frame, name, axes) = (record.frame, record.name, record.axes);
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
                        entry.spaces.insert(name.to_string(), own);
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

    fn holes(&mut self, parts: &mut [Part]) {
        let records = std::mem::take(&mut self.e.records.holes);
        // Per part: label of the joint and hole, to be merged and numbered.
        let mut by_part: BTreeMap<usize, Vec<(String, Hole)>> = BTreeMap::new();
        for (i, record) in records.iter().enumerate() {
            let Some(index) = self.index.get(&record.part).copied() else { continue };
            if let Some(found) = self.hole(record, i, &parts[index]) {
                by_part.entry(index).or_default().push(found);
            }
        }
        self.e.records.holes = records;
        for (index, mut holes) in by_part {
            holes.sort_by(|a, b| {
                let key = |h: &Hole| (h.face, h.at.mm, h.dia, h.depth, h.bored);
                key(&a.1).cmp(&key(&b.1)).then_with(|| a.0.cmp(&b.0))
            });
            let mut merged: Vec<(String, Hole)> = Vec::with_capacity(holes.len());
            for (label, hole) in holes {
                let same =
                    merged.iter_mut().rev().take_while(|(_, m)| m.face == hole.face && m.at == hole.at).find(
                        |(_, m)| {
                            m.dia == hole.dia
                                && m.depth == hole.depth
                                && m.profile == hole.profile
                                && m.bored == hole.bored
                        },
                    );
                match same {
                    Some((_, first)) => {
                        for purpose in hole.purposes {
                            if !first.purposes.contains(&purpose) {
                                first.purposes.push(purpose);
                            }
                        }
                        for joint in hole.joints {
                            if !first.joints.contains(&joint) {
                                first.joints.push(joint);
                            }
                        }
                    }
                    None => merged.push((label, hole)),
                }
            }
            let part = &mut parts[index];
            let mut counts: BTreeMap<String, u32> = BTreeMap::new();
            for (label, mut hole) in merged {
                let n = counts.entry(label.clone()).or_insert(0);
                *n += 1;
                hole.id = [part.path.as_str(), "/", &label, "#", &n.to_string()].concat();
                part.holes.push(hole);
            }
        }
    }

    fn hole(&mut self, record: &HoleRecord<'p>, index: usize, part: &Part) -> Maybe<(String, Hole)> {
        let frame = self.e.parts[record.part.0 as usize].frame;
        let lie = self.lie(frame)?;
        let face = lie.face(record.face);
        let from = face.datum_edges();
        let mut mm = [Mm(Rational::ZERO); 2];
        for (slot, edge) in mm.iter_mut().zip(from) {
            let axis = edge.axis();
            let at = lie.at(axis, record.at[axis as usize])?;
            *slot = Mm(at.sub(part.place.on(axis).lo).ok()?);
        }
        let thick = part.place.on(face.axis()).size().ok()?;
        let depth = record.depth.unwrap_or(thick);
        let (label, joint) = self.joint(record.maker);
        Some((
            label,
            Hole {
                id: String::new(),
                face,
                at: At { from, mm },
                dia: Mm(record.dia),
                depth: Mm(depth),
                through: record.depth.is_none(),
                profile: record
                    .profile
                    .iter()
                    .map(|s| Step { dia: Mm(s.dia), end_dia: Mm(s.end_dia), depth: Mm(s.depth) })
                    .collect(),
                bored: if record.in_place { Bored::InPlace } else { Bored::Bench },
                purposes: record.purpose.iter().cloned().collect(),
                joints: if joint.is_empty() { Vec::new() } else { vec![joint] },
                origin: self.origins.add_hole(index),
            },
        ))
    }

    fn cuts(&mut self, parts: &mut [Part]) {
        let records = std::mem::take(&mut self.e.records.cuts);
        for (i, record) in records.iter().enumerate() {
            let Some(index) = self.index.get(&record.part).copied() else { continue };
            let frame = self.e.parts[record.part.0 as usize].frame;
            let Some(lie) = self.lie(frame) else { continue };
            let part = &mut parts[index];
            let Some(place) = lie.cuboid(&record.cuboid) else { continue };
            let corner = [Axis::X, Axis::Y, Axis::Z]
                .map(|a| part.place.on(a).lo.sub(part.own.on(a).lo).unwrap_or(Rational::ZERO));
            let mut own = place;
            for axis in Axis::ALL {
                if let Some(r) = corner[axis as usize].neg().ok().and_then(|c| place.on(axis).shift(c).ok()) {
                    own = own.with(axis, r);
                }
            }
            let (_, joint) = self.joint(record.maker);
            part.cuts.push(Cut {
                shape: record.shape,
                face: lie.face(record.face),
                cuboid: own,
                runs: record.runs,
                run: record.run,
                dia: record.dia.map(Mm),
                along: record.dia.map(|_| record.runs),
                by: record.by.map(|p| self.e.parts[p.0 as usize].path.clone()),
                joint,
                origin: self.origins.add_cut(i),
            });
        }
        self.e.records.cuts = records;
        for part in parts {
            part.cuts.sort_by(|a, b| {
                let key = |c: &Cut| {
                    let r = |a: Axis| (c.cuboid.on(a).lo, c.cuboid.on(a).hi);
                    (c.face, r(Axis::X), r(Axis::Y), r(Axis::Z))
                };
                key(a).cmp(&key(b)).then_with(|| a.joint.cmp(&b.joint))
            });
        }
    }

    fn bevels(&mut self, parts: &mut [Part]) {
        for i in 0..self.e.records.bevels.len() {
            let record = &self.e.records.bevels[i];
            let (id, face, rise, run, long) =
                (record.part, record.face, record.rise, record.run, record.long_side);
            let Some(index) = self.index.get(&id).copied() else { continue };
            let frame = self.e.parts[id.0 as usize].frame;
            let Some(lie) = self.lie(frame) else { continue };
            parts[index].bevels.push(Bevel {
                face: lie.face(face),
                rise: Mm(rise),
                run: Mm(run),
                long_side: lie.face(long),
                origin: self.origins.add_bevel(i),
            });
        }
        for part in parts {
            part.bevels.sort_by_key(|b| (b.face, b.rise, b.run, b.long_side));
        }
    }

    fn banding(&mut self, parts: &mut [Part]) {
        for i in 0..self.e.records.bands.len() {
            let record = &self.e.records.bands[i];
            let (id, face, band) = (record.part, record.face, record.band.clone());
            let (Some(index), Value::Thing(thing)) = (self.index.get(&id).copied(), band) else { continue };
            let frame = self.e.parts[id.0 as usize].frame;
            let Some(lie) = self.lie(frame) else { continue };
            let thickness = self.length_field(&thing, "thickness").unwrap_or(Rational::ZERO);
            let deduct = !matches!(self.field(&thing, "deduct"), Some(Value::Flag(false)));
            let name = thing.def.name.name.to_string();
            let name = match self.bands.get(&name) {
                Some(b) if b.thickness.0 != thickness || b.deduct != deduct => {
                    format!("{name} {}", self.e.style.length(thickness))
                }
                _ => name,
            };
            let entry = Band { name: name.clone(), thickness: Mm(thickness), deduct };
            self.bands.entry(name.clone()).or_insert(entry);
            let face = lie.face(face);
            let part = &mut parts[index];
            if part.bands.insert(face, name).is_none() && deduct {
                let cut =
                    if face.axis() == part.axes[0] { &mut part.cut.length } else { &mut part.cut.width };
                if let Ok(less) = cut.0.sub(thickness) {
                    cut.0 = less;
                }
            }
        }
    }

    fn items(&mut self) -> Vec<ItemEntry> {
        let mut found: BTreeMap<String, (String, Option<String>, BTreeMap<String, u64>)> = BTreeMap::new();
        let mut kinds: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
        for i in 0..self.e.records.buys.len() {
            let record = &self.e.records.buys[i];
            let (quantity, maker, scope) = (record.quantity, record.maker, record.scope);
            let Value::Thing(thing) = record.item.clone() else { continue };
            let Ok(key) = self.e.thing_key(&thing) else { continue };
            let name = thing.def.name.name.to_string();
            let words = self.text_field(&thing, "name");
            let (_, joint) = self.joint(maker);
            let path = match (joint.is_empty(), self.e.owner(scope)) {
                (false, _) => joint,
                (true, Some(b)) => self.e.boxes[b.0 as usize].path.clone(),
                (true, None) => String::new(),
            };
            kinds.entry(name.clone()).or_default().insert(key.clone());
            let entry = found.entry(key).or_insert_with(|| (name, words, BTreeMap::new()));
            *entry.2.entry(path).or_insert(0) += u64::try_from(quantity).unwrap_or(0);
        }
        found
            .into_iter()
            .map(|(key, (name, description, uses))| {
                let several = kinds.get(&name).is_some_and(|k| k.len() > 1);
                let mut uses: Vec<ItemUse> =
                    uses.into_iter().map(|(path, quantity)| ItemUse { path, quantity }).collect();
                uses.sort_by(|a, b| path_order(&a.path, &b.path));
                ItemEntry {
                    name: if several { self.item_name(&name, &key) } else { name },
                    description,
                    quantity: uses.iter().map(|u| u.quantity).sum(),
                    uses,
                }
            })
            .collect()
    }

    /// Two of one definition are told apart by their arguments.
    fn item_name(&self, name: &str, key: &str) -> String {
        let args: Vec<String> = key.split('|').skip(1).map(|a| a.replace(' ', "")).collect();
        format!("{name}({})", args.join(", "))
    }

    fn mover(&self, thing: Mover) -> String {
        match thing {
            Mover::Part(p) => self.e.parts[p.0 as usize].path.clone(),
            Mover::Box(b) => self.e.boxes[b.0 as usize].path.clone(),
        }
    }

    fn records(&mut self, job: &mut Job) {
        for i in 0..self.e.records.fixes.len() {
            let record = &self.e.records.fixes[i];
            let (a, b, maker) = (record.a, record.b, record.maker);
            let (from, tool, glue) = (record.from, record.tool.clone(), record.glue);
            let with = match &record.with {
                Some(Value::Thing(thing)) => Some(thing.def.name.name.to_string()),
                _ => None,
            };
            let from = from.and_then(|(p, f)| {
                let frame = self.e.parts[p.0 as usize].frame;
                self.lie(frame).map(|l| l.face(f))
            });
            let (_, joint) = self.joint(maker);
            job.fixes.push(Fix {
                a: self.e.parts[a.0 as usize].path.clone(),
                b: self.e.parts[b.0 as usize].path.clone(),
                with,
                from,
                tool,
                glue,
                joint,
            });
        }
        job.fixes.sort_by(|x, y| path_order(&x.joint, &y.joint).then_with(|| path_order(&x.a, &y.a)));
        let moves = std::mem::take(&mut self.e.records.moves);
        for record in &moves {
            let (_, fitting) = self.joint(record.maker);
            let thing = self.mover(record.thing);
            job.moves.push(match record.motion {
                MotionRecord::Slides { axis, by } => Move::Slides { thing, along: axis, by: Mm(by), fitting },
                MotionRecord::Swings { about, through } => {
                    Move::Swings { thing, about, through: Figure(through), fitting }
                }
            });
        }
        self.e.records.moves = moves;
        job.moves.sort_by(|x, y| path_order(move_key(x), move_key(y)));
        let loads = std::mem::take(&mut self.e.records.loads);
        for record in &loads {
            let (_, by) = self.joint(record.maker);
            job.loads.push(Load { thing: self.mover(record.thing), load: Figure(record.load), by });
        }
        self.e.records.loads = loads;
        job.loads.sort_by(|x, y| path_order(&x.thing, &y.thing).then_with(|| path_order(&x.by, &y.by)));
        for (a, b) in &self.e.records.links {
            if let (Some(a), Some(b)) = (self.index.get(a), self.index.get(b)) {
                job.links.push(Link { a: *a, b: *b });
            }
        }
        for (a, b) in &self.e.records.explained {
            if let (Some(a), Some(b)) = (self.index.get(a), self.index.get(b)) {
                job.explained.push((*a, *b));
            }
        }
    }
}

fn move_key(m: &Move) -> &str {
    match m {
        Move::Slides { thing, .. } | Move::Swings { thing, .. } => thing,
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

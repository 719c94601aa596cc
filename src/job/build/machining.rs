//! Holes, cuts, bevels and bands of parts, in the directions of the root.

use super::*;

impl<'p> Builder<'_, 'p> {
    pub(super) fn holes(&mut self, parts: &mut [Part]) {
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
            // A hole that several ask for is named by the joint of the outermost box: what is added in a box
            // later, a front, renames no hole that is there.
            let depth = |h: &Hole| h.joints.first().map_or(0, |j| j.matches('.').count());
            holes.sort_by(|a, b| {
                let key = |h: &Hole| (h.face, h.at.mm, h.dia, h.depth, h.bored);
                key(&a.1)
                    .cmp(&key(&b.1))
                    .then_with(|| depth(&a.1).cmp(&depth(&b.1)))
                    .then_with(|| a.0.cmp(&b.0))
            });
            let part = &mut parts[index];
            let mut counts: BTreeMap<String, u32> = BTreeMap::new();
            let mut merged: Vec<Hole> = Vec::with_capacity(holes.len());
            // Where each joint asked last: the same hole twice is one of its holes.
            let mut last: BTreeMap<String, (Face, [Mm; 2])> = BTreeMap::new();
            for (label, mut hole) in holes {
                let here = (hole.face, hole.at.mm);
                let again = last.insert(label.clone(), here) == Some(here);
                let same =
                    merged.iter_mut().rev().take_while(|m| m.face == hole.face && m.at == hole.at).find(
                        |m| {
                            m.dia == hole.dia
                                && m.depth == hole.depth
                                && m.profile == hole.profile
                                && m.bored == hole.bored
                        },
                    );
                let n = counts.entry(label.clone()).or_insert(0);
                if !(again && same.is_some()) {
                    *n += 1;
                }
                match same {
                    Some(first) => {
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
                    None => {
                        hole.id = [part.path.as_str(), "/", &label, "#", &n.to_string()].concat();
                        merged.push(hole);
                    }
                }
            }
            part.holes.extend(merged);
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

    pub(super) fn cuts(&mut self, parts: &mut [Part]) {
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
                by: record.by.map(|b| self.held(b)),
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

    pub(super) fn bevels(&mut self, parts: &mut [Part]) {
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

    pub(super) fn banding(&mut self, parts: &mut [Part]) {
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
}

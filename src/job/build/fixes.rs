//! What the order of assembly is made from: fixes and mounts.

use super::*;

impl<'p> Builder<'_, 'p> {
    pub(super) fn fixes(&mut self, job: &mut Job) {
        let records = std::mem::take(&mut self.e.records.fixes);
        for record in &records {
            let with = record.with.as_ref().map(|w| self.item_called(w));
            let (mut from, mut through, mut tack) = (None, None, None);
            if let Some((part, face)) = record.from {
                let frame = self.e.parts[part.0 as usize].frame;
                if let Some(lie) = self.lie(frame) {
                    from = Some(lie.face(face));
                    through = Some(self.e.parts[part.0 as usize].path.clone());
                    let at: Vec<At> = record
                        .tacks
                        .iter()
                        .filter_map(|at| self.at_on(part, lie.face(face), at, &lie, &job.parts))
                        .collect();
                    let item = record.tack.as_ref().map(|t| self.item_called(t));
                    tack = item.filter(|_| !at.is_empty()).map(|with| Tack { with, at });
                }
            }
            let (_, joint) = self.joint(record.maker);
            job.fixes.push(Fix {
                a: self.e.parts[record.a.0 as usize].path.clone(),
                b: self.held(record.b),
                with,
                count: record.count.and_then(|n| u64::try_from(n).ok()),
                from,
                through,
                tool: record.tool.clone(),
                glue: record.glue,
                tack,
                after: self.movers(&record.after),
                joint,
            });
        }
        self.e.records.fixes = records;
        job.fixes.sort_by(|x, y| {
            let paths = path_order(&x.joint, &y.joint).then_with(|| path_order(&x.a, &y.a));
            let rest = |f: &Fix| (f.with.clone(), f.from, f.count, f.tool.clone(), f.glue);
            paths.then_with(|| path_order(&x.b, &y.b)).then_with(|| rest(x).cmp(&rest(y)))
        });
    }

    /// Where a place lies on a face, from the edges that holes on it are measured from.
    fn at_on(&self, part: PartId, face: Face, at: &[Rational; 3], lie: &Lie, parts: &[Part]) -> Maybe<At> {
        let place = parts.get(*self.index.get(&part)?)?.place;
        let from = face.datum_edges();
        let mut mm = [Mm(Rational::ZERO); 2];
        for (slot, edge) in mm.iter_mut().zip(from) {
            let at = lie.at(edge.axis(), at[edge.axis() as usize])?;
            *slot = Mm(at.sub(place.on(edge.axis()).lo).ok()?);
        }
        Some(At { from, mm })
    }

    pub(super) fn mounts(&mut self, job: &mut Job) {
        let records = std::mem::take(&mut self.e.records.mounts);
        for record in &records {
            let frame = self.e.parts[record.part.0 as usize].frame;
            let Some(lie) = self.lie(frame) else { continue };
            let item = self.item_called(&record.item);
            let (_, joint) = self.joint(record.maker);
            job.mounts.push(Mount {
                item,
                on: self.e.parts[record.part.0 as usize].path.clone(),
                face: lie.face(record.face),
                with: record.with.as_ref().map(|w| self.item_called(w)),
                count: record.count.and_then(|n| u64::try_from(n).ok()),
                tool: record.tool.clone(),
                after: self.movers(&record.after),
                joint,
            });
        }
        self.e.records.mounts = records;
        job.mounts.sort_by(|x, y| {
            let paths = path_order(&x.joint, &y.joint).then_with(|| path_order(&x.on, &y.on));
            let rest = |m: &Mount| (m.face, m.item.clone(), m.with.clone(), m.count, m.tool.clone());
            paths.then_with(|| rest(x).cmp(&rest(y)))
        });
    }
}

//! Spans, rests and bearings.

use super::*;
use crate::evaluation::{ScopeId, WayRecord};

impl<'p> Builder<'_, 'p> {
    /// The joint or fitting that says something, else the box it is said in.
    fn said_by(&mut self, maker: Option<u32>, scope: ScopeId) -> String {
        match (maker, self.e.owner(scope)) {
            (Some(_), _) => self.joint(maker).1,
            (None, Some(b)) => self.e.boxes[b.0 as usize].path.clone(),
            (None, None) => String::new(),
        }
    }

    pub(super) fn bearing(&mut self, job: &mut Job) {
        let spans = std::mem::take(&mut self.e.records.spans);
        for (i, record) in spans.iter().enumerate() {
            job.spans.push(Spanning {
                part: self.e.parts[record.part.0 as usize].path.clone(),
                along: record.along,
                clear: Mm(record.clear),
                load: Figure(record.load),
                ends: if record.clamped { Ends::Clamped } else { Ends::Simple },
                limit: record.limit.map(Mm),
                creep: Figure(record.creep),
                source: record.source.clone(),
                by: self.said_by(record.maker, record.scope),
                origin: self.origins.add_span(i),
            });
        }
        self.e.records.spans = spans;
        job.spans.sort_by(|x, y| path_order(&x.part, &y.part).then_with(|| path_order(&x.by, &y.by)));

        let rests = std::mem::take(&mut self.e.records.rests);
        for (i, record) in rests.iter().enumerate() {
            job.rests.push(Resting {
                thing: self.mover(record.thing),
                on: self.movers(&record.on),
                by: self.said_by(record.maker, record.scope),
                origin: self.origins.add_rest(i),
            });
        }
        self.e.records.rests = rests;
        job.rests.sort_by(|x, y| path_order(&x.thing, &y.thing).then_with(|| path_order(&x.by, &y.by)));

        let bearings = std::mem::take(&mut self.e.records.bearings);
        for (i, record) in bearings.iter().enumerate() {
            job.bearings.push(Bearing {
                item: self.item_called(&record.item),
                count: u64::try_from(record.count).unwrap_or(0),
                things: self.movers(&record.things),
                times: Figure(record.times),
                rating: Figure(record.rating),
                factor: Figure(record.factor),
                way: match record.way {
                    WayRecord::Down => Way::Down,
                    WayRecord::Shear => Way::Shear,
                    WayRecord::PullOut => Way::PullOut,
                },
                purpose: record.purpose.clone(),
                by: self.said_by(record.maker, record.scope),
                origin: self.origins.add_bearing(i),
            });
        }
        self.e.records.bearings = bearings;
        job.bearings.sort_by(|x, y| {
            path_order(&x.by, &y.by)
                .then_with(|| x.item.cmp(&y.item))
                .then_with(|| x.things.cmp(&y.things))
                .then_with(|| (x.way, &x.purpose).cmp(&(y.way, &y.purpose)))
        });
    }

    pub(super) fn movers(&self, things: &[Mover]) -> Vec<String> {
        let mut paths: Vec<String> = things.iter().map(|t| self.mover(*t)).collect();
        paths.sort_by(|a, b| path_order(a, b));
        paths.dedup();
        paths
    }

    /// The name of an item as the list of what is bought has it.
    pub(super) fn item_called(&mut self, item: &Value<'p>) -> String {
        let Value::Thing(thing) = item else { return String::new() };
        let name = thing.def.name.name.to_string();
        let several = self.item_kinds.get(&name).is_some_and(|kinds| kinds.len() > 1);
        match self.e.thing_key(thing) {
            Ok(key) if several => lists::item_name(&name, &key),
            _ => name,
        }
    }
}

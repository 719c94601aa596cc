//! Items, fixes, moves, loads and links.

use super::*;

impl Builder<'_, '_> {
    pub(super) fn items(&mut self) -> Vec<ItemEntry> {
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
        let list = found
            .into_iter()
            .map(|(key, (name, description, uses))| {
                let several = kinds.get(&name).is_some_and(|k| k.len() > 1);
                let mut uses: Vec<ItemUse> =
                    uses.into_iter().map(|(path, quantity)| ItemUse { path, quantity }).collect();
                uses.sort_by(|a, b| path_order(&a.path, &b.path));
                ItemEntry {
                    name: if several { item_name(&name, &key) } else { name },
                    description,
                    quantity: uses.iter().map(|u| u.quantity).sum(),
                    uses,
                }
            })
            .collect();
        self.item_kinds = kinds;
        list
    }

    pub(super) fn held(&self, thing: Held) -> String {
        match thing {
            Held::Part(p) => self.e.parts[p.0 as usize].path.clone(),
            Held::Site(b) => self.e.boxes[b.0 as usize].path.clone(),
        }
    }

    pub(super) fn mover(&self, thing: Mover) -> String {
        match thing {
            Mover::Part(p) => self.e.parts[p.0 as usize].path.clone(),
            Mover::Box(b) => self.e.boxes[b.0 as usize].path.clone(),
        }
    }

    pub(super) fn records(&mut self, job: &mut Job) {
        self.fixes(job);
        self.mounts(job);
        job.matched = (self.e.records.matched.iter())
            .map(|parts| parts.iter().map(|p| self.e.parts[p.0 as usize].path.clone()).collect())
            .collect();
        job.matched.sort_by(|x: &Vec<String>, y| {
            x.iter()
                .zip(y)
                .map(|(a, b)| path_order(a, b))
                .find(|o| o.is_ne())
                .unwrap_or(x.len().cmp(&y.len()))
        });
        let moves = std::mem::take(&mut self.e.records.moves);
        for (i, record) in moves.iter().enumerate() {
            let (_, fitting) = self.joint(record.maker);
            let thing = self.mover(record.thing);
            // Directions are said in the text's frame and kept in the root's.
            let Some(lie) = self.lie(self.e.frame_of(record.scope)) else { continue };
            let maker = record.maker.and_then(|m| self.e.records.makers.get(m as usize));
            let parts = maker.map(|m| m.parts.iter().filter_map(|p| self.index.get(p).copied()).collect());
            let guide = Guide { origin: self.origins.add_move(i), parts: parts.unwrap_or_default() };
            job.moves.push(match record.motion {
                MotionRecord::Slides { axis: along, by } => {
                    let back = lie.flip && along == Axis::X;
                    let by = if back { by.neg().unwrap_or(by) } else { by };
                    Move::Slides { thing, along, by: Mm(by), fitting, guide }
                }
                MotionRecord::Swings { about, through } => {
                    Move::Swings { thing, about: lie.face(about), through: Figure(through), fitting, guide }
                }
            });
        }
        self.e.records.moves = moves;
        job.moves.sort_by(|x, y| path_order(move_key(x), move_key(y)));
        let loads = std::mem::take(&mut self.e.records.loads);
        for (i, record) in loads.iter().enumerate() {
            let (_, by) = self.joint(record.maker);
            let origin = self.origins.add_load(i);
            job.loads.push(Load { thing: self.mover(record.thing), load: Figure(record.load), by, origin });
        }
        self.e.records.loads = loads;
        job.loads.sort_by(|x, y| path_order(&x.thing, &y.thing).then_with(|| path_order(&x.by, &y.by)));
        self.bearing(job);
        // What is held to a wall is held by it to everything else that is.
        for fix in &self.e.records.fixes {
            if let (Held::Site(_), Some(a)) = (fix.b, self.index.get(&fix.a)) {
                job.anchored.push(*a);
            }
        }
        job.anchored.sort_unstable();
        job.anchored.dedup();
        job.links.extend(job.anchored.windows(2).filter_map(|w| match w {
            [a, b] if job.parts[*a].root == job.parts[*b].root => Some(Link { a: *a, b: *b }),
            _ => None,
        }));
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

/// Two of one definition are told apart by their arguments.
pub(in crate::job) fn item_name(name: &str, key: &str) -> String {
    // A fraction of a millimetre is no figure to read on a shopping list.
    let plain = |a: &str| match a.split_once('/').map(|(n, d)| (n.parse::<i64>(), d.parse::<i64>())) {
        Some((Ok(n), Ok(d))) if d > 0 => crate::values::decimal(Rational::ratio(n.into(), d.into()), 3),
        _ => a.replace(' ', ""),
    };
    let args: Vec<String> = key.split('|').skip(1).map(plain).collect();
    format!("{name}({})", args.join(", "))
}

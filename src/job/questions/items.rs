//! What is bought: how many, and the figures of an item.

use super::{Asker, Found, Unknown};
use crate::evaluation::Value;
use crate::evaluation::reasons::{Formula, StepId};
use crate::job::ItemEntry;
use std::collections::BTreeMap;

impl<'p> Asker<'_, '_, 'p> {
    /// `count of NAME`, `NAME quantity`, `NAME`, `NAME.length`
    pub(super) fn bought(&mut self, what: &str) -> Option<Found> {
        let job = self.job;
        let plain = ["count of ", "number of ", "quantity of "].iter().find_map(|w| what.strip_prefix(w));
        let counted = plain.unwrap_or(what).trim();
        // The longest name first: one may begin another.
        let mut items: Vec<&ItemEntry> = job.items.iter().filter(|i| counted.starts_with(&i.name)).collect();
        items.sort_by_key(|i| std::cmp::Reverse(i.name.len()));
        for item in items {
            let rest = counted.get(item.name.len()..)?;
            if !(rest.is_empty() || rest.starts_with(['.', ' '])) {
                continue;
            }
            let word = super::after(rest);
            return Some(match word {
                "" | "count" | "quantity" => self.count(item),
                _ => self.of_item(item, word),
            });
        }
        None
    }

    /// The purchases of an item by what they are for.
    fn records_of(&mut self, item: &ItemEntry) -> BTreeMap<String, Vec<usize>> {
        let mut found: BTreeMap<String, Vec<usize>> = BTreeMap::new();
        let graph = &mut self.graph;
        let e = graph.evaluation();
        let many = e.records.buys.len();
        let mut kinds: BTreeMap<String, std::collections::BTreeSet<String>> = BTreeMap::new();
        let mut all: Vec<(String, String)> = Vec::new();
        for i in 0..many {
            let Value::Thing(thing) = e.records.buys[i].item.clone() else {
                all.push((String::new(), String::new()));
                continue;
            };
            let key = e.thing_key(&thing).unwrap_or_default();
            let name = thing.def.name.name.to_string();
            kinds.entry(name.clone()).or_default().insert(key.clone());
            all.push((name, key));
        }
        for (i, (name, key)) in all.into_iter().enumerate() {
            let full = match kinds.get(&name).is_some_and(|k| k.len() > 1) {
                true => crate::job::build::item_name(&name, &key),
                false => name,
            };
            if full != item.name {
                continue;
            }
            let record = &e.records.buys[i];
            let path = match record.maker.and_then(|m| e.records.makers.get(m as usize)) {
                Some(maker) => match maker.owner {
                    Some(b) => format!("{}.{}", e.boxes[b.0 as usize].path, maker.label),
                    None => maker.label.clone(),
                },
                None => match e.owner(record.scope) {
                    Some(b) => e.boxes[b.0 as usize].path.clone(),
                    None => String::new(),
                },
            };
            found.entry(path).or_default().push(i);
        }
        found
    }

    fn count(&mut self, item: &ItemEntry) -> Found {
        let uses = self.records_of(item);
        // Equal joints of one box are told together: `floor.clay.connector`.
        let mut groups: BTreeMap<String, (u64, usize, Vec<usize>)> = BTreeMap::new();
        for entry in &item.uses {
            let Some(records) = uses.get(&entry.path) else { continue };
            let name = match (self.telling.library, entry.path.split_once('(')) {
                (false, Some((name, _))) => name,
                _ => entry.path.as_str(),
            };
            let group = groups.entry(name.to_string()).or_default();
            group.0 += entry.quantity;
            group.1 += 1;
            group.2.extend(records);
        }
        let mut steps: Vec<StepId> = Vec::new();
        let many = groups.len();
        let mut groups: Vec<_> = groups.into_iter().collect();
        groups.sort_by(|a, b| crate::job::path_order(&a.0, &b.0));
        for (name, (quantity, times, records)) in groups {
            let Some(first) = records.first().copied() else { continue };
            let graph = &mut self.graph;
            let (span, scope) = graph.bought_at(first);
            let words = match (times, records.len()) {
                (1, 1) => "bought once".to_string(),
                (1, n) => format!("bought {n} times"),
                (joints, n) => format!("{joints} joints, bought {n} times"),
            };
            let name = if name.is_empty() { "the file".to_string() } else { name };
            // Where there are few things the reason of each follows.
            let open_up = self.telling.library || many <= 4;
            let one = if open_up { graph.quantity(first, "each time".to_string()) } else { None };
            let value = Value::number(quantity as i64);
            let step = graph.made(name, Formula::Words(words), Some(span), Some(value), |it, open| {
                if let Some(one) = one {
                    open.read(one);
                }
                if open_up {
                    it.rounds_around(scope, open);
                }
                None
            });
            steps.push(step);
        }
        let words = match steps.len() {
            1 => "bought for one thing".to_string(),
            n => format!("bought for {n} things"),
        };
        let span = self.graph.bought_where(&uses);
        let value = Value::number(item.quantity as i64);
        let name = format!("count of {}", item.name);
        let about = match &item.description {
            Some(d) => format!("{} ({d})", item.name),
            None => item.name.clone(),
        };
        let total = self.graph.made(name, Formula::Words(words), span, Some(value), |_, open| {
            for step in steps {
                open.read(step);
            }
            None
        });
        Ok((about, vec![total]))
    }

    fn of_item(&mut self, item: &ItemEntry, word: &str) -> Found {
        let uses = self.records_of(item);
        let first = uses.values().flatten().min().copied();
        let value = first.and_then(|i| self.graph.evaluation().records.buys.get(i).map(|b| b.item.clone()));
        let Some(value) = value else { return Err(Unknown::figure(&item.name, word, &["count"])) };
        match self.graph.of_thing(&value, word) {
            Some(step) => Ok((item.name.clone(), vec![step])),
            None => {
                let mut known = self.graph.figures_of_thing(&value);
                known.push("count");
                Err(Unknown::figure(&item.name, word, &known))
            }
        }
    }
}

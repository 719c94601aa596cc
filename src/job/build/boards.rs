//! Boards of the job: one entry for each definition and thickness.

use super::*;

impl<'p> Builder<'_, 'p> {
    pub(super) fn thing_of(&mut self, part: PartId) -> Maybe<std::rc::Rc<Thing<'p>>> {
        let slot = self.e.parts[part.0 as usize].board;
        match self.e.force(slot) {
            Ok(Value::Thing(thing)) => Some(thing),
            _ => None,
        }
    }

    pub(super) fn field(&mut self, thing: &Thing<'p>, word: &str) -> Option<Value<'p>> {
        self.e.thing_field(thing, word).ok().flatten()
    }

    pub(super) fn length_field(&mut self, thing: &Thing<'p>, word: &str) -> Option<Rational> {
        match self.field(thing, word) {
            Some(Value::Quantity(q)) if q.dimension == Dimension::LENGTH => Some(q.value),
            _ => None,
        }
    }

    /// A field in N/mm2.
    fn pressure_field(&mut self, thing: &Thing<'p>, word: &str) -> Option<Figure> {
        match self.field(thing, word) {
            Some(Value::Quantity(q)) if q.dimension == Dimension::PRESSURE => {
                q.value.mul(Rational::ratio(1, 1000)).ok().map(Figure)
            }
            _ => None,
        }
    }

    pub(super) fn text_field(&mut self, thing: &Thing<'p>, word: &str) -> Option<String> {
        match self.field(thing, word) {
            Some(Value::Text(text)) => Some(text.to_string()),
            _ => None,
        }
    }

    /// A board's name is its definition's, with the thickness where one definition comes in several.
    pub(super) fn name_boards(&mut self) {
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

    pub(super) fn board(&mut self, part: PartId) -> Maybe<(String, Rational)> {
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
            let trim = self.length_field(&thing, "trim").map(Mm);
            let [stiffness, shear, strength] =
                ["stiffness", "shear", "strength"].map(|word| self.pressure_field(&thing, word));
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
                trim,
                density,
                stiffness,
                shear,
                strength,
                grain,
                good_faces,
                price,
                description,
            };
            self.boards.insert(name.clone(), board);
        }
        Some((name, thickness))
    }
}

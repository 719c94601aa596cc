//! Walls with their obstacles, and rows.

use super::*;

impl<'p> Builder<'_, 'p> {
    fn placed(&mut self, kind: Kind) -> Vec<BoxId> {
        let mut found: Vec<BoxId> = (0..self.e.boxes.len() as u32)
            .map(BoxId)
            .filter(|b| self.e.boxes[b.0 as usize].def.kind == kind)
            .collect();
        found.sort_by(|a, b| path_order(&self.e.boxes[a.0 as usize].path, &self.e.boxes[b.0 as usize].path));
        found
    }

    pub(super) fn walls(&mut self) -> Vec<Wall> {
        let obstacles = self.placed(Kind::Obstacle);
        let mut walls = Vec::new();
        for b in self.placed(Kind::Wall) {
            let Some(place) = self.box_place(b) else { continue };
            let own: Vec<BoxId> =
                obstacles.iter().copied().filter(|o| self.e.boxes[o.0 as usize].within == Some(b)).collect();
            let mut list = Vec::new();
            for o in own {
                let Some(place) = self.box_place(o) else { continue };
                let record = &self.e.boxes[o.0 as usize];
                list.push(Obstacle {
                    path: record.path.clone(),
                    type_name: record.def.name.name.to_string(),
                    place,
                    origin: self.origins.add_box(o),
                });
            }
            let (lengths, words) = self.stated(b);
            let record = &self.e.boxes[b.0 as usize];
            walls.push(Wall {
                path: record.path.clone(),
                type_name: record.def.name.name.to_string(),
                description: self.e.program.module(record.module).doc(record.def.name.name),
                place,
                obstacles: list,
                lengths,
                words,
                origin: self.origins.add_box(b),
            });
        }
        walls
    }

    /// The parameters of a wall: lengths and lists of lengths, and words and texts.
    fn stated(&mut self, b: BoxId) -> (BTreeMap<String, Vec<Mm>>, BTreeMap<String, String>) {
        let (mut lengths, mut words) = (BTreeMap::new(), BTreeMap::new());
        let def = self.e.boxes[b.0 as usize].def;
        for param in &def.params {
            let name = param.name.name.as_str();
            let Ok(Some(value)) = self.e.own_value_of(b, name) else { continue };
            match value {
                Value::Quantity(q) if q.dimension == Dimension::LENGTH => {
                    lengths.insert(name.to_string(), vec![Mm(q.value)]);
                }
                Value::List(list) => {
                    let all: Vec<Mm> = list
                        .iter()
                        .filter_map(|v| match v {
                            Value::Quantity(q) if q.dimension == Dimension::LENGTH => Some(Mm(q.value)),
                            _ => None,
                        })
                        .collect();
                    if all.len() == list.len() && !all.is_empty() {
                        lengths.insert(name.to_string(), all);
                    }
                }
                Value::Word(word, _) => {
                    words.insert(name.to_string(), word.to_string());
                }
                Value::Text(text) => {
                    words.insert(name.to_string(), text.to_string());
                }
                _ => {}
            }
        }
        (lengths, words)
    }

    pub(super) fn rows(&mut self) -> Vec<Row> {
        let mut rows = Vec::new();
        for row in self.placed(Kind::Row) {
            let (Some(place), Ok(standoff)) = (self.box_place(row), self.e.row_standoff(row)) else {
                continue;
            };
            let wall = self.root_of(row);
            let mut members = Vec::new();
            for member in self.e.row_content(row) {
                let found = match member {
                    Member::Box(b) => {
                        self.box_place(b).map(|place| (self.e.boxes[b.0 as usize].path.clone(), false, place))
                    }
                    Member::Gap(s) => {
                        let name = self.e.spaces[s.0 as usize].name;
                        let path = format!("{}.{name}", self.e.boxes[row.0 as usize].path);
                        self.space_place(s).map(|place| (path, true, place))
                    }
                };
                if let Some((path, gap, place)) = found {
                    members.push(RowMember { path, gap, place });
                }
            }
            let ends = match self.e.row_ends(row) {
                Some(ends) => [(ends[0], false), (ends[1], true)].map(|(space, right)| {
                    self.e.row_end(row, right)?;
                    self.space_place(space)
                }),
                None => [None, None],
            };
            let path = self.e.boxes[row.0 as usize].path.clone();
            let wall = self.e.boxes[wall.0 as usize].path.clone();
            rows.push(Row { path, wall, place, standoff: Mm(standoff), members, ends });
        }
        rows
    }

    /// Where a space of a row lies in the frame of the wall.
    fn space_place(&mut self, space: SpaceId) -> Maybe<Cuboid> {
        let record = &self.e.spaces[space.0 as usize];
        let (frame, axes) = (record.frame, record.axes);
        let mut ends = Vec::new();
        for slot in axes {
            match self.e.force(slot) {
                Ok(Value::Range(r)) => ends.push(Interval::new(r.lo, r.hi)),
                _ => return None,
            }
        }
        let [x, y, z] = ends.as_slice() else { return None };
        self.lie(frame)?.cuboid(&Cuboid { x: *x, y: *y, z: *z })
    }
}

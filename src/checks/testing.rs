//! Jobs built by hand, for the tests of this folder.

use crate::diagnostics::{Diagnostic, Label};
use crate::geometry::{Axis, Cuboid, Face, Interval};
use crate::job::*;
use crate::sources::{FileId, Span};
use crate::values::Rational;
use proptest::prelude::*;
use std::collections::BTreeMap;

pub fn mm(n: i64) -> Rational {
    Rational::int(n)
}

pub fn interval(lo: i64, hi: i64) -> Interval {
    Interval::new(mm(lo), mm(hi))
}

pub fn cuboid(low: [i64; 3], high: [i64; 3]) -> Cuboid {
    Cuboid { x: interval(low[0], high[0]), y: interval(low[1], high[1]), z: interval(low[2], high[2]) }
}

pub fn cuboids() -> impl Strategy<Value = Cuboid> {
    let side = || (0i64..12, 1i64..5).prop_map(|(lo, size)| interval(lo, lo + size));
    (side(), side(), side()).prop_map(|(x, y, z)| Cuboid { x, y, z })
}

/// The only fault, which has this code.
pub fn only(found: Vec<Diagnostic>, code: &str) -> Diagnostic {
    assert_eq!(found.iter().map(|f| f.code.as_ref()).collect::<Vec<_>>(), [code], "{found:#?}");
    found.into_iter().next().unwrap()
}

/// A job of one box, where each part is a statement of its own.
pub struct Bench {
    pub job: Job,
    next: u32,
}

fn span(origin: Origin) -> Span {
    Span::new(FileId(0), origin.0 as usize * 10, origin.0 as usize * 10 + 5)
}

impl Trace for Bench {
    fn span(&self, origin: Origin) -> Span {
        span(origin)
    }

    fn labels(&self, origin: Origin) -> Vec<Label> {
        vec![Label::new(span(origin), "here")]
    }
}

impl Bench {
    pub fn new(path: &str) -> Bench {
        let house = House {
            units: "mm".to_string(),
            step: Mm(mm(1)),
            print: Mm(Rational::ratio(1, 10)),
            lengths: BTreeMap::from([("trim".to_string(), Mm(mm(10)))]),
        };
        let board = Board {
            name: "panel18".to_string(),
            thickness: Mm(mm(18)),
            sheet: Some([Mm(mm(2800)), Mm(mm(2070))]),
            trim: None,
            density: None,
            stiffness: None,
            shear: None,
            strength: None,
            grain: true,
            good_faces: 2,
            price: None,
            description: None,
        };
        let job = Job {
            format: "aumbry-job/1".to_string(),
            sources: Vec::new(),
            house,
            boards: vec![board],
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
        let mut bench = Bench { job, next: 1 };
        bench.add_box(path, None, cuboid([0, 0, 0], [500, 900, 300]));
        bench
    }

    pub fn origin(&mut self) -> Origin {
        self.next += 1;
        Origin(self.next)
    }

    pub fn add_box(&mut self, path: &str, within: Option<&str>, place: Cuboid) -> &mut Bench {
        let origin = self.origin();
        self.job.boxes.push(BoxEntry {
            path: path.to_string(),
            type_name: "a_box".to_string(),
            description: None,
            within: within.map(str::to_string),
            root: path.split('.').next().unwrap().to_string(),
            row: None,
            place,
            mirrored: false,
            spaces: BTreeMap::new(),
            was: None,
            origin,
        });
        self
    }

    /// A part of the first box; its thinnest side is its thickness, its longest its length.
    pub fn part(&mut self, name: &str, low: [i64; 3], high: [i64; 3]) -> &mut Bench {
        let path = self.job.boxes[0].path.clone();
        self.part_of(&path, name, low, high)
    }

    pub fn part_of(&mut self, of: &str, name: &str, low: [i64; 3], high: [i64; 3]) -> &mut Bench {
        let place = cuboid(low, high);
        let mut axes = Axis::ALL;
        axes.sort_by_key(|a| std::cmp::Reverse(place.on(*a).size().unwrap()));
        let size = |i: usize| Mm(place.on(axes[i]).size().unwrap());
        let origin = self.origin();
        let ranges = [self.origin(), self.origin(), self.origin()];
        self.job.parts.push(Part {
            path: format!("{of}.{name}"),
            mark: name.to_string(),
            piece: 1,
            box_path: of.to_string(),
            board: "panel18".to_string(),
            length: size(0),
            width: size(1),
            thickness: size(2),
            cut: CutSize { length: size(0), width: size(1) },
            root: of.split('.').next().unwrap().to_string(),
            place,
            axes,
            mirrored: false,
            grain: Grain::Length,
            good_face: None,
            bands: BTreeMap::new(),
            cuts: Vec::new(),
            holes: Vec::new(),
            bevels: Vec::new(),
            own: place,
            inner: None,
            outer: None,
            loose: false,
            proud: false,
            origin,
            range_origins: ranges,
            was: None,
        });
        self
    }

    /// The part with this last name.
    pub fn get(&mut self, name: &str) -> &mut Part {
        self.job.parts.iter_mut().find(|p| p.name() == name).unwrap()
    }

    pub fn index(&self, name: &str) -> usize {
        self.job.parts.iter().position(|p| p.name() == name).unwrap()
    }

    pub fn span_of(&self, name: &str) -> Span {
        span(self.job.parts[self.index(name)].origin)
    }

    pub fn link(&mut self, a: &str, b: &str) -> &mut Bench {
        let link = Link { a: self.index(a), b: self.index(b) };
        self.job.links.push(link);
        self
    }

    /// Links every part to the first.
    pub fn all_linked(&mut self) -> &mut Bench {
        self.job.links = (1..self.job.parts.len()).map(|b| Link { a: 0, b }).collect();
        self
    }

    /// A hole in a part, from the two edges that its face is measured from; through where `depth` is none.
    pub fn hole(&mut self, part: &str, face: Face, at: [i64; 2], dia: i64, depth: Option<i64>) -> &mut Hole {
        let origin = self.origin();
        let part = self.get(part);
        let n = part.holes.len() + 1;
        let thick = part.size(face.axis());
        part.holes.push(Hole {
            id: format!("{}/pins#{n}", part.path),
            face,
            at: At { from: face.datum_edges(), mm: at.map(|n| Mm(mm(n))) },
            dia: Mm(mm(dia)),
            depth: Mm(depth.map_or(thick, mm)),
            through: depth.is_none(),
            profile: Vec::new(),
            bored: Bored::Bench,
            purposes: vec!["shelf pins".to_string()],
            joints: vec!["pins".to_string()],
            origin,
        });
        part.holes.last_mut().unwrap()
    }

    pub fn cut(&mut self, part: &str, shape: Shape, face: Face, cuboid: Cuboid, runs: Axis) -> &mut Cut {
        let origin = self.origin();
        let part = self.get(part);
        part.cuts.push(Cut {
            shape,
            face,
            cuboid,
            runs,
            run: Run::Through,
            dia: None,
            along: None,
            by: Some("b.rear".to_string()),
            joint: "grooves".to_string(),
            origin,
        });
        part.cuts.last_mut().unwrap()
    }

    pub fn run(&self) -> Vec<Diagnostic> {
        super::run(&self.job, self)
    }

    pub fn codes(&self) -> Vec<String> {
        self.run().into_iter().map(|f| f.code.into_owned()).collect()
    }
}

//! Pieces of wood as sets of points, read from the JSON of a job and of a comparison and from nothing else.
//!
//! Lengths are whole millionths of a millimetre; a point is tested exactly.

use serde_json::Value;
use std::collections::BTreeMap;

pub type Tick = i64;
pub type Point = [Tick; 3];
pub const MM: Tick = 1_000_000;

/// A figure of the JSON.
pub fn tick(v: &Value) -> Tick {
    (v.as_f64().unwrap_or_else(|| panic!("a figure: {v}")) * MM as f64).round() as Tick
}

pub fn axis(v: &Value) -> usize {
    "xyz".find(v.as_str().expect("an axis")).expect("x, y or z")
}

/// The axis of a face and whether it is at the high end.
pub fn face(name: &str) -> (usize, bool) {
    match name {
        "left" => (0, false),
        "right" => (0, true),
        "bottom" => (1, false),
        "top" => (1, true),
        "front" => (2, false),
        "rear" => (2, true),
        other => panic!("{other} is no face"),
    }
}

fn list(v: &Value) -> &[Value] {
    v.as_array().map_or(&[], Vec::as_slice)
}

fn block(v: &Value) -> [(Tick, Tick); 3] {
    ["x", "y", "z"].map(|a| (tick(&v[a][0]), tick(&v[a][1])))
}

#[derive(Clone, Debug)]
pub struct Hole {
    pub id: String,
    pub axis: usize,
    /// Bored from the high face.
    pub high: bool,
    pub mouth: Point,
    pub depth: Tick,
    pub through: bool,
    /// From depth, to depth, first and last diameter.
    pub steps: Vec<(Tick, Tick, Tick, Tick)>,
}

impl Hole {
    pub fn read(v: &Value, size: Point) -> Hole {
        let (axis, high) = face(v["face"].as_str().expect("a face"));
        let mut mouth = [0; 3];
        mouth[axis] = if high { size[axis] } else { 0 };
        for (edge, mm) in list(&v["at"]["from"]).iter().zip(list(&v["at"]["mm"])) {
            let (i, far) = face(edge.as_str().expect("an edge"));
            mouth[i] = if far { size[i] - tick(mm) } else { tick(mm) };
        }
        let through = v["through"] == true;
        let depth = if through { size[axis] } else { tick(&v["depth"]) };
        let mut steps = Vec::new();
        let mut start = 0;
        for step in list(&v["profile"]) {
            steps.push((start, tick(&step["depth"]), tick(&step["dia"]), tick(&step["end_dia"])));
            start = tick(&step["depth"]);
        }
        if start < depth {
            steps.push((start, depth, tick(&v["dia"]), tick(&v["dia"])));
        }
        Hole { id: v["id"].as_str().unwrap_or("").to_string(), axis, high, mouth, depth, through, steps }
    }

    pub fn widest(&self) -> Tick {
        self.steps.iter().map(|s| s.2.max(s.3)).max().unwrap_or(0)
    }

    fn deep(&self, p: Point) -> Tick {
        let d = p[self.axis] - self.mouth[self.axis];
        if self.high { -d } else { d }
    }

    pub fn has(&self, p: Point) -> bool {
        let deep = self.deep(p);
        let far: i128 = (0..3)
            .filter(|i| *i != self.axis)
            .map(|i| i128::from(p[i] - self.mouth[i]) * i128::from(p[i] - self.mouth[i]))
            .sum();
        self.steps.iter().any(|(a, b, d, e)| {
            if !(*a..=*b).contains(&deep) || a == b {
                return false;
            }
            let (t, long) = (i128::from(deep - a), i128::from(b - a));
            // Twice the radius here, times the length of the step.
            let dia = i128::from(*d) * (long - t) + i128::from(*e) * t;
            4 * far * long * long <= dia * dia
        })
    }

    fn looks(&self, d: Tick, out: &mut Vec<Point>) {
        let [u, v] = match self.axis {
            0 => [1, 2],
            1 => [0, 2],
            _ => [0, 1],
        };
        let mut depths: Vec<Tick> = vec![d, self.depth / 2];
        let mut radii: Vec<Tick> = vec![0];
        for (a, b, p, q) in &self.steps {
            depths.extend([a + d, b - d, b + d]);
            radii.extend([p / 2 - d, p / 2 + d, q / 2 - d, q / 2 + d]);
        }
        depths.sort_unstable();
        depths.dedup();
        radii.sort_unstable();
        radii.dedup();
        for deep in depths {
            for r in &radii {
                for (a, b) in [(5, 0), (0, 5), (-5, 0), (0, -5), (3, 4), (-4, 3), (4, -3), (-3, -4)] {
                    let mut p = self.mouth;
                    p[self.axis] += if self.high { -deep } else { deep };
                    p[u] += r / 5 * a;
                    p[v] += r / 5 * b;
                    out.push(p);
                }
            }
        }
    }
}

#[derive(Clone, Debug)]
pub struct Cut {
    pub block: [(Tick, Tick); 3],
    pub axis: usize,
    /// Of a slot with round ends: the cutter, and the axis it is long on.
    pub round: Option<(Tick, usize)>,
}

impl Cut {
    pub fn read(v: &Value, corner: Point) -> Cut {
        let mut ranges = block(&v["box"]);
        for i in 0..3 {
            ranges[i] = (ranges[i].0 - corner[i], ranges[i].1 - corner[i]);
        }
        let round = v.get("dia").filter(|d| !d.is_null()).map(|d| (tick(d), axis(&v["along"])));
        Cut { block: ranges, axis: face(v["face"].as_str().expect("a face")).0, round }
    }

    pub fn has(&self, p: Point) -> bool {
        if !(0..3).all(|i| self.block[i].0 <= p[i] && p[i] <= self.block[i].1) {
            return false;
        }
        let Some((dia, along)) = self.round else { return true };
        let across = 3 - self.axis - along;
        let (lo, hi) = (self.block[along].0 + dia / 2, self.block[along].1 - dia / 2);
        let middle = (self.block[across].0 + self.block[across].1) / 2;
        let (x, y) =
            (i128::from(p[along] - p[along].clamp(lo.min(hi), hi.max(lo))), i128::from(p[across] - middle));
        4 * (x * x + y * y) <= i128::from(dia) * i128::from(dia)
    }
}

#[derive(Clone, Debug)]
pub struct Bevel {
    pub face: (usize, bool),
    pub long_side: (usize, bool),
    pub rise: Tick,
    pub run: Tick,
}

impl Bevel {
    pub fn read(v: &Value) -> Bevel {
        let side = |name: &str| face(v[name].as_str().expect("a face"));
        Bevel {
            face: side("face"),
            long_side: side("long_side"),
            rise: tick(&v["rise"]),
            run: tick(&v["run"]),
        }
    }

    pub fn has(&self, p: Point, size: Point) -> bool {
        let from = |(i, high): (usize, bool)| if high { size[i] - p[i] } else { p[i] };
        let (i, high) = self.long_side;
        let (u, w) = (i128::from(from(self.face)), i128::from(from((i, !high))));
        let (rise, run) = (i128::from(self.rise), i128::from(self.run));
        u * run + w * rise < rise * run
    }
}

/// A finished part as it leaves the bench: nothing that is bored in place is taken out.
#[derive(Clone, Debug)]
pub struct Wood {
    pub path: String,
    pub board: String,
    pub size: Point,
    pub axes: [usize; 3],
    pub grain: bool,
    pub good: Option<(usize, bool)>,
    /// Face, thickness it takes of the finished size, name.
    pub bands: Vec<((usize, bool), Tick, String)>,
    pub cuts: Vec<Cut>,
    pub holes: Vec<Hole>,
    pub in_place: Vec<Hole>,
    pub bevels: Vec<Bevel>,
}

#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Stuff {
    None,
    Wood,
    Band,
}

/// All parts of a job, by path.
pub fn read(job: &Value) -> BTreeMap<String, Wood> {
    let corner = |p: &Value| -> Point { block(p).map(|r| r.0) };
    let boxes: BTreeMap<&str, Point> =
        list(&job["boxes"]).iter().map(|b| (b["path"].as_str().unwrap(), corner(&b["place"]))).collect();
    let bands: BTreeMap<&str, Tick> = list(&job["bands"])
        .iter()
        .map(|b| (b["name"].as_str().unwrap(), if b["deduct"] == true { tick(&b["thickness"]) } else { 0 }))
        .collect();
    let one = |v: &Value| {
        let place = block(&v["place"]);
        let low = corner(&v["place"]);
        let origin = boxes[v["box"].as_str().unwrap()];
        let mut size = place.map(|r| r.1 - r.0);
        let axes = [0, 1, 2].map(|i| axis(&v["axes"][i]));
        size[axes[2]] = tick(&v["thickness"]);
        let holes = |bored: &str| {
            list(&v["holes"]).iter().filter(|h| h["bored"] == bored).map(|h| Hole::read(h, size)).collect()
        };
        Wood {
            path: v["path"].as_str().unwrap().to_string(),
            board: v["board"].as_str().unwrap().to_string(),
            size,
            axes,
            grain: v["grain"] != "none",
            good: v["good_face"].as_str().map(face),
            bands: v["bands"]
                .as_object()
                .unwrap()
                .iter()
                .map(|(f, b)| (face(f), bands[b.as_str().unwrap()], b.as_str().unwrap().to_string()))
                .collect(),
            cuts: list(&v["cuts"])
                .iter()
                .map(|c| Cut::read(c, [0, 1, 2].map(|i| low[i] - origin[i])))
                .collect(),
            holes: holes("bench"),
            in_place: holes("in_place"),
            bevels: list(&v["bevels"]).iter().map(Bevel::read).collect(),
        }
    };
    list(&job["parts"]).iter().map(|v| (v["path"].as_str().unwrap().to_string(), one(v))).collect()
}

impl Wood {
    pub fn band(&self, face: (usize, bool)) -> Tick {
        self.bands.iter().find(|b| b.0 == face).map_or(0, |b| b.1)
    }

    pub fn named_band(&self, face: (usize, bool)) -> Option<&str> {
        self.bands.iter().find(|b| b.0 == face).map(|b| b.2.as_str())
    }

    pub fn at(&self, p: Point) -> Stuff {
        if (0..3).any(|i| p[i] < 0 || p[i] > self.size[i])
            || self.cuts.iter().any(|c| c.has(p))
            || self.holes.iter().any(|h| h.has(p))
            || self.bevels.iter().any(|b| b.has(p, self.size))
        {
            return Stuff::None;
        }
        let within =
            |((i, high), t): ((usize, bool), Tick)| if high { p[i] > self.size[i] - t } else { p[i] < t };
        if self.bands.iter().any(|b| within((b.0, b.1))) { Stuff::Band } else { Stuff::Wood }
    }

    /// Where two bands meet at a corner, which runs past the other is not said.
    pub fn is_corner(&self, p: Point) -> bool {
        let near =
            |((i, high), t): ((usize, bool), Tick)| if high { p[i] > self.size[i] - t } else { p[i] < t };
        self.bands.iter().filter(|b| near((b.0, b.1))).count() > 1
    }

    /// Measured anew: depths stay from the face they are worked from, what goes through still does.
    pub fn thickened(mut self, now: Tick) -> Wood {
        let t = self.axes[2];
        let was = self.size[t];
        if was == now {
            return self;
        }
        self.size[t] = now;
        for cut in &mut self.cuts {
            let (lo, hi) = cut.block[t];
            cut.block[t] = match (lo <= 4, hi >= was - 4) {
                (true, true) => (lo, hi + now - was),
                (false, true) => (lo + now - was, hi + now - was),
                _ => (lo, hi),
            };
        }
        for hole in self.holes.iter_mut().chain(&mut self.in_place).filter(|h| h.axis == t) {
            if hole.high {
                hole.mouth[t] = now;
            }
            if hole.through {
                hole.depth = now;
                if let Some(last) = hole.steps.last_mut() {
                    last.1 = now;
                }
            }
        }
        for bevel in &mut self.bevels {
            if (bevel.run - was).abs() <= 4 {
                bevel.run = now;
            }
        }
        self
    }

    /// Points near everything that bounds the wood.
    pub fn looks(&self, d: Tick) -> Vec<Point> {
        let mut out = Vec::new();
        let mut near = |ranges: [(Tick, Tick); 3]| {
            let on = ranges.map(|(a, b)| [a - d, a + d, (a + b) / 2, b - d, b + d]);
            for x in on[0] {
                for y in on[1] {
                    out.extend(on[2].map(|z| [x, y, z]));
                }
            }
        };
        near(self.size.map(|s| (0, s)));
        near([0, 1, 2].map(|i| (self.band((i, false)), self.size[i] - self.band((i, true)))));
        for cut in &self.cuts {
            near(cut.block);
        }
        for bevel in &self.bevels {
            let mut ranges = self.size.map(|s| (0, s));
            let mut end = |(i, high): (usize, bool), by: Tick| {
                ranges[i] = if high { (self.size[i] - by, self.size[i]) } else { (0, by) };
            };
            end(bevel.face, bevel.rise);
            end((bevel.long_side.0, !bevel.long_side.1), bevel.run);
            near(ranges);
        }
        for hole in &self.holes {
            hole.looks(d, &mut out);
        }
        out
    }
}

/// How an old piece is laid into the frame of the new part.
pub struct Laid {
    axes: [usize; 3],
    turned: [bool; 3],
    pub at: Point,
    pub size: Point,
}

impl Laid {
    pub fn read(v: &Value) -> Laid {
        Laid {
            axes: [0, 1, 2].map(|i| axis(&v["axes"][i])),
            turned: [0, 1, 2].map(|i| v["turned"][i] == true),
            at: [0, 1, 2].map(|i| tick(&v["at"][i])),
            size: [0, 1, 2].map(|i| tick(&v["size"][i])),
        }
    }

    /// A point of the new frame in the old one.
    pub fn old(&self, p: Point) -> Point {
        let mut out = [0; 3];
        for i in 0..3 {
            let q = p[i] - self.at[i];
            out[self.axes[i]] = if self.turned[i] { self.size[i] - q } else { q };
        }
        out
    }

    /// A point of the old frame in the new one.
    pub fn in_new(&self, p: Point) -> Point {
        [0, 1, 2].map(|i| {
            let q = p[self.axes[i]];
            self.at[i] + if self.turned[i] { self.size[i] - q } else { q }
        })
    }

    /// No reflection.
    pub fn is_proper(&self) -> bool {
        let [a, b, c] = self.axes;
        let swaps = usize::from(a > b) + usize::from(a > c) + usize::from(b > c);
        (swaps + self.turned.iter().filter(|t| **t).count()) % 2 == 0
    }

    /// The face of the new part at which a face of the old piece lies.
    pub fn face(&self, (axis, high): (usize, bool)) -> (usize, bool) {
        let i = self.axes.iter().position(|a| *a == axis).expect("three axes");
        (i, high != self.turned[i])
    }
}

/// Works carried out on an old piece, step by step; asked at a point.
pub struct Reworked<'a> {
    pub old: &'a Wood,
    pub laid: Laid,
    steps: Vec<Step<'a>>,
    /// The bands that are on it in the end: face and name.
    pub bands: Vec<((usize, bool), String)>,
}

enum Step<'a> {
    /// Nothing is left beyond a plane.
    Off((usize, bool), Tick),
    /// The hole of the old piece, between two planes, within what is left.
    Fill(&'a Hole, usize, (Tick, Tick), [(Tick, Tick); 3]),
    Add([(Tick, Tick); 3]),
    Bore(Hole),
    Cut(Cut),
    Bevel(Bevel),
}

impl<'a> Reworked<'a> {
    pub fn of(old: &'a Wood, new: &Wood, rework: &Value) -> Reworked<'a> {
        let laid = Laid::read(&rework["laid"]);
        assert!(laid.is_proper(), "{}: a reflection", new.path);
        let mut bands: Vec<((usize, bool), String)> =
            old.bands.iter().map(|b| (laid.face(b.0), b.2.clone())).collect();
        let mut left = [0, 1, 2].map(|i| (laid.at[i], laid.at[i] + laid.size[i]));
        let mut steps = Vec::new();
        let mut last = 0;
        for work in list(&rework["works"]) {
            let side = || face(work["face"].as_str().expect("a face"));
            let kind = work["kind"].as_str().expect("a kind");
            let order = ["strip", "trim", "plug", "band", "drill", "cut", "bevel"];
            let place = order.iter().position(|k| *k == kind).expect("a kind of work");
            assert!(place >= last, "{}: works in order", new.path);
            last = place;
            match kind {
                "strip" | "trim" => {
                    let (i, high) = side();
                    let end = if high { &mut left[i].1 } else { &mut left[i].0 };
                    let line = match kind {
                        "trim" => tick(&work["line"]),
                        _ if high => *end - tick(&work["thickness"]),
                        _ => *end + tick(&work["thickness"]),
                    };
                    if kind == "trim" {
                        let off = tick(&work["off"]);
                        assert!(((line - *end).abs() - off).abs() <= 4, "{}: {work} from {end}", new.path);
                        assert!(off > 0);
                    }
                    *end = line;
                    bands.retain(|b| b.0 != (i, high));
                    steps.push(Step::Off((i, high), line));
                }
                "plug" => {
                    let hole = old.holes.iter().find(|h| work["id"] == h.id.as_str()).expect("an old hole");
                    let span = (tick(&work["span"][0]), tick(&work["span"][1]));
                    steps.push(Step::Fill(hole, side().0, span, left));
                }
                "band" => {
                    let (i, high) = side();
                    let t = tick(&work["thickness"]);
                    let mut slab = new.size.map(|s| (0, s));
                    slab[i] = if high { (left[i].1, left[i].1 + t) } else { (left[i].0 - t, left[i].0) };
                    left[i] = if high { (left[i].0, slab[i].1) } else { (slab[i].0, left[i].1) };
                    bands.push(((i, high), work["band"].as_str().expect("a band").to_string()));
                    steps.push(Step::Add(slab));
                }
                "drill" => steps.push(Step::Bore(Hole::read(work, new.size))),
                "cut" => steps.push(Step::Cut(Cut::read(work, [0; 3]))),
                _ => steps.push(Step::Bevel(Bevel::read(work))),
            }
        }
        bands.sort();
        Reworked { old, laid, steps, bands }
    }

    pub fn at(&self, p: Point, new_size: Point) -> Stuff {
        let q = self.laid.old(p);
        let mut stuff = self.old.at(q);
        let within = |b: &[(Tick, Tick); 3]| (0..3).all(|i| b[i].0 <= p[i] && p[i] <= b[i].1);
        for step in &self.steps {
            match step {
                Step::Off((i, high), line) => {
                    if if *high { p[*i] > *line } else { p[*i] < *line } {
                        stuff = Stuff::None;
                    }
                }
                Step::Fill(hole, i, span, left) => {
                    if hole.has(q) && (span.0..=span.1).contains(&p[*i]) && within(left) {
                        stuff = Stuff::Wood;
                    }
                }
                Step::Add(slab) => {
                    if within(slab) {
                        stuff = Stuff::Band;
                    }
                }
                Step::Bore(hole) if hole.has(p) => stuff = Stuff::None,
                Step::Cut(cut) if cut.has(p) => stuff = Stuff::None,
                Step::Bevel(bevel) if bevel.has(p, new_size) => stuff = Stuff::None,
                _ => {}
            }
        }
        stuff
    }
}

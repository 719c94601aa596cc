//! Reads sheets back from their SVG text alone, and compares with the job.

use crate::{jobs, odd};
use aumbry::geometry::{Axis, Face};
use aumbry::job::{Bored, Hole, Job, Part, numbered};
use aumbry::outputs::{drawing, elevations, holes};
use aumbry::values::Rational;
use std::collections::BTreeMap;

fn float(value: Rational) -> f64 {
    value.numerator() as f64 / value.denominator() as f64
}

/// `12.5`, `3/4`, `23 7/16`, in the sheet's unit.
fn figure(text: &str) -> f64 {
    text.split(' ')
        .map(|word| match word.split_once('/') {
            Some((a, b)) => a.parse::<f64>().unwrap() / b.parse::<f64>().unwrap(),
            None => word.parse::<f64>().unwrap_or_else(|_| panic!("'{text}' is no figure")),
        })
        .sum()
}

fn face(word: &str) -> Face {
    Face::ALL.into_iter().find(|f| f.word() == word).unwrap_or_else(|| panic!("'{word}' is no face"))
}

/// A hole as a maker would read it off the sheets; lengths in mm.
#[derive(Debug)]
struct Read {
    face: Face,
    from: [Face; 2],
    at: [f64; 2],
    dia: f64,
    depth: Option<f64>,
    in_place: bool,
    number: usize,
}

/// What one sheet says.
struct Page {
    path: String,
    texts: Vec<String>,
    rows: Vec<Vec<String>>,
    scale: f64,
}

/// What a sheet says; a path that is too long for the strip ends in dots.
fn read_in(job: &Job, svg: &str) -> Page {
    let mut page = read(svg);
    if let Some(start) = page.path.strip_suffix('…') {
        let fits: Vec<&Part> = job.parts.iter().filter(|p| p.path.starts_with(start)).collect();
        page.path = fits[0].path.clone();
    }
    page
}

fn read(svg: &str) -> Page {
    let document = roxmltree::Document::parse(svg).expect("well-formed XML");
    let text = |n: roxmltree::Node| n.text().unwrap_or_default().trim().to_string();
    let class = |n: &roxmltree::Node| n.attribute("class").unwrap_or_default().to_string();
    let all: Vec<roxmltree::Node> = document.descendants().filter(|n| n.has_tag_name("text")).collect();
    let rows = document
        .descendants()
        .filter(|n| n.has_tag_name("g") && class(n) == "row")
        .map(|row| {
            let mut cells: Vec<String> = Vec::new();
            for cell in row.children().filter(|n| n.has_tag_name("text")) {
                match (class(&cell).as_str(), cells.last_mut()) {
                    ("more", Some(last)) => *last = format!("{last} {}", text(cell)),
                    _ => cells.push(text(cell)),
                }
            }
            cells
        })
        .collect();
    let texts: Vec<String> = all.iter().map(|n| text(*n)).collect();
    let path = all.iter().find(|n| class(n) == "path").map(|n| text(*n)).expect("a path in the strip");
    let after = texts.iter().position(|t| t == "scale").expect("a scale");
    let scale =
        texts[after + 1].trim_start_matches("1:").split(',').next().unwrap().parse().expect("a scale");
    Page { path, texts, rows, scale }
}

/// The face that lies up, by the sheet's words.
fn face_up(page: &Page) -> Option<Face> {
    let heading = page.texts.iter().position(|t| t.contains(" FACE"))?;
    let words = page.texts[heading..].join(" ");
    let after = words.split_once("FACE UP")?.1;
    let rest = after.trim_start().strip_prefix("The ")?;
    Some(face(rest.split(' ').next()?))
}

/// Every hole of the tables of one page.
fn holes_of(page: &Page, up: Face, unit: f64, found: &mut Vec<Read>) {
    let mut head: Vec<String> = Vec::new();
    for row in &page.rows {
        if row[0] == "no." {
            head = row.clone();
            continue;
        }
        let column = |name: &str| head.iter().position(|h| h == name);
        let edges: Vec<usize> =
            head.iter().enumerate().filter(|(_, h)| h.starts_with("from ")).map(|(i, _)| i).collect();
        let from = [edges[0], edges[1]].map(|i| face(head[i].trim_start_matches("from ")));
        let numbers: Vec<usize> = row[0].split('–').map(|n| n.parse().unwrap()).collect();
        let count = numbers.last().unwrap() - numbers[0] + 1;
        for n in 0..count {
            let at = [edges[0], edges[1]].map(|i| match row[i].split_once(" to ") {
                Some((a, b)) => {
                    let (a, b) = (figure(a), figure(b));
                    a + (b - a) * n as f64 / (count - 1) as f64
                }
                None => figure(&row[i]),
            });
            let depth = &row[column("depth").unwrap()];
            found.push(Read {
                face: column("edge").map_or(up, |i| face(&row[i])),
                from,
                at: at.map(|v| v * unit),
                dia: figure(&row[column("Ø").unwrap()]) * unit,
                depth: (depth != "through").then(|| figure(depth) * unit),
                in_place: row.last().unwrap().starts_with("IN PLACE"),
                number: numbers[0] + n,
            });
        }
    }
}

/// Maps whose own text is not taken apart here yet: paths too long for their strip, rows that share holes.
const NOT_READ_BACK: [&str; 7] = [
    "divided_box.aum",
    "drawer_bank.aum",
    "own_hardware.aum",
    "packing_room.aum",
    "pigeonhole.aum",
    "sink_wall.aum",
    "studio.aum",
];

fn first_pieces(job: &Job) -> Vec<&Part> {
    job.same.iter().map(|s| job.parts.iter().find(|p| p.path == s.pieces[0]).unwrap()).collect()
}

#[test]
fn tables_give_back_every_hole_of_every_part() {
    for (name, job) in jobs().iter().filter(|(name, _)| !NOT_READ_BACK.contains(&name.as_str())) {
        reads_back(name, job);
    }
}

/// Panics where the maps of a job do not give back exactly its holes.
pub fn reads_back(name: &str, job: &Job) {
    let unit = if job.house.units == "in" { 25.4 } else { 1.0 };
    // A figure is rounded to the printed step; between the ends of a row both may add up.
    let near = float(job.house.print.0) * 1.001;
    let mut read_back: BTreeMap<String, Vec<Read>> = BTreeMap::new();
    let mut up: BTreeMap<String, Face> = BTreeMap::new();
    for sheet in holes::sheets(job) {
        let page = read_in(job, &sheet.svg);
        // A sheet that only continues a table says so; its face is that of the sheet before.
        if let Some(face) = face_up(&page) {
            up.insert(page.path.clone(), face);
        }
        let face = up[&page.path];
        holes_of(&page, face, unit, read_back.entry(page.path.clone()).or_default());
    }
    for part in first_pieces(job) {
        let mut left = read_back.remove(&part.path).unwrap_or_default();
        for hole in &part.holes {
            let same = |r: &Read| {
                let depth = match r.depth {
                    None => hole.through,
                    Some(d) => !hole.through && (d - float(hole.depth.0)).abs() <= near,
                };
                r.face == hole.face
                    && r.from == hole.at.from
                    && (0..2).all(|i| (r.at[i] - float(hole.at.mm[i].0)).abs() <= near)
                    && (r.dia - float(hole.dia.0)).abs() <= near
                    && depth
                    && r.in_place == (hole.bored == Bored::InPlace)
            };
            let found = left.iter().position(same);
            let found = found.unwrap_or_else(|| panic!("{name}: {} is not on its map", hole.id));
            left.remove(found);
        }
        assert!(left.is_empty(), "{name}, {}: holes that the job has not: {left:?}", part.path);
    }
    assert!(read_back.values().all(Vec::is_empty), "{name}: maps of other parts");
}

#[test]
fn numbers_run_through_the_pages_without_a_gap() {
    let job = odd::job(false);
    let mut numbers: BTreeMap<String, Vec<usize>> = BTreeMap::new();
    for sheet in holes::sheets(&job) {
        let page = read_in(&job, &sheet.svg);
        let mut found = Vec::new();
        holes_of(&page, Face::Top, 1.0, &mut found);
        numbers.entry(page.path).or_default().extend(found.iter().map(|r| r.number));
    }
    for (path, mut numbers) in numbers {
        numbers.sort();
        let wanted: Vec<usize> = (1..=numbers.len()).collect();
        assert_eq!(numbers, wanted, "{path}");
    }
}

/// The direction that lies to the right of somebody who looks at a face from outside, with `up` away
/// from them: `up × outwards` in a right-handed frame (ours is left-handed: z is turned round).
fn right_of(up: [f64; 3], out: [f64; 3]) -> [f64; 3] {
    let (u, n) = ([up[0], up[1], -up[2]], [out[0], out[1], -out[2]]);
    let cross = [u[1] * n[2] - u[2] * n[1], u[2] * n[0] - u[0] * n[2], u[0] * n[1] - u[1] * n[0]];
    [cross[0], cross[1], -cross[2]]
}

fn outwards(face: Face) -> [f64; 3] {
    match face {
        Face::Left => [-1.0, 0.0, 0.0],
        Face::Right => [1.0, 0.0, 0.0],
        Face::Bottom => [0.0, -1.0, 0.0],
        Face::Top => [0.0, 1.0, 0.0],
        Face::Front => [0.0, 0.0, -1.0],
        Face::Rear => [0.0, 0.0, 1.0],
    }
}

/// Where a hole stands in the part, from its low corner.
fn place(part: &Part, hole: &Hole) -> [f64; 3] {
    let mut at = [0.0; 3];
    for (edge, mm) in hole.at.from.iter().zip(hole.at.mm) {
        let size = float(part.size(edge.axis()));
        let low = if edge.is_high() { size - float(mm.0) } else { float(mm.0) };
        at[Axis::ALL.iter().position(|a| *a == edge.axis()).unwrap()] = low;
    }
    at
}

#[test]
fn every_face_lies_as_somebody_at_the_bench_sees_it() {
    assert_eq!(right_of([0.0, 1.0, 0.0], outwards(Face::Front)), [1.0, 0.0, 0.0], "x runs right");
    let mut seen = Vec::new();
    for (name, job) in jobs().iter().filter(|(name, _)| !NOT_READ_BACK.contains(&name.as_str())) {
        let sheets = holes::sheets(job);
        for sheet in &sheets {
            let page = read_in(job, &sheet.svg);
            let Some(face) = face_up(&page) else { continue };
            let part = job.parts.iter().find(|p| p.path == page.path).unwrap();
            let all = numbered(part);
            let own: Vec<&Hole> = all
                .iter()
                .filter(|(f, _)| *f == face)
                .flat_map(|(_, entries)| entries.iter().flat_map(|e| e.holes.iter().copied()))
                .collect();
            let up = if face.axis() == Axis::Y { [0.0, 0.0, 1.0] } else { [0.0, 1.0, 0.0] };
            let right = right_of(up, outwards(face));
            let dot = |a: [f64; 3], b: [f64; 3]| a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
            // The holes of the face are drawn first, in the order of their numbers.
            let on_paper: Vec<(f64, f64)> =
                sheet.canvas.symbols().take(own.len()).map(|s| (s.x, s.y)).collect();
            if page.texts.iter().any(|t| t.starts_with("Drawn wider")) {
                continue;
            }
            for (hole, paper) in own.iter().zip(&on_paper).skip(1) {
                let step = |i: usize| place(part, hole)[i] - place(part, own[0])[i];
                let step = [step(0), step(1), step(2)];
                let (dx, dy) = (paper.0 - on_paper[0].0, paper.1 - on_paper[0].1);
                let (wx, wy) = (dot(step, right) / page.scale, -dot(step, up) / page.scale);
                assert!(
                    (dx - wx).abs() < 1e-6 && (dy - wy).abs() < 1e-6,
                    "{name}, {}: {} stands at {dx}, {dy} from the first, not at {wx}, {wy}",
                    sheet.name,
                    hole.id
                );
            }
            if own.len() > 1 {
                seen.push(face);
            }
        }
    }
    for face in Face::ALL {
        assert!(seen.contains(&face), "a map with the {} face up was tested", face.word());
    }
}

/// Every text's box, from the file itself: the font it embeds, its size, anchor and turn.
#[test]
fn texts_of_the_files_keep_apart_by_the_font_they_embed() {
    use base64::Engine;
    let job = odd::job(false);
    let sheets: Vec<drawing::Sheet> =
        holes::sheets(&job).into_iter().chain(elevations::sheets(&job)).collect();
    let mut count = 0;
    for sheet in sheets.iter().take(6) {
        let document = roxmltree::Document::parse(&sheet.svg).unwrap();
        let style = document.descendants().find(|n| n.has_tag_name("style")).unwrap().text().unwrap();
        let fonts: Vec<Vec<u8>> = style
            .split("base64,")
            .skip(1)
            .map(|s| base64::engine::general_purpose::STANDARD.decode(s.split(')').next().unwrap()).unwrap())
            .collect();
        let faces: Vec<ttf_parser::Face> =
            fonts.iter().map(|f| ttf_parser::Face::parse(f, 0).expect("a font")).collect();
        let mut boxes: Vec<(String, [f64; 4])> = Vec::new();
        for node in document.descendants().filter(|n| n.has_tag_name("text")) {
            let number = |name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
            let content = node.text().unwrap().trim();
            let font = &faces[usize::from(node.attribute("font-weight") == Some("bold"))];
            let (size, em) = (number("font-size"), f64::from(font.units_per_em()));
            let (mut advance, mut top, mut bottom) = (0.0, 0.0f64, 0.0f64);
            for c in content.chars() {
                let glyph =
                    font.glyph_index(c).unwrap_or_else(|| panic!("no glyph for '{c}' in '{content}'"));
                advance += f64::from(font.glyph_hor_advance(glyph).unwrap()) / em * size;
                if let Some(b) = font.glyph_bounding_box(glyph) {
                    top = top.max(f64::from(b.y_max) / em * size);
                    bottom = bottom.min(f64::from(b.y_min) / em * size);
                }
            }
            assert!((number("textLength") - advance).abs() < 0.01, "'{content}' states its length");
            let digit = font.glyph_bounding_box(font.glyph_index('1').unwrap()).unwrap();
            assert!(
                f64::from(digit.y_max) / em * size >= 2.5 - 0.01,
                "figures of '{content}' are 2.5 mm tall"
            );
            let (x, y) = (number("x"), number("y"));
            let start = match node.attribute("text-anchor") {
                Some("middle") => -advance / 2.0,
                Some("end") => -advance,
                _ => 0.0,
            };
            let flat = [start, -top, start + advance, -bottom];
            let area = match node.attribute("transform") {
                None => [x + flat[0], y + flat[1], x + flat[2], y + flat[3]],
                Some(t) => {
                    assert!(t.starts_with("rotate(-90 "), "texts read from below or from the right");
                    [x + flat[1], y - flat[2], x + flat[3], y - flat[0]]
                }
            };
            boxes.push((content.to_string(), area));
        }
        let (width, height) = sheet.paper.size();
        for (i, (a, p)) in boxes.iter().enumerate() {
            assert!(
                p[0] > 10.0 && p[1] > 10.0 && p[2] < width - 10.0 && p[3] < height - 10.0,
                "'{a}' is clipped"
            );
            for (b, q) in boxes.iter().skip(i + 1) {
                let apart = p[2] <= q[0] || q[2] <= p[0] || p[3] <= q[1] || q[3] <= p[1];
                assert!(apart, "{}: '{a}' and '{b}' overlap: {p:?}, {q:?}", sheet.name);
            }
        }
        count += boxes.len();
    }
    assert!(count > 300, "{count} texts");
}

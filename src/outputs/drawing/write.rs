//! Writes what is drawn as an SVG document: one user unit is one millimetre on paper.

use super::canvas::{Anchor, Area, Canvas, Drawn, Fill, Line, Shape as Outline, Text};
use super::font;
use super::paper::Paper;
use super::symbol::{Making, Shape, Symbol};
use base64::Engine;
use svg::node::element::{Circle, Element, Group, Path, Rectangle, Style, Title};
use svg::node::element::{Line as LineElement, Text as TextElement};
use svg::{Document, Node};

/// A length in mm to a thousandth, without trailing noughts.
fn number(value: f64) -> String {
    let thousandths = (value * 1000.0).round();
    let value = if thousandths == 0.0 { 0.0 } else { thousandths / 1000.0 };
    format!("{value}")
}

/// The whole document.
pub(super) fn document(canvas: &Canvas, paper: Paper, title: &str) -> String {
    let (width, height) = paper.size();
    let mut document = Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .set("font-family", "Sheet, B612, sans-serif")
        .set("style", "font-kerning:none")
        .add(Title::new(font::printable(title)))
        .add(Style::new(font_faces()))
        .add(
            Rectangle::new()
                .set("width", width.to_string())
                .set("height", height.to_string())
                .set("fill", "#fff"),
        );
    for group in layers(canvas) {
        document = document.add(group);
    }
    document.add(texts(canvas)).to_string() + "\n"
}

/// What is drawn within an area as a picture among text, which brings the font along.
pub(super) fn picture(canvas: &Canvas, area: &Area, title: &str) -> String {
    let mut document = Document::new()
        .set(
            "viewBox",
            format!(
                "{} {} {} {}",
                number(area.x0),
                number(area.y0),
                number(area.width()),
                number(area.height())
            ),
        )
        .set("style", format!("width:{}mm", number(area.width())))
        .set("role", "img")
        .add(Title::new(font::printable(title)));
    for group in layers(canvas) {
        document = document.add(group);
    }
    document.add(texts(canvas)).to_string()
}

/// Everything but the texts, from the ground up.
fn layers(canvas: &Canvas) -> Vec<Group> {
    let mut groups = Vec::new();
    for (class, wanted) in [("ground", 0), ("thin", 1), ("heavy", 2), ("symbols", 3)] {
        let mut group = Group::new().set("class", class).set("fill", "none");
        for drawn in canvas.drawn.iter().filter(|d| layer(d) == wanted) {
            match drawn {
                Drawn::Shape(s) => group = group.add(shape(s)),
                Drawn::Line(l) => group = group.add(line(l)),
                Drawn::Symbol(s) => group = group.add(symbol(s)),
                Drawn::Text(_) => {}
            }
        }
        groups.push(group);
    }
    groups
}

fn layer(drawn: &Drawn) -> u8 {
    match drawn {
        Drawn::Shape(_) => 0,
        Drawn::Line(l) if l.is_thin() => 1,
        Drawn::Line(_) => 2,
        Drawn::Symbol(_) => 3,
        Drawn::Text(_) => 4,
    }
}

/// The font of the sheets as CSS.
pub(super) fn font_faces() -> String {
    let face = |weight: &str, bytes: &[u8]| {
        let data = base64::engine::general_purpose::STANDARD.encode(bytes);
        format!(
            "@font-face{{font-family:Sheet;font-weight:{weight};src:url(data:font/otf;base64,{data}) format('opentype')}}"
        )
    };
    face("normal", font::REGULAR) + &face("bold", font::BOLD)
}

/// Texts; the cells of one table row stand in one group.
fn texts(canvas: &Canvas) -> Group {
    let mut all = Group::new().set("class", "texts");
    let mut row: Option<(u32, Group)> = None;
    for t in canvas.texts() {
        if row.as_ref().map(|(n, _)| *n) != t.row
            && let Some((_, group)) = row.take()
        {
            all = all.add(group);
        }
        match t.row {
            Some(n) => {
                let (_, group) = row.get_or_insert_with(|| (n, Group::new().set("class", "row")));
                group.append(text(t));
            }
            None => all = all.add(text(t)),
        }
    }
    match row {
        Some((_, group)) => all.add(group),
        None => all,
    }
}

fn text(t: &Text) -> TextElement {
    let mut element = TextElement::new(t.content.as_str())
        .set("x", number(t.x))
        .set("y", number(t.y))
        .set("font-size", number(t.height / font::CAPITALS))
        .set("textLength", number(t.length()))
        .set("fill", t.ink.css());
    if t.bold {
        element = element.set("font-weight", "bold");
    }
    match t.anchor {
        Anchor::Start => {}
        Anchor::Middle => element = element.set("text-anchor", "middle"),
        Anchor::End => element = element.set("text-anchor", "end"),
    }
    if t.turned {
        element = element.set("transform", format!("rotate(-90 {} {})", number(t.x), number(t.y)));
    }
    if !t.class.is_empty() {
        element = element.set("class", t.class);
    }
    element
}

fn line(l: &Line) -> LineElement {
    let mut element = LineElement::new()
        .set("x1", number(l.x1))
        .set("y1", number(l.y1))
        .set("x2", number(l.x2))
        .set("y2", number(l.y2))
        .set("stroke", l.ink.css())
        .set("stroke-width", number(l.width));
    if !l.is_thin() {
        element = element.set("stroke-linecap", "square");
    }
    if let Some(dash) = l.dash.css() {
        element = element.set("stroke-dasharray", dash).set("stroke-linecap", "butt");
    }
    element
}

fn shape(s: &Outline) -> Element {
    let area = Drawn::Shape(s.clone()).area();
    let mut element: Element = match area {
        Some(a) if s.round > 0.0 => Rectangle::new()
            .set("x", number(a.x0))
            .set("y", number(a.y0))
            .set("width", number(a.width()))
            .set("height", number(a.height()))
            .set("rx", number(s.round))
            .into(),
        _ => Path::new().set("d", path(&s.points)).into(),
    };
    if s.fill != Fill::Empty {
        element.assign("fill", s.fill.css());
    }
    if let Some((width, ink)) = s.stroke {
        element.assign("stroke", ink.css());
        element.assign("stroke-width", number(width));
    }
    element
}

fn path(points: &[(f64, f64)]) -> String {
    let mut d = String::new();
    for (i, (x, y)) in points.iter().enumerate() {
        d += &format!("{}{} {}", if i == 0 { "M" } else { "L" }, number(*x), number(*y));
    }
    d + "Z"
}

fn ring(s: &Symbol, radius: f64) -> Circle {
    Circle::new().set("cx", number(s.x)).set("cy", number(s.y)).set("r", number(radius))
}

fn symbol(s: &Symbol) -> Group {
    let in_place = s.making == Making::InPlace;
    let ink = match s.making {
        Making::Bench => "#0b57a4",
        Making::InPlace | Making::Otherwise => "#595959",
    };
    let mut group = Group::new().set("stroke", ink).set("stroke-width", "0.35");
    if in_place {
        group = group.set("stroke-dasharray", "0.55 0.4");
    }
    let corners = path(&s.corners());
    group = match s.shape {
        Shape::Dot if in_place => group.add(ring(s, s.radius)),
        Shape::Dot => group.add(ring(s, s.radius).set("fill", ink).set("stroke", "none")),
        Shape::Point => group.add(ring(s, s.radius).set("fill", "#000").set("stroke", "none")),
        Shape::Origin => group.add(ring(s, s.radius).set("fill", "#fff")),
        Shape::RingedPoint => {
            group.add(ring(s, s.radius)).add(ring(s, 0.3).set("fill", ink).set("stroke", "none"))
        }
        Shape::DoubleRing => {
            group.set("stroke-width", "0.25").add(ring(s, s.radius)).add(ring(s, s.radius * 0.5))
        }
        Shape::FilledDiamond | Shape::FilledTriangle | Shape::FilledSquare | Shape::FilledTriangleDown => {
            let fill = if in_place { "none" } else { ink };
            let body = group.add(Path::new().set("d", corners).set("fill", fill));
            if in_place { body.add(ring(s, 0.3).set("fill", ink).set("stroke", "none")) } else { body }
        }
        Shape::BarredRing | Shape::CrossedRing => group.add(ring(s, s.radius)),
        Shape::Rings(n) => {
            let point = group.add(ring(s, 0.3).set("fill", ink).set("stroke", "none"));
            let step = s.radius / f64::from(n.max(1));
            (1..=n).fold(point.set("stroke-width", "0.2"), |g, k| g.add(ring(s, step * f64::from(k))))
        }
        Shape::Cross => group,
        Shape::PointedHexagon => {
            group.add(Path::new().set("d", corners)).add(ring(s, 0.3).set("fill", ink).set("stroke", "none"))
        }
        Shape::Triangle
        | Shape::Diamond
        | Shape::Square
        | Shape::Hexagon
        | Shape::TriangleDown
        | Shape::BarredSquare
        | Shape::BarredDiamond
        | Shape::CrossedSquare
        | Shape::CrossedDiamond
        | Shape::BarredHexagon => group.add(Path::new().set("d", corners)),
    };
    for (dx, dy) in s.strokes() {
        group = group.add(
            LineElement::new()
                .set("x1", number(s.x - dx))
                .set("y1", number(s.y - dy))
                .set("x2", number(s.x + dx))
                .set("y2", number(s.y + dy)),
        );
    }
    if s.through && s.shape != Shape::DoubleRing {
        for (dx, dy) in [(1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0)] {
            let (a, b) = (s.radius, s.radius + 0.7);
            group = group.add(
                LineElement::new()
                    .set("x1", number(s.x + dx * a))
                    .set("y1", number(s.y + dy * a))
                    .set("x2", number(s.x + dx * b))
                    .set("y2", number(s.y + dy * b)),
            );
        }
    }
    group
}

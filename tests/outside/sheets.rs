//! Sheets by readers of XML and SVG that know nothing of this project.

use super::jobs;
use aumbry::outputs::drawing::Sheet;
use aumbry::outputs::{elevations, holes};
use std::str::FromStr;
use std::sync::OnceLock;
use svgtypes::{Length, LengthUnit};

/// Pixels to the inch: CSS Values 3, absolute lengths, 1in = 96px (SECONDARY: table as reproduced in two
/// public documents and a library's enum); older SVG 1.1 material used 90.
const PIXELS_PER_INCH: f64 = 96.0;
/// PyPI Pint 0.25.3, default_en.txt (READ).
const MM_PER_INCH: f64 = 25.4;

/// Every sheet of every job, with the names to tell it by; drawn once.
fn sheets() -> &'static [(String, Sheet)] {
    static SHEETS: OnceLock<Vec<(String, Sheet)>> = OnceLock::new();
    SHEETS.get_or_init(|| {
        let mut all = Vec::new();
        for (name, job) in jobs() {
            for sheet in holes::sheets(&job).into_iter().chain(elevations::sheets(&job)) {
                all.push((format!("{name}: {}", sheet.name), sheet));
            }
        }
        assert!(all.len() >= 40, "{}", all.len());
        all
    })
}

fn each(mut look: impl FnMut(&str, &Sheet, &roxmltree::Document)) {
    for (at, sheet) in sheets() {
        let document = roxmltree::Document::parse(&sheet.svg).unwrap_or_else(|e| panic!("{at}: {e}"));
        look(at, sheet, &document);
    }
}

/// Attributes that hold a number, wherever they stand.
const NUMBERS: [&str; 12] =
    ["x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "font-size", "stroke-width", "textLength"];

#[test]
fn sheets_are_well_formed_svg() {
    each(|at, sheet, document| {
        let root = document.root_element();
        assert_eq!(root.tag_name().name(), "svg", "{at}");
        assert_eq!(root.tag_name().namespace(), Some("http://www.w3.org/2000/svg"), "{at}");
        let title = root.children().find(|n| n.has_tag_name("title")).and_then(|n| n.text());
        assert_eq!(title, Some(sheet.title.as_str()), "{at}");
    });
}

#[test]
fn a_unit_of_the_sheet_is_a_millimetre_on_paper() {
    each(|at, _, document| {
        let root = document.root_element();
        let length = |name: &str| Length::from_str(root.attribute(name).unwrap()).unwrap();
        let (width, height) = (length("width"), length("height"));
        assert_eq!((width.unit, height.unit), (LengthUnit::Mm, LengthUnit::Mm), "{at}");
        let view = svgtypes::ViewBox::from_str(root.attribute("viewBox").unwrap()).unwrap();
        assert_eq!((view.x, view.y, view.w, view.h), (0.0, 0.0, width.number, height.number), "{at}");
        // A4: EN ISO 216 as listed (SECONDARY).
        let (low, high) = (width.number.min(height.number), width.number.max(height.number));
        assert_eq!((low, high), (210.0, 297.0), "{at}");
    });
}

#[test]
fn a_renderer_takes_the_sheet_for_the_same_size() {
    each(|at, sheet, _| {
        let tree = resvg::usvg::Tree::from_str(&sheet.svg, &resvg::usvg::Options::default())
            .unwrap_or_else(|e| panic!("{at}: {e}"));
        let pixels = |mm: f64| mm / MM_PER_INCH * PIXELS_PER_INCH;
        let (width, height) = (f64::from(tree.size().width()), f64::from(tree.size().height()));
        let (short, long) = (width.min(height), width.max(height));
        assert!((short - pixels(210.0)).abs() < 1e-3 && (long - pixels(297.0)).abs() < 1e-3, "{at}");
    });
}

#[test]
fn every_number_colour_transform_and_path_is_one() {
    let mut seen = [0; 4];
    each(|at, _, document| {
        for node in document.descendants().filter(|n| n.is_element()) {
            for attribute in node.attributes() {
                let (name, value) = (attribute.name(), attribute.value());
                let wrong = format!("{at}: {name}=\"{value}\"");
                match name {
                    "d" => {
                        let segments: Vec<_> = svgtypes::PathParser::from(value).collect();
                        assert!(!segments.is_empty() && segments.iter().all(Result::is_ok), "{wrong}");
                        seen[0] += 1;
                    }
                    "transform" => {
                        assert!(svgtypes::Transform::from_str(value).is_ok(), "{wrong}");
                        seen[1] += 1;
                    }
                    "fill" | "stroke" if value != "none" => {
                        assert!(svgtypes::Color::from_str(value).is_ok(), "{wrong}");
                        seen[2] += 1;
                    }
                    _ if NUMBERS.contains(&name) => {
                        let number = svgtypes::Number::from_str(value).map(|n| n.0);
                        assert!(number.is_ok_and(f64::is_finite), "{wrong}");
                        seen[3] += 1;
                    }
                    _ => {}
                }
            }
        }
    });
    assert!(seen.iter().all(|n| *n > 100), "{seen:?}");
}

#[test]
fn every_text_says_something_and_says_how_long_it_is() {
    each(|at, _, document| {
        let texts: Vec<_> = document.descendants().filter(|n| n.has_tag_name("text")).collect();
        assert!(!texts.is_empty(), "{at}");
        for text in texts {
            let said: String = text.descendants().filter_map(|n| n.text()).collect();
            let source = &document.input_text()[text.range()];
            // A cell of a table may be empty.
            let cell = text.attribute("class") == Some("cell");
            assert!(cell || !said.trim().is_empty(), "{at}: {source}");
            assert!(text.attribute("textLength").is_some(), "{at}: {}", said.trim());
        }
    });
}

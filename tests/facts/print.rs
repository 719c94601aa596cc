//! Units in the language, rounding, and the paper that sheets are drawn on.

use super::{design, holds};
use aumbry::outputs::{elevations, holes};
use aumbry::values::{Rational, Style};

#[test]
fn the_inch_and_what_hangs_on_it() {
    // UNIT-yard 0.9144 m, UNIT-inch 25.4 mm, UNIT-foot 304.8 mm, UNIT-thou 0.0254 mm, all exact. PyPI Pint 0.25.3,
    // default_en.txt (READ). UNIT-NIST-811: 2.54E-02 m. NIST SP 811 (2008), App. B.8, from memory (MEMORY).
    holds(
        "",
        &["36in == 0.9144m", "1in == 25.4mm", "12in == 304.8mm", "0.001in == 0.0254mm", "1in == 2.54cm"],
    );
}

#[test]
fn pounds_and_feet() {
    // UNIT-pound: 50 lb is 22.6796185 kg; UNIT-boardfoot: 2.359737216 dm3; UNIT-psf: 40 lb/ft3 is 640.7385 kg/m3,
    // 3.2 ft3 is 90.61391 dm3. PyPI Pint 0.25.3, default_en.txt (READ).
    holds(
        "",
        &[
            "50lb == 22.6796185kg",
            "12in * 12in * 1in == 2.359737216l",
            "40lb/ft3 > 640.73853kg/m3",
            "40lb/ft3 < 640.73854kg/m3",
            "3.2 * 12in * 12in * 12in == 90.6139090944l",
        ],
    );
}

#[test]
fn figures_are_rounded_and_not_cut_off() {
    // UNIT-frac-drill: a conversion table that cuts off: 5/8 in 15.8, 1-1/4 in 31.7, 3/4 in 19.0 mm. US Army TM
    // 55-2320-272-14-1, Appendix A, para 7b (READ). The exact figures are 15.875, 31.75 and 19.05.
    let inches = |n: i128, d: i128| Rational::ratio(n * 127, d * 5);
    let style = Style::metric();
    assert_eq!(style.figure(inches(5, 8)), "15.9");
    assert_eq!(style.figure(inches(5, 4)), "31.8");
    assert_eq!(style.figure(inches(3, 4)), "19.1");
    assert_eq!((style.figure(inches(1, 2)), style.figure(inches(3, 2))), ("12.7".into(), "38.1".into()));
    let exact = Style::imperial();
    assert_eq!(exact.figure(inches(5, 8)), "5/8");
    assert_eq!(exact.figure(inches(5, 4)), "1 1/4");
}

fn sheets() -> Vec<aumbry::outputs::drawing::Sheet> {
    let job = design("use std.boxes (floor_box)\nbox b = floor_box(width: 600mm, shelves: 2)");
    holes::sheets(&job).into_iter().chain(elevations::sheets(&job)).collect()
}

#[test]
fn sheets_keep_a_margin() {
    // ISO5457-margin: at least 10 mm on A2-A4. Drawing course text after ISO 5457, border and frame (SECONDARY).
    for sheet in sheets() {
        let document = roxmltree::Document::parse(&sheet.svg).unwrap();
        let root = document.root_element();
        let size = |name: &str| root.attribute(name).unwrap().trim_end_matches("mm").parse::<f64>().unwrap();
        let (width, height) = (size("width"), size("height"));
        let mut lines = 0;
        for line in document.descendants().filter(|n| n.has_tag_name("line")) {
            let at = |name: &str| line.attribute(name).unwrap().parse::<f64>().unwrap();
            for (end, far) in [("x1", width), ("x2", width), ("y1", height), ("y2", height)] {
                assert!(at(end) >= 10.0 && at(end) <= far - 10.0, "{}: {end}={}", sheet.name, at(end));
            }
            lines += 1;
        }
        assert!(lines > 10);
    }
}

#[test]
fn sheets_are_drawn_at_standard_scales() {
    // ISO5455-scales: 1:1, 1:2, 1:5, 1:10, 1:20, 1:50, 1:100. ISO 5455:1979, from memory (MEMORY).
    let standard = ["1:1", "1:2", "1:5", "1:10", "1:20", "1:50", "1:100"];
    for sheet in sheets() {
        let document = roxmltree::Document::parse(&sheet.svg).unwrap();
        let texts = document.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text());
        let scales: Vec<&str> = texts
            .flat_map(str::split_whitespace)
            .filter(|w| w.strip_prefix("1:").is_some_and(|n| n.parse::<u32>().is_ok()))
            .collect();
        assert!(!scales.is_empty(), "{}", sheet.name);
        assert!(scales.iter().all(|s| standard.contains(s)), "{}: {scales:?}", sheet.name);
    }
}

//! The sheet kit: font, running dimensions, scales.

use aumbry::outputs::drawing::chain::spread_figures;
use aumbry::outputs::drawing::paper::{Paper, Scale};
use aumbry::outputs::drawing::{canvas, collision, font};
use proptest::prelude::*;

#[test]
fn a_character_the_font_lacks_is_found() {
    assert_eq!(font::missing_glyphs("Ø4.5 × 18, 45° – “sink”"), Vec::<char>::new());
    assert_eq!(font::missing_glyphs("⌀5"), ['⌀']);
    assert_eq!(font::printable("⌀5 釉薬"), "?5 ??");
}

#[test]
fn faults_are_found() {
    use canvas::{Canvas, Dash, Ink, Text};
    let paper = Paper::Portrait;
    let faults = |draw: &dyn Fn(&mut Canvas)| {
        let mut canvas = Canvas::new();
        draw(&mut canvas);
        collision::faults(&canvas, paper)
    };
    let text = |x: f64, y: f64, t: &str| Text::new(x, y, t);
    assert!(faults(&|c| c.text(text(50.0, 50.0, "720"))).is_empty());
    assert!(!faults(&|c| c.text(text(50.0, 50.0, "720").tall(2.4))).is_empty(), "too small");
    assert!(!faults(&|c| c.text(text(198.0, 50.0, "720"))).is_empty(), "outside the frame");
    let two = |dx: f64| {
        move |c: &mut Canvas| {
            c.text(text(50.0, 50.0, "720"));
            c.text(text(50.0 + font::width("720", 2.5, false) + dx, 50.0, "1"));
        }
    };
    assert!(!faults(&two(0.29)).is_empty(), "0.29 apart");
    assert!(faults(&two(0.31)).is_empty(), "0.31 apart");
    let line = |width: f64, y: f64| {
        move |c: &mut Canvas| {
            c.text(text(50.0, 50.0, "720"));
            c.stroke((40.0, y), (80.0, y), width, Ink::Black, Dash::Solid);
        }
    };
    assert!(!faults(&line(0.5, 50.4)).is_empty(), "a heavy line 0.15 below");
    assert!(faults(&line(0.5, 50.5)).is_empty(), "a heavy line 0.25 below");
    assert!(!faults(&line(0.18, 49.0)).is_empty(), "a thin line through it");
    let mut canvas = Canvas::new();
    line(0.18, 49.0)(&mut canvas);
    canvas.break_thin_lines();
    assert!(collision::faults(&canvas, paper).is_empty(), "broken for the text");
}

/// The least sum of squares by a plain search: moves single figures and groups until nothing gains.
fn by_force(wanted: &[f64], least: f64) -> f64 {
    // Dynamic programming over a fine grid of shifts.
    let steps = 6000;
    let (lo, hi) = (wanted[0] - 30.0, wanted[wanted.len() - 1] + 30.0);
    let at = |i: usize| lo + (hi - lo) * i as f64 / steps as f64;
    let mut best = vec![0.0; steps + 1];
    for (n, w) in wanted.iter().enumerate() {
        let mut running = f64::MAX;
        let mut next = vec![f64::MAX; steps + 1];
        let mut j = 0;
        for (i, slot) in next.iter_mut().enumerate() {
            while j <= steps && (n == 0 || at(j) + least <= at(i) + 1e-9) {
                running = running.min(best[j]);
                j += 1;
            }
            if running < f64::MAX {
                *slot = running + (at(i) - w).powi(2);
            }
        }
        best = next;
    }
    best.into_iter().fold(f64::MAX, f64::min)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn crowded_figures_shift_as_little_as_can_be(gaps in prop::collection::vec(0.0f64..6.0, 1..7)) {
        let mut wanted = vec![50.0];
        for gap in &gaps {
            wanted.push(wanted[wanted.len() - 1] + gap);
        }
        let least = 3.6;
        let places = spread_figures(&wanted, &vec![least; gaps.len()]);
        prop_assert!(places.windows(2).all(|p| p[1] - p[0] >= least - 1e-9), "order and distance are kept");
        let cost: f64 = places.iter().zip(&wanted).map(|(p, w)| (p - w).powi(2)).sum();
        let grid = by_force(&wanted, least);
        // The grid can only be worse than the exact answer, by what its steps miss.
        prop_assert!(cost <= grid + 1e-6, "{cost} against {grid}");
        prop_assert!(grid - cost < 0.25 * wanted.len() as f64 + 1.0, "{cost} against {grid}");
    }
}

#[test]
fn figures_with_room_stay_where_they_are() {
    assert_eq!(spread_figures(&[0.0, 10.0, 20.0], &[5.0, 5.0]), [0.0, 10.0, 20.0]);
    assert_eq!(spread_figures(&[10.0, 10.0], &[4.0]), [8.0, 12.0]);
}

/// ISO 5455:1979 recommends 1:2, 1:5, 1:10, 1:20, 1:50, 1:100, 1:200 and 1:500 for reductions (from memory).
#[test]
fn scales_can_be_read_on_a_rule() {
    let words: Vec<String> = Scale::ALL.iter().map(|s| s.words()).collect();
    assert_eq!(words, ["1:1", "1:2", "1:5", "1:10", "1:20", "1:50", "1:100", "1:200", "1:500"]);
    assert_eq!(Scale(5).paper(720.0), 144.0);
}

/// ISO 216: A4 is 210 × 297 mm (common knowledge). CSS Values 3: a length in mm may be written as such.
#[test]
fn one_unit_is_one_millimetre_on_paper() {
    let sheets = aumbry::outputs::holes::sheets(&crate::odd::job(false));
    for sheet in sheets.iter().take(3) {
        let document = roxmltree::Document::parse(&sheet.svg).unwrap();
        let root = document.root_element();
        let length = |name: &str| {
            let text = root.attribute(name).unwrap();
            let length: svgtypes::Length = text.parse().expect("a length");
            assert_eq!(length.unit, svgtypes::LengthUnit::Mm, "{text}");
            length.number
        };
        let (width, height) = (length("width"), length("height"));
        assert!((width, height) == (210.0, 297.0) || (width, height) == (297.0, 210.0));
        let view: svgtypes::ViewBox = root.attribute("viewBox").unwrap().parse().unwrap();
        assert_eq!((view.x, view.y, view.w, view.h), (0.0, 0.0, width, height));
        assert!(sheet.svg.len() < 200_000, "{} is {} bytes", sheet.name, sheet.svg.len());
    }
}

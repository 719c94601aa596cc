//! The test that every sheet must pass: texts large enough, inside the frame, clear of each other,
//! of heavy lines and of symbols, and no thin line running through one.

use super::canvas::{Canvas, height};
use super::font;
use super::paper::Paper;
use super::symbol::Shape;

/// How near two texts may come, in mm.
pub const TEXT_GAP: f64 = 0.3;
/// How near a line of 0.35 mm or more may come to a text.
pub const LINE_GAP: f64 = 0.2;
/// How near a symbol may come to a text.
pub const SYMBOL_GAP: f64 = 0.1;

/// Every fault of a sheet in words; empty for a sound one.
pub fn faults(canvas: &Canvas, paper: Paper) -> Vec<String> {
    let mut faults = Vec::new();
    let frame = paper.frame();
    let texts: Vec<_> = canvas.texts().map(|t| (t, t.area())).collect();
    for (i, (text, area)) in texts.iter().enumerate() {
        let name = &text.content;
        let missing = font::missing_glyphs(name);
        if !missing.is_empty() {
            faults.push(format!("'{name}' has characters that the font lacks: {missing:?}"));
        }
        if text.height < height::TEXT {
            faults.push(format!("'{name}' is only {} mm tall", text.height));
        }
        if !frame.holds(area) {
            faults.push(format!("'{name}' leaves the frame: {area:?}"));
        }
        for (other, box_of) in texts.iter().skip(i + 1) {
            if area.gap(box_of) < TEXT_GAP - 1e-6 {
                faults.push(format!("'{name}' and '{}' meet: {area:?}, {box_of:?}", other.content));
            }
        }
        for line in canvas.lines() {
            let gap = line.gap(area);
            if line.is_thin() && area.grown(-0.05).clip(line).is_some() {
                faults.push(format!("a thin line runs through '{name}': {line:?}"));
            } else if !line.is_thin() && gap < LINE_GAP - 1e-6 {
                faults.push(format!("a heavy line is {gap:.2} mm from '{name}': {line:?}, {area:?}"));
            }
        }
        for symbol in canvas.symbols() {
            if area.distance(symbol.x, symbol.y) - symbol.reach() < SYMBOL_GAP - 1e-6 {
                faults.push(format!("a symbol is too near '{name}': {symbol:?}"));
            }
        }
    }
    // A hole that is not bored here must not look measured.
    for ring in canvas.symbols().filter(|s| s.shape == Shape::DoubleRing) {
        let inside = ring.area().grown(-0.3);
        for line in canvas.lines().filter(|l| l.is_thin() && inside.clip(l).is_some()) {
            faults.push(format!("a thin line runs through a hole of the other face: {line:?}, {ring:?}"));
        }
    }
    for drawn in &canvas.drawn {
        if drawn.area().is_some_and(|a| !frame.grown(0.5).holds(&a)) {
            faults.push(format!("drawn outside the frame: {drawn:?}"));
        }
    }
    faults
}

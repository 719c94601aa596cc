//! Finding a free place for a text.

use super::canvas::{Area, Canvas, Dash, Drawn, Fill, Ink, Line, Text, weight};
use super::collision::{LINE_GAP, SYMBOL_GAP, TEXT_GAP};
use super::font;

/// How many thin lines a text here would cross; `None` where it would meet a text, a symbol, a heavy
/// line or something black or accented.
pub fn cost(canvas: &Canvas, area: &Area) -> Option<u32> {
    let mut crossed = 0;
    for drawn in &canvas.drawn {
        match drawn {
            Drawn::Text(t) => {
                if area.gap(&t.area()) < TEXT_GAP + 0.15 {
                    return None;
                }
            }
            Drawn::Symbol(s) => {
                if area.distance(s.x, s.y) < s.reach() + SYMBOL_GAP + 0.1 {
                    return None;
                }
            }
            Drawn::Line(l) if l.is_thin() => crossed += u32::from(area.grown(0.3).clip(l).is_some()),
            Drawn::Line(l) => {
                let far = l.area().gap(area) > LINE_GAP + 0.1 + l.width;
                if !far && l.gap(area) < LINE_GAP + 0.1 {
                    return None;
                }
            }
            Drawn::Shape(s) if matches!(s.fill, Fill::Accent | Fill::Black) || s.round > 0.0 => {
                if drawn.area().is_some_and(|a| a.gap(area) < LINE_GAP + 0.1) {
                    return None;
                }
            }
            Drawn::Shape(_) => {}
        }
    }
    Some(crossed)
}

/// The first of the cheapest texts.
pub fn best(canvas: &Canvas, candidates: impl IntoIterator<Item = Text>) -> Option<Text> {
    let mut found: Option<(u32, Text)> = None;
    for text in candidates {
        if let Some(cost) = cost(canvas, &text.area())
            && found.as_ref().is_none_or(|(least, _)| cost < *least)
        {
            let free = cost == 0;
            found = Some((cost, text));
            if free {
                break;
            }
        }
    }
    found.map(|(_, text)| text)
}

/// Sets a number beside a point whose ink reaches `reach`; with a leader where it must stand far off.
/// False where there was no room at all.
pub fn beside(canvas: &mut Canvas, (x, y): (f64, f64), reach: f64, text: &Text) -> bool {
    let up = font::ABOVE * text.height;
    let down = if font::descends(&text.content) { font::BELOW * text.height } else { 0.0 };
    let length = text.length();
    let at = |gap: f64| {
        let d = reach + gap;
        let c = d * 0.72;
        let mid = up / 2.0;
        [
            (x + c, y - c - down),
            (x - c - length, y - c - down),
            (x + c, y + c + up),
            (x - c - length, y + c + up),
            (x - length / 2.0, y - d - down),
            (x - length / 2.0, y + d + up),
            (x + d, y + mid),
            (x - d - length, y + mid),
        ]
    };
    for gap in [0.5, 1.4, 2.6, 4.0, 6.0, 8.5, 11.0, 14.0] {
        let candidates = at(gap).map(|(x, y)| Text { x, y, ..text.clone() });
        if let Some(found) = best(canvas, candidates) {
            if gap > 2.0 {
                lead(canvas, (x, y), reach, &found);
            }
            canvas.text(found);
            return true;
        }
    }
    false
}

/// A thin line from a symbol to its text.
fn lead(canvas: &mut Canvas, (x, y): (f64, f64), reach: f64, text: &Text) {
    let area = text.area();
    let (tx, ty) = (x.clamp(area.x0, area.x1), y.clamp(area.y0, area.y1));
    let whole =
        Line { x1: x, y1: y, x2: tx, y2: ty, width: weight::HAIR, ink: Ink::Black, dash: Dash::Solid };
    let length = whole.length();
    if length > reach + 0.6 {
        let start = whole.at(reach / length);
        canvas.line(start, (tx, ty), weight::HAIR);
    }
}

//! The title strip along the bottom of a sheet.

use super::canvas::{Area, Canvas, Dash, Fill, Ink, Text, height, weight};
use super::font;
use super::paper::{Paper, STRIP_ROW};
use crate::job::Job;

/// What the strip says.
#[derive(Clone, Debug)]
pub struct Strip {
    pub mark: String,
    pub title: String,
    /// The path of the part or box.
    pub path: String,
    pub scale: String,
    /// Unit and step, once for the whole sheet.
    pub lengths: String,
    /// Source file and digest.
    pub made_from: String,
    /// This sheet and how many there are.
    pub sheet: (usize, usize),
}

impl Strip {
    /// Unit and step of a job: `mm, step 0.1`.
    pub fn lengths_of(job: &Job) -> String {
        let style = job.house.style();
        let unit = if style.inches { "inches" } else { "mm" };
        format!("{unit}, step {}", style.figure(style.step))
    }

    /// Root file and the start of its digest.
    pub fn source_of(job: &Job) -> String {
        match job.sources.first() {
            Some(s) => format!("{} {}", s.name, s.digest.chars().take(8).collect::<String>()),
            None => String::new(),
        }
    }
}

struct Cell<'a> {
    width: f64,
    label: &'a str,
    value: &'a str,
    height: f64,
    bold: bool,
}

/// Draws frame and strip.
pub(super) fn draw(canvas: &mut Canvas, paper: Paper, strip: &Strip) {
    let frame = paper.frame();
    canvas.frame(frame, weight::DATUM, Ink::Black, Dash::Solid);
    let top = frame.y1 - paper.strip_height();
    canvas.line((frame.x0, top), (frame.x1, top), weight::OUTLINE);
    let sheet = format!("{} of {}", strip.sheet.0, strip.sheet.1);
    let cell = |width, label, value, height, bold| Cell { width, label, value, height, bold };
    let mark_width = (font::width(&strip.mark, height::MARK, true) + 5.0).max(24.0);
    let mark = cell(mark_width, "mark", &strip.mark, height::MARK, true);
    let number = cell(20.0, "sheet", &sheet, height::HEADING, true);
    let scale = |width| cell(width, "scale", &strip.scale, height::HEADING, true);
    let scale_width = (font::width(&strip.scale, height::HEADING, true) + 5.0).max(20.0);
    let lengths_width = (font::width(&strip.lengths, height::TEXT, false) + 5.0).max(32.0);
    match paper {
        Paper::Portrait => {
            let title = frame.width() - mark_width - number.width;
            let row = [mark, cell(title, "what this sheet is", &strip.title, height::HEADING, true), number];
            cells(canvas, (frame.x0, top), &row, &strip.path);
            let second = top + STRIP_ROW;
            canvas.line((frame.x0, second), (frame.x1, second), weight::INNER);
            let rest = frame.width() - scale_width - lengths_width - 58.0;
            let row = [
                scale(scale_width),
                cell(lengths_width, "lengths", &strip.lengths, height::TEXT, false),
                cell(rest, "made from", &strip.made_from, height::TEXT, false),
            ];
            let x = cells(canvas, (frame.x0, second), &row, "");
            canvas.line((x, second), (x, frame.y1), weight::INNER);
            bar(canvas, x, second, 58.0);
        }
        Paper::Landscape => {
            let made_width = (font::width(&strip.made_from, height::TEXT, false) + 5.0).clamp(30.0, 60.0);
            let title =
                frame.width() - mark_width - scale_width - lengths_width - made_width - 58.0 - number.width;
            let row = [
                mark,
                cell(title, "what this sheet is", &strip.title, height::HEADING, true),
                scale(scale_width),
                cell(lengths_width, "lengths", &strip.lengths, height::TEXT, false),
                cell(made_width, "made from", &strip.made_from, height::TEXT, false),
            ];
            let x = cells(canvas, (frame.x0, top), &row, &strip.path);
            canvas.line((x, top), (x, frame.y1), weight::INNER);
            bar(canvas, x, top, 58.0);
            let x = x + 58.0;
            canvas.line((x, top), (x, frame.y1), weight::INNER);
            cells(canvas, (x, top), &[number], "");
        }
    }
}

/// Draws cells from the left, parted by lines; gives where the next would start.
fn cells(canvas: &mut Canvas, at: (f64, f64), cells: &[Cell], path: &str) -> f64 {
    let (mut x, y) = at;
    for (i, cell) in cells.iter().enumerate() {
        if i > 0 {
            canvas.line((x, y), (x, y + STRIP_ROW), weight::INNER);
        }
        canvas.text(Text::new(x + 2.0, y + 4.7, cell.label).ink(Ink::Grey));
        if cell.label == "what this sheet is" && !path.is_empty() {
            let start = x + 4.5 + font::width(cell.label, height::TEXT, false);
            let path = fitted(path, height::TEXT, false, x + cell.width - 1.5 - start);
            canvas.text(Text::new(start, y + 4.7, path).class("path"));
        }
        let value = fitted(cell.value, cell.height, cell.bold, cell.width - 3.0);
        let mut text = Text::new(x + 2.0, y + 11.6, value).tall(cell.height);
        if cell.height >= height::MARK {
            text.y = y + 12.2;
        }
        text.bold = cell.bold;
        canvas.text(text);
        x += cell.width;
    }
    x
}

/// A text cut to a width, with dots where it was longer.
pub(crate) fn fitted(text: &str, height: f64, bold: bool, limit: f64) -> String {
    let text = font::printable(text);
    if font::width(&text, height, bold) <= limit {
        return text;
    }
    let mut kept = String::new();
    for c in text.chars() {
        if font::width(&format!("{kept}{c}…"), height, bold) > limit {
            break;
        }
        kept.push(c);
    }
    kept.trim_end().to_string() + "…"
}

/// A bar that is 50 mm long where the sheet was printed at its size.
fn bar(canvas: &mut Canvas, x: f64, y: f64, width: f64) {
    let middle = x + width / 2.0;
    canvas.text(Text::new(middle, y + 4.7, "50 mm when printed at 100 %").middle().ink(Ink::Grey));
    let start = middle - 25.0;
    for part in 0..5 {
        let left = start + 10.0 * f64::from(part);
        let area = Area::new(left, y + 9.8, left + 10.0, y + 11.3);
        if part % 2 == 0 {
            canvas.fill(area, Fill::Black);
        }
    }
    canvas.frame(Area::new(start, y + 9.8, start + 50.0, y + 11.3), weight::INNER, Ink::Black, Dash::Solid);
}

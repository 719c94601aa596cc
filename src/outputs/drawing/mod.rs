//! The sheet kit: everything that a drawing is made of, in millimetres on paper. The only place
//! where lengths become floats.

pub mod arrange;
pub mod canvas;
pub mod chain;
pub mod collision;
pub mod column;
pub mod font;
pub mod mark;
pub mod paper;
pub mod place;
pub mod strip;
mod strokes;
pub mod symbol;
pub mod table;
mod write;

use crate::values::Rational;
use canvas::Canvas;
use paper::Paper;
use strip::Strip;

/// A finished sheet.
#[derive(Clone, Debug)]
pub struct Sheet {
    /// File stem, such as `BL-inner`.
    pub name: String,
    pub title: String,
    /// The whole SVG document.
    pub svg: String,
    pub paper: Paper,
    /// Everything drawn, with its boxes; what `faults` looks at.
    pub canvas: Canvas,
}

impl Sheet {
    /// Frames what was drawn, adds the title strip and writes the document.
    pub fn finish(name: String, mut canvas: Canvas, paper: Paper, strip: &Strip) -> Sheet {
        strip::draw(&mut canvas, paper, strip);
        canvas.break_thin_lines();
        let title = format!("{}: {}, sheet {} of {}", strip.mark, strip.title, strip.sheet.0, strip.sheet.1);
        let svg = write::document(&canvas, paper, &title);
        Sheet { name, title, svg, paper, canvas }
    }

    /// What is wrong with the sheet by the rules of `collision`; empty for a sound one.
    pub fn faults(&self) -> Vec<String> {
        collision::faults(&self.canvas, self.paper)
    }
}

/// A picture to stand among text: what was drawn and no more, without frame and strip.
pub fn picture(mut canvas: Canvas, title: &str) -> Option<String> {
    canvas.break_thin_lines();
    let area = canvas.area()?.grown(1.0);
    Some(write::picture(&canvas, &area, title))
}

/// The font of pictures, as CSS that needs no other file; its family is `Sheet`.
pub fn font_css() -> String {
    write::font_faces()
}

/// Millimetres as a float, for the pixel only.
pub fn float(value: Rational) -> f64 {
    value.numerator() as f64 / value.denominator() as f64
}

/// A file stem: letters, digits, hyphens and points of a name, the rest as hyphens.
pub fn file_stem(name: &str) -> String {
    name.chars().map(|c| if c.is_ascii_alphanumeric() || c == '-' || c == '.' { c } else { '-' }).collect()
}

//! A column of words: headings, paragraphs and a legend, stacked.

use super::canvas::{Canvas, Ink, Text, height};
use super::font;
use super::symbol::Symbol;

/// Between the baselines of a paragraph, in heights of a capital.
const LEADING: f64 = 1.72;

/// One piece of a column.
#[derive(Clone, Debug)]
pub enum Block {
    /// In the accent, tall.
    Heading(String),
    /// Black, bold.
    Subheading(String),
    Paragraph(String),
    /// Bold, for what costs a part or a finger.
    Warning(String),
    /// A symbol and what it stands for.
    Legend(Symbol, String),
    /// Something drawn, such as the small oblique box; its box starts at nought.
    Picture(Canvas),
}

/// Draws a column from (0, 0) down in a width; gives its height.
pub fn draw(canvas: &mut Canvas, blocks: &[Block], width: f64) -> f64 {
    let mut y = 0.0;
    for (i, block) in blocks.iter().enumerate() {
        let first = i == 0;
        match block {
            Block::Heading(text) => {
                y += if first { 0.0 } else { 3.0 };
                y = lines(canvas, text, (0.0, y), width, (height::HEADING, true, Ink::Accent)) + 0.6;
            }
            Block::Subheading(text) => {
                y += if first { 0.0 } else { 2.6 };
                y = lines(canvas, text, (0.0, y), width, (height::TEXT, true, Ink::Black)) - 0.9;
            }
            Block::Paragraph(text) => {
                y += if first { 0.0 } else { 2.1 };
                y = lines(canvas, text, (0.0, y), width, (height::TEXT, false, Ink::Black));
            }
            Block::Warning(text) => {
                y += if first { 0.0 } else { 2.1 };
                y = lines(canvas, text, (0.0, y), width, (height::TEXT, true, Ink::Black));
            }
            Block::Legend(symbol, text) => {
                let mut symbol = *symbol;
                let reach = symbol.reach();
                // A large one takes the room it needs.
                y += 2.1f64.max(reach - 0.35);
                symbol.x = 2.6f64.max(reach);
                symbol.y = y + height::TEXT * 0.5;
                canvas.symbol(symbol);
                let indent = 6.4f64.max(2.0 * reach + 1.0);
                let under = symbol.y + reach - 0.85;
                y = lines(canvas, text, (indent, y), width - indent, (height::TEXT, false, Ink::Black));
                y = y.max(under);
            }
            Block::Picture(picture) => {
                y += if first { 0.0 } else { 3.5 };
                canvas.place(picture, 0.0, y);
                y += picture.area().map_or(0.0, |a| a.y1);
            }
        }
    }
    y
}

/// The column split into several of one width, none taller than `limit`; fewest columns first, then
/// as even as they come. `None` where a single block is taller or more than `most` would be needed.
pub fn flow(blocks: &[Block], width: f64, limit: f64, most: usize) -> Option<Vec<Canvas>> {
    let mut columns: Vec<Canvas> = Vec::new();
    let mut taken: Vec<Block> = Vec::new();
    for block in blocks {
        let mut longer = taken.clone();
        longer.push(block.clone());
        if draw(&mut Canvas::new(), &longer, width) <= limit {
            taken = longer;
            continue;
        }
        if taken.is_empty() {
            return None;
        }
        // A subheading stays with what it heads.
        let carried = if matches!(taken.last(), Some(Block::Subheading(_))) { taken.pop() } else { None };
        columns.push(set(&taken, width));
        taken = carried.into_iter().chain([block.clone()]).collect();
        if draw(&mut Canvas::new(), &taken, width) > limit {
            return None;
        }
    }
    if !taken.is_empty() {
        columns.push(set(&taken, width));
    }
    (columns.len() <= most).then_some(columns)
}

/// Columns as low as they can be for their number.
pub fn balanced(blocks: &[Block], width: f64, limit: f64, count: usize) -> Option<(Vec<Canvas>, f64)> {
    let mut height = draw(&mut Canvas::new(), blocks, width) / count.max(1) as f64;
    while height <= limit {
        if let Some(columns) = flow(blocks, width, height, count) {
            let tall = columns.iter().filter_map(Canvas::area).map(|a| a.y1).fold(0.0, f64::max);
            return Some((columns, tall));
        }
        height += 2.0;
    }
    flow(blocks, width, limit, count).map(|columns| (columns, limit))
}

fn set(blocks: &[Block], width: f64) -> Canvas {
    let mut canvas = Canvas::new();
    draw(&mut canvas, blocks, width);
    canvas
}

fn lines(
    canvas: &mut Canvas,
    text: &str,
    at: (f64, f64),
    width: f64,
    (height, bold, ink): (f64, bool, Ink),
) -> f64 {
    let text = font::printable(text);
    let mut y = at.1;
    for line in font::wrap(&text, height, bold, width) {
        let mut element = Text::new(at.0, y + height, line).tall(height).ink(ink);
        element.bold = bold;
        canvas.text(element);
        y += height * LEADING;
    }
    // The last line needs room for descenders only.
    y - height * (LEADING - 1.0 - font::BELOW)
}

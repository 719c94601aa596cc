//! The font of the sheets and its metrics, read from the bytes that the sheets embed.

use std::sync::OnceLock;
use ttf_parser::Face as FontFace;

/// B612, SIL Open Font License 1.1; see `fonts/README.md`.
pub(super) const REGULAR: &[u8] = include_bytes!("fonts/B612-Regular.subset.otf");
pub(super) const BOLD: &[u8] = include_bytes!("fonts/B612-Bold.subset.otf");

/// Height of capitals and figures over the font size, in B612.
pub const CAPITALS: f64 = 0.75;

/// How far a text reaches above and below its baseline, in heights of a capital.
pub const ABOVE: f64 = 1.03;
/// How far letters reach below their line, as a part of their height.
pub const BELOW: f64 = 0.34;

/// Advances of one weight, by code point below U+2027; nought where there is no glyph.
struct Advances {
    table: Vec<f32>,
}

fn read(bytes: &'static [u8]) -> Advances {
    let mut table = vec![0.0; 0x2027];
    if let Ok(face) = FontFace::parse(bytes, 0) {
        let em = f32::from(face.units_per_em());
        for (code, slot) in (0u32..).zip(table.iter_mut()) {
            let glyph = char::from_u32(code).and_then(|c| face.glyph_index(c));
            if let Some(width) = glyph.and_then(|g| face.glyph_hor_advance(g)) {
                *slot = f32::from(width) / em;
            }
        }
    }
    Advances { table }
}

fn advances(bold: bool) -> &'static Advances {
    static FONTS: [OnceLock<Advances>; 2] = [OnceLock::new(), OnceLock::new()];
    let [regular, heavy] = &FONTS;
    if bold { heavy.get_or_init(|| read(BOLD)) } else { regular.get_or_init(|| read(REGULAR)) }
}

fn advance(c: char, bold: bool) -> Option<f64> {
    let width = usize::try_from(u32::from(c)).ok().and_then(|i| advances(bold).table.get(i).copied());
    width.filter(|w| *w > 0.0).map(f64::from)
}

/// Width in mm of a text whose capitals are `height` mm tall.
pub fn width(text: &str, height: f64, bold: bool) -> f64 {
    text.chars().filter_map(|c| advance(c, bold)).sum::<f64>() * height / CAPITALS
}

/// The text with every character that the font lacks written as `?`.
pub fn printable(text: &str) -> String {
    text.chars()
        .map(|c| if advance(c, false).is_some() && advance(c, true).is_some() { c } else { '?' })
        .collect()
}

/// The characters of a text that the font lacks; empty for every text that a sheet may bear.
pub fn missing_glyphs(text: &str) -> Vec<char> {
    text.chars().filter(|c| advance(*c, false).is_none() || advance(*c, true).is_none()).collect()
}

/// True where a letter reaches below the baseline.
pub fn descends(text: &str) -> bool {
    text.chars().any(|c| {
        matches!(
            c,
            'g' | 'j'
                | 'p'
                | 'q'
                | 'y'
                | 'Q'
                | ','
                | ';'
                | '('
                | ')'
                | '['
                | ']'
                | '{'
                | '}'
                | '_'
                | '/'
                | '|'
                | '@'
                | '$'
                | 'ç'
                | 'þ'
                | 'ÿ'
                | 'ý'
                | 'µ'
                | '§'
                | '¶'
        )
    })
}

/// The text broken at spaces into lines no wider than `limit` mm; a longer word is broken itself.
pub fn wrap(text: &str, height: f64, bold: bool, limit: f64) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let candidate = if line.is_empty() { word.to_string() } else { format!("{line} {word}") };
        if width(&candidate, height, bold) <= limit {
            line = candidate;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        for c in word.chars() {
            if !line.is_empty() && width(&format!("{line}{c}"), height, bold) > limit {
                lines.push(std::mem::take(&mut line));
            }
            line.push(c);
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

//! Characters that would play tricks on a terminal, made visible.

use std::borrow::Cow;

/// True for a control character other than tab and newline, and for one that turns the direction of
/// text or joins it unseen (Unicode Bidirectional Algorithm, UAX #9: the explicit formatting characters;
/// besides them the marks, joiners and the byte order mark).
pub fn is_hidden(c: char) -> bool {
    match c {
        '\t' | '\n' => false,
        '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{2069}' => true,
        '\u{061C}' | '\u{FEFF}' | '\u{2028}' | '\u{2029}' => true,
        c => c.is_control(),
    }
}

/// How a hidden character is shown: `<U+202E>`.
pub fn shown(c: char) -> String {
    format!("<U+{:04X}>", c as u32)
}

/// The text with every hidden character shown by its number.
pub fn visible(text: &str) -> Cow<'_, str> {
    if !text.chars().any(is_hidden) {
        return Cow::Borrowed(text);
    }
    let mut out = String::with_capacity(text.len() + 16);
    for c in text.chars() {
        if is_hidden(c) {
            out.push_str(&shown(c));
        } else {
            out.push(c);
        }
    }
    Cow::Owned(out)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hidden_characters_are_shown() {
        assert_eq!(visible("a\u{202E}b\u{1b}[31m\0"), "a<U+202E>b<U+001B>[31m<U+0000>");
        assert_eq!(visible("720 × 560\t\n"), "720 × 560\t\n");
    }
}

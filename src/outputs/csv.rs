//! Comma-separated text (RFC 4180), safe to open in a spreadsheet.

/// The rows as text with CRLF line ends, the first row being the headings.
pub fn write(rows: impl IntoIterator<Item = Vec<String>>) -> String {
    let mut writer = ::csv::WriterBuilder::new()
        .terminator(::csv::Terminator::CRLF)
        .flexible(true)
        .from_writer(Vec::new());
    for row in rows {
        // Writing to memory cannot fail.
        let _ = writer.write_record(row.iter().map(|cell| guard(cell)));
    }
    let bytes = writer.into_inner().unwrap_or_default();
    String::from_utf8(bytes).unwrap_or_default()
}

/// A cell that a spreadsheet would take for a formula gets an apostrophe before it (CSV injection,
/// OWASP). Figures here are never negative.
fn guard(cell: &str) -> String {
    match cell.chars().next() {
        Some('=' | '+' | '-' | '@' | '\t' | '\r') => format!("'{cell}"),
        _ => cell.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_guarded_and_lines_end_with_crlf() {
        let text = write([vec!["a".into(), "=1+1".into()], vec!["x, \"y\"".into(), "@z".into()]]);
        assert_eq!(text, "a,'=1+1\r\n\"x, \"\"y\"\"\",'@z\r\n");
    }
}

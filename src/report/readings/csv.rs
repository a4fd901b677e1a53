//! Readings as comma-separated values (RFC 4180).

use super::{COLUMNS, CellValue, rows};
use crate::diagnostic::clean;
use crate::report::ReportSubject;

/// Writes the readings as a table: a line of names, then a line each; numbers in base units.
///
/// A text that a spreadsheet would take for a formula gets an apostrophe before it, which spreadsheets take for "this is
/// text".
#[must_use]
pub fn csv(subject: &ReportSubject<'_>) -> String {
    let mut table = line(COLUMNS.iter().map(|name| (*name).to_owned()));
    for row in rows(subject) {
        table.push_str(&line(row.iter().map(field)));
    }
    table
}

fn line(fields: impl Iterator<Item = String>) -> String {
    fields.collect::<Vec<_>>().join(",") + "\r\n"
}

fn field(value: &CellValue) -> String {
    match value {
        CellValue::Number(number) => number.clone(),
        CellValue::Time(at) => at.to_rfc3339(),
        CellValue::Nothing => String::new(),
        CellValue::Text(text) => quoted(&guarded(text)),
    }
}

/// Keeps a text from being taken for a formula.
fn guarded(text: &str) -> String {
    let is_formula =
        text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']);
    let text = clean(text);
    if is_formula { format!("'{text}") } else { text }
}

fn quoted(text: &str) -> String {
    if text.contains([',', '"', '\r', '\n']) || text.starts_with(' ') || text.ends_with(' ') {
        format!("\"{}\"", text.replace('"', "\"\""))
    } else {
        text.to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_text_is_a_formula_and_a_number_stays_one() {
        for text in ["=1+1", "+1", "-1 V", "@SUM(A1)", "\t=1", "\r=1", "＝1"] {
            assert!(
                field(&CellValue::text(text)).trim_start_matches('"').starts_with('\''),
                "{text:?}"
            );
        }
        assert_eq!(field(&CellValue::Number("-0.5".to_owned())), "-0.5");
        assert_eq!(field(&CellValue::text("1 - 2")), "1 - 2");
    }

    #[test]
    fn quotes_and_commas_are_enclosed() {
        assert_eq!(field(&CellValue::text("a \"b\", c")), "\"a \"\"b\"\", c\"");
        assert_eq!(field(&CellValue::text("two\r\nlines")), "two\\r\\nlines");
    }
}

//! Readings as JSON Lines: one object a line, with the columns of the table as its members.

use serde_json::{Map, Number};

use super::{COLUMNS, CellValue, rows};
use crate::diagnostic::clean_json;
use crate::report::ReportSubject;

/// Writes the readings, one JSON object a line; what has no value is `null`.
///
/// # Errors
/// Never in practice: only if an object could not be put into JSON.
pub fn json_lines(subject: &ReportSubject<'_>) -> Result<String, serde_json::Error> {
    let mut lines = String::new();
    for row in rows(subject) {
        let members =
            COLUMNS.iter().zip(&row).map(|(name, value)| ((*name).to_owned(), json(value)));
        let object: Map<_, _> = members.collect();
        lines.push_str(&clean_json(&serde_json::to_string(&object)?));
        lines.push('\n');
    }
    Ok(lines)
}

fn json(value: &CellValue) -> serde_json::Value {
    match value {
        CellValue::Text(text) => text.clone().into(),
        CellValue::Number(number) => {
            let number = number.parse().ok().and_then(Number::from_f64);
            number.map_or(serde_json::Value::Null, serde_json::Value::Number)
        }
        CellValue::Time(at) => at.to_rfc3339().into(),
        CellValue::Nothing => serde_json::Value::Null,
    }
}

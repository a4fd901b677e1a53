//! Readings as a workbook (ECMA-376), for spreadsheets that would read the points and commas of a CSV by their own habits.
//!
//! A text in it is typed as text, so none is ever a formula.

pub use super::zip::XlsxError;
use super::zip::Zip;
use super::{COLUMNS, Value, rows};
use crate::diagnostic::clean;
use crate::report::Subject;

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";

const CONTENT_TYPES: &str = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>"#;

const PACKAGE: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;

const WORKBOOK: &str = r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="readings" sheetId="1" r:id="rId1"/></sheets></workbook>"#;

const SHEETS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>"#;

/// The most characters of a cell.
const CELL_MAX: usize = 32_767;

/// Writes the readings as a workbook of one sheet; numbers in base units.
///
/// # Errors
/// A table that is too large for a workbook.
pub fn xlsx(subject: &Subject<'_>) -> Result<Vec<u8>, XlsxError> {
    let mut zip = Zip::default();
    for (name, part) in [
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", PACKAGE),
        ("xl/workbook.xml", WORKBOOK),
        ("xl/_rels/workbook.xml.rels", SHEETS),
        ("xl/worksheets/sheet1.xml", &sheet(subject)),
    ] {
        zip.add(name, format!("{HEAD}{part}").as_bytes())?;
    }
    zip.finish()
}

fn sheet(subject: &Subject<'_>) -> String {
    let names = COLUMNS.map(Value::text);
    let mut sheet = String::new();
    sheet.push_str(r#"<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetViews><sheetView workbookViewId="0"><pane ySplit="1" topLeftCell="A2" activePane="bottomLeft" state="frozen"/></sheetView></sheetViews><sheetData>"#);
    for row in std::iter::once(names).chain(rows(subject)) {
        sheet.push_str("<row>");
        row.iter().for_each(|value| cell(&mut sheet, value));
        sheet.push_str("</row>");
    }
    sheet.push_str("</sheetData></worksheet>");
    sheet
}

fn cell(sheet: &mut String, value: &Value) {
    match value {
        Value::Nothing => sheet.push_str("<c/>"),
        Value::Number(number) => sheet.extend(["<c><v>", number, "</v></c>"]),
        Value::Text(text) => {
            sheet.push_str(r#"<c t="inlineStr"><is><t xml:space="preserve">"#);
            for c in clean(text).chars().take(CELL_MAX) {
                match c {
                    '&' => sheet.push_str("&amp;"),
                    '<' => sheet.push_str("&lt;"),
                    '>' => sheet.push_str("&gt;"),
                    // No XML 1.0 text may hold these two.
                    '\u{fffe}' | '\u{ffff}' => sheet.push('\u{fffd}'),
                    c => sheet.push(c),
                }
            }
            sheet.push_str("</t></is></c>");
        }
    }
}

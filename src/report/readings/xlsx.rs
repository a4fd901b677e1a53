//! Readings as a workbook (ECMA-376), for spreadsheets that would read the points and commas of a CSV by their own habits.
//!
//! A text in it is typed as text, so none is ever a formula.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveTime};

pub use super::zip::XlsxError;
use super::zip::Zip;
use super::{COLUMNS, CellValue, rows};
use crate::diagnostic::clean;
use crate::report::ReportSubject;

const HEAD: &str = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";

const CONTENT_TYPES: &str = r#"<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/></Types>"#;

const PACKAGE: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>"#;

const WORKBOOK: &str = r#"<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="readings" sheetId="1" r:id="rId1"/></sheets></workbook>"#;

const SHEETS: &str = r#"<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles" Target="styles.xml"/></Relationships>"#;

/// The styles of cells: plain, and a moment. A sheet has no other way to tell a moment from a number.
const STYLES: &str = r#"<styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><numFmts count="1"><numFmt numFmtId="164" formatCode="yyyy\-mm\-dd\ hh:mm:ss"/></numFmts><fonts count="1"><font/></fonts><fills count="2"><fill><patternFill patternType="none"/></fill><fill><patternFill patternType="gray125"/></fill></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="2"><xf xfId="0"/><xf numFmtId="164" xfId="0" applyNumberFormat="1"/></cellXfs></styleSheet>"#;

const MS_PER_DAY: f64 = 86_400_000.0;

/// The most characters of a cell.
const CELL_MAX: usize = 32_767;

/// Writes the readings as a workbook of one sheet; numbers in base units.
///
/// # Errors
/// A table that is too large for a workbook.
pub fn xlsx(subject: &ReportSubject<'_>) -> Result<Vec<u8>, XlsxError> {
    let mut zip = Zip::default();
    for (name, part) in [
        ("[Content_Types].xml", CONTENT_TYPES),
        ("_rels/.rels", PACKAGE),
        ("xl/workbook.xml", WORKBOOK),
        ("xl/_rels/workbook.xml.rels", SHEETS),
        ("xl/styles.xml", STYLES),
        ("xl/worksheets/sheet1.xml", &sheet(subject)),
    ] {
        zip.add(name, format!("{HEAD}{part}").as_bytes())?;
    }
    zip.finish()
}

fn sheet(subject: &ReportSubject<'_>) -> String {
    let names = COLUMNS.map(CellValue::text);
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

/// A moment as workbooks count it: days since the start of 1899-12-30, on the clock of the bench (ECMA-376-1, 18.17.4.1).
fn days(at: DateTime<FixedOffset>) -> f64 {
    let since = at.naive_local()
        - NaiveDate::from_ymd_opt(1899, 12, 30).unwrap_or_default().and_time(NaiveTime::MIN);
    since.num_milliseconds() as f64 / MS_PER_DAY
}

fn cell(sheet: &mut String, value: &CellValue) {
    match value {
        CellValue::Nothing => sheet.push_str("<c/>"),
        CellValue::Number(number) => sheet.extend(["<c><v>", number, "</v></c>"]),
        CellValue::Time(at) => sheet.push_str(&format!(r#"<c s="1"><v>{}</v></c>"#, days(*at))),
        CellValue::Text(text) => {
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

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn a_time_is_a_date_of_the_bench_and_no_text() {
        // The first day of 2026 is day 46,023 of a workbook: 126 years of 365 days, 31 leap days, and day 2 for 1900-01-01.
        let at = "2026-01-01T18:00:00+01:00".parse().unwrap();
        let mut sheet = String::new();
        cell(&mut sheet, &CellValue::Time(at));
        assert_eq!(sheet, r#"<c s="1"><v>46023.75</v></c>"#);
    }
}

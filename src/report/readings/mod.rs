//! The judged readings as a table, for spreadsheets and programs: one list of columns, written in three ways.

mod csv;
mod lines;
mod xlsx;
mod zip;

use std::collections::BTreeMap;

use chrono::{DateTime, FixedOffset};

pub use csv::csv;
pub use lines::json_lines;
pub use xlsx::xlsx;

use super::{Judged, ReportSubject, judged, marks};
use crate::quantity::{Decimal, Quantity, Reading, Unit};
use crate::record::{Fact, Key, Run};

/// The names of the columns, in order. Public: programs and spreadsheets lean on them.
const COLUMNS: [&str; 34] = [
    "run",
    "marks",
    "time",
    "by",
    "stage",
    "key",
    "what",
    "attempt",
    "origin",
    "given",
    "stated",
    "value",
    "unit",
    "low",
    "high",
    "expected",
    "window",
    "verdict",
    "rule",
    "expanded_uncertainty",
    "coverage_factor",
    "coverage_level",
    "conformity",
    "false_accept",
    "meter",
    "basis",
    "conceded_by",
    "conceded_because",
    "first_read_by",
    "second_read_by",
    "difference",
    "agree_within",
    "agreed",
    "utc_offset",
];

/// The mark of a reading that was corrected or completed after the run.
const AMENDED: &str = "AMENDED afterwards: see the record";

/// A value in the table.
#[derive(Clone, Debug, PartialEq)]
enum CellValue {
    Text(String),
    /// A number as it is written: exact where the record is.
    Number(String),
    /// On the clock of the bench.
    Time(DateTime<FixedOffset>),
    Nothing,
}

/// A value for each of the columns.
type ReadingRow = [CellValue; COLUMNS.len()];

impl CellValue {
    fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    fn maybe(text: Option<&str>) -> Self {
        text.map_or(Self::Nothing, Self::text)
    }

    fn decimal(number: Decimal) -> Self {
        Self::Number(number.to_string())
    }

    fn base(quantity: Option<Quantity>) -> Self {
        quantity.map_or(Self::Nothing, |quantity| Self::decimal(quantity.value))
    }

    fn float(number: Option<f64>) -> Self {
        number.and_then(Decimal::from_f64).map_or(Self::Nothing, Self::decimal)
    }
}

/// The rows, each with all columns in the same order.
fn rows(subject: &ReportSubject<'_>) -> Vec<ReadingRow> {
    let concessions = concessions(subject.run);
    let marks = marks(subject);
    let readings = judged(subject.run);
    let last: BTreeMap<&Key, u32> =
        readings.iter().map(|judged| (judged.key, judged.attempt)).collect();
    readings
        .iter()
        .map(|judged| {
            // A concession is for the attempt that stands.
            let is_last = last.get(judged.key) == Some(&judged.attempt);
            let conceded = concessions.get(judged.key).copied().filter(|_| is_last);
            let amended = subject.run.is_amended(judged.line).then(|| AMENDED.to_owned());
            let marks: Vec<_> = marks.iter().cloned().chain(amended).collect();
            row(subject, judged, &marks.join("; "), conceded)
        })
        .collect()
}

/// Who conceded the reading of a key, and why.
fn concessions(run: &Run) -> BTreeMap<&Key, (&str, &str)> {
    let conceded = run.facts().filter_map(|fact| match fact {
        Fact::Conceded { key, by, why } => Some((key, (by.as_str(), why.as_str()))),
        _ => None,
    });
    conceded.collect()
}

fn row(
    subject: &ReportSubject<'_>,
    judged: &Judged<'_>,
    marks: &str,
    conceded: Option<(&str, &str)>,
) -> ReadingRow {
    let (bounds, decision) = (judged.bounds, judged.decision);
    let value = match judged.judged() {
        Reading::Number(value) => CellValue::base(Some(value)),
        Reading::OverRange => CellValue::text("over range"),
        Reading::NotANumber => CellValue::text("no number"),
    };
    let (uncertainty, verified) = (decision.uncertainty, judged.verified);
    [
        CellValue::text(&subject.run.opening.run),
        CellValue::text(marks),
        CellValue::Time(judged.at),
        CellValue::text(judged.by),
        CellValue::text(judged.stage),
        CellValue::text(judged.key.as_str()),
        CellValue::text(judged.what),
        CellValue::Number(judged.attempt.to_string()),
        CellValue::text(judged.origin.word()),
        CellValue::text(judged.text),
        CellValue::text(judged.stated()),
        value,
        CellValue::text(Unit::base(judged.unit.dimension()).symbol()),
        CellValue::base(bounds.low),
        CellValue::base(bounds.high),
        CellValue::base(bounds.expected),
        CellValue::text(bounds.describe(Some(judged.unit))),
        CellValue::text(judged.verdict.words()),
        CellValue::text(judged.rule()),
        CellValue::base(uncertainty.map(|uncertainty| uncertainty.expanded)),
        CellValue::float(uncertainty.map(|uncertainty| uncertainty.coverage)),
        CellValue::float(uncertainty.map(|uncertainty| uncertainty.level)),
        CellValue::float(decision.conformity),
        CellValue::float(decision.false_accept),
        CellValue::maybe(decision.meter.as_deref()),
        CellValue::maybe(judged.basis),
        CellValue::maybe(conceded.map(|conceded| conceded.0)),
        CellValue::maybe(conceded.map(|conceded| conceded.1)),
        CellValue::maybe(verified.map(|reading| reading.taken_by)),
        CellValue::maybe(verified.map(|reading| reading.by)),
        CellValue::base(verified.and_then(|reading| reading.difference)),
        CellValue::base(verified.and_then(|reading| reading.within)),
        CellValue::maybe(verified.map(|reading| if reading.agreed { "yes" } else { "no" })),
        CellValue::text(judged.at.format("%:z").to_string()),
    ]
}

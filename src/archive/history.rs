//! One reading over many runs.

use std::sync::Arc;

use rusqlite::types::Value;
use rusqlite::{Connection, Row, params_from_iter};

use super::code::Coded;
use super::error::ArchiveError;
use super::filter::{Filter, SqlCondition};
use super::index::Archive;
use super::records::word;
use super::words::Texts;
use crate::quantity::Unit;
use crate::record::{Mode, Origin, Outcome};
use crate::window::Verdict;

/// What a run holds of one reading: the last that was taken of it, which is the one that stands.
#[derive(Clone, Debug, PartialEq)]
pub struct HistoryPoint {
    /// The record's file.
    pub file: String,
    /// How the run was carried out.
    pub mode: Mode,
    /// The procedure's name.
    pub procedure: String,
    /// How the run ended; none while it isn't closed.
    pub outcome: Option<Outcome>,
    /// When it was read (ms since 1970).
    pub at: i64,
    /// The day on the wall (days of the common era).
    pub day: i32,
    /// The value in base units; infinite when over range, none when the meter had no number.
    pub value: Option<f64>,
    /// The step's unit.
    pub unit: Arc<str>,
    /// The low limit in base units.
    pub low: Option<f64>,
    /// The high limit in base units.
    pub high: Option<f64>,
    /// The verdict.
    pub verdict: Verdict,
    /// Where it came from.
    pub origin: Origin,
    /// What it was measured with, where that is known.
    pub meter: Option<Arc<str>>,
    /// What was measured, in the procedure's words.
    pub what: Arc<str>,
    /// Who was at the bench.
    pub by: Arc<str>,
}

impl HistoryPoint {
    /// The value, where it is a number.
    #[must_use]
    pub fn number(&self) -> Option<f64> {
        self.value.filter(|value| value.is_finite())
    }
}

impl Archive {
    /// Gives what each of the runs that are meant holds of a reading, in the order in which they were started. Void runs
    /// count for nothing, so they are left out.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn history(&self, key: &str, filter: &Filter) -> Result<Vec<HistoryPoint>, ArchiveError> {
        history(&self.connection, key, filter).map_err(self.error())
    }

    /// Tells how many void runs that are meant hold a reading, which [`Archive::history`] leaves out.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn void_runs(&self, key: &str, filter: &Filter) -> Result<usize, ArchiveError> {
        let condition = filter.condition();
        // Void runs are few, so their readings are looked for one by one.
        let sql = format!(
            "SELECT count(*) FROM record WHERE void AND {} AND EXISTS (SELECT 1 FROM reading WHERE key = (SELECT id FROM key \
             WHERE text = ?) AND reading.record = record.id)",
            condition.sql
        );
        let values = condition.values.into_iter().chain([Value::Text(key.to_owned())]);
        let count = self.connection.query_row(&sql, params_from_iter(values), |row| row.get(0));
        let count: i64 = count.map_err(self.error())?;
        Ok(usize::try_from(count).unwrap_or(usize::MAX))
    }

    /// The keys that readings are known by and that hold this text, in the order of the alphabet.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn keys_like(&self, part: &str) -> Result<Vec<String>, ArchiveError> {
        let keys = || -> rusqlite::Result<Vec<String>> {
            let sql = "SELECT text FROM key WHERE instr(lower(text), lower(?1)) > 0 ORDER BY text";
            let mut statement = self.connection.prepare(sql)?;
            let rows = statement.query_map([part], |row| row.get(0))?;
            rows.collect()
        };
        keys().map_err(self.error())
    }
}

/// Finds a unit that all points can be written in; none where they measure different things.
#[must_use]
pub fn common_unit(points: &[HistoryPoint]) -> Option<Unit> {
    let last = points.last()?;
    let unit = Unit::parse(&last.unit).ok()?;
    let fits = |other: &HistoryPoint| {
        let is_same = other.unit == last.unit;
        is_same || Unit::parse(&other.unit).is_ok_and(|other| other.dimension() == unit.dimension())
    };
    points.iter().all(fits).then_some(unit)
}

/// The last of each run stands: readings come in the order of their runs, and within a run as they were taken.
fn history(
    connection: &Connection,
    key: &str,
    filter: &Filter,
) -> rusqlite::Result<Vec<HistoryPoint>> {
    let condition = filter.condition();
    let sql = readings_of(filter, &condition);
    let mut texts = Texts::new(connection)?;
    let mut statement = connection.prepare(&sql)?;
    let values = std::iter::once(Value::Text(key.to_owned())).chain(condition.values);
    let mut rows = statement.query(params_from_iter(values))?;
    let mut points: Vec<(i64, i64, HistoryPoint)> = Vec::new();
    while let Some(row) = rows.next()? {
        let (record, opened) = (row.get(0)?, row.get(5)?);
        if points.last().is_some_and(|last| last.0 == record) {
            points.pop();
        }
        points.push((record, opened, point(row, &mut texts)?));
    }
    points.sort_by(|a, b| (a.1, &a.2.file).cmp(&(b.1, &b.2.file)));
    Ok(points.into_iter().map(|(.., point)| point).collect())
}

/// The question for the readings of one key, which is its first value; those of `condition` follow.
pub(super) fn readings_of(filter: &Filter, condition: &SqlCondition) -> String {
    // The first of the two is gone through, the other looked up: few records, or the readings of a key as they lie.
    let tables = match filter.is_of_equipment() {
        true => "record CROSS JOIN reading",
        false => "reading CROSS JOIN record",
    };
    format!(
        "SELECT record.id, file, mode, procedure, outcome, opened, at, reading.day, value, unit, low, high, verdict, \
         origin, meter, what, by FROM {tables} ON record.id = reading.record WHERE reading.key = \
         (SELECT id FROM key WHERE text = ?) AND NOT void AND {} ORDER BY reading.record, reading.n",
        condition.sql
    )
}

fn point(row: &Row<'_>, texts: &mut Texts<'_>) -> rusqlite::Result<HistoryPoint> {
    let (outcome, meter): (Option<i64>, Option<i64>) = (row.get(4)?, row.get(14)?);
    Ok(HistoryPoint {
        file: row.get(1)?,
        mode: word(row, 2)?,
        procedure: row.get(3)?,
        outcome: outcome.and_then(Outcome::of),
        at: row.get(6)?,
        day: row.get(7)?,
        value: row.get(8)?,
        unit: texts.text(row.get(9)?)?,
        low: row.get(10)?,
        high: row.get(11)?,
        verdict: word(row, 12)?,
        origin: word(row, 13)?,
        meter: meter.map(|meter| texts.text(meter)).transpose()?,
        what: texts.text(row.get(15)?)?,
        by: texts.text(row.get(16)?)?,
    })
}

//! What a bad meter touched.

use std::collections::HashSet;
use std::sync::Arc;

use chrono::{Datelike, NaiveDate};
use rusqlite::{Connection, Row, params};

use super::code::Coded;
use super::error::ArchiveError;
use super::index::Archive;
use super::records::word;
use super::words::Texts;
use crate::record::{Mode, Origin};
use crate::window::Verdict;

/// A reading that was taken with the instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Touched {
    /// The record's file.
    pub file: String,
    /// How the run was carried out.
    pub mode: Mode,
    /// Whether it was declared void: it counts for nothing then, but the meter touched it.
    pub void: bool,
    /// The equipment.
    pub equipment: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// The reading's key.
    pub key: String,
    /// What was measured.
    pub what: Arc<str>,
    /// When (ms since 1970).
    pub at: i64,
    /// The day on the wall (days of the common era).
    pub day: i32,
    /// The value in base units; infinite when over range, none when the meter had no number.
    pub value: Option<f64>,
    /// The step's unit.
    pub unit: Arc<str>,
    /// The verdict.
    pub verdict: Verdict,
    /// Where it came from.
    pub origin: Origin,
    /// The instrument, as the record names it.
    pub meter: Arc<str>,
}

/// What an instrument touched since a day.
#[derive(Clone, Debug, PartialEq)]
pub struct Affected {
    /// The readings, run by run in the order in which those were started, and as they were taken.
    pub readings: Vec<Touched>,
    /// Files of records in which the instrument was used without a judged reading of its own, such as a supply.
    pub used_in: Vec<String>,
    /// How many records since then hold readings for which no meter is named: they may be touched too.
    pub unnamed: i64,
}

impl Archive {
    /// Finds what was measured since a day with instruments whose words hold this text.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn affected(
        &self,
        instrument: &str,
        since: NaiveDate,
        with_rehearsals: bool,
        with_unregistered: bool,
    ) -> Result<Affected, ArchiveError> {
        let since = since.num_days_from_ce();
        let modes = if with_rehearsals { Mode::ALL } else { &[Mode::Real] };
        let mode_max = modes.iter().filter_map(|mode| mode.code()).max();
        affected(&self.connection, instrument, since, mode_max, with_unregistered)
            .map_err(self.error())
    }
}

/// The question for the records since a day in which an instrument was used.
pub(super) const USED_IN: &str = "SELECT file FROM record WHERE last_day >= ?2 AND mode <= ?3 AND (?4 OR fault IS NULL) AND EXISTS (SELECT 1 FROM used \
                                  WHERE used.record = record.id AND instrument IN (SELECT id FROM word WHERE instr(lower(text), lower(?1)) > 0)) \
                                  ORDER BY opened, file";

fn affected(
    connection: &Connection,
    instrument: &str,
    since: i32,
    mode_max: Option<i64>,
    with_unregistered: bool,
) -> rusqlite::Result<Affected> {
    let mut texts = Texts::new(connection)?;
    let mut statement = connection.prepare(
        "SELECT file, mode, equipment, serial, key.text, what, at, reading.day, value, unit, verdict, origin, meter, void \
         FROM reading CROSS JOIN record ON record.id = reading.record CROSS JOIN key ON key.id = reading.key \
         WHERE meter IN (SELECT id FROM word WHERE instr(lower(text), lower(?1)) > 0) AND reading.day >= ?2 \
         AND mode <= ?3 AND (?4 OR fault IS NULL) ORDER BY opened, file, n",
    )?;
    let mut rows = statement.query(params![instrument, since, mode_max, with_unregistered])?;
    let mut readings = Vec::new();
    while let Some(row) = rows.next()? {
        readings.push(touched(row, &mut texts)?);
    }
    let mut statement = connection.prepare(USED_IN)?;
    let used_in = statement
        .query_map(params![instrument, since, mode_max, with_unregistered], |row| row.get(0))?;
    let mut used_in = used_in.collect::<rusqlite::Result<Vec<String>>>()?;
    let read_in: HashSet<_> = readings.iter().map(|touched: &Touched| &touched.file).collect();
    used_in.retain(|file| !read_in.contains(file));
    let unnamed = connection.query_row(
        "SELECT count(*) FROM record WHERE unnamed > 0 AND last_day >= ?1 AND mode <= ?2 AND (?3 OR fault IS NULL)",
        params![since, mode_max, with_unregistered],
        |row| row.get(0),
    )?;
    Ok(Affected { readings, used_in, unnamed })
}

fn touched(row: &Row<'_>, texts: &mut Texts<'_>) -> rusqlite::Result<Touched> {
    Ok(Touched {
        file: row.get(0)?,
        mode: word(row, 1)?,
        void: row.get(13)?,
        equipment: row.get(2)?,
        serial: row.get(3)?,
        key: row.get(4)?,
        what: texts.text(row.get(5)?)?,
        at: row.get(6)?,
        day: row.get(7)?,
        value: row.get(8)?,
        unit: texts.text(row.get(9)?)?,
        verdict: word(row, 10)?,
        origin: word(row, 11)?,
        meter: texts.text(row.get(12)?)?,
    })
}

//! Which records there are.

use rusqlite::{Row, params_from_iter};
use serde::Serialize;

use super::code::Coded;
use super::error::ArchiveError;
use super::filter::Filter;
use super::index::Archive;
use crate::record::{Mode, Outcome};

/// A sound record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Listed {
    /// Its file in the folder of the records.
    pub file: String,
    /// Identity of the run.
    pub run: String,
    /// How the run was carried out.
    pub mode: Mode,
    /// When it was started, with the offset it was written with.
    pub opened_at: String,
    /// Who started it.
    pub operator: String,
    /// What was done, in one line.
    pub title: String,
    /// The procedure's name.
    pub procedure: String,
    /// The procedure's revision.
    pub revision: Option<String>,
    /// The equipment.
    pub equipment: Option<String>,
    /// Its serial number.
    pub serial: Option<String>,
    /// How it ended; none while it isn't closed.
    pub outcome: Option<Outcome>,
    /// Whether the equipment was confirmed safe at its end.
    pub safe: Option<bool>,
    /// Whether it was declared void: it counts for nothing then.
    pub void: bool,
    /// How often a line of it was corrected or completed afterwards.
    pub amendments: i64,
    /// What the register finds wrong with it: it counts in no other answer then, unless that is asked for.
    pub wrong: Option<String>,
    /// How many entries it has.
    pub entries: i64,
    /// Hash of its last line.
    pub head: String,
}

/// A record that doesn't hold together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Damaged {
    /// Its file in the folder of the records.
    pub file: String,
    /// What is wrong with it.
    pub damage: String,
}

impl Archive {
    /// The records that are meant, in the order in which they were started.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn records(&self, filter: &Filter) -> Result<Vec<Listed>, ArchiveError> {
        let mut records = Vec::new();
        self.each_record(filter, |record| records.push(record))?;
        Ok(records)
    }

    /// Shows the records that are meant one by one, in the order in which they were started: of all of a large archive only
    /// one is held at a time.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn each_record(
        &self,
        filter: &Filter,
        mut see: impl FnMut(Listed),
    ) -> Result<(), ArchiveError> {
        let condition = filter.condition();
        let sql = format!(
            "SELECT file, run, mode, opened_at, operator, title, procedure, revision, equipment, serial, outcome, safe, \
             entries, head, void, amendments, fault FROM record WHERE {} ORDER BY opened, file",
            condition.sql
        );
        let mut each = || -> rusqlite::Result<()> {
            let mut statement = self.connection.prepare(&sql)?;
            let rows = statement.query_map(params_from_iter(&condition.values), listed)?;
            for row in rows {
                see(row?);
            }
            Ok(())
        };
        each().map_err(self.error())
    }

    /// Tells how many runs that are not real and would otherwise be meant there are.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn unreal(&self, filter: &Filter) -> Result<usize, ArchiveError> {
        let condition = Filter { with_rehearsals: true, ..filter.clone() }.condition();
        let sql = format!("SELECT count(*) FROM record WHERE mode > 0 AND {}", condition.sql);
        let values = params_from_iter(&condition.values);
        let count: i64 =
            self.connection.query_row(&sql, values, |row| row.get(0)).map_err(self.error())?;
        Ok(usize::try_from(count).unwrap_or(usize::MAX))
    }

    /// The damaged records, which no filter can tell anything about.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn damaged(&self) -> Result<Vec<Damaged>, ArchiveError> {
        let damaged = || -> rusqlite::Result<Vec<Damaged>> {
            let sql = "SELECT file, damage FROM record WHERE damage IS NOT NULL ORDER BY file";
            let mut statement = self.connection.prepare(sql)?;
            let rows = statement
                .query_map([], |row| Ok(Damaged { file: row.get(0)?, damage: row.get(1)? }))?;
            rows.collect()
        };
        damaged().map_err(self.error())
    }
}

fn listed(row: &Row<'_>) -> rusqlite::Result<Listed> {
    let outcome: Option<i64> = row.get(10)?;
    Ok(Listed {
        file: row.get(0)?,
        run: row.get(1)?,
        mode: word(row, 2)?,
        opened_at: row.get(3)?,
        operator: row.get(4)?,
        title: row.get(5)?,
        procedure: row.get(6)?,
        revision: row.get(7)?,
        equipment: row.get(8)?,
        serial: row.get(9)?,
        outcome: outcome.map(|_| word(row, 10)).transpose()?,
        safe: row.get(11)?,
        entries: row.get(12)?,
        head: row.get(13)?,
        void: row.get(14)?,
        amendments: row.get(15)?,
        wrong: row.get(16)?,
    })
}

/// A word that is kept as its number.
pub(super) fn word<T: Coded>(row: &Row<'_>, column: usize) -> rusqlite::Result<T> {
    let code: i64 = row.get(column)?;
    T::of(code).ok_or(rusqlite::Error::IntegralValueOutOfRange(column, code))
}

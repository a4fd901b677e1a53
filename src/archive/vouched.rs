//! What the register of the folder says of the records in the index: which are as registered, and which are gone.

use std::collections::HashSet;
use std::path::Path;

use rusqlite::{Connection, params};
use serde::Serialize;

use super::error::ArchiveError;
use super::index::Archive;
use crate::journal::JournalError;
use crate::journal::register::{Index, NO_REGISTER, Registered, Wrong, compare};

/// A record that is sound by itself and not what the register has of it.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Unvouched {
    /// Its file in the folder of the records.
    pub file: String,
    /// What is wrong with it.
    pub wrong: String,
}

/// What the register says of the records of a folder.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Vouched {
    /// Why it vouches for none: it is missing or damaged.
    pub fault: Option<String>,
    /// The runs it knows whose records are gone.
    pub missing: Vec<String>,
    /// The records that are not as registered; empty where the register vouches for none.
    pub not_as_registered: Vec<Unvouched>,
    /// How many records somebody took over as they were.
    pub taken_over: usize,
}

impl Vouched {
    /// Tells whether records are there that no answer counts unless it is asked to.
    #[must_use]
    pub fn leaves_out(&self) -> bool {
        self.fault.is_some() || !self.not_as_registered.is_empty()
    }
}

impl Archive {
    /// What the register says of the records, as of the last refresh.
    ///
    /// # Errors
    /// When the index can't be read.
    pub fn vouched(&self) -> Result<Vouched, ArchiveError> {
        vouched(&self.connection).map_err(self.error())
    }
}

fn vouched(connection: &Connection) -> rusqlite::Result<Vouched> {
    let texts = |sql: &str| -> rusqlite::Result<Vec<String>> {
        let mut statement = connection.prepare(sql)?;
        let rows = statement.query_map([], |row| row.get(0))?;
        rows.collect()
    };
    let fault = texts("SELECT text FROM register_fault")?.pop();
    let mut statement = connection.prepare(
        "SELECT file, fault FROM record WHERE fault IS NOT NULL AND damage IS NULL ORDER BY file",
    )?;
    let each =
        statement.query_map([], |row| Ok(Unvouched { file: row.get(0)?, wrong: row.get(1)? }))?;
    let none = fault.is_some();
    let not_as_registered = each.take_while(|_| !none).collect::<rusqlite::Result<_>>()?;
    let taken_over: i64 =
        connection
            .query_row("SELECT count(*) FROM record WHERE adopted = 1", [], |row| row.get(0))?;
    Ok(Vouched {
        missing: texts("SELECT run FROM missing ORDER BY run")?,
        taken_over: usize::try_from(taken_over).unwrap_or(usize::MAX),
        fault,
        not_as_registered,
    })
}

/// A record of the index, as far as the register is concerned.
struct RecordRow {
    id: i64,
    file: String,
    entries: usize,
    head: String,
    is_torn: bool,
    was: RegisterVerdict,
}

#[derive(PartialEq, Eq)]
struct RegisterVerdict {
    fault: Option<String>,
    /// Whether no line may follow its registered end.
    is_settled: bool,
    is_adopted: bool,
}

impl RegisterVerdict {
    fn wrong(fault: impl ToString) -> Self {
        Self { fault: Some(fault.to_string()), is_settled: false, is_adopted: false }
    }
}

/// Holds every record of the index to the register as it is now.
pub(super) fn judge(connection: &Connection, folder: &Path) -> rusqlite::Result<()> {
    let (index, rows) = (Index::read(folder), rows(connection)?);
    let fault = match &index {
        Ok(Some(_)) => None,
        Ok(None) => Some(NO_REGISTER.to_owned()).filter(|_| !rows.is_empty()),
        Err(error) => Some(format!("REGISTER DAMAGED: {error}")),
    };
    connection.execute("DELETE FROM register_fault", [])?;
    connection.execute("DELETE FROM missing", [])?;
    if let Some(fault) = fault {
        connection.execute("INSERT INTO register_fault VALUES (?1)", [&fault])?;
    }
    let index = index.ok().flatten();
    let mut update = connection
        .prepare("UPDATE record SET fault = ?2, settled = ?3, adopted = ?4 WHERE id = ?1")?;
    let mut there = HashSet::new();
    for row in rows {
        let run = row.file.strip_suffix(".jsonl").unwrap_or(&row.file).to_owned();
        let now = match index.as_ref().map(|index| index.run(&run)) {
            None => RegisterVerdict::wrong("the register vouches for no record"),
            Some(None) => RegisterVerdict::wrong(Wrong::Unregistered),
            Some(Some(registered)) => judged(&row, registered, folder),
        };
        if now != row.was {
            update.execute(params![row.id, now.fault, now.is_settled, now.is_adopted])?;
        }
        there.insert(run);
    }
    let mut add = connection.prepare("INSERT INTO missing VALUES (?1)")?;
    let known = index.iter().flat_map(Index::runs).map(|(run, _)| run);
    for run in known.filter(|run| !there.contains(*run)) {
        add.execute([run])?;
    }
    Ok(())
}

fn rows(connection: &Connection) -> rusqlite::Result<Vec<RecordRow>> {
    let mut statement = connection
        .prepare("SELECT id, file, entries, head, torn, fault, settled, adopted FROM record")?;
    let rows = statement.query_map([], |row| {
        let (entries, head): (i64, Option<String>) = (row.get(2)?, row.get(3)?);
        Ok(RecordRow {
            id: row.get(0)?,
            file: row.get(1)?,
            entries: usize::try_from(entries).unwrap_or(0),
            head: head.unwrap_or_default(),
            is_torn: row.get(4)?,
            was: RegisterVerdict {
                fault: row.get(5)?,
                is_settled: row.get(6)?,
                is_adopted: row.get(7)?,
            },
        })
    })?;
    rows.collect()
}

/// One record against what is registered of it.
fn judged(row: &RecordRow, registered: &Registered, folder: &Path) -> RegisterVerdict {
    let is_at_end = |lines: usize, head: &str| lines == row.entries && head == row.head;
    let end = registered.ends.last().filter(|end| is_at_end(end.lines, &end.head));
    // Its last hash vouches for every line above, so nothing has to be read again.
    let is_known = !registered.is_open && !row.is_torn && end.is_some_and(|end| end.torn.is_none());
    let wrong = if is_known { Ok(None) } else { looked_at(&folder.join(&row.file), registered) };
    let is_adopted = registered.is_adopted();
    match wrong {
        Ok(None) => RegisterVerdict { fault: None, is_settled: !registered.is_open, is_adopted },
        Ok(Some(wrong)) => RegisterVerdict { is_adopted, ..RegisterVerdict::wrong(wrong) },
        Err(error) => RegisterVerdict { is_adopted, ..RegisterVerdict::wrong(error) },
    }
}

fn looked_at(path: &Path, registered: &Registered) -> Result<Option<Wrong>, JournalError> {
    Ok(compare(path, Some(registered), |_| {})?.wrong)
}

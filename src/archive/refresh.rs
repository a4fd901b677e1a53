//! Bringing the index to what the journals are now: only what is new or changed is read, what is gone is taken out.

use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::mpsc::sync_channel;
use std::thread;

use chrono::Datelike;
use rusqlite::{Connection, Statement, params};

use super::code::Coded;
use super::digest::{SoundSummary, Summary, SummaryRow};
use super::error::ArchiveError;
use super::index::Archive;
use super::instruments::BenchFiles;
use super::look::{self, FolderState, Thoroughness};
use super::stamp::Stamp;
use super::vouched::judge;
use super::words::Numbering;
use crate::journal;

/// Digests that wait to be written, at most; a reader that is ahead waits too, so memory stays small.
const WAITING_MAX: usize = 64;

/// What bringing the index up to date had to do.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Refreshed {
    /// Records that are as they were.
    pub unchanged: usize,
    /// Records that were read, as they were new or changed.
    pub read: usize,
    /// Entries in those.
    pub entries: usize,
    /// Records that are gone.
    pub gone: usize,
}

/// How the folder differs from the index.
struct FolderChanges {
    unchanged: usize,
    to_read: Vec<(PathBuf, String, Stamp)>,
    /// Rows of records that are gone or are read again.
    outdated: Vec<i64>,
    gone: usize,
}

impl Archive {
    /// Brings the index up to date with the journals and the register.
    ///
    /// # Errors
    /// When the folder can't be listed or the index can't be written.
    pub fn refresh(&mut self, look: Thoroughness) -> Result<Refreshed, ArchiveError> {
        let error = self.error();
        if look == Thoroughness::Quick
            && let Some(unchanged) =
                look::still_stands(&self.connection, &self.folder).map_err(&error)?
        {
            return Ok(Refreshed { unchanged, ..Refreshed::default() });
        }
        // Another program may bring it up to date at this moment: wait for it, then look.
        self.connection.execute_batch("BEGIN IMMEDIATE").map_err(&error)?;
        // Before the files are listed: what changes meanwhile is seen the next time.
        let seen = FolderState::now(&self.folder);
        let done =
            self.difference().and_then(|difference| self.write(difference, &seen).map_err(&error));
        let end = if done.is_ok() { "COMMIT" } else { "ROLLBACK" };
        self.connection.execute_batch(end).map_err(&error)?;
        done
    }

    /// Reads what differs, and holds the records to the register where either of them changed.
    fn write(&self, difference: FolderChanges, seen: &FolderState) -> rusqlite::Result<Refreshed> {
        let connection = &self.connection;
        let last = look::last(connection)?;
        let done = write(connection, difference)?;
        let is_as_judged = last.is_some_and(|(last, _)| last.register == seen.register);
        if done.read > 0 || done.gone > 0 || !is_as_judged {
            judge(connection, &self.folder)?;
        }
        look::note(connection, seen, done.unchanged + done.read)?;
        Ok(done)
    }

    fn difference(&self) -> Result<FolderChanges, ArchiveError> {
        let mut known = self.known().map_err(self.error())?;
        let mut difference =
            FolderChanges { unchanged: 0, to_read: Vec::new(), outdated: Vec::new(), gone: 0 };
        let journals = if self.folder.exists() { journal::list(&self.folder)? } else { Vec::new() };
        for path in journals {
            // One that vanished since it was listed is gone.
            let Some(stamp) = Stamp::at(&path) else { continue };
            let file = file_name(&path);
            match known.remove(&file) {
                Some((_, same)) if same == stamp => difference.unchanged += 1,
                other => {
                    difference.outdated.extend(other.map(|(id, _)| id));
                    difference.to_read.push((path, file, stamp));
                }
            }
        }
        difference.gone = known.len();
        difference.outdated.extend(known.into_values().map(|(id, _)| id));
        Ok(difference)
    }

    fn known(&self) -> rusqlite::Result<HashMap<String, (i64, Stamp)>> {
        let mut statement =
            self.connection.prepare("SELECT file, id, bytes, modified, changed FROM record")?;
        let rows = statement.query_map([], |row| {
            let stamp = Stamp { bytes: row.get(2)?, modified: row.get(3)?, changed: row.get(4)? };
            Ok((row.get(0)?, (row.get(1)?, stamp)))
        })?;
        rows.collect()
    }
}

/// The name of a journal; bytes that are no text are escaped, so that no two names become one.
fn file_name(path: &Path) -> String {
    let name = path.file_name().unwrap_or_default();
    name.to_str().map_or_else(|| name.as_encoded_bytes().escape_ascii().to_string(), str::to_owned)
}

/// Takes out what is outdated and reads what is to be read, on every core, while one thread writes.
fn write(connection: &Connection, difference: FolderChanges) -> rusqlite::Result<Refreshed> {
    for id in &difference.outdated {
        take_out(connection, *id)?;
    }
    let (next, benches) = (AtomicUsize::new(0), BenchFiles::default());
    let files = &difference.to_read;
    let readers = thread::available_parallelism().map_or(1, usize::from).min(files.len());
    let (sender, receiver) = sync_channel(WAITING_MAX);
    thread::scope(|scope| {
        for _ in 0..readers {
            let (sender, next, benches) = (sender.clone(), &next, &benches);
            scope.spawn(move || {
                while let Some(file) = files.get(next.fetch_add(1, Ordering::Relaxed)) {
                    // Nobody listens any more once writing failed.
                    if sender.send((file, Summary::read(&file.0, benches))).is_err() {
                        break;
                    }
                }
            });
        }
        drop(sender);
        let mut writer = Writer::new(connection)?;
        let mut refreshed = Refreshed {
            unchanged: difference.unchanged,
            gone: difference.gone,
            ..Refreshed::default()
        };
        for ((_, file, stamp), digest) in receiver {
            refreshed.entries += writer.add(file, *stamp, &digest)?;
            refreshed.read += 1;
        }
        Ok(refreshed)
    })
}

fn take_out(connection: &Connection, id: i64) -> rusqlite::Result<()> {
    for statement in [
        "DELETE FROM record WHERE id = ?1",
        "DELETE FROM person WHERE record = ?1",
        "DELETE FROM used WHERE record = ?1",
        // Naming every key lets the order of the table be used.
        "DELETE FROM reading WHERE key IN (SELECT id FROM key) AND record = ?1",
    ] {
        connection.execute(statement, [id])?;
    }
    Ok(())
}

/// The statements that add a record.
struct Writer<'a> {
    record: Statement<'a>,
    damaged: Statement<'a>,
    person: Statement<'a>,
    used: Statement<'a>,
    reading: Statement<'a>,
    words: Numbering<'a>,
    keys: Numbering<'a>,
}

impl<'a> Writer<'a> {
    fn new(connection: &'a Connection) -> rusqlite::Result<Self> {
        Ok(Self {
            record: connection.prepare(
                "INSERT INTO record (file, bytes, modified, changed, head, entries, damage, run, mode, opened, \
                 opened_at, day, operator, title, procedure, revision, equipment, serial, outcome, safe, last_day, unnamed, void, \
                 amendments, torn) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16, ?17, ?18, ?19, \
                 ?20, ?21, ?22, ?23, ?24, ?25) RETURNING id",
            )?,
            damaged: connection.prepare(
                "INSERT INTO record (file, bytes, modified, changed, entries, damage) VALUES (?1, ?2, ?3, ?4, 0, ?5)",
            )?,
            person: connection.prepare("INSERT INTO person VALUES (?1, ?2)")?,
            used: connection.prepare("INSERT INTO used VALUES (?1, ?2)")?,
            reading: connection.prepare(
                "INSERT INTO reading VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15, ?16)",
            )?,
            words: Numbering::of_words(connection)?,
            keys: Numbering::of_keys(connection)?,
        })
    }

    /// Adds a record and gives the number of its entries.
    fn add(&mut self, file: &str, stamp: Stamp, digest: &Summary) -> rusqlite::Result<usize> {
        match digest {
            Summary::Sound(sound) => {
                let id = self.add_sound(file, stamp, sound)?;
                for (n, reading) in (1_i64..).zip(&sound.readings) {
                    self.add_reading(id, n, reading)?;
                }
                Ok(sound.entries)
            }
            Summary::Damaged(damage) => {
                let Stamp { bytes, modified, changed } = stamp;
                self.damaged.execute(params![file, bytes, modified, changed, damage])?;
                Ok(0)
            }
        }
    }

    fn add_sound(
        &mut self,
        file: &str,
        stamp: Stamp,
        sound: &SoundSummary,
    ) -> rusqlite::Result<i64> {
        let opening = &sound.opening;
        let (procedure, revision) = procedure(&opening.title);
        let (equipment, serial) = equipment(opening.equipment_name.as_deref());
        let id: i64 = self.record.query_row(
            params![
                file,
                stamp.bytes,
                stamp.modified,
                stamp.changed,
                sound.head,
                i64::try_from(sound.entries).unwrap_or(i64::MAX),
                None::<String>,
                opening.run,
                opening.mode.code(),
                sound.opened.timestamp_millis(),
                sound.opened.to_rfc3339(),
                sound.opened.num_days_from_ce(),
                opening.operator,
                opening.title,
                procedure,
                revision,
                equipment,
                serial,
                sound.closed.and_then(|closed| closed.outcome.code()),
                sound.closed.map(|closed| closed.safe),
                sound.last_day,
                i64::try_from(sound.unnamed()).unwrap_or(i64::MAX),
                sound.is_void,
                sound.amendments,
                sound.is_torn,
            ],
            |row| row.get(0),
        )?;
        for person in &sound.people {
            self.person.execute([id, self.words.number(person)?])?;
        }
        for instrument in &sound.instruments {
            self.used.execute([id, self.words.number(instrument)?])?;
        }
        Ok(id)
    }

    fn add_reading(&mut self, record: i64, n: i64, row: &SummaryRow) -> rusqlite::Result<()> {
        let meter = row.meter.as_deref().map(|meter| self.words.number(meter)).transpose()?;
        self.reading.execute(params![
            self.keys.number(&row.key)?,
            record,
            n,
            row.at,
            row.day,
            row.value,
            self.words.number(&row.unit)?,
            row.low,
            row.high,
            row.expected,
            row.open_ok,
            row.verdict.code(),
            row.origin.code(),
            meter,
            self.words.number(&row.what)?,
            self.words.number(&row.by)?,
        ])?;
        Ok(())
    }
}

/// The procedure's name and revision from a title: `Words (name, revision 3)`. The whole title where it isn't written so.
fn procedure(title: &str) -> (&str, Option<&str>) {
    let within = title.strip_suffix(')').and_then(|rest| rest.rsplit_once(" ("));
    match within.and_then(|(_, inner)| inner.split_once(", revision ")) {
        Some((name, revision)) => (name, Some(revision)),
        None => (title, None),
    }
}

/// The equipment and its serial number from `Words, serial 17`.
fn equipment(name: Option<&str>) -> (Option<&str>, Option<&str>) {
    match name.and_then(|name| name.rsplit_once(", serial ")) {
        Some((equipment, serial)) => (Some(equipment), Some(serial)),
        None => (name, None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_come_out_of_the_words_of_an_opening() {
        let title = "First power (class AB) of a lamp (lantern, revision 3)";
        assert_eq!(procedure(title), ("lantern", Some("3")));
        assert_eq!(procedure("A run (invented)"), ("A run (invented)", None));
        let name = "Lamp, serial plate missing, serial 17";
        assert_eq!(equipment(Some(name)), (Some("Lamp, serial plate missing"), Some("17")));
        assert_eq!(equipment(Some("Lamp")), (Some("Lamp"), None));
        assert_eq!(equipment(None), (None, None));
    }
}

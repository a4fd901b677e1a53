//! Whether anything can have changed since the folder was last looked through file by file. Looking at each of a hundred
//! thousand files takes half a second of processor time; the folder, the register and the few records that may still grow
//! tell nearly as much.

use std::path::Path;
use std::time::{Duration, SystemTime};

use rusqlite::{Connection, OptionalExtension, params};

use super::stamp::Stamp;
use crate::journal::register::REGISTER;

/// How thoroughly the folder is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thoroughness {
    /// At the folder, the register and the records that may still grow; at every file only if one of those changed, or
    /// none was looked at for a day.
    Quick,
    /// At every file.
    Every,
}

/// How long a look at every file stands.
const STANDS: Duration = Duration::from_secs(24 * 60 * 60);

/// A folder that changed less than this before it was looked at may have changed again within the same tick of its clock.
/// The coarsest clock of a usual file system ticks every two seconds (FAT).
const TICK: Duration = Duration::from_secs(2);

/// The folder and its register at one moment, before the files are listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct FolderState {
    at: i64,
    folder: Option<Stamp>,
    /// Nothing where there is no register.
    pub(super) register: Option<Stamp>,
}

impl FolderState {
    pub(super) fn now(folder: &Path) -> Self {
        let stamp = |path: &Path| path.metadata().ok().map(|found| Stamp::of(&found));
        let now = SystemTime::now();
        let at_rest = |path: &Path| {
            let changed = path.metadata().and_then(|found| found.modified());
            changed.is_ok_and(|changed| now.duration_since(changed).is_ok_and(|age| age > TICK))
        };
        Self {
            at: milliseconds(now),
            folder: stamp(folder).filter(|_| at_rest(folder)),
            register: stamp(&folder.join(REGISTER)),
        }
    }
}

fn milliseconds(time: SystemTime) -> i64 {
    let since = time.duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default();
    i64::try_from(since.as_millis()).unwrap_or(i64::MAX)
}

/// What was noted at the last look at every file, and how many records there were.
pub(super) fn last(connection: &Connection) -> rusqlite::Result<Option<(FolderState, usize)>> {
    let sql = "SELECT at, folder_bytes, folder_modified, folder_changed, register_bytes, register_modified, \
               register_changed, records FROM look";
    let row = connection.query_row(sql, [], |row| {
        let stamp = |from: usize| -> rusqlite::Result<Option<Stamp>> {
            let bytes: Option<i64> = row.get(from)?;
            let Some(bytes) = bytes else { return Ok(None) };
            Ok(Some(Stamp { bytes, modified: row.get(from + 1)?, changed: row.get(from + 2)? }))
        };
        let records: i64 = row.get(7)?;
        let seen = FolderState { at: row.get(0)?, folder: stamp(1)?, register: stamp(4)? };
        Ok((seen, usize::try_from(records).unwrap_or(0)))
    });
    row.optional()
}

/// Notes that every file was looked at.
pub(super) fn note(
    connection: &Connection,
    seen: &FolderState,
    records: usize,
) -> rusqlite::Result<()> {
    connection.execute("DELETE FROM look", [])?;
    let [folder, register] = [seen.folder, seen.register];
    connection.execute(
        "INSERT INTO look VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        params![
            seen.at,
            folder.map(|stamp| stamp.bytes),
            folder.map(|stamp| stamp.modified),
            folder.map(|stamp| stamp.changed),
            register.map(|stamp| stamp.bytes),
            register.map(|stamp| stamp.modified),
            register.map(|stamp| stamp.changed),
            i64::try_from(records).unwrap_or(i64::MAX),
        ],
    )?;
    Ok(())
}

/// Tells how many records there are, if none can have changed since the last look at every file.
pub(super) fn still_stands(
    connection: &Connection,
    folder: &Path,
) -> rusqlite::Result<Option<usize>> {
    let (Some((last, records)), now) = (last(connection)?, FolderState::now(folder)) else {
        return Ok(None);
    };
    let age = now.at - last.at;
    // A clock that went back tells no age.
    let is_fresh = age >= 0 && i128::from(age) < STANDS.as_millis().cast_signed();
    let is_same =
        last.folder.is_some() && (last.folder, last.register) == (now.folder, now.register);
    if !is_fresh || !is_same {
        return Ok(None);
    }
    // What the register knows the end of grows no more without the register saying so.
    let sql = "SELECT file, bytes, modified, changed FROM record WHERE settled = 0";
    let mut statement = connection.prepare(sql)?;
    let mut rows = statement.query([])?;
    while let Some(row) = rows.next()? {
        let file: String = row.get(0)?;
        let known = Stamp { bytes: row.get(1)?, modified: row.get(2)?, changed: row.get(3)? };
        if Stamp::at(&folder.join(file)) != Some(known) {
            return Ok(None);
        }
    }
    Ok(Some(records))
}

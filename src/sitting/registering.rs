//! What a sitting tells the register of the folder: that a run begins, is taken up, and where it ended.

use std::path::Path;

use chrono::Local;

use crate::journal::register::{
    Announcement, Change, FirstSeen, NO_REGISTER, REGISTER, RecordEnd, Register, Registration,
    Wrong, compare,
};
use crate::journal::{Displaced, FileDisk, Journal, JournalError};
use crate::record::{Opening, Outcome, PROGRAM};
use crate::shell::fault::Fault;

/// What is said of a record that is not taken up.
const LEFT_ALONE: &str =
    "nothing is added to the record; if the equipment may be live, switch it off first";

/// Has a run registered before its first line is written.
pub(super) fn announced(journal: Journal<FileDisk>, opening: &Opening) -> Journal<FileDisk> {
    journal.announcing(Announcement {
        at: Local::now().fixed_offset(),
        run: opening.run.clone(),
        program: opening.program.clone(),
        mode: opening.mode,
        operator: opening.operator.clone(),
    })
}

/// Registers that a run is taken up, before anything is added to its record; the register has to stay where it is from then on.
/// Gives what it says of the record.
pub(crate) fn taken_up(
    journal: Journal<FileDisk>,
    operator: &str,
) -> Result<(Journal<FileDisk>, Vec<String>), Fault> {
    let (program, operator) = (PROGRAM.to_owned(), operator.to_owned());
    let (mut register, run) = (open(&journal)?, run(journal.path()));
    let change = Change::TakenUp { end: end(&journal), program, operator };
    register.add(registration(run.clone(), change)).map_err(Fault::failed)?;
    let seen =
        register.index().run(&run).map(|registered| registered.seen.iter().map(FirstSeen::words));
    let seen = seen.into_iter().flatten().collect();
    Ok((journal.known_to(&register), seen))
}

/// Registers what was added to a record, in a register that was opened before.
pub(crate) fn added(
    mut register: Register,
    journal: &Journal<FileDisk>,
    change: impl FnOnce(RecordEnd) -> Change,
) -> Result<(), Fault> {
    let change = change(end(journal));
    register.add(registration(run(journal.path()), change)).map_err(Fault::failed)
}

/// Registers where a sitting ended; what keeps it from that is told, with the outcome that says so.
pub(super) fn ended(journal: &Journal<FileDisk>, outcome: Outcome) -> (Outcome, Option<String>) {
    let registered = register_end(journal, outcome);
    match registered {
        // Why nothing was begun is on the screen already.
        Ok(()) => (outcome, None),
        Err(_) if journal.lines() == 0 => (outcome, None),
        Err(error) => {
            let is_finished = outcome == Outcome::Finished;
            let outcome = if is_finished { Outcome::CouldNotRecord } else { outcome };
            let words = format!(
                "\nTHE END OF THIS SITTING IS NOT IN THE REGISTER: {error}\n\
                 The record itself is whole. Once that is mended: wattstep register\n"
            );
            (outcome, Some(words))
        }
    }
}

fn register_end(journal: &Journal<FileDisk>, outcome: Outcome) -> Result<(), JournalError> {
    let (run, path) = (run(journal.path()), folder(journal.path()).join(REGISTER));
    // One that is gone is told, not begun again.
    if !path.exists() {
        return Err(JournalError::RegisterDisplaced { path, displaced: Displaced::Gone });
    }
    let mut register = Register::open(folder(journal.path()))?;
    if register.index().run(&run).is_none() {
        return Err(JournalError::RegisterDisplaced { path, displaced: Displaced::Replaced });
    }
    register.add(registration(run, Change::Ended { end: end(journal), outcome }))
}

/// Opens the register to tell of a record, which has to be what was registered of it.
pub(crate) fn open(journal: &Journal<FileDisk>) -> Result<Register, Fault> {
    let path = journal.path();
    // Opening one that is missing would make it, and then every record of the folder would look slipped in.
    if !folder(path).join(REGISTER).exists() {
        return Err(Fault::damaged(NO_REGISTER).help(LEFT_ALONE));
    }
    let register = Register::open(folder(path)).map_err(refused)?;
    let wrong = match register.index().run(&run(path)) {
        None => Some(Wrong::Unregistered),
        registered => compare(path, registered, |_| {}).map_err(Fault::failed)?.wrong,
    };
    match wrong {
        None => Ok(register),
        Some(wrong) => Err(Fault::damaged(format!("{}: {wrong}", path.display())).help(LEFT_ALONE)),
    }
}

/// What a register that cannot be used means.
pub(crate) fn refused(error: JournalError) -> Fault {
    match error {
        JournalError::Damaged { .. } => Fault::damaged(error).help(
            "nothing is added to a damaged register; another folder can be used with --records DIR",
        ),
        other => Fault::failed(other),
    }
}

/// A line of the register as of now.
pub(crate) fn registration(run: String, what: Change) -> Registration {
    Registration { at: Local::now().fixed_offset(), run, what }
}

/// Where a record ends now.
pub(super) fn end(journal: &Journal<FileDisk>) -> RecordEnd {
    RecordEnd { lines: journal.lines(), head: journal.head().to_owned(), torn: None }
}

/// The run of a record, as its file names it.
pub(crate) fn run(record: &Path) -> String {
    record.file_stem().unwrap_or_default().to_string_lossy().into_owned()
}

/// The folder of a record.
pub(crate) fn folder(record: &Path) -> &Path {
    match record.parent() {
        Some(folder) if !folder.as_os_str().is_empty() => folder,
        _ => Path::new("."),
    }
}

//! Adding to a record away from the bench: what `amend` and `void` share.

use std::path::Path;

use chrono::Local;

use crate::audit::afterwards::Afterwards;
use crate::cli::exit::Exit;
use crate::diagnostic::clean_lines;
use crate::journal::register::{Change, RecordEnd};
use crate::journal::{Journal, JournalError};
use crate::procedure::person_name;
use crate::record::{Entry, Event, Moment, Run};
use crate::report;
use crate::shell::fault::Fault;
use crate::shell::terminal;
use crate::sitting::registering;
use crate::sitting::staff;

/// Adds an event to a record that nobody is writing, and has its new end registered.
pub(super) fn add(
    record: &Path,
    event: Event,
    by: &str,
    change: impl FnOnce(RecordEnd) -> Change,
) -> Result<Exit, Fault> {
    let (mut journal, contents) = Journal::resume::<Entry>(record).map_err(refused)?;
    let mut afterwards = Afterwards::default();
    for (n, entry) in contents.entries.iter().enumerate() {
        afterwards.takes(n + 1, entry).map_err(Fault::damaged)?;
    }
    let line = contents.entries.len() + 1;
    afterwards.may_follow(line, &event, by).map_err(Fault::usage)?;
    person_name(by).map_err(|reason| Fault::usage(reason.to_string()))?;
    staff::may_add(&contents.entries, by, &event)?;
    // Opened before, so that no line stays behind that the register would not take.
    let register = registering::open(&journal)?;
    let at = Moment { wall: Local::now().fixed_offset(), elapsed_ms: 0 };
    let facts = event.afterwards().into_iter().collect();
    let entry = Entry { at, by: by.trim().to_owned(), event, facts };
    journal.append(&entry).map_err(Fault::failed)?;
    registering::added(register, &journal, change)?;
    terminal::out(&amended(&contents.entries, &entry.event));
    let record = record.display();
    terminal::out(&clean_lines(&format!(
        "Line {line} added to {record}; nothing above it was changed\n"
    )));
    Ok(Exit::Finished)
}

/// The line that is amended, so that a wrong number is seen at once; nothing where none is.
fn amended(entries: &[Entry], event: &Event) -> String {
    let Event::Amended { line, .. } = event else { return String::new() };
    let said = Run::fold(entries).map(|run| report::line(&run, *line, terminal::out_style()));
    match said.filter(|said| !said.trim().is_empty()) {
        Some(said) => format!("Amended is line {line}:\n{said}"),
        None => format!("Amended is line {line}, which `wattstep show` does not print\n"),
    }
}

fn refused(error: JournalError) -> Fault {
    match error {
        JournalError::Damaged { .. } => {
            Fault::damaged(error).help("nothing is added to a damaged record")
        }
        other => Fault::failed(other),
    }
}

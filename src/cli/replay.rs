//! Replaying a record: its events into a fresh runner must give the facts that it holds.

use crate::procedure::{
    BenchFile, Equipment, Procedure, read_bench, read_equipment, read_procedure,
};
use crate::record::{Entry, Event};
use crate::runner::{Effect, Runner};

/// A runner brought to where a record ends.
#[derive(Debug)]
pub(super) struct Replayed {
    pub(super) runner: Runner,
    pub(super) procedure: Procedure,
}

/// Feeds the events of a record to a fresh runner and compares what it concludes.
///
/// # Errors
/// The first line that does not follow from those above it.
pub(super) fn replay(entries: &[Entry]) -> Result<Replayed, String> {
    let (procedure, equipment, bench) = frozen(entries)?;
    let mut runner = Runner::new(procedure.clone(), equipment).on_bench(bench);
    for (n, entry) in entries.iter().enumerate() {
        let effects = runner.handle(entry.at, entry.event.clone());
        let concluded = effects.iter().find_map(|effect| match effect {
            Effect::Record(entry) => Some(entry.as_ref()),
            _ => None,
        });
        if concluded != Some(entry) {
            return Err(format!(
                "line {}: what it concludes does not follow from what happened; written by another version, or forged",
                n + 1
            ));
        }
    }
    Ok(Replayed { runner, procedure })
}

/// The files of the run.
type Frozen = (Procedure, Option<Equipment>, Option<BenchFile>);

/// The files as they are frozen in the record.
fn frozen(entries: &[Entry]) -> Result<Frozen, String> {
    let Some(Entry { event: Event::Started(opening), .. }) = entries.first() else {
        return Err("line 1 is not the start of a run".to_owned());
    };
    for file in std::iter::once(&opening.procedure).chain(&opening.equipment).chain(&opening.bench)
    {
        if crate::journal::sha256_hex(file.text.as_bytes()) != file.sha256 {
            return Err(format!("line 1: the copy of {} does not match its hash", file.name));
        }
    }
    let read = |what: &str, error: crate::diagnostic::Finding| {
        format!("line 1: the {what} in it cannot be read: {}", error.message)
    };
    let procedure =
        read_procedure(&opening.procedure.text).map_err(|error| read("procedure", error))?;
    let equipment = opening.equipment.as_ref().map(|file| read_equipment(&file.text)).transpose();
    let equipment = equipment.map_err(|error| read("equipment file", error))?;
    let bench = opening.bench.as_ref().map(|file| read_bench(&file.text)).transpose();
    Ok((procedure, equipment, bench.map_err(|error| read("bench file", error))?))
}

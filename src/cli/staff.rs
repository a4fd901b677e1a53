//! The people file of a run and the file of keys beside it.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::fault::Fault;
use super::file;
use super::verb::check::sound_people;
use crate::procedure::{Day, People, read_people};
use crate::record::{Entry, Event, Provided};
use crate::runner::Runner;

/// The people of a run, as they go into its record.
#[derive(Debug)]
pub(super) struct Staff {
    pub(super) file: Provided,
    pub(super) people: People,
    /// The keys that people sign with, if the people file names them.
    pub(super) signers: Option<Provided>,
    /// The folder that it names key files from.
    pub(super) folder: PathBuf,
}

impl Staff {
    /// Reads a people file in which nothing is wrong, and the file of signers that it names.
    pub(super) fn read(path: &Path) -> Result<Self, Fault> {
        let document = file::read(path)?;
        let people = sound_people(&document)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let signers = people.signers.as_ref().map(|name| file::read(&folder.join(name.as_str())));
        let signers = signers.transpose()?.map(|own| own.file);
        Ok(Self { file: document.file, people, signers, folder: folder.to_owned() })
    }
}

/// Refuses somebody who is not on the staff that a record begins with, where it has one.
pub(super) fn on_staff(record: &[Entry], by: &str) -> Result<(), Fault> {
    let Some(Event::Started(opening)) = record.first().map(|entry| &entry.event) else {
        return Ok(());
    };
    let Some(file) = &opening.people else { return Ok(()) };
    let people = read_people(&file.text).map_err(|finding| Fault::damaged(finding.message))?;
    if people.find(by).is_some() {
        return Ok(());
    }
    let name = by.trim();
    Err(Fault::usage(format!("{name} is not on the staff of the people file in the record"))
        .help("give the name or the identity of somebody who is"))
}

/// Refuses somebody who may not be at this bench today, before anything is begun; gives the name as it stands in the
/// people file.
pub(super) fn admitted(
    runner: &Runner,
    operator: &str,
    newest: DateTime<FixedOffset>,
) -> Result<String, Fault> {
    let today = Day::from(newest.date_naive());
    let refused = |reason| {
        Fault::usage(reason).help("`wattstep people FILE` shows who may do what, and until when")
    };
    runner.admits(operator, today).map_err(refused)?;
    Ok(runner.full_name(operator))
}

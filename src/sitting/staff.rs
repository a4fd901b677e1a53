//! The people file of a run and the file of keys beside it.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use crate::procedure::{Day, People, Permission, Person, is_alike, person_name, read_people};
use crate::record::{Duty, Entry, Event, Provided, Refusal, StaffFiles};
use crate::runner::Runner;
use crate::shell::documents::sound_people;
use crate::shell::fault::Fault;
use crate::shell::file;

/// The people of a run, as they go into its record.
#[derive(Debug)]
pub(crate) struct Staff {
    pub(crate) file: Provided,
    pub(crate) people: People,
    /// The keys that people sign with, if the people file names them.
    pub(crate) signers: Option<Provided>,
    /// The folder that it names key files from.
    pub(super) folder: PathBuf,
}

impl Staff {
    /// Reads a people file in which nothing is wrong, and the file of signers that it names.
    pub(crate) fn read(path: &Path) -> Result<Self, Fault> {
        let document = file::read(path)?;
        let people = sound_people(&document)?;
        let folder = path.parent().unwrap_or(Path::new(""));
        let signers = people.signers.as_ref().map(|name| file::read(&folder.join(name.as_str())));
        let signers = signers.transpose()?.map(|file| file.file);
        Ok(Self { file: document.file, people, signers, folder: folder.to_owned() })
    }

    /// Its files, as they are approved.
    pub(crate) fn files(&self) -> StaffFiles {
        StaffFiles::of(Some(&self.file), self.signers.as_ref())
    }
}

/// Refuses somebody who may not add this to a record afterwards: by the people file that it begins with, where it has one.
pub(crate) fn may_add(record: &[Entry], by: &str, event: &Event) -> Result<(), Fault> {
    let with = match event {
        Event::Voided { with, .. } => with.as_deref(),
        _ => None,
    };
    if let Some(with) = with {
        person_name(with).map_err(|reason| Fault::usage(reason.to_string()))?;
    }
    let Some(Event::Started(opening)) = record.first().map(|entry| &entry.event) else {
        return Ok(());
    };
    let Some(file) = &opening.people else {
        return match with {
            Some(with) => another(by, with),
            None => Ok(()),
        };
    };
    let people = read_people(&file.text).map_err(|finding| Fault::damaged(finding.message))?;
    let person = of_staff(&people, by)?;
    let second = with.map(|with| of_staff(&people, with)).transpose()?;
    if let Some(second) = second {
        another(&person.name, &second.name)?;
    }
    match event {
        Event::Voided { .. } => may_void(&people, person, second),
        _ => Ok(()),
    }
}

fn of_staff<'a>(people: &'a People, name: &str) -> Result<&'a Person, Fault> {
    people.find(name).ok_or_else(|| {
        let name = name.trim();
        Fault::usage(format!("{name} is not on the staff of the people file in the record"))
            .help("give the name or the identity of somebody who is")
    })
}

fn another(by: &str, with: &str) -> Result<(), Fault> {
    if is_alike(by, with) {
        return Err(Fault::usage("nobody agrees with themselves: name another person with --with"));
    }
    Ok(())
}

/// Refuses somebody who may not declare a record void, as things are.
fn may_void(people: &People, person: &Person, second: Option<&Person>) -> Result<(), Fault> {
    let may = |who: &Person| people.by_role(who, Duty::Void);
    let name = &person.name.value;
    match (may(person), second.map(may)) {
        (Permission::Alone, _) | (Permission::Supervised, Some(Permission::Alone)) => Ok(()),
        (Permission::Supervised, None) => {
            let fault = Fault::usage(format!("{name} may not declare a record void alone"));
            Err(fault.help("name with --with NAME somebody who may do it alone and agrees"))
        }
        (Permission::Supervised, Some(_)) => {
            let second = second.map(|person| person.name.as_str()).unwrap_or_default();
            Err(Fault::usage(format!("{second} may not declare a record void alone either")))
        }
        (Permission::No, _) => Err(Fault::usage(format!("{name} may not declare a record void"))),
    }
}

/// Refuses somebody who may not be at this bench today, before anything is begun; gives the name as it stands in the
/// people file.
pub(super) fn admitted(
    runner: &Runner,
    operator: &str,
    newest: DateTime<FixedOffset>,
) -> Result<String, Fault> {
    let today = Day::from(newest.date_naive());
    let refused = |reason: Refusal| {
        Fault::usage(reason.to_string())
            .help("`wattstep people FILE` shows who may do what, and until when")
    };
    runner.may_come(operator, today).map_err(refused)?;
    Ok(runner.full_name(operator))
}

//! What a person chooses at the terminal where no word of the command says it.

use std::path::PathBuf;

use crate::procedure::bundled;
use crate::shell::fault::Fault;
use crate::sitting::person::{NoAnswer, PersonFront};

/// Nothing was chosen, as a signal came or the terminal is gone.
pub(super) fn nothing(none: NoAnswer) -> Fault {
    match none {
        NoAnswer::Signal(signal) => {
            Fault::failed(format!("interrupted ({signal}); nothing was begun"))
        }
        NoAnswer::Gone(error) => Fault::failed(format!("the terminal is gone: {error}")),
    }
}

/// A bundled procedure by its name, or the file of another; none where the person backs out.
pub(super) fn procedure(person: &PersonFront) -> Result<Option<PathBuf>, Fault> {
    let mut items: Vec<String> = bundled::NAMES.iter().map(|name| (*name).to_owned()).collect();
    items.push("another file".to_owned());
    let Some(picked) = person.pick("Procedure?", &items).map_err(nothing)? else {
        return Ok(None);
    };
    Ok(Some(match bundled::NAMES.get(picked) {
        Some(name) => PathBuf::from(name),
        None => PathBuf::from(person.line("Procedure file").map_err(nothing)?.trim()),
    }))
}

//! What the register says of a record: decided here, and shown alike wherever a record is shown.

use std::path::Path;

use super::{CheckedChain, FirstSeen, Index, Registered, Wrong, compare};
use crate::journal::{JournalError, Line};

/// What is said where a folder with records has no register.
pub const NO_REGISTER: &str = "REGISTER MISSING: there is no register beside the record, so nothing shows whether it was cut, \
                               or rewritten as a whole; bring it back from a backup, or, if there never was one, begin \
                               it with `wattstep register --adopt`";

/// What the register of its folder says of a record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum RegisterStanding {
    /// The folder has no register.
    NoRegister,
    /// The register is damaged or can't be read, so it says nothing: why.
    Unreadable(String),
    /// The record is not what is registered, or not registered at all.
    Wrong(Wrong),
    /// It is as registered, with what the register has to add.
    AsRegistered(Registered),
}

impl RegisterStanding {
    /// Compares a record with the register beside it. Every line is shown as it passes.
    ///
    /// # Errors
    /// When the record is there and cannot be read.
    pub fn of(record: &Path, see: impl FnMut(Line<'_>)) -> Result<Self, JournalError> {
        let folder = record.parent().filter(|folder| !folder.as_os_str().is_empty());
        let index = Index::read(folder.unwrap_or(Path::new(".")));
        let run = record.file_stem().unwrap_or_default().to_string_lossy();
        let registered =
            index.as_ref().ok().and_then(Option::as_ref).and_then(|index| index.run(&run));
        let CheckedChain { wrong, .. } = compare(record, registered, see)?;
        Ok(match (&index, registered, wrong) {
            (_, _, Some(wrong @ Wrong::Damaged(_))) => Self::Wrong(wrong),
            (Err(error), ..) => Self::Unreadable(error.to_string()),
            (Ok(None), ..) => Self::NoRegister,
            (Ok(Some(_)), None, _) => Self::Wrong(Wrong::Unregistered),
            (Ok(Some(_)), Some(_), Some(wrong)) => Self::Wrong(wrong),
            (Ok(Some(_)), Some(registered), None) => Self::AsRegistered(registered.clone()),
        })
    }

    /// What keeps the record from being relied on, if anything.
    #[must_use]
    pub fn fault(&self) -> Option<String> {
        match self {
            Self::NoRegister => Some(NO_REGISTER.to_owned()),
            Self::Unreadable(why) => Some(format!("REGISTER DAMAGED: {why}")),
            Self::Wrong(wrong) => Some(wrong.to_string()),
            Self::AsRegistered(_) => None,
        }
    }

    /// What a reader has to know although the record is as registered.
    #[must_use]
    pub fn caveats(&self) -> Vec<String> {
        match self {
            Self::AsRegistered(registered) => registered.caveats(),
            Self::NoRegister | Self::Unreadable(_) | Self::Wrong(_) => Vec::new(),
        }
    }
}

impl Registered {
    /// Tells whether somebody took the whole record over as it was.
    #[must_use]
    pub fn is_adopted(&self) -> bool {
        self.seen.iter().any(|seen| seen.from == 1 && seen.by.is_some())
    }

    /// What a reader of the record has to know.
    #[must_use]
    pub fn caveats(&self) -> Vec<String> {
        const OPEN: &str = "its end is not registered: it is running or was cut short; once it is over, `wattstep \
                            register` writes down what is there";
        let open = self.is_open.then(|| OPEN.to_owned());
        open.into_iter().chain(self.seen.iter().map(FirstSeen::words)).collect()
    }
}

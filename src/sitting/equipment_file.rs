//! The file into which the answers about a piece of equipment go, one after another.

use std::io;
use std::path::{Path, PathBuf};

use crate::procedure::Procedure;
use crate::questionnaire::Questionnaire;
use crate::shell::file;

/// A file that is this sitting's to write.
#[derive(Debug)]
pub(super) struct EquipmentFile {
    pub(super) path: PathBuf,
    /// What stands in it, by what was read or written last.
    stands: Option<String>,
}

/// What is at the place of a file.
#[derive(Debug)]
pub(super) enum AtPlace {
    /// Nothing.
    Free(EquipmentFile),
    /// Questions about the equipment that were left, with their answers.
    Left(EquipmentFile, Box<Questionnaire>),
    /// Something else, and why it can't be taken up.
    Other(EquipmentFile, String),
}

impl EquipmentFile {
    /// Looks what is at a place.
    pub(super) fn at(path: &Path, procedure: &Procedure) -> AtPlace {
        let path = path.to_owned();
        if path.symlink_metadata().is_err() {
            return AtPlace::Free(Self { path, stands: None });
        }
        let text = match file::read(&path) {
            Ok(read) => read.file.text,
            Err(fault) => {
                return AtPlace::Other(Self { path, stands: None }, fault.message().to_owned());
            }
        };
        let file = Self { path, stands: Some(text.clone()) };
        match Questionnaire::taken_up(procedure.clone(), &text) {
            Ok(questions) => AtPlace::Left(file, Box::new(questions)),
            Err(error) => AtPlace::Other(file, error.to_string()),
        }
    }

    /// Whether its text may be replaced: what can't be read is left alone.
    pub(super) fn is_replaceable(&self) -> bool {
        self.stands.is_some()
    }

    /// Writes a text into it.
    ///
    /// # Errors
    /// A file that was made or changed by someone else meanwhile, and whatever the disk says.
    pub(super) fn save(&mut self, text: &str) -> io::Result<()> {
        match &self.stands {
            None => file::create(&self.path, text.as_bytes())?,
            Some(stands) if std::fs::read_to_string(&self.path)? != *stands => {
                let why = "it was changed by someone else meanwhile";
                return Err(io::Error::other(why));
            }
            Some(_) => file::replace(&self.path, text)?,
        }
        self.stands = Some(text.to_owned());
        Ok(())
    }
}

/// What a file for this equipment is called, unless somebody says otherwise.
pub(super) fn usual_name(equipment: &str) -> PathBuf {
    const LONGEST: usize = 40;
    let lower = equipment.to_lowercase();
    let words = lower.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    let mut name = String::new();
    for word in words.filter(|word| *word != "invented") {
        if !name.is_empty() && name.len() + word.len() >= LONGEST {
            break;
        }
        if !name.is_empty() {
            name.push('-');
        }
        name.extend(word.chars().take(LONGEST));
    }
    let name = if name.is_empty() { "equipment".to_owned() } else { name };
    PathBuf::from(format!("{name}.equipment.yaml"))
}

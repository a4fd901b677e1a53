//! Which people file a shop approved last.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::Opening;

/// A people file that somebody approved.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Approved {
    /// SHA-256 of its bytes, in lower-case hexadecimal.
    pub people: String,
    /// SHA-256 of the file of signers that it named, if it named one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signers: Option<String>,
    /// By whom, as typed.
    pub by: String,
    /// When.
    pub at: DateTime<FixedOffset>,
}

/// What the register of a folder says of people files.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Approval {
    /// None was ever approved there.
    Never,
    /// This one was, last.
    Last(Approved),
}

/// How the people file of a run is not the one that was approved.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Unapproved {
    /// SHA-256 of the people file in use, if one is.
    pub people: Option<String>,
    /// SHA-256 of its file of signers, if it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signers: Option<String>,
    /// What was approved last; nothing where nothing ever was.
    pub approved: Option<Approved>,
}

impl Unapproved {
    /// It in one sentence.
    #[must_use]
    pub fn words(&self) -> String {
        let Some(approved) = &self.approved else {
            return "PEOPLE FILE NEVER APPROVED: nobody vouches for who may do what by it"
                .to_owned();
        };
        let by = format!("{} approved on {}", approved.by, approved.at.format("%Y-%m-%d %H:%M"));
        match &self.people {
            None => format!("NO PEOPLE FILE, although there is one that {by}: nobody was checked"),
            Some(people) if *people == approved.people => {
                format!("FILE OF KEYS NOT AS APPROVED: it differs from the one that {by}")
            }
            Some(_) => format!("PEOPLE FILE NOT AS APPROVED: it differs from the one that {by}"),
        }
    }
}

impl Approval {
    /// What was approved, if anything.
    #[must_use]
    pub fn approved(&self) -> Option<&Approved> {
        match self {
            Self::Never => None,
            Self::Last(approved) => Some(approved),
        }
    }
}

impl Approved {
    /// Tells whether files with these hashes are the approved ones.
    #[must_use]
    pub fn is_of(&self, people: Option<&str>, signers: Option<&str>) -> bool {
        people == Some(&self.people) && signers == self.signers.as_deref()
    }
}

impl Opening {
    /// The hashes of the people file and of the file of signers.
    #[must_use]
    pub fn staff_hashes(&self) -> [Option<&str>; 2] {
        [&self.people, &self.signers].map(|own| own.as_ref().map(|file| file.sha256.as_str()))
    }
}

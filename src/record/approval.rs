//! Which people file a shop approved last.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::Provided;

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
        let by = format!("{} approved on {}", approved.by, approved.when());
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
    /// When that was, to the minute.
    #[must_use]
    pub fn when(&self) -> String {
        self.at.format("%Y-%m-%d %H:%M").to_string()
    }
}

/// The files that say who may do what in a run, by their SHA-256.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StaffFiles {
    people: Option<String>,
    signers: Option<String>,
}

impl StaffFiles {
    /// Of a people file and of the file of signers that it names.
    #[must_use]
    pub fn of(people: Option<&Provided>, signers: Option<&Provided>) -> Self {
        let sha256 = |file: &Provided| file.sha256.clone();
        Self { people: people.map(sha256), signers: signers.map(sha256) }
    }

    /// Tells whether they are the approved ones.
    #[must_use]
    pub fn are(&self, approved: &Approved) -> bool {
        self.people.as_ref() == Some(&approved.people) && self.signers == approved.signers
    }

    /// How they are not the ones that were approved last; nothing where they are. Without a people file there is nothing to approve,
    /// as long as none was.
    #[must_use]
    pub fn differ_from(&self, approved: Option<&Approved>) -> Option<Unapproved> {
        let is_right = approved.map_or(self.people.is_none(), |approved| self.are(approved));
        let (people, signers) = (self.people.clone(), self.signers.clone());
        (!is_right).then(|| Unapproved { people, signers, approved: approved.cloned() })
    }
}

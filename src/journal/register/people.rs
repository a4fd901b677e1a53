//! A line of the register about the people of the shop instead of about a run.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use crate::record::{Approved, Provided};

/// Somebody approved a people file: the runs of the folder are compared with it from then on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PeopleApproval {
    /// When.
    pub at: DateTime<FixedOffset>,
    /// The file, with its whole text: it says who may approve the next one.
    pub people: Provided,
    /// SHA-256 of the file of signers that it names, if it names one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub signers: Option<String>,
    /// By whom, as typed.
    pub by: String,
}

impl PeopleApproval {
    /// What was approved, for a record.
    #[must_use]
    pub fn approved(&self) -> Approved {
        let (people, signers) = (self.people.sha256.clone(), self.signers.clone());
        Approved { people, signers, by: self.by.clone(), at: self.at }
    }
}

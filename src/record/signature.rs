//! A person's signature under what they did.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

/// What a person says with a signature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Meaning {
    /// The work up to here was done as recorded.
    Performed,
    /// A hold point is released.
    Released,
    /// Something is accepted as it is.
    Accepted,
    /// The bench is left to another person.
    HandedOver,
    /// The bench is taken over from another person.
    TookOver,
    /// A second person found the same.
    Verified,
    /// A second person was called, who reads again what an instrument sends.
    Called,
    /// A supervisor is present.
    Supervised,
}

impl Meaning {
    /// The meaning in words, for screens, reports and the signed statement.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Performed => "performed",
            Self::Released => "released",
            Self::Accepted => "accepted",
            Self::HandedOver => "handed over",
            Self::TookOver => "took over",
            Self::Verified => "verified",
            Self::Called => "called as second person",
            Self::Supervised => "supervised",
        }
    }
}

/// A person's signature under the answer that carries it. What was signed is not kept: it follows from the record.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct Signature {
    /// The person's identity in the file of allowed signers.
    pub principal: String,
    /// The person's name, as the staff list has it.
    pub name: String,
    /// What the person says with it.
    pub meaning: Meaning,
    /// When it was signed; also the time of its line.
    pub at: DateTime<FixedOffset>,
    /// The signature in OpenSSH's armour (SSHSIG).
    pub armored: String,
}

#[cfg(test)]
impl Signature {
    /// A signature that nobody looks into.
    pub(crate) fn of_a_test(name: &str, meaning: Meaning) -> Self {
        Self {
            principal: format!("{}@test.example", name.replace(' ', ".")),
            name: name.to_owned(),
            meaning,
            at: DateTime::UNIX_EPOCH.fixed_offset(),
            armored: String::new(),
        }
    }
}

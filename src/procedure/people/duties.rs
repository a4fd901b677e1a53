//! What a role lets a person do: the known roles, and the shop's own.

use serde::Deserialize;

use super::{People, Person, identity};
use crate::record::Duty;

/// Whether a person may do something, from least to most.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum Permission {
    /// Not at all.
    No,
    /// With somebody present who may do it alone.
    Supervised,
    /// Alone.
    Alone,
}

impl Permission {
    /// The permission as one word.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::No => "no",
            Self::Supervised => "supervised",
            Self::Alone => "alone",
        }
    }
}

/// What a role allows. What is left out is as the known role of that name has it, and `no` in a role of the shop's own.
#[derive(Clone, Copy, Debug, Default, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Duties {
    /// Letting a source come on.
    pub energise: Option<Permission>,
    /// Proving dead, to go on working.
    pub prove_dead: Option<Permission>,
    /// The steps of a stage that tests safety.
    pub safety_test: Option<Permission>,
    /// Releasing a hold point whose role nobody knows.
    pub release: Option<Permission>,
    /// Accepting a reading or a calibration as it is.
    pub concede: Option<Permission>,
    /// Declaring a record void.
    pub void: Option<Permission>,
    /// Approving the people file itself.
    pub approve: Option<Permission>,
}

impl Duties {
    /// What is written of a duty.
    #[must_use]
    pub fn of(&self, duty: Duty) -> Option<Permission> {
        match duty {
            Duty::Energise => self.energise,
            Duty::ProveDead => self.prove_dead,
            Duty::SafetyTest => self.safety_test,
            Duty::Release => self.release,
            Duty::Concede => self.concede,
            Duty::Void => self.void,
            Duty::Approve => self.approve,
        }
    }
}

/// The roles that every shop has.
pub const KNOWN_ROLES: [&str; 3] = ["apprentice", "technician", "supervisor"];

/// What a known role allows; `None` for any other.
///
/// The apprentice's row is the guideline of Energy Safe Victoria on supervising apprentices: one isolates, confirms
/// isolation, tests and energises under direct supervision only. That an apprentice voids no record alone, and the other two rows, are
/// common practice, no source.
fn known(role: &str, duty: Duty) -> Option<Permission> {
    let is_own_work = !matches!(duty, Duty::Release | Duty::Concede | Duty::Approve);
    match (identity(role).as_str(), is_own_work) {
        ("apprentice", true) => Some(Permission::Supervised),
        ("technician", true) | ("supervisor", _) => Some(Permission::Alone),
        ("apprentice" | "technician", false) => Some(Permission::No),
        _ => None,
    }
}

impl People {
    /// What a role allows; `None` for one that nobody knows.
    #[must_use]
    pub fn role(&self, role: &str, duty: Duty) -> Option<Permission> {
        let wanted = identity(role);
        let listed = self.roles.iter().find(|(name, _)| identity(name) == wanted);
        let permission = listed.map(|(_, duties)| duties.of(duty));
        let known = known(role, duty);
        match permission {
            Some(written) => written.or(known).or(Some(Permission::No)),
            None => known,
        }
    }

    /// Tells whether the role is a known one or the shop's own.
    #[must_use]
    pub fn has_role(&self, role: &str) -> bool {
        self.role(role, Duty::Release).is_some()
    }

    /// What the best of a person's roles allows, competent or not.
    #[must_use]
    pub fn by_role(&self, person: &Person, duty: Duty) -> Permission {
        let roles = person.roles.iter().filter_map(|role| self.role(role, duty));
        roles.max().unwrap_or(Permission::No)
    }
}

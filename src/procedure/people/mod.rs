//! The people of a shop: who they are, what their roles let them do, and for which classes of equipment until when.

mod duties;
mod likeness;
mod name;
mod permit;
#[cfg(test)]
mod tests;

use serde::{Deserialize, Deserializer};

pub use duties::{Duties, KNOWN_ROLES, Permission};
pub(in crate::procedure) use likeness::NameLikeness;
pub use likeness::is_alike;
pub use name::{identity, person_name, written_name};
pub(in crate::procedure) use name::{is_word, short_name};

use super::{At, Day, Ordered};
use crate::record::Part;

/// The people of a shop and their roles.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct People {
    /// Number of the file format: 1.
    pub format: At<u32>,
    /// Which shop, in a few words.
    pub people: At<String>,
    /// The file beside this one that lists the keys people sign with (OpenSSH `allowed_signers`); without one names are
    /// looked up in this file, and nobody signs.
    pub signers: Option<At<String>>,
    /// The shop's own roles, and what is changed of the known ones.
    #[serde(default)]
    pub roles: Ordered<Duties>,
    /// The parts in a run of which one person takes no more than one, and none who works at the bench.
    #[serde(default)]
    pub separate: Vec<At<Part>>,
    /// Whether somebody may work with nobody in reach where a step asks for somebody who is.
    #[serde(default = "allowed")]
    pub may_work_alone: bool,
    /// The people by their identities: the principals of the signers file, where there is one.
    #[serde(deserialize_with = "by_identity")]
    #[cfg_attr(test, schemars(with = "Ordered<Person>"))]
    pub staff: Vec<Person>,
}

/// A person on the staff.
#[derive(Clone, Debug, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(deny_unknown_fields)]
pub struct Person {
    /// The identity: the principal of the signers file, where there is one.
    #[serde(skip)]
    pub id: At<String>,
    /// The name that stands in records.
    pub name: At<String>,
    /// Other names that mean the same person, as a short one.
    #[serde(default)]
    pub aliases: Vec<At<String>>,
    /// The roles; what one of them allows is allowed.
    pub roles: Vec<At<String>>,
    /// The file of the private key, relative to the people file.
    pub key: Option<At<String>>,
    /// The classes of equipment the person is competent for, each with the last day.
    #[serde(default)]
    pub competent: Ordered<At<Day>>,
}

fn allowed() -> bool {
    true
}

fn by_identity<'de, D: Deserializer<'de>>(deserializer: D) -> Result<Vec<Person>, D::Error> {
    let staff = Ordered::<Person>::deserialize(deserializer)?;
    Ok(staff.into_iter().map(|(id, person)| Person { id, ..person }).collect())
}

impl People {
    /// Finds who is meant by a name, an alias or an identity, or else by what looks like one of them. Nobody is where that could be
    /// two people.
    #[must_use]
    pub fn find(&self, name: &str) -> Option<&Person> {
        let wanted = identity(name);
        let is_named = |person: &&Person| person.known_as().any(|at| identity(at) == wanted);
        let named = self.staff.iter().find(is_named).filter(|_| !wanted.is_empty());
        let looks = NameLikeness::of(name);
        let is_meant =
            |person: &&Person| person.known_as().any(|at| NameLikeness::of(at).is_that_of(&looks));
        let mut meant = self.staff.iter().filter(is_meant);
        named.or_else(|| meant.next().filter(|_| meant.next().is_none()))
    }

    /// Tells whether the shop keeps two parts apart.
    #[must_use]
    pub fn separates(&self, one: Part, other: Part) -> bool {
        one != other && self.keeps_apart(one) && self.keeps_apart(other)
    }

    /// Tells whether the shop keeps a part apart from work at the bench, and from the other such parts.
    #[must_use]
    pub fn keeps_apart(&self, part: Part) -> bool {
        self.separate.iter().any(|kept_apart| kept_apart.value == part)
    }
}

impl Person {
    /// What the person is known as: the identity, the name and the aliases.
    pub fn known_as(&self) -> impl Iterator<Item = &At<String>> {
        [&self.id, &self.name].into_iter().chain(&self.aliases)
    }
}

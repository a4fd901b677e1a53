//! What stands behind the names of a record.

use super::Opening;

/// What stands behind the names of a record that bind a person.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Names {
    /// Nobody checked who that is: there is no people file.
    Unchecked,
    /// People of the shop, who did not sign.
    OfStaff,
    /// People of the shop, who sign.
    Signed,
}

impl Names {
    /// What has to be said behind such a name; nothing where it is signed.
    #[must_use]
    pub fn remark(self) -> Option<&'static str> {
        match self {
            Self::Unchecked => Some("name typed, not checked"),
            Self::OfStaff => Some("name typed, not signed"),
            Self::Signed => None,
        }
    }
}

impl Opening {
    /// What stands behind the names of the record.
    #[must_use]
    pub fn names(&self) -> Names {
        match (&self.people, &self.signers) {
            (None, _) => Names::Unchecked,
            (Some(_), None) => Names::OfStaff,
            (Some(_), Some(_)) => Names::Signed,
        }
    }
}

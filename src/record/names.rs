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
    /// From which files a record begins with.
    #[must_use]
    pub fn by(has_people: bool, has_signers: bool) -> Self {
        match (has_people, has_signers) {
            (false, _) => Self::Unchecked,
            (true, false) => Self::OfStaff,
            (true, true) => Self::Signed,
        }
    }

    /// What has to be said of a name that nobody signs with: a witness's, or that of an amendment.
    #[must_use]
    pub fn typed(self) -> &'static str {
        match self {
            Self::Unchecked => "typed, not checked",
            Self::OfStaff | Self::Signed => "typed, not signed",
        }
    }

    /// What has to be said of a name that is signed with where people sign; nothing there.
    #[must_use]
    pub fn remark(self) -> Option<&'static str> {
        (self != Self::Signed).then(|| self.typed())
    }
}

impl Opening {
    /// What stands behind the names of the record.
    #[must_use]
    pub fn names(&self) -> Names {
        Names::by(self.people.is_some(), self.signers.is_some())
    }
}

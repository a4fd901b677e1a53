//! Which rules a run goes by: those of the version that it was begun with, or last taken up again with.
//!
//! A record plays again to what it says, so a rule that differs from before holds from the version that brought it. Since 0.3
//! a ceiling stays as it was when its stage opened, a reading counts only while the stage's source is on, and what is fitted has
//! to be allowed on a source. Since 0.4 a proof of dead stands until something can have put charge there,
//! the wait before the next reading of a watch leads to it without a word,
//! and an outside value that a slip of the fingers would explain is asked for once more.

/// The first version of each set of rules.
const CEILINGS_STAY: [u32; 2] = [0, 3];
const LESS_IS_ASKED: [u32; 2] = [0, 4];

/// The rules that a run goes by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Era {
    /// Those of a version before 0.3.
    pub(super) is_former: bool,
    /// A proof of dead that stands is not made again.
    pub(super) proofs_stand: bool,
    /// A wait between two readings leads to the second by itself.
    pub(super) waits_lead_on: bool,
    /// A slip of the fingers is asked about.
    pub(super) slips_are_doubted: bool,
}

impl Era {
    /// Those of today.
    pub(super) const TODAY: Self =
        Self { is_former: false, proofs_stand: true, waits_lead_on: true, slips_are_doubted: true };

    /// Those of a version. What is no version is taken for one of today.
    pub(super) fn of(program: &str) -> Self {
        let mut numbers = program.split('.').map(|number| number.parse::<u32>().ok());
        let (Some(Some(major)), Some(Some(minor))) = (numbers.next(), numbers.next()) else {
            return Self::TODAY;
        };
        let version = [major, minor];
        let is_less_asked = version >= LESS_IS_ASKED;
        Self {
            is_former: version < CEILINGS_STAY,
            proofs_stand: is_less_asked,
            waits_lead_on: is_less_asked,
            slips_are_doubted: is_less_asked,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Era;

    #[test]
    fn a_version_goes_by_the_rules_it_had() {
        assert!(["0.1.0", "0.2.0", "0.2.9"].into_iter().all(|version| Era::of(version).is_former));
        let later = ["0.3.0", "0.10.1", "1.0.0", "0", ""];
        assert!(later.into_iter().all(|version| !Era::of(version).is_former));
        let before = ["0.2.0", "0.3.0", "0.3.9"];
        assert!(before.into_iter().all(|version| !Era::of(version).proofs_stand));
        let since = ["0.4.0", "0.10.0", "1.0.0", "0", env!("CARGO_PKG_VERSION")];
        assert!(since.into_iter().all(|version| Era::of(version).proofs_stand));
    }
}

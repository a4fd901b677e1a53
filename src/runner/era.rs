//! Which rules a run goes by: those of the version that it was begun with, or last taken up again with.
//!
//! A record plays again to what it says, so a rule that differs from before holds from the version that brought it.

/// The rules that a run goes by, oldest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Era {
    /// Before 0.3.
    Former,
    /// Since 0.3 a ceiling stays as it was when its stage opened, a reading counts only while the stage's source is on, and what
    /// is fitted has to be allowed on a source.
    CeilingsStay,
    /// Since 0.4 a proof of dead stands until something can have put charge there, the wait before the next reading of a watch
    /// leads to it without a word, an outside value that a slip of the fingers would explain is asked for once more, and a fact
    /// may be given with its tolerance.
    ProofsStand,
}

/// The first version of each.
const FIRST: [([u32; 2], Era); 2] = [([0, 4], Era::ProofsStand), ([0, 3], Era::CeilingsStay)];

impl Era {
    /// That of today.
    pub(super) const TODAY: Self = Self::ProofsStand;

    /// That of a version. What is no version is taken for one of today.
    pub(super) fn of(program: &str) -> Self {
        let mut numbers = program.split('.').map(|number| number.parse::<u32>().ok());
        let (Some(Some(major)), Some(Some(minor))) = (numbers.next(), numbers.next()) else {
            return Self::TODAY;
        };
        let begun = FIRST.iter().find(|(first, _)| [major, minor] >= *first);
        begun.map_or(Self::Former, |(_, era)| *era)
    }

    pub(super) fn is_former(self) -> bool {
        self == Self::Former
    }
}

#[cfg(test)]
mod tests {
    use super::Era;

    #[test]
    fn a_version_goes_by_the_rules_it_had() {
        for (versions, era) in [
            (&["0.1.0", "0.2.0", "0.2.9"][..], Era::Former),
            (&["0.3.0", "0.3.9"], Era::CeilingsStay),
            (&["0.4.0", "0.10.1", "1.0.0", "0", "", env!("CARGO_PKG_VERSION")], Era::ProofsStand),
        ] {
            assert!(versions.iter().all(|version| Era::of(version) == era), "{versions:?}");
        }
    }
}

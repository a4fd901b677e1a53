//! Numbers that stand for words in the index. They count within one version of the index and nowhere else.

use crate::record::{Mode, Origin, Outcome};
use crate::window::{Side, Verdict};

/// A word that the index keeps as a number.
pub(super) trait Coded: Copy + PartialEq + 'static {
    /// Every word, each at the place that is its number.
    const ALL: &'static [Self];

    /// Its number; none for a word that this version of the index doesn't know.
    fn code(self) -> Option<i64> {
        let place = Self::ALL.iter().position(|code| *code == self)?;
        i64::try_from(place).ok()
    }

    /// The word of a number.
    fn of(code: i64) -> Option<Self> {
        Self::ALL.get(usize::try_from(code).ok()?).copied()
    }
}

impl Coded for Mode {
    const ALL: &'static [Self] = &[Self::Real, Self::Scripted, Self::Rehearsal];
}

impl Coded for Origin {
    const ALL: &'static [Self] =
        &[Self::Typed, Self::Instrument, Self::Scripted, Self::Simulated, Self::WorkedOut];
}

impl Coded for Verdict {
    const ALL: &'static [Self] = &[
        Self::Inside,
        Self::Outside(Side::Below),
        Self::Outside(Side::Above),
        Self::Outside(Side::OverRange),
        Self::Outside(Side::NoNumber),
        Self::Undecided,
        Self::NotJudged,
        Self::Outside(Side::BelowZero),
        Self::Outside(Side::Absurd),
    ];
}

impl Coded for Outcome {
    const ALL: &'static [Self] = &[
        Self::Finished,
        Self::LeftUnfinished,
        Self::StoppedOnReading,
        Self::CouldNotWorkOut,
        Self::InstrumentLost,
        Self::CouldNotRecord,
    ];
}

//! Where a run and its values come from: people, instruments, files, a simulation.

use serde::{Deserialize, Serialize};

use crate::quantity::{Reading, Unit};

/// How a run is carried out. Anything but `Real` is marked on every screen and in every report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// A person at a bench.
    Real,
    /// Answers from a file: a demonstration or a test.
    Scripted,
    /// A simulated bench.
    Rehearsal,
}

/// Where an answer came from. A report never mixes them up.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Typed by a person.
    Typed,
    /// Sent by an instrument.
    Instrument,
    /// Taken from an answers file.
    Scripted,
    /// Made by a simulation.
    Simulated,
    /// Worked out from other values.
    WorkedOut,
}

impl Mode {
    /// The mark on every screen and report of a run that is not real.
    #[must_use]
    pub fn mark(self) -> Option<&'static str> {
        match self {
            Self::Real => None,
            Self::Scripted => Some("SCRIPTED: answers from a file, not a real run"),
            Self::Rehearsal => Some("REHEARSAL: simulated bench, not a real run"),
        }
    }
}

impl Origin {
    /// Tells whether an instrument sent it, a real or a simulated one: bare numbers in base units, whatever the step's
    /// unit is.
    #[must_use]
    pub fn is_sent(self) -> bool {
        matches!(self, Self::Instrument | Self::Simulated)
    }

    /// What an instrument sent, as a person reads it: in the step's unit. `None` for what people write, which stands as it
    /// is.
    #[must_use]
    pub fn sent_words(self, reading: &Reading, unit: &Unit) -> Option<String> {
        match reading {
            _ if !self.is_sent() => None,
            Reading::Number(value) => Some(value.engineering_exact(Some(unit))),
            Reading::OverRange => Some("OL (over range)".to_owned()),
            Reading::NotANumber => Some("no number".to_owned()),
        }
    }

    /// The origin as one word for a screen or a report.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Typed => "typed",
            Self::Instrument => "instrument",
            Self::Scripted => "scripted",
            Self::Simulated => "simulated",
            Self::WorkedOut => "worked out",
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::*;

    #[test]
    fn what_an_instrument_sends_is_shown_in_the_steps_unit_and_what_people_write_as_it_is() {
        let (base, step) = (Unit::parse("A").unwrap(), Unit::parse("mA").unwrap());
        let sent = Reading::parse("0.0123", &base).unwrap();
        for origin in [Origin::Instrument, Origin::Simulated] {
            assert_eq!(origin.sent_words(&sent, &step).as_deref(), Some("12.3 mA"));
            let over = origin.sent_words(&Reading::OverRange, &step);
            assert_eq!(over.as_deref(), Some("OL (over range)"));
        }
        for origin in [Origin::Typed, Origin::Scripted, Origin::WorkedOut] {
            assert_eq!(origin.sent_words(&sent, &step), None);
        }
    }
}

//! How a run ends, and why it stops.

use serde::{Deserialize, Serialize};

use super::{Key, OutputOn, Reason, Refusal, Source, TripCause, Unworkable, clock_words};

/// How a run ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Every stage held.
    Finished,
    /// Left by the person, by a signal, or for want of an answer; may be resumed.
    LeftUnfinished,
    /// Ended on a reading outside its window.
    StoppedOnReading,
    /// A value the procedure needs could not be worked out.
    CouldNotWorkOut,
    /// An instrument was lost or a protection acted.
    InstrumentLost,
    /// The record could not be written.
    CouldNotRecord,
}

impl Outcome {
    /// The outcome in the words of a screen.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Finished => "finished, every stage held",
            Self::LeftUnfinished => "left unfinished",
            Self::StoppedOnReading => "stopped on a reading",
            Self::CouldNotWorkOut => "stopped: a value could not be worked out",
            Self::InstrumentLost => "stopped: an instrument was lost or tripped",
            Self::CouldNotRecord => "stopped: the record could not be written",
        }
    }
}

/// Why a run stopped.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StopReason {
    /// A reading was outside its window.
    Outside,
    /// A reading was too close to its limit for the meter, and nobody accepted it.
    Undecided,
    /// What was seen is stated as not acceptable.
    Seen,
    /// The person could not do the step as written.
    Declined {
        /// Why.
        reason: Reason,
    },
    /// The person asked to stop.
    Halted {
        /// Why.
        reason: Reason,
    },
    /// A signal, or the terminal went away.
    Interrupted {
        /// The signal's name.
        signal: String,
    },
    /// An instrument was lost.
    InstrumentLost {
        /// Which.
        instrument: String,
    },
    /// A protection acted.
    Tripped {
        /// Why.
        reason: Box<TripCause>,
    },
    /// An entry could not be written.
    RecordFailed {
        /// What the system said.
        error: String,
    },
    /// Nobody confirmed to be there while time passed on live equipment.
    Unattended {
        /// How long nobody did (ms).
        ms: u64,
    },
    /// A formula gave no usable value.
    CouldNotWorkOut {
        /// The value, the step or the stage; none where an earlier record has it in the sentence.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        what: Option<String>,
        /// What was wrong.
        error: Unworkable,
    },
    /// A fact of the equipment file that no value follows from.
    UnusableFact {
        /// Its name in formulas.
        name: String,
        /// Why it was not taken.
        reason: Refusal,
    },
    /// An instrument was found with its output on.
    FoundOn(OutputOn),
    /// The run was taken up again: what happened in between is not known.
    Resumed,
    /// The machine slept, or its clock was set on live equipment: what happened in between is not known.
    ClockUpset {
        /// How long it slept (ms).
        slept_ms: u64,
        /// By how much the clock was set, forward or (negative) back (ms).
        set_ms: i64,
    },
    /// Two people read the same and are further apart than they may be.
    Disagreement,
    /// A reading of an energised stage was due while its source was off.
    SourceOff {
        /// The reading's key.
        key: Key,
    },
    /// Something is fitted, or was about to be, that may not be in while a source is on.
    StillFitted {
        /// What.
        items: Vec<String>,
        /// The source.
        source: Source,
    },
    /// A voltage was read on equipment that was proved dead: it is live, whatever the step's window says.
    FoundLive {
        /// The reading's key.
        key: Key,
    },
}

impl StopReason {
    /// The reason in words, as a sentence.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Self::SourceOff { key } => {
                format!("`{key}` is to be read on a source that is off: it would say nothing")
            }
            Self::StillFitted { items, source } => {
                format!("Not allowed with the {} on: {}", source.words(), items.join(", "))
            }
            Self::FoundLive { key } => {
                format!("`{key}` found a voltage on equipment that was proved dead: it is live")
            }
            Self::Outside => "A reading is outside its window".to_owned(),
            Self::Undecided => "A reading is too close to its limit for the meter".to_owned(),
            Self::Seen => "What was seen is not acceptable".to_owned(),
            Self::Declined { reason } => format!("A step could not be done as written: {reason}"),
            Self::Halted { reason } => format!("Stopped at the bench: {reason}"),
            Self::Interrupted { signal } => format!("Interrupted ({signal})"),
            Self::InstrumentLost { instrument } => {
                format!("An instrument is lost. {instrument}")
            }
            Self::Tripped { reason } => format!("A protection acted: {reason}"),
            Self::RecordFailed { error } => format!("THE RECORD CAN'T BE WRITTEN: {error}"),
            Self::FoundOn(output) => output.words(),
            Self::Unattended { ms } => {
                format!("Nobody was there for {} s while the equipment was live", ms / 1000)
            }
            Self::CouldNotWorkOut { .. } | Self::UnusableFact { .. } => {
                let what = self.not_worked_out().unwrap_or_default();
                format!("A value could not be worked out: {what}")
            }
            Self::Disagreement => "Two people read the same and are too far apart".to_owned(),
            Self::ClockUpset { slept_ms, set_ms } => {
                format!(
                    "{}: what happened in between is not known",
                    clock_words(*slept_ms, *set_ms)
                )
            }
            Self::Resumed => "Taken up again: what happened in between is not known".to_owned(),
        }
    }

    /// Which value could not be worked out, and why; nothing where the run stopped for another reason.
    fn not_worked_out(&self) -> Option<String> {
        if let Self::CouldNotWorkOut { what, error } = self {
            let what = what.as_ref().map(|what| format!("`{what}`: "));
            return Some(format!("{}{error}", what.unwrap_or_default()));
        }
        if let Self::UnusableFact { name, reason } = self {
            return Some(format!("`{name}`: {reason}"));
        }
        None
    }

    /// Puts it as a sentence where an earlier record has one.
    pub(super) fn put_as(&mut self, earlier: &Self) {
        if let Self::CouldNotWorkOut { error: Unworkable::Said(_), .. } = earlier
            && let Some(sentence) = self.not_worked_out()
        {
            *self = Self::CouldNotWorkOut { what: None, error: Unworkable::Said(sentence) };
        }
    }

    /// Forgets the sentence that an earlier record has in the place of a code.
    pub(super) fn forget_sentence(&mut self) {
        if let Self::CouldNotWorkOut { error: Unworkable::Said(sentence), .. } = self {
            sentence.clear();
        }
    }
}

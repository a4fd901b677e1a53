//! What can happen to a run.

use chrono::{DateTime, FixedOffset};
use serde::{Deserialize, Serialize};

use super::{
    AmendedLine, Approval, Diagnosed, Fact, Key, Opening, Origin, OutputOn, Reason, Signature,
    Trace, TripCause, VoidedRecord,
};
use crate::quantity::Quantity;

/// Bytes after the last whole line, left by a write that was cut off.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct TornTail {
    /// How many bytes.
    pub bytes: u64,
    /// SHA-256 of those bytes, in lower-case hexadecimal.
    pub sha256: String,
}

/// What can happen to a run. Time enters only beside an event, in the entry.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Event {
    /// The run began.
    Started(Box<Opening>),
    /// A question was answered with text: a value, a choice, a name.
    Entered {
        /// The question's key.
        key: Key,
        /// The answer exactly as given.
        text: String,
        /// Where it came from.
        origin: Origin,
        /// The signature of the person who answers for it, where one was wanted.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        signature: Option<Box<Signature>>,
    },
    /// An instrument answered a question.
    Measured {
        /// The question's key.
        key: Key,
        /// The reply exactly as sent.
        text: String,
        /// Which instrument.
        instrument: String,
    },
    /// Instruments sampled points while a question stood or time passed.
    Sampled {
        /// The question's key.
        key: Key,
        /// What they sampled.
        traces: Vec<Trace>,
    },
    /// The person confirmed to be there while time passed.
    Present {
        /// The question's key.
        key: Key,
        /// Where it came from.
        origin: Origin,
    },
    /// Nobody confirmed to be there in time.
    Unattended {
        /// The question's key.
        key: Key,
        /// How long nobody did (ms).
        ms: u64,
    },
    /// An output was on that should have been off, when its instrument was reached or later: what it fed until then is not
    /// known. It was told to go off; what became of that is told beside it.
    FoundOn(OutputOn),
    /// An order to switch off was not confirmed.
    OffUnconfirmed {
        /// Which instrument.
        instrument: String,
        /// What was wrong.
        error: String,
        /// Which of its outputs.
        #[serde(default)]
        outputs: Vec<String>,
        /// Whether the instrument says that they are on, as against saying nothing.
        #[serde(default)]
        is_on: bool,
    },
    /// An instrument that had not confirmed off has done so.
    OffConfirmed {
        /// Which instrument.
        instrument: String,
        /// Whether it has only said so: no voltage was measured to be gone.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        by_word: bool,
    },
    /// The person did what was asked, or has read what was shown.
    Acknowledged {
        /// The question's key.
        key: Key,
        /// Where it came from.
        origin: Origin,
    },
    /// The person cannot or will not do what was asked.
    Declined {
        /// The question's key.
        key: Key,
        /// Why.
        reason: Reason,
        /// Where it came from.
        origin: Origin,
    },
    /// Time passed.
    Ticked,
    /// The person wrote something down.
    Noted {
        /// The words.
        text: String,
    },
    /// A file was put beside the record.
    Attached {
        /// The question's key, when a step asked for it.
        key: Option<Key>,
        /// The file's own name.
        name: String,
        /// SHA-256 of its bytes, in lower-case hexadecimal; also its stored name.
        sha256: String,
        /// Its size in bytes.
        bytes: u64,
    },
    /// Another person took over the bench.
    HandedOver {
        /// Who takes over.
        to: String,
        /// What the person leaving says of the state of the job.
        remarks: String,
        /// The signatures of both, where they were wanted: first of the person leaving.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        signatures: Vec<Signature>,
    },
    /// The person asked to stop.
    Halted {
        /// Why.
        reason: Reason,
    },
    /// An instrument no longer answers.
    InstrumentLost {
        /// Which.
        instrument: String,
    },
    /// A protection acted: outputs went off without the runner.
    Tripped {
        /// Which instrument.
        instrument: String,
        /// Why.
        reason: Box<TripCause>,
    },
    /// An entry could not be written and synced. Never in a record, for the same reason.
    RecordFailed {
        /// What the system said.
        error: String,
    },
    /// Time did not go on as the clocks of a machine that is awake have it.
    ClockUpset {
        /// How long the machine slept (ms).
        slept_ms: u64,
        /// By how much its wall clock was set, forward or (negative) back (ms).
        set_ms: i64,
    },
    /// A signal or a lost terminal cut in.
    Interrupted {
        /// Its name, such as `SIGINT`.
        signal: String,
    },
    /// Nobody at the bench can be asked any more, or the person left without making safe.
    Abandoned {
        /// Why.
        reason: Reason,
    },
    /// A run that had not ended was taken up again.
    Resumed {
        /// Who is at the bench now.
        by: String,
        /// Version of the program that took it up.
        program: String,
        /// What an interrupted write had left at the end of the file.
        torn: Option<TornTail>,
        /// The newest time that was known then, as in [`Opening::judged_at`], the record's own last line included.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        judged_at: Option<DateTime<FixedOffset>>,
        /// The people file that was approved last by then, as in [`Opening::approval`].
        #[serde(default, skip_serializing_if = "Option::is_none")]
        approval: Option<Approval>,
    },
    /// In a practice the person read the circuit, besides what was asked.
    Probed {
        /// The key of the question that stood.
        key: Key,
        /// The point as it was named; none for what the question itself reads.
        point: Option<String>,
        /// What was read there; none where nothing feeds the circuit, or where it has no operating point.
        value: Option<Quantity>,
    },
    /// In a practice that is over the person said what is wrong.
    Diagnosed(Box<Diagnosed>),
    /// Somebody corrected or completed an earlier line afterwards, away from the bench.
    Amended {
        /// The number of that line.
        line: usize,
        /// What should be read there, or in addition to it.
        text: String,
    },
    /// Somebody declared afterwards that the record counts for nothing.
    Voided {
        /// Why.
        why: String,
        /// Who agrees to it, where the person who says so may not do it alone.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        with: Option<String>,
    },
}

impl Event {
    /// Whether the time since the sitting began starts with it: what is added to a record afterwards has its own, too.
    #[must_use]
    pub fn begins_its_time(&self) -> bool {
        matches!(
            self,
            Self::Started(_)
                | Self::Resumed { .. }
                | Self::Diagnosed(_)
                | Self::Amended { .. }
                | Self::Voided { .. }
        )
    }

    /// The newest time that was known when a sitting began with it, as far as it was kept.
    #[must_use]
    pub fn judged_at(&self) -> Option<DateTime<FixedOffset>> {
        if let Self::Started(opening) = self {
            return opening.judged_at;
        }
        if let Self::Resumed { judged_at, .. } = self {
            return *judged_at;
        }
        None
    }

    /// What follows from an event that was added after a run, away from the bench. The runner has no part in it:
    /// it changes nothing of what was concluded before.
    #[must_use]
    pub fn afterwards(&self) -> Option<Fact> {
        match self {
            Self::Amended { line, text } => {
                Some(Fact::Amended(AmendedLine { line: *line, text: text.clone() }))
            }
            Self::Voided { why, with } => {
                Some(Fact::Voided(VoidedRecord { why: why.clone(), with: with.clone() }))
            }
            _ => None,
        }
    }
}

impl Event {
    /// Tells whether it answers the question at hand, or ends its wait.
    #[must_use]
    pub fn is_answer(&self) -> bool {
        match self {
            Self::Entered { .. }
            | Self::Measured { .. }
            | Self::Acknowledged { .. }
            | Self::Declined { .. }
            | Self::Present { .. }
            | Self::Unattended { .. }
            | Self::Ticked => true,
            Self::Attached { key, .. } => key.is_some(),
            Self::Started(_)
            | Self::Sampled { .. }
            | Self::FoundOn(_)
            | Self::OffUnconfirmed { .. }
            | Self::OffConfirmed { .. }
            | Self::Noted { .. }
            | Self::HandedOver { .. }
            | Self::Halted { .. }
            | Self::InstrumentLost { .. }
            | Self::Tripped { .. }
            | Self::RecordFailed { .. }
            | Self::ClockUpset { .. }
            | Self::Interrupted { .. }
            | Self::Abandoned { .. }
            | Self::Resumed { .. }
            | Self::Probed { .. }
            | Self::Diagnosed(_)
            | Self::Amended { .. }
            | Self::Voided { .. } => false,
        }
    }

    /// The key of the question that it answers, or that stood when it happened.
    #[must_use]
    pub fn key(&self) -> Option<&Key> {
        match self {
            Self::Entered { key, .. }
            | Self::Measured { key, .. }
            | Self::Sampled { key, .. }
            | Self::Present { key, .. }
            | Self::Unattended { key, .. }
            | Self::Acknowledged { key, .. }
            | Self::Declined { key, .. }
            | Self::Probed { key, .. }
            | Self::Attached { key: Some(key), .. } => Some(key),
            Self::Attached { key: None, .. }
            | Self::Started(_)
            | Self::FoundOn(_)
            | Self::OffUnconfirmed { .. }
            | Self::OffConfirmed { .. }
            | Self::Ticked
            | Self::Noted { .. }
            | Self::HandedOver { .. }
            | Self::Halted { .. }
            | Self::InstrumentLost { .. }
            | Self::Tripped { .. }
            | Self::RecordFailed { .. }
            | Self::ClockUpset { .. }
            | Self::Interrupted { .. }
            | Self::Abandoned { .. }
            | Self::Resumed { .. }
            | Self::Diagnosed(_)
            | Self::Amended { .. }
            | Self::Voided { .. } => None,
        }
    }
}

//! Practice on a fault that nobody at the bench knows: how it is hidden, what the person said was wrong, and what came of it.

use serde::{Deserialize, Serialize};

use super::Key;
use crate::quantity::Quantity;

/// A fault that is hidden until the person has said what is wrong: only its hash is in the record until then.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct HiddenFault {
    /// SHA-256 of the salt, a space and the fault as it is written, in lower-case hexadecimal.
    pub sha256: String,
    /// Sixteen hexadecimal digits, other ones in every practice.
    pub salt: String,
    /// Among how many faults it was drawn.
    pub among: usize,
    /// How many repairs of the shop made a part more likely; none where each part was as likely as any other.
    pub repairs: usize,
}

/// What the person said was wrong.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum Diagnosis {
    /// They don't know.
    NotKnown,
    /// Nothing: the equipment is sound.
    Sound,
    /// A part is faulty.
    Part {
        /// Its name in the circuit file.
        name: String,
        /// What is wrong with it; none where they don't know.
        fault: Option<String>,
    },
}

/// What a part bore in the time that the source was on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct BornePart {
    /// Its name in the circuit file.
    pub name: String,
    /// The most that it bore.
    pub most: Quantity,
    /// What it is rated for.
    pub rating: Quantity,
    /// The energy that it took up (J), where it is rated in watts.
    pub joules: Option<f64>,
}

/// The end of a practice: what was said, and what the circuit tells of the fault that was hidden.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Diagnosed {
    /// What the person said.
    pub said: Diagnosis,
    /// The fault as it is written; none where the equipment was sound.
    pub fault: Option<String>,
    /// Where the procedure stops on it, when every reading is taken as it is; none where it never stops.
    pub stop: Option<Key>,
    /// What is outside its window, if nobody stops.
    pub signs: Vec<Key>,
    /// The part that bore most for its rating; none where nothing was fed.
    pub worst: Option<BornePart>,
    /// Whether no reading that could be taken by then tells what was said from what was hidden.
    pub is_alike: bool,
}

/// Whether the run was stopped before harm was done.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum StoppedWhen {
    /// Where the procedure stops, or before.
    InTime,
    /// A sign was passed.
    Late,
    /// It was left before the procedure would have stopped, and not for anything that was read.
    Left,
    /// No step of the procedure stops on this fault.
    NoStepStops,
    /// Nothing was wrong, and it was stopped on a reading.
    WithoutCause,
    /// Nothing was wrong, and it was not stopped on a reading.
    NothingWrong,
}

/// How good what was said is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "snake_case")]
pub enum DiagnosisVerdict {
    /// The part and its fault, or that nothing is wrong.
    Right,
    /// The part, and not its fault.
    PartRight,
    /// Something else, and no reading tells it from what was hidden.
    CannotBeTold,
    /// Something else.
    Wrong,
    /// Nothing was said.
    NotSaid,
}

/// What came of a practice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct PracticeResult {
    /// What the person said.
    pub said: Diagnosis,
    /// The fault that was hidden; none where the equipment was sound.
    pub fault: Option<String>,
    /// How good that is.
    pub diagnosis: DiagnosisVerdict,
    /// Whether it was stopped in time.
    pub stopped: StoppedWhen,
    /// Where the procedure stops on it; none where it never does.
    pub stop: Option<Key>,
    /// The steps that were passed although something was outside.
    pub missed: Vec<Key>,
    /// How many points were read besides.
    pub read: usize,
    /// How many of them told nothing: read before with the same result, or with nothing on.
    pub needless: usize,
    /// The part that bore most for its rating.
    pub worst: Option<BornePart>,
}

impl DiagnosisVerdict {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Right => "right",
            Self::PartRight => "right part, wrong fault",
            Self::CannotBeTold => "cannot be told from it by any reading taken there",
            Self::Wrong => "wrong",
            Self::NotSaid => "not known",
        }
    }
}

impl StoppedWhen {
    /// In words.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::InTime => "stopped in time",
            Self::Late => "NOT stopped in time",
            Self::Left => "left before anything showed",
            Self::NoStepStops => "no step of the procedure stops on it",
            Self::WithoutCause => "stopped although nothing was wrong",
            Self::NothingWrong => "nothing was wrong",
        }
    }
}

impl BornePart {
    /// How many times its rating it bore.
    #[must_use]
    pub fn times(&self) -> f64 {
        self.most.to_f64() / self.rating.to_f64()
    }
}

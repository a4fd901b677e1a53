//! The vocabulary of what a run leaves behind: what happened, what was concluded, and the run folded from both.
//!
//! May use: `quantity`, `window`, `formula`. Pure: no file, clock, terminal or instrument.
//!
//! Always true: an entry is one [`Event`] with the [`Fact`]s the runner drew from it. Nothing here changes or removes
//! an entry; a repeat or a correction is a later entry. Feeding the events of a record to a fresh runner gives the same
//! facts, so the facts can be checked years later.

mod afterwards;
mod approval;
mod bond;
mod clock;
mod conclusion;
mod decision;
mod ending;
mod entry;
mod event;
mod expiry;
mod fact;
mod key;
mod names;
mod opening;
mod order;
mod origin;
mod output_on;
mod part;
mod practice;
mod practised;
mod proof;
mod provided;
mod reason;
mod refusal;
mod run;
mod signable;
mod signature;
mod trace;
mod trip;
mod unworkable;
mod witness;
mod word;

pub use afterwards::{AmendedLine, Amendment, VoidedRecord, Voiding};
pub use approval::{Approval, Approved, StaffFiles, Unapproved};
pub use bond::Bond;
pub use clock::{clock_words, span_words};
pub use decision::Decision;
pub use ending::{Outcome, StopReason};
pub use entry::{Entry, Moment};
pub use event::{Event, TornTail};
pub use expiry::Expiry;
pub use fact::Fact;
pub use key::{Key, Matter, ProvedAt};
pub use names::Names;
pub use opening::{FORMAT, Opening, PROGRAM, Rehearsed, RehearsedCircuit};
pub use order::{CLOCKS_DIFFER_MS, ClockBehind, DatedBack, TimeOrder};
pub use origin::{Mode, Origin};
pub use output_on::OutputOn;
pub use part::{AT_BENCH, Part};
pub use practice::{
    BornePart, Diagnosed, Diagnosis, DiagnosisVerdict, HiddenFault, PracticeResult, StoppedWhen,
};
pub use proof::{ProofMade, ProofRestedOn};
pub use provided::Provided;
pub use reason::Reason;
pub use refusal::{NameRefusal, PartsRefusal, PersonRefusal, Refusal};
pub use run::{CourseItem, Happening, Run, Standing};
pub use signable::Signable;
pub use signature::{Meaning, Signature};
pub use trace::{SampleSpan, Trace};
pub use trip::{SampleFault, TripCause};
pub use unworkable::Unworkable;
pub use witness::WitnessOutcome;
pub use word::{Ceiling, Duty, Energy, Signal, Source};

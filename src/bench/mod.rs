//! What stands on the bench: instruments and sources, and the trip that switches outputs off.
//!
//! May use: `quantity`, `diagnostic` (cleaning), `window`, `record` (traces, sources), `procedure` (the bench file); the simulated
//! bench also `physics`, `formula`, `netlist` and `circuit`. Not pure: instruments live here.
//!
//! Always true: outputs go off on a stop, on the way out and on a panic, without waiting for anyone. What no instrument
//! controls is said to be out of reach, never to be off. A reply that did not come whole is never a value.

mod clock;
pub mod instruments;
pub mod link;
mod manual;
pub mod simulated;
pub mod trip;
pub mod watch;

use std::fmt;
use std::time::Duration;

pub use clock::{BenchClock, awake_since_boot, since_boot};
pub use manual::Manual;
pub use trip::{Trip, TripHandle};

use crate::procedure::Point;
pub use crate::procedure::act::Guard;
use crate::record::{Source, Trace, TripCause};

/// How an output went off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Off {
    /// It says so, and its voltage is gone: confirmed.
    Fallen,
    /// It says so and delivers nothing, and the voltage at it (V) falls: charge of what is connected, which drains.
    Falling(f64),
    /// It says so, and nothing measures it: its word, and no confirmation.
    Said,
}

/// How each output went off, by its name in the bench file; empty where nothing here can switch it and the person has to.
pub type OutputsOff = Vec<(String, Off)>;

/// An instrument that does not do as it is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lost {
    /// Which instrument, by its name in the bench file.
    pub instrument: String,
    /// What is wrong.
    pub why: String,
}

impl fmt::Display for Lost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: {}", self.instrument, self.why)
    }
}

/// Outputs of an instrument that are not confirmed to be off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NotOff {
    /// Which instrument, and what is wrong.
    pub lost: Lost,
    /// What it is, in the words of the bench file: whose plug to pull.
    pub what: String,
    /// The outputs, by their names in the bench file.
    pub outputs: Vec<String>,
    /// Whether it says that they are on, as against saying nothing.
    pub is_on: bool,
    /// Whether it can't be spoken with, as if its plug were out.
    pub is_silent: bool,
}

impl NotOff {
    /// What is to be done about it, in words.
    #[must_use]
    pub fn order(&self) -> String {
        let Self { lost: Lost { instrument, .. }, what, outputs, is_on, .. } = self;
        let (output, are) = if outputs.len() > 1 { ("outputs", "ARE") } else { ("output", "IS") };
        let not_confirmed = if *is_on { "ON" } else { "NOT CONFIRMED OFF" };
        let outputs = outputs.join(", ");
        format!("PULL THE PLUG of {instrument} ({what}): {output} {outputs} {are} {not_confirmed}")
    }

    /// What is to be done about it, and why.
    #[must_use]
    pub fn alarm(&self) -> String {
        format!("{}; {}", self.order(), self.lost.why)
    }
}

/// Instruments with outputs that are not confirmed to be off; at least one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unconfirmed(pub Vec<NotOff>);

impl Unconfirmed {
    /// All of it as one failure, under the name of the first instrument.
    #[must_use]
    pub fn lost(&self) -> Lost {
        let Some((first, others)) = self.0.split_first() else {
            return Lost { instrument: "trip".to_owned(), why: "off is not confirmed".to_owned() };
        };
        let others = others.iter().map(|not_off| format!("; {}", not_off.lost));
        let why = std::iter::once(first.lost.why.clone()).chain(others).collect();
        Lost { instrument: first.lost.instrument.clone(), why }
    }
}

/// What became of an instrument since its outputs were last not confirmed to be off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OffNews {
    /// Every output of this instrument says that it is off.
    Confirmed {
        /// Which instrument.
        instrument: String,
        /// Whether it has only said so: a voltage is left at one of them, or nothing measures it.
        by_word: bool,
    },
    /// It is still not, and tells otherwise than before.
    Otherwise(NotOff),
}

/// What outputs of a supply may deliver.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// The outputs, by their names in the bench file.
    pub channels: Vec<String>,
    /// The highest voltage of each (V).
    pub voltage: f64,
    /// The current limit of each (A).
    pub current: f64,
}

/// A reply of an instrument.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sent {
    /// The reply exactly as sent, without its terminator.
    pub text: String,
    /// Which instrument sent it.
    pub instrument: String,
}

/// What goes on while points are sampled.
#[derive(Clone, Debug, PartialEq)]
pub enum Work {
    /// Nothing is changed.
    Hold,
    /// Nothing is changed, and a question stands that may take minutes.
    Stand {
        /// It has the outputs switched off: one that goes off is no surprise.
        off_is_due: bool,
    },
    /// Every output is asked once for its state, and nothing is sampled.
    Glance {
        /// Outputs are being switched off: one that is off is no surprise.
        off_is_due: bool,
    },
    /// Outputs go to a voltage evenly, all together.
    Ramp {
        /// The outputs.
        channels: Vec<String>,
        /// The voltage (V).
        to: f64,
        /// The time to take over it, on the bench's clock.
        over: Duration,
    },
}

/// How things stand while points are sampled.
#[derive(Clone, Debug, PartialEq)]
pub struct Live {
    /// Since the sampling began, on the bench's clock.
    pub elapsed: Duration,
    /// The latest sample of each guard, in their order (V, A or the function's unit); none before the first.
    pub latest: Vec<Option<f64>>,
    /// How often each guard has been sampled at least.
    pub samples: u64,
    /// Whether the ramp has arrived; true while nothing is changed.
    pub arrived: bool,
    /// The part of the ramp's steps that were taken; 1 while nothing is changed.
    pub taken: f64,
}

/// Whether the sampling goes on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Go {
    /// It goes on.
    On,
    /// It ends here.
    Enough,
}

/// How the sampling ended.
#[derive(Clone, Debug, PartialEq)]
pub enum SamplingEnd {
    /// As it was asked to.
    Asked,
    /// A sample was outside, or an output went off by itself: all were switched off before anything else.
    Tripped {
        /// The instrument that sent it.
        instrument: String,
        /// What was wrong.
        reason: TripCause,
    },
    /// An output that was left off is on: all of them were switched off before anything else.
    FoundOn {
        /// Its instrument.
        instrument: String,
        /// The output.
        output: String,
    },
    /// An instrument no longer answers: the outputs were switched off before anything else.
    Lost(Lost),
    /// The trip was fired from elsewhere, as on a signal: the outputs are off.
    Fired {
        /// Why.
        reason: String,
    },
}

/// What was sampled.
#[derive(Clone, Debug, PartialEq)]
pub struct Watched {
    /// One trace for each guard, in their order.
    pub traces: Vec<Trace>,
    /// How it ended.
    pub end: SamplingEnd,
}

impl Watched {
    /// Nothing was watched, as was asked for.
    #[must_use]
    pub fn nothing() -> Self {
        Self { traces: Vec::new(), end: SamplingEnd::Asked }
    }
}

/// A bench with its sources.
pub trait Bench {
    /// The handle that switches every output off from any thread; what it remembers is shared.
    fn trip(&self) -> TripHandle;

    /// Switches every output off, now. An instrument that does not confirm it in the time of its replies is told again and again from
    /// then on, until it does.
    ///
    /// # Errors
    /// Instruments that cannot be reached, or do not confirm it.
    fn outputs_off(&mut self) -> Result<OutputsOff, Unconfirmed>;

    /// What is new of the instruments that have not confirmed off.
    fn off_news(&mut self) -> Vec<OffNews> {
        Vec::new()
    }

    /// Lets outputs come up: protection and limit first, zero volts, then on, each read back.
    ///
    /// # Errors
    /// An instrument that cannot be reached, or does not do as it is told.
    fn energise(&mut self, limits: &Limits) -> Result<(), Lost>;

    /// Says that from here on a person switches what this source is fed by: until all outputs are switched off again,
    /// nobody knows how they should stand.
    fn leave_to_hands(&mut self, source: Source);

    /// Takes one reading.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    fn measure(&mut self, point: &Point) -> Result<Sent, Lost>;

    /// Samples points as fast as their links allow until `look` has seen enough; `look` is called about ten times a second.
    /// About once a second, at the beginning and at the end every output is asked whether it is as it was left.
    fn watch(
        &mut self,
        work: &Work,
        guards: &[Guard],
        look: &mut dyn FnMut(&Live) -> Go,
    ) -> Watched;
}

impl<B: Bench + ?Sized> Bench for Box<B> {
    fn trip(&self) -> TripHandle {
        (**self).trip()
    }

    fn outputs_off(&mut self) -> Result<OutputsOff, Unconfirmed> {
        (**self).outputs_off()
    }

    fn off_news(&mut self) -> Vec<OffNews> {
        (**self).off_news()
    }

    fn energise(&mut self, limits: &Limits) -> Result<(), Lost> {
        (**self).energise(limits)
    }

    fn leave_to_hands(&mut self, source: Source) {
        (**self).leave_to_hands(source);
    }

    fn measure(&mut self, point: &Point) -> Result<Sent, Lost> {
        (**self).measure(point)
    }

    fn watch(
        &mut self,
        work: &Work,
        guards: &[Guard],
        look: &mut dyn FnMut(&Live) -> Go,
    ) -> Watched {
        (**self).watch(work, guards, look)
    }
}

//! What instruments do other than they are told.

use crate::bench::Lost;
use crate::bench::link::LinkError;

/// Why an instrument did not do what it was told, or is not what the bench file says. Replies in it are cleaned.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum DriverError {
    /// No line, or no reply.
    #[error(transparent)]
    Link(#[from] LinkError),
    /// An instrument of a simulated bench in a real run.
    #[error("{address} stands on a simulated bench only: give its real address in the bench file")]
    NotHere {
        /// Its address.
        address: String,
    },
    /// Another instrument than expected.
    #[error(
        "identifies itself as `{reply}`, but the bench file expects `{expected}` in it: check the address"
    )]
    Identity {
        /// Its answer.
        reply: String,
        /// What it has to contain.
        expected: String,
    },
    /// An answer that is none to that question.
    #[error("answers `{reply}` to `{question}`, where {expected} is expected")]
    Answer {
        /// The question.
        question: String,
        /// The answer.
        reply: String,
        /// What would have been one.
        expected: String,
    },
    /// A setting that did not arrive.
    #[error("`{message}` was sent, but {read} {unit} is read back")]
    ReadBack {
        /// What was sent.
        message: String,
        /// What came back.
        read: String,
        /// In V or A.
        unit: &'static str,
    },
    /// The instrument says that something was wrong.
    #[error("reports an error after `{message}`: {reply}")]
    Refused {
        /// What was sent.
        message: String,
        /// What it says.
        reply: String,
    },
    /// An output that is not in the state it was put in.
    #[error("output `{output}` was switched {wanted}, but says it is not {wanted}")]
    State {
        /// The output.
        output: String,
        /// `on` or `off`.
        wanted: &'static str,
    },
    /// An output that does not go off.
    #[error(
        "output `{output}` was told to go off and says it is not off; 0 V and 0 A were sent as well"
    )]
    StaysOn {
        /// The output.
        output: String,
    },
    /// An output that is off and delivers.
    #[error("output `{output}` says it is off, but still has {voltage} V and delivers {current} A")]
    StillLive {
        /// The output.
        output: String,
        /// What is measured at it (V).
        voltage: String,
        /// What it delivers (A).
        current: String,
    },
    /// An output that says it is off, with a voltage that stays.
    #[error(
        "output `{output}` says it is off and delivers nothing, but {voltage} V stay at its terminals: it ignored off, or what is connected holds charge that nothing drains; 0 V and 0 A were sent as well"
    )]
    Stays {
        /// The output.
        output: String,
        /// What is measured at it (V).
        voltage: String,
    },
    /// An output that said it was off while it was not, and says so again.
    #[error(
        "output `{output}` said that it was off while it was live, so its word that it is off now proves nothing, and 0 V may be all that it is set to: it stays unconfirmed until this program begins again. Have it mended"
    )]
    Disbelieved {
        /// The output.
        output: String,
    },
    /// An output that ignored off and is off now, for how long is still to be seen.
    #[error(
        "output `{output}` ignored off, and says now that it is off: that counts once it has been so at every look for {seconds} s"
    )]
    NotHeld {
        /// The output.
        output: String,
        /// How long that has to be.
        seconds: u64,
    },
    /// An output of which nobody knows whether it was on.
    #[error(
        "output `{output}` did not say whether it was on before it was switched off: what it fed is in an unknown state"
    )]
    Untold {
        /// The output.
        output: String,
    },
    /// The trip was fired.
    #[error("outputs were switched off meanwhile")]
    Fired,
    /// More than the bench file or the stage allows.
    #[error("{asked} is asked of output `{output}`, which may deliver {allowed}")]
    Beyond {
        /// The output.
        output: String,
        /// What was asked.
        asked: String,
        /// What is allowed.
        allowed: String,
    },
    /// An output whose voltage does not come up.
    #[error(
        "output `{output}` was set to {wanted} V and switched on, but only {seen} V are measured"
    )]
    NotUp {
        /// The output.
        output: String,
        /// What was set (V).
        wanted: String,
        /// What is measured (V).
        seen: String,
    },
    /// A name that no connected instrument or output has.
    #[error("nothing is connected as `{name}`")]
    NothingThere {
        /// The name.
        name: String,
    },
    /// A function that nothing is known to ask for.
    #[error(
        "there is no question for its function `{function}`: add it under `dialect`, `measure`"
    )]
    NoQuestion {
        /// The function.
        function: String,
    },
}

impl DriverError {
    /// Tells whether the instrument could not be spoken with, as against one that spoke and did otherwise.
    #[must_use]
    pub fn is_out_of_contact(&self) -> bool {
        matches!(self, Self::Link(_) | Self::NotHere { .. })
    }

    /// Tells whether it is the instrument's own word that an output is on.
    #[must_use]
    pub fn tells_on(&self) -> bool {
        matches!(self, Self::StaysOn { .. } | Self::StillLive { .. })
            || matches!(self, Self::State { wanted: "off", .. })
    }

    /// Tells whether an output says that it is off, and what is measured says otherwise.
    #[must_use]
    pub fn belies_its_word(&self) -> bool {
        matches!(self, Self::StillLive { .. } | Self::Stays { .. })
    }

    /// Tells whether it was told to go off, and is or may be on all the same.
    #[must_use]
    pub fn is_not_off(&self) -> bool {
        let is_doubted =
            matches!(self, Self::Stays { .. } | Self::Disbelieved { .. } | Self::NotHeld { .. });
        self.tells_on() || is_doubted
    }

    /// The same as a bench reports it.
    #[must_use]
    pub fn lost(&self, instrument: &str) -> Lost {
        Lost { instrument: instrument.to_owned(), why: self.to_string() }
    }
}

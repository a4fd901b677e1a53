//! What stands on the bench: sources that can be switched, and the trip that switches them off.
//!
//! May use: `quantity`, `circuit`. Not pure: instruments live here.
//!
//! Always true: outputs go off on a stop, on the way out and on a panic, without waiting for anyone. What no instrument
//! controls is said to be out of reach, never to be off.

mod manual;
mod trip;

use std::fmt;

pub use manual::Manual;
pub use trip::Trip;

/// What became of an order to switch the outputs off.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OutputsOff {
    /// Every output is off, confirmed by the instrument.
    Confirmed,
    /// Nothing here can switch it: the person has to.
    OutOfReach,
}

/// An instrument that does not do as it is told.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Lost {
    /// Which instrument.
    pub instrument: String,
}

impl fmt::Display for Lost {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "the instrument {} does not answer", self.instrument)
    }
}

/// A bench with its sources.
pub trait Bench {
    /// Switches every output off, now.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    fn outputs_off(&mut self) -> Result<OutputsOff, Lost>;

    /// Allows the source to come up to a ceiling in volts and amps, where there is one.
    ///
    /// # Errors
    /// An instrument that cannot be reached.
    fn energise(&mut self, ceiling: Option<(f64, f64)>) -> Result<(), Lost>;
}

//! What was on when the program took a bench over.

use std::fmt;

use crate::bench::Off;

/// An output that was on when the program took over: what it feeds is in an unknown state.
#[derive(Clone, Debug, PartialEq)]
pub struct OutputFoundOn {
    /// The instrument.
    pub instrument: String,
    /// Its output.
    pub output: String,
    /// The voltage that it was set to (V), where the instrument tells.
    pub set_to: Option<f64>,
    /// How it went off when it was told to; none where that is not confirmed.
    pub off: Option<Off>,
}

impl OutputFoundOn {
    /// That it was on and what became of that, in words.
    #[must_use]
    pub fn went(&self) -> &'static str {
        match self.off {
            Some(Off::Fallen) => "was on, and was switched off",
            Some(Off::Falling(_)) => {
                "was on; it was told to go off and says it is, and a voltage is still falling there"
            }
            Some(Off::Said) => {
                "was on; it was told to go off and says it is, and nothing measures that"
            }
            None => "was on; it was told to go off, which is not confirmed",
        }
    }
}

impl fmt::Display for OutputFoundOn {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}: output {} {}", self.instrument, self.output, self.went())
    }
}

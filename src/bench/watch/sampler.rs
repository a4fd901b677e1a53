//! What a watch asks of an instrument.

use crate::bench::Lost;
use crate::procedure::Point;
use crate::record::TripCause;

/// An instrument that is sampled.
pub trait Sampler: Send {
    /// Its name in the bench file.
    fn name(&self) -> &str;

    /// Whether it reads this point.
    fn reads(&self, point: &Point) -> bool;

    /// Whether this output is one of its own.
    fn feeds(&self, channel: &str) -> bool;

    /// Reads a point and brings the reply back exactly as it was sent.
    ///
    /// # Errors
    /// An instrument that does not answer whole and in time.
    fn sample(&mut self, point: &Point) -> Result<String, Lost>;

    /// Asks which voltage is set at an output (V).
    ///
    /// # Errors
    /// An instrument that does not tell.
    fn voltage_set(&mut self, channel: &str) -> Result<f64, Lost>;

    /// Sets the voltage of an output (V) and reads it back.
    ///
    /// # Errors
    /// An instrument that does not do as it is told.
    fn set_voltage(&mut self, channel: &str, voltage: f64) -> Result<(), Lost>;

    /// Asks whether the current of an output is being limited.
    ///
    /// # Errors
    /// An instrument that does not tell, or of which nobody has said how it tells.
    fn is_limiting(&mut self, channel: &str) -> Result<bool, Lost>;

    /// Whether it has outputs that can be asked for their state; a meter has none.
    fn has_outputs(&self) -> bool {
        false
    }

    /// Asks every output for its state, and tells of the first that is not as it was left. Where off is due, one that is
    /// off is as it should be.
    ///
    /// # Errors
    /// An instrument that does not tell.
    fn astray(&mut self, _off_is_due: bool) -> Result<Option<Astray>, Lost> {
        Ok(None)
    }

    /// Makes sure that the last reply was the answer to the last question.
    ///
    /// # Errors
    /// An instrument of which the replies so far may have belonged to other questions.
    fn be_sure(&mut self) -> Result<(), Lost> {
        Ok(())
    }

    /// Whether the last reply was the answer to another question than the last. It is asked after off was sent.
    fn answered_another(&mut self) -> bool {
        false
    }
}

/// An output that is not as it was left, by its name in the bench file.
#[derive(Clone, Debug, PartialEq)]
pub enum Astray {
    /// It was left off, and is on.
    FoundOn(String),
    /// It was left on, and is off.
    WentOff(String),
    /// It is above the ceiling of its stage.
    Above(TripCause),
}

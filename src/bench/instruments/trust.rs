//! What the word of an output is worth once it did not go off when it was told to.
//!
//! Where off was ignored, zero is set at the output, so that no voltage is left there whether it is on or off: its voltage alone
//! confirms nothing any more, and one look least of all.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::{Duration, Instant};

use super::error::DriverError;
use crate::bench::Off;

/// How long an output that ignored off has to be off at every look before it counts as off (common practice, no source).
const HELD: Duration = Duration::from_secs(3);

/// What is thought of an output's word, shared by all who look at it.
#[derive(Clone, Debug, Default)]
pub(super) struct Trust(Arc<Mutex<Worth>>);

/// What its word is worth.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
enum Worth {
    /// It was never caught out.
    #[default]
    Good,
    /// It ignored off, and said so.
    Owned {
        /// The first of the looks since then at which it was off, without one between that found otherwise.
        off_since: Option<Instant>,
    },
    /// It said that it was off while a voltage stayed or a current flowed.
    False,
}

impl Trust {
    /// What a look at an output comes to, with what is known of its word.
    pub(super) fn weigh(
        &self,
        output: &str,
        seen: Result<Off, DriverError>,
    ) -> Result<Off, DriverError> {
        let mut word = self.lock();
        *word = word.after(&seen, Instant::now());
        let (off, output) = (seen?, || output.to_owned());
        match *word {
            Worth::Good => Ok(off),
            Worth::False => Err(DriverError::Disbelieved { output: output() }),
            Worth::Owned { off_since }
                if off_since.is_some_and(|since| since.elapsed() >= HELD) =>
            {
                *word = Worth::Good;
                Ok(off)
            }
            Worth::Owned { .. } => {
                Err(DriverError::NotHeld { output: output(), seconds: HELD.as_secs() })
            }
        }
    }

    fn lock(&self) -> MutexGuard<'_, Worth> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl Worth {
    fn after(self, seen: &Result<Off, DriverError>, now: Instant) -> Self {
        match (self, seen) {
            (Self::False, _) => Self::False,
            (_, Err(error)) if error.belies_its_word() => Self::False,
            (_, Err(error)) if error.tells_on() => Self::Owned { off_since: None },
            (Self::Good, _) => Self::Good,
            (Self::Owned { .. }, Err(_) | Ok(Off::Falling(_))) => Self::Owned { off_since: None },
            (Self::Owned { off_since }, Ok(Off::Fallen | Off::Said)) => {
                Self::Owned { off_since: off_since.or(Some(now)) }
            }
        }
    }
}

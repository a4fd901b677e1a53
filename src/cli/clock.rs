//! Time, from the two clocks of the bench computer or from a script.

use std::time::{Duration, Instant};

use chrono::Local;

use crate::record::Moment;

/// The longest sleep between two looks at the signals.
const NAP: Duration = Duration::from_millis(100);

/// Tells the time and lets it pass.
#[derive(Debug)]
pub(super) struct Clock {
    started: Instant,
    /// Time that a script let pass without waiting for it.
    skipped: Duration,
    skips: bool,
}

impl Clock {
    /// Real time.
    pub(super) fn real() -> Self {
        Self { started: Instant::now(), skipped: Duration::ZERO, skips: false }
    }

    /// Time that does not make a script wait.
    pub(super) fn skipping() -> Self {
        Self { skips: true, ..Self::real() }
    }

    /// The time now.
    pub(super) fn now(&self) -> Moment {
        let elapsed = self.started.elapsed() + self.skipped;
        let elapsed_ms = u64::try_from(elapsed.as_millis()).unwrap_or(u64::MAX);
        Moment { wall: Local::now().fixed_offset(), elapsed_ms }
    }

    /// Lets time pass quickly where it is only simulated.
    pub(super) fn hurry(&mut self) {}

    /// Lets time pass as it does.
    pub(super) fn saunter(&mut self) {}

    /// Lets some of a span pass: a short nap, or all of it at once for a script.
    pub(super) fn pass(&mut self, ms: u64) {
        let span = Duration::from_millis(ms);
        if self.skips {
            self.skipped += span;
        } else {
            std::thread::sleep(span.min(NAP));
        }
    }
}

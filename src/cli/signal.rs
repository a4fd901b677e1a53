//! Signals: a flag is set, and looked at where it is safe to act.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

/// The signals that have come and were not yet dealt with.
#[derive(Clone, Debug, Default)]
pub(super) struct Signals {
    came: [Arc<AtomicBool>; WATCHED.len()],
}

/// The prompt raises SIGINT for any signal that cuts it short: it comes last here, so as to hide none of the others.
const WATCHED: [(i32, &str); 3] = [(SIGHUP, "SIGHUP"), (SIGTERM, "SIGTERM"), (SIGINT, "SIGINT")];

impl Signals {
    /// Takes over the signals that would end the program: from here on it ends only after make safe.
    pub(super) fn watch() -> io::Result<Self> {
        let signals = Self::default();
        for ((signal, _), came) in WATCHED.iter().zip(&signals.came) {
            signal_hook::flag::register(*signal, Arc::clone(came))?;
        }
        Ok(signals)
    }

    /// Takes the signals that have come, and names one of them.
    pub(super) fn take(&self) -> Option<&'static str> {
        let taken = self.came.each_ref().map(|came| came.swap(false, Ordering::SeqCst));
        WATCHED.iter().zip(taken).find(|(_, came)| *came).map(|((_, name), _)| *name)
    }
}

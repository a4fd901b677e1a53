//! Signals: a flag is set, and looked at where it is safe to act.

use std::io;
use std::sync::Arc;
use std::sync::atomic::{AtomicUsize, Ordering};

use signal_hook::consts::{SIGHUP, SIGINT, SIGTERM};

/// The signals that have come and were not yet dealt with.
#[derive(Clone, Debug, Default)]
pub(super) struct Signals {
    last: Arc<AtomicUsize>,
}

const WATCHED: [(i32, usize, &str); 3] =
    [(SIGINT, 1, "SIGINT"), (SIGTERM, 2, "SIGTERM"), (SIGHUP, 3, "SIGHUP")];

impl Signals {
    /// Takes over the signals that would end the program: from here on it ends only after make safe.
    pub(super) fn watch() -> io::Result<Self> {
        let signals = Self::default();
        for (signal, number, _) in WATCHED {
            signal_hook::flag::register_usize(signal, Arc::clone(&signals.last), number)?;
        }
        Ok(signals)
    }

    /// Takes the signal that came last, if one has.
    pub(super) fn take(&self) -> Option<&'static str> {
        let number = self.last.swap(0, Ordering::SeqCst);
        WATCHED.iter().find(|(_, n, _)| *n == number).map(|(_, _, name)| *name)
    }
}

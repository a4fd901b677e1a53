//! Signals: a flag is set, and looked at where it is safe to act.

use std::io;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::thread;
use std::time::Duration;

use rustix::process::{Signal, getpid, kill_process};
use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP};

/// How long a signal lies unnoticed before it is sent once more.
const UNNOTICED: Duration = Duration::from_millis(100);

/// The signals that have come and were not yet dealt with.
#[derive(Clone, Debug, Default)]
pub(super) struct Signals {
    came: [Arc<AtomicBool>; WATCHED.len()],
}

struct Watched {
    number: i32,
    signal: Signal,
    name: &'static str,
}

/// Everything a key or another program ends or suspends this one with: while it stands still nobody is told what is
/// live. The prompt raises SIGINT for any signal that cuts it short: it comes last here, so as to hide none of the
/// others.
const WATCHED: [Watched; 5] = [
    Watched { number: SIGHUP, signal: Signal::HUP, name: "SIGHUP" },
    Watched { number: SIGTERM, signal: Signal::TERM, name: "SIGTERM" },
    Watched { number: SIGQUIT, signal: Signal::QUIT, name: "SIGQUIT" },
    Watched { number: SIGTSTP, signal: Signal::TSTP, name: "SIGTSTP" },
    Watched { number: SIGINT, signal: Signal::INT, name: "SIGINT" },
];

/// Signals come to the whole process, so there is one set of flags for it.
static WATCHING: OnceLock<Signals> = OnceLock::new();

impl Signals {
    /// Takes over the signals that would end or suspend the program: from here on it ends only after make safe.
    pub(super) fn watch() -> io::Result<Self> {
        if let Some(signals) = WATCHING.get() {
            return Ok(signals.clone());
        }
        let signals = Self::default();
        for (watched, came) in WATCHED.iter().zip(&signals.came) {
            signal_hook::flag::register(watched.number, Arc::clone(came))?;
        }
        let repeated = signals.clone();
        thread::Builder::new().spawn(move || repeated.repeat())?;
        Ok(WATCHING.get_or_init(|| signals).clone())
    }

    /// Takes the signals that have come, and names one of them.
    pub(super) fn take(&self) -> Option<&'static str> {
        let taken = self.came.each_ref().map(|came| came.swap(false, Ordering::SeqCst));
        WATCHED.iter().zip(taken).find(|(_, came)| *came).map(|(watched, _)| watched.name)
    }

    /// Sends a signal that nobody took notice of once more: one that comes after the last look at its flag, and just
    /// before the prompt waits for a key, wakes nobody.
    fn repeat(&self) {
        let mut before = [false; WATCHED.len()];
        loop {
            thread::sleep(UNNOTICED);
            let now = self.came.each_ref().map(|came| came.load(Ordering::SeqCst));
            for (watched, (before, now)) in WATCHED.iter().zip(before.into_iter().zip(now)) {
                if before && now {
                    // A process may always signal itself.
                    let _ = kill_process(getpid(), watched.signal);
                }
            }
            before = now;
        }
    }
}

//! Signals: outputs go off at once, from a thread of its own; a flag is set and looked at where it is safe to do the rest.

use std::io;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::thread;
use std::time::Duration;

use rustix::process::{Signal, getpid, kill_process};
use signal_hook::consts::{SIGHUP, SIGINT, SIGQUIT, SIGTERM, SIGTSTP};
use signal_hook::iterator::Signals as Incoming;

use crate::bench::trip;

/// How long a signal lies unnoticed before it is sent once more.
const UNNOTICED: Duration = Duration::from_millis(100);

/// The signals that have come and were not yet dealt with.
#[derive(Clone, Debug, Default)]
pub(super) struct Signals {
    came: [Arc<AtomicBool>; WATCHED.len()],
    /// Those that are our own repetition: the trip has been fired for them.
    repeated: [Arc<AtomicBool>; WATCHED.len()],
}

struct Watched {
    number: i32,
    signal: Signal,
    name: &'static str,
    /// Whether it fires the trip: whatever ends the program does.
    fires: bool,
}

/// Everything a key or another program ends or suspends this one with: while it stands still nobody is told what is
/// live. The prompt raises SIGINT for any signal that cuts it short: it comes last here, so as to hide none of the
/// others.
const WATCHED: [Watched; 5] = [
    Watched { number: SIGHUP, signal: Signal::HUP, name: "SIGHUP", fires: true },
    Watched { number: SIGTERM, signal: Signal::TERM, name: "SIGTERM", fires: true },
    Watched { number: SIGQUIT, signal: Signal::QUIT, name: "SIGQUIT", fires: true },
    Watched { number: SIGTSTP, signal: Signal::TSTP, name: "SIGTSTP", fires: false },
    Watched { number: SIGINT, signal: Signal::INT, name: "SIGINT", fires: true },
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
        // The flag is set by the handler itself: a prompt that the signal cuts short looks at it at once.
        for (watched, came) in WATCHED.iter().zip(&signals.came) {
            signal_hook::flag::register(watched.number, Arc::clone(came))?;
        }
        // A file that may not grow any more would end the program at once; taken over, it is a failed write like any other.
        signal_hook::flag::register(Signal::XFSZ.as_raw(), Arc::default())?;
        let firing = WATCHED.iter().filter(|watched| watched.fires).map(|watched| watched.number);
        let incoming = Incoming::new(firing)?;
        let (tripping, repeating) = (signals.clone(), signals.clone());
        thread::Builder::new().spawn(move || tripping.trip(incoming))?;
        thread::Builder::new().spawn(move || repeating.repeat())?;
        Ok(WATCHING.get_or_init(|| signals).clone())
    }

    /// Takes the signals that have come, and names one of them.
    pub(super) fn take(&self) -> Option<&'static str> {
        let taken = self.came.each_ref().map(|came| came.swap(false, Ordering::SeqCst));
        WATCHED.iter().zip(taken).find(|(_, came)| *came).map(|(watched, _)| watched.name)
    }

    /// Fires every trip as soon as a signal comes, whatever the rest of the program waits for.
    fn trip(&self, mut incoming: Incoming) {
        for number in incoming.forever() {
            let come = WATCHED.iter().zip(&self.repeated).find(|(own, _)| own.number == number);
            let Some((watched, repeated)) = come else { continue };
            // Off is sent once for each signal: more would only cut into what is being confirmed.
            if !repeated.swap(false, Ordering::SeqCst) {
                trip::fire_all(watched.name);
            }
        }
    }

    /// Sends a signal that nobody took notice of once more: one that comes after the last look at its flag, and just
    /// before the prompt waits for a key, wakes nobody.
    fn repeat(&self) {
        let mut before = [false; WATCHED.len()];
        loop {
            thread::sleep(UNNOTICED);
            let now = self.came.each_ref().map(|came| came.load(Ordering::SeqCst));
            let unnoticed = before.into_iter().zip(now).map(|(before, now)| before && now);
            for ((watched, repeated), unnoticed) in
                WATCHED.iter().zip(&self.repeated).zip(unnoticed)
            {
                if unnoticed {
                    repeated.store(watched.fires, Ordering::SeqCst);
                    // A process may always signal itself.
                    let _ = kill_process(getpid(), watched.signal);
                }
            }
            before = now;
        }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]
    use std::time::Instant;

    use super::*;
    use crate::bench::TripHandle;

    fn until(what: &str, is_so: impl Fn() -> bool) {
        let begun = Instant::now();
        while !is_so() {
            assert!(begun.elapsed() < Duration::from_secs(10), "not so: {what}");
            thread::sleep(Duration::from_millis(1));
        }
    }

    #[test]
    fn a_signal_fires_the_trip_once_and_its_flag_is_repeated_until_it_is_taken() {
        let _alone = trip::alone();
        let signals = Signals::watch().unwrap();
        let handle = TripHandle::default();
        trip::on_panic(&handle);
        kill_process(getpid(), Signal::TERM).unwrap();
        until("fired", || handle.has_fired());
        assert_eq!(handle.fired().unwrap().reason, "SIGTERM");
        // It is repeated more than once in that time, and the trip is not fired again.
        let incoming = Arc::new(AtomicBool::new(false));
        signal_hook::flag::register(SIGTERM, Arc::clone(&incoming)).unwrap();
        until("repeated", || incoming.load(Ordering::SeqCst));
        thread::sleep(UNNOTICED * 3);
        assert_eq!(handle.fires(), 1);
        assert_eq!(signals.take(), Some("SIGTERM"));

        // A key that suspends is told, and fires nothing.
        assert!(handle.rearm(1));
        kill_process(getpid(), Signal::TSTP).unwrap();
        until("told", || signals.take() == Some("SIGTSTP"));
        thread::sleep(UNNOTICED / 2);
        assert!(!handle.has_fired());

        // Another of the same kind fires again.
        kill_process(getpid(), Signal::TERM).unwrap();
        until("fired", || handle.has_fired());
        until("told", || signals.take() == Some("SIGTERM"));
    }
}

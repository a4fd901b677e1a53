//! Signals: outputs go off at once, from a thread of its own; a flag is set and looked at where it is safe to do the rest.

use std::io;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::thread;
use std::time::Duration;

use rustix::process::{Signal, getpid, kill_process};
use signal_hook::iterator::Signals as Incoming;

use super::fault_signal;
use crate::bench::trip;

/// How long a signal lies unnoticed before the prompt is woken for it.
const UNNOTICED: Duration = Duration::from_millis(100);

/// What wakes the prompt: nothing else comes of this one.
const NUDGE: Signal = Signal::URG;

/// The signals that have come and were not yet dealt with.
#[derive(Clone, Debug)]
pub(crate) struct Signals(Arc<Vec<WatchedSignal>>);

#[derive(Debug)]
struct WatchedSignal {
    number: i32,
    name: String,
    came: Arc<AtomicBool>,
}

/// What a key or another program ends or suspends this one with, in the order in which they are named if several came.
///
/// While the program stands still nobody is told what is live, so a suspension is an ending too, and so is what comes after
/// a standstill (SIGCONT, behind what a service manager ends a program with). The prompt raises SIGINT for Ctrl-C and for
/// what cuts it short: it comes last, so as to hide none of the others. Those for real time are watched as well. What
/// tells of a fault of the program itself: [`fault_signal`].
///
/// Two that end a program by default are no ending here: a pipe that nobody reads (SIGPIPE, which Rust ignores) and a file that
/// may not grow any more (SIGXFSZ) are failed writes like any other.
const NAMED: [(Signal, &str); 15] = [
    (Signal::HUP, "SIGHUP"),
    (Signal::TERM, "SIGTERM"),
    (Signal::QUIT, "SIGQUIT"),
    (Signal::TSTP, "SIGTSTP"),
    (Signal::USR1, "SIGUSR1"),
    (Signal::USR2, "SIGUSR2"),
    (Signal::ALARM, "SIGALRM"),
    (Signal::VTALARM, "SIGVTALRM"),
    (Signal::PROF, "SIGPROF"),
    (Signal::IO, "SIGIO"),
    (Signal::POWER, "SIGPWR"),
    (Signal::STKFLT, "SIGSTKFLT"),
    (Signal::XCPU, "SIGXCPU"),
    (Signal::CONT, "SIGCONT"),
    (Signal::INT, "SIGINT"),
];

/// Signals come to the whole process, so there is one set of flags for it.
static WATCHING: OnceLock<Signals> = OnceLock::new();

impl Default for Signals {
    fn default() -> Self {
        let named = NAMED.iter().map(|(signal, name)| (signal.as_raw(), (*name).to_owned()));
        let first = libc::SIGRTMIN();
        let real_time = (first..=libc::SIGRTMAX())
            .map(|number| (number, format!("SIGRTMIN+{}", number - first)));
        let watched = real_time.chain(named);
        let watched =
            watched.map(|(number, name)| WatchedSignal { number, name, came: Arc::default() });
        Self(Arc::new(watched.collect()))
    }
}

impl Signals {
    /// Takes over the signals that would end or suspend the program: from here on it ends only after make safe.
    pub(crate) fn watch() -> io::Result<Self> {
        if let Some(signals) = WATCHING.get() {
            return Ok(signals.clone());
        }
        let signals = Self::default();
        // The flag is set by the handler itself: a prompt that the signal cuts short looks at it at once.
        for watched in signals.0.iter() {
            signal_hook::flag::register(watched.number, Arc::clone(&watched.came))?;
        }
        for taken_over in [Signal::XFSZ, NUDGE] {
            signal_hook::flag::register(taken_over.as_raw(), Arc::default())?;
        }
        let incoming = Incoming::new(signals.0.iter().map(|watched| watched.number))?;
        let (tripping, nudging) = (signals.clone(), signals.clone());
        thread::Builder::new().spawn(move || tripping.trip(incoming))?;
        thread::Builder::new().spawn(move || nudging.nudge())?;
        fault_signal::take_over()?;
        Ok(WATCHING.get_or_init(|| signals).clone())
    }

    /// Takes the signals that have come, and names one of them.
    pub(crate) fn take(&self) -> Option<String> {
        let taken =
            self.0.iter().map(|watched| (watched, watched.came.swap(false, Ordering::SeqCst)));
        let taken: Vec<_> = taken.collect();
        taken.into_iter().find(|(_, came)| *came).map(|(watched, _)| watched.name.clone())
    }

    /// Fires every trip as soon as a signal comes, whatever the rest of the program waits for.
    fn trip(&self, mut incoming: Incoming) {
        for number in incoming.forever() {
            let come = self.0.iter().find(|signal| signal.number == number);
            trip::fire_all(come.map_or("a signal", |signal| &signal.name));
        }
    }

    /// Wakes the prompt for a signal that nobody took notice of: one that comes after the last look at its flag, and just
    /// before the prompt waits for a key, wakes nobody.
    fn nudge(&self) {
        let mut before = false;
        loop {
            thread::sleep(UNNOTICED);
            let now = self.0.iter().any(|watched| watched.came.load(Ordering::SeqCst));
            if before && now {
                // A process may always signal itself.
                let _ = kill_process(getpid(), NUDGE);
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
    fn every_signal_that_ends_or_suspends_fires_the_trip_once_and_is_told_as_itself() {
        let _alone = trip::alone();
        let signals = Signals::watch().unwrap();
        let handle = TripHandle::default();
        trip::on_panic(&handle);
        for (fires, watched) in (1..).zip(signals.0.iter()) {
            // To the process and not to this thread, as anybody else would send it.
            let mut kill = std::process::Command::new("kill");
            kill.args([format!("-{}", watched.number), std::process::id().to_string()]);
            assert!(kill.status().unwrap().success(), "{}", watched.name);
            until(&watched.name, || handle.has_fired());
            assert_eq!(handle.fired().unwrap().reason, watched.name);
            until(&watched.name, || signals.take().as_ref() == Some(&watched.name));
            assert_eq!(handle.fires(), fires, "{}", watched.name);
            assert!(handle.rearm(fires));
        }
        assert_eq!(signals.0.len(), NAMED.len() + 31);
    }

    #[test]
    fn the_prompt_is_woken_until_the_signal_is_taken_and_the_trip_fires_once() {
        let _alone = trip::alone();
        let signals = Signals::watch().unwrap();
        let handle = TripHandle::default();
        trip::on_panic(&handle);
        let nudged = Arc::new(AtomicBool::new(false));
        signal_hook::flag::register(NUDGE.as_raw(), Arc::clone(&nudged)).unwrap();
        kill_process(getpid(), Signal::TERM).unwrap();
        for _ in 0..2 {
            until("woken", || nudged.swap(false, Ordering::SeqCst));
        }
        assert_eq!(handle.fires(), 1);
        assert_eq!(signals.take().as_deref(), Some("SIGTERM"));
        // One more may have been under way.
        thread::sleep(UNNOTICED * 2);
        nudged.store(false, Ordering::SeqCst);
        thread::sleep(UNNOTICED * 3);
        assert!(!nudged.load(Ordering::SeqCst));
    }
}

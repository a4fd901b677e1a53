//! The handle by which any thread switches every output off.

use std::fmt;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError, Weak};
use std::thread;
use std::time::Instant;

use crate::bench::Lost;
use crate::bench::instruments::Order;
use crate::bench::link::Cutter;

/// How the outputs of one instrument are switched off.
#[derive(Clone)]
pub struct OffSwitch {
    /// The instrument, by its name in the bench file.
    pub instrument: String,
    /// The writing end of its line.
    pub cutter: Cutter,
    /// One message for each output.
    pub messages: Vec<Order>,
}

impl OffSwitch {
    /// Sends every message, whatever became of those before it, and counts those that could not be sent.
    fn send(&self) -> usize {
        self.messages.iter().filter(|message| message.cut(&self.cutter).is_err()).count()
    }
}

/// That the trip was fired.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fired {
    /// Why, by the one that was first.
    pub reason: String,
    /// When that was.
    pub at: Instant,
    /// How many messages could not be sent since then.
    pub unsent: usize,
}

impl Fired {
    pub(super) fn lost(self) -> Lost {
        Lost { instrument: "trip".to_owned(), why: format!("has fired: {}", self.reason) }
    }
}

/// Switches every output off from any thread: it waits for no reply and for nobody who waits for one.
///
/// Once fired it stays so, and no output may come up, until it is armed again.
#[derive(Clone, Default)]
pub struct TripHandle(Arc<Wires>);

#[derive(Default)]
pub(super) struct Wires {
    switches: Vec<OffSwitch>,
    state: Mutex<Fires>,
}

#[derive(Default)]
struct Fires {
    fires: u64,
    fired: Option<Fired>,
}

impl TripHandle {
    /// A handle on these outputs. Without any it only remembers that it was fired.
    #[must_use]
    pub fn new(switches: Vec<OffSwitch>) -> Self {
        Self(Arc::new(Wires { switches, state: Mutex::default() }))
    }

    /// Switches every output off, now, and remembers why unless it is already fired.
    pub fn fire(&self, reason: &str) {
        let at = Instant::now();
        {
            // Remembered before anything is sent: the one that lets an output come up looks afterwards and switches it off.
            let mut state = self.state();
            state.fires += 1;
            let fired = || Fired { reason: reason.to_owned(), at, unsent: 0 };
            state.fired.get_or_insert_with(fired);
        }
        let unsent = self.send_off();
        if let Some(fired) = &mut self.state().fired {
            fired.unsent += unsent;
        }
    }

    /// Sends off to every output without being fired, and counts the messages that could not be sent.
    ///
    /// Each instrument has a thread of its own, so that a line that is stuck holds up no other.
    pub fn send_off(&self) -> usize {
        let Some((first, others)) = self.0.switches.split_first() else { return 0 };
        thread::scope(|scope| {
            let mut threads = Vec::new();
            for switch in others {
                let thread = thread::Builder::new().spawn_scoped(scope, || switch.send());
                threads.push((switch, thread));
            }
            let mut unsent = first.send();
            for (switch, thread) in threads {
                // Where there is no thread to be had, or it failed, it is sent from this one.
                let sent = thread.ok().and_then(|thread| thread.join().ok());
                unsent += sent.unwrap_or_else(|| switch.send());
            }
            unsent
        })
    }

    /// Whether it has an output to switch off.
    #[must_use]
    pub fn has_outputs(&self) -> bool {
        !self.0.switches.is_empty()
    }

    /// That it was fired, if it was and has not been armed again since.
    #[must_use]
    pub fn fired(&self) -> Option<Fired> {
        self.state().fired.clone()
    }

    /// Whether it was fired and has not been armed again since.
    #[must_use]
    pub fn has_fired(&self) -> bool {
        self.state().fired.is_some()
    }

    /// How often it was fired in all.
    #[must_use]
    pub fn fires(&self) -> u64 {
        self.state().fires
    }

    /// Lets outputs come up again, unless it was fired once more than these times; tells whether they may.
    ///
    /// The times are those of before the outputs were confirmed off: a trip that fires in between is not forgotten.
    pub fn rearm(&self, fires: u64) -> bool {
        let mut state = self.state();
        if state.fires == fires {
            state.fired = None;
        }
        state.fired.is_none()
    }

    pub(super) fn downgrade(&self) -> Weak<Wires> {
        Arc::downgrade(&self.0)
    }

    pub(super) fn upgrade(wires: &Weak<Wires>) -> Option<Self> {
        wires.upgrade().map(Self)
    }

    /// Held for a few instructions at a time, never while anything is sent.
    fn state(&self) -> MutexGuard<'_, Fires> {
        self.0.state.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

impl fmt::Debug for TripHandle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let names = self.0.switches.iter().map(|switch| &switch.instrument);
        let names: Vec<_> = names.collect();
        f.debug_struct("TripHandle").field("of", &names).field("fired", &self.fired()).finish()
    }
}

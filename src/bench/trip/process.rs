//! What ends the whole process fires every trip in it.

use std::panic;
#[cfg(test)]
use std::sync::MutexGuard;
use std::sync::{Mutex, Once, PoisonError, Weak};

use super::handle::{TripHandle, Wires};

/// The trips of the process; those whose bench is gone count no longer.
static TRIPS: Mutex<Vec<Weak<Wires>>> = Mutex::new(Vec::new());

/// The hook is set once: each further one would fire every trip once more.
static HOOK: Once = Once::new();

/// Fires this trip on a panic in any thread, and when [`fire_all`] is called.
///
/// The hook goes before the one that is set already, so that nothing is written first.
pub fn on_panic(handle: &TripHandle) {
    let mut trips = TRIPS.lock().unwrap_or_else(PoisonError::into_inner);
    trips.retain(|trip| trip.strong_count() > 0);
    trips.push(handle.downgrade());
    drop(trips);
    HOOK.call_once(|| {
        let before = panic::take_hook();
        panic::set_hook(Box::new(move |info| {
            let words = info.payload_as_str().unwrap_or("without words");
            fire_all(&format!("the program failed: {words}"));
            before(info);
        }));
    });
}

/// Fires every trip of the process, as on a signal.
///
/// To be called from a thread, never from a signal handler.
pub fn fire_all(reason: &str) {
    let trips: Vec<_> = {
        let trips = TRIPS.lock().unwrap_or_else(PoisonError::into_inner);
        trips.iter().filter_map(TripHandle::upgrade).collect()
    };
    for trip in trips {
        trip.fire(reason);
    }
}

/// For tests that fire every trip of the process, by a panic for one, and those that must not be fired so.
#[cfg(test)]
pub(crate) fn alone() -> MutexGuard<'static, ()> {
    static ONE: Mutex<()> = Mutex::new(());
    ONE.lock().unwrap_or_else(PoisonError::into_inner)
}

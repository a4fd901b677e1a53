//! An instrument in the hands of several threads.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use super::device::Device;

/// An instrument that several threads speak with, one whole exchange at a time.
#[derive(Clone)]
pub(super) struct Shared(Arc<Mutex<Device>>);

impl Shared {
    pub(super) fn new(device: Device) -> Self {
        Self(Arc::new(Mutex::new(device)))
    }

    pub(super) fn lock(&self) -> MutexGuard<'_, Device> {
        // A thread that panicked in an exchange leaves the line out of step, which the line itself mends.
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

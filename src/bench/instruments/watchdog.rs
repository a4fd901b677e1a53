//! A watchdog in an instrument: fed while this program lives, so that outputs go off by themselves when it doesn't.

use std::sync::mpsc::{self, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

use super::commands::with_value;
use super::error::DriverError;
use super::order::Order;
use super::shared::Shared;
use crate::bench::link::LinkError;
use crate::procedure;

/// A watchdog that is armed. Dropping it ends the feeding, and disarms it if it can be.
pub(super) struct ArmedWatchdog {
    device: Shared,
    disarm: Option<Order>,
    /// Dropping it wakes the feeding thread, which ends.
    feeding: Option<Sender<()>>,
}

impl ArmedWatchdog {
    /// Arms it and feeds it from a thread of its own: the person may think for minutes at a prompt.
    ///
    /// The thread takes its turn between the messages of others, three times in the watchdog's time, and ends at the first
    /// message that fails: then the instrument is out of reach, and its watchdog is what switches off. Where any message
    /// feeds it, `harmless` is sent.
    pub(super) fn arm(
        device: &Shared,
        watchdog: &procedure::Watchdog,
        harmless: Order,
    ) -> Result<Self, DriverError> {
        let seconds = watchdog.time.to_f64();
        let arm = Order::from(with_value(&watchdog.arm.value, seconds));
        {
            let mut device = device.lock();
            device.tell(&arm)?;
            device.expect_no_error(&arm)?;
        }
        let every = Duration::try_from_secs_f64(seconds / 3.0).unwrap_or(Duration::from_secs(1));
        let feed = watchdog.feed.as_ref().map(|feed| Order::from(feed.value.clone()));
        let (feeding, ended) = mpsc::channel::<()>();
        let fed = device.clone();
        let feed_on = move || {
            while ended.recv_timeout(every) == Err(RecvTimeoutError::Timeout) {
                let mut device = fed.lock();
                let done = match &feed {
                    Some(feed) => device.tell(feed),
                    None => device.ask(&harmless).map(drop),
                };
                if done.is_err() {
                    return;
                }
            }
        };
        let started = thread::Builder::new().name("watchdog".to_owned()).spawn(feed_on);
        started.map_err(|error| LinkError::Failed(error.to_string()))?;
        let disarm = watchdog.disarm.as_ref().map(|disarm| Order::from(disarm.value.clone()));
        Ok(Self { device: device.clone(), disarm, feeding: Some(feeding) })
    }
}

impl Drop for ArmedWatchdog {
    fn drop(&mut self) {
        drop(self.feeding.take());
        if let Some(disarm) = &self.disarm {
            // An instrument that can't be disarmed switches off what is off already.
            let _ = self.device.lock().tell(disarm);
        }
    }
}

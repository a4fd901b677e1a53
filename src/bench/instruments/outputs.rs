//! All outputs of one instrument: switched off, made sure of, and told again and again where they are not.

use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::thread;
use std::time::Duration;

use super::error::DriverError;
use super::feed::Feed;
use super::order::Order;
use super::shared::Shared;
use crate::bench::{NotOff, Off, OffNews};

/// The time between two tries to have an output off that is not confirmed to be.
const AGAIN: Duration = Duration::from_millis(250);

/// All outputs of one instrument.
#[derive(Clone)]
pub(super) struct Outputs {
    pub(super) instrument: String,
    /// What it is, in the words of the bench file.
    pub(super) what: String,
    pub(super) device: Shared,
    pub(super) feeds: Vec<Feed>,
    /// What switches each of them off.
    pub(super) off: Vec<Order>,
}

impl Outputs {
    /// Switches every output off and tells how that was confirmed. It waits for a reply or two, not for a silent instrument to
    /// come back.
    pub(super) fn switch_off(&self) -> Result<Vec<(String, Off)>, NotOff> {
        if self.off.is_empty() {
            return Ok(Vec::new());
        }
        let mut device = self.device.lock();
        let all = self.feeds.iter().map(|feed| feed.switch().name.clone());
        device.insist(&self.off).map_err(|error| self.not_off(&error, all.collect()))?;
        let (mut confirmed, mut failed) = (Vec::new(), None::<(DriverError, Vec<String>)>);
        // Each one is looked at, whatever is wrong with those before it.
        for feed in &self.feeds {
            let name = feed.switch().name.clone();
            match feed.confirm_off(&mut device) {
                Ok(off) => confirmed.push((name, off)),
                Err(error) => {
                    let is_silent = error.is_out_of_contact();
                    failed.get_or_insert((error, Vec::new())).1.push(name);
                    if is_silent {
                        break;
                    }
                }
            }
        }
        match failed {
            None => Ok(confirmed),
            Some((error, outputs)) => Err(self.not_off(&error, outputs)),
        }
    }

    fn not_off(&self, error: &DriverError, outputs: Vec<String>) -> NotOff {
        NotOff {
            lost: error.lost(&self.instrument),
            what: self.what.clone(),
            outputs,
            is_on: error.tells_on(),
            is_silent: error.is_out_of_contact(),
        }
    }
}

/// An instrument that is told off again and again, from a thread of its own, until it has confirmed it. Dropping it ends that.
pub(super) struct Pursuit {
    pub(super) instrument: String,
    news: Receiver<OffNews>,
    /// Dropping it wakes the thread, which ends.
    _going: Sender<()>,
}

impl Pursuit {
    /// Begins with what the instrument told last. Without a thread to be had there is none.
    pub(super) fn begin(outputs: Outputs, mut last: NotOff) -> Option<Self> {
        let instrument = outputs.instrument.clone();
        let (tell, news) = mpsc::channel();
        let (going, ended) = mpsc::channel::<()>();
        let pursue = move || {
            while ended.recv_timeout(AGAIN) == Err(RecvTimeoutError::Timeout) {
                match outputs.switch_off() {
                    Ok(off) => {
                        let by_word = off.iter().any(|(_, off)| *off != Off::Fallen);
                        let instrument = outputs.instrument;
                        // Nobody who listens any more needs to know.
                        let _ = tell.send(OffNews::Confirmed { instrument, by_word });
                        return;
                    }
                    Err(now) if (&now.outputs, now.is_on) != (&last.outputs, last.is_on) => {
                        let _ = tell.send(OffNews::Otherwise(now.clone()));
                        last = now;
                    }
                    Err(_) => {}
                }
            }
        };
        thread::Builder::new().name("off".to_owned()).spawn(pursue).ok()?;
        Some(Self { instrument, news, _going: going })
    }

    /// What is new, oldest first.
    pub(super) fn news(&self) -> Vec<OffNews> {
        self.news.try_iter().collect()
    }
}

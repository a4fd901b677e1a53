//! Whether the outputs of an instrument are as they were left, and its replies those to our questions.

use std::time::{Duration, Instant};

use super::board::{Board, WatchOver, known};
use super::{Astray, Sampler};
use crate::record::TripCause;

/// How often outputs are asked for their state. It takes real time from the sampling, whatever the bench's clock says.
const EVERY: Duration = Duration::from_secs(1);

/// When the outputs of an instrument were asked for their state, and what they may say.
#[derive(Default)]
pub(super) struct States {
    /// They are being switched off: one that is off is as it should be.
    pub(super) off_is_due: bool,
    asked: Option<Instant>,
}

impl States {
    pub(super) fn are_due(&self) -> bool {
        self.asked.is_none_or(|asked| asked.elapsed() >= EVERY)
    }

    /// Asks them all: one that is astray fires the trip before anything else.
    pub(super) fn ask(
        &mut self,
        sampler: &mut dyn Sampler,
        board: &Board<'_>,
    ) -> Result<(), WatchOver> {
        // Before the first look nothing was asked that could have been answered by another's reply.
        if self.asked.is_some() {
            known(sampler.be_sure(), board)?;
        }
        let astray = known(sampler.astray(self.off_is_due), board)?;
        self.asked = Some(Instant::now());
        // A trip that was fired meanwhile has switched off what would now be told as gone off by itself.
        if board.has_fired() {
            return Err(WatchOver);
        }
        match astray {
            None => return Ok(()),
            Some(Astray::FoundOn(output)) => board.find_on(sampler.name(), output),
            Some(Astray::WentOff(output)) => {
                board.trip(sampler.name(), TripCause::WentOff { output });
            }
            Some(Astray::Above(reason)) => board.trip(sampler.name(), reason),
        }
        Err(WatchOver)
    }
}

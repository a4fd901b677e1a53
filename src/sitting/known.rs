//! What is known at a bench from what is written down: the newest time, as the clock of a machine can be set back, and the people file
//! that was approved.

use std::path::Path;

use chrono::{DateTime, FixedOffset};

use super::front::Front;
use super::opening::Answering;
use crate::journal::JournalError;
use crate::journal::register::Index;
use crate::record::{Approval, CLOCKS_DIFFER_MS, span_words};
use crate::report::{Sheet, Tone};

/// What is known of the time and of the people.
pub(crate) struct KnownAtStart {
    now: DateTime<FixedOffset>,
    /// The latest of the clock and of every line of the register and of the record.
    pub(crate) newest: DateTime<FixedOffset>,
    /// The people file that was approved last in the folder.
    pub(crate) approval: Approval,
}

impl KnownAtStart {
    /// From the clock, the register of a folder and the newest entry of a record.
    ///
    /// # Errors
    /// A register that can't be read: what it knows of the time and of the people is not taken for nothing.
    pub(crate) fn at(
        folder: &Path,
        recorded: Option<DateTime<FixedOffset>>,
        answering: &Answering,
    ) -> Result<Self, JournalError> {
        let now = answering.clock.now().wall;
        let register = Index::read(folder)?;
        let approval = register.as_ref().map_or(Approval::Never, Index::approval);
        let registered = register.as_ref().and_then(Index::newest_at);
        let newest = [recorded, registered].into_iter().flatten().fold(now, DateTime::max);
        Ok(Self { now, newest: newest.with_timezone(now.offset()), approval })
    }

    /// Says so where the clock is behind what is written down.
    pub(super) fn tell(&self, front: &mut dyn Front) {
        let back_ms = (self.newest - self.now).num_milliseconds();
        if back_ms <= CLOCKS_DIFFER_MS {
            return;
        }
        let mut sheet = Sheet::new(front.style());
        let back = span_words(back_ms.unsigned_abs());
        let words = format!(
            "THE CLOCK IS BACK by {back}: it shows {}, and something was written down here on {}.",
            self.now.format("%Y-%m-%d %H:%M"),
            self.newest.format("%Y-%m-%d %H:%M")
        );
        sheet.indented(Tone::Bad, "", &words);
        let then = "Competence, calibration and the age of results are judged at the later time. Set the clock right.";
        sheet.indented(Tone::Caution, "", then);
        front.show(&sheet.finish());
    }
}

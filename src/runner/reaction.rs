//! Which events fit the moment, and what each of them leads to.

use super::batch::Batch;
use super::effect::WhichSitting;
use super::era::Era;
use super::machine::Runner;
use crate::procedure::identity;
use crate::record::{Event, Fact, Key, Moment, StopReason};

impl Runner {
    pub(super) fn takes(&self, at: Moment, event: &Event) -> bool {
        match event {
            _ if !self.admits_newcomer(at, event) => false,
            Event::Started(opening) => {
                self.crew.is_empty() && !identity(&opening.operator).is_empty()
            }
            _ if self.crew.is_empty() => false,
            // What this runner did after the record failed is nowhere written: only a fresh one, fed from the record,
            // may go on.
            Event::Resumed { by, .. } => {
                self.recording && self.is_resumable() && !identity(by).is_empty()
            }
            // Added to a record after a sitting: no part of the run.
            Event::Diagnosed(_) | Event::Amended { .. } | Event::Voided { .. } => false,
            _ if self.progress.is_over() => false,
            Event::Ticked => self.wait_is_over(at),
            Event::Entered { key, .. }
            | Event::Measured { key, .. }
            | Event::Acknowledged { key, .. }
            | Event::Declined { key, .. }
            | Event::Attached { key: Some(key), .. } => self.is_asked(key),
            Event::Sampled { key, .. } => {
                self.progress.current().is_some_and(|c| c.question.key == *key)
            }
            Event::Probed { key, .. } => self.practises && self.is_asked(key),
            Event::Present { key, .. } => self.is_waited_for(key),
            Event::Unattended { key, .. } => self.is_waited_for(key) || self.is_attended(key),
            Event::FoundOn(_)
            | Event::OffUnconfirmed { .. }
            | Event::OffConfirmed { .. }
            | Event::Noted { .. }
            | Event::Attached { key: None, .. }
            | Event::HandedOver { .. }
            | Event::Halted { .. }
            | Event::InstrumentLost { .. }
            | Event::Tripped { .. }
            | Event::RecordFailed { .. }
            | Event::ClockUpset { .. }
            | Event::Interrupted { .. }
            | Event::Abandoned { .. } => true,
        }
    }

    fn is_asked(&self, key: &Key) -> bool {
        self.progress.current().is_some_and(|c| c.question.key == *key && c.wait.is_none())
    }

    fn is_waited_for(&self, key: &Key) -> bool {
        self.progress.current().is_some_and(|c| c.question.key == *key && c.wait.is_some())
    }

    /// Tells whether somebody has to be there while the question of this key stands.
    fn is_attended(&self, key: &Key) -> bool {
        let current = self.progress.current();
        current.is_some_and(|c| c.question.key == *key && c.question.presence.is_some())
    }

    fn wait_is_over(&self, at: Moment) -> bool {
        let wait = self.progress.current().and_then(|current| current.wait);
        wait.is_some_and(|wait| at.elapsed_ms >= wait.until_ms)
    }

    pub(super) fn react(&mut self, batch: &mut Batch, event: &Event) {
        match event {
            Event::Started(opening) => self.start(batch, opening),
            Event::Resumed { by, program, approval, .. } => {
                self.era = Era::of(program);
                self.resume(batch, by);
                self.note_approval(batch, approval.as_ref(), WhichSitting::Later);
            }
            Event::Entered { text, origin, signature, .. } => {
                self.entered_signed(batch, text, *origin, signature.as_deref());
            }
            Event::Measured { text, .. } => self.measured(batch, text),
            Event::Sampled { traces, .. } => self.sampled(batch, traces),
            Event::Present { key, origin } => {
                batch.facts.push(Fact::Present { key: key.clone(), origin: *origin });
            }
            Event::Unattended { ms, .. } => self.stop(batch, StopReason::Unattended { ms: *ms }),
            Event::FoundOn(output) => self.stop(batch, StopReason::FoundOn(output.clone())),
            Event::OffUnconfirmed { instrument, error, outputs, is_on } => {
                self.off_unconfirmed(batch, instrument, error, outputs, *is_on);
            }
            Event::OffConfirmed { instrument, by_word } => {
                self.off_confirmed(batch, instrument, *by_word);
            }
            Event::Acknowledged { origin, .. } => self.acknowledged(batch, *origin),
            Event::Declined { reason, .. } => self.declined(batch, reason),
            Event::Attached { key: Some(_), name, .. } => self.attached(batch, name),
            Event::Attached { key: None, .. }
            | Event::Noted { .. }
            | Event::Probed { .. }
            | Event::Diagnosed(_)
            | Event::Amended { .. }
            | Event::Voided { .. } => {}
            Event::Ticked => self.waited(batch),
            Event::HandedOver { to, remarks, signatures } => {
                self.hand_over(batch, to, remarks, signatures);
            }
            Event::Halted { reason } => {
                self.stop(batch, StopReason::Halted { reason: reason.clone() });
            }
            Event::InstrumentLost { instrument } => {
                self.stop(batch, StopReason::InstrumentLost { instrument: instrument.clone() });
            }
            Event::Tripped { reason, .. } => {
                self.stop(batch, StopReason::Tripped { reason: reason.clone() });
            }
            Event::RecordFailed { error } => {
                self.recording = false;
                self.stop(batch, StopReason::RecordFailed { error: error.clone() });
            }
            Event::Interrupted { signal } => {
                self.stop(batch, StopReason::Interrupted { signal: signal.clone() });
            }
            Event::ClockUpset { slept_ms, set_ms } => self.clock_upset(batch, *slept_ms, *set_ms),
            Event::Abandoned { .. } => self.abandon(batch),
        }
    }
}

//! A question, and what connected instruments are asked while it stands.

use std::io::{self, PipeReader};
use std::sync::mpsc::{self, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use super::front::{Front, Reply, View};
use super::session::{Session, nobody_to_ask};
use super::supervision::Cut;
use crate::bench::{End, Go, Lost, Watched, Work};
use crate::journal::Disk;
use crate::record::Event;
use crate::runner::{Expects, Question};

/// How long one look at the answer waits for it.
const LOOK: Duration = Duration::from_millis(100);

impl<D: Disk> Session<'_, D> {
    /// Puts a question while connected instruments are watched. What ends that comes before the answer, which then counts
    /// no longer.
    pub(super) fn put(&mut self, question: &Question) -> Result<Reply, Event> {
        if question.guards.is_empty() && !self.has_outputs_to_ask(question) {
            let Some(run) = &self.run else { return Err(nobody_to_ask()) };
            return Ok(self.front.ask(question, View { procedure: &self.procedure, run }, None));
        }
        let (reply, watched) = if self.front.takes_time() {
            self.watch_beside(question, |front, view, ended| {
                front.ask(question, view, Some(ended))
            })?
        } else {
            let Some(run) = &self.run else { return Err(nobody_to_ask()) };
            let reply = self.front.ask(question, View { procedure: &self.procedure, run }, None);
            // What an instrument reads is looked at behind the reading.
            let is_read = reply == Reply::Measure;
            (reply, if is_read { Watched::nothing() } else { self.look_over(question) })
        };
        self.before(question, reply, watched)
    }

    /// What comes before the reply, if anything does. What is no answer is kept all the same.
    fn before(
        &mut self,
        question: &Question,
        reply: Reply,
        mut watched: Watched,
    ) -> Result<Reply, Event> {
        if watched.end == End::Asked {
            // A record of every thought would be long; what ended badly is kept.
            watched.traces.clear();
        }
        let is_kept = matches!(reply, Reply::Note(_) | Reply::Attach(_) | Reply::HandOver { .. });
        match self.keep(question, watched, 0, Some(Cut::Reply(reply.clone()))) {
            Some(Cut::Event(event)) => {
                let kept = if is_kept { self.event(question, reply) } else { None };
                self.pending.extend(kept);
                Err(self.in_turn(event))
            }
            _ => Ok(reply),
        }
    }

    /// Tells whether there are outputs whose state means something. After a trip that was fired and could not be confirmed
    /// the person has been told that it is not known: that is no news again and again.
    pub(super) fn has_outputs_to_ask(&self, question: &Question) -> bool {
        let trip = self.bench.handle();
        trip.has_outputs() && (question.energy.is_energised() || !trip.has_fired())
    }

    /// Asks every output once whether it is as it was left.
    pub(super) fn look_over(&mut self, question: &Question) -> Watched {
        let work = Work::Glance { off_is_due: is_off_due(question) };
        self.bench.watch(&work, &[], &mut |_| Go::Enough)
    }

    /// Has something else asked for the sake of an answer, such as a signature, while connected instruments are watched as
    /// they are beside the question itself.
    ///
    /// # Errors
    /// What came before; `None` when the question has to be put again.
    pub(super) fn beside<T>(
        &mut self,
        question: &Question,
        ask: impl FnOnce(&mut dyn Front, Option<&PipeReader>) -> Result<T, Reply>,
    ) -> Result<T, Option<Event>> {
        let is_watched = self.front.takes_time()
            && (!question.guards.is_empty() || self.has_outputs_to_ask(question));
        let (got, mut watched) = if is_watched {
            self.watch_beside(question, |front, _, ended| ask(front, Some(&ended)))?
        } else {
            (ask(self.front, None), Watched::nothing())
        };
        if watched.end == End::Asked {
            watched.traces.clear();
        }
        let cut = got.as_ref().err().cloned().map(Cut::Reply);
        match self.keep(question, watched, 0, cut) {
            Some(Cut::Event(event)) => Err(Some(self.in_turn(event))),
            _ => got.map_err(|reply| self.event(question, reply)),
        }
    }

    /// Asks in this thread and watches in another. That one ends before anything else is done with the bench, and when it
    /// does the prompt wakes up.
    fn watch_beside<R>(
        &mut self,
        question: &Question,
        ask: impl FnOnce(&mut dyn Front, View<'_>, PipeReader) -> R,
    ) -> Result<(R, Watched), Event> {
        let Some(run) = &self.run else { return Err(nobody_to_ask()) };
        let view = View { procedure: &self.procedure, run };
        let (bench, front) = (&mut self.bench, &mut *self.front);
        let work = Work::Stand { off_is_due: is_off_due(question) };
        let (ended, ends) = io::pipe().map_err(failed)?;
        let (answered, answers) = mpsc::channel::<()>();
        thread::scope(|scope| {
            let watching = thread::Builder::new().spawn_scoped(scope, move || {
                // Closed when this thread is over, however that comes.
                let _ends = ends;
                bench.watch(&work, &question.guards, &mut |_| match answers.recv_timeout(LOOK) {
                    Err(RecvTimeoutError::Timeout) => Go::On,
                    Ok(()) | Err(RecvTimeoutError::Disconnected) => Go::Enough,
                })
            });
            let watching = watching.map_err(failed)?;
            let reply = ask(front, view, ended);
            drop(answered);
            let watched = watching.join().unwrap_or_else(|_| Watched {
                traces: Vec::new(),
                end: End::Lost(not_watched("the program failed while it was watched".to_owned())),
            });
            Ok((reply, watched))
        })
    }
}

fn is_off_due(question: &Question) -> bool {
    question.expects == Expects::Word("off")
}

fn not_watched(why: String) -> Lost {
    Lost { instrument: "wattstep".to_owned(), why }
}

fn failed(error: io::Error) -> Event {
    Event::InstrumentLost { instrument: not_watched(error.to_string()).to_string() }
}

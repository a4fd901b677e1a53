//! A question, and what connected instruments are asked while it stands.

use std::io;
use std::sync::mpsc::{self, Receiver, RecvTimeoutError};
use std::thread;
use std::time::Duration;

use super::beside::{Attendant, PromptEnd};
use super::front::{Front, Reply, View};
use super::session::{Session, nobody_to_ask};
use super::supervision::Cut;
use crate::bench::{Go, Lost, SamplingEnd, Watched, Work};
use crate::journal::Disk;
use crate::record::Event;
use crate::runner::{Expects, Question};

/// How long one look at the answer waits for it.
const LOOK: Duration = Duration::from_millis(100);

impl<D: Disk> Session<'_, D> {
    /// Puts a question while the clocks, the person's presence and connected instruments are watched. What ends that comes
    /// before the answer, which then counts no longer.
    pub(super) fn put(&mut self, question: &Question) -> Result<Reply, Event> {
        let is_watched = !question.guards.is_empty() || self.has_outputs_to_ask(question);
        if self.front.takes_time() {
            let ask = |front: &mut dyn Front, view: View<'_>, beside| {
                front.ask(question, view, Some(beside))
            };
            let asked = self.watch_beside(question, is_watched, ask)?;
            return self.before(question, asked);
        }
        let Some(run) = &self.run else { return Err(nobody_to_ask()) };
        let reply = self.front.ask(question, View { procedure: &self.procedure, run }, None);
        // What an instrument reads is looked at behind the reading.
        let is_over = !is_watched || reply == Reply::Measure;
        let watched = if is_over { Watched::nothing() } else { self.look_over(question) };
        self.before(question, Asked { reply, watched, found: None })
    }

    /// What comes before the reply, if anything does. What is no answer is kept all the same.
    fn before(
        &mut self,
        question: &Question,
        Asked { reply, watched, found }: Asked<Reply>,
    ) -> Result<Reply, Event> {
        let is_kept = matches!(reply, Reply::Note(_) | Reply::Attach(_) | Reply::HandOver { .. });
        let cut = Some(Cut::Reply(reply.clone()));
        match self.came_first(question, watched, found, cut) {
            Some(Cut::Event(event)) => {
                let kept = if is_kept { self.event(question, reply) } else { None };
                self.pending.extend(kept);
                Err(self.in_turn(event))
            }
            _ => Ok(reply),
        }
    }

    /// What ended the asking: what the instruments found, then what was found beside them, then the reply.
    fn came_first(
        &mut self,
        question: &Question,
        mut watched: Watched,
        found: Option<Event>,
        reply: Option<Cut>,
    ) -> Option<Cut> {
        let is_sound = watched.end == SamplingEnd::Asked;
        if is_sound {
            // A record of every thought would be long; what ended badly is kept.
            watched.traces.clear();
        }
        // An upset of the clocks is told once: it waits behind what the instruments found.
        let later = found.clone().filter(|event| !is_sound && !event.is_answer());
        let came = self.keep(question, watched, 0, found.map(Cut::Event).or(reply));
        self.pending.extend(later);
        came
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
        ask: impl FnOnce(&mut dyn Front, Option<&PromptEnd>) -> Result<T, Reply>,
    ) -> Result<T, Option<Event>> {
        let is_watched = !question.guards.is_empty() || self.has_outputs_to_ask(question);
        let Asked { reply: got, watched, found } = if self.front.takes_time() {
            let ask =
                |front: &mut dyn Front, _: View<'_>, beside: PromptEnd| ask(front, Some(&beside));
            self.watch_beside(&without_presence(question), is_watched, ask)?
        } else {
            Asked { reply: ask(self.front, None), watched: Watched::nothing(), found: None }
        };
        let cut = got.as_ref().err().cloned().map(Cut::Reply);
        match self.came_first(question, watched, found, cut) {
            Some(Cut::Event(event)) => Err(Some(self.in_turn(event))),
            _ => got.map_err(|reply| self.event(question, reply)),
        }
    }

    /// Asks in this thread and watches in another. That one ends before anything else is done with the bench, and when it
    /// does the prompt wakes up.
    fn watch_beside<R>(
        &mut self,
        question: &Question,
        is_watched: bool,
        ask: impl FnOnce(&mut dyn Front, View<'_>, PromptEnd) -> R,
    ) -> Result<Asked<R>, Event> {
        let Some(run) = &self.run else { return Err(nobody_to_ask()) };
        let view = View { procedure: &self.procedure, run };
        let (bench, front) = (&mut self.bench, &mut *self.front);
        let work = Work::Stand { off_is_due: is_off_due(question) };
        let (mut attendant, beside) = Attendant::at(question, &self.clock).map_err(failed)?;
        let (answered, answers) = mpsc::channel::<()>();
        thread::scope(|scope| {
            let watching = thread::Builder::new().spawn_scoped(scope, move || {
                let mut found = None;
                let mut look = || match is_answered(&answers) {
                    true => Go::Enough,
                    false => attendant.look(&mut found),
                };
                let watched = if is_watched {
                    bench.watch(&work, &question.guards, &mut |_| look())
                } else {
                    while look() == Go::On {}
                    Watched::nothing()
                };
                (watched, found)
            });
            let watching = watching.map_err(failed)?;
            let reply = ask(front, view, beside);
            drop(answered);
            let (watched, found) = watching.join().unwrap_or_else(|_| {
                let why = "the program failed while it was watched".to_owned();
                (Watched { traces: Vec::new(), end: SamplingEnd::Lost(not_watched(why)) }, None)
            });
            Ok(Asked { reply, watched, found })
        })
    }
}

/// What came of a question.
struct Asked<R> {
    reply: R,
    watched: Watched,
    /// What ended it beside the instruments.
    found: Option<Event>,
}

/// Waits a little for the answer.
fn is_answered(answers: &Receiver<()>) -> bool {
    answers.recv_timeout(LOOK) != Err(RecvTimeoutError::Timeout)
}

/// The question without the call for presence: the person who is asked to sign is called by that, and each request ends by itself.
fn without_presence(question: &Question) -> Question {
    Question { presence: None, ..question.clone() }
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

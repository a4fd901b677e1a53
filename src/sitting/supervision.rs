//! What instruments do while a session looks on: readings, ramps, and points sampled while time passes.

use std::time::Duration;

use super::clock::Clock;
use super::front::{Reply, View, WaitStanding};
use super::live::{Attendance, Due, LatestValues};
use super::session::{Session, nobody_to_ask, record_failed};
use super::sources::AnyBench;
use crate::bench::{Go, Lost, SamplingEnd, Sent, Trip, Watched, Work};
use crate::diagnostic::{clean, cut};
use crate::journal::{Disk, Journal};
use crate::procedure::act::{Guard, Way};
use crate::procedure::{OutputValue, Point};
use crate::quantity::{Quantity, Reading, Unit};
use crate::record::{Event, Key, OutputOn, SampleSpan as Sampled, Trace, TripCause};
use crate::runner::{Expects, Question, WaitSpan};

impl<D: Disk> Session<'_, D> {
    /// Lets time pass, with what is sampled in the meantime.
    pub(super) fn wait(&mut self, question: &Question, span: WaitSpan) -> Event {
        let Some(run) = &self.run else { return nobody_to_ask() };
        if let Some(hands) = &self.hands {
            hands.probe(&question.key);
        }
        self.front.begin(question, View { procedure: &self.procedure, run }, span);
        self.clock.hurry(&Work::Hold);
        let now_ms = self.clock.now().elapsed_ms;
        let attendance = Attendance::new(question.presence, now_ms);
        // A script goes from sample to sample: without any it would wait in earnest.
        let is_watched = self.front.takes_time() && self.has_outputs_to_ask(question);
        let reply = if question.guards.is_empty() && !is_watched {
            self.pass(span, attendance)
        } else {
            self.sample(question, span, attendance)
        };
        self.clock.saunter();
        self.front.end();
        let event = self.waited(question, reply);
        self.in_turn(event)
    }

    fn waited(&mut self, question: &Question, cut: Option<Cut>) -> Event {
        let (key, origin) = (question.key.clone(), self.front.origin());
        match cut {
            None => Event::Ticked,
            Some(Cut::Event(event)) => event,
            Some(Cut::Unattended(ms)) => Event::Unattended { key, ms },
            Some(Cut::Reply(Reply::Done)) => Event::Present { key, origin },
            Some(Cut::Reply(reply)) => self.event(question, reply).unwrap_or(Event::Ticked),
        }
    }

    /// Lets time pass with nothing sampled.
    fn pass(&mut self, span: WaitSpan, attendance: Attendance) -> Option<Cut> {
        loop {
            let now_ms = self.clock.now().elapsed_ms;
            if now_ms >= span.until_ms {
                return None;
            }
            self.hear_of_off();
            if let Some(event) = self.pending.pop_front() {
                return Some(Cut::Event(event));
            }
            let standing = WaitStanding { now_ms, ..WaitStanding::default() };
            if let Some(cut) = look(self.front, &self.clock, attendance, standing) {
                return Some(cut);
            }
            let left = span.until_ms - now_ms;
            self.clock.pass(
                attendance.next_ms(now_ms).filter(|ms| *ms > 0).map_or(left, |ms| ms.min(left)),
            );
        }
    }

    /// Lets time pass while points are sampled; the samples go to the runner first.
    fn sample(
        &mut self,
        question: &Question,
        span: WaitSpan,
        attendance: Attendance,
    ) -> Option<Cut> {
        let from_ms = self.clock.now().elapsed_ms;
        let (mut cut, mut values, mut samples) = (None, LatestValues::default(), 0);
        let guards = &question.guards;
        let (front, clock) = (&mut *self.front, &self.clock);
        let span_ms = span.until_ms.saturating_sub(span.from_ms);
        clock.hurry_by_samples(span_ms);
        let watched = self.bench.watch(&Work::Hold, guards, &mut |live| {
            if live.samples > std::mem::replace(&mut samples, live.samples) {
                clock.skip_after_sample(span_ms);
            }
            let now_ms = clock.now().elapsed_ms;
            let shown = values.words(guards, live);
            let standing = WaitStanding { now_ms, shown, ..WaitStanding::default() };
            cut = look(front, clock, attendance, standing);
            if cut.is_some() || now_ms >= span.until_ms { Go::Enough } else { Go::On }
        });
        self.keep(question, watched, from_ms.saturating_sub(span.from_ms), cut)
    }

    /// Puts what was sampled before the next event, and tells what cut it short.
    pub(super) fn keep(
        &mut self,
        question: &Question,
        watched: Watched,
        offset_ms: u64,
        cut: Option<Cut>,
    ) -> Option<Cut> {
        let traces: Vec<_> =
            watched.traces.into_iter().filter(|trace| !trace.spans.is_empty()).collect();
        if !traces.is_empty() {
            let traces = traces.into_iter().map(|trace| later(trace, offset_ms)).collect();
            self.pending.push_back(Event::Sampled { key: question.key.clone(), traces });
        }
        let event = match watched.end {
            SamplingEnd::Asked => return cut,
            SamplingEnd::Tripped { instrument, reason } => {
                Event::Tripped { instrument, reason: Box::new(reason) }
            }
            SamplingEnd::FoundOn { instrument, output } => {
                Event::FoundOn(OutputOn { instrument, output, set_to: None, came_on: true })
            }
            SamplingEnd::Lost(lost) => self.instrument_lost(lost),
            SamplingEnd::Fired { reason } => {
                let signal = match cut {
                    Some(Cut::Reply(Reply::Interrupted(signal))) => Some(signal),
                    _ => self.signal(),
                };
                let instrument = "trip".to_owned();
                match signal {
                    Some(signal) => Event::Interrupted { signal },
                    None => {
                        Event::Tripped { instrument, reason: Box::new(TripCause::Said(reason)) }
                    }
                }
            }
        };
        Some(Cut::Event(event))
    }

    /// The signal that has come, if one has: its flag is set before it fires the trip.
    fn signal(&mut self) -> Option<String> {
        match self.front.live(&WaitStanding::default()) {
            Some(Reply::Interrupted(signal)) => Some(signal),
            _ => None,
        }
    }

    /// What it comes to that an instrument was not reached: a line that a signal cut into is not the instrument's fault.
    pub(super) fn lost(&mut self, lost: Lost) -> Event {
        let fired = self.bench.handle().has_fired();
        let signal = if fired { self.signal() } else { None };
        match signal {
            Some(signal) => Event::Interrupted { signal },
            None => self.instrument_lost(lost),
        }
    }

    /// Has the connected instrument take the reading that is asked for.
    pub(super) fn measure(&mut self, question: &Question) -> Option<Event> {
        let Expects::Value { unit, by: Some(by), .. } = &question.expects else { return None };
        match by.as_ref() {
            Way::At(point) => {
                let sent = self.bench.measure(point);
                let event = self.sent(question, sent);
                let is_read = matches!(event, Event::Measured { .. });
                if !is_read || !self.has_outputs_to_ask(question) {
                    return Some(event);
                }
                // A reading behind an output that is not as it was left is none.
                let watched = self.look_over(question);
                match self.keep(question, watched, 0, None) {
                    Some(Cut::Event(event)) => Some(event),
                    _ => Some(event),
                }
            }
            Way::Ramp { channels, to, over_ms } => {
                Some(self.ramp(question, channels, to, *over_ms, unit))
            }
        }
    }

    fn ramp(
        &mut self,
        question: &Question,
        channels: &[String],
        to: &Quantity,
        over_ms: u64,
        unit: &Unit,
    ) -> Event {
        let Some(run) = &self.run else { return nobody_to_ask() };
        // What is brought up is more energy: not without a record of it.
        if let Err(error) = self.journal.is_there() {
            self.pending.clear();
            return record_failed(&error);
        }
        let from_ms = self.clock.now().elapsed_ms;
        let span = WaitSpan { from_ms, until_ms: from_ms.saturating_add(over_ms) };
        self.front.begin(question, View { procedure: &self.procedure, run }, span);
        let over = Duration::from_millis(over_ms);
        let work = Work::Ramp { channels: channels.to_vec(), to: to.to_f64(), over };
        let guards: Vec<_> = question.guards.iter().map(charging).collect();
        let (mut cut, mut values) = (None, LatestValues::default());
        let (front, clock, journal) = (&mut *self.front, &self.clock, &self.journal);
        clock.hurry(&work);
        let watched = self.bench.watch(&work, &guards, &mut |live| {
            let now_ms = clock.now().elapsed_ms;
            let shown = values.words(&guards, live);
            let left_ms = slow(now_ms.saturating_sub(from_ms), over_ms, live.taken);
            let standing = WaitStanding { now_ms, shown, left_ms, presence_within_ms: None };
            let attendance = Attendance::new(None, now_ms);
            cut = gone(journal).or_else(|| look(front, clock, attendance, standing));
            if cut.is_some() || live.arrived { Go::Enough } else { Go::On }
        });
        clock.saunter();
        self.front.end();
        let event = match self.keep(question, watched, 0, cut) {
            Some(cut) => self.waited(question, Some(cut)),
            None => {
                let sent = farthest(&mut self.bench, channels, to, unit);
                self.sent(question, sent)
            }
        };
        self.in_turn(event)
    }

    /// Puts an event behind those that wait, and gives the first of them.
    pub(super) fn in_turn(&mut self, event: Event) -> Event {
        match self.pending.pop_front() {
            None => event,
            Some(first) => {
                self.pending.push_back(event);
                first
            }
        }
    }

    fn sent(&mut self, question: &Question, sent: Result<Sent, Lost>) -> Event {
        match sent {
            Ok(Sent { text, instrument }) => {
                let key = question.key.clone();
                self.readable(Event::Measured { key, text, instrument })
            }
            Err(lost) => self.lost(lost),
        }
    }
}

impl<D: Disk> Session<'_, D> {
    /// An instrument that says again and again what cannot be taken is lost: asking it for ever helps nobody while the equipment is
    /// live.
    fn readable(&mut self, event: Event) -> Event {
        let Event::Measured { key, text, instrument } = &event else { return event };
        let is_refused = self.runner.refuses(self.clock.now(), &event);
        if !self.refusals.is_one_too_many(key, is_refused) {
            return event;
        }
        let said = cut(&clean(text), 60).into_owned();
        let why = format!(
            "gave {REFUSED_MAX} replies in a row that are not such a reading, at last `{said}`"
        );
        self.instrument_lost(Lost { instrument: instrument.clone(), why })
    }
}

/// How often in a row an instrument may answer a question with what cannot be taken.
const REFUSED_MAX: u32 = 3;

/// How often in a row instruments gave what could not be taken to one question.
#[derive(Debug, Default)]
pub(super) struct Refusals(Option<(Key, u32)>);

impl Refusals {
    /// Counts an answer; tells whether it was refused once too often.
    fn is_one_too_many(&mut self, key: &Key, is_refused: bool) -> bool {
        let before = self.0.take().filter(|(asked, _)| asked == key).map_or(0, |(_, count)| count);
        if is_refused && before + 1 < REFUSED_MAX {
            self.0 = Some((key.clone(), before + 1));
        }
        is_refused && before + 1 >= REFUSED_MAX
    }
}

/// What cuts a wait short.
pub(super) enum Cut {
    Reply(Reply),
    Unattended(u64),
    Event(Event),
}

/// A record or a register that is no longer where it was opened, while an output is brought up.
fn gone<D: Disk>(journal: &Journal<D>) -> Option<Cut> {
    journal.is_there().err().map(|error| Cut::Event(record_failed(&error)))
}

/// One look at the clocks, keys, signals and whether somebody is there.
fn look(
    front: &mut dyn super::front::Front,
    clock: &Clock,
    attendance: Attendance,
    mut standing: WaitStanding,
) -> Option<Cut> {
    if let Some(upset) = clock.upset() {
        return Some(Cut::Event(upset));
    }
    match attendance.due(standing.now_ms) {
        Due::Nothing => {}
        Due::Within(ms) => {
            // A person takes as long to answer in a rehearsal as anywhere.
            clock.saunter();
            standing.presence_within_ms = Some(ms);
        }
        Due::Unattended(ms) => return Some(Cut::Unattended(ms)),
    }
    front.live(&standing).map(Cut::Reply)
}

/// Of the voltages at several outputs, the one farthest from where they were to go.
fn farthest(
    bench: &mut Trip<AnyBench>,
    channels: &[String],
    to: &Quantity,
    unit: &Unit,
) -> Result<Sent, Lost> {
    let mut worst: Option<(f64, Sent)> = None;
    for channel in channels {
        let point = Point::Output { channel: channel.clone(), what: OutputValue::Voltage };
        let sent = bench.measure(&point)?;
        let off = match Reading::parse(&sent.text, unit) {
            Ok(Reading::Number(value)) => (value.to_f64() - to.to_f64()).abs(),
            // What is no number is farthest from everywhere.
            _ => f64::INFINITY,
        };
        if worst.as_ref().is_none_or(|(so_far, _)| off > *so_far) {
            worst = Some((off, sent));
        }
    }
    let nothing = || Lost { instrument: "supply".to_owned(), why: "no output is set".to_owned() };
    worst.map(|(_, sent)| sent).ok_or_else(nothing)
}

/// A guard while an output goes up: each step charges the reservoirs at the limit for a moment.
fn charging(guard: &Guard) -> Guard {
    Guard { limiting_is_outside: false, ..guard.clone() }
}

/// How long a ramp still takes that is slower than was asked for (ms): a slow line makes it longer, never its steps larger.
fn slow(elapsed_ms: u64, over_ms: u64, taken: f64) -> Option<u64> {
    let asked = over_ms as f64 * (1.0 - taken);
    let left = if taken > 0.0 { elapsed_ms as f64 * (1.0 - taken) / taken } else { asked };
    // Some seconds are lost at the start of any.
    (elapsed_ms > 2_000 && left > 1.2 * asked).then_some(left as u64)
}

/// A trace on the clock of the whole wait.
fn later(mut trace: Trace, offset_ms: u64) -> Trace {
    let shift = |span: &mut Sampled| {
        for ms in [&mut span.from_ms, &mut span.until_ms, &mut span.low_ms, &mut span.high_ms] {
            *ms = ms.saturating_add(offset_ms);
        }
    };
    trace.spans.iter_mut().for_each(shift);
    trace
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::runner::Presence;
    use crate::sitting::front::tests::Looking;

    #[test]
    fn an_instrument_is_refused_three_times_in_a_row_and_not_for_ever() {
        let mut refusals = Refusals::default();
        let mut said = |key: &str, is_refused| refusals.is_one_too_many(&key.into(), is_refused);
        assert!(!said("idle", true) && !said("idle", true) && said("idle", true));
        // A good one in between, or another question, begins again.
        assert!(!said("idle", true) && !said("idle", true) && !said("idle", false));
        assert!(!said("idle", true) && !said("ripple", true) && !said("idle", true));
        assert!(!said("idle", true) && said("idle", true));
    }

    #[test]
    fn a_ramp_on_a_slow_line_says_how_long_it_still_takes() {
        // As asked for, it has nothing to say.
        assert_eq!(slow(30_000, 60_000, 0.5), None);
        assert_eq!(slow(0, 60_000, 0.0), None);
        // A hundredth of the way in five seconds.
        assert_eq!(slow(5_000, 20_000, 0.01), Some(495_000));
        // Its time is over, and half of it is left.
        assert_eq!(slow(40_000, 20_000, 0.5), Some(40_000));
    }

    #[test]
    fn a_person_has_as_long_to_answer_in_a_rehearsal_as_anywhere() {
        let clock = Clock::real().rehearsing();
        clock.hurry(&Work::Hold);
        assert!(clock.bench().speed() > 1.0);
        let presence = Presence { every_ms: 600_000, grace_ms: 60_000 };
        let attendance = Attendance::new(Some(presence), 0);
        let mut front = Looking::default();
        let standing = |now_ms| WaitStanding { now_ms, ..WaitStanding::default() };
        assert!(look(&mut front, &clock, attendance, standing(599_999)).is_none());
        assert!(clock.bench().speed() > 1.0);
        assert!(look(&mut front, &clock, attendance, standing(600_001)).is_none());
        assert!((clock.bench().speed() - 1.0).abs() < f64::EPSILON);
    }
}

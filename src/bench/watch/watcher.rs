//! The thread of one instrument.

use std::thread;
use std::time::Duration;

use super::Sampler;
use super::board::{Board, WatchOver, known};
use super::judge::{Judge, JudgedSample};
use super::ramp::Ramp;
use super::states::States;
use super::thin::Thinner;
use crate::bench::{Guard, Lost, SamplingEnd};
use crate::procedure::Point;
use crate::record::TripCause;

/// How long an instrument rests that has nothing to sample until its next step is due.
const REST: Duration = Duration::from_millis(1);

/// The time between two rounds where only states are asked, and while a question stands: a person may think for an hour,
/// and the log of a rehearsal has every message.
const PAUSE: Duration = Duration::from_millis(10);

/// One instrument with everything it has to do in a watch.
pub(super) struct Watcher<'a> {
    pub(super) sampler: &'a mut dyn Sampler,
    pub(super) sampled: Vec<Sampled>,
    /// The outputs that must not limit their current.
    pub(super) limited: Vec<String>,
    pub(super) ramp: Option<Ramp>,
    states: States,
    /// It only asks for the states, once.
    glances: bool,
    /// How long it rests after each round.
    rest: Option<Duration>,
}

/// A point with what its samples have to be.
pub(super) struct Sampled {
    /// The place of its guard.
    pub(super) place: usize,
    pub(super) thinner: Thinner,
    point: Point,
    judge: Judge,
}

impl Sampled {
    pub(super) fn new(place: usize, guard: &Guard, judge: Judge) -> Self {
        Self { place, thinner: Thinner::default(), point: guard.point.clone(), judge }
    }
}

impl<'a> Watcher<'a> {
    pub(super) fn new(sampler: &'a mut dyn Sampler) -> Self {
        Self {
            sampler,
            sampled: Vec::new(),
            limited: Vec::new(),
            ramp: None,
            states: States::default(),
            glances: false,
            rest: None,
        }
    }

    pub(super) fn name(&self) -> String {
        self.sampler.name().to_owned()
    }

    pub(super) fn ramps(&self) -> bool {
        self.ramp.is_some()
    }

    pub(super) fn has_work(&self) -> bool {
        !self.sampled.is_empty() || self.ramps() || self.sampler.has_outputs()
    }

    /// Watches while a question stands.
    pub(super) fn stand(&mut self, off_is_due: bool) {
        self.rest = Some(PAUSE);
        self.expect(off_is_due);
    }

    /// Asks for the states and does nothing else.
    pub(super) fn glance(&mut self, off_is_due: bool) {
        self.glances = true;
        self.expect(off_is_due);
    }

    fn expect(&mut self, off_is_due: bool) {
        self.states.off_is_due = off_is_due;
    }

    /// Samples round and round until it is over.
    pub(super) fn run(&mut self, board: &Board<'_>) {
        let _alarm = board.alarm(self.sampler.name());
        if self.glances {
            return self.ask_states(board);
        }
        if let Some(ramp) = &mut self.ramp
            && let Err(lost) = ramp.begin(self.sampler)
        {
            return board.lose(lost);
        }
        while self.round(board).is_ok() {}
        if !board.has_fired() {
            // What was seen counts only if the outputs were as they were left up to the end.
            self.ask_states(board);
        }
    }

    /// Asks for the states of the outputs, after which it is over whatever they are.
    fn ask_states(&mut self, board: &Board<'_>) {
        let _ = self.states.ask(self.sampler, board);
    }

    /// The states of the outputs where they are due, at most one step of the ramp, then every point once.
    fn round(&mut self, board: &Board<'_>) -> Result<(), WatchOver> {
        if self.states.are_due() {
            self.states.ask(self.sampler, board)?;
        }
        self.step(board)?;
        for sampled in &mut self.sampled {
            goes_on(board)?;
            sampled.sample(self.sampler, board)?;
        }
        for channel in &self.limited {
            goes_on(board)?;
            if known(self.sampler.is_limiting(channel), board)? {
                board.trip(self.sampler.name(), TripCause::Limiting { output: channel.clone() });
                return Err(WatchOver);
            }
        }
        // Arrived is what was sampled once after its last step.
        if self.ramp.take_if(|ramp| ramp.has_arrived()).is_some() {
            board.arrive();
        }
        let idle = if self.ramps() { REST } else { PAUSE };
        if let Some(rest) = self.rest.or_else(|| self.sampled.is_empty().then_some(idle)) {
            thread::sleep(rest);
            goes_on(board)?;
        }
        Ok(())
    }

    fn step(&mut self, board: &Board<'_>) -> Result<(), WatchOver> {
        let Some(ramp) = &mut self.ramp else { return Ok(()) };
        goes_on(board)?;
        if known(ramp.go_on(self.sampler, board.elapsed()), board)? {
            board.step();
        }
        Ok(())
    }
}

impl Sampled {
    /// Takes a sample and judges it: one that is outside fires the trip before anything else.
    fn sample(&mut self, sampler: &mut dyn Sampler, board: &Board<'_>) -> Result<(), WatchOver> {
        let reply = known(sampler.sample(&self.point), board)?;
        match self.judge.judge(&reply) {
            JudgedSample::Outside(sample, value) => {
                let reason = TripCause::Sample { point: self.point.to_string(), sample };
                // Outputs that were switched off before explain what is seen now.
                if board.fire(&reason) {
                    let end = self.outside(sampler, reason, value, board);
                    board.finish(end);
                }
                return Err(WatchOver);
            }
            JudgedSample::Inside(value) => {
                self.keep(value, board);
                board.show(self.place, value);
            }
            JudgedSample::Open => board.show(self.place, f64::NAN),
        }
        Ok(())
    }
}

impl Sampled {
    /// How a watch ends with this sample outside: the value that tripped is kept, once it is sure that it was the answer to this very
    /// question. Off is on its way before that is asked.
    fn outside(
        &mut self,
        sampler: &mut dyn Sampler,
        reason: TripCause,
        value: Option<f64>,
        board: &Board<'_>,
    ) -> SamplingEnd {
        let instrument = sampler.name().to_owned();
        let Some(value) = value else { return SamplingEnd::Tripped { instrument, reason } };
        if sampler.answered_another() {
            let why = format!("its reply was not the answer to the question for {}", self.point);
            return SamplingEnd::Lost(Lost { instrument, why });
        }
        self.keep(value, board);
        SamplingEnd::Tripped { instrument, reason }
    }

    fn keep(&mut self, value: f64, board: &Board<'_>) {
        let now = board.elapsed().as_millis();
        self.thinner.push(u64::try_from(now).unwrap_or(u64::MAX), value);
    }
}

fn goes_on(board: &Board<'_>) -> Result<(), WatchOver> {
    if board.goes_on() { Ok(()) } else { Err(WatchOver) }
}

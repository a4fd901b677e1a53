//! What the threads of a watch share: the latest samples, and how it ended.

use std::sync::atomic::{AtomicBool, AtomicU64, AtomicUsize, Ordering};
use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};
use std::thread;
use std::time::{Duration, Instant};

use super::ramp::STEPS;
use crate::bench::{BenchClock, Go, Live, Lost, SamplingEnd, TripHandle};
use crate::record::TripCause;

/// The time between two looks, on the bench's clock.
const LOOK: Duration = Duration::from_millis(100);

/// The least real time between two looks: the threads that sample need the processor.
const LOOK_MIN: Duration = Duration::from_millis(1);

pub(super) struct Board<'a> {
    trip: &'a TripHandle,
    clock: &'a BenchClock,
    /// When the watch began, on that clock.
    began: Duration,
    /// How many samples were taken of each guard.
    counts: Vec<AtomicU64>,
    /// The bits of each latest sample; those of a number that is none before the first.
    latest: Vec<AtomicU64>,
    /// How many ramps have not arrived.
    ramps: AtomicUsize,
    /// How many steps all ramps take, and have taken.
    steps: u64,
    taken: AtomicU64,
    /// Whether enough was seen.
    enough: AtomicBool,
    end: Mutex<Option<SamplingEnd>>,
    ended: Condvar,
}

impl<'a> Board<'a> {
    pub(super) fn new(
        trip: &'a TripHandle,
        clock: &'a BenchClock,
        guards: usize,
        ramps: usize,
    ) -> Self {
        let nothing = || AtomicU64::new(f64::NAN.to_bits());
        Self {
            trip,
            clock,
            began: clock.now(),
            counts: (0..guards).map(|_| AtomicU64::new(0)).collect(),
            latest: (0..guards).map(|_| nothing()).collect(),
            ramps: AtomicUsize::new(ramps),
            steps: ramps as u64 * u64::from(STEPS),
            taken: AtomicU64::new(0),
            enough: AtomicBool::new(false),
            end: Mutex::new(None),
            ended: Condvar::new(),
        }
    }

    /// Since the watch began, on the bench's clock.
    pub(super) fn elapsed(&self) -> Duration {
        self.clock.now().saturating_sub(self.began)
    }

    /// Whether to go on sampling.
    pub(super) fn goes_on(&self) -> bool {
        !self.has_fired() && !self.enough.load(Ordering::Relaxed)
    }

    /// That the trip was fired, which ends the watch.
    pub(super) fn has_fired(&self) -> bool {
        let fired = self.trip.fired();
        let has_fired = fired.is_some();
        if let Some(fired) = fired {
            self.finish(SamplingEnd::Fired { reason: fired.reason });
        }
        has_fired
    }

    /// Fires the trip, and only then tells of the output that was left off and is on.
    pub(super) fn find_on(&self, instrument: &str, output: String) {
        self.trip.fire(&format!("{instrument}: output {output} is on"));
        self.finish(SamplingEnd::FoundOn { instrument: instrument.to_owned(), output });
    }

    /// Fires the trip; tells whether it was not fired before.
    pub(super) fn fire(&self, reason: &TripCause) -> bool {
        let is_first = !self.has_fired();
        self.trip.fire(&reason.to_string());
        is_first
    }

    /// Fires the trip, and only then tells of what was wrong.
    pub(super) fn trip(&self, instrument: &str, reason: TripCause) {
        self.trip.fire(&reason.to_string());
        self.finish(SamplingEnd::Tripped { instrument: instrument.to_owned(), reason });
    }

    /// Fires the trip, and only then tells of the instrument that was lost.
    pub(super) fn lose(&self, lost: Lost) {
        if let Some(fired) = self.trip.fired() {
            // Its line was cut into: that is no fault of the instrument.
            return self.finish(SamplingEnd::Fired { reason: fired.reason });
        }
        self.trip.fire(&lost.to_string());
        self.finish(SamplingEnd::Lost(lost));
    }

    /// The first end stands, except that what was seen goes before that it was seen elsewhere.
    pub(super) fn finish(&self, end: SamplingEnd) {
        let mut stands = self.end();
        match (&*stands, &end) {
            (None, _) => *stands = Some(end),
            (Some(SamplingEnd::Fired { .. }), SamplingEnd::Fired { .. } | SamplingEnd::Asked) => {}
            (Some(SamplingEnd::Fired { .. }), _) => *stands = Some(end),
            (Some(_), _) => {}
        }
        self.ended.notify_all();
    }

    /// Shows a sample.
    pub(super) fn show(&self, place: usize, value: f64) {
        if let Some(latest) = self.latest.get(place) {
            latest.store(value.to_bits(), Ordering::Relaxed);
        }
        if let Some(count) = self.counts.get(place) {
            count.fetch_add(1, Ordering::Relaxed);
        }
    }

    /// A step more was taken.
    pub(super) fn step(&self) {
        self.taken.fetch_add(1, Ordering::Relaxed);
    }

    /// One ramp more has arrived.
    pub(super) fn arrive(&self) {
        self.ramps.fetch_sub(1, Ordering::Relaxed);
    }

    /// Lets the caller look, again and again, until it has seen enough or the watch has ended.
    pub(super) fn look(&self, look: &mut dyn FnMut(&Live) -> Go) {
        let between = LOOK.div_f64(self.clock.speed());
        while self.goes_on() {
            let begun = Instant::now();
            if look(&self.live()) == Go::Enough {
                self.enough.store(true, Ordering::Relaxed);
                return;
            }
            // A look may wait for something itself: that is time between two looks.
            let rest = between.saturating_sub(begun.elapsed()).max(LOOK_MIN);
            let end = self.end();
            drop(self.ended.wait_timeout_while(end, rest, |end| end.is_none()));
        }
    }

    fn live(&self) -> Live {
        let value = |latest: &AtomicU64| {
            Some(f64::from_bits(latest.load(Ordering::Relaxed))).filter(|value| !value.is_nan())
        };
        Live {
            elapsed: self.elapsed(),
            latest: self.latest.iter().map(value).collect(),
            samples: self
                .counts
                .iter()
                .map(|count| count.load(Ordering::Relaxed))
                .min()
                .unwrap_or(0),
            arrived: self.ramps.load(Ordering::Relaxed) == 0,
            taken: match self.steps {
                0 => 1.0,
                steps => self.taken.load(Ordering::Relaxed) as f64 / steps as f64,
            },
        }
    }

    /// Fires the trip when it goes out of scope on a panic.
    pub(super) fn alarm(&'a self, instrument: &str) -> Alarm<'a> {
        Alarm { board: self, instrument: instrument.to_owned() }
    }

    /// How it ended.
    pub(super) fn into_end(self) -> SamplingEnd {
        let end = self.end.into_inner().unwrap_or_else(PoisonError::into_inner);
        end.unwrap_or(SamplingEnd::Asked)
    }

    fn end(&self) -> MutexGuard<'_, Option<SamplingEnd>> {
        self.end.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// What a thread leaves behind when it panics: no output on, and nobody who samples on or waits for it.
pub(super) struct Alarm<'a> {
    board: &'a Board<'a>,
    instrument: String,
}

impl Drop for Alarm<'_> {
    fn drop(&mut self) {
        if thread::panicking() {
            let why = "the program failed while it was watched".to_owned();
            let lost = Lost { instrument: self.instrument.clone(), why };
            // The hook of the process may have fired it already; this is the one that knows which instrument it was.
            self.board.trip.fire(&lost.to_string());
            self.board.finish(SamplingEnd::Lost(lost));
        }
    }
}

/// Why a thread stops: it was told to, or the trip has been fired, and everybody knows.
pub(super) struct WatchOver;

/// What an instrument answered; one that is lost fires the trip.
pub(super) fn known<T>(answer: Result<T, Lost>, board: &Board<'_>) -> Result<T, WatchOver> {
    answer.map_err(|lost| {
        board.lose(lost);
        WatchOver
    })
}

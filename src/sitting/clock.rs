//! Time, from the two clocks of the bench computer, from a script, or from a rehearsal.

use std::sync::{Mutex, PoisonError};
use std::time::Duration;

use chrono::Local;

use super::vigil::Vigil;
use crate::bench::{BenchClock, Work};
use crate::record::{Event, Moment};

/// The longest sleep between two looks at the signals.
const NAP: Duration = Duration::from_millis(100);

/// What hands take for one question in a rehearsal by a script.
const HANDS: Duration = Duration::from_secs(2);

/// How often a script has everything sampled in a watch.
const ROUNDS: u32 = 60;

/// Tells the time and lets it pass.
#[derive(Debug)]
pub(crate) struct Clock {
    bench: BenchClock,
    /// Time that passes is skipped, where nothing is sampled in it.
    skips: bool,
    /// How many times as fast it runs while time passes.
    hurries: Hurry,
    /// Looked at from the thread that asks and from the one that watches.
    vigil: Mutex<Vigil>,
}

/// How many times as fast a clock runs while time passes.
#[derive(Clone, Copy, Debug)]
struct Hurry {
    hold: f64,
    ramp: f64,
}

impl Clock {
    /// Real time.
    pub(super) fn real() -> Self {
        let (hurries, vigil) = (Hurry { hold: 1.0, ramp: 1.0 }, Mutex::default());
        Self { bench: BenchClock::default(), skips: false, hurries, vigil }
    }

    /// Time that does not make a script wait.
    pub(super) fn skipping() -> Self {
        Self { skips: true, ..Self::real() }
    }

    /// Time of a simulated bench: a minute for a second while a person waits; a script goes from sample to sample.
    pub(crate) fn rehearsing(self) -> Self {
        let hurries = match self.skips {
            true => Hurry { hold: 100.0, ramp: 60.0 },
            false => Hurry { hold: 60.0, ramp: 10.0 },
        };
        Self { hurries, ..self }
    }

    /// The same time, with this for a vigil over the clocks of the machine.
    #[cfg(test)]
    pub(super) fn with(self, vigil: Vigil) -> Self {
        Self { vigil: Mutex::new(vigil), ..self }
    }

    /// The bench's clock that it goes by.
    pub(super) fn bench(&self) -> &BenchClock {
        &self.bench
    }

    /// The time now.
    pub(super) fn now(&self) -> Moment {
        let elapsed_ms = u64::try_from(self.bench.now().as_millis()).unwrap_or(u64::MAX);
        Moment { wall: Local::now().fixed_offset(), elapsed_ms }
    }

    /// What has come between: a sleep of the machine, or a wall clock that was set. It is told once.
    pub(super) fn upset(&self) -> Option<Event> {
        self.vigil.lock().unwrap_or_else(PoisonError::into_inner).upset()
    }

    /// Begins to look out for that: what came before a sitting is of no interest to it.
    pub(super) fn begin_vigil(&self) {
        self.vigil.lock().unwrap_or_else(PoisonError::into_inner).begin();
    }

    /// Lets time pass quickly where it is only simulated.
    pub(super) fn hurry(&self, work: &Work) {
        self.bench.run_at(match work {
            Work::Hold => self.hurries.hold,
            Work::Stand { .. } | Work::Glance { .. } => 1.0,
            Work::Ramp { .. } => self.hurries.ramp,
        });
    }

    /// Lets a watch of this length pass quickly: a script goes from sample to sample, and a machine under load, where the
    /// threads that sample wait for the processor, skips none of them.
    pub(super) fn hurry_by_samples(&self, span_ms: u64) {
        if self.skips {
            self.bench.run_ahead(self.hurries.hold, Duration::from_millis(span_ms) / ROUNDS);
        }
    }

    /// Lets a part of a watch pass at once, now that everything was sampled once more: a script waits for no longer.
    pub(super) fn skip_after_sample(&self, span_ms: u64) {
        if self.skips {
            self.bench.forward(Duration::from_millis(span_ms) / ROUNDS);
        }
    }

    /// Lets time pass as it does.
    pub(super) fn saunter(&self) {
        self.bench.run_at(1.0);
    }

    /// Lets the time pass that hands take for what a question asks: a script takes none.
    pub(super) fn pass_hands(&self) {
        if self.skips {
            self.bench.forward(HANDS);
        }
    }

    /// Lets some of a span pass: a short nap, or all of it at once for a script.
    pub(super) fn pass(&self, ms: u64) {
        let span = Duration::from_millis(ms);
        if self.skips {
            self.bench.forward(span);
        } else {
            std::thread::sleep(span.div_f64(self.bench.speed()).min(NAP));
        }
    }
}

//! The bench's clock: real time for real instruments; a rehearsal may let it run faster, or put it forward.

use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::time::Duration;

use rustix::time::{ClockId, clock_gettime};

/// The time since the machine was started, with what it slept: charge leaks and people act while it sleeps.
#[must_use]
pub fn since_boot() -> Duration {
    shown_by(ClockId::Boottime)
}

/// The time since the machine was started, without what it slept.
#[must_use]
pub fn awake_since_boot() -> Duration {
    shown_by(ClockId::Monotonic)
}

fn shown_by(clock: ClockId) -> Duration {
    let shown = clock_gettime(clock);
    let (seconds, nanoseconds) = (u64::try_from(shown.tv_sec), u32::try_from(shown.tv_nsec));
    Duration::new(seconds.unwrap_or(0), nanoseconds.unwrap_or(0))
}

/// Tells the bench's time since it was set up. All copies of it are one clock.
#[derive(Clone, Debug)]
pub struct BenchClock(Arc<Mutex<ClockState>>);

#[derive(Clone, Copy, Debug)]
struct ClockState {
    /// When its speed was last changed, since the machine was started.
    since: Duration,
    /// What it showed then.
    shown: Duration,
    /// Bench seconds in a real second.
    speed: f64,
    /// How far it runs at that speed before it runs as real time does; without an end where there is none.
    reach: Option<Duration>,
}

impl ClockState {
    fn now(&self) -> Duration {
        let real = since_boot().saturating_sub(self.since);
        let fast = real.mul_f64(self.speed);
        self.shown
            + match self.reach {
                Some(reach) if fast > reach => reach + (real - reach.div_f64(self.speed)),
                _ => fast,
            }
    }

    /// The same clock, which shows this now.
    fn showing(&self, shown: Duration) -> Self {
        Self { since: since_boot(), shown, ..*self }
    }
}

impl Default for BenchClock {
    fn default() -> Self {
        let state =
            ClockState { since: since_boot(), shown: Duration::ZERO, speed: 1.0, reach: None };
        Self(Arc::new(Mutex::new(state)))
    }
}

impl BenchClock {
    /// The time since it was set up.
    #[must_use]
    pub fn now(&self) -> Duration {
        self.state().now()
    }

    /// Bench seconds in a real second.
    #[must_use]
    pub fn speed(&self) -> f64 {
        self.state().speed
    }

    /// Lets it run so many times as fast from here on. A speed that no clock has is no change.
    pub fn run_at(&self, speed: f64) {
        self.run(speed, None);
    }

    /// Lets it run so many times as fast, but only this far; from there on it waits, as real time does, to be put forward.
    /// A thread that samples and gets no processor so misses little of it.
    pub fn run_ahead(&self, speed: f64, reach: Duration) {
        self.run(speed, Some(reach));
    }

    fn run(&self, speed: f64, reach: Option<Duration>) {
        let mut state = self.state();
        if speed.is_finite() && speed > 0.0 {
            *state = ClockState { speed, reach, ..state.showing(state.now()) };
        }
    }

    /// Puts it forward, as if that had been waited for.
    pub fn forward(&self, time: Duration) {
        let mut state = self.state();
        *state = state.showing(state.now() + time);
    }

    fn state(&self) -> MutexGuard<'_, ClockState> {
        self.0.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_runs_as_fast_as_it_is_told_and_can_be_put_forward() {
        let clock = BenchClock::default();
        clock.run_at(1000.0);
        let before = clock.now();
        std::thread::sleep(Duration::from_millis(20));
        let gone = clock.now() - before;
        assert!(gone >= Duration::from_secs(20), "{gone:?}");
        clock.run_at(1.0);
        clock.clone().forward(Duration::from_secs(3600));
        let now = clock.now();
        assert!(now >= before + gone + Duration::from_secs(3600), "{now:?}");
        assert!(clock.now() - now < Duration::from_secs(60), "it still runs fast");
    }

    #[test]
    fn it_runs_ahead_only_as_far_as_it_is_told() {
        let clock = BenchClock::default();
        let began = clock.now();
        clock.run_ahead(1000.0, Duration::from_secs(5));
        std::thread::sleep(Duration::from_millis(20));
        let gone = clock.now() - began;
        assert!(gone >= Duration::from_secs(5), "{gone:?}");
        assert!(gone < Duration::from_secs(15), "20 ms at that speed are 20 s: {gone:?}");
        clock.forward(Duration::from_secs(60));
        std::thread::sleep(Duration::from_millis(20));
        let gone = clock.now() - began;
        assert!(gone >= Duration::from_secs(70), "put forward, it runs as far again: {gone:?}");
        clock.run_at(1.0);
        assert!(clock.now() - began < gone + Duration::from_secs(10));
    }

    #[test]
    fn the_time_that_a_machine_sleeps_counts() {
        let (awake, all) = (awake_since_boot(), since_boot());
        assert!(all >= awake, "{all:?} with the sleep, {awake:?} without");
        assert!(since_boot() > all, "it goes on");
    }

    #[test]
    fn it_never_stands_still_or_goes_back() {
        let clock = BenchClock::default();
        for speed in [0.0, -1.0, f64::NAN, f64::INFINITY] {
            clock.run_at(speed);
        }
        assert!((clock.speed() - 1.0).abs() < f64::EPSILON);
    }
}

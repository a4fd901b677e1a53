//! The bench's clock: it may run faster than the one on the wall, and be put forward.

use std::time::{Duration, Instant};

/// Tells the bench's time in seconds since it was set up.
#[derive(Debug)]
pub(super) struct Clock {
    started: Instant,
    /// Bench seconds for each real one.
    speed: f64,
    /// What it was put forward by (s).
    forward_s: f64,
}

impl Clock {
    pub(super) fn new(speed: f64) -> Self {
        Self { started: Instant::now(), speed, forward_s: 0.0 }
    }

    pub(super) fn now_s(&self) -> f64 {
        self.started.elapsed().as_secs_f64() * self.speed + self.forward_s
    }

    /// Puts it forward by bench time, as if that had been waited for.
    pub(super) fn pass(&mut self, time: Duration) {
        self.forward_s += time.as_secs_f64();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_runs_as_fast_as_it_is_told_and_can_be_put_forward() {
        let mut clock = Clock::new(1000.0);
        let before = clock.now_s();
        std::thread::sleep(Duration::from_millis(20));
        let gone = clock.now_s() - before;
        assert!(gone >= 20.0, "{gone} s");
        clock.pass(Duration::from_secs(3600));
        assert!(clock.now_s() >= before + gone + 3600.0);
    }
}

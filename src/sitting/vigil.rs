//! Whether time went on as it should: the machine did not sleep, and nobody set its wall clock.

use std::fmt;
use std::time::Duration;

use chrono::{DateTime, Local, Utc};

use crate::bench::{awake_since_boot, since_boot};
use crate::record::Event;

/// Sleep that is noticed. The clocks are read one after the other, which takes far less (common practice, no source).
const SLEPT_MIN: Duration = Duration::from_secs(2);

/// A change of the wall clock that is noticed (ms): a leap second is none (common practice, no source).
const SET_MIN_MS: i64 = 3_000;

/// What the clocks of the machine show.
#[derive(Clone, Copy, Debug)]
pub(super) struct Clocks {
    /// Since it was started, with what it slept.
    pub(super) all: Duration,
    /// Since it was started, without what it slept.
    pub(super) awake: Duration,
    pub(super) wall: DateTime<Utc>,
}

impl Clocks {
    fn read() -> Self {
        Self { all: since_boot(), awake: awake_since_boot(), wall: Local::now().to_utc() }
    }
}

/// Compares the clocks of the machine with what they showed when it was last told.
pub(super) struct Vigil {
    read: Box<dyn FnMut() -> Clocks + Send>,
    before: Clocks,
}

impl fmt::Debug for Vigil {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("Vigil").field("before", &self.before).finish_non_exhaustive()
    }
}

impl Default for Vigil {
    fn default() -> Self {
        Self::over(Clocks::read)
    }
}

impl Vigil {
    /// A vigil over these clocks.
    pub(super) fn over(mut read: impl FnMut() -> Clocks + Send + 'static) -> Self {
        let before = read();
        Self { read: Box::new(read), before }
    }

    /// What has come between since it was last told. A clock that is only slewed goes with the others: that is none.
    pub(super) fn upset(&mut self) -> Option<Event> {
        let (before, now) = (self.before, (self.read)());
        let passed = now.all.saturating_sub(before.all);
        let slept = passed.saturating_sub(now.awake.saturating_sub(before.awake));
        let passed_ms = i64::try_from(passed.as_millis()).unwrap_or(i64::MAX);
        let shown_ms = now.wall.signed_duration_since(before.wall).num_milliseconds();
        let set_ms = shown_ms.saturating_sub(passed_ms);
        let (slept, set_ms) = (
            if slept < SLEPT_MIN { Duration::ZERO } else { slept },
            if set_ms.abs() < SET_MIN_MS { 0 } else { set_ms },
        );
        if slept.is_zero() && set_ms == 0 {
            return None;
        }
        self.before = now;
        let slept_ms = u64::try_from(slept.as_millis()).unwrap_or(u64::MAX);
        Some(Event::ClockUpset { slept_ms, set_ms })
    }

    /// Begins afresh: what came before is not of interest.
    pub(super) fn begin(&mut self) {
        self.before = (self.read)();
    }
}

#[cfg(test)]
mod tests {
    use std::sync::{Arc, Mutex};

    use super::*;

    /// Clocks that a test puts forward.
    fn vigil() -> (Vigil, impl Fn(i64, i64, i64)) {
        let start = Clocks {
            all: Duration::from_secs(5_000),
            awake: Duration::from_secs(4_000),
            wall: DateTime::UNIX_EPOCH,
        };
        let shown = Arc::new(Mutex::new(start));
        let read = Arc::clone(&shown);
        let by = |ms: i64| Duration::from_millis(ms.unsigned_abs());
        let pass = move |all: i64, awake: i64, wall: i64| {
            let mut shown = shown.lock().expect("one thread");
            shown.all += by(all);
            shown.awake += by(awake);
            shown.wall += chrono::Duration::milliseconds(wall);
        };
        (Vigil::over(move || *read.lock().expect("one thread")), pass)
    }

    fn told(slept_ms: u64, set_ms: i64) -> Option<Event> {
        Some(Event::ClockUpset { slept_ms, set_ms })
    }

    #[test]
    fn clocks_that_go_on_together_are_no_upset() {
        let (mut vigil, pass) = vigil();
        for _ in 0..100 {
            pass(3_600_000, 3_600_000, 3_600_000);
            assert_eq!(vigil.upset(), None);
        }
        pass(1_000, 1_000, 0);
        assert_eq!(vigil.upset(), None, "a leap second");
    }

    #[test]
    fn a_sleep_is_told_once_with_its_length() {
        let (mut vigil, pass) = vigil();
        pass(9 * 3_600_000, 1_000, 9 * 3_600_000);
        assert_eq!(vigil.upset(), told(9 * 3_600_000 - 1_000, 0));
        assert_eq!(vigil.upset(), None);
    }

    #[test]
    fn a_wall_clock_that_is_set_is_told_either_way() {
        for set_ms in [-304 * 86_400_000, -3_000, 3_000, 86_400_000] {
            let (mut vigil, pass) = vigil();
            pass(1_000, 1_000, 1_000 + set_ms);
            assert_eq!(vigil.upset(), told(0, set_ms));
            assert_eq!(vigil.upset(), None);
        }
    }

    #[test]
    fn many_small_steps_add_up() {
        let (mut vigil, pass) = vigil();
        pass(0, 0, -2_000);
        assert_eq!(vigil.upset(), None);
        pass(0, 0, -2_000);
        assert_eq!(vigil.upset(), told(0, -4_000));
    }

    #[test]
    fn the_clocks_of_this_machine_go_on_together() {
        let mut vigil = Vigil::default();
        std::thread::sleep(Duration::from_millis(20));
        vigil.begin();
        assert_eq!(vigil.upset(), None);
    }
}

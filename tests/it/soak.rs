//! A watch of hours: what it keeps is no more than what it kept of the first minute.

use std::fs;
use std::process::Command;
use std::time::Duration;

use wattstep::test_points::bench::{
    BenchClock, Go, Guard, Lost, SPANS_MAX, Sampler, Sampling, SamplingEnd, TripHandle, Work, run,
};
use wattstep::test_points::procedure::Point;
use wattstep::test_points::quantity::Quantity;
use wattstep::test_points::window::Bounds;

/// Set in the process that is measured: in this one other tests need memory at the same time.
const MEASURED: &str = "WATTSTEP_SOAK";

const POINTS: [&str; 8] = [
    "plus.voltage",
    "plus.current",
    "minus.voltage",
    "minus.current",
    "five.voltage",
    "five.current",
    "twelve.voltage",
    "twelve.current",
];

/// Bench seconds in a real second: two hours in four.
const SPEED: f64 = 1800.0;

const WATCHED: Duration = Duration::from_secs(2 * 3600);

/// The most memory that may come on top after the first tenth of the time.
const GROWTH_MAX_KB: u64 = 2_000;

/// The most that a record may need for it.
const JSON_MAX: usize = 5_000_000;

/// A supply whose values never repeat.
struct Noisy(u64);

impl Sampler for Noisy {
    fn name(&self) -> &str {
        "supply"
    }

    fn reads(&self, _: &Point) -> bool {
        true
    }

    fn feeds(&self, _: &str) -> bool {
        true
    }

    fn sample(&mut self, _: &Point) -> Result<String, Lost> {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        Ok(format!("{:.9}", 1.0 + (self.0 >> 33) as f64 / 1e12))
    }

    fn voltage_set(&mut self, _: &str) -> Result<f64, Lost> {
        Ok(1.0)
    }

    fn set_voltage(&mut self, _: &str, _: f64) -> Result<(), Lost> {
        Ok(())
    }

    fn is_limiting(&mut self, _: &str) -> Result<bool, Lost> {
        Ok(false)
    }
}

fn guard(point: &str) -> Guard {
    let point = Point::parse(point);
    let limit = if point.to_string().ends_with("voltage") { "2 V" } else { "2 A" };
    let bounds = Bounds::at_most(Quantity::parse(limit).unwrap());
    Guard { point, bounds, limiting_is_outside: true }
}

/// The memory of this process; none where the system does not tell.
fn memory_kb() -> Option<u64> {
    let status = fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    line.trim().strip_suffix(" kB")?.parse().ok()
}

#[test]
fn two_hours_of_samples_need_no_more_memory_than_the_first_minutes() {
    if std::env::var_os(MEASURED).is_none() {
        let name = "soak::two_hours_of_samples_need_no_more_memory_than_the_first_minutes";
        let alone = Command::new(std::env::current_exe().unwrap())
            .args(["--exact", name, "--nocapture"])
            .env(MEASURED, "1")
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&alone.stdout);
        assert!(alone.status.success(), "{said}\n{}", String::from_utf8_lossy(&alone.stderr));
        assert!(said.contains("1 passed"), "nothing was measured: {said}");
        return;
    }
    let (trip, mut supply) = (TripHandle::default(), Noisy(1));
    let guards = POINTS.map(guard);
    let mut at_first = None;
    let clock = BenchClock::default();
    clock.run_at(SPEED);
    let sampling = Sampling { samplers: vec![&mut supply], trip: &trip, clock: &clock };
    let watched = run(sampling, &Work::Hold, &guards, &mut |live| {
        if at_first.is_none() && live.elapsed > WATCHED / 10 {
            at_first = Some(memory_kb());
        }
        if live.elapsed >= WATCHED { Go::Enough } else { Go::On }
    });
    assert_eq!(watched.end, SamplingEnd::Asked);
    if let Some((first, last)) = at_first.unwrap().zip(memory_kb()) {
        let growth = last.saturating_sub(first);
        assert!(growth < GROWTH_MAX_KB, "{growth} kB more than the {first} kB of the start");
    }
    for trace in &watched.traces {
        assert!(trace.spans.len() <= SPANS_MAX, "{}: {}", trace.point, trace.spans.len());
        assert!(trace.count() > 10_000, "{}: {}", trace.point, trace.count());
        let whole = trace.whole().unwrap();
        assert!(whole.until_ms > 7_100_000, "{}: {}", trace.point, whole.until_ms);
    }
    let json = serde_json::to_string(&watched.traces).unwrap();
    assert!(json.len() < JSON_MAX, "{} bytes", json.len());
}

//! The machine sleeps in the middle of a sitting: what was answered meanwhile counts no longer, and nothing comes on.
#![expect(clippy::unwrap_used, reason = "a test fails loudly")]

use std::fs;
use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use chrono::DateTime;

use super::clock::Clock;
use super::panicking::{PanicPlace, act};
use super::vigil::{Clocks, Vigil};
use crate::bench::trip;
use crate::record::{Entry, Event, Fact};

/// The events of a run in which the machine sleeps once, at this moment, with the key of the question that was stopped.
fn events(moment: PanicPlace<'static>, takes_time: bool) -> (Vec<Event>, Option<String>) {
    let folder = tempfile::tempdir().unwrap();
    let sleeps = Arc::new(AtomicBool::new(false));
    let has_slept = Arc::clone(&sleeps);
    let vigil = Vigil::over(move || {
        let all = if has_slept.load(Ordering::Relaxed) { 9 * 3600 } else { 0 };
        let all = Duration::from_secs(all);
        Clocks { all, awake: Duration::ZERO, wall: DateTime::UNIX_EPOCH + all }
    });
    let sleep = move |now: PanicPlace<'_>| {
        if now == moment {
            sleeps.store(true, Ordering::Relaxed);
        }
    };
    act(folder.path(), Clock::skipping().with(vigil), takes_time, sleep).unwrap();
    let entries = entries(folder.path());
    let stopped = entries.iter().flat_map(|entry| &entry.facts).find_map(|fact| match fact {
        Fact::Stopped { key: Some(key), .. } => Some(key.to_string()),
        _ => None,
    });
    (entries.into_iter().map(|entry| entry.event).collect(), stopped)
}

fn entries(folder: &Path) -> Vec<Entry> {
    let files = fs::read_dir(folder).unwrap().map(|file| file.unwrap().path());
    let is_record = |path: &std::path::PathBuf| {
        path.extension().is_some_and(|name| name == "jsonl") && !path.ends_with("register.jsonl")
    };
    let path = files.into_iter().find(is_record).unwrap();
    crate::journal::read_file::<Entry>(&path).unwrap().entries
}

fn position(events: &[Event], is: impl Fn(&Event) -> bool) -> usize {
    events.iter().position(is).unwrap()
}

#[test]
fn what_is_answered_after_a_sleep_is_not_taken_and_nothing_comes_on() {
    let _alone = trip::alone();
    for takes_time in [false, true] {
        let (events, stopped) = events(PanicPlace::Question("feed.clear"), takes_time);
        assert_eq!(stopped.as_deref(), Some("feed.clear"));
        let upset = position(&events, |event| {
            matches!(event, Event::ClockUpset { slept_ms: 32_400_000, .. })
        });
        let is_clear = |event: &Event| event.key() == Some(&"feed.clear".into());
        let cleared = position(&events, is_clear);
        assert!(upset < cleared, "asked again before it comes on: {events:#?}");
        let off = |event: &Event| event.key() == Some(&"make-safe.off".into());
        let made_safe = events.iter().skip(upset + 1).position(off);
        assert_eq!(made_safe, Some(0), "{events:#?}");
    }
}

#[test]
fn a_sleep_in_a_ramp_and_in_a_watch_ends_it() {
    let _alone = trip::alone();
    for key in ["feed-up", "feed-watch"] {
        let (events, stopped) = events(PanicPlace::Look(key), false);
        assert_eq!(stopped.as_deref(), Some(key));
        let upset = position(&events, |event| matches!(event, Event::ClockUpset { .. }));
        let next = events.get(upset + 1).unwrap();
        assert_eq!(next.key(), Some(&"make-safe.off".into()), "{events:#?}");
    }
}

//! What a person sees and owes while time passes: the values with their trend, and the word that somebody is there.

use std::collections::VecDeque;

use crate::bench::Live;
use crate::procedure::Point;
use crate::procedure::act::Guard;
use crate::quantity::{Dimension, Quantity, Unit};
use crate::runner::Presence;

/// Looks that a trend is taken over: about three seconds of them.
const LOOKS: usize = 30;

/// A change of this part of the value is no trend.
const STEADY: f64 = 0.005;

/// Whether somebody still has to say that they are there.
#[derive(Clone, Copy, Debug)]
pub(super) struct Attendance {
    presence: Option<Presence>,
    /// When it was confirmed last, or the wait began.
    since_ms: u64,
}

/// What is due.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Due {
    /// Nothing yet.
    Nothing,
    /// The person has this long to answer (ms).
    Within(u64),
    /// Nobody answered for this long (ms).
    Unattended(u64),
}

impl Attendance {
    pub(super) fn new(presence: Option<Presence>, since_ms: u64) -> Self {
        Self { presence, since_ms }
    }

    pub(super) fn due(&self, now_ms: u64) -> Due {
        let Some(presence) = self.presence else { return Due::Nothing };
        let alone = now_ms.saturating_sub(self.since_ms);
        match alone.checked_sub(presence.every_ms) {
            None => Due::Nothing,
            Some(late) if late < presence.grace_ms => Due::Within(presence.grace_ms - late),
            Some(_) => Due::Unattended(alone),
        }
    }

    /// How long until it is asked for next (ms).
    pub(super) fn next_ms(&self, now_ms: u64) -> Option<u64> {
        let presence = self.presence?;
        Some((self.since_ms + presence.every_ms).saturating_sub(now_ms))
    }
}

/// The latest values of what is sampled, and where they go.
#[derive(Debug, Default)]
pub(super) struct LatestValues {
    history: VecDeque<Vec<Option<f64>>>,
}

impl LatestValues {
    /// The values in a few words: `plus.current 41.2 mA, rising`.
    pub(super) fn words(&mut self, guards: &[Guard], live: &Live) -> String {
        self.history.push_back(live.latest.clone());
        if self.history.len() > LOOKS {
            self.history.pop_front();
        }
        let words = guards.iter().enumerate().map(|(n, guard)| {
            let then = self.history.iter().find_map(|values| values.get(n).copied().flatten());
            let now = live.latest.get(n).copied().flatten();
            format!("{} {}", name(&guard.point), value(guard, now) + trend(then, now))
        });
        words.collect::<Vec<_>>().join("  ")
    }
}

/// A point in short: what is read at an output shows in the unit.
fn name(point: &Point) -> &str {
    match point {
        Point::Output { channel, .. } => channel,
        Point::Function(function) => function,
    }
}

fn value(guard: &Guard, now: Option<f64>) -> String {
    let unit = guard.point.unit();
    let limit = guard.bounds.low.or(guard.bounds.high);
    let dimension = unit.as_ref().map(Unit::dimension).or(limit.map(|limit| limit.dimension));
    let now = now.and_then(|now| Quantity::from_f64(now, dimension.unwrap_or(Dimension::NONE)));
    now.map_or_else(|| "...".to_owned(), |now| now.engineering(3, None))
}

fn trend(then: Option<f64>, now: Option<f64>) -> &'static str {
    let Some((then, now)) = then.zip(now) else { return "" };
    let change = now - then;
    let width = STEADY * then.abs().max(now.abs());
    if change > width {
        ", rising"
    } else if change < -width {
        ", falling"
    } else {
        ""
    }
}

#[cfg(test)]
mod tests {
    use super::{Attendance, Due, trend};
    use crate::runner::Presence;

    #[test]
    fn presence_is_asked_for_then_missed() {
        let presence = Presence { every_ms: 600_000, grace_ms: 60_000 };
        let attendance = Attendance::new(Some(presence), 1_000);
        assert_eq!(attendance.due(600_999), Due::Nothing);
        assert_eq!(attendance.next_ms(600_999), Some(1));
        assert_eq!(attendance.due(601_000), Due::Within(60_000));
        assert_eq!(attendance.due(660_999), Due::Within(1));
        assert_eq!(attendance.due(661_000), Due::Unattended(660_000));
    }

    #[test]
    fn where_no_mains_is_on_nobody_has_to_say_anything() {
        assert_eq!(Attendance::new(None, 0).due(u64::MAX), Due::Nothing);
    }

    #[test]
    fn a_trend_is_more_than_the_noise() {
        assert_eq!(trend(Some(1.0), Some(1.02)), ", rising");
        assert_eq!(trend(Some(1.0), Some(0.98)), ", falling");
        assert_eq!(trend(Some(1.0), Some(1.004)), "");
        assert_eq!(trend(None, Some(1.0)), "");
    }
}

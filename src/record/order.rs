//! The order of time in a record or a register: no line is dated before the one above it.

use chrono::{DateTime, FixedOffset};
use serde::Serialize;

use super::span_words;

/// What the clocks of two machines may differ by without a word (ms; common practice, no source).
pub const CLOCKS_DIFFER_MS: i64 = 60_000;

/// A line that is dated before the one above it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DatedBack {
    /// The number of the line.
    pub line: usize,
    /// How long before the line above it (ms).
    pub by_ms: u64,
    /// Whether it is before the first line too: what ends there ended before it began.
    pub before_first: bool,
}

impl DatedBack {
    /// It in words, without a point at its end.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { line, by_ms, before_first } = self;
        let by = span_words(*by_ms);
        let first = if *before_first { ", and before line 1: it ends before it began" } else { "" };
        format!("line {line} is dated {by} before line {}{first}", line.saturating_sub(1))
    }
}

/// A line that is dated after the clock of the machine that looks at it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DatedAhead {
    /// The number of the line.
    pub line: usize,
    /// How long after that clock (ms).
    pub by_ms: u64,
}

impl DatedAhead {
    /// It in words, without a point at its end.
    #[must_use]
    pub fn words(&self) -> String {
        let by = span_words(self.by_ms);
        format!(
            "line {} is dated {by} ahead of this machine's clock: one of the two is wrong",
            self.line
        )
    }
}

/// Looks at the dates of lines as they pass.
#[derive(Clone, Debug, PartialEq)]
pub struct TimeOrder {
    /// What is none yet (ms).
    play_ms: i64,
    lines: usize,
    first: Option<DateTime<FixedOffset>>,
    last: Option<DateTime<FixedOffset>>,
    /// The latest date of all, with its line.
    latest: Option<(usize, DateTime<FixedOffset>)>,
}

impl TimeOrder {
    /// For a record, which one machine writes: what its clock may be set back without a word (common practice, no source).
    #[must_use]
    pub fn of_record() -> Self {
        Self { play_ms: 1_000, lines: 0, first: None, last: None, latest: None }
    }

    /// For a register, which several machines may write: their clocks need not agree to the second (common practice, no
    /// source).
    #[must_use]
    pub fn of_register() -> Self {
        Self { play_ms: CLOCKS_DIFFER_MS, ..Self::of_record() }
    }

    /// The newest date so far.
    #[must_use]
    pub fn last(&self) -> Option<DateTime<FixedOffset>> {
        self.last
    }

    /// The line that is dated farthest ahead of a clock, where one is.
    #[must_use]
    pub fn ahead_of(&self, now: DateTime<FixedOffset>) -> Option<DatedAhead> {
        let (line, latest) = self.latest?;
        let ahead_ms = (latest - now).num_milliseconds();
        let by_ms = ahead_ms.unsigned_abs();
        (ahead_ms > CLOCKS_DIFFER_MS).then_some(DatedAhead { line, by_ms })
    }

    /// Takes the date of the next line.
    pub fn pass(&mut self, at: DateTime<FixedOffset>) -> Option<DatedBack> {
        self.lines += 1;
        if self.latest.is_none_or(|(_, latest)| latest < at) {
            self.latest = Some((self.lines, at));
        }
        let first = *self.first.get_or_insert(at);
        let back_ms = self.last.replace(at).map_or(0, |last| (last - at).num_milliseconds());
        let (line, by_ms) = (self.lines, back_ms.unsigned_abs());
        let before_first = (first - at).num_milliseconds() > self.play_ms;
        (back_ms > self.play_ms).then_some(DatedBack { line, by_ms, before_first })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn passed(mut order: TimeOrder, seconds: &[i64]) -> Vec<DatedBack> {
        let at =
            |second: &i64| DateTime::UNIX_EPOCH.fixed_offset() + chrono::Duration::seconds(*second);
        seconds.iter().filter_map(|second| order.pass(at(second))).collect()
    }

    #[test]
    fn a_line_before_the_one_above_it_is_found_with_its_number() {
        let found = passed(TimeOrder::of_record(), &[0, 100, 99, 50, 60, 100]);
        let line = DatedBack { line: 4, by_ms: 49_000, before_first: false };
        assert_eq!(found, [line]);
        assert_eq!(line.words(), "line 4 is dated 49 s before line 3");
    }

    #[test]
    fn an_end_before_the_beginning_says_so() {
        let found = passed(TimeOrder::of_record(), &[0, 100, -304 * 86_400]);
        assert_eq!(found.len(), 1);
        assert!(found.iter().all(|own| own.before_first));
        let words =
            "line 3 is dated 304 d before line 2, and before line 1: it ends before it began";
        assert_eq!(found.first().map(DatedBack::words).as_deref(), Some(words));
    }

    #[test]
    fn the_clocks_of_several_machines_need_not_agree_to_the_second() {
        assert!(passed(TimeOrder::of_register(), &[0, 100, 50]).is_empty());
        assert_eq!(passed(TimeOrder::of_register(), &[0, 100, 30]).len(), 1);
    }

    #[test]
    fn a_line_ahead_of_the_clock_that_looks_is_told_with_how_far() {
        let mut order = TimeOrder::of_record();
        let at = |second| DateTime::UNIX_EPOCH.fixed_offset() + chrono::Duration::seconds(second);
        for second in [0, 5_000, 100] {
            order.pass(at(second));
        }
        let ahead = DatedAhead { line: 2, by_ms: 4_000_000 };
        assert_eq!(order.ahead_of(at(1_000)), Some(ahead));
        assert!(ahead.words().starts_with("line 2 is dated 1 h 6 min ahead of"));
        assert_eq!(order.ahead_of(at(4_960)), None);
        assert_eq!(TimeOrder::of_record().ahead_of(at(0)), None);
    }

    #[test]
    fn the_same_instant_in_another_zone_is_no_step_back() {
        let mut order = TimeOrder::of_record();
        for text in ["2026-01-01T12:00:00+02:00", "2026-01-01T11:00:00+01:00"] {
            assert_eq!(order.pass(text.parse().expect("a date")), None);
        }
    }
}

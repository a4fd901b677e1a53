//! The order of time in a record or a register: no line is dated before the one above it, and in a sitting none is sooner after its
//! beginning.

use chrono::{DateTime, FixedOffset};
use serde::Serialize;

use super::{Entry, Moment, span_words};

/// What the clocks of two machines may differ by without a word (ms; common practice, no source).
pub const CLOCKS_DIFFER_MS: i64 = 60_000;

/// A line that is before the one above it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct DatedBack {
    /// The number of the line.
    pub line: usize,
    /// How long before the line above it (ms).
    pub by_ms: u64,
    /// Whether it is before the first line too: what ends there ended before it began.
    pub before_first: bool,
    /// Whether it goes back in the time since its sitting began, which no clock sets back, and not in its date.
    pub since_beginning: bool,
}

impl DatedBack {
    /// It in words, without a point at its end.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { line, by_ms, before_first, since_beginning } = self;
        let by = span_words(*by_ms);
        if *since_beginning {
            let above = line.saturating_sub(1);
            let by = if *by_ms < 1_000 { format!("{by_ms} ms") } else { by };
            return format!("line {line} is {by} sooner after its sitting began than line {above}");
        }
        let first = if *before_first { ", and before line 1: it ends before it began" } else { "" };
        format!("line {line} is dated {by} before line {}{first}", line.saturating_sub(1))
    }
}

/// A line with which a sitting began while the clock was behind what was known of the time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
pub struct ClockBehind {
    /// The number of the line.
    pub line: usize,
    /// How far the clock was behind (ms).
    pub by_ms: u64,
}

impl ClockBehind {
    /// From the entry of this line: what a sitting was judged at is no earlier than what was written down before it.
    #[must_use]
    pub fn at(line: usize, entry: &Entry) -> Option<Self> {
        let behind_ms = (entry.event.judged_at()? - entry.at.wall).num_milliseconds();
        let by_ms = behind_ms.unsigned_abs();
        (behind_ms > CLOCKS_DIFFER_MS).then_some(Self { line, by_ms })
    }

    /// It in words, without a point at its end.
    #[must_use]
    pub fn words(&self) -> String {
        let (line, by) = (self.line, span_words(self.by_ms));
        format!(
            "at line {line} it was {by} behind what had been written down before; competence, calibration and the age of results \
             were judged at that later time"
        )
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
    /// When the line above was, since its sitting began (ms).
    last_elapsed_ms: u64,
    /// The latest date of all, with its line.
    latest: Option<(usize, DateTime<FixedOffset>)>,
}

impl TimeOrder {
    /// For a record, which one machine writes: what its clock may be set back without a word (common practice, no source).
    #[must_use]
    pub fn of_record() -> Self {
        let (first, last, latest) = (None, None, None);
        Self { play_ms: 1_000, lines: 0, first, last, last_elapsed_ms: 0, latest }
    }

    /// For a register, which several machines may write: their clocks need not agree to the second (common practice, no
    /// source).
    #[must_use]
    pub fn of_register() -> Self {
        Self { play_ms: CLOCKS_DIFFER_MS, ..Self::of_record() }
    }

    /// The newest date so far.
    #[must_use]
    pub fn newest(&self) -> Option<DateTime<FixedOffset>> {
        self.latest.map(|(_, at)| at)
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
        let since_beginning = false;
        let back = DatedBack { line, by_ms, before_first, since_beginning };
        (back_ms > self.play_ms).then_some(back)
    }

    /// Takes the moment of the next line of a record; `begins` says whether its sitting begins with it, and with that its own time.
    pub fn pass_moment(
        &mut self,
        at: Moment,
        begins: bool,
    ) -> impl Iterator<Item = DatedBack> + use<> {
        let dated = self.pass(at.wall);
        let last_ms = std::mem::replace(&mut self.last_elapsed_ms, at.elapsed_ms);
        let by_ms = last_ms.saturating_sub(at.elapsed_ms);
        let (line, before_first, since_beginning) = (self.lines, false, true);
        let back = DatedBack { line, by_ms, before_first, since_beginning };
        dated.into_iter().chain((by_ms > 0 && !begins).then_some(back))
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
        let (before_first, since_beginning) = (false, false);
        let line = DatedBack { line: 4, by_ms: 49_000, before_first, since_beginning };
        assert_eq!(found, [line]);
        assert_eq!(line.words(), "line 4 is dated 49 s before line 3");
    }

    #[test]
    fn an_end_before_the_beginning_says_so() {
        let found = passed(TimeOrder::of_record(), &[0, 100, -304 * 86_400]);
        assert_eq!(found.len(), 1);
        assert!(found.iter().all(|dated_back| dated_back.before_first));
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
    fn the_time_since_a_sitting_began_goes_back_with_another_sitting_alone() {
        let mut order = TimeOrder::of_record();
        let wall = DateTime::UNIX_EPOCH.fixed_offset();
        let moments = [(0, true), (5_000, false), (5_000, false), (100, true), (90, false)];
        let found = moments.map(|(elapsed_ms, begins)| {
            order.pass_moment(Moment { wall, elapsed_ms }, begins).collect::<Vec<_>>()
        });
        let back = DatedBack { line: 5, by_ms: 10, before_first: false, since_beginning: true };
        assert_eq!(found, [vec![], vec![], vec![], vec![], vec![back]]);
        assert_eq!(back.words(), "line 5 is 10 ms sooner after its sitting began than line 4");
    }

    #[test]
    fn the_same_instant_in_another_zone_is_no_step_back() {
        let mut order = TimeOrder::of_record();
        for text in ["2026-01-01T12:00:00+02:00", "2026-01-01T11:00:00+01:00"] {
            assert_eq!(order.pass(text.parse().expect("a date")), None);
        }
    }
}

//! Dates and times as a file of allowed signers writes them.

use chrono::{DateTime, FixedOffset, NaiveDate, NaiveDateTime, NaiveTime};

/// A date or a time, in UTC or in whatever zone holds where it is looked at.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct ValidityTime {
    local: NaiveDateTime,
    is_utc: bool,
}

impl ValidityTime {
    /// Reads `YYYYMMDD[Z]` or `YYYYMMDDHHMM[SS][Z]`; a date is its first second.
    pub(super) fn parse(text: &str) -> Option<Self> {
        let utc = text.strip_suffix(['Z', 'z']);
        let digits = utc.unwrap_or(text);
        if !digits.bytes().all(|byte| byte.is_ascii_digit()) {
            return None;
        }
        let (date, time) = digits.split_at_checked(8)?;
        let date = NaiveDate::parse_from_str(date, "%Y%m%d").ok()?;
        let time = match time.len() {
            0 => NaiveTime::MIN,
            4 => NaiveTime::parse_from_str(time, "%H%M").ok()?,
            6 => NaiveTime::parse_from_str(time, "%H%M%S").ok()?,
            _ => return None,
        };
        Some(Self { local: date.and_time(time), is_utc: utc.is_some() })
    }

    /// Tells whether it lies after another moment. Without a zone of its own it is taken in that moment's, which is the
    /// bench's when it signed: a check years later elsewhere comes out alike.
    pub(super) fn is_after(self, at: DateTime<FixedOffset>) -> bool {
        self.local > self.as_seen_from(at)
    }

    /// Tells whether it lies before another moment.
    pub(super) fn is_before(self, at: DateTime<FixedOffset>) -> bool {
        self.local < self.as_seen_from(at)
    }

    fn as_seen_from(self, at: DateTime<FixedOffset>) -> NaiveDateTime {
        if self.is_utc { at.naive_utc() } else { at.naive_local() }
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::ValidityTime;

    #[test]
    fn the_forms_of_the_manual_are_read_and_no_others() {
        for text in ["20260102", "20260102Z", "202601021530", "20260102153045", "202601021530Z"] {
            assert!(ValidityTime::parse(text).is_some(), "{text}");
        }
        for text in
            ["", "Z", "2026", "20261301", "2026010215", "202601022530", "2026-01-02", "2026010２"]
        {
            assert_eq!(ValidityTime::parse(text), None, "{text}");
        }
    }

    #[test]
    fn without_a_zone_it_is_taken_in_the_zone_of_the_bench() {
        let at = "2026-01-02T01:00:00+02:00".parse().unwrap();
        // At the bench the second of January has begun; in UTC it has not.
        assert!(ValidityTime::parse("20260102").unwrap().is_before(at));
        assert!(ValidityTime::parse("20260102Z").unwrap().is_after(at));
        // At the very second it is neither.
        let same = ValidityTime::parse("202601012300Z").unwrap();
        assert!(!same.is_after(at) && !same.is_before(at));
    }
}

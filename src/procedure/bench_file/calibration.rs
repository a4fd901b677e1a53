//! Until when a calibration holds, and what the shop does about one that has run out.

use std::fmt;
use std::str::FromStr;

use chrono::NaiveDate;
use serde::Deserialize;

/// A day, written year, month, day: `2027-03-31` (ISO 8601).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(NaiveDate);

/// Why a text is no day.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("`{text}` is not a date: write year, month and day, such as 2027-03-31")]
pub struct DayError {
    /// What was written.
    text: String,
}

/// What the shop does about an instrument whose calibration has run out.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Deserialize)]
#[cfg_attr(test, derive(schemars::JsonSchema))]
#[serde(rename_all = "lowercase")]
pub enum OverduePolicy {
    /// A second person has to accept it before the run.
    #[default]
    Concession,
    /// It is said, and the run goes on.
    Warn,
    /// The run is refused.
    Refuse,
}

/// An instrument whose calibration has run out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Overdue {
    /// Its name in the bench file.
    pub instrument: String,
    /// The last day on which it held.
    pub due: Day,
}

impl From<NaiveDate> for Day {
    fn from(day: NaiveDate) -> Self {
        Self(day)
    }
}

impl FromStr for Day {
    type Err = DayError;

    fn from_str(text: &str) -> Result<Self, DayError> {
        // The library alone would also take `2027-3-1` and a sign before the year.
        let is_written_out = text.len() == 10 && text.starts_with(|c: char| c.is_ascii_digit());
        let day = NaiveDate::parse_from_str(text, "%Y-%m-%d").ok().filter(|_| is_written_out);
        day.map(Self).ok_or_else(|| DayError { text: text.to_owned() })
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.0)
    }
}

impl<'de> Deserialize<'de> for Day {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        String::deserialize(deserializer)?.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
impl schemars::JsonSchema for Day {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Day".into()
    }

    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "format": "date" })
    }
}

#[cfg(test)]
mod tests {
    #![expect(clippy::unwrap_used, reason = "a test fails loudly")]

    use super::Day;

    #[test]
    fn a_day_is_written_year_month_day_and_exists() {
        assert_eq!("2028-02-29".parse::<Day>().unwrap().to_string(), "2028-02-29");
        for text in ["2027-02-29", "31.03.2027", "2027-3-31", "+2027-03-1", "next spring", ""] {
            let said = text.parse::<Day>().unwrap_err().to_string();
            assert!(said.contains("2027-03-31"), "{text}: {said}");
        }
    }
}

//! Lines of a record that the register did not see being written.

use chrono::{DateTime, FixedOffset};

/// Lines of a record that the register learned of when nobody was writing them: nothing vouches for them from before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FirstSeen {
    /// The first of them.
    pub from: usize,
    /// The last of them; before the first where only the torn bytes behind it were new.
    pub to: usize,
    /// When they were seen.
    pub at: DateTime<FixedOffset>,
    /// Who took them over as they were; nobody where the end of a sitting was settled, or a run was taken up.
    pub by: Option<String>,
}

impl FirstSeen {
    /// In words.
    #[must_use]
    pub fn words(&self) -> String {
        let Self { from, to, at, by } = self;
        let (at, whole) = (at.to_rfc3339(), *from == 1);
        let lines = match (from, to) {
            (from, to) if from > to => format!("what follows line {to} was"),
            (from, to) if from == to => format!("line {from} was"),
            (from, to) => format!("lines {from} to {to} were"),
        };
        match by {
            Some(by) if whole => format!("taken over as it was by {by} on {at}"),
            Some(by) => format!("{lines} taken over by {by} on {at}, as found"),
            None => format!(
                "{lines} first seen at {at}, after the sitting that wrote there was cut short: nothing vouches for that \
                 from before"
            ),
        }
    }
}

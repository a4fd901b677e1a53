//! What is found of one record, for people and for programs.

use std::path::{Path, PathBuf};

use chrono::Local;
use serde_json::{Value, json};

use crate::audit::replay::Difference;
use crate::diagnostic::clean;
use crate::journal::register::Registered;
use crate::record::{DatedBack, Mode, Names, Outcome, TimeOrder};
use crate::report::Flawed;

/// What is said of a sound record that no register was asked about.
const ALONE: &str = "sound by itself, NOT CHECKED AGAINST A REGISTER";

/// What is found of one record.
pub(in crate::cli::verb) struct Found {
    path: PathBuf,
    pub(in crate::cli::verb) entries: usize,
    pub(in crate::cli::verb) head: String,
    pub(in crate::cli::verb) is_torn: bool,
    pub(super) state: String,
    /// What stands behind its names.
    pub(super) names: Names,
    /// How many signatures it has; nothing where nobody signs.
    pub(super) signatures: Option<usize>,
    /// Where this version puts it otherwise and concludes the same, where that was looked at.
    pub(super) differences: Vec<Difference>,
    pub(in crate::cli::verb) wrong: Option<String>,
    /// What the register has to say of it, as far as it knows it.
    pub(in crate::cli::verb) registered: Option<Registered>,
    /// The signatures that do not hold, where they were looked at one by one.
    pub(in crate::cli::verb) flawed: Vec<Flawed>,
    /// Whether no register was asked for.
    pub(super) is_alone: bool,
    /// What is to be looked at although nothing was altered.
    pub(super) findings: Vec<String>,
}

impl Found {
    /// A record of which nothing else is known.
    pub(super) fn wrong(path: &Path, wrong: impl ToString) -> Self {
        Self { wrong: Some(wrong.to_string()), ..Self::at(path) }
    }

    /// A record that is still to be looked at.
    pub(super) fn at(path: &Path) -> Self {
        let (head, state) = (String::new(), "damaged".to_owned());
        let path = path.to_owned();
        let findings = Vec::new();
        Self {
            path,
            entries: 0,
            head,
            is_torn: false,
            state,
            names: Names::Unchecked,
            signatures: None,
            differences: Vec::new(),
            wrong: None,
            registered: None,
            flawed: Vec::new(),
            is_alone: false,
            findings,
        }
    }

    pub(super) fn text(&self) -> String {
        let path = clean(&self.path.display().to_string());
        let found = findings(&self.findings);
        match &self.wrong {
            Some(wrong) => format!("DOES NOT VERIFY  {path}\n  {}\n{found}", clean(wrong)),
            None => {
                let (entries, head, state) = (self.entries, &self.head, clean(&self.state));
                let signed = self.signed();
                let verified = if self.is_alone { ALONE } else { "verified" };
                format!(
                    "{verified}  {path}\n  {entries} entries, head {head}\n  {state}\n  {signed}\n{found}{}",
                    self.differing()
                )
            }
        }
    }

    /// What is said where this version puts it otherwise: the first place, and how many lines there are.
    fn differing(&self) -> String {
        let Some(Difference { line, words, .. }) = self.differences.first() else {
            return String::new();
        };
        let lines = match self.differences.len() {
            1 => "one line differs".to_owned(),
            count => format!("{count} lines differ"),
        };
        format!(
            "  {lines} in words or values, none in what it concludes; line {line}: {}\n",
            clean(words)
        )
    }

    fn signed(&self) -> String {
        match self.signatures {
            None => format!("names {}", self.names.typed()),
            Some(1) => "1 signature holds".to_owned(),
            Some(count) => format!("{count} signatures hold"),
        }
    }

    pub(super) fn json(&self) -> Value {
        json!({
            "record": self.path.display().to_string(),
            "verified": self.wrong.is_none() && !self.is_alone,
            "by_itself": self.is_alone,
            "register": self.registered.as_ref().map(Registered::caveats),
            "wrong": self.wrong,
            "entries": self.entries,
            "head": self.head,
            "state": self.state,
            "signatures": self.signatures,
            "differences": self.differences.iter().map(|difference| {
                json!({ "line": difference.line, "words": difference.words })
            }).collect::<Vec<_>>(),
            "findings": self.findings,
        })
    }
}

/// What is to be looked at in the dates of lines: those that go back, and one ahead of this machine's clock.
pub(super) fn dates(dated_back: &[DatedBack], order: &TimeOrder) -> Vec<String> {
    let ahead = order.ahead_of(Local::now().fixed_offset());
    let back = dated_back.iter().map(DatedBack::words);
    back.chain(ahead.map(|dated_ahead| dated_ahead.words())).collect()
}

/// Findings, a line each.
pub(super) fn findings(findings: &[String]) -> String {
    findings.iter().map(|finding| format!("  LOOK AT IT: {}\n", clean(finding))).collect()
}

/// How a record stands, as far as it is known.
#[derive(Default)]
pub(super) struct RecordState {
    pub(super) is_void: bool,
    pub(super) outcome: Option<Outcome>,
    pub(super) is_torn: bool,
    pub(super) mode: Option<Mode>,
}

impl RecordState {
    /// The state in one line, with what the register has to say of it.
    pub(super) fn words(&self, registered: Option<&Registered>) -> String {
        let void = self.is_void.then(|| "VOID".to_owned());
        let closed = match self.outcome.filter(|outcome| *outcome != Outcome::CouldNotRecord) {
            Some(outcome) => format!("closed: {}", outcome.words()),
            None => "not closed: unfinished, or its end was cut off".to_owned(),
        };
        let torn = self.is_torn.then(|| "a torn tail: the last write was cut off".to_owned());
        let mark = self.mode.and_then(Mode::mark).map(str::to_owned);
        let caveats = registered.map(Registered::caveats).unwrap_or_default();
        let parts = [void, Some(closed), torn, mark].into_iter().flatten();
        parts.chain(caveats).collect::<Vec<_>>().join("; ")
    }
}

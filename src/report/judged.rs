//! The judged readings of a run, each with where it belongs.

use chrono::{DateTime, FixedOffset};

use super::entry_line::with_unit;
use crate::quantity::{Quantity, Reading, Unit};
use crate::record::{CourseItem, Decision, Fact, Happening, Key, Origin, Run};
use crate::window::{Bounds, Rule, Uncertainty, Verdict};

/// A judged reading.
#[derive(Clone, Copy, Debug)]
pub struct Judged<'a> {
    /// The number of its line in the record.
    pub line: usize,
    /// When.
    pub at: DateTime<FixedOffset>,
    /// Who was at the bench.
    pub by: &'a str,
    /// The stage it was taken in; empty before the first.
    pub stage: &'a str,
    /// The question's key.
    pub key: &'a Key,
    /// What was measured.
    pub what: &'a str,
    /// Which attempt, from 1.
    pub attempt: u32,
    /// The answer exactly as given.
    pub text: &'a str,
    /// Its value.
    pub reading: &'a Reading,
    /// The step's unit.
    pub unit: &'a Unit,
    /// Where it came from.
    pub origin: Origin,
    /// The window.
    pub bounds: &'a Bounds,
    /// What the window is based on.
    pub basis: Option<&'a str>,
    /// The verdict.
    pub verdict: Verdict,
    /// How the verdict came about.
    pub decision: &'a Decision,
    /// What came of it where two people read it: the same for both readings.
    pub verified: Option<ReadTwice<'a>>,
}

/// Two readings of the same by two people.
#[derive(Clone, Copy, Debug)]
pub struct ReadTwice<'a> {
    /// Who took the first.
    pub taken_by: &'a str,
    /// Who took the second.
    pub by: &'a str,
    /// How far they are apart; none where one of them is no number.
    pub difference: Option<Quantity>,
    /// The most they may be.
    pub within: Option<Quantity>,
    /// Whether they agree.
    pub agreed: bool,
}

impl<'a> Judged<'a> {
    /// Takes an item as a judged reading, if it is one.
    #[must_use]
    pub fn of(item: &'a CourseItem, stage: &'a str) -> Option<Self> {
        let Happening::Fact(fact) = &item.what else { return None };
        let Fact::Judged {
            key,
            what,
            attempt,
            text,
            reading,
            unit,
            origin,
            bounds,
            basis,
            verdict,
            decision,
        } = fact.as_ref()
        else {
            return None;
        };
        Some(Self {
            line: item.line,
            at: item.at,
            by: &item.by,
            stage,
            key,
            what,
            attempt: *attempt,
            text,
            reading,
            unit,
            origin: *origin,
            bounds,
            basis: basis.as_deref(),
            verdict: *verdict,
            decision,
            verified: None,
        })
    }

    /// What was judged: the reading, or what it was corrected to.
    #[must_use]
    pub fn judged(&self) -> Reading {
        self.decision.judged(self.reading)
    }

    /// The value as a report states it: with its uncertainty, both rounded (GUM 7.2.6), where that is known, else as given.
    #[must_use]
    pub fn stated(&self) -> String {
        let doubt = self.decision.uncertainty.map(|uncertainty| uncertainty.expanded);
        let rounded = match (self.judged(), doubt) {
            (Reading::Number(value), Some(doubt)) => value.with_doubt(&doubt, Some(self.unit)),
            _ => None,
        };
        let sent = || self.origin.sent_words(self.reading, self.unit);
        rounded.or_else(sent).unwrap_or_else(|| with_unit(self.text, self.unit.symbol()))
    }

    /// The coverage of the stated uncertainty: `k = 1.96, 95 %`.
    #[must_use]
    pub fn coverage(&self) -> Option<String> {
        self.decision.uncertainty.as_ref().map(coverage_words)
    }

    /// The decision rule in words.
    #[must_use]
    pub fn rule(&self) -> String {
        rule_words(self.decision.rule)
    }
}

/// The coverage of an uncertainty in words: `k = 1.96, 95 %`.
pub(super) fn coverage_words(uncertainty: &Uncertainty) -> String {
    format!("k = {:.2}, {:.0} %", uncertainty.coverage, uncertainty.level * 100.0)
}

/// A decision rule in words.
#[must_use]
pub(super) fn rule_words(rule: Rule) -> String {
    match rule {
        Rule::Simple => "simple acceptance".to_owned(),
        Rule::Guarded { fraction } => format!("guard band {:.0} % of U", fraction * 100.0),
    }
}

/// All judged readings, in order.
pub fn judged(run: &Run) -> Vec<Judged<'_>> {
    let mut stage = "";
    let mut all = Vec::new();
    for item in &run.items {
        if let Happening::Fact(fact) = &item.what
            && let Fact::StageOpened { stage: name, .. } = fact.as_ref()
        {
            stage = name;
        }
        all.extend(Judged::of(item, stage));
        verify(&mut all, item);
    }
    all
}

/// Puts what came of two readings beside both: the last of each so far.
fn verify<'a>(readings: &mut [Judged<'a>], item: &'a CourseItem) {
    let Happening::Fact(fact) = &item.what else { return };
    let Fact::Verified { key, taken_by, by, difference, within, agreed, .. } = fact.as_ref() else {
        return;
    };
    let (difference, within, agreed) = (*difference, *within, *agreed);
    let verified = Some(ReadTwice { taken_by, by, difference, within, agreed });
    // The second was concluded right before.
    if let Some(second) = readings.last_mut() {
        second.verified = verified;
    }
    if let Some(first) = readings.iter_mut().rfind(|judged| judged.key == key) {
        first.verified = verified;
    }
}

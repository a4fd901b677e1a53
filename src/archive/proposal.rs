//! A window learned from good runs. It is a proposal: nothing here puts it anywhere.

use std::fmt;

use chrono::NaiveDate;
use thiserror::Error;

use super::history::{HistoryPoint, common_unit};
use super::trend::{CONFIDENCE, COVERAGE};
use crate::quantity::{Quantity, Unit};
use crate::record::{Mode, Outcome};
use crate::statistics::{Normality, Sample, one_sided_factor, two_sided_factor};
use crate::window::Verdict;

/// The fewest good runs a window is learned from (common practice, no source): with fewer the factor grows so fast that the
/// window says little.
pub const SAMPLE_MIN: usize = 15;

/// On which sides the window is to have limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sides {
    /// On both.
    Both,
    /// At the low end alone.
    Low,
    /// At the high end alone.
    High,
}

/// Why no window is proposed.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum NoProposal {
    /// There are too few good runs.
    #[error(
        "{found} good real {} this reading, and {SAMPLE_MIN} are the least a window is learned from; \
         keep the window you have a basis for until there are more",
        if *found == 1 { "run holds" } else { "runs hold" }
    )]
    TooFew {
        /// How many there are.
        found: usize,
    },
    /// All values are the same.
    #[error(
        "all {found} values are the same, so nothing tells how far apart good ones lie; \
         read with more digits"
    )]
    AllAlike {
        /// How many there are.
        found: usize,
    },
    /// The values measure different things.
    #[error("the readings of this name measure different things; choose one procedure")]
    Mixed,
}

/// A window learned from good runs. Values in base units.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The unit to write it in.
    pub unit: Unit,
    /// The good runs it is learned from.
    pub sample: Sample,
    /// Runs that were passed over: not real, not finished, or the reading not good.
    pub passed_over: usize,
    /// Day of the first good run.
    pub first: Option<NaiveDate>,
    /// Day of the last good run.
    pub last: Option<NaiveDate>,
    /// On which sides it has limits.
    pub sides: Sides,
    /// Standard deviations from the mean to each limit.
    pub factor: f64,
    /// The low limit, rounded outward.
    pub low: Option<f64>,
    /// The high limit, rounded outward.
    pub high: Option<f64>,
    /// Whether the values look normal: the factor holds for such alone.
    pub normality: Option<Normality>,
}

impl Proposal {
    /// Learns a window from what the runs hold of a reading. Only real runs that finished, whose reading was good, count.
    ///
    /// # Errors
    /// Too few good runs, values that are all alike or of different kinds.
    pub fn learn(points: &[HistoryPoint], sides: Sides) -> Result<Self, NoProposal> {
        let good: Vec<_> = points.iter().filter(|point| is_good(point)).cloned().collect();
        let values: Vec<_> = good.iter().filter_map(HistoryPoint::number).collect();
        if values.len() < SAMPLE_MIN {
            return Err(NoProposal::TooFew { found: values.len() });
        }
        let unit = common_unit(&good).ok_or(NoProposal::Mixed)?;
        let alike = NoProposal::AllAlike { found: values.len() };
        let sample =
            Sample::of(&values).filter(|sample| sample.deviation > 0.0).ok_or(alike.clone())?;
        let factor = match sides {
            Sides::Both => two_sided_factor(sample.count, COVERAGE, CONFIDENCE),
            Sides::Low | Sides::High => one_sided_factor(sample.count, COVERAGE, CONFIDENCE),
        };
        let factor = factor.ok_or(alike)?;
        let (low, high) =
            (sample.mean - factor * sample.deviation, sample.mean + factor * sample.deviation);
        let step = step(sample.deviation);
        let day = |point: Option<&HistoryPoint>| NaiveDate::from_num_days_from_ce_opt(point?.day);
        Ok(Self {
            passed_over: points.len() - values.len(),
            first: day(good.first()),
            last: day(good.last()),
            low: (sides != Sides::High).then(|| (low / step).floor() * step),
            high: (sides != Sides::Low).then(|| (high / step).ceil() * step),
            normality: Normality::of(&values),
            unit,
            sample,
            sides,
            factor,
        })
    }

    /// A value in the words of a procedure: exact, in the step's unit.
    fn written(&self, value: f64) -> impl fmt::Display {
        let quantity = Quantity::from_f64(value, self.unit.dimension());
        let number = quantity.map(|quantity| quantity.in_unit(&self.unit).to_string());
        format!("{} {}", number.unwrap_or_default(), self.unit.symbol()).trim_end().to_owned()
    }

    /// The lines of a procedure's step, to be pasted by a person who agrees. No text of a record is in them.
    #[must_use]
    pub fn yaml(&self) -> String {
        let window = match (self.low, self.high) {
            (Some(low), Some(high)) => {
                format!("between: [{}, {}]", self.written(low), self.written(high))
            }
            (Some(low), None) => format!("at_least: {}", self.written(low)),
            (None, high) => format!("at_most: {}", self.written(high.unwrap_or_default())),
        };
        format!("window: {{{window}}}\nbasis: \"{}\"\n", self.basis())
    }

    /// What the window is based on, in one line.
    #[must_use]
    pub fn basis(&self) -> String {
        let day = |day: Option<NaiveDate>| day.map(|day| day.to_string()).unwrap_or_default();
        let sides = if self.sides == Sides::Both { "two-sided" } else { "one-sided" };
        let normal = self.normality.map_or_else(String::new, |normality| {
            format!(", normality p = {:.3}", normality.chance)
        });
        format!(
            "learned from {} good real runs, {} to {}: {sides} normal tolerance interval, {} % of all with {} % \
             confidence, k = {:.3}{normal}",
            self.sample.count,
            day(self.first),
            day(self.last),
            COVERAGE * 100.0,
            CONFIDENCE * 100.0,
            self.factor,
        )
    }
}

/// A real run that finished, with a reading that was inside its window or only recorded.
fn is_good(point: &HistoryPoint) -> bool {
    point.mode == Mode::Real
        && point.outcome == Some(Outcome::Finished)
        && matches!(point.verdict, Verdict::Inside | Verdict::NotJudged)
        && point.number().is_some()
}

/// Steps to round to: a tenth of the leading digit of the standard deviation.
fn step(deviation: f64) -> f64 {
    10_f64.powf(deviation.log10().floor() - 1.0)
}

//! What is usual for one reading over many runs, and what is not.

use super::history::HistoryPoint;
use crate::statistics::{Chart, Drift, Normality, Sample, Unlike, two_sided_factor, unlike};

/// The share of all good equipment that a tolerance interval is to hold.
pub const COVERAGE: f64 = 0.99;

/// How sure it is to hold that share.
pub const CONFIDENCE: f64 = 0.95;

/// Neighbours over which the moving range is taken.
const SPAN: u8 = 2;

/// Milliseconds in a year of 365.25 days.
const YEAR_MS: f64 = 31_557_600_000.0;

/// Where [`COVERAGE`] of all values lies with [`CONFIDENCE`], if they are spread normally.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tolerance {
    /// Standard deviations on each side of the mean.
    pub factor: f64,
    /// The low end.
    pub low: f64,
    /// The high end.
    pub high: f64,
}

/// What is told of one reading over many runs. Values in base units; whatever too few runs tell nothing about is none.
#[derive(Clone, Debug, PartialEq)]
pub struct Trend {
    /// How many runs gave a number.
    pub numbers: usize,
    /// How many gave none: over range, or the meter had no number.
    pub without: usize,
    /// Mean and standard deviation.
    pub sample: Option<Sample>,
    /// Control limits of single values.
    pub chart: Option<Chart>,
    /// Places of the points outside the control limits.
    pub beyond: Vec<usize>,
    /// The tolerance interval.
    pub tolerance: Option<Tolerance>,
    /// Whether the values look normal.
    pub normality: Option<Normality>,
    /// The change in a year of 365.25 days.
    pub drift: Option<Drift>,
    /// From the first to the last number, in such years.
    pub years: f64,
    /// The place of the point that is most unlike the others, and how much it is.
    pub unlike: Option<(usize, Unlike)>,
}

impl Trend {
    /// Works it out from what the runs hold of one reading, in their order.
    #[must_use]
    pub fn of(points: &[HistoryPoint]) -> Self {
        let numbers: Vec<_> = points
            .iter()
            .enumerate()
            .filter_map(|(place, point)| Some((place, point.at, point.number()?)))
            .collect();
        let values: Vec<_> = numbers.iter().map(|(.., value)| *value).collect();
        let first = numbers.first().map_or(0, |(_, at, _)| *at);
        let years = |at: i64| (at - first) as f64 / YEAR_MS;
        let times: Vec<_> = numbers.iter().map(|(_, at, value)| (years(*at), *value)).collect();
        let sample = Sample::of(&values);
        let chart = Chart::of(&values, SPAN);
        let beyond =
            numbers.iter().filter(|(.., value)| chart.is_some_and(|chart| !chart.holds(*value)));
        let odd = unlike(&values);
        Self {
            numbers: values.len(),
            without: points.len() - values.len(),
            beyond: beyond.map(|(place, ..)| *place).collect(),
            tolerance: sample.and_then(|sample| Tolerance::of(&sample)),
            normality: Normality::of(&values),
            drift: Drift::of(&times),
            years: times.last().map_or(0.0, |(years, _)| *years),
            unlike: odd.and_then(|odd| Some((numbers.get(odd.index)?.0, odd))),
            sample,
            chart,
        }
    }
}

impl Tolerance {
    fn of(sample: &Sample) -> Option<Self> {
        let factor = two_sided_factor(sample.count, COVERAGE, CONFIDENCE)?;
        let reach = factor * sample.deviation;
        let is_spread = sample.deviation > 0.0;
        is_spread.then_some(Self { factor, low: sample.mean - reach, high: sample.mean + reach })
    }
}

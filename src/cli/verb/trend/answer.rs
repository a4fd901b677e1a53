//! A trend in words and for programs.

use std::collections::BTreeSet;

use serde_json::{Value, json};

use super::drawing;
use crate::archive::{CONFIDENCE, COVERAGE, Damaged, HistoryPoint, Trend, Vouched};
use crate::cli::verb::asked;
use crate::quantity::Unit;
use crate::report::{Sheet, Tone};
use crate::statistics::{Drift, Unlike};
use crate::window::Verdict;

/// Rows of the table on a terminal; the plot and the figures take in all.
const ROWS: usize = 20;

/// Below this chance a value is unlike the others, and values don't stand still (common practice, no source).
const CHANCE_UNLIKE: f64 = 0.01;
const CHANCE_DRIFT: f64 = 0.05;

/// What is shown of a trend.
pub(super) struct Shown<'a> {
    pub(super) key: &'a str,
    pub(super) points: &'a [HistoryPoint],
    pub(super) unit: &'a Unit,
    pub(super) trend: &'a Trend,
    /// How many runs were left out as they are void.
    pub(super) void_runs: usize,
}

impl Shown<'_> {
    /// The places of the points to look at: outside their window or the control limits, or unlike the others.
    pub(super) fn odd(&self) -> BTreeSet<usize> {
        let outside =
            self.points.iter().enumerate().filter(|(_, point)| point.verdict.is_outside());
        let mut odd: BTreeSet<_> = outside.map(|(place, _)| place).collect();
        odd.extend(self.trend.beyond.iter().copied());
        odd.extend(self.unlike().map(|(place, _)| place));
        odd
    }

    fn unlike(&self) -> Option<(usize, Unlike)> {
        self.trend.unlike.filter(|(_, unlike)| unlike.chance < CHANCE_UNLIKE)
    }

    fn value(&self, value: f64) -> String {
        asked::shown(value, self.unit)
    }

    pub(super) fn text(&self, sheet: &mut Sheet) {
        sheet.rule(asked::mark(self.points.iter().map(|point| point.mode)));
        let Some(last) = self.points.last() else { return };
        sheet.line(Tone::Strong, &last.what);
        sheet.line(Tone::Faint, &format!("{} of {}", self.key, last.procedure));
        self.drawing(sheet);
        self.table(sheet);
        sheet.gap();
        self.figures(sheet);
        self.remarks(sheet);
    }

    fn drawing(&self, sheet: &mut Sheet) {
        let Some(plot) = drawing::plot(self) else { return };
        let ascii = sheet.style().ascii;
        sheet.gap();
        for row in plot.drawn(sheet.width(), ascii) {
            sheet.drawn(Tone::Plain, &row);
        }
        sheet.line(Tone::Faint, &plot.key(ascii));
    }

    fn table(&self, sheet: &mut Sheet) {
        sheet.gap();
        let odd = self.odd();
        let earlier = self.points.len().saturating_sub(ROWS);
        if earlier > 0 {
            let runs = asked::counted(earlier, "earlier run");
            sheet.line(Tone::Faint, &format!("{runs} not listed: --format json lists all"));
        }
        for (place, point) in self.points.iter().enumerate().skip(earlier) {
            let tone = if odd.contains(&place) { Tone::Caution } else { Tone::Plain };
            let (value, verdict) = (asked::reading(point.value, self.unit), point.verdict.words());
            let run = asked::run_of(&point.file);
            let words = format!("{value}   {verdict}{}   {run}", asked::aside(point.mode));
            sheet.indented(tone, &format!("{}  ", asked::day(point.day)), &words);
        }
    }

    fn figures(&self, sheet: &mut Sheet) {
        let trend = self.trend;
        let span = (self.points.first(), self.points.last());
        let days = [span.0, span.1]
            .map(|point| point.map(|point| asked::day(point.day)).unwrap_or_default());
        sheet.field("runs", &format!("{}, {} to {}", self.points.len(), days[0], days[1]));
        if trend.without > 0 {
            sheet.field("", &format!("{} of them gave no number", trend.without));
        }
        if self.void_runs > 0 {
            sheet.field(
                "",
                &format!("{} left out: void", asked::counted(self.void_runs, "more run")),
            );
        }
        let Some(sample) = trend.sample else {
            sheet.line(Tone::Faint, "Too few numbers to tell what is usual.");
            return;
        };
        sheet.field("mean", &self.value(sample.mean));
        sheet.field("deviation", &self.value(sample.deviation));
        if let Some(chart) = trend.chart {
            let (low, high) = (self.value(chart.low), self.value(chart.high));
            sheet
                .field("control", &format!("{low} to {high}, from the moving range of neighbours"));
        }
        if let Some(tolerance) = trend.tolerance {
            let (low, high) = (self.value(tolerance.low), self.value(tolerance.high));
            let (coverage, confidence) = (COVERAGE * 100.0, CONFIDENCE * 100.0);
            let words = format!(
                "{low} to {high} holds {coverage} % of all with {confidence} % confidence, if they are spread normally \
                 (k = {:.3})",
                tolerance.factor
            );
            sheet.field("tolerance", &words);
        }
        if let Some(normality) = trend.normality {
            sheet.field("normality", &format!("p = {:.3} (Anderson-Darling)", normality.chance));
        }
        if let Some(drift) = trend.drift {
            sheet.field("drift", &self.drift(&drift));
        }
    }

    fn drift(&self, drift: &Drift) -> String {
        // Over the time that was seen; a slope in a year would claim more than a few weeks can tell.
        let change = self.value(drift.slope * self.trend.years);
        let uncertainty = self.value(drift.uncertainty * self.trend.years);
        let days = (self.trend.years * 365.25).round();
        let verdict = if drift.chance < CHANCE_DRIFT { "it drifts" } else { "no drift to be seen" };
        format!("{change} +/- {uncertainty} over {days} days (95 %): {verdict}")
    }

    fn remarks(&self, sheet: &mut Sheet) {
        if let Some(words) = self.unlike_words() {
            sheet.line(Tone::Caution, &words);
        }
        if !self.trend.beyond.is_empty() {
            let words = format!(
                "{} outside the control limits",
                asked::counted(self.trend.beyond.len(), "run")
            );
            sheet.line(Tone::Caution, &words);
        }
    }

    /// The sentence about the run that is unlike the others.
    fn unlike_words(&self) -> Option<String> {
        let (place, unlike) = self.unlike()?;
        let point = self.points.get(place)?;
        let (value, others) = (self.value(point.number()?), unlike.others);
        let standing = match point.verdict {
            Verdict::Inside => "is inside its window but".to_owned(),
            other => format!("({}) is", other.words()),
        };
        Some(format!(
            "{} on {}: {value} {standing} unlike the other {} (mean {}, deviation {}); by chance that happens less than \
             once in {:.0} such sets",
            asked::run_of(&point.file),
            asked::day(point.day),
            others.count,
            self.value(others.mean),
            self.value(others.deviation),
            1.0 / unlike.chance.max(1e-6),
        ))
    }

    pub(super) fn json(&self, damaged: &[Damaged], vouched: &Vouched) -> Value {
        let trend = self.trend;
        let last = self.points.last();
        json!({
            "reading": self.key,
            "what": last.map(|point| &*point.what),
            "procedure": last.map(|point| &point.procedure),
            "unit": self.unit.symbol(),
            "void_runs_left_out": self.void_runs,
            "points": self.points.iter().map(point).collect::<Vec<_>>(),
            "without_number": trend.without,
            "mean": trend.sample.map(|sample| sample.mean),
            "deviation": trend.sample.map(|sample| sample.deviation),
            "control": trend.chart.map(|chart| json!({"low": chart.low, "high": chart.high, "range": chart.range,
                "range_high": chart.range_high})),
            "outside_control": trend.beyond,
            "tolerance": trend.tolerance.map(|tolerance| json!({"coverage": COVERAGE, "confidence": CONFIDENCE,
                "factor": tolerance.factor, "low": tolerance.low, "high": tolerance.high})),
            "normality": trend.normality.map(|normality| json!({"statistic": normality.statistic, "chance": normality.chance})),
            "drift_per_year": trend.drift.map(|drift| json!({"slope": drift.slope, "uncertainty": drift.uncertainty,
                "chance": drift.chance})),
            "unlike": self.unlike().map(|(place, odd_one)| json!({"point": place, "chance": odd_one.chance,
                "others": odd_one.others.count, "words": self.unlike_words()})),
            "damaged": damaged,
            "register": vouched,
        })
    }
}

/// Values of base units, whatever the unit of the step.
fn point(point: &HistoryPoint) -> Value {
    json!({
        "file": point.file,
        "mode": point.mode,
        "outcome": point.outcome,
        "at": asked::moment(point.at),
        "value": asked::json_value(point.value),
        "unit": &*point.unit,
        "low": point.low,
        "high": point.high,
        "verdict": point.verdict,
        "origin": point.origin,
        "meter": point.meter.as_deref(),
        "by": &*point.by,
    })
}

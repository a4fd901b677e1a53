//! A trend as a plot.

use super::answer::Shown;
use crate::cli::verb::asked;
use crate::report::history::{Level, Plot, PlotLine, PlotPoint, PointMark};

/// Makes the plot; none where no run gave a number.
pub(super) fn plot(shown: &Shown<'_>) -> Option<Plot> {
    let odd = shown.odd();
    let points: Vec<_> = shown
        .points
        .iter()
        .enumerate()
        .filter_map(|(place, point)| {
            let value = point.number()?;
            let mark = if odd.contains(&place) { PointMark::Odd } else { PointMark::Usual };
            let words = format!(
                "{} {}: {}, {}{}",
                asked::day(point.day),
                asked::run_of(&point.file),
                asked::shown(value, shown.unit),
                point.verdict.words(),
                asked::aside(point.mode)
            );
            Some(PlotPoint { at: point.at as f64, value, mark, words })
        })
        .collect();
    let last = shown.points.last()?;
    let chart = shown.trend.chart;
    let levels = [
        (Level::Mean, shown.trend.sample.map(|sample| sample.mean)),
        (Level::Control, chart.map(|chart| chart.low)),
        (Level::Control, chart.map(|chart| chart.high)),
        // The window of the last run: it may have changed over the years.
        (Level::Window, last.low),
        (Level::Window, last.high),
    ];
    let lines = levels.into_iter().filter_map(|(level, value)| {
        let value = value?;
        Some(PlotLine { level, value, words: asked::shown(value, shown.unit) })
    });
    let title = format!("{} ({})", last.what, shown.key);
    (!points.is_empty()).then(|| Plot { title, points, lines: lines.collect() })
}

//! As found against as left, side by side.

use std::collections::BTreeSet;

use crate::procedure::{At, Step};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::gauge::gauge;
use crate::report::{Judged, ReportSubject, Tone, judged};

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let readings = judged(subject.run);
    let mut table = Table::new(&[("reading", 0.28), ("as found", 0.36), ("as left", 0.36)]);
    table.rows.extend(stated(subject, &readings));
    table.rows.extend(mended(&readings));
    let heading = Block::Heading("As found and as left".to_owned());
    if table.rows.is_empty() {
        let none = "No reading is marked as found or as left, and none was taken again after it was outside.";
        return vec![heading, Block::Text(Tone::Plain, none.to_owned())];
    }
    vec![heading, Block::Table(table)]
}

/// The readings that the procedure marks, by what they are of.
fn stated(subject: &ReportSubject<'_>, readings: &[Judged<'_>]) -> Vec<Row> {
    let mut names: Vec<&str> = Vec::new();
    for (_, step) in subject.procedure.steps() {
        for name in [&step.as_found, &step.as_left].into_iter().flatten() {
            if !names.contains(&name.as_str()) {
                names.push(name);
            }
        }
    }
    names.into_iter().flat_map(|name| pairs(subject, readings, name)).collect()
}

/// The rows of one name: one for each part that was read.
fn pairs(subject: &ReportSubject<'_>, readings: &[Judged<'_>], name: &str) -> Vec<Row> {
    let of = |mark: fn(&Step) -> &Option<At<String>>| {
        let is_marked = |step: &Step| mark(step).as_ref().is_some_and(|pair| pair.value == name);
        let steps = subject.procedure.steps().map(|(_, step)| step);
        steps.filter(|step| is_marked(step)).map(|step| step.step.as_str()).collect::<Vec<_>>()
    };
    let (found, left) = (of(|step| &step.as_found), of(|step| &step.as_left));
    let mut parts = BTreeSet::new();
    for judged in readings {
        parts.extend(found.iter().chain(&left).find_map(|step| judged.key.behind(step)));
    }
    let rows = parts.into_iter().map(|of_part| {
        let is = |judged: &&Judged<'_>, steps: &[&str]| {
            steps.iter().any(|step| judged.key.behind(step) == Some(of_part))
        };
        let first = readings.iter().find(|judged| is(judged, &found));
        let last = readings.iter().rfind(|judged| is(judged, &left));
        let words = if of_part.is_empty() { name.to_owned() } else { format!("{name}: {of_part}") };
        Row::Cells(vec![Cell::toned(Tone::Strong, words), cell(first), cell(last)])
    });
    rows.collect()
}

/// Readings that were not inside at first and were taken again, before and after what was done about it.
fn mended(readings: &[Judged<'_>]) -> Vec<Row> {
    let mut rows = Vec::new();
    let mut seen = BTreeSet::new();
    for failed in readings.iter().filter(|judged| judged.verdict.is_outside()) {
        let last =
            readings.iter().rfind(|judged| judged.key == failed.key && judged.at > failed.at);
        if let Some(last) = last.filter(|_| seen.insert(failed.key)) {
            let words =
                Cell::toned(Tone::Strong, failed.key.as_str()).and(Tone::Faint, failed.what);
            rows.push(Row::Cells(vec![words, cell(Some(failed)), cell(Some(last))]));
        }
    }
    rows
}

fn cell(judged: Option<&Judged<'_>>) -> Cell {
    let Some(judged) = judged else { return Cell::toned(Tone::Caution, "not read") };
    let tone = if judged.verdict.is_outside() { Tone::Bad } else { Tone::Plain };
    let drawing = gauge(
        judged.bounds,
        &judged.judged(),
        judged.verdict,
        judged.decision.uncertainty.as_ref(),
    );
    Cell::toned(Tone::Strong, judged.stated())
        .maybe(Tone::Faint, judged.coverage())
        .and(tone, format!("{}, {}", judged.verdict.words(), judged.at.format("%Y-%m-%d %H:%M")))
        .and(Tone::Faint, judged.bounds.describe(Some(judged.unit)))
        .drawn(drawing)
}

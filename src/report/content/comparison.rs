//! As found against as left, side by side.

use std::collections::BTreeSet;

use crate::procedure::{At, Step};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::gauge::gauge;
use crate::report::{Judged, ReportSubject, Tone, judged};

const HEADING: &str = "As found and as left";

/// A reading as found and as left; none where it was not taken.
struct Compared<'a, 'r> {
    about: Cell,
    found: Option<&'r Judged<'a>>,
    left: Option<&'r Judged<'a>>,
}

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let readings = judged(subject.run);
    let mut table = Table::new(&[("reading", 0.28), ("as found", 0.36), ("as left", 0.36)]);
    let row = |compared: Compared<'_, '_>| {
        Row::Cells(vec![compared.about, cell(compared.found), cell(compared.left)])
    };
    table.rows.extend(compared(subject, &readings).into_iter().map(row));
    under_heading(table)
}

/// The same in one line each, with the limits of what was left.
pub(super) fn short(subject: &ReportSubject<'_>) -> Vec<Block> {
    let readings = judged(subject.run);
    let mut table = Table::new(&[
        ("reading", 0.24),
        ("as found", 0.21),
        ("as left", 0.21),
        ("limits", 0.24),
        ("verdict", 0.1),
    ]);
    table.rows.extend(compared(subject, &readings).into_iter().map(short_row));
    under_heading(table)
}

fn short_row(compared: Compared<'_, '_>) -> Row {
    let value = |judged: Option<&Judged<'_>>| match judged {
        Some(judged) => Cell::toned(tone(judged), judged.stated()),
        None => Cell::toned(Tone::Caution, "not read"),
    };
    let (limits, verdict) = match compared.left {
        Some(left) => (
            Cell::of(left.bounds.describe(Some(left.unit))),
            Cell::toned(tone(left), left.verdict.words()),
        ),
        None => (Cell::default(), Cell::default()),
    };
    let (found, left) = (value(compared.found), value(compared.left));
    Row::Cells(vec![compared.about, found, left, limits, verdict])
}

fn under_heading(table: Table) -> Vec<Block> {
    let heading = Block::Heading(HEADING.to_owned());
    if table.rows.is_empty() {
        let none = "No reading is marked as found or as left, and none was taken again after it was outside.";
        return vec![heading, Block::Text(Tone::Plain, none.to_owned())];
    }
    vec![heading, Block::Table(table)]
}

fn compared<'a, 'r>(
    subject: &ReportSubject<'_>,
    readings: &'r [Judged<'a>],
) -> Vec<Compared<'a, 'r>> {
    let mut all = stated(subject, readings);
    all.extend(mended(readings));
    all
}

/// The readings that the procedure marks, by what they are of.
fn stated<'a, 'r>(
    subject: &ReportSubject<'_>,
    readings: &'r [Judged<'a>],
) -> Vec<Compared<'a, 'r>> {
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

/// What is compared under one name: each part that was read.
fn pairs<'a, 'r>(
    subject: &ReportSubject<'_>,
    readings: &'r [Judged<'a>],
    name: &str,
) -> Vec<Compared<'a, 'r>> {
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
        let words = if of_part.is_empty() { name.to_owned() } else { format!("{name}: {of_part}") };
        Compared {
            about: Cell::toned(Tone::Strong, words),
            found: readings.iter().find(|judged| is(judged, &found)),
            left: readings.iter().rfind(|judged| is(judged, &left)),
        }
    });
    rows.collect()
}

/// Readings that were not inside at first and were taken again, before and after what was done about it.
fn mended<'a, 'r>(readings: &'r [Judged<'a>]) -> Vec<Compared<'a, 'r>> {
    let mut rows = Vec::new();
    let mut seen = BTreeSet::new();
    for failed in readings.iter().filter(|judged| judged.verdict.is_outside()) {
        let last =
            readings.iter().rfind(|judged| judged.key == failed.key && judged.at > failed.at);
        if let Some(last) = last.filter(|_| seen.insert(failed.key)) {
            let about =
                Cell::toned(Tone::Strong, failed.key.as_str()).and(Tone::Faint, failed.what);
            rows.push(Compared { about, found: Some(failed), left: Some(last) });
        }
    }
    rows
}

fn cell(judged: Option<&Judged<'_>>) -> Cell {
    let Some(judged) = judged else { return Cell::toned(Tone::Caution, "not read") };
    let drawing = gauge(
        judged.bounds,
        &judged.judged(),
        judged.verdict,
        judged.decision.uncertainty.as_ref(),
    );
    Cell::toned(Tone::Strong, judged.stated())
        .maybe(Tone::Faint, judged.coverage())
        .and(
            tone(judged),
            format!("{}, {}", judged.verdict.words(), judged.at.format("%Y-%m-%d %H:%M")),
        )
        .and(Tone::Faint, judged.bounds.describe(Some(judged.unit)))
        .drawn(drawing)
}

fn tone(judged: &Judged<'_>) -> Tone {
    if judged.verdict.is_outside() { Tone::Bad } else { Tone::Plain }
}

//! What a technician looks up: where it stopped, what was read again, what was done about it.

use std::collections::BTreeSet;

use super::{comparison, events, stages, summary};
use crate::report::document::{Block, Row, Table};
use crate::report::{ReportSubject, Tone, judged};

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let mut blocks = summary::in_short(subject);
    blocks.extend(events::work(subject));
    blocks.extend(comparison::blocks(subject));
    blocks.extend(repeats(subject));
    blocks
}

/// Every reading that was taken more than once, or is not inside, with all its attempts.
fn repeats(subject: &ReportSubject<'_>) -> Vec<Block> {
    let readings = judged(subject.run);
    let told: BTreeSet<_> = readings
        .iter()
        .filter(|judged| !judged.key.is_making_safe())
        .filter(|judged| judged.attempt > 1 || judged.verdict.is_outside())
        .map(|judged| judged.key)
        .collect();
    let heading = Block::Heading("Read again, or outside".to_owned());
    if told.is_empty() {
        let none = "Every reading was inside at once, and none was taken again.";
        return vec![heading, Block::Text(Tone::Plain, none.to_owned())];
    }
    let mut table = Table::new(&stages::COLUMNS);
    let of_these = readings.iter().filter(|judged| told.contains(judged.key));
    table.rows.extend(of_these.map(|judged| Row::Cells(stages::timed(subject, judged))));
    vec![heading, Block::Table(table)]
}

//! What a customer is handed: two pages on what came in, what was done, what was measured, and what was not tested.
//!
//! Nothing that keeps a report from being final is left out, and no reading that stands outside.

use std::collections::BTreeSet;

use super::{CAUTIONS, comparison, events, summary};
use crate::procedure::safety::{Test, test_of};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::{Judged, ReportSubject, Tone, judged};
use crate::window::Verdict;

const COLUMNS: [(&str, f64); 4] =
    [("what", 0.52), ("measured", 0.21), ("limits", 0.18), ("verdict", 0.09)];

pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let readings = last_of_each(subject);
    let is_safety = |judged: &Judged<'_>| test_of_reading(subject, judged).is_some();
    let (safety, others): (Vec<_>, Vec<_>) = readings.into_iter().partition(is_safety);
    let (inside, outside): (Vec<_>, Vec<_>) =
        others.into_iter().partition(|judged| judged.verdict.is_inside());
    let tested: Vec<_> =
        safety.iter().filter(|judged| !is_compared(subject, &safety, judged)).collect();
    let more = inside.iter().filter(|judged| !is_compared(subject, &[], judged)).count();
    let mut blocks = summary::in_short(subject);
    blocks.extend(events::work_in_short(subject));
    blocks.extend(comparison::short(subject));
    if !outside.is_empty() {
        blocks.extend(measured("Not inside its limits", &outside.iter().collect::<Vec<_>>()));
    }
    blocks.push(Block::Text(Tone::Plain, the_rest(more)));
    blocks.push(Block::Text(Tone::Strong, CAUTIONS.join(" ")));
    blocks.extend(measured("Electrical safety", &tested));
    blocks.extend(summary::untested(subject));
    blocks.extend(events::signatures(subject));
    blocks
}

/// The reading that counts of each that was judged: the last one; of those inside also where a later step takes it again in the same
/// words.
fn last_of_each<'a>(subject: &ReportSubject<'a>) -> Vec<Judged<'a>> {
    let (mut keys, mut words) = (BTreeSet::new(), BTreeSet::new());
    let all = judged(subject.run).into_iter().rev();
    let judged_ones = all.filter(|judged| judged.verdict != Verdict::NotJudged);
    let of_the_set = judged_ones.filter(|judged| !judged.key.is_making_safe());
    let mut last: Vec<_> = of_the_set.filter(|judged| keys.insert(judged.key)).collect();
    last.retain(|judged| words.insert(judged.what) || !judged.verdict.is_inside());
    last.reverse();
    last
}

/// Whether a reading inside stands under "As found and as left": it is marked so, or is the same test of a part that is.
fn is_compared(subject: &ReportSubject<'_>, safety: &[Judged<'_>], judged: &Judged<'_>) -> bool {
    let Some(step) =
        subject.procedure.step(judged.key.owner()).filter(|_| judged.verdict.is_inside())
    else {
        return false;
    };
    let is_again = |left: &Judged<'_>| {
        let marked = subject.procedure.step(left.key.owner()).filter(|step| step.as_left.is_some());
        let part = judged.key.behind(&step.step).filter(|part| !part.is_empty());
        marked.is_some_and(|marked| {
            part.is_some_and(|part| left.key.behind(&marked.step) == Some(part))
                && test_of(marked) == test_of(step)
        })
    };
    step.as_found.is_some() || step.as_left.is_some() || safety.iter().any(is_again)
}

fn test_of_reading(subject: &ReportSubject<'_>, judged: &Judged<'_>) -> Option<Test> {
    subject.procedure.step(judged.key.owner()).and_then(test_of)
}

fn measured(heading: &str, readings: &[&Judged<'_>]) -> Vec<Block> {
    let heading = Block::Heading(heading.to_owned());
    if readings.is_empty() {
        return vec![heading, Block::Text(Tone::Bad, "Nothing was measured.".to_owned())];
    }
    let mut table = Table::new(&COLUMNS);
    table.rows.extend(readings.iter().map(|judged| row(judged)));
    vec![heading, Block::Table(table)]
}

fn row(judged: &Judged<'_>) -> Row {
    let tone = if judged.verdict.is_inside() { Tone::Plain } else { Tone::Bad };
    Row::Cells(vec![
        Cell::of(judged.what),
        Cell::toned(Tone::Strong, judged.stated()),
        Cell::of(judged.bounds.describe(Some(judged.unit))),
        Cell::toned(tone, judged.verdict.words()),
    ])
}

/// The readings that are not on these pages; every one of them is inside.
fn the_rest(count: usize) -> String {
    let readings = if count == 1 { "reading" } else { "readings" };
    format!(
        "Besides the safety tests below, {count} more {readings}, all inside, stand in the workshop's own report with limits, times and instruments."
    )
}

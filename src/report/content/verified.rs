//! What a second person verified: both readings and how far apart they are, and what was agreed on before it was switched.

use crate::record::{CourseItem, Fact, Happening};
use crate::report::document::{Block, Cell, Row, Table};
use crate::report::verification::{apart, value, verdict};
use crate::report::{ReportSubject, Tone};

const READ: [(&str, f64); 5] =
    [("when", 0.16), ("what", 0.3), ("first", 0.18), ("second", 0.18), ("apart", 0.18)];

const AGREED: [(&str, f64); 3] = [("when", 0.16), ("agreed by", 0.34), ("what", 0.5)];

/// Nothing for a run in which nothing was to be verified.
pub(super) fn blocks(subject: &ReportSubject<'_>) -> Vec<Block> {
    let tables = [table(subject, &READ, read_twice), table(subject, &AGREED, agreed)];
    let tables: Vec<_> = tables.into_iter().flatten().map(Block::Table).collect();
    if tables.is_empty() {
        return Vec::new();
    }
    let heading = Block::Heading("Verified by a second person".to_owned());
    let how = "The program did not show a first value before the second was in, and asked for each agreement before the act.";
    let names = subject.run.opening.names().remark();
    let names = names.map(|words| format!(" Names are {words}.")).unwrap_or_default();
    let how = Block::Text(Tone::Plain, format!("{how}{names}"));
    [heading, how].into_iter().chain(tables).collect()
}

fn table(
    subject: &ReportSubject<'_>,
    columns: &[(&'static str, f64)],
    row: fn(&CourseItem, &Fact) -> Option<Row>,
) -> Option<Table> {
    let mut table = Table::new(columns);
    for item in &subject.run.items {
        if let Happening::Fact(fact) = &item.what {
            table.rows.extend(row(item, fact));
        }
    }
    (!table.rows.is_empty()).then_some(table)
}

fn when(item: &CourseItem) -> Cell {
    Cell::of(item.at.format("%Y-%m-%d %H:%M").to_string())
}

fn read_twice(item: &CourseItem, fact: &Fact) -> Option<Row> {
    let Fact::Verified { key, what, taken_by, by, first, second, unit, agreed, .. } = fact else {
        return None;
    };
    let (tone, words) = verdict(*agreed);
    let cell = |reading, name: &str| {
        Cell::toned(Tone::Strong, value(reading, unit)).and(Tone::Faint, name)
    };
    Some(Row::Cells(vec![
        when(item),
        Cell::of(what.as_str()).and(Tone::Faint, key.as_str()),
        cell(first, taken_by),
        cell(second, by),
        Cell::toned(tone, words).maybe(Tone::Plain, apart(fact)),
    ]))
}

fn agreed(item: &CourseItem, fact: &Fact) -> Option<Row> {
    let Fact::Agreed { key, what, person, by } = fact else { return None };
    Some(Row::Cells(vec![
        when(item),
        Cell::of(format!("{person} and {by}")),
        Cell::of(what.as_str()).and(Tone::Faint, key.as_str()),
    ]))
}

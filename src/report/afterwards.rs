//! What was said of a record afterwards: amendments beside what they amend, and VOID where nobody can miss it.

use super::{Sheet, Tone};
use crate::record::{AmendedLine, CourseItem, Fact, Names, Run, VoidedRecord};

/// The mark at the top and at the end of a run that is void or not real; empty for any other.
pub(super) fn mark(run: &Run) -> String {
    let void = run.voided.is_some().then_some("VOID");
    let marks: Vec<_> = void.into_iter().chain(run.opening.mode.mark()).collect();
    marks.join("; ")
}

/// Says why a record is void, if it is.
pub(super) fn void(sheet: &mut Sheet, run: &Run) {
    let Some(void) = &run.voided else { return };
    let (why, by, at) = (&void.why, &void.by, void.at.to_rfc3339());
    let typed = run.opening.names().typed();
    sheet.line(Tone::Bad, &format!("VOID, it counts for nothing: {why}"));
    sheet.line(Tone::Bad, &format!("declared void by {by} (name {typed}) on {at}"));
}

/// Says below a line what it was amended to; the line itself stands above as it was written.
pub(super) fn amendments(sheet: &mut Sheet, run: &Run, line: usize) {
    let typed = run.opening.names().typed();
    for amendment in run.amendments.iter().filter(|amendment| amendment.line == line) {
        let (by, at) = (&amendment.by, amendment.at.to_rfc3339());
        let lead = format!("  {line:>4} AMENDED   ");
        sheet.indented(
            Tone::Caution,
            &lead,
            &format!("{} ({by}, name {typed}, {at})", amendment.text),
        );
    }
}

/// The words for what was added afterwards, at its own place in the record.
pub(super) fn words(item: &CourseItem, fact: &Fact, names: Names) -> Option<(Tone, String)> {
    let (by, at, typed) = (&item.by, item.at.to_rfc3339(), names.typed());
    match fact {
        Fact::Amended(AmendedLine { line, text }) => {
            let words = format!("line {line} amended by {by} (name {typed}) on {at}: {text}");
            Some((Tone::Caution, words))
        }
        Fact::Voided(VoidedRecord { why, with }) => {
            let (with, names) = match with {
                Some(with) => (format!(" with {with}"), "names"),
                None => (String::new(), "name"),
            };
            let words = format!("declared VOID by {by}{with} ({names} {typed}) on {at}: {why}");
            Some((Tone::Bad, words))
        }
        _ => None,
    }
}

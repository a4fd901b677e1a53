//! Whether a report may pass as final, and what has to stand on every page if not.

use crate::record::{Fact, Happening, Mode, Outcome, Standing};
use crate::report::ReportSubject;

/// What keeps a report from being final; nothing when it is.
///
/// A report without as-left readings and a hand-back is a report of unfinished work (ISO/IEC 17025:2017 7.8.2 asks for the
/// state of the item; that the last phase is the one left out is common experience, no source).
#[must_use]
pub fn lacks(subject: &ReportSubject<'_>) -> Vec<String> {
    let run = subject.run;
    let mut lacks = Vec::new();
    if let Some(void) = &run.voided {
        let (by, why, typed) = (&void.by, &void.why, run.opening.names().typed());
        lacks.push(format!("the run was declared void by {by} (name {typed}): {why}"));
    }
    if subject.seal.adopted {
        lacks.push(
            "the record was taken over as it was: nothing vouches for it from before".to_owned(),
        );
    }
    match run.closing {
        None => {
            lacks.push("the run is not closed, or the end of its record was cut off".to_owned())
        }
        Some(closing) if closing.outcome != Outcome::Finished => {
            lacks.push(format!("the run was {}", closing.outcome.words()));
        }
        Some(closing) if !closing.safe => {
            lacks.push("the equipment was not confirmed safe".to_owned());
        }
        Some(_) => {}
    }
    let left: Vec<_> =
        subject.procedure.steps().filter(|(_, step)| step.as_left.is_some()).collect();
    if left.is_empty() {
        lacks.push("the procedure has no as-left reading".to_owned());
    }
    for (_, step) in left {
        if run.step(&step.step) != Some(Standing::Good) {
            let of = step.as_left.as_ref().map_or("", |name| name.as_str());
            lacks.push(format!("no as-left reading of {of}"));
        }
    }
    if !is_handed_back(subject) {
        lacks.push("no second person released the equipment in the last stage".to_owned());
    }
    lacks
}

/// Tells whether a second person released the equipment in the last stage, since it was last begun.
fn is_handed_back(subject: &ReportSubject<'_>) -> bool {
    let last = subject.procedure.stages.last().map(|stage| stage.stage.as_str());
    let mut is_last = false;
    let mut released = false;
    for item in &subject.run.items {
        let Happening::Fact(fact) = &item.what else { continue };
        match fact.as_ref() {
            Fact::StageOpened { stage, .. } => {
                (is_last, released) = (Some(stage.as_str()) == last, false);
            }
            Fact::Released { .. } => released = is_last,
            _ => {}
        }
    }
    released
}

/// What stands on every page.
#[must_use]
pub fn marks(subject: &ReportSubject<'_>) -> Vec<String> {
    let mode = subject.run.opening.mode;
    let mut marks: Vec<String> = mode.mark().map(str::to_owned).into_iter().collect();
    if subject.run.voided.is_some() {
        marks.insert(0, "VOID: it counts for nothing".to_owned());
    }
    if subject.seal.wrong.is_some() {
        marks.push("UNVERIFIED: the record does not verify".to_owned());
    }
    if subject.seal.adopted {
        marks.push("TAKEN OVER AS IT WAS".to_owned());
    }
    if !lacks(subject).is_empty() {
        marks.push("INCOMPLETE: not a final report".to_owned());
    }
    marks
}

/// The title: it says at once if the report is no final one.
#[must_use]
pub(super) fn title(subject: &ReportSubject<'_>) -> String {
    let of = &subject.procedure.title.value;
    let mode = subject.run.opening.mode;
    let is_final = mode == Mode::Real && subject.seal.wrong.is_none() && lacks(subject).is_empty();
    if is_final { format!("Report: {of}") } else { format!("Not a final report: {of}") }
}

//! The first line of a report: how the run ended, and where it was stopped, on what.

use crate::record::{Fact, Key, Outcome, Run, StopReason};
use crate::report::document::Block;
use crate::report::{Tone, judged};

/// How the run ended; after a stop with what it was stopped on: the value and its limits.
pub(super) fn block(run: &Run) -> Block {
    let (tone, outcome) = match run.closing {
        Some(closing) if closing.outcome == Outcome::Finished => {
            return Block::Text(Tone::Strong, format!("The run: {}.", closing.outcome.words()));
        }
        Some(closing) => (Tone::Bad, closing.outcome.words()),
        None => (Tone::Bad, "not closed: unfinished, or the end of its record was cut off"),
    };
    let cause = cause(run).map(|cause| format!(": {cause}")).unwrap_or_default();
    Block::Text(tone, format!("The run: {outcome}{cause}."))
}

/// What the last stop was about.
fn cause(run: &Run) -> Option<String> {
    let mut stops = run.facts().filter_map(|fact| match fact {
        Fact::Stopped { key, reason } => Some((key.as_ref(), reason)),
        _ => None,
    });
    let (key, reason) = stops.next_back()?;
    let said = match reason {
        StopReason::Outside | StopReason::Undecided | StopReason::Disagreement => read(run, key?),
        StopReason::Seen => seen(run, key?),
        StopReason::FoundLive { key } => live(run, key),
        StopReason::Declined { .. }
        | StopReason::Halted { .. }
        | StopReason::Interrupted { .. }
        | StopReason::InstrumentLost { .. }
        | StopReason::Tripped { .. }
        | StopReason::RecordFailed { .. }
        | StopReason::Unattended { .. }
        | StopReason::CouldNotWorkOut { .. }
        | StopReason::UnusableFact { .. }
        | StopReason::FoundOn(_)
        | StopReason::ClockUpset { .. }
        | StopReason::SourceOff { .. }
        | StopReason::StillFitted { .. }
        | StopReason::Resumed => None,
    };
    Some(said.unwrap_or_else(|| reason.words()))
}

/// The reading that stopped the run: what, how much, and against which window.
fn read(run: &Run, key: &Key) -> Option<String> {
    let readings = judged(run);
    let judged = readings.iter().rev().find(|judged| judged.key == key)?;
    let window = judged.bounds.describe(Some(judged.unit));
    Some(format!(
        "{}: {}, {}; the window is {window}",
        judged.what,
        judged.stated(),
        judged.verdict.words()
    ))
}

/// The voltage on equipment that was taken for dead.
fn live(run: &Run, key: &Key) -> Option<String> {
    let readings = judged(run);
    let judged = readings.iter().rev().find(|judged| judged.key == key)?;
    Some(format!("{}: {}, LIVE where it was proved dead", judged.what, judged.stated()))
}

/// What was seen that is stated as not acceptable.
fn seen(run: &Run, key: &Key) -> Option<String> {
    run.facts().rev().find_map(|fact| match fact {
        Fact::Seen { key: seen, what, text, good: false, .. } if seen == key => {
            Some(format!("{what}: {text}, NOT ACCEPTABLE"))
        }
        _ => None,
    })
}

//! A mains stage that no gentler source leads up to.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Stage;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD005", "missing-rung", include_str!("missing_rung.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = &subject.procedure.stages;
    let climbs = stages.iter().enumerate();
    climbs.filter_map(|(n, stage)| finding(stage, stages.get(..n)?)).collect()
}

fn finding(stage: &Stage, earlier: &[Stage]) -> Option<Finding> {
    let due = rungs_below(stage.source.value)?;
    let reason = stage.ceiling.as_ref().and_then(|ceiling| ceiling.reason.as_ref());
    // A second stage of the same source stands on the first, which has the finding.
    let reached = |before: &Stage| {
        due.contains(&before.source.value) || before.source.value == stage.source.value
    };
    if reason.is_some() || earlier.iter().any(reached) {
        return None;
    }
    let due: Vec<_> = due.iter().map(|source| source.words()).collect();
    Some(
        CHECK
            .error(format!("no gentler source leads up to {}", stage.source.words()))
            .at(stage.source.span)
            .help(format!(
                "put a stage before it on {}, or say why not: `reason` in the ceiling",
                due.join(" or on ")
            )),
    )
}

/// The sources of which one has to come first; none for sources that may be the first.
fn rungs_below(source: Source) -> Option<&'static [Source]> {
    match source {
        Source::None | Source::BenchSupply | Source::MainsThroughLamp => None,
        Source::MainsVariable => Some(&[Source::BenchSupply, Source::MainsThroughLamp]),
        Source::Mains => Some(&[Source::MainsThroughLamp, Source::MainsVariable]),
    }
}

//! A source that is still on when its stage is over.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{Flow, flows};

pub(super) const CHECK: Check =
    Check::new("ORD007", "source-left-on", include_str!("source_left_on.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let nexts = flows.iter().skip(1).map(Some).chain([None]);
    flows.iter().zip(nexts).filter_map(|(flow, next)| finding(flow, next)).collect()
}

fn finding(flow: &Flow<'_>, next: Option<&Flow<'_>>) -> Option<Finding> {
    let source = &flow.stage.source;
    let goes_on = next.is_some_and(|next| next.stage.source.value == source.value);
    if !flow.end.live || goes_on {
        return None;
    }
    let then = match next {
        Some(next) => format!("the stage `{}` begins", next.stage.stage.value),
        None => "the procedure ends".to_owned(),
    };
    Some(
        CHECK
            .error(format!("{} is still on when {then}", source.words()))
            .at(flow.stage.stage.span)
            .help("end the stage with a step `set: {what: ..., power: off}`"),
    )
}

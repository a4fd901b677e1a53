//! An energised stage that nothing judges.

use super::flow::{Energy, Flow, energises, flows};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::{Kind, Step};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD021", "unread-energy", include_str!("unread_energy.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    flows(subject.procedure).iter().filter_map(finding).collect()
}

fn finding(flow: &Flow<'_>) -> Option<Finding> {
    let stage = flow.stage;
    // A stage that never comes on has its own finding.
    let comes_on = flow.start.live || flow.steps.iter().any(|(step, _)| energises(step));
    if stage.source.value == Source::None || !comes_on || flow.steps.iter().any(is_judged_live) {
        return None;
    }
    Some(
        CHECK
            .error(format!("no reading of the stage `{}` is judged", stage.stage.value))
            .at(stage.stage.span)
            .help("add a `read` or a `watch` with a window while the source is on"),
    )
}

/// Whether a value is judged here while the source is on.
fn is_judged_live((step, energy): &(&Step, Energy)) -> bool {
    let kind = step.kind();
    let window = kind.and_then(Kind::window);
    let recorded = window.is_some_and(|window| window.is_record_only());
    energy.live && kind.and_then(Kind::is_judged) == Some(true) && !recorded
}

//! A ceiling that rises while the source is on, and that no `set` of its stage brings into force.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{energises, flows};
use crate::procedure::{CeilingText, Stage};

pub(super) const CHECK: Check =
    Check::new("ORD047", "unset-ceiling", include_str!("unset_ceiling.md")).of_procedure(run);

/// Less than this is rounding in a formula.
const RISE: f64 = 1.001;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let neighbours = flows.iter().zip(flows.iter().skip(1));
    let kept_on = neighbours.filter(|(before, flow)| {
        let sets = flow.steps.iter().any(|(step, _)| energises(step));
        before.stage.source.value == flow.stage.source.value && flow.start.live && !sets
    });
    kept_on.filter_map(|(before, flow)| finding(before.stage, flow.stage, subject)).collect()
}

fn finding(before: &Stage, stage: &Stage, subject: &Subject<'_>) -> Option<Finding> {
    let (earlier, later) = (before.ceiling.as_ref()?, stage.ceiling.as_ref()?);
    let rises = |trial: &Trial| {
        let ends = |ceiling: &CeilingText| {
            Some([trial.value(&ceiling.voltage)?.to_f64(), trial.value(&ceiling.current)?.to_f64()])
        };
        let (was, is) = (ends(earlier)?, ends(later)?);
        Some(was.iter().zip(is).any(|(was, is)| is > RISE * was))
    };
    let rises = subject.trials().iter().filter_map(rises).any(|rises| rises);
    rises.then(|| {
        CHECK
            .error(format!(
                "the ceiling of `{}` rises, and no `set` of the stage brings it up",
                stage.stage.value
            ))
            .at(later.voltage.text.span)
            .related(earlier.voltage.text.span, "the ceiling that is in force")
            .help("add the `set` that goes up to it, or leave the ceiling as it was")
    })
}

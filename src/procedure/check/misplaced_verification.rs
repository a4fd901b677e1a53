//! `verify` where nothing could be verified in that way, or `agree_within` beside no second reading.

use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::{Stage, Step, Verify};

pub(super) const CHECK: Check =
    Check::new("VER001", "misplaced-verification", include_str!("misplaced_verification.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().filter_map(|(_, step)| of_step(step));
    steps.chain(subject.procedure.stages.iter().filter_map(of_stage)).collect()
}

fn of_step(step: &Step) -> Option<Finding> {
    let name = step.step.value.as_str();
    match step.verify.as_ref().map(|verify| (verify.value, verify.span)) {
        Some((Verify::Independent, span)) if step.read.is_none() => Some(finding(
            format!("`{name}` is not a reading, so it can't be taken again"),
            span,
            "put `independent` on a `read` step",
        )),
        Some((Verify::Concurrent, span)) if !step.is_switching() => Some(finding(
            format!("`{name}` switches nothing that two people could agree on before"),
            span,
            "put `concurrent` on a `do` step, or on a `set` step that switches nothing off",
        )),
        Some((Verify::Independent, _)) => None,
        _ => {
            let span = step.agree_within.as_ref()?.text.span;
            Some(finding(
                format!("`{name}` has no second reading that could agree"),
                span,
                "add `verify: independent`, or leave `agree_within` out",
            ))
        }
    }
}

fn of_stage(stage: &Stage) -> Option<Finding> {
    let verify = stage.verify.as_ref()?;
    let name = stage.stage.value.as_str();
    let is_independent = verify.value == Verify::Independent;
    let help = "put `concurrent` on a stage with a `set` step that brings its source on";
    let what = if is_independent {
        format!("stage `{name}` is not a reading, so it can't be taken again")
    } else {
        format!("no step of stage `{name}` brings a source on")
    };
    (is_independent || stage.first_on().is_none()).then(|| finding(what, verify.span, help))
}

fn finding(what: String, span: Span, help: &str) -> Finding {
    CHECK.error(what).at(span).help(help)
}

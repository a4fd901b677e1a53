//! A signal word that harm and likelihood do not give.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Harm, Hazard, Procedure};
use crate::record::Signal;

pub(super) const CHECK: Check =
    Check::new("HAZ002", "wrong-signal-word", include_str!("wrong_signal_word.md"))
        .of_procedure(run);

/// The notices of stages and steps.
pub(super) fn notices(procedure: &Procedure) -> impl Iterator<Item = &Hazard> {
    procedure.stages.iter().flat_map(|stage| {
        let steps = stage.steps.iter().filter_map(|step| step.hazard.as_ref());
        stage.hazard.iter().chain(steps)
    })
}

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    notices(subject.procedure).filter_map(finding).collect()
}

fn finding(hazard: &Hazard) -> Option<Finding> {
    let (written, due) = (hazard.signal.value, hazard.due_signal());
    if written == due {
        return None;
    }
    let message = if written == Signal::Danger && hazard.harm.value == Harm::Property {
        "DANGER is for people, and only property is at stake here".to_owned()
    } else {
        format!("the harm and how likely it is give {}, not {}", due.word(), written.word())
    };
    let help =
        format!("write `signal: {}`, or correct `harm` and `likely`", due.word().to_lowercase());
    Some(
        CHECK
            .error(message)
            .at(hazard.signal.span)
            .related(hazard.harm.span, "the harm")
            .help(help),
    )
}

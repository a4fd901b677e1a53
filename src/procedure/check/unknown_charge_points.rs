//! Energy in a procedure that does not say where charge can stay.

use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::Procedure;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("HAZ006", "unknown-charge-points", include_str!("unknown_charge_points.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let (true, Some((place, why))) = (procedure.charge_points.is_empty(), due(procedure)) else {
        return Vec::new();
    };
    let finding = CHECK
        .error(format!("{why}, and no `charge_points` say where charge can stay"))
        .at(place)
        .help("name every point, with the voltage below which it counts as dead");
    vec![finding]
}

/// Why "dead" has to be provable, and the first place that shows it.
fn due(procedure: &Procedure) -> Option<(Span, &'static str)> {
    let stage = procedure.stages.iter().find(|stage| stage.source.value != Source::None);
    let stage = stage.map(|stage| (stage.source.span, "this stage is energised"));
    let step = procedure.steps().find(|(_, step)| step.prove_dead.is_some());
    let step = step.map(|(_, step)| (step.step.span, "\"dead\" is proved here"));
    stage.or(step)
}

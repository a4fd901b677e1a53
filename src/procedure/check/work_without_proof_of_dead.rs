//! Hands that go in, or a source that comes on, before "dead" is proved: at the start, after an energised stage, after an
//! insulation test.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{EnergyBeforeStep, Flow, energises, flows};
use crate::procedure::safety::is_of_insulation_test;
use crate::procedure::step::{Kind, Step};

pub(super) const CHECK: Check = Check::new(
    "ORD006",
    "work-without-proof-of-dead",
    include_str!("work_without_proof_of_dead.md"),
)
.of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    flows.iter().filter_map(first_unproved).collect()
}

/// The first step of a stage that comes too early; the others come too early for the same reason.
fn first_unproved(flow: &Flow<'_>) -> Option<Finding> {
    let mut steps = flow.steps.iter().enumerate();
    let (_, (step, _)) = steps.find(|(n, (step, energy))| {
        too_early(step, *energy, flow.steps.get(*n..).unwrap_or_default())
    })?;
    let what = if energises(step) { "the source comes on" } else { "hands go in" };
    let message =
        format!("{what} at `{}` without a proof that the equipment is dead", step.step.value);
    let help = "put a `prove_dead` step before it; only `do` steps that isolate may come first";
    Some(CHECK.error(message).at(step.step.span).help(help))
}

fn too_early(step: &Step, energy: EnergyBeforeStep, rest: &[(&Step, EnergyBeforeStep)]) -> bool {
    if energy.live || !(energy.unproved || energy.charged && !is_of_insulation_test(step)) {
        return false;
    }
    let hands_on = step.kind().is_some_and(Kind::is_hands_on);
    let isolates = step.r#do.is_some() && proof_follows(rest);
    energises(step) || hands_on && !isolates
}

/// Whether "dead" is proved in the rest of the stage before anything comes on.
fn proof_follows(rest: &[(&Step, EnergyBeforeStep)]) -> bool {
    let mut off = rest.iter().take_while(|(step, _)| !energises(step));
    off.any(|(step, _)| step.prove_dead.is_some())
}

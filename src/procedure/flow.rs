//! Where the equipment is live as a procedure goes on, and where a proof of "dead" is due.

use super::safety::charges;
use crate::procedure::step::Step;
use crate::procedure::{Procedure, Stage};
use crate::record::Source;

/// What is so just before a step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct EnergyBeforeStep {
    /// A source is on.
    pub(crate) live: bool,
    /// "Dead" has not been proved: not yet at all, or not since a source was on.
    pub(crate) unproved: bool,
    /// An insulation tester has charged what it was on, and "dead" has not been proved since.
    pub(crate) charged: bool,
}

/// What is so before the first step: nobody knows what the equipment still holds.
const UNKNOWN: EnergyBeforeStep = EnergyBeforeStep { live: false, unproved: true, charged: false };

/// A stage with what is so at its start, before each step, and at its end.
#[derive(Debug)]
pub(crate) struct Flow<'a> {
    pub(crate) stage: &'a Stage,
    pub(crate) start: EnergyBeforeStep,
    pub(crate) steps: Vec<(&'a Step, EnergyBeforeStep)>,
    pub(crate) end: EnergyBeforeStep,
}

/// Follows the energy through the stages.
///
/// Where a stage leaves its source on for a stage of another source, the walk goes on as if it had been switched off:
/// that slip is one finding, not a row of them.
pub(crate) fn flows(procedure: &Procedure) -> Vec<Flow<'_>> {
    let mut energy = UNKNOWN;
    let mut before = Source::None;
    let mut flows = Vec::new();
    for stage in &procedure.stages {
        energy.live &= stage.source.value == before;
        let start = energy;
        let mut steps = Vec::new();
        for step in &stage.steps {
            steps.push((step, energy));
            energy = after(step, stage.source.value, energy);
        }
        flows.push(Flow { stage, start, steps, end: energy });
        before = stage.source.value;
    }
    flows
}

impl Procedure {
    /// Whether a proof of "dead" stands before a step, on the way from the first one, as far as its time goes.
    pub(crate) fn is_proved_before(&self, step: &Step) -> bool {
        let mut steps = flows(self).into_iter().flat_map(|flow| flow.steps);
        let energy = steps.find(|(other, _)| std::ptr::eq(*other, step)).map(|(_, energy)| energy);
        energy.is_some_and(|energy| !energy.live && !energy.unproved && !energy.charged)
    }
}

/// Whether the step brings a source up.
pub(crate) fn energises(step: &Step) -> bool {
    step.energises()
}

fn after(step: &Step, source: Source, energy: EnergyBeforeStep) -> EnergyBeforeStep {
    let energy = after_kind(step, source, energy);
    // What the proof before could not reach is behind the cover.
    EnergyBeforeStep { unproved: energy.unproved || step.opens.is_some(), ..energy }
}

/// What is so after what the step does, whatever it opens.
fn after_kind(step: &Step, source: Source, energy: EnergyBeforeStep) -> EnergyBeforeStep {
    if step.set.as_ref().is_some_and(|set| set.is_off()) {
        EnergyBeforeStep { live: false, ..energy }
    } else if energises(step) && source != Source::None {
        EnergyBeforeStep { live: true, unproved: true, ..energy }
    } else if step.prove_dead.is_some() && !energy.live {
        EnergyBeforeStep { live: false, unproved: false, charged: false }
    } else if charges(step) {
        EnergyBeforeStep { charged: true, ..energy }
    } else {
        energy
    }
}

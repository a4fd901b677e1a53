//! A bench supply that comes on with all its voltage at once, while nothing watches what it delivers.

use super::trial::in_every;
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{Flow, energises, flows};
use crate::procedure::step::Set;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD049", "sudden-supply", include_str!("sudden_supply.md")).of_procedure(run);

/// The most of the ceiling that is a first step of several. Common practice, no source.
const FIRST_STEP: f64 = 0.5;
/// Roots of a supply that comes on at its lowest.
const LOWEST: &str = "lowest minimum zero";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    flows(subject.procedure).iter().filter_map(|flow| finding(flow, subject)).collect()
}

fn finding(flow: &Flow<'_>, subject: &Subject<'_>) -> Option<Finding> {
    let stage = flow.stage;
    let is_guarded = stage.while_on.iter().next().is_some();
    if stage.source.value != Source::BenchSupply || is_guarded {
        return None;
    }
    let on = flow.steps.iter().find(|(step, energy)| energises(step) && !energy.live);
    let set = on.and_then(|(step, _)| step.set.as_ref())?;
    let at_its_lowest = mentions(&set.what, LOWEST) || set.what.contains(" 0 V");
    if set.over.is_some() || at_its_lowest || is_a_first_step(set, flow, subject) {
        return None;
    }
    Some(
        CHECK
            .warning("the bench supply comes on with its whole voltage, and nothing watches its current")
            .at(set.what.span)
            .help("bring it up slowly with `over`, guard the current with `while_on`, or go up in steps with a reading after each"),
    )
}

fn is_a_first_step(set: &Set, flow: &Flow<'_>, subject: &Subject<'_>) -> bool {
    let (Some(to), Some(ceiling)) = (&set.to, &flow.stage.ceiling) else { return false };
    in_every(subject.trials(), |trial| {
        let (to, ceiling) = (trial.value(to)?.to_f64(), trial.value(&ceiling.voltage)?.to_f64());
        Some(to <= FIRST_STEP * ceiling)
    })
}

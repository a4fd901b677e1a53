//! A value that is there only while a source is on, read in a stage without one.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{EnergyBeforeStep, flows};
use crate::procedure::safety::{dimension, window};
use crate::procedure::{Procedure, Step};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD048", "reading-without-source", include_str!("reading_without_source.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for flow in flows(subject.procedure) {
        if flow.stage.source.value != Source::None {
            continue;
        }
        let off = flow.stage.source.span;
        let found = flow.steps.iter().filter_map(|(step, energy)| {
            let message = message(subject, step, *energy)?;
            Some(CHECK.error(message).at(step.step.span).related(off, "no source").help(HELP))
        });
        findings.extend(found);
    }
    findings
}

const HELP: &str = "read it in a stage with the source that feeds it, with a ceiling and a notice";

fn message(subject: &Subject<'_>, step: &Step, energy: EnergyBeforeStep) -> Option<String> {
    let name = step.step.value.as_str();
    if step.measures_flow() {
        return Some(format!("`{name}` reads what flows, and no source is on"));
    }
    if !step.measures_voltage() {
        return None;
    }
    let trials = subject.trials();
    let procedure = subject.procedure;
    if trials.iter().any(|trial| is_live_alone(procedure, step, trial) == Some(true)) {
        return Some(format!(
            "`{name}` can be inside on live equipment alone, and no source is on"
        ));
    }
    let is_wide = |trial: &Trial| takes_live_for_good(procedure, step, trial) == Some(true);
    let is_trusted = !energy.unproved && trials.iter().any(is_wide);
    is_trusted.then(|| {
        format!("`{name}` takes a voltage for good that is above the limit of a charge point, after the proof of dead")
    })
}

/// Whether the window begins above what counts as dead.
fn is_live_alone(procedure: &Procedure, step: &Step, trial: &Trial) -> Option<bool> {
    let (bounds, dead) = (bounds(step, trial)?, dead(procedure, trial)?);
    let above = bounds.low.is_some_and(|low| low.to_f64() > dead);
    Some(above || bounds.high.is_some_and(|high| high.to_f64() < -dead))
}

/// Whether the window ends above what counts as dead, or nowhere.
fn takes_live_for_good(procedure: &Procedure, step: &Step, trial: &Trial) -> Option<bool> {
    let (bounds, dead) = (bounds(step, trial)?, dead(procedure, trial)?);
    let is_above =
        |end: Option<crate::quantity::Quantity>| end.map(|end| end.to_f64().abs() > dead);
    // A single limit of what has two directions holds for its size.
    Some(match (is_above(bounds.low), is_above(bounds.high)) {
        (low, Some(high)) => high || low == Some(true),
        (Some(_) | None, None) => true,
    })
}

fn bounds(step: &Step, trial: &Trial) -> Option<crate::window::Bounds> {
    let window = window(step).filter(|window| !window.is_record_only())?;
    trial.bounds(window, dimension(step)?)
}

fn dead(procedure: &Procedure, trial: &Trial) -> Option<f64> {
    procedure.dead_limit(|below| trial.value(below)).map(|limit| limit.to_f64())
}

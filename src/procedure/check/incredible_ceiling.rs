//! A ceiling that its source can't have.

use super::trial::{Trial, power};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::ceiling::MAINS_V;
use crate::procedure::{CeilingText, Procedure, Stage};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD022", "incredible-ceiling", include_str!("incredible_ceiling.md"))
        .of_procedure(run);

/// The most that a series lamp has (W): common practice, no source.
const LAMP_W_MAX: f64 = 500.0;
/// How far two values may be from each other that ought to be the same.
const ALIKE: f64 = 1.1;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let stages = subject.procedure.stages.iter();
    let found = stages.filter_map(|stage| {
        let ceiling = stage.ceiling.as_ref()?;
        trials.iter().find_map(|trial| finding(subject.procedure, stage, ceiling, trial))
    });
    found.collect()
}

fn finding(
    procedure: &Procedure,
    stage: &Stage,
    text: &CeilingText,
    trial: &Trial,
) -> Option<Finding> {
    let source = stage.source.value;
    // A ceiling that is not above nought has its own finding.
    let ceiling = text.evaluate(&|name: &str| trial.named(name)).ok()?;
    let (volts, watts) = (ceiling.voltage.to_f64(), trial.watts(text)?);
    let told = told(stage, trial).filter(|told| *told > volts * ALIKE || volts > *told * ALIKE);
    let lamp = lamp(procedure, source, trial).filter(|lamp| watts > lamp * ALIKE);
    let (limit, message) = if let Err(error) = ceiling.is_credible_of(source) {
        (&text.voltage, error.message)
    } else if let Some(lamp) = lamp {
        (&text.current, format!("{} behind a lamp of {}", power(watts), power(lamp)))
    } else {
        (&text.voltage, format!("the notice asks for {} V, and the ceiling is another", told?))
    };
    let help = "write what the source can deliver in this stage, from the facts of the equipment";
    Some(
        CHECK
            .error(message)
            .at(limit.text.span)
            .related(stage.source.span, "the source")
            .help(help),
    )
}

/// The watts of the lamp (W): those that the procedure asks for, else the most that there are.
fn lamp(procedure: &Procedure, source: Source, trial: &Trial) -> Option<f64> {
    if source != Source::MainsThroughLamp {
        return None;
    }
    let asked = procedure.asks.iter().find(|(_, ask)| {
        ask.unit().dimension() == Dimension::POWER && ask.ask.to_lowercase().contains("lamp")
    });
    let own = asked.and_then(|(name, _)| trial.named(name)?.first().map(|own| own.to_f64()));
    Some(own.unwrap_or(LAMP_W_MAX))
}

/// The mains that a notice of direct mains asks for (V); none where it asks for another voltage of the equipment.
fn told(stage: &Stage, trial: &Trial) -> Option<f64> {
    if !matches!(stage.source.value, Source::Mains | Source::MainsThroughLamp) {
        return None;
    }
    let confirm = stage.hazard.as_ref()?.confirm.as_ref()?;
    let told = trial.value(confirm.voltage.as_ref()?)?.to_f64();
    let [low, high] = MAINS_V.map(|volts| volts as f64);
    (low..=high).contains(&told).then_some(told)
}

//! A ceiling that its source can't have.

use std::f64::consts::SQRT_2;

use super::trial::{Trial, power};
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::ceiling::MAINS_V;
use crate::procedure::{Ask, At, CeilingText, Expression, Procedure, Stage};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD022", "incredible-ceiling", include_str!("incredible_ceiling.md"))
        .of_procedure(run);

/// The most that a series lamp has (W): common practice, no source.
const LAMP_W_MAX: f64 = 500.0;
/// How far two values may be from each other that should be the same.
const ALIKE: f64 = 1.1;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let stages = subject.procedure.stages.iter();
    let found = stages.filter_map(|stage| {
        let ceiling = stage.ceiling.as_ref()?;
        let found =
            trials.iter().find_map(|trial| finding(subject.procedure, stage, ceiling, trial));
        found.or_else(|| of_notice(stage, ceiling, trials))
    });
    found.chain(lamps(subject)).collect()
}

/// A lamp in the range of the question for it that limits nothing.
fn lamps(subject: &Subject<'_>) -> Option<Finding> {
    let behind = |stage: &Stage| stage.source.value == Source::MainsThroughLamp;
    subject.procedure.stages.iter().find(|stage| behind(stage))?;
    let high = asked(subject.procedure)?.1.between.as_ref()?.last()?;
    let most = subject.trials().iter().find_map(|trial| trial.value(high))?;
    let most = most.to_f64();
    (most > LAMP_W_MAX).then(|| {
        CHECK
            .error(format!("the question takes a lamp of {}, which limits nothing", power(most)))
            .at(high.text.span)
            .help(format!("write the range of the lamps at hand, at most {}", power(LAMP_W_MAX)))
    })
}

/// The question for the watts of the lamp.
fn asked(procedure: &Procedure) -> Option<(&At<String>, &Ask)> {
    let is_of_lamp = |ask: &Ask| mentions(&ask.ask, "lamp bulb");
    procedure
        .asks
        .iter()
        .find(|(_, ask)| ask.unit().dimension() == Dimension::POWER && is_of_lamp(ask))
}

fn finding(
    procedure: &Procedure,
    stage: &Stage,
    text: &CeilingText,
    trial: &Trial,
) -> Option<Finding> {
    let source = stage.source.value;
    // A ceiling that is not above zero has its own finding.
    let ceiling = text.evaluate(&|name: &str| trial.named(name)).ok()?;
    let watts = trial.watts(text)?;
    let lamp = lamp(procedure, source, trial).filter(|lamp| watts > lamp * ALIKE);
    let (limit, message) = if let Err(error) = ceiling.is_credible_of(source) {
        (&text.voltage, error.to_string())
    } else {
        (&text.current, format!("{} behind a lamp of {}", power(watts), power(lamp?)))
    };
    Some(wrong(stage, limit, message))
}

fn wrong(stage: &Stage, limit: &Expression, message: String) -> Finding {
    CHECK
        .error(message)
        .at(limit.text.span)
        .related(stage.source.span, "the source")
        .help("write what the source can deliver in this stage, from the facts of the equipment")
}

/// A notice that asks for another mains than the ceiling has, wherever in their ranges the facts lie.
fn of_notice(stage: &Stage, text: &CeilingText, trials: &[Trial]) -> Option<Finding> {
    let alike = |one: f64, other: f64| one <= other * ALIKE && other <= one * ALIKE;
    let tried = trials.iter().filter_map(|trial| {
        let volts = trial.value(&text.voltage)?.to_f64();
        let told = told(stage, trial);
        // It may ask for what the mains charges a reservoir to: its peak.
        Some(told.filter(|told| !alike(*told, volts) && !alike(*told, SQRT_2 * volts)))
    });
    let told = tried.collect::<Option<Vec<f64>>>()?.into_iter().next()?;
    let message = format!("the notice asks for {told} V, and the ceiling is another");
    Some(wrong(stage, &text.voltage, message))
}

/// The watts of the lamp (W): those that the procedure asks for, else the most that there are.
fn lamp(procedure: &Procedure, source: Source, trial: &Trial) -> Option<f64> {
    if source != Source::MainsThroughLamp {
        return None;
    }
    let watts = asked(procedure).and_then(|(name, _)| trial.named(name)?.first().copied());
    Some(watts.map_or(LAMP_W_MAX, |watts| watts.to_f64()))
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

//! A window for what a supply delivers that reaches as far as the supply's own limit.

use std::collections::BTreeSet;

use super::generous_ceiling::drawn;
use super::outputs::set_with;
use super::trial::{Trial, in_every};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, window};
use crate::procedure::{Acceptance, Expression, Stage};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("WIN023", "window-above-ceiling", include_str!("window_above_ceiling.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let fed = stages.filter(|stage| stage.source.value == Source::BenchSupply);
    let limited = fed.flat_map(|stage| {
        drawn(stage).filter_map(|window| finding(subject.trials(), stage, window))
    });
    limited.chain(beyond(subject)).collect()
}

/// How far a limit may be above what the source can deliver before it is worth a word; the meter and the mains differ.
const ABOVE: f64 = 1.1;

/// Windows of voltage on a bench supply and of power on the mains that reach beyond what the ceiling lets through.
fn beyond(subject: &Subject<'_>) -> impl Iterator<Item = Finding> {
    subject.procedure.steps().filter_map(|(stage, step)| {
        let ceiling = stage.ceiling.as_ref()?;
        let (window, dimension) = (window(step)?, dimension(step)?);
        let outputs = set_with(subject.procedure, stage).map(|output| output.as_str());
        // From one output to the other there is the voltage of both.
        let outputs = outputs.collect::<BTreeSet<_>>().len().max(1);
        let most = |trial: &Trial| match (stage.source.value, dimension) {
            (Source::BenchSupply, Dimension::VOLTAGE) => {
                Some(trial.value(&ceiling.voltage)?.to_f64() * outputs as f64)
            }
            (source, Dimension::POWER) if source != Source::None => trial.watts(ceiling),
            _ => None,
        };
        let always = in_every(subject.trials(), |trial| {
            let bounds = trial.bounds(window, dimension)?;
            let ends = bounds.low.into_iter().chain(bounds.high);
            let size = ends.map(|end| end.to_f64().abs()).max_by(f64::total_cmp)?;
            // A ceiling that is not above zero has its own finding.
            let most = most(trial).filter(|most| *most > 0.0)?;
            Some(size > ABOVE * most)
        });
        let place = always.then(|| upper(window))??;
        Some(
            CHECK
                .warning("the window reaches beyond what the source can deliver in this stage")
                .at(place.text.span)
                .related(ceiling.voltage.text.span, "the ceiling")
                .help("write the limits that sound equipment keeps on this source"),
        )
    })
}

/// It is found where no facts make the limit lower than the ceiling: where only some do, the supply limits first.
fn finding(trials: &[Trial], stage: &Stage, window: &Acceptance) -> Option<Finding> {
    let ceiling = &stage.ceiling.as_ref()?.current;
    let always = in_every(trials, |trial| {
        let bounds = trial.bounds(window, Dimension::CURRENT)?;
        let most = trial.value(ceiling)?.to_f64();
        Some(bounds.high.is_none_or(|high| high.to_f64() >= most))
    });
    let place = upper(window)?;
    always.then(|| {
        CHECK
            .error("the supply limits at its ceiling before a current can be outside this window")
            .at(place.text.span)
            .related(ceiling.text.span, "the ceiling")
            .help("write an upper limit below the ceiling's current")
    })
}

/// The limit that is too high, or that leaves the top open.
fn upper(window: &Acceptance) -> Option<&Expression> {
    let end = window.between.as_ref().and_then(|ends| ends.last());
    let above = window.at_most.as_ref().or(end).or(window.near.as_ref()).or(window.like.as_ref());
    above.or(window.at_least.as_ref())
}

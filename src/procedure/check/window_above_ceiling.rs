//! A window for what a supply delivers that reaches as far as the supply's own limit.

use super::generous_ceiling::drawn;
use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Acceptance, Expression, Stage};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("WIN023", "window-above-ceiling", include_str!("window_above_ceiling.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let fed = stages.filter(|stage| stage.source.value == Source::BenchSupply);
    fed.flat_map(|stage| drawn(stage).filter_map(|window| finding(subject.trials(), stage, window)))
        .collect()
}

/// It is found where no facts make the limit lower than the ceiling: where only some do, the supply limits first.
fn finding(trials: &[Trial], stage: &Stage, window: &Acceptance) -> Option<Finding> {
    let ceiling = &stage.ceiling.as_ref()?.current;
    let tried = trials.iter().filter_map(|trial| {
        let bounds = trial.bounds(window, Dimension::CURRENT)?;
        let most = trial.value(ceiling)?.to_f64();
        Some(bounds.high.is_none_or(|high| high.to_f64() >= most))
    });
    let reaches: Vec<bool> = tried.collect();
    let always = !reaches.is_empty() && reaches.iter().all(|reaches| *reaches);
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

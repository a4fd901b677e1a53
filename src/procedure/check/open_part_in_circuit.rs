//! A reading in circuit whose window lets an open part pass.

use super::trial::Trial;
use super::window_without_one_form::has_one_form;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Read;
use crate::procedure::{Acceptance, Expression};
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("WIN010", "open-part-in-circuit", include_str!("open_part_in_circuit.md"))
        .of_procedure(run);

/// What a meter with its leads, and age, may add to a sound part: a share of it. Common practice, no source.
const ADDED_SHARE: f64 = 0.05;

/// The same on a part of next to no resistance, in ohms. Common practice, no source.
const ADDED_OHMS: f64 = 0.5;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let reads = subject.procedure.steps().filter_map(|(_, step)| step.read.as_ref());
    reads
        .filter(|read| read.is_in_circuit())
        .filter_map(|read| {
            let window = read.window.as_ref().filter(|window| has_one_form(window));
            not_a_resistance(read)
                .or_else(|| without_top(read, window?))
                .or_else(|| too_high(subject, window?))
        })
        .collect()
}

fn not_a_resistance(read: &Read) -> Option<Finding> {
    let mark = read.in_circuit.as_ref()?;
    let dimension = read.unit.dimension();
    (dimension != Dimension::RESISTANCE).then(|| {
        let what = dimension.name();
        CHECK
            .error(format!("`in_circuit` is for a resistance, and this step reads {what}"))
            .at(mark.span)
            .help("take `in_circuit` out, or give the unit of a resistance")
    })
}

fn without_top(read: &Read, window: &Acceptance) -> Option<Finding> {
    let mark = read.in_circuit.as_ref()?;
    let message = if top(window).is_none() {
        "the window has no upper limit, so a part that is open or has drifted high passes"
    } else if window.open_ok {
        "the window takes over-range for good, so an open part passes"
    } else {
        return None;
    };
    let help = "in circuit only a reading above the marked value is certain: give its upper limit";
    Some(CHECK.error(message).at(mark.span).help(help))
}

/// A window that reaches further above the marked value than a sound part and its meter can.
fn too_high(subject: &Subject<'_>, window: &Acceptance) -> Option<Finding> {
    let marked = window.near.as_ref().or(window.expected.as_ref())?;
    let mut trials = subject.trials().iter();
    let is_beyond = |trial: &Trial| {
        let bounds = window.bounds(&|name: &str| trial.named(name)).ok()?;
        let sound = highest(marked, subject, trial)?;
        Some(bounds.high?.to_f64() > sound * (1.0 + ADDED_SHARE) + ADDED_OHMS)
    };
    trials.any(|trial| is_beyond(trial) == Some(true)).then(|| {
        CHECK
            .warning("the window reaches above what a sound part of this marking can read")
            .at(top(window).unwrap_or(marked).text.span)
            .related(marked.text.span, "the marked value")
            .help("draw the upper limit from the marked value, its tolerance and the meter")
    })
}

/// The highest resistance of a part marked so, in ohms, when its tolerance is known.
fn highest(marked: &Expression, subject: &Subject<'_>, trial: &Trial) -> Option<f64> {
    let ask = subject.procedure.asks.get(marked.text.trim())?;
    let tolerance = trial.value(ask.tolerance.as_ref()?)?.to_f64();
    Some(trial.value(marked)?.to_f64() * (1.0 + tolerance))
}

/// The expression of a window that gives its upper limit.
fn top(window: &Acceptance) -> Option<&Expression> {
    let upper_end = window.between.as_deref().and_then(<[Expression]>::last);
    let around = window.near.as_ref().or(window.like.as_ref());
    window.at_most.as_ref().or(upper_end).or(around)
}

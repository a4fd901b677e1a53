//! Mains without a second person called, or a long wait on a live set that nobody watches.

use super::words::{among, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{energises, flows};
use crate::procedure::{Procedure, Stage, Step};
use crate::quantity::Dimension;

pub(super) const CHECK: Check =
    Check::new("ORD045", "lonely-mains", include_str!("lonely_mains.md")).of_procedure(run);

/// The longest wait on a live set without a reading (s). Common practice, no source.
const WAIT_MAX_S: f64 = 900.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    alone(subject.procedure).into_iter().chain(unwatched(subject)).collect()
}

/// The first step that brings the mains on without anyone having been called into reach.
fn alone(procedure: &Procedure) -> Option<Finding> {
    let is_mains_on = |stage: &Stage, step: &Step| stage.source.value.is_mains() && energises(step);
    let mut steps = procedure.steps();
    let (stage, first) =
        steps.find(|(stage, step)| calls_into_reach(step) || is_mains_on(stage, step))?;
    // A hold of the stage itself counts where it calls its person into reach.
    let is_held = stage
        .hold
        .as_ref()
        .is_some_and(|hold| any_word(&hold.ask, "reach") && !is_far_away(&hold.ask));
    if calls_into_reach(first) || is_held {
        return None;
    }
    Some(
        CHECK
            .error("the mains comes on, and nobody was told to stay where the power can be cut")
            .at(stage.source.span)
            .help("add a `witness` step with `in_reach: true` before it: someone who can cut the power"),
    )
}

/// Whether the step calls a person who has to stay in reach: nobody waives that, and `alone` is an answer of its own.
fn calls_into_reach(step: &Step) -> bool {
    let witness = step.witness.as_ref();
    witness.is_some_and(|witness| {
        witness.in_reach && any_word(&witness.ask, AT_HAND) && !is_far_away(&witness.ask)
    })
}

/// Words of which one says that the person stays where the power can be cut: "reachable" is none.
const AT_HAND: &str = "reach emergency cut beside bench room switch side";

fn any_word(text: &str, list: &str) -> bool {
    words(text).iter().any(|word| among(list, &word.low))
}

/// Whether a person is called who can't cut the power.
fn is_far_away(ask: &str) -> bool {
    let ask = ask.to_lowercase();
    let far = [
        "by phone",
        "by telephone",
        "on the phone",
        "over the phone",
        "by video",
        "by radio",
        "remotely",
        "on call",
        "rung up",
        "the mobile",
        "his mobile",
        "her mobile",
        "next room",
        "other room",
        "another room",
        "next door",
        "upstairs",
        "downstairs",
        "floor below",
        "floor above",
    ];
    far.iter().any(|words| ask.contains(words))
}

fn unwatched(subject: &Subject<'_>) -> Vec<Finding> {
    let longest = |step: &Step| {
        let time = &step.wait.as_ref()?.time;
        let times = subject.trials().iter().filter_map(|trial| trial.value(time));
        times
            .filter(|time| time.dimension == Dimension::TIME)
            .map(|time| time.to_f64())
            .max_by(f64::total_cmp)
    };
    let mut findings = Vec::new();
    for flow in flows(subject.procedure) {
        let live = flow.steps.iter().filter(|(_, energy)| energy.live);
        let long = live.filter(|(step, _)| longest(step).is_some_and(|time| time > WAIT_MAX_S));
        findings.extend(long.map(|(step, _)| {
            CHECK
                .warning("nothing is read in a long wait on a live set")
                .at(step.step.span)
                .help("make it a `watch` of the power or of the hottest part: it asks every so often and stops by itself")
        }));
    }
    findings
}

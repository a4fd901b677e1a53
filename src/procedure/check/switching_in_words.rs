//! Words that bring a source on where the procedure takes the equipment for dead.

use super::energised::is_on;
use super::energising::{Feeding, brings_on};
use super::words::mentions;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;
use crate::procedure::flow::flows;
use crate::procedure::step::Step;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD025", "switching-in-words", include_str!("switching_in_words.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    for flow in flows(subject.procedure) {
        let source = flow.stage.source.value;
        findings.extend(flow.stage.hold.as_ref().and_then(|hold| {
            let words = brings_on(&hold.ask, Feeding::SourceOff).or_else(|| is_on(&hold.ask, true));
            Some(found(&hold.ask, &words?, IN_A_DEAD_PLACE))
        }));
        findings.extend(flow.steps.iter().filter_map(|(step, energy)| {
            let place = match (energy.live, source) {
                (true, _) => Feeding::Live,
                (false, Source::None) => Feeding::DeadStage,
                (false, _) => Feeding::SourceOff,
            };
            finding(step, place)
        }));
    }
    findings
}

const IN_A_DEAD_PLACE: &str = "brings a source on, and the equipment counts as dead here";
const IN_A_LIVE_PLACE: &str =
    "joins the equipment to the mains while another source is on, or once more";

fn finding(step: &Step, place: Feeding) -> Option<Finding> {
    // After a bad answer or a reading outside the equipment is made safe, wherever the step stands.
    let mut advised =
        advice(step).filter_map(|text| Some((text, brings_on(text, Feeding::DeadStage)?)));
    if let Some((text, words)) = advised.next() {
        return Some(found(text, &words, IN_A_DEAD_PLACE));
    }
    // "Stay in reach while the mains is on" and "what the owner saw when they switched it on" are of another time.
    let is_of_now = !step.witness.as_ref().is_some_and(|witness| witness.in_reach)
        && !step.note.as_ref().is_some_and(|note| mentions(&note.0, "owner customer client"));
    let of_act = |text: &str| {
        let state = (place != Feeding::Live && is_of_now).then(|| is_on(text, true)).flatten();
        brings_on(text, place).or(state)
    };
    let acted = acts(step).find_map(|text| Some((text, of_act(text)?)));
    let seen = || {
        let text = state(step).filter(|_| place != Feeding::Live)?;
        // With an ohmmeter on, "switched on" is a switch of the equipment.
        Some((text, is_on(text, step.look.is_some())?))
    };
    let (text, words) = acted.or_else(seen)?;
    let why = if place == Feeding::Live { IN_A_LIVE_PLACE } else { IN_A_DEAD_PLACE };
    Some(found(text, &words, why))
}

fn found(text: &At<String>, words: &str, why: &str) -> Finding {
    CHECK
        .error(format!("\"{words}\" {why}"))
        .at(text.span)
        .help("make it a `set` step with `power: on`, in a stage with that source and a ceiling")
}

/// What a step tells people to do.
fn acts(step: &Step) -> impl Iterator<Item = &At<String>> {
    let off = step.set.as_ref().filter(|set| set.is_off()).map(|set| &set.what);
    let asked = step.hold.as_ref().map(|hold| &hold.ask);
    let watched_by = step.witness.as_ref().map(|witness| &witness.ask);
    let meanwhile = step.wait.as_ref().map(|wait| &wait.what);
    let noted = step.note.as_ref().map(|note| &note.0);
    let acts = [step.r#do.as_ref().map(|act| &act.0), off, asked, watched_by, meanwhile, noted];
    acts.into_iter().flatten()
}

/// What a step says to do next after a fault.
fn advice(step: &Step) -> impl Iterator<Item = &At<String>> {
    let looks = step.look.iter().flat_map(|look| look.bad.iter().map(|bad| &bad.next));
    looks.chain(step.outside.iter().map(|hint| &hint.next))
}

/// What a step tells of the state it is done in.
fn state(step: &Step) -> Option<&At<String>> {
    let read = step.read.as_ref().map(|read| &read.what);
    let watched = step.watch.as_ref().map(|watch| &watch.what);
    step.look.as_ref().map(|look| &look.at).or(read).or(watched)
}

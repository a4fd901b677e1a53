//! An act or a stage with a hazard of its own that no notice tells.

use super::families::SCOPES;
use super::trial::Trial;
use super::words::{mentions, told};
use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::flow::flows;
use crate::procedure::step::SafetyProof;
use crate::procedure::{ChargePoint, Hazard, Procedure, Stage, Step};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("HAZ023", "unwarned-step", include_str!("unwarned_step.md")).of_procedure(run);

/// From this surface temperature a short touch burns (degC). Common practice, no source.
const BURNS_DEG_C: f64 = 55.0;
/// A capacitor that can burst and spray (F). Common practice, no source.
const BURSTS_F: f64 = 100e-6;
/// Charge that gives a shock: as energy source class 1 for DC ends, and not the few nanofarads of a filter (F).
const SHOCKS_F: f64 = 1e-6;

/// What a notice has to speak of, and in which words.
struct RequiredWarning {
    what: &'static str,
    words: &'static str,
}

const SCOPE: RequiredWarning =
    RequiredWarning { what: "the earth of the oscilloscope's clip", words: "earth ground" };
/// What else a notice of that has to name.
const OF_SCOPE: &str = "clip differential oscilloscope probe scope";
const TESTER: RequiredWarning =
    RequiredWarning { what: "the insulation tester's shock", words: "shock" };
const TOOL: RequiredWarning =
    RequiredWarning { what: "a tool in the open live set", words: "tool slip" };
const HOT: RequiredWarning = RequiredWarning { what: "hot parts", words: "burn hot heat" };
const BURST: RequiredWarning = RequiredWarning {
    what: "a part that can burst",
    words: "burst explod explos fragment rupture vent",
};
const CHARGE: RequiredWarning = RequiredWarning {
    what: "the charge that stays",
    words: "capacitor charge discharg joule reservoir stor",
};

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings: Vec<Finding> = of_steps(subject);
    let stages = || subject.procedure.stages.iter();
    let first = stages().find(|stage| stage.source.value != Source::None);
    findings.extend(first.and_then(|stage| bursting(stage, subject)));
    findings.extend(charged(subject));
    findings
}

fn of_steps(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let steps = flows.iter().flat_map(|flow| flow.steps.iter().map(move |each| (flow.stage, each)));
    let findings = steps.filter_map(|(stage, (step, energy))| {
        let notices = || stage.hazard.iter().chain(&step.hazard);
        if puts_a_scope_on(step) || energy.live && stage.source.is_mains() && uses_a_scope(step) {
            return (!is_warned_of_scopes(step, subject)).then(|| finding(step.step.span, &SCOPE));
        }
        let due = due(step, energy.live, subject)?;
        (!notices().any(|hazard| speaks(hazard, due.words))).then(|| finding(step.step.span, &due))
    });
    findings.collect()
}

/// Whether a notice up to the step, its own and its stage's with it, tells of the earth at the oscilloscope's clip.
fn is_warned_of_scopes(step: &Step, subject: &Subject<'_>) -> bool {
    let mut passed = false;
    let steps = subject.procedure.steps().take_while(|(_, other)| {
        !std::mem::replace(&mut passed, other.step.span == step.step.span)
    });
    let mut notices = steps.flat_map(|(stage, other)| stage.hazard.iter().chain(&other.hazard));
    notices.any(|hazard| speaks(hazard, SCOPE.words) && speaks(hazard, OF_SCOPE))
}

/// The hazard that a step has of its own.
fn due(step: &Step, live: bool, subject: &Subject<'_>) -> Option<RequiredWarning> {
    let text = told(step)?;
    let read = step.read.as_ref();
    let is_own_resistor =
        step.proves.as_ref().is_some_and(|proves| proves.value == SafetyProof::Tester);
    let is_resistance =
        !is_own_resistor && read.is_some_and(|read| read.unit.dimension() == Dimension::RESISTANCE);
    if is_resistance && mentions(text, "insulation megohm") {
        return Some(TESTER);
    }
    if live
        && step.moves.is_some()
        && mentions(text, "bias offset potentiometer preset trim trimmer trimpot")
    {
        return Some(TOOL);
    }
    (live && reads_hot(step, subject)).then_some(HOT)
}

/// Whether a step has an oscilloscope put on, by hand as it is.
fn puts_a_scope_on(step: &Step) -> bool {
    step.r#do.as_ref().is_some_and(|text| {
        names_a_scope(&text.0)
            && mentions(&text.0, "attach clip connect hook hang fit put probe place")
            && !takes_off(&text.0)
    })
}

/// Whether a step goes by an oscilloscope, or does anything else with one but take it off.
fn uses_a_scope(step: &Step) -> bool {
    told(step).is_some_and(|text| names_a_scope(text) && !takes_off(text))
}

fn names_a_scope(text: &str) -> bool {
    let clip = mentions(text, "earth ground") && mentions(text, "clip") && mentions(text, "probe");
    let differential = mentions(text, "differential") && mentions(text, "probe");
    mentions(text, SCOPES) || clip || differential
}

fn takes_off(text: &str) -> bool {
    mentions(text, "take remov unclip disconnect unhook")
}

fn reads_hot(step: &Step, subject: &Subject<'_>) -> bool {
    let Some(kind) = step.kind() else { return false };
    let Some((unit, window)) = kind.unit().zip(kind.window()) else { return false };
    if unit.dimension() != Dimension::CELSIUS {
        return false;
    }
    let highest = |trial: &Trial| Some(trial.bounds(window, unit.dimension())?.high?.to_f64());
    subject.trials().iter().filter_map(highest).any(|high| high > BURNS_DEG_C)
}

/// The first stage that feeds a large capacitor says that it can burst.
fn bursting(stage: &Stage, subject: &Subject<'_>) -> Option<Finding> {
    let holds =
        |(_, point): (_, &ChargePoint)| most(point, subject, |_, farads| farads >= BURSTS_F);
    let is_fed = subject.procedure.charge_points.iter().any(holds);
    let steps = stage.steps.iter().filter_map(|step| step.hazard.as_ref());
    let mut notices = stage.hazard.iter().chain(steps);
    (is_fed && stage.hazard.is_some() && !notices.any(|hazard| speaks(hazard, BURST.words)))
        .then(|| finding(stage.source.span, &BURST))
}

/// A procedure with charge that gives a shock says so in one of its notices at least.
fn charged(subject: &Subject<'_>) -> Option<Finding> {
    let shocks =
        |volts: f64, farads: f64| volts > super::understated_hazard::ES1_DC_V && farads >= SHOCKS_F;
    let mut points = subject.procedure.charge_points.iter();
    let (name, _) = points.find(|(_, point)| most(point, subject, shocks))?;
    let mut notices = all(subject.procedure).peekable();
    notices.peek()?;
    (!notices.any(|hazard| speaks(hazard, CHARGE.words))).then(|| finding(name.span, &CHARGE))
}

fn all(procedure: &Procedure) -> impl Iterator<Item = &Hazard> {
    super::wrong_signal_word::notices(procedure)
}

/// Whether what a charge point holds is so in any trial, by its volts and its farads.
fn most(point: &ChargePoint, subject: &Subject<'_>, is: impl Fn(f64, f64) -> bool) -> bool {
    let Some(holds) = &point.holds else { return false };
    subject.trials().iter().any(|trial| {
        let volts = trial.value(&holds.charged_to).map(|value| value.to_f64());
        volts
            .zip(trial.value(&holds.capacitance))
            .is_some_and(|(volts, farads)| is(volts, farads.to_f64()))
    })
}

fn speaks(hazard: &Hazard, words: &str) -> bool {
    [&hazard.risk, &hazard.result, &hazard.avoid].iter().any(|text| mentions(text, words))
}

fn finding(at: Span, due: &RequiredWarning) -> Finding {
    CHECK
        .warning(format!("no notice speaks of {}", due.what))
        .at(at)
        .help("add `hazard` to the step, or say it in the notice of the stage, before the act")
}

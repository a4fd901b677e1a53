//! A notice that makes less of a stage than its source deserves.

use std::collections::BTreeSet;

use super::outputs::set_with;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Hazard, Procedure, Stage};
use crate::record::{Signal, Source};

pub(super) const CHECK: Check =
    Check::new("HAZ004", "understated-hazard", include_str!("understated_hazard.md"))
        .of_procedure(run);

/// The highest DC voltage of energy source class 1 (V): IEC 62368-1, Table 4, as seen in two open-source projects.
pub(super) const ES1_DC_V: f64 = 60.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let volts = |stage: &Stage| highest_volts(subject, stage);
    let stages = subject.procedure.stages.iter();
    stages.filter_map(|stage| finding(stage, stage.hazard.as_ref()?, volts(stage))).collect()
}

/// The highest voltage between any two points that a stage's ceiling lets in (V).
pub(super) fn highest_volts(subject: &Subject<'_>, stage: &Stage) -> Option<f64> {
    let voltage = &stage.ceiling.as_ref()?.voltage;
    let tried = subject.trials().iter().filter_map(|trial| trial.value(voltage));
    let highest = tried.map(|voltage| voltage.to_f64()).max_by(f64::total_cmp)?;
    // From the one to the other, two outputs that feed opposite rails have twice what each has.
    let between = if feeds_two(subject.procedure, stage) { 2.0 } else { 1.0 };
    Some(between * highest)
}

/// Whether more than one output of a supply feeds the stage. Which are opposite is not written: all are taken to be.
fn feeds_two(procedure: &Procedure, stage: &Stage) -> bool {
    let outputs: BTreeSet<&str> = set_with(procedure, stage).map(|name| name.as_str()).collect();
    outputs.len() > 1
}

fn finding(stage: &Stage, hazard: &Hazard, volts: Option<f64>) -> Option<Finding> {
    let source = stage.source.value;
    let above_es1 = source != Source::None && volts.is_some_and(|volts| volts > ES1_DC_V);
    let (due, what) = if source.is_mains() {
        (Signal::Danger, "mains".to_owned())
    } else if above_es1 {
        (Signal::Warning, format!("more than {ES1_DC_V} V DC"))
    } else {
        return None;
    };
    let signal = hazard.signal.value;
    let found = if signal < due {
        CHECK
            .error(format!("{} is too little for {what}: {} is due", signal.word(), due.word()))
            .help("state the harm that a shock does, and the signal word that it gives")
    } else if !is_electric(hazard) {
        CHECK
            .error(format!("the notice says nothing of the electric shock that {what} can give"))
            .help("say it in `risk` or in `result`: shock, electrocution, mains or live")
    } else {
        return None;
    };
    Some(found.at(hazard.signal.span).related(stage.source.span, "the source"))
}

fn is_electric(hazard: &Hazard) -> bool {
    let words = format!("{} {}", hazard.risk.value, hazard.result.value).to_lowercase();
    ["shock", "electrocut", "mains", "live"].iter().any(|word| words.contains(word))
}

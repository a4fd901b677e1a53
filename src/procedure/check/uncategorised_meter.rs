//! Readings on the mains without a word on the category of the meter and its leads.

use super::trial::Trial;
use super::words::words;
use super::{Check, Subject, texts};
use crate::diagnostic::Finding;
use crate::procedure::{At, Stage, Step};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("HAZ026", "uncategorised-meter", include_str!("uncategorised_meter.md"))
        .of_procedure(run);

/// The measurement categories for circuits on the mains.
const ON_MAINS: &[&str] = &["ii", "iii", "iv"];

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter().filter(|stage| stage.source.value.is_mains());
    let Some(first) = stages.clone().find(|stage| stage.steps.iter().any(is_probed)) else {
        return Vec::new();
    };
    let mut told = Vec::new();
    texts::of_procedure(subject.procedure, &mut |text| {
        told.extend(category(text).map(|own| (text, own)));
    });
    if told.is_empty() {
        let found = CHECK.error("nothing says which meter and leads are safe on the mains");
        return vec![found.at(first.source.span).help(
            "name the category in the notice of the stage: \"meter and leads CAT II 300 V or better, leads fused\"",
        )];
    }
    let needed = stages.filter_map(|stage| needed(stage, subject.trials())).max_by(f64::total_cmp);
    told.into_iter().filter_map(|(text, own)| weak(text, &own, needed?)).collect()
}

/// Whether a person holds a probe on volts or amps for the step.
fn is_probed(step: &Step) -> bool {
    let unit = step.read.as_ref().map(|own| &own.unit).or(step.watch.as_ref().map(|own| &own.unit));
    unit.is_some_and(|unit| matches!(unit.dimension(), Dimension::VOLTAGE | Dimension::CURRENT))
}

/// The highest ceiling of a stage in any trial (V).
fn needed(stage: &Stage, trials: &[Trial]) -> Option<f64> {
    let voltage = &stage.ceiling.as_ref()?.voltage;
    trials.iter().filter_map(|trial| Some(trial.value(voltage)?.to_f64())).max_by(f64::total_cmp)
}

/// The category that a text names, and the volts behind it.
fn category(text: &str) -> Option<(String, Option<f64>)> {
    let words = words(text);
    let at = words.iter().position(|word| matches!(word.bare, "CAT" | "Category" | "category"))?;
    let number = words.get(at + 1)?.low.clone();
    if !matches!(number.as_str(), "i" | "ii" | "iii" | "iv") {
        return None;
    }
    let volts = || {
        let (number, unit) = (words.get(at + 2)?, words.get(at + 3).map_or("", |word| word.bare));
        let volts = Quantity::parse(&format!("{} {unit}", number.bare)).ok();
        volts
            .or_else(|| Quantity::parse(number.bare).ok())
            .filter(|own| own.dimension == Dimension::VOLTAGE)
    };
    Some((number, volts().map(|own| own.to_f64())))
}

fn weak(
    text: &At<String>,
    (number, volts): &(String, Option<f64>),
    needed: f64,
) -> Option<Finding> {
    let message = if !ON_MAINS.contains(&number.as_str()) {
        "CAT I is not for circuits on the mains".to_owned()
    } else if volts.is_some_and(|volts| volts < needed) {
        format!("the meter is for less than the {needed:.0} V of a later stage")
    } else {
        return None;
    };
    let found = CHECK.error(message).at(text.span);
    Some(found.help("name CAT II or better and at least the voltage of the mains"))
}

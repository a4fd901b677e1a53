//! Readings on the mains without a word on the category of the meter and its leads.

use super::trial::Trial;
use super::words::words;
use super::{Check, Subject, texts};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, window};
use crate::procedure::{At, Stage, Step};
use crate::quantity::{Dimension, Quantity};

pub(super) const CHECK: Check =
    Check::new("HAZ026", "uncategorised-meter", include_str!("uncategorised_meter.md"))
        .of_procedure(run);

/// The measurement categories for circuits on the mains.
const ON_MAINS: &[&str] = &["ii", "iii", "iv"];

/// A category as a text names it.
struct NamedCategory<'a> {
    text: &'a At<String>,
    number: String,
    volts: Option<f64>,
}

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter().filter(|stage| stage.source.value.is_mains());
    let Some(first) = stages.clone().find(|stage| stage.steps.iter().any(is_probed)) else {
        return Vec::new();
    };
    let mut told = Vec::new();
    texts::of_procedure(subject.procedure, &mut |text| {
        told.extend(category(text).map(|(number, volts)| NamedCategory { text, number, volts }));
    });
    if told.is_empty() {
        let found = CHECK.error("nothing says which meter and leads are safe on the mains");
        return vec![found.at(first.source.span).help(
            "name the category in the notice of the stage: \"meter and leads CAT II 300 V or better, leads fused\"",
        )];
    }
    let trials = subject.trials();
    let needed = stages.clone().filter_map(|stage| needed(stage, trials)).max_by(f64::total_cmp);
    let weak: Vec<_> = told.iter().filter_map(|category| weak(category, needed?)).collect();
    if weak.is_empty() {
        too_little_for_readings(stages, &told, trials).into_iter().collect()
    } else {
        weak
    }
}

/// Whether a person holds a probe on volts or amps for the step.
fn is_probed(step: &Step) -> bool {
    let unit =
        step.read.as_ref().map(|read| &read.unit).or(step.watch.as_ref().map(|read| &read.unit));
    unit.is_some_and(|unit| matches!(unit.dimension(), Dimension::VOLTAGE | Dimension::CURRENT))
}

/// The highest ceiling of a stage in any trial (V).
fn needed(stage: &Stage, trials: &[Trial]) -> Option<f64> {
    let voltage = &stage.ceiling.as_ref()?.voltage;
    trials.iter().filter_map(|trial| Some(trial.value(voltage)?.to_f64())).max_by(f64::total_cmp)
}

/// What a person reads with probes in these stages, where no category that is named goes up to it.
fn too_little_for_readings<'a>(
    stages: impl Iterator<Item = &'a Stage>,
    told: &[NamedCategory<'_>],
    trials: &[Trial],
) -> Option<Finding> {
    let volts = |step: &Step| {
        let window = window(step).filter(|_| dimension(step) == Some(Dimension::VOLTAGE))?;
        let ends = trials.iter().filter_map(|trial| trial.bounds(window, Dimension::VOLTAGE));
        let ends = ends.flat_map(|bounds| [bounds.low, bounds.high]).flatten();
        ends.map(|end| end.to_f64().abs()).max_by(f64::total_cmp)
    };
    let read = stages.flat_map(|stage| &stage.steps).filter_map(volts).max_by(f64::total_cmp)?;
    let first = told.iter().find(|category| category.volts.is_some())?;
    let is_enough = told.iter().any(|category| category.volts.is_none_or(|volts| volts >= read));
    (!is_enough).then(|| {
        CHECK
            .error(format!("the meter is for less than the {read:.0} V that may be read while the mains are on"))
            .at(first.text.span)
            .help("name a category with as many volts: \"CAT II 600 V\"; volts of a category are RMS and DC alike")
    })
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
            .filter(|quantity| quantity.dimension == Dimension::VOLTAGE)
    };
    Some((number, volts().map(|quantity| quantity.to_f64())))
}

fn weak(NamedCategory { text, number, volts }: &NamedCategory<'_>, needed: f64) -> Option<Finding> {
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

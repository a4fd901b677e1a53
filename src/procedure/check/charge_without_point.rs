//! A high DC voltage that is read on live equipment, where no charge point says that it can stay.

use super::trial::Trial;
use super::understated_hazard::ES1_DC_V;
use super::words::{mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, function, measured, window};
use crate::procedure::{ChargePoint, Step};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("HAZ027", "charge-without-point", include_str!("charge_without_point.md"))
        .of_procedure(run);

/// Words of a place that stays charged.
const STORES: &str = "bulk capacitor dc eht ht rail reservoir smoothing";
/// Those of them that stand for more than 60 V wherever they are said.
const HIGH: &str = "bulk eht ht";
/// The part of the reading that a charge point has to be said to hold at least.
const ENOUGH: f64 = 0.8;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut live =
        subject.procedure.steps().filter(|(stage, _)| stage.source.value != Source::None);
    live.find_map(|(_, step)| finding(step, subject)).into_iter().collect()
}

/// The first such reading; the others are cured with it.
fn finding(step: &Step, subject: &Subject<'_>) -> Option<Finding> {
    let what = measured(step)?;
    let is_dc = function(step).is_none_or(|function| function.starts_with("dc"));
    if dimension(step)? != Dimension::VOLTAGE || !is_dc || !mentions(what, STORES) {
        return None;
    }
    let window = window(step)?;
    let volts = |trial: &Trial| {
        let bounds = trial.bounds(window, Dimension::VOLTAGE)?;
        let (low, high) = (bounds.low?.to_f64().abs(), bounds.high?.to_f64().abs());
        Some(low.min(high)).filter(|volts| *volts > ES1_DC_V)
    };
    let trials = subject.trials();
    let tried = || trials.iter().filter_map(|trial| Some((trial, volts(trial)?)));
    // Where the limits follow from readings, the words of a place that is always high have to do.
    let follows = trials.iter().all(|trial| trial.bounds(window, Dimension::VOLTAGE).is_none());
    let by_words = || (follows && mentions(what, HIGH)).then(|| (trials.last(), ES1_DC_V));
    let (trial, volts) =
        tried().next().map(|(trial, volts)| (Some(trial), volts)).or_else(by_words)?;
    let mut points = subject.procedure.charge_points.iter().map(|(_, point)| point);
    let covered = points.any(|point| trial.is_some_and(|trial| covers(point, volts, what, trial)));
    (!covered).then(|| {
        CHECK
            .warning(format!("no charge point holds what is read here, {volts:.0} V and more"))
            .at(what.span)
            .help("name the capacitor in `charge_points`, with what it is charged to: dead is proved there")
    })
}

/// Whether the point is said to hold as much, or, where nothing is said of what it holds, shares a word with the reading.
fn covers(point: &ChargePoint, volts: f64, what: &str, trial: &Trial) -> bool {
    let Some(holds) = &point.holds else {
        let telling = |text: &str| -> Vec<String> {
            let words = words(text).into_iter().map(|word| word.low);
            words.filter(|word| super::words::among(STORES, word)).collect()
        };
        let of_point = telling(&point.at);
        return telling(what).iter().any(|word| of_point.contains(word));
    };
    // What can't be worked out is taken for enough.
    trial.value(&holds.charged_to).is_none_or(|value| value.to_f64() >= ENOUGH * volts)
}

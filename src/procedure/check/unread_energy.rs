//! An energised stage that nothing judges.

use std::collections::BTreeSet;

use super::families::{MAINS, PARTS_OF_MAINS};
use super::trial::{Trial, in_every};
use super::words::{among, mentions, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{Flow, energises, flows};
use crate::procedure::safety::{dimension, function, measured, window};
use crate::procedure::step::{Kind, Piece, Step};
use crate::procedure::{At, CeilingText, Stage};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD021", "unread-energy", include_str!("unread_energy.md")).of_procedure(run);

/// The highest voltage behind the mains, over their RMS value: the peak, doubled. What a winding steps up further is judged from
/// below as well. Common practice, no source.
const OVER_MAINS: f64 = 3.2;
/// Words of a reading that is not the equipment's.
const ELSEWHERE: &str = "ambient room";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    flows(subject.procedure).iter().filter_map(|flow| finding(flow, subject)).collect()
}

fn finding(flow: &Flow<'_>, subject: &Subject<'_>) -> Option<Finding> {
    let stage = flow.stage;
    // A stage that never comes on has its own finding.
    let comes_on = flow.start.live || flow.steps.iter().any(|(step, _)| energises(step));
    if stage.source.value == Source::None || !comes_on {
        return None;
    }
    let live = flow.steps.iter().filter(|(_, energy)| energy.live);
    let judged: Vec<&Step> = live.map(|(step, _)| *step).filter(|step| is_judged(step)).collect();
    let read = read_live(flow);
    let tells = |step: &&Step| {
        if dimension(step).is_some() { of_equipment(step) } else { uses(step, &read) }
    };
    let telling: Vec<&Step> = judged.iter().copied().filter(tells).collect();
    let message = if judged.is_empty() {
        format!("no reading of the stage `{}` is judged", stage.stage.value)
    } else if telling.is_empty() {
        format!("what the stage `{}` judges is no reading of the equipment", stage.stage.value)
    } else if telling.iter().all(|step| takes_anything(step, stage, subject)) {
        format!("no reading of the stage `{}` can be outside its window", stage.stage.value)
    } else {
        return None;
    };
    Some(
        CHECK.error(message).at(stage.stage.span).help(
            "add a `read` or a `watch` of the equipment with a window while the source is on",
        ),
    )
}

/// Whether a value is judged here.
fn is_judged(step: &Step) -> bool {
    let kind = step.kind();
    let window = kind.and_then(Kind::window);
    let recorded = window.is_some_and(|window| window.is_record_only());
    kind.and_then(Kind::is_judged) == Some(true) && !recorded
}

/// The names, as formulas write them, of what is read in the stage while its source is on.
fn read_live(flow: &Flow<'_>) -> BTreeSet<String> {
    let steps = flow.steps.iter().filter(|(step, energy)| energy.live && dimension(step).is_some());
    steps.map(|(step, _)| step.formula_name()).collect()
}

/// Whether a formula of the step uses one of these.
fn uses(step: &Step, read: &BTreeSet<String>) -> bool {
    let mut used = false;
    step.visit(&mut |part| {
        let (Piece::Quantity { expression, .. } | Piece::Within { expression, .. }) = part else {
            return;
        };
        for (name, _) in expression.formula().map(|formula| formula.names()).unwrap_or_default() {
            let whole = name.split('.').next().unwrap_or_default();
            used |= read.contains(whole);
        }
    });
    used
}

/// Whether a reading tells of the equipment, and not of the mains before it or of the room.
fn of_equipment(step: &Step) -> bool {
    let Some(what) = measured(step) else { return false };
    let is_source = dimension(step) == Some(Dimension::VOLTAGE)
        && (function(step) == Some("mains-voltage") || names_the_mains(what));
    !is_source && !mentions(what, ELSEWHERE) && !what.to_lowercase().starts_with("air ")
}

/// "Mains voltage on the power meter", "line ahead of the limiter".
fn names_the_mains(what: &At<String>) -> bool {
    let words = words(what);
    let [first, second, ..] = words.as_slice() else { return false };
    let part = among(PARTS_OF_MAINS, &second.low) && second.low != "voltage";
    (among(MAINS, &first.low) || first.low == "line") && !part
}

/// Whether nothing that the stage's source can bring about is outside the window.
fn takes_anything(step: &Step, stage: &Stage, subject: &Subject<'_>) -> bool {
    let (Some(window), Some(dimension), Some(ceiling)) =
        (window(step), dimension(step), stage.ceiling.as_ref())
    else {
        return false;
    };
    in_every(subject.trials(), |trial| {
        let bounds = trial.bounds(window, dimension)?;
        let most = reach(stage, ceiling, dimension, trial)?;
        let above = bounds.high.is_none_or(|high| high.to_f64() >= most);
        let below = bounds.low.is_none_or(|low| low.to_f64() <= 0.0);
        Some(above && below)
    })
}

/// The most of a quantity that the source of a stage can bring about; none where the ceiling says nothing of it.
fn reach(stage: &Stage, ceiling: &CeilingText, dimension: Dimension, trial: &Trial) -> Option<f64> {
    let volts = || Some(trial.value(&ceiling.voltage)?.to_f64());
    match dimension {
        Dimension::VOLTAGE if stage.source.is_mains() => Some(OVER_MAINS * volts()?),
        Dimension::VOLTAGE => volts(),
        Dimension::CURRENT => Some(trial.value(&ceiling.current)?.to_f64()),
        Dimension::POWER => trial.watts(ceiling),
        _ => None,
    }
}

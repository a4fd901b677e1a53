//! A guard that no good reading of its stage keeps.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::procedure::{OutputValue, Point, Stage, Step};
use crate::quantity::Quantity;
use crate::window::Bounds;

pub(super) const CHECK: Check =
    Check::new("ORD015", "contradicted-guard", include_str!("contradicted_guard.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let stages = subject.procedure.stages.iter();
    let pairs = stages.flat_map(|stage| stage.steps.iter().map(move |step| (stage, step)));
    let found = pairs
        .filter_map(|(stage, step)| trials.iter().find_map(|trial| finding(stage, step, trial)));
    found.collect()
}

fn finding(stage: &Stage, step: &Step, trial: &Trial) -> Option<Finding> {
    stage.while_on.iter().find_map(|(written, window)| {
        let point = Point::parse(written);
        let guard = trial.bounds(window, point.unit()?.dimension())?;
        let (wanted, at) = wanted(step, &point, trial)?;
        let apart = is_below(guard.high, wanted.low) || is_below(wanted.high, guard.low);
        apart.then(|| {
            let guard = guard.describe(None);
            CHECK
                .warning(format!("`{}` is guarded to {guard}: no good value keeps that", **written))
                .at(at)
                .related(written.span, "the guard")
                .help("widen the guard, or correct the window")
        })
    })
}

/// What a step wants to see at a point, and where it says so.
fn wanted(step: &Step, point: &Point, trial: &Trial) -> Option<(Bounds, Span)> {
    if let (Some(set), Point::Output { channel, what: OutputValue::Voltage }) = (&step.set, point) {
        let to = set
            .to
            .as_ref()
            .filter(|_| set.channels.iter().any(|output| output.value == *channel))?;
        let value = trial.value(to)?;
        return Some((Bounds::between(value, value).ok()?, to.text.span));
    }
    let read = step.read.as_ref().map(|reading| (reading.point(), &reading.window, &reading.unit));
    let watch = step.watch.as_ref().map(|watch| (watch.point(), &watch.window, &watch.unit));
    let (from, window, unit) = read.or(watch)?;
    let window = window.as_ref().filter(|_| from.as_ref() == Some(point))?;
    Some((trial.bounds(window, unit.dimension())?, step.step.span))
}

fn is_below(one: Option<Quantity>, other: Option<Quantity>) -> bool {
    let order = one.zip(other).and_then(|(one, other)| one.compare(&other));
    order.is_some_and(std::cmp::Ordering::is_lt)
}

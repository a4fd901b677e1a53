//! A current limit of a bench supply far above what the equipment is to draw.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{Acceptance, OutputValue, Point, Stage};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD023", "generous-ceiling", include_str!("generous_ceiling.md")).of_procedure(run);

/// How many times the highest good current the limit may be.
const TIMES: f64 = 5.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let stages = subject.procedure.stages.iter();
    let fed = stages.filter(|stage| stage.source.value == Source::BenchSupply);
    fed.filter_map(|stage| trials.iter().find_map(|trial| finding(stage, trial))).collect()
}

fn finding(stage: &Stage, trial: &Trial) -> Option<Finding> {
    let limit = &stage.ceiling.as_ref()?.current;
    let mut most = 0.0;
    for window in drawn(stage) {
        most = trial.bounds(window, Dimension::CURRENT)?.high?.to_f64().max(most);
    }
    let times = trial.value(limit)?.to_f64() / most;
    (most > 0.0 && times > TIMES).then(|| {
        CHECK
            .warning(format!("the limit is {times:.0} times the highest current that is good here"))
            .at(limit.text.span)
            .help("set the current limit a little above what sound equipment draws")
    })
}

/// The windows of what the supply delivers.
pub(super) fn drawn(stage: &Stage) -> impl Iterator<Item = &Acceptance> {
    let guarded = stage.while_on.iter().filter(|(point, _)| is_current(point));
    let read = stage.steps.iter().filter_map(|step| {
        let read = step.read.as_ref().map(|reading| (&reading.from, &reading.window));
        let (from, window) =
            read.or(step.watch.as_ref().map(|watch| (&watch.from, &watch.window)))?;
        window.as_ref().filter(|_| from.as_ref().is_some_and(|from| is_current(from)))
    });
    let judged = guarded.map(|(_, window)| window).chain(read);
    judged.filter(|window| !window.is_record_only())
}

fn is_current(point: &str) -> bool {
    matches!(Point::parse(point), Point::Output { what: OutputValue::Current, .. })
}

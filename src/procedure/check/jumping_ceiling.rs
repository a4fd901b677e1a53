//! A ceiling far above everything the equipment has stood so far.

use super::trial::{Trial, power};
use super::words::says_something;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{CeilingText, Stage};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD004", "jumping-ceiling", include_str!("jumping_ceiling.md")).of_procedure(run);

/// The most that a ceiling may grow from one rung to the next without a reason.
const JUMP_MAX: f64 = 10.0;

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let stages = &subject.procedure.stages;
    let climbs = stages.iter().enumerate().filter_map(|(n, stage)| {
        let ceiling = stage.ceiling.as_ref().filter(|ceiling| !is_reasoned(ceiling))?;
        let earlier = stages.get(..n)?;
        trials.iter().find_map(|trial| jump(earlier, ceiling, trial))
    });
    climbs.collect()
}

/// Whether a reason is given that says anything: "ok" is none.
fn is_reasoned(ceiling: &CeilingText) -> bool {
    ceiling.reason.as_ref().is_some_and(|reason| says_something(reason))
}

fn jump(earlier: &[Stage], ceiling: &CeilingText, trial: &Trial) -> Option<Finding> {
    let now = trial.watts(ceiling)?;
    let (below, before) = highest(earlier, trial)?;
    (now > before * JUMP_MAX).then(|| {
        let (before, now) = (power(before), power(now));
        CHECK
            .error(format!(
                "{now} is more than {JUMP_MAX} times the {before} of `{}`",
                below.stage.value
            ))
            .at(ceiling.voltage.text.span)
            .related(below.stage.span, "the highest rung below")
            .help("put a stage between them, or say why not: `reason` in the ceiling")
    })
}

/// The highest of the earlier rungs; none when one of them can't be worked out.
fn highest<'a>(earlier: &'a [Stage], trial: &Trial) -> Option<(&'a Stage, f64)> {
    let energised = earlier.iter().filter(|stage| stage.source.value != Source::None);
    let rungs = energised.map(|stage| Some((stage, trial.watts(stage.ceiling.as_ref()?)?)));
    let rungs = rungs.collect::<Option<Vec<_>>>()?;
    rungs.into_iter().max_by(|(_, one), (_, other)| one.total_cmp(other))
}

//! A time that nobody can wait for.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::act::milliseconds;
use crate::procedure::{Expression, Step};
use crate::quantity::Dimension;
use crate::record::Unworkable;

pub(super) const CHECK: Check =
    Check::new("QTY008", "unworkable-time", include_str!("unworkable_time.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let (procedure, trials) = (subject.procedure, subject.trials());
    let of_procedure =
        [&procedure.proof_lasts, &procedure.presence_every, &procedure.results_stand_for];
    let mut findings = Vec::new();
    for time in of_procedure.into_iter().flatten() {
        let found = |trial: &Trial| unwaitable(time, trial).or_else(|| over_at_once(time, trial));
        findings.extend(trials.iter().find_map(found));
    }
    for (_, step) in procedure.steps() {
        findings.extend(trials.iter().find_map(|trial| in_step(step, trial)));
    }
    findings
}

fn in_step(step: &Step, trial: &Trial) -> Option<Finding> {
    if let Some(wait) = &step.wait {
        return unwaitable(&wait.time, trial);
    }
    if let Some(over) = step.set.as_ref().and_then(|set| set.over.as_ref()) {
        return unwaitable(over, trial);
    }
    let watch = step.watch.as_ref()?;
    let times = [&watch.every, &watch.time];
    if times.iter().any(|time| !is_time(time, trial)) {
        return None;
    }
    let unwaitable = times.iter().find_map(|time| unwaitable(time, trial));
    unwaitable.or_else(|| {
        let error = watch.pace(&|name: &str| trial.named(name)).err()?;
        Some(finding(&error, &watch.every))
    })
}

fn unwaitable(time: &Expression, trial: &Trial) -> Option<Finding> {
    let value = trial.value(time).filter(|value| value.dimension == Dimension::TIME)?;
    Some(finding(&milliseconds(&value).err()?, time))
}

/// What lasts no time at all is over before anything can be done with it.
fn over_at_once(time: &Expression, trial: &Trial) -> Option<Finding> {
    let ms = milliseconds(&trial.value(time).filter(|value| value.dimension == Dimension::TIME)?)
        .ok()?;
    (ms == 0).then(|| {
        CHECK
            .error("this is over at once")
            .at(time.text.span)
            .help("write a time in which something can be done, or leave the key out")
    })
}

fn is_time(time: &Expression, trial: &Trial) -> bool {
    trial.value(time).is_some_and(|value| value.dimension == Dimension::TIME)
}

fn finding(error: &Unworkable, time: &Expression) -> Finding {
    let help = error.help().unwrap_or_else(|| "write another time".to_owned());
    CHECK.error(error.to_string()).at(time.text.span).help(help)
}

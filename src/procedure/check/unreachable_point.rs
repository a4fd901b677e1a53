//! A charge point behind a cover that nothing opens, or a cover that is opened or closed and covers nothing.

use std::collections::BTreeSet;

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;
use crate::procedure::step::Step;

pub(super) const CHECK: Check =
    Check::new("HAZ032", "unreachable-point", include_str!("unreachable_point.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let points = subject.procedure.charge_points.iter();
    let covers: Vec<&At<String>> = points.filter_map(|(_, point)| point.behind.as_ref()).collect();
    let steps: Vec<&Step> = subject.procedure.steps().map(|(_, step)| step).collect();
    let opens =
        |step: &&Step, cover: &str| step.opens.as_ref().is_some_and(|opened| opened.value == cover);
    let is_opened = |cover: &str| steps.iter().any(|step| opens(step, cover));
    let never = covers.iter().filter(|cover| !is_opened(&cover.value));
    let never = never.map(|cover| never_opened(cover));
    let mut findings: Vec<Finding> = never.collect();
    findings.extend(moved(&covers, &steps));
    findings
}

/// What is wrong with the order in which covers are opened and closed.
fn moved(covers: &[&At<String>], steps: &[&Step]) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut open: BTreeSet<&str> = BTreeSet::new();
    for step in steps {
        for (cover, opens) in [(&step.opens, true), (&step.closes, false)] {
            let Some(cover) = cover else { continue };
            let known = covers.iter().any(|other| other.value == cover.value);
            let changes =
                if opens { open.insert(&cover.value) } else { open.remove(cover.value.as_str()) };
            findings.extend((!known).then(|| covers_nothing(cover)));
            let done = if opens { "opened" } else { "closed" };
            findings.extend((known && !changes).then(|| twice(cover, done)));
        }
    }
    findings
}

fn never_opened(cover: &At<String>) -> Finding {
    CHECK
        .error(format!("nothing ever proves this point dead: no step opens `{}`", cover.value))
        .at(cover.span)
        .help("put `opens` with the same words at the step that takes it off")
}

fn covers_nothing(cover: &At<String>) -> Finding {
    CHECK
        .error(format!("no charge point is behind `{}`", cover.value))
        .at(cover.span)
        .help("put `behind` with the same words at each charge point that it covers")
}

fn twice(cover: &At<String>, done: &str) -> Finding {
    CHECK
        .error(format!("`{}` is {done}, and it is {done} already", cover.value))
        .at(cover.span)
        .help("every cover is closed at the start; open and close it in turns")
}

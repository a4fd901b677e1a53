//! A function that no meter on the bench has.

use super::coarse_meter::function;
use super::{Check, Subject};
use crate::diagnostic::{Finding, nearest};

pub(super) const CHECK: Check =
    Check::new("WIN007", "unknown-function", include_str!("unknown_function.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let Some(bench) = subject.bench else { return Vec::new() };
    let steps = subject.procedure.steps().filter_map(|(_, step)| function(step));
    let unknown = steps.filter(|(function, _)| bench.meter(function).is_none());
    let functions: Vec<_> =
        bench.instruments.iter().flat_map(|(_, instrument)| instrument.functions.iter()).collect();
    let names = || functions.iter().map(|(name, _)| name.value.as_str());
    unknown
        .map(|(function, _)| {
            let message = format!("no meter on this bench has the function `{}`", **function);
            let found = CHECK.error(message).at(function.span);
            match nearest(function, names()) {
                Some(meant) => found.help(format!("did you mean `{meant}`?")),
                None => found.help("add it to an instrument of the bench file"),
            }
        })
        .collect()
}

//! An output that no supply on the bench has.

use super::outputs::{output_of, read_from, set_with};
use super::{Check, Subject};
use crate::diagnostic::{Finding, nearest};
use crate::procedure::{At, BenchFile, Stage};

pub(super) const CHECK: Check =
    Check::new("BEN014", "unknown-output", include_str!("unknown_output.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    // A bench without outputs is one of hands, and nothing is missing there.
    let bench = subject.bench.filter(|bench| outputs(bench).next().is_some());
    let Some(bench) = bench else { return Vec::new() };
    let stages = subject.procedure.stages.iter();
    stages.flat_map(|stage| in_stage(stage, subject, bench)).collect()
}

fn outputs(bench: &BenchFile) -> impl Iterator<Item = &str> {
    let channels = bench.instruments.iter().flat_map(|(_, instrument)| instrument.channels.iter());
    channels.map(|(name, _)| name.value.as_str())
}

fn in_stage(stage: &Stage, subject: &Subject<'_>, bench: &BenchFile) -> Vec<Finding> {
    let is_connected =
        |output: &str| bench.supply(output).is_some_and(|(_, supply)| supply.connection.is_some());
    let is_controlled = set_with(subject.procedure, stage).any(|name| is_connected(name));
    let set = stage.channels().map(|name| (name.value.clone(), name));
    let guarded = stage.while_on.iter().map(|(point, _)| point);
    let read = read_from(stage).chain(guarded);
    let read = read.filter_map(|point| Some((output_of(point)?, point)));
    // One by hand is no mistake where all of them are.
    let amiss =
        |output: &String| bench.supply(output).is_none() || is_controlled && !is_connected(output);
    let found = set.chain(read).filter(|(output, _)| amiss(output));
    found.map(|(output, written)| finding(&output, written, is_controlled, bench)).collect()
}

fn finding(output: &str, written: &At<String>, is_controlled: bool, bench: &BenchFile) -> Finding {
    // With a connected supply a wrong name would take the control and the guards away without a word.
    let is_connected = bench.instruments.iter().any(|(_, instrument)| {
        instrument.connection.is_some() && instrument.channels.iter().next().is_some()
    });
    let found = match (is_controlled, bench.supply(output)) {
        (true, Some(_)) => CHECK.error(format!(
            "`{output}` is turned by hand, and other outputs of this source by the program"
        )),
        (true, None) => CHECK.error(format!(
            "no supply on this bench has the output `{output}`, and it has others of this source"
        )),
        (false, None) if is_connected => CHECK.error(format!(
            "no supply on this bench has the output `{output}`: nothing would set, sample or guard it"
        )),
        (false, _) => CHECK.warning(format!(
            "no supply on this bench has the output `{output}`: a person sets and reads it"
        )),
    };
    match nearest(output, outputs(bench)).filter(|meant| *meant != output) {
        Some(meant) => found.at(written.span).help(format!("did you mean `{meant}`?")),
        None if is_connected => found.at(written.span).help(
            "add it to the `channels` of a connected supply, or take a bench file without connected supplies to set it by hand",
        ),
        None => found.at(written.span).help("add it to the `channels` of a connected supply"),
    }
}

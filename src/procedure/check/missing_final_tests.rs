//! Equipment that leaves the bench without the tests that follow the last work on it.

use super::inside::{opens_the_shell, reworks};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{Test, passes_as};
use crate::procedure::step::{SafetyProof, Step};
use crate::procedure::{Procedure, Stage};

pub(super) const CHECK: Check =
    Check::new("SAF005", "missing-final-tests", include_str!("missing_final_tests.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let procedure = subject.procedure;
    let Some(last) = last_work(procedure) else { return Vec::new() };
    let steps: Vec<&Step> = procedure.steps().map(|(_, step)| step).collect();
    let Some((before, after)) = steps.split_at_checked(last + 1) else { return Vec::new() };
    let no_earth = |step: &&Step| {
        step.proves.as_ref().is_some_and(|proof| proof.value == SafetyProof::NoEarth)
    };
    let class_2 = steps.iter().any(no_earth);
    let tests = [(Test::Earth, "the protective earth"), (Test::Insulation, "the insulation")];
    let due = tests.into_iter().filter(|(test, _)| *test != Test::Earth || !class_2);
    let missing = due.filter(|(test, _)| !after.iter().any(|step| passes_as(step, *test)));
    let place = before.last().map(|step| step.step.span);
    let findings = missing.filter_map(|(_, what)| {
        Some(
            CHECK
                .error(format!("{what} is not tested after the last work on the equipment"))
                .at(place?)
                .help("test it in a dead stage behind this step, with the equipment closed"),
        )
    });
    findings.collect()
}

/// The number of the last step that could spoil what the tests showed: the last work on the equipment, and the last at which
/// it stood open, or else the last on the mains; none where there is no mains.
fn last_work(procedure: &Procedure) -> Option<usize> {
    procedure.stages.iter().find(|stage| stage.source.is_mains())?;
    let last = |is: &dyn Fn(&Stage, &Step) -> bool| {
        let steps = procedure.steps().enumerate().filter(|(_, (stage, step))| is(stage, step));
        steps.map(|(n, _)| n).last()
    };
    let told =
        |step: &Step, is: &dyn Fn(&str) -> bool| step.r#do.as_ref().is_some_and(|act| is(&act.0));
    let opened = last(&|_, step| step.opens.is_some() || told(step, &opens_the_shell));
    // Where it never says that it opens the equipment, all of it counts as work.
    let powered = || last(&|stage, _| stage.source.is_mains() && !stage.safety_test);
    opened.or_else(powered).max(last(&|_, step| told(step, &reworks)))
}

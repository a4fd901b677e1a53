//! Readings that open leads or a dead meter would pass, with a tester that nothing has shown to read.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{
    Test, dimension, fails_when_open, function, measured, passes_as, proves_the_tester, test_of,
    window,
};
use crate::procedure::step::Step;
use crate::procedure::{Expression, Procedure, Stage};
use crate::quantity::{Decimal, Dimension};
use crate::window::Bounds;

pub(super) const CHECK: Check =
    Check::new("SAF004", "unproved-tester", include_str!("unproved_tester.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    let of_stages = stages.flat_map(|stage| findings(stage, subject.trials()));
    of_stages.chain(leakage(subject.procedure)).collect()
}

/// The first reading of leakage before which no known current was read: a meter that is dead shows none. A current that flows is
/// read live and the known one dead, so that one may stand in an earlier stage.
fn leakage(procedure: &Procedure) -> Option<Finding> {
    let steps: Vec<&Step> = procedure.steps().map(|(_, step)| step).collect();
    let message = "a leakage meter that shows nothing would pass `{}`: no known current was read";
    steps.iter().enumerate().find_map(|(n, step)| {
        let tested = test_of(step) == Some(Test::Leakage) && !has_a_bottom(step);
        let mut before = steps.iter().take(n);
        (tested && !before.any(|other| shows_a_known_current(other, step)))
            .then(|| found(step, message, CURRENT))
    })
}

fn shows_a_known_current(step: &Step, other: &Step) -> bool {
    let alike = function(step) == function(other) && dimension(step) == dimension(other);
    alike && proves_the_tester(step) && has_a_bottom(step)
}

/// One finding of a kind in a stage: what proves the tester for one reading does so for its neighbours.
fn findings(stage: &Stage, trials: &[Trial]) -> impl Iterator<Item = Finding> {
    let steps = || stage.steps.iter().enumerate();
    let around = |n: usize| {
        let (before, rest) = stage.steps.split_at(n.min(stage.steps.len()));
        (before, rest.get(1..).unwrap_or_default())
    };
    let insulation = steps().find_map(|(n, step)| {
        let (before, after) = around(n);
        let proved = |steps: &[Step]| steps.iter().any(|other| proves_for(other, step));
        let tested = test_of(step) == Some(Test::Insulation) && passes_when_open(step);
        let message =
            "a tester with a broken lead would pass `{}`: it is not proved before and after";
        (tested && !(proved(before) && proved(after))).then(|| found(step, message, RESISTOR))
    });
    let short = steps().find_map(|(n, step)| {
        let (before, _) = around(n);
        let tested = test_of(step) != Some(Test::Insulation) && passes_when_open(step);
        let message = "a meter with a broken lead would find no short at `{}`";
        let proves = |other: &Step| proves_for(other, step) && !reaches(other, step, trials);
        (tested && !before.iter().any(proves)).then(|| found(step, message, TOGETHER))
    });
    let earth = steps().find_map(|(n, step)| {
        let (before, _) = around(n);
        let message = "nothing shows what the leads themselves read before `{}`";
        let shows = |other: &Step| shows_the_leads(other) && !is_wider(other, step, trials);
        (passes_as(step, Test::Earth) && !before.iter().any(shows))
            .then(|| found(step, message, ZEROED))
    });
    insulation.into_iter().chain(short).chain(earth)
}

const RESISTOR: &str =
    "read a resistor of known value with the same function before and after, with `proves: tester`";
const TOGETHER: &str =
    "read the leads held together first, or a part of known value, with the same function";
const CURRENT: &str = "read a known current first with the same function, as on the tester's own check, with `proves: tester`";
const ZEROED: &str = "read the zeroed leads held together first, with `proves: tester` and no more than the earth itself may have";

fn found(step: &Step, message: &str, help: &str) -> Finding {
    let message = message.replace("{}", &step.step.value);
    CHECK.error(message).at(step.step.span).help(help)
}

fn passes_when_open(step: &Step) -> bool {
    window(step).is_some_and(|window| window.open_ok)
}

/// Whether this reading shows that the tester of the other reads: with the same function, and outside on open leads.
fn proves_for(step: &Step, other: &Step) -> bool {
    if function(step) != function(other) || !fails_when_open(step) {
        return false;
    }
    // Leads held together say nothing of the volts and the megohms.
    let insulation = test_of(other) == Some(Test::Insulation);
    let named = function(step).is_some() || proves_the_tester(step);
    !insulation || named && has_a_bottom(step)
}

/// Whether leads held together, or a meter that shows nothing, are outside.
fn has_a_bottom(step: &Step) -> bool {
    let above_zero =
        |low: &Expression| low.evaluate(&|_: &str| None).is_ok_and(|low| low.value > Decimal::ZERO);
    window(step).is_some_and(|window| {
        let low = window.between.iter().flatten().take(1).chain(&window.at_least).next();
        window.near.is_some() || low.is_some_and(above_zero)
    })
}

/// Whether this reading shows the resistance of the leads alone.
fn shows_the_leads(step: &Step) -> bool {
    let what = measured(step).map(|what| what.to_lowercase()).unwrap_or_default();
    let held = is_held_together(&what);
    fails_when_open(step) && (proves_the_tester(step) || held && what.contains("lead"))
}

fn is_held_together(what: &str) -> bool {
    let low = what.to_lowercase();
    ["together", "joined", "touching", "shorted"].iter().any(|word| low.contains(word))
}

/// Whether the leads held together may read as much as what is no short: then they tell nothing from it.
fn reaches(leads: &Step, other: &Step, trials: &[Trial]) -> bool {
    let held = measured(leads).is_some_and(|what| is_held_together(what));
    held && trials.iter().any(|trial| {
        let both = bounds(leads, trial).zip(bounds(other, trial));
        both.and_then(|(leads, other)| Some(leads.high?.to_f64() >= other.low?.to_f64()))
            .is_some_and(|reaches| reaches)
    })
}

fn bounds(step: &Step, trial: &Trial) -> Option<Bounds> {
    trial.bounds(window(step)?, Dimension::RESISTANCE)
}

/// Whether the leads alone may read more than the earth itself: then they show nothing.
fn is_wider(leads: &Step, earth: &Step, trials: &[Trial]) -> bool {
    let top = |step: &Step, trial: &Trial| Some(bounds(step, trial)?.high?.to_f64());
    trials.iter().any(|trial| {
        let both = top(leads, trial).zip(top(earth, trial));
        both.is_some_and(|(leads, earth)| leads > earth)
    })
}

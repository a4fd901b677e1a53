//! A limit where no value of its kind can be.

use super::trial::Trial;
use super::window_without_one_form::windows;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Kind;
use crate::procedure::{Acceptance, Expression};
use crate::quantity::{Quantity, Reading};
use crate::window::{Bounds, Sign};

pub(super) const CHECK: Check =
    Check::new("WIN014", "incredible-limit", include_str!("incredible_limit.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let trials = subject.trials();
    let of_steps = windows(subject.procedure).filter_map(|(step, window)| {
        let sign = step.kind().map(Kind::sign).unwrap_or_default();
        let found = |limit| trials.iter().find_map(|trial| finding(limit, sign, trial));
        limits(window).find_map(found)
    });
    let guards = subject.procedure.stages.iter().flat_map(|stage| stage.while_on.iter());
    let of_guards = guards.filter_map(|(_, window)| {
        let found = |limit| trials.iter().find_map(|trial| finding(limit, Sign::OfItsKind, trial));
        limits(window).find_map(found)
    });
    of_steps.chain(of_guards).collect()
}

/// The limits that are written; the ends around a middle may lie anywhere.
fn limits(window: &Acceptance) -> impl Iterator<Item = &Expression> {
    let single = [&window.at_most, &window.at_least, &window.near, &window.like];
    single.into_iter().flatten().chain(window.between.iter().flatten())
}

fn finding(limit: &Expression, sign: Sign, trial: &Trial) -> Option<Finding> {
    let value: Quantity = trial.value(limit)?;
    let (any, reading) = (Bounds::record_only().with_sign(sign), Reading::Number(value));
    any.judge(&reading).is_impossible().then(|| {
        let shown = value.engineering(4, None);
        CHECK
            .error(format!("{shown} {}", any.why_outside(&reading, None)))
            .at(limit.text.span)
            .help("write a limit that a sound meter can show")
    })
}

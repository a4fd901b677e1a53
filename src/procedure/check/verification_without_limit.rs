//! A reading that is taken twice without a word on how far the two may be apart.

use super::trial::Trial;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Step;
use crate::window::Within;

pub(super) const CHECK: Check = Check::new(
    "VER002",
    "verification-without-limit",
    include_str!("verification_without_limit.md"),
)
.of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let steps = subject.procedure.steps().map(|(_, step)| step);
    steps.filter(|step| step.is_read_twice()).filter_map(|step| finding(subject, step)).collect()
}

fn finding(subject: &Subject<'_>, step: &Step) -> Option<Finding> {
    let help =
        "write how far they may be apart: what two sound readings of this value can differ by";
    let Some(within) = &step.agree_within else {
        let what = format!("`{}` does not say how far its two readings may be apart", *step.step);
        let found = CHECK.error(what).at(step.verify.as_ref()?.span);
        return Some(found.help(help).label("needs `agree_within`"));
    };
    let is_never = |trial: &Trial| {
        let within = step.agreement(&|name: &str| trial.named(name)).ok().flatten();
        within.is_some_and(|within| match within {
            Within::Absolute(width) => width.value.is_negative() || width.value.is_zero(),
            Within::Percent(percent) => percent.is_negative() || percent.is_zero(),
        })
    };
    subject.trials().iter().any(is_never).then(|| {
        let found = CHECK.error("no two readings are that much alike").at(within.text.span);
        found.help(help)
    })
}

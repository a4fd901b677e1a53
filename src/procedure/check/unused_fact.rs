//! A question or a worked-out value that nothing makes use of.

use super::used::used;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;

pub(super) const CHECK: Check =
    Check::new("QTY013", "unused-fact", include_str!("unused_fact.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let used = used(subject);
    let asked = subject.procedure.asks.iter().map(|(name, _)| (name, "asked for"));
    let worked = subject.procedure.work_out.iter().map(|(name, _)| (name, "worked out"));
    let idle = asked.chain(worked).filter(|(name, _)| !used.contains(&name.value));
    idle.map(|(name, how)| finding(name, how)).collect()
}

fn finding(name: &At<String>, how: &str) -> Finding {
    CHECK
        .warning(format!("`{}` is {how} and used nowhere", name.value))
        .at(name.span)
        .help("use it in a limit or a text, or leave it out: perhaps a limit should follow from it")
}

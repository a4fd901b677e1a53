//! A source resistance that changes nothing, or that no source has.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Read;
use crate::quantity::{Dimension, Quantity};
use crate::window::is_loaded;

pub(super) const CHECK: Check = Check::new(
    "WIN026",
    "misplaced-source-resistance",
    include_str!("misplaced_source_resistance.md"),
)
.of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let reads = subject.procedure.steps().filter_map(|(_, step)| step.read.as_ref());
    reads.filter_map(|read| finding(subject, read)).collect()
}

fn finding(subject: &Subject<'_>, read: &Read) -> Option<Finding> {
    let written = read.source_resistance.as_ref()?;
    let reads = read.unit.dimension();
    let none = |ohms: &Quantity| {
        ohms.value.is_negative() || (ohms.value.is_zero() && reads == Dimension::CURRENT)
    };
    let (message, help) = if !is_loaded(reads) {
        let name = reads.name();
        (
            format!(
                "a meter that reads {name} loads nothing: `source_resistance` would be passed over"
            ),
            "leave it out; what the leads add to a resistance is `leads` in the bench file",
        )
    } else if read.function.is_none() {
        (
            "`source_resistance` without `function` would be passed over".to_owned(),
            "say with `function` which meter reads it: its `input_resistance` stands in the bench file",
        )
    } else if subject
        .trials()
        .iter()
        .any(|trial| trial.value(written).is_some_and(|value| none(&value)))
    {
        (
            "no source has this resistance".to_owned(),
            "give what lies behind the voltage, or in the way of the current, in ohm",
        )
    } else {
        return None;
    };
    Some(CHECK.error(message).at(written.text.span).help(help))
}

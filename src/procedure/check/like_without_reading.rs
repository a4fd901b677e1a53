//! A window that compares with something nobody reads.

use super::window_without_one_form::windows;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::{Kind, Step};
use crate::procedure::{Expression, Procedure};

pub(super) const CHECK: Check =
    Check::new("WIN005", "like-without-reading", include_str!("like_without_reading.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let windows = windows(subject.procedure);
    windows.filter_map(|(_, window)| finding(window.like.as_ref()?, subject.procedure)).collect()
}

fn finding(like: &Expression, procedure: &Procedure) -> Option<Finding> {
    let formula = like.formula().ok()?;
    let written = like.text.trim();
    let names = formula.names();
    let is_reading = match names.as_slice() {
        [(name, _)] if *name == written => {
            let stem = name.split_once('.').map_or(*name, |(stem, _)| stem);
            // A name that is not a step at all is an unknown name, or a fact.
            let fact = procedure.asks.get(stem).is_some() || procedure.work_out.get(stem).is_some();
            !fact
                && procedure.steps().all(|(_, step)| step.formula_name() != stem || has_value(step))
        }
        _ => false,
    };
    (!is_reading).then(|| {
        CHECK
            .error("`like` names another reading, and this is none")
            .at(like.text.span)
            .help("for a fixed or worked-out value, write `near`")
    })
}

fn has_value(step: &Step) -> bool {
    step.kind().and_then(Kind::gives).is_some()
}

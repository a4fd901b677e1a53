//! Hands that go inside while the mains feeds the equipment.

use super::flow::{energises, flows};
use super::inside::{is_by_hand, is_worked_on_meanwhile, tips, works_inside};
use super::words::told;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::{At, Step};

pub(super) const CHECK: Check =
    Check::new("ORD029", "hands-in-while-live", include_str!("hands_in_while_live.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let mains = flows.iter().filter(|flow| flow.stage.source.is_mains());
    let steps = mains.flat_map(|flow| &flow.steps);
    let live = steps.filter(|(step, energy)| energy.live || energises(step));
    live.filter_map(|(step, _)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    let text: &At<String> = told(step).filter(|text| {
        let reads = step.read.is_some() || step.watch.is_some() || step.look.is_some();
        let worked =
            if reads { is_worked_on_meanwhile(text) } else { works_inside(text) || tips(text) };
        worked || is_by_hand(text)
    })?;
    Some(
        CHECK
            .error(format!("`{}` puts hands inside while the mains is on", step.step.value))
            .at(text.span)
            .help("switch off and prove dead first; clip meters on while the equipment is dead"),
    )
}

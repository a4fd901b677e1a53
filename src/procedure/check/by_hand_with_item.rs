//! A temporary item that goes in or out in a step that a connected bench leaves out.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::step::Step;

pub(super) const CHECK: Check =
    Check::new("ORD026", "by-hand-with-item", include_str!("by_hand_with_item.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(_, step)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    let by_hand = step.by_hand.as_ref().filter(|own| own.value)?;
    let changes = [("removes", &step.removes), ("fits", &step.fits), ("moves", &step.moves)];
    let (key, item) = changes.into_iter().find_map(|(key, item)| Some((key, item.as_ref()?)))?;
    let name = step.step.value.as_str();
    Some(
        CHECK
            .error(format!(
                "`{name}` is left out on a connected bench, and so what it {key} is not done"
            ))
            .at(by_hand.span)
            .related(item.span, "what nobody would do")
            .help("leave `by_hand` out, or put the item in a step of its own"),
    )
}

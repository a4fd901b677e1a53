//! A temporary item that goes in or out in a step that a connected bench leaves out.

use super::words::{among, words};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::At;
use crate::procedure::step::Step;

pub(super) const CHECK: Check =
    Check::new("ORD026", "by-hand-with-item", include_str!("by_hand_with_item.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(_, step)| finding(step)).collect()
}

fn finding(step: &Step) -> Option<Finding> {
    let by_hand = step.by_hand.as_ref().filter(|by_hand| by_hand.value)?;
    let changes = [("removes", &step.removes), ("fits", &step.fits), ("moves", &step.moves)];
    let changed = changes.into_iter().find_map(|(key, item)| Some((key, item.as_ref()?)));
    let name = step.step.value.as_str();
    let Some((key, item)) = changed else { return unsaid(step, by_hand) };
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

/// Verbs of what goes in or out.
const MOVES: &str =
    "attach clamp clip connect disconnect fit hook plug remove solder take unclip unhook unplug";

/// The same of an item that the step names in its words alone.
fn unsaid(step: &Step, by_hand: &At<bool>) -> Option<Finding> {
    let text = &step.r#do.as_ref()?.0;
    let is_moved = words(text).first().is_some_and(|verb| among(MOVES, &verb.low));
    is_moved.then(|| {
        let name = step.step.value.as_str();
        CHECK
            .error(format!("`{name}` is left out on a connected bench, and so what goes in or out by it does not"))
            .at(by_hand.span)
            .related(text.span, "what nobody would do")
            .help("leave `by_hand` out: a connected supply sets volts and amps, and moves nothing")
    })
}

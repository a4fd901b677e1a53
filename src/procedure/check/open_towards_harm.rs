//! A window that is open to the side on which the harm lies.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{dimension, window};
use crate::procedure::{Stage, Step};
use crate::quantity::Dimension;
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("WIN025", "open-towards-harm", include_str!("open_towards_harm.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.steps().filter_map(|(stage, step)| finding(stage, step)).collect()
}

fn finding(stage: &Stage, step: &Step) -> Option<Finding> {
    let (window, dimension) = (window(step)?, dimension(step)?);
    let low = window.at_least.as_ref().filter(|_| window.at_most.is_none())?;
    let live = stage.source.value != Source::None;
    // A limit below zero holds for the size, both ways round.
    let by_size = low.text.trim_start().starts_with('-');
    let found = match dimension {
        Dimension::CURRENT | Dimension::POWER if !by_size => {
            CHECK.error("no current and no power is too much for this window")
        }
        Dimension::CELSIUS if live => CHECK.error("nothing is too hot for this window"),
        Dimension::VOLTAGE if live && !by_size => {
            CHECK.warning("no voltage is too high for this window, and the equipment is live")
        }
        _ => return None,
    };
    Some(
        found
            .at(low.text.span)
            .help("write the upper limit too: `at_most`, or `between` with both ends"),
    )
}

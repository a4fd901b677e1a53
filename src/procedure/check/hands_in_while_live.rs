//! Hands that go inside while the mains, or a bench supply of more than a safe voltage, feeds the equipment.

use super::inside::{is_by_hand, is_worked_on_meanwhile, tips, works_inside};
use super::understated_hazard::{ES1_DC_V, highest_volts};
use super::words::told;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::flow::{energises, flows};
use crate::procedure::{At, Stage, Step};
use crate::record::Source;

pub(super) const CHECK: Check =
    Check::new("ORD029", "hands-in-while-live", include_str!("hands_in_while_live.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let flows = flows(subject.procedure);
    let findings = flows.iter().filter(|flow| can_shock(subject, flow.stage)).flat_map(|flow| {
        let live = flow.steps.iter().filter(|(step, energy)| energy.live || energises(step));
        live.filter_map(|(step, _)| finding(step, flow.stage.source.value))
    });
    findings.collect()
}

/// Whether what is touched in the stage can give a shock. Below it, work on the live board is the trade's way to trim and to look for
/// a fault, and the notices speak of burns and of shorts.
fn can_shock(subject: &Subject<'_>, stage: &Stage) -> bool {
    let above_es1 = || highest_volts(subject, stage).is_some_and(|volts| volts > ES1_DC_V);
    stage.source.is_mains() || stage.source.value != Source::None && above_es1()
}

fn finding(step: &Step, source: Source) -> Option<Finding> {
    let text: &At<String> = told(step).filter(|text| {
        let reads = step.read.is_some() || step.watch.is_some() || step.look.is_some();
        let worked =
            if reads { is_worked_on_meanwhile(text) } else { works_inside(text) || tips(text) };
        worked || is_by_hand(text)
    })?;
    let (name, source) = (&step.step.value, source.words());
    Some(
        CHECK
            .error(format!("`{name}` puts hands inside while the {source} is on"))
            .at(text.span)
            .help("switch off and prove dead first; clip meters on while the equipment is dead"),
    )
}

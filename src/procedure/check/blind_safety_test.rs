//! A safety test that does not reach what it is there for.

use super::clause::{Clause, any, clauses};
use super::families::CORDS;
use super::words::among;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::safety::{Test, measured, test_of};
use crate::procedure::{Stage, Step};

pub(super) const CHECK: Check =
    Check::new("SAF008", "blind-safety-test", include_str!("blind_safety_test.md"))
        .of_procedure(run);

/// The least voltage of an insulation test of mains parts (V): VDE 0701-0702:2008 with surge arresters, as a published summary has it.
const INSULATION_V: f64 = 250.0;
/// Where the protective earth of a plug begins, or what goes in between by itself.
const AT_THE_PLUG: &str = "pin pins prong prongs plug contact contacts blade tester";
/// The same, if it is not said to be inside.
const OF_THE_LEAD: &str = "inlet coupler lead cord flex cable";
/// Words of a point behind the plug.
const INSIDE: &str = "inside tag tags stud lug terminal terminals board transformer wire";

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let stages = subject.procedure.stages.iter();
    stages
        .flat_map(|stage| [blind(stage, Test::Insulation), blind(stage, Test::Earth)])
        .flatten()
        .collect()
}

/// The first blind test of a kind in a stage where no other of its kind sees.
fn blind(stage: &Stage, test: Test) -> Option<Finding> {
    let of_kind = || stage.steps.iter().filter(|step| test_of(step) == Some(test));
    if of_kind().any(|step| why(step, test).is_none()) {
        return None;
    }
    let step = of_kind().next()?;
    let (message, help) = why(step, test)?;
    Some(
        CHECK.error(format!("`{}` {message}", step.step.value)).at(measured(step)?.span).help(help),
    )
}

/// What the test does not reach.
fn why(step: &Step, test: Test) -> Option<(&'static str, &'static str)> {
    let clauses = clauses(measured(step)?);
    match test {
        Test::Insulation if is_too_low(&clauses) => Some((
            "tests mains parts with less than 250 V",
            "test at 500 V DC, or 250 V where surge arresters are fitted",
        )),
        Test::Insulation if clauses.iter().any(is_cut_off) => Some((
            "ends at a switch or a fuse that is open",
            "close the switch and leave the fuse in: what lies behind them is tested too",
        )),
        Test::Earth if !begins_at_the_plug(&clauses) => Some((
            "does not begin at the plug",
            "measure from the earth pin of the plug: the lead is the part that breaks",
        )),
        Test::Insulation | Test::Earth | Test::Lead | Test::Leakage => None,
    }
}

/// Whether all voltages that are named are too low.
fn is_too_low(clauses: &[Clause]) -> bool {
    let volts = clauses.iter().flat_map(|clause| clause.words().windows(2)).filter_map(|pair| {
        let [figure, unit] = pair else { return None };
        let factor = match unit.as_str() {
            "v" | "volt" | "volts" => 1.0,
            "kv" => 1000.0,
            _ => return None,
        };
        Some(figure.parse::<f64>().ok()? * factor)
    });
    volts.max_by(f64::total_cmp).is_some_and(|volts| volts < INSULATION_V)
}

/// "Set's switch open", "switched off", "fuse out", "on the lead alone".
fn is_cut_off(clause: &Clause) -> bool {
    let words = clause.words();
    let has = |list: &str| words.iter().any(|word| among(list, word));
    let switch = has("switch switches") && has("open off") && !has("on closed");
    let fuse = has("fuse fuses") && has("out removed pulled drawn open");
    let lead = any(words, CORDS) && has("alone only");
    let parted = has("transformer winding motor element primary")
        && has("unplugged disconnected removed off lifted out");
    switch
        || fuse
        || lead
        || parted
        || has("switched-off")
        || words
            .windows(2)
            .any(|pair| matches!(pair, [switched, off] if switched == "switched" && off == "off"))
}

fn begins_at_the_plug(clauses: &[Clause]) -> bool {
    let has = |list: &str| clauses.iter().any(|clause| any(clause.words(), list));
    has(AT_THE_PLUG) || has(OF_THE_LEAD) && !has(INSIDE)
}

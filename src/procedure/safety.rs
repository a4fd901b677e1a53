//! Which electrical safety test a step is, by its mark or by what it says that it measures.

use crate::procedure::step::{Kind, SafetyProof, Step};
use crate::procedure::{Acceptance, At};
use crate::quantity::Dimension;

/// A safety test after repair.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Test {
    /// The mains lead.
    Lead,
    /// The protective earth from plug to metal.
    Earth,
    /// The insulation of the mains side.
    Insulation,
    /// Protective-conductor current or touch current.
    Leakage,
}

/// Words that tell an insulation test from another reading in ohms.
const INSULATION: [&str; 4] = ["insulation", "500 v dc", "250 v dc", "1000 v dc"];
/// Words that tell the path of the protective earth.
const EARTH: [&str; 5] =
    ["earth pin", "ground pin", "protective earth", "protective conductor", "protective-conductor"];
/// Words that tell another path that ends at the earth pin.
const NOT_EARTH: [&str; 3] = ["line", "live", "neutral"];
/// Words that tell a current that leaks.
const LEAKAGE: [&str; 6] = [
    "leakage",
    "touch current",
    "protective-conductor current",
    "protective conductor current",
    "earth current",
    "residual current",
];

/// The test that a step is, as its mark or its words have it.
pub(crate) fn test_of(step: &Step) -> Option<Test> {
    let marked = step.proves.as_ref().and_then(|proves| match proves.value {
        SafetyProof::Lead => Some(Test::Lead),
        SafetyProof::Earth => Some(Test::Earth),
        SafetyProof::Insulation => Some(Test::Insulation),
        SafetyProof::Tester | SafetyProof::NoEarth => None,
    });
    if step.proves.is_some() {
        return marked;
    }
    let what = measured(step)?.to_lowercase();
    let says = |words: &[&str]| words.iter().any(|word| what.contains(word));
    match dimension(step)? {
        Dimension::RESISTANCE if says(&INSULATION) => Some(Test::Insulation),
        Dimension::RESISTANCE if says(&EARTH) && !says(&NOT_EARTH) => Some(Test::Earth),
        Dimension::CURRENT if says(&LEAKAGE) => Some(Test::Leakage),
        _ => None,
    }
}

/// Whether the step charges what it measures, so that no proof of dead stands behind it.
pub(crate) fn charges(step: &Step) -> bool {
    test_of(step) == Some(Test::Insulation)
}

/// Whether the step belongs to an insulation test, whose leads are still on what it charged.
pub(crate) fn is_of_insulation_test(step: &Step) -> bool {
    charges(step) || proves_the_tester(step)
}

/// Whether the step is that test, and its reading is judged.
pub(crate) fn passes_as(step: &Step, test: Test) -> bool {
    test_of(step) == Some(test) && is_judged_reading(step)
}

/// Whether a value is read and judged: recorded alone is not.
pub(crate) fn is_judged_reading(step: &Step) -> bool {
    dimension(step).is_some() && window(step).is_some_and(|window| !window.is_record_only())
}

/// Whether only a part of known value, or leads held together, can be inside: open leads are outside.
pub(crate) fn fails_when_open(step: &Step) -> bool {
    let closed = |window: &Acceptance| {
        let above = window.at_most.is_some() || window.between.is_some();
        !window.open_ok && (above || window.near.is_some() || window.like.is_some())
    };
    window(step).is_some_and(closed)
}

/// Whether the step shows that the meter reads by its leads: on a resistor of known value, or with the leads together.
pub(crate) fn proves_the_tester(step: &Step) -> bool {
    let marked = step.proves.as_ref().is_some_and(|proves| proves.value == SafetyProof::Tester);
    marked && fails_when_open(step)
}

/// The window of a reading.
pub(crate) fn window(step: &Step) -> Option<&Acceptance> {
    reading(step).and_then(Kind::window)
}

/// What a reading measures: its dimension.
pub(crate) fn dimension(step: &Step) -> Option<Dimension> {
    reading(step).and_then(Kind::unit).map(crate::quantity::Unit::dimension)
}

/// What a reading measures: its words.
pub(crate) fn measured(step: &Step) -> Option<&At<String>> {
    let read = step.read.as_ref().map(|read| &read.what);
    read.or(step.watch.as_ref().map(|watch| &watch.what))
}

/// The meter's function of a reading.
pub(crate) fn function(step: &Step) -> Option<&str> {
    let read = step.read.as_ref().and_then(|read| read.function.as_ref());
    let function = read.or(step.watch.as_ref().and_then(|watch| watch.function.as_ref()));
    function.map(|function| function.value.as_str())
}

fn reading(step: &Step) -> Option<&dyn Kind> {
    let read = step.read.as_ref().map(|read| read.as_ref() as &dyn Kind);
    read.or(step.watch.as_ref().map(|watch| watch.as_ref() as &dyn Kind))
}

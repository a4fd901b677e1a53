//! The words of a test that puts a current of its own into the equipment, or bridges it: ohms, continuity, insulation.

use super::clause::{Instruction, any, clauses};
use super::words::{mentions, words};

/// Words in the name of a function that puts a current of its own into the equipment.
const OWN_CURRENT: &str = "resistance ohm diode capacitance continuity inductance insulation";
/// Instruments that do.
const INSTRUMENTS: &str = "ohmmeter megohmmeter lcr esr hipot hi-pot buzzer beeper";
/// Verbs of such a test, and the same in a reading.
const TESTS: &str = "beep buzz ohm flash-test flashtest hipot";
const TESTED: &str = "beeped buzzed ohmed rung";
/// What a meter is set to.
const RANGES: &str = "range ranges test tests check mode setting position function checker tester";
/// Verbs that find a value out.
const FINDS: &str = "measure check test read verify take prove confirm see find";

/// Whether a function of a meter by that name has a current of its own.
pub(super) fn has_own_current(function: &str) -> bool {
    mentions(function, OWN_CURRENT)
}

/// Whether a text tells of such a test.
pub(super) fn is_passive_test(text: &str) -> bool {
    clauses(text).iter().any(|clause| {
        let told = clause.told();
        named(told) || any(told, TESTED) || clause.acts().any(|act| is_told(&act))
    })
}

fn is_told(act: &Instruction<'_>) -> bool {
    act.is(TESTS)
        || act.is("ring") && any(act.rest, "out through")
        || act.is("flash") && any(act.rest, "test")
        || act.is(FINDS)
            && any(
                act.rest,
                "resistance resistances ohms megohms insulation continuity capacitance inductance",
            )
        || act.is(FINDS) && any(act.rest, "short open-circuit") && any(act.rest, "meter ohms")
}

/// The test or its instrument, by name. "A 100 ohm resistor" and "insulated" are none.
fn named(told: &[String]) -> bool {
    let kinds = "diode insulation resistance ohms ohm capacitance withstand";
    let is_test = |pair: &[String]| {
        let [what, range] = pair else { return false };
        let is_insulation = what == "insulation" && range == "resistance";
        is_insulation || super::words::among(kinds, what) && super::words::among(RANGES, range)
    };
    any(told, "continuity") || any(told, INSTRUMENTS) || told.windows(2).any(is_test)
}

/// Whether a reading or a look begins with a resistance: "resistance of the choke", "ohms of the winding".
pub(super) fn is_of_resistance(text: &str) -> bool {
    words(text)
        .first()
        .is_some_and(|first| super::words::among("resistance ohms megohms continuity", &first.low))
}

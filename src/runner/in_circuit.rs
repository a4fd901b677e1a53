//! What a resistance out of its window says when the part was measured in circuit.
//!
//! Other paths lie in parallel, so they can only lower a reading: [`crate::physics::resistor::judge_in_circuit`].

use super::effect::Cause;
use crate::procedure::{Hint, Step};
use crate::window::{Side, Verdict};

/// The cause to add to those that the step's own fitting hints name.
pub(super) fn cause(step: &Step, verdict: Verdict, hints: &[&Hint]) -> Option<Cause> {
    let in_circuit = step.read.as_ref().is_some_and(|read| read.is_in_circuit());
    let Verdict::Outside(side) = verdict else { return None };
    let (likely, next) = match side {
        Side::Above | Side::OverRange if hints.iter().all(|hint| hint.above.is_none()) => (
            "open or drifted high: in circuit nothing else reads too high, unless charge is left",
            "make sure that no charge is left, then replace the part",
        ),
        Side::Below => (
            "in circuit, not conclusive: another path may lie beside the part",
            "lift one leg and read it again",
        ),
        Side::Above | Side::OverRange | Side::NoNumber | Side::BelowZero | Side::Absurd => {
            return None;
        }
    };
    in_circuit.then(|| Cause { likely: likely.to_owned(), next: next.to_owned() })
}

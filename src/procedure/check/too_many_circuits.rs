//! Formulas that solve more circuits than a plan can be made of while somebody waits.

use super::names::walk;
use super::{Check, Subject};
use crate::diagnostic::Finding;

pub(super) const CHECK: Check =
    Check::new("QTY040", "too-many-circuits", include_str!("too_many_circuits.md"))
        .of_procedure(run);

/// The most circuits that one formula may solve, and all of a procedure: each takes some 0.3 ms for every value it is tried with
/// (own measurement), and no supply has so many rails.
const OF_FORMULA: usize = 8;
const OF_PROCEDURE: usize = 200;

/// Looked at before all other checks: many of them try every formula.
pub(super) fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let (mut all, mut findings) = (0, Vec::new());
    walk(subject, &mut |_, expression, _| {
        let circuits = expression.formula().map_or(0, crate::formula::Formula::circuits);
        let was_within = all <= OF_PROCEDURE;
        all += circuits;
        if circuits > OF_FORMULA {
            let message =
                format!("this formula solves {circuits} circuits; {OF_FORMULA} are allowed");
            let help = "give each rail a line of its own under `work_out` and use its name here";
            findings.push(CHECK.error(message).at(expression.text.span).help(help));
        } else if was_within && all > OF_PROCEDURE {
            let message =
                format!("up to here formulas solve {all} circuits; {OF_PROCEDURE} are allowed");
            let help = "work a rail out once under `work_out` and use its name everywhere else";
            findings.push(CHECK.error(message).at(expression.text.span).help(help));
        }
    });
    findings
}

//! Formulas that solve more circuits than a plan can be made of while somebody waits.

use super::names::walk;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::{CircuitFile, Expression};

pub(super) const CHECK: Check =
    Check::new("QTY040", "too-many-circuits", include_str!("too_many_circuits.md"))
        .of_procedure(run)
        .of_circuit(run_circuit);

/// The most circuits that one formula may solve, and all of a file: each takes some 0.3 ms for every value it is tried with
/// (own measurement), and no supply has so many rails.
const OF_FORMULA: usize = 8;
const OF_FILE: usize = 200;

/// Looked at before all other checks: many of them try every formula.
pub(super) fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut count = Count::default();
    walk(subject, &mut |_, expression, _| count.add(expression));
    count.findings
}

/// A circuit file works its formulas out for every fault, and a rail that follows what is drawn from it at some thirty currents.
fn run_circuit(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    let mut count = Count::default();
    file.formulas().for_each(|formula| count.add(formula));
    count.findings
}

/// The circuits that the formulas of a file solve.
#[derive(Default)]
struct Count {
    all: usize,
    findings: Vec<Finding>,
}

impl Count {
    fn add(&mut self, expression: &Expression) {
        let circuits = expression.formula().map_or(0, crate::formula::Formula::circuits);
        let was_within = self.all <= OF_FILE;
        self.all += circuits;
        let all = self.all;
        if circuits > OF_FORMULA {
            let message =
                format!("this formula solves {circuits} circuits; {OF_FORMULA} are allowed");
            let help = "give each rail a line of its own under `work_out` and use its name here";
            self.findings.push(CHECK.error(message).at(expression.text.span).help(help));
        } else if was_within && all > OF_FILE {
            let message =
                format!("up to here formulas solve {all} circuits; {OF_FILE} are allowed");
            let help = "work a rail out once under `work_out` and use its name everywhere else";
            self.findings.push(CHECK.error(message).at(expression.text.span).help(help));
        }
    }
}

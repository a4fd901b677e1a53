//! A text that is no quantity and no formula.

use super::names::walk;
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::netlist::Netlist;
use crate::procedure::{CircuitFile, Expression, ModelFile};

pub(super) const CHECK: Check =
    Check::new("QTY003", "not-a-formula", include_str!("not_a_formula.md"))
        .of_procedure(run)
        .of_model(run_model)
        .of_circuit(run_circuit);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    walk(subject, &mut |_, expression, _| findings.extend(finding(expression)));
    findings
}

fn run_model(model: &ModelFile) -> Vec<Finding> {
    model.formulas().filter_map(finding).collect()
}

fn run_circuit(file: &CircuitFile, _: Option<&Netlist>) -> Vec<Finding> {
    file.formulas().filter_map(finding).collect()
}

fn finding(expression: &Expression) -> Option<Finding> {
    let error = expression.formula().err()?;
    let found = CHECK.error(error.to_string()).at(expression.place(&error.at));
    Some(found.help_if(error.help()))
}

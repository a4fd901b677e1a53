//! A name with several readings where one value is needed.

use super::names::{KnownNames, walk};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::formula::FormulaError;
use crate::procedure::Expression;
use crate::quantity::{Decimal, Quantity};

pub(super) const CHECK: Check =
    Check::new("QTY009", "several-readings", include_str!("several_readings.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    walk(subject, &mut |scope, expression, _| findings.extend(finding(scope, expression)));
    findings
}

/// Works the formula out with a stand-in for every reading: what goes well with one reading a name and fails with two
/// is a formula that takes several for one.
fn finding(scope: &KnownNames, expression: &Expression) -> Option<Finding> {
    let names = expression.formula().ok()?.names();
    if !names.iter().any(|(name, _)| scope.has_several(name)) {
        return None;
    }
    worked_out(scope, expression, 1).ok()?;
    let error = worked_out(scope, expression, 2).err()?;
    let help = "write `max(...)` or `min(...)` around it, or name one part of it after a dot";
    Some(CHECK.error(error.to_string()).at(expression.place(&error.at)).help(help))
}

fn worked_out(
    scope: &KnownNames,
    expression: &Expression,
    readings: usize,
) -> Result<Quantity, FormulaError> {
    expression.evaluate(&|name: &str| {
        let reading = Quantity::new(Decimal::ONE, scope.find(name)??);
        Some(vec![reading; if scope.has_several(name) { readings } else { 1 }])
    })
}

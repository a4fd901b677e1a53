//! A formula that gives no value, whatever the equipment.

use super::names::{KnownNames, walk};
use super::trial::{Trial, trials};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::formula::FormulaError;
use crate::procedure::Expression;

pub(super) const CHECK: Check =
    Check::new("QTY011", "unworkable-value", include_str!("unworkable_value.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    // A fact at which a formula fails is told with the plan of that equipment: there the fact is to be looked at.
    let trials = trials(&Subject::new(subject.procedure, None, None));
    let mut findings = Vec::new();
    walk(subject, &mut |scope, expression, _| {
        if fits(scope, expression) {
            findings.extend(finding(expression, &trials));
        }
    });
    findings
}

/// Whether its dimensions fit: what does not fit has its own finding.
fn fits(scope: &KnownNames, expression: &Expression) -> bool {
    let of = |name: &str| scope.find(name).flatten();
    expression.formula().is_ok_and(|formula| formula.dimension(&of).is_ok())
}

fn finding(expression: &Expression, trials: &[Trial]) -> Option<Finding> {
    let errors: Option<Vec<FormulaError>> =
        trials.iter().map(|trial| trial.tried(expression)?.err()).collect();
    let error = errors?.into_iter().next()?;
    let found = CHECK.error(error.to_string()).at(expression.place(&error.at));
    Some(found.help_if(error.help()))
}

//! A value that measures the wrong thing.

use super::names::{KnownNames, WantedDimension, walk};
use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::procedure::Expression;
use crate::quantity::{Dimension, Unit};

pub(super) const CHECK: Check =
    Check::new("QTY001", "wrong-dimension", include_str!("wrong_dimension.md")).of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    walk(subject, &mut |scope, expression, wanted| {
        findings.extend(finding(scope, expression, wanted));
    });
    findings
}

fn finding(
    scope: &KnownNames,
    expression: &Expression,
    wanted: WantedDimension,
) -> Option<Finding> {
    let formula = expression.formula().ok()?;
    let of = |name: &str| scope.find(name).flatten();
    // A name without a known dimension has its own finding where it is given.
    if formula.names().iter().any(|(name, _)| of(name).is_none()) {
        return None;
    }
    let found = match formula.dimension(&of) {
        Ok(found) => found,
        Err(error) => {
            let found = CHECK.error(error.to_string()).at(expression.place(&error.at));
            return Some(found.help_if(error.help()));
        }
    };
    let due = match wanted {
        WantedDimension::Any => return None,
        WantedDimension::RatioOr(_) if found == Dimension::NONE => return None,
        WantedDimension::Exactly(due) | WantedDimension::RatioOr(due) => due,
    };
    (found != due).then(|| {
        CHECK
            .error(format!("this is {}, where {} belongs", found.name(), due.name()))
            .at(expression.text.span)
            .help(format!("give it in {}", unit_words(due)))
    })
}

fn unit_words(dimension: Dimension) -> String {
    match Unit::base(dimension).symbol() {
        "" => "plain digits".to_owned(),
        symbol => symbol.to_owned(),
    }
}

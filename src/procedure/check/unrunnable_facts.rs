//! Facts of the equipment with which a run can't get to its end.

use super::names::{goes_by, walk};
use super::trial::{Trial, known};
use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::formula::FormulaError;
use crate::procedure::step::{Kind, Step, WorkOut};
use crate::procedure::{Equipment, Expression, Procedure};
use crate::quantity::Reading;

pub(super) const CHECK: Check =
    Check::new("QTY017", "unrunnable-facts", include_str!("unrunnable_facts.md")).of_facts(run);

fn run(procedure: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    let subject = Subject::new(procedure, Some(equipment), None);
    let trial = known(&subject);
    let values: Vec<_> = procedure.work_out.iter().map(|(_, expression)| expression).collect();
    let mut findings = Vec::new();
    for (name, error) in &trial.failed {
        let value = procedure.work_out.get(name);
        findings.extend(value.and_then(|value| without_value(&subject, value, name, error)));
    }
    walk(&subject, &mut |_, expression, _| {
        // Those were tried above: what solves circuits takes its time.
        if values.iter().any(|value| std::ptr::eq(*value, expression)) {
            return;
        }
        if let Some(Err(error)) = trial.tried(expression) {
            findings.extend(without_value(&subject, expression, &expression.text, &error));
        }
    });
    let steps = procedure.steps().map(|(_, step)| step);
    findings.extend(steps.filter_map(|step| outside(&subject, step, &trial)));
    findings
}

/// A formula that these facts leave without a value: the run would end where it is reached.
fn without_value(
    subject: &Subject<'_>,
    expression: &Expression,
    name: &str,
    error: &FormulaError,
) -> Option<Finding> {
    // A warning, so that `plan` still shows all the rest; the run ends there by itself.
    let found = CHECK.warning(format!("`{name}` has no value with these facts: {error}"));
    Some(found.at(first_fact(subject, expression)?).help(
        "the run would end there: correct the fact, or take a procedure that fits this equipment",
    ))
}

/// A step that is worked out from facts alone, and outside its window.
fn outside(subject: &Subject<'_>, step: &Step, trial: &Trial) -> Option<Finding> {
    let worked: &WorkOut = step.work_out.as_deref()?;
    let unit = &worked.unit;
    let reading = Reading::Number(trial.value(&worked.value)?);
    let bounds = trial.bounds(worked.window.as_ref()?, unit.dimension())?;
    let bounds = bounds.with_sign(worked.sign());
    if !bounds.judge(&reading).is_outside() {
        return None;
    }
    let why = bounds.why_outside(&reading, Some(unit));
    let name = &step.step.value;
    let found = CHECK.warning(format!("`{name}`, worked out from these facts, {why}"));
    let help = format!("the run stops there: {}", worked.what.value);
    Some(found.at(first_fact(subject, &worked.value)?).help(help))
}

/// The place of the first fact that an expression goes by, itself or through what is worked out.
fn first_fact(subject: &Subject<'_>, expression: &Expression) -> Option<Span> {
    let facts = &subject.equipment?.facts;
    let names = goes_by(subject.procedure, expression);
    names.into_iter().find_map(|name| Some(facts.get(name)?.span))
}

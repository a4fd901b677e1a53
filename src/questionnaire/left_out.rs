//! Why a fact can't be left out: what of the procedure is worked out from it.

use std::collections::BTreeSet;

use crate::procedure::step::{Piece, Step, formula_name};
use crate::procedure::{Expression, Procedure};

/// The names that are shown; the others are counted.
const SHOWN: usize = 3;

/// Says why a fact can't be left out.
pub(super) fn why_not(procedure: &Procedure, fact: &str) -> String {
    let mut names = BTreeSet::from([fact.to_owned()]);
    let mut values = Vec::new();
    for (name, expression) in procedure.work_out.iter() {
        if goes_by(expression, &names) {
            names.insert(name.value.clone());
            values.push(name.value.clone());
        }
    }
    let steps = procedure.steps().map(|(_, step)| step).filter(|step| rests_on(step, &names));
    let steps: Vec<_> = steps.map(|step| step.step.value.clone()).collect();
    let ceilings = procedure.stages.iter().filter(|stage| {
        let ceiling = stage.ceiling.as_ref();
        ceiling.is_some_and(|of| goes_by(&of.voltage, &names) || goes_by(&of.current, &names))
    });
    let ceilings: Vec<_> = ceilings.map(|stage| stage.stage.value.clone()).collect();
    let charge = procedure.charge_points.iter().filter(|(_, point)| {
        let holds = point.holds.as_ref();
        holds.is_some_and(|holds| {
            let both = [&holds.capacitance, &holds.charged_to];
            both.into_iter().chain(&holds.bleeder).any(|of| goes_by(of, &names))
        })
    });
    let charge: Vec<_> = charge.map(|(name, _)| name.value.clone()).collect();
    let parts = [
        counted(&values, "value", "values"),
        counted(&ceilings, "ceiling of a stage", "ceilings of stages"),
        counted(&charge, "wait for stored charge", "waits for stored charge"),
        counted(&steps, "step", "steps"),
    ];
    let parts: Vec<_> = parts.into_iter().flatten().collect();
    if parts.is_empty() {
        return format!("`{fact}` can't be left out: the procedure does not say what stands in");
    }
    format!(
        "`{fact}` can't be left out, and nothing stands in for it. From it follow {}",
        parts.join("; ")
    )
}

fn goes_by(expression: &Expression, names: &BTreeSet<String>) -> bool {
    let Ok(formula) = expression.formula() else { return false };
    formula.names().iter().any(|(name, _)| names.contains(*name))
}

fn rests_on(step: &Step, names: &BTreeSet<String>) -> bool {
    let is_repeated = step.for_each.iter().flatten();
    let mut rests = is_repeated.into_iter().any(|list| names.contains(&formula_name(list)));
    step.visit(&mut |piece| {
        let (Piece::Quantity { expression, .. } | Piece::Within { expression, .. }) = piece else {
            return;
        };
        rests = rests || goes_by(expression, names);
    });
    rests
}

/// So many of a kind with the first of their names; nothing where there are none.
fn counted(names: &[String], one: &str, many: &str) -> Option<String> {
    let first: Vec<_> = names.iter().take(SHOWN).map(String::as_str).collect();
    let more = if names.len() > SHOWN { ", ..." } else { "" };
    let noun = if names.len() == 1 { one } else { many };
    (!names.is_empty()).then(|| format!("{} {noun} ({}{more})", names.len(), first.join(", ")))
}

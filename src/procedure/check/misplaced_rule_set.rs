//! A question for the rule set under another name, or the name of the rule set over another question.

use super::{Check, Subject};
use crate::diagnostic::Finding;
use crate::formula::SAFETY_RULES;
use crate::procedure::{Ask, At};

pub(super) const CHECK: Check =
    Check::new("QTY016", "misplaced-rule-set", include_str!("misplaced_rule_set.md"))
        .of_procedure(run);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    subject.procedure.asks.iter().filter_map(|(name, ask)| finding(name, ask)).collect()
}

fn finding(name: &At<String>, ask: &Ask) -> Option<Finding> {
    let is_called_so = name.value == SAFETY_RULES;
    let is_more =
        ask.parts || ask.unit.is_some() || ask.between.is_some() || ask.tolerance.is_some();
    let message = match (is_called_so, ask.rule_set) {
        (true, false) => format!("`{SAFETY_RULES}` has to be the rule set"),
        (false, true) => format!("a rule set is asked for under the name `{}`", name.value),
        (true, true) if is_more => {
            "a rule set has no unit, range or tolerance, and is no list".to_owned()
        }
        _ => return None,
    };
    let help = format!(
        "write `{SAFETY_RULES}: {{ask: ..., rule_set: true}}`, or another question under another name"
    );
    Some(CHECK.error(message).at(name.span).help(help))
}

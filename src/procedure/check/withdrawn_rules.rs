//! A rule set of the electrical safety check that another has taken the place of.

use super::names::walk;
use super::{Check, Subject};
use crate::diagnostic::{Finding, Span};
use crate::formula::SAFETY_RULES;
use crate::physics::safety_limits::{RULE_SETS, RuleSet};
use crate::procedure::{Equipment, Procedure};

pub(super) const CHECK: Check =
    Check::new("QTY015", "withdrawn-rules", include_str!("withdrawn_rules.md"))
        .of_procedure(run)
        .of_facts(chosen);

fn run(subject: &Subject<'_>) -> Vec<Finding> {
    let mut findings = Vec::new();
    walk(subject, &mut |_, expression, _| {
        let named = RULE_SETS.iter().filter(|rules| expression.text.contains(rules.word));
        findings.extend(named.filter_map(|rules| finding(rules, expression.text.span)));
    });
    findings
}

fn chosen(procedure: &Procedure, equipment: &Equipment) -> Vec<Finding> {
    let fact =
        equipment.facts.get(SAFETY_RULES).filter(|_| procedure.asks.get(SAFETY_RULES).is_some());
    let rules = fact.and_then(|fact| RULE_SETS.iter().find(|rules| rules.word == fact.trim()));
    let found = fact.zip(rules).and_then(|(fact, rules)| finding(rules, fact.span));
    found.into_iter().collect()
}

fn finding(rules: &RuleSet, at: Span) -> Option<Finding> {
    let now = rules.withdrawn_for?;
    let message = format!("{} is withdrawn", rules.name);
    Some(CHECK.warning(message).at(at).help(format!("`{now}` has taken its place")))
}

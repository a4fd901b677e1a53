//! Two people who cannot be told apart.

use std::collections::BTreeMap;

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{People, likeness};

pub(super) const CHECK: Check =
    Check::new("PEO002", "doubled-person", include_str!("doubled_person.md")).of_people(run);

fn run(people: &People) -> Vec<Finding> {
    let mut first = BTreeMap::new();
    let mut findings = Vec::new();
    for (n, person) in people.staff.iter().enumerate() {
        for at in person.known_as() {
            let (owner, span) = *first.entry(likeness(at)).or_insert((n, at.span));
            if owner != n {
                let message = format!("two people would answer to `{}`", at.value);
                let found = CHECK.error(message).at(at.span).related(span, "the first one");
                findings.push(found.help(
                    "tell them apart by more than signs, capitals and letters that look alike",
                ));
            }
        }
    }
    findings
}

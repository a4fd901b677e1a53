//! One key that two people sign with.

use std::collections::BTreeMap;

use super::{Check, Keys};
use crate::diagnostic::Finding;
use crate::procedure::People;

pub(super) const CHECK: Check =
    Check::new("PEO008", "shared-key", include_str!("shared_key.md")).of_keys(run);

fn run(people: &People, keys: Keys<'_>) -> Vec<Finding> {
    let mut first = BTreeMap::new();
    let mut findings = Vec::new();
    for (n, person) in people.staff.iter().enumerate() {
        for key in (keys.of)(&person.id) {
            let (owner, other) = *first.entry(key).or_insert((n, person));
            if owner != n {
                let message =
                    format!("{} and {} sign with one key", other.name.value, person.name.value);
                let found = CHECK.error(message).at(person.id.span);
                let found = found.related(other.id.span, "the other one");
                findings.push(found.help("give each a key of their own in the file of signers"));
            }
        }
    }
    findings
}

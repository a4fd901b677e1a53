//! A person who could not sign.

use super::{Check, Keys};
use crate::diagnostic::Finding;
use crate::procedure::People;

pub(super) const CHECK: Check =
    Check::new("PEO009", "keyless-person", include_str!("keyless_person.md")).of_keys(run);

fn run(people: &People, keys: Keys<'_>) -> Vec<Finding> {
    let keyless =
        people.staff.iter().filter(|person| (keys.of)(&person.id).is_empty()).map(|person| {
            let (name, id) = (&person.name.value, &person.id.value);
            let found = CHECK.warning(format!("{name} has no key that can sign a record today"));
            found.at(person.id.span).help(format!("add a line for `{id}` to the file of signers"))
        });
    keyless.collect()
}

//! A person in a role that nobody knows.

use super::Check;
use crate::diagnostic::{Finding, nearest};
use crate::procedure::{KNOWN_ROLES, People};

pub(super) const CHECK: Check =
    Check::new("PEO001", "unknown-role", include_str!("unknown_role.md")).of_people(run);

fn run(people: &People) -> Vec<Finding> {
    let of_the_shop = people.roles.iter().map(|(name, _)| name.value.as_str());
    let known: Vec<&str> = KNOWN_ROLES.into_iter().chain(of_the_shop).collect();
    let held = people.staff.iter().flat_map(|person| &person.roles);
    let unknown = held.filter(|role| !people.has_role(role)).map(|role| {
        let found = CHECK.error(format!("there is no role `{}`", role.value)).at(role.span);
        found.help(match nearest(role, known.iter().copied()) {
            Some(meant) => format!("did you mean `{meant}`?"),
            None => format!("one of {}, or add it under `roles`", known.join(", ")),
        })
    });
    unknown.collect()
}

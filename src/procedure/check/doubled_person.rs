//! Two people who cannot be told apart.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::People;
use crate::procedure::people::NameLikeness;

pub(super) const CHECK: Check =
    Check::new("PEO002", "doubled-person", include_str!("doubled_person.md")).of_people(run);

fn run(people: &People) -> Vec<Finding> {
    let staff = people.staff.iter().enumerate();
    let names = staff.flat_map(|(n, person)| person.known_as().map(move |at| (n, at)));
    let names: Vec<_> = names.map(|(n, at)| (n, at, NameLikeness::of(at))).collect();
    let mut findings = Vec::new();
    for (place, (n, at, likeness)) in names.iter().enumerate() {
        let mut before = names.iter().take(place);
        let first = before.find(|(other, _, before)| other != n && before.is_that_of(likeness));
        if let Some((_, first, _)) = first {
            let message = format!("two people would answer to `{}`", at.value);
            let found = CHECK.error(message).at(at.span).related(first.span, "the first one");
            findings.push(
                found.help(
                    "tell them apart by more than signs, capitals, initials, numbers and what stands in brackets",
                ),
            );
        }
    }
    findings
}

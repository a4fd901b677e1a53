//! A role or a class that stands twice in one list, differently written.

use std::collections::BTreeMap;

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{At, People, identity};

pub(super) const CHECK: Check =
    Check::new("PEO007", "doubled-entry", include_str!("doubled_entry.md")).of_people(run);

fn run(people: &People) -> Vec<Finding> {
    let mut findings = doubled("role", people.roles.iter().map(|(role, _)| role));
    for person in &people.staff {
        findings.extend(doubled("role", &person.roles));
        findings.extend(doubled("class", person.competent.iter().map(|(class, _)| class)));
    }
    findings
}

fn doubled<'a>(what: &str, list: impl IntoIterator<Item = &'a At<String>>) -> Vec<Finding> {
    let mut first = BTreeMap::new();
    let again = list.into_iter().filter_map(|at| {
        let before = first.insert(identity(at), at.span)?;
        let message = format!("the {what} `{}` stands here twice", at.value);
        let found = CHECK.error(message).at(at.span).related(before, "the first one");
        Some(found.help("keep one of the two: only one could count"))
    });
    again.collect()
}

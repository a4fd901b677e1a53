//! Somebody who may work under supervision only, and nobody who could supervise.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::{People, Permission, Person, identity};
use crate::record::Duty;

pub(super) const CHECK: Check =
    Check::new("PEO003", "nobody-to-supervise", include_str!("nobody_to_supervise.md"))
        .of_people(run);

fn run(people: &People) -> Vec<Finding> {
    people.staff.iter().flat_map(|person| of(people, person)).collect()
}

/// One finding for each class in which nobody could supervise the person.
fn of(people: &People, person: &Person) -> Vec<Finding> {
    let lacks = |class: &str| {
        let due = Duty::ALL.into_iter();
        let mut due = due.filter(|duty| people.by_role(person, *duty) == Permission::Supervised);
        due.find(|duty| !people.staff.iter().any(|other| supervises(people, other, class, *duty)))
    };
    let classes = person.competent.iter();
    let found = classes.filter_map(|(class, _)| {
        let words = lacks(class)?.words();
        let (name, class, span) = (&person.name.value, &class.value, class.span);
        let message = format!("nobody could supervise {name} on {class}: to {words}");
        let help = "let somebody competent for it do that alone, or take the class away";
        Some(CHECK.warning(message).at(span).help(help))
    });
    found.collect()
}

/// Without a look at the dates: those change every day.
fn supervises(people: &People, other: &Person, class: &str, duty: Duty) -> bool {
    let wanted = identity(class);
    let is_competent = other.competent.iter().any(|(known, _)| identity(known) == wanted);
    is_competent && people.by_role(other, duty) == Permission::Alone
}

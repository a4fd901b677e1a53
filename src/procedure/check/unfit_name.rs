//! A name that no person can give at the bench.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::people::is_word;
use crate::procedure::{People, identity, person_name};

pub(super) const CHECK: Check =
    Check::new("PEO004", "unfit-name", include_str!("unfit_name.md")).of_people(run);

fn run(people: &People) -> Vec<Finding> {
    let unfit =
        people.staff.iter().flat_map(|person| [&person.name].into_iter().chain(&person.aliases));
    let unfit = unfit.filter(|name| person_name(name).is_err()).map(|name| {
        let message = format!("`{}` is no name of a person", name.value);
        CHECK.error(message).at(name.span).help("write the name as it is to stand in records")
    });
    let nobody = people.staff.iter().map(|person| &person.id);
    let nobody = nobody.filter(|id| identity(id).is_empty()).map(|id| {
        let message = "an identity needs letters or digits".to_owned();
        CHECK.error(message).at(id.span).help("such as kim@shop.example")
    });
    // An identity may be a number; a word that the bench takes for something else is never heard as a name.
    let words = people.staff.iter().map(|person| &person.id);
    let words = words.filter(|id| is_word(id)).map(|id| {
        let message = format!("`{}` is a word that the bench takes for something else", id.value);
        CHECK.error(message).at(id.span).help("such as kim@shop.example")
    });
    unfit.chain(nobody).chain(words).collect()
}

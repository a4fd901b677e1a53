//! A name that no person can give at the bench.

use super::Check;
use crate::diagnostic::{Finding, cut};
use crate::procedure::people::{is_word, short_name};
use crate::procedure::{People, identity, person_name};

pub(super) const CHECK: Check =
    Check::new("PEO004", "unfit-name", include_str!("unfit_name.md")).of_people(run);

/// The most characters of a name that a message repeats.
const SHOWN_MAX: usize = 60;

fn run(people: &People) -> Vec<Finding> {
    let unfit =
        people.staff.iter().flat_map(|person| [&person.name].into_iter().chain(&person.aliases));
    let unfit = unfit.filter_map(|name| {
        let reason = person_name(name).err()?;
        let message = format!("`{}` is not a person's name: {reason}", cut(name, SHOWN_MAX));
        let found = CHECK.error(message).at(name.span);
        Some(found.help("write the name as it is to stand in records"))
    });
    // Names are looked up as they are typed, and an identity longer than a name is never taken as one.
    let long = people.staff.iter().map(|person| &person.id);
    let long = long.filter(|id| short_name(id).is_err()).map(|id| {
        let message = format!("`{}` is too long for an identity", cut(id, SHOWN_MAX));
        CHECK.error(message).at(id.span).help("such as kim@shop.example")
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
    unfit.chain(long).chain(nobody).chain(words).collect()
}

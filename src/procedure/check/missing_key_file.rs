//! A key file that is not there.

use super::{Check, Keys};
use crate::diagnostic::Finding;
use crate::procedure::People;

pub(super) const CHECK: Check =
    Check::new("PEO010", "missing-key-file", include_str!("missing_key_file.md")).of_keys(run);

fn run(people: &People, keys: Keys<'_>) -> Vec<Finding> {
    let named = people.staff.iter().filter_map(|person| person.key.as_ref());
    let missing = named.filter(|path| !(keys.is_there)(path)).map(|path| {
        let found = CHECK.warning(format!("there is no key file `{}`", path.value)).at(path.span);
        found.help("put it there; who signs with an agent alone needs no `key`")
    });
    missing.collect()
}

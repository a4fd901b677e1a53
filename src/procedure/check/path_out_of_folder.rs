//! A file that is not in the folder of the people file.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::People;

pub(super) const CHECK: Check =
    Check::new("PEO005", "path-out-of-folder", include_str!("path_out_of_folder.md"))
        .of_people(run);

fn run(people: &People) -> Vec<Finding> {
    let keys = people.staff.iter().filter_map(|person| person.key.as_ref());
    let outside = people.signers.iter().chain(keys).filter(|path| !is_inside(path)).map(|path| {
        let message = format!("`{}` leads out of the folder of this file", path.value);
        CHECK.error(message).at(path.span).help("put it beside this file, or in a folder there")
    });
    outside.collect()
}

/// Tells whether a path stays in its folder on every system.
pub(super) fn is_inside(path: &str) -> bool {
    let mut parts = path.split(['/', '\\']);
    !path.contains(':') && parts.all(|part| !["", ".."].contains(&part.trim()))
}

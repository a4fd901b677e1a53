//! A key with which nothing is signed.

use super::Check;
use crate::diagnostic::Finding;
use crate::procedure::People;

pub(super) const CHECK: Check =
    Check::new("PEO006", "key-without-signers", include_str!("key_without_signers.md"))
        .of_people(run);

fn run(people: &People) -> Vec<Finding> {
    if people.signers.is_some() {
        return Vec::new();
    }
    let keys = people.staff.iter().filter_map(|person| person.key.as_ref());
    let idle = keys.map(|key| {
        let found = CHECK.warning("nothing is signed with this key").at(key.span);
        found.help("name the file of the public keys: `signers: shop.allowed_signers`")
    });
    idle.collect()
}

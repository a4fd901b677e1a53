//! What stands behind the name of a second person whom a fact binds.

use crate::record::{Bond, Fact, Names};

/// What has to be said behind the name of the second person that a fact binds; nothing where it binds nobody.
pub(super) fn remark(fact: &Fact, names: Names) -> String {
    let words = fact.bond().and_then(|(bond, _)| match bond {
        Bond::Released(_)
        | Bond::Conceded(_)
        | Bond::Supervises
        | Bond::Called { .. }
        | Bond::Agreed(_) => names.remark(),
        // Nobody signs as a witness.
        Bond::Witnessed(_) => Some(names.typed()),
        // It is said of the same name when that person is called, and of a hand-over in its own words.
        Bond::ReadAgain(_) | Bond::TookOver { .. } => None,
    });
    words.map(|words| format!(" (name {words})")).unwrap_or_default()
}

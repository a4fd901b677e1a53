//! Which facts bind a second person, and what stands behind that name.

use crate::record::{Fact, Names};

/// What has to be said behind the name of the second person that a fact binds; nothing where it binds nobody.
pub(super) fn remark(fact: &Fact, names: Names) -> String {
    let words = match fact {
        Fact::Released { .. }
        | Fact::Conceded { .. }
        | Fact::Supervised { .. }
        | Fact::VerifierNamed { .. }
        | Fact::Agreed { .. } => names.remark(),
        // Nobody signs as a witness.
        Fact::Witnessed { .. } => Some(names.typed()),
        _ => None,
    };
    words.map(|words| format!(" (name {words})")).unwrap_or_default()
}
